"""Water pressure against the bands of the house and of the machine: read standing or read flowing, and whose limit."""

import math
from typing import NamedTuple

from ..domain import not_negative

PSI_Pa = 6894.757293168361
GAUGE_Pa = 5 * PSI_Pa  # judgement: how far two readings of one gauge may contradict each other


class Band(NamedTuple):
    """A pressure band: min_Pa and max_Pa [Pa] (none: no limit on that side), where it is read and who set it [-]."""

    id: str
    governs: str  # house | machine
    datum: str  # static: no water running anywhere | flowing: at the washer's tap while water runs
    min_Pa: float | None
    max_Pa: float | None
    authority: str  # code | manual | practice
    whose: str
    grade: str
    note: str


class BandFinding(NamedTuple):
    """One band against the readings: side, what it rests on [-], and the margin [Pa], negative when beyond the limit."""

    band: Band
    side: str  # below | within | above | not measured
    by: str  # reading | implied | none
    margin_Pa: float | None


_REGULATE = "Above it the code asks for a pressure regulator, set to 80 psi or less"
HOUSE_UPC = Band(
    "house-pressure",
    "house",
    "static",
    None,
    80 * PSI_Pa,
    "code",
    "UPC 608.2 (2015, 2024), where adopted",
    "P",
    f"{_REGULATE}, and an expansion tank downstream of it; as an alternative it names a relief valve set to 100 psi or less.",
)
HOUSE_IRC = Band(
    "house-pressure-irc",
    "house",
    "static",
    None,
    80 * PSI_Pa,
    "code",
    "IRC 2021 P2903.3.1, where adopted",
    "S",
    f"{_REGULATE}, by a valve to ASSE 1003.",
)
HOUSE_IPC = Band(
    "house-pressure-ipc",
    "house",
    "static",
    None,
    80 * PSI_Pa,
    "code",
    "IPC 604.8, as repeated by Philadelphia; where adopted",
    "S",
    f"{_REGULATE}. The IPC's own text is from memory, unverified.",
)
MACHINE = Band(
    "washer-flowing-pressure",
    "machine",
    "flowing",
    20 * PSI_Pa,
    120 * PSI_Pa,
    "practice",
    "common practice of the trade",
    "C",
    "The machine's manual governs where it says otherwise. The code's limit for the house is lower, and governs the house.",
)
MACHINE_230V = Band(
    "washer-marked-pressure-230v",
    "machine",
    "flowing",
    100e3,
    1000e3,
    "manual",
    "manual of one commercial machine, a default until yours is read",
    "S",
    "The mark on the machine or its manual governs.",
)
BANDS = (HOUSE_UPC, HOUSE_IRC, HOUSE_IPC, MACHINE)
BANDS_230V = (MACHINE_230V,)


def pressure_findings(
    static_Pa: float | None = None,
    flowing_Pa: float | None = None,
    bands: tuple[Band, ...] = BANDS,
) -> tuple[BandFinding, ...]:
    """Every pressure band against what was read, each against its own datum.

    Parameters
    ----------
    static_Pa : float, optional
        Gauge pressure near the washer, no water running anywhere in the house [Pa]
    flowing_Pa : float, optional
        Gauge pressure at the washer's tap while water runs [Pa]
    bands : tuple of Band, optional
        The bands to hold it against; those of the 120 V profile unless said [-]

    Returns
    -------
    tuple of Finding
        One for each band, in the order given: side [-], by [-], margin_Pa [Pa]

    Raises
    ------
    ValueError
        If a pressure is negative, or the flowing one is above the static one by more than a gauge's error.

    Notes
    -----
    Running water loses pressure, so a flowing reading is a lower bound of the static pressure and a static reading an
    upper bound of the flowing one: what follows from that is marked `implied`. A limit itself is within. No uncertainty
    is taken into account here. The static pressure of a town supply is highest at night.

    References
    ----------
    .. [1] UPC 608.2, the code body's own mailing (grade P); IRC 2021 P2903.3.1 (grade S); IPC 604.8 (grade S; its text M).
    .. [2] Trade article: 20 to 120 psi flowing (grade C). The same article calls for a regulator above "12" psi: a
       misprint for 120, not used.
    .. [3] A commercial machine's manual: 100 to 1000 kPa (grade S).

    Examples
    --------
    A house at 100 psi breaks the code, and suits the machine:

    >>> for found in pressure_findings(static_Pa=100 * PSI_Pa, flowing_Pa=95 * PSI_Pa, bands=(HOUSE_UPC, MACHINE)):
    ...     print(found.band.governs, found.side, found.by, round(found.margin_Pa / PSI_Pa))
    house above reading -20
    machine within reading 25
    """
    if static_Pa is not None:
        not_negative("static_Pa", static_Pa, "Pa")
    if flowing_Pa is not None:
        not_negative("flowing_Pa", flowing_Pa, "Pa")
    if static_Pa is not None and flowing_Pa is not None and flowing_Pa > static_Pa + GAUGE_Pa:
        raise ValueError(
            f"flowing_Pa: found {flowing_Pa:g} Pa above the static {static_Pa:g} Pa, expected at most the static pressure; "
            "were the two swapped, or read at different hours?"
        )
    return tuple(_against(band, static_Pa, flowing_Pa) for band in bands)


def _against(band: Band, static_Pa: float | None, flowing_Pa: float | None) -> BandFinding:
    """Return one band's finding, from its own reading or else from what the other reading implies."""
    own_Pa, other_Pa = (static_Pa, flowing_Pa) if band.datum == "static" else (flowing_Pa, static_Pa)
    if own_Pa is not None:
        side, margin_Pa = _side(band, own_Pa)
        return BandFinding(band, side, "reading", margin_Pa)
    if other_Pa is not None:
        side, margin_Pa = _side(band, other_Pa)
        if side == ("above" if band.datum == "static" else "below"):
            return BandFinding(band, side, "implied", margin_Pa)
    return BandFinding(band, "not measured", "none", None)


def _side(band: Band, value_Pa: float) -> tuple[str, float | None]:
    """Return the side of a value and its distance to the nearer limit; unit conversion may cost the last bits."""
    below_Pa = math.inf if band.min_Pa is None else value_Pa - band.min_Pa
    above_Pa = math.inf if band.max_Pa is None else band.max_Pa - value_Pa
    margin_Pa = min(below_Pa, above_Pa)
    if margin_Pa == math.inf:
        return "within", None
    if margin_Pa >= -1e-6 * value_Pa:
        return "within", max(margin_Pa, 0.0)
    return ("below" if below_Pa < above_Pa else "above"), margin_Pa
