"""Ways to wire an outlet, right and wrong, and the three voltages that each would show.

A wiring is what the three holes are joined to; its voltages follow from that. A hole joined to nothing floats: a
high-impedance meter reads anything on it from zero to half the line and more, a low-impedance (LoZ) one reads zero.
"""

from collections.abc import Iterator
from itertools import combinations
from typing import Literal, NamedTuple

Load = Literal["none", "here", "elsewhere", "unknown"]
LOADS = ("none", "here", "elsewhere", "unknown")


class Fault(NamedTuple):
    """A wiring of an outlet.

    Parameters
    ----------
    id : str
        Its name [-].
    says : str
        What it is [-].
    joined : str
        What the hot, neutral and ground hole are joined to: h hot, k another hot of the same feed, n neutral, g ground,
        - nothing [-].
    grade : str
        Of the pattern: S as quoted, D derived [-].
    """

    id: str
    says: str
    joined: str
    grade: str

    @property
    def live_metal(self) -> bool:
        """Whether the ground hole, and by it the metal of what is plugged in, is joined to a hot wire."""
        return self.joined[2] in HOT


HOT = "hk"
RIGHT = "hng"


def _single_mistakes() -> Iterator[str]:
    """Yield every wiring that one mistake at three wires makes: a break, a hole on a wrong wire, wires that changed places.

    The two rounds of all three count, too. A hot hole on another hot wire of the feed reads and works as a right one, and is
    left out. A wire at two places is a short, which the breaker ends.
    """
    for hole, right in enumerate(RIGHT):
        for wire in "-nghk":
            if wire != right and (hole, wire) != (0, "k"):
                yield RIGHT[:hole] + wire + RIGHT[hole + 1 :]
    for one, other in combinations(range(3), 2):
        swapped = list(RIGHT)
        swapped[one], swapped[other] = swapped[other], swapped[one]
        yield "".join(swapped)
    yield RIGHT[1:] + RIGHT[:1]
    yield RIGHT[2:] + RIGHT[:2]


_LIVE = ": the washer's metal is live"
_WIRE = {"h": "hot", "k": "other-hot", "n": "neutral", "g": "ground"}
# What the trade has words for, by what the holes are joined to; the others are told hole by hole. Likelier first among
# those that share a pattern (judgement; that an open neutral is likelier than a hot ground is S).
_TERMS = {
    RIGHT: ("correct", "wired right", "S"),
    "hn-": ("open-ground", "the ground hole is joined to nothing", "S"),
    "h-g": ("open-neutral", "the neutral is broken before this outlet", "S"),
    "-ng": ("open-hot", "the hot is broken or switched off before this outlet", "S"),
    "nhg": ("hot-neutral-reversed", "hot and neutral are swapped", "S"),
    "gnh": ("hot-ground-reversed", "hot and ground are swapped" + _LIVE, "S"),
    "hgn": ("neutral-ground-swapped", "neutral and ground are swapped: the ground wire carries current", "D"),
    "hnn": ("bootleg-ground", "the ground hole is tied to the neutral at or near the outlet", "S"),
}
_MOVED_ROUND = {
    "ngh": ("moved-round-hot-to-ground", "all three wires are in wrong holes, the hot one at ground" + _LIVE, "D"),
    "ghn": ("moved-round-hot-to-neutral", "all three wires are in wrong holes, the hot one at neutral", "D"),
}
# Two mistakes that hide a live ground or a missing one.
_DOUBLES = {
    "nhh": ("reversed-bootleg-ground", "swapped, and ground tied to the neutral hole" + _LIVE, "D"),
    "nh-": ("reversed-open-ground", "hot and neutral are swapped, and the ground hole is joined to nothing", "D"),
    "h--": ("open-neutral-and-ground", "neutral and ground are both broken before this outlet", "D"),
}


def _wrong_wire(joined: str) -> tuple[str, str, str]:
    """Return id, words and grade of a wiring with one hole on a wrong wire."""
    hole = next(i for i in range(3) if joined[i] != RIGHT[i])
    name, wire = _WIRE[RIGHT[hole]], _WIRE[joined[hole]]
    on = "another hot" if wire == "other-hot" else f"the {wire}"
    carries = {"hgg": ", which carries current", "hnh": _LIVE, "hnk": _LIVE}.get(joined, "")
    return f"{name}-hole-on-{wire}", f"the {name} hole is on {on} wire{carries}", "D"


def _wirings() -> Iterator[Fault]:
    others = {j: _wrong_wire(j) for j in _single_mistakes() if j not in _TERMS and j not in _MOVED_ROUND}
    for joined, (name, says, grade) in (_TERMS | others | _MOVED_ROUND | _DOUBLES).items():
        yield Fault(name, says, joined, grade)


WIRINGS = tuple(_wirings())
# Faults of strength instead of order: classes that each of the three may have, and whether a load is needed to show it.
_WEAK: tuple[tuple[Fault, tuple[str, str, str], bool], ...] = (
    (
        Fault("weak-neutral", "the neutral loses too much: bad joint, overload or a long run", "hng", "D"),
        ("LF", "L", "F"),
        True,
    ),
    (Fault("weak-hot", "the hot loses too much: bad joint, overload or a long run", "hng", "D"), ("F", "F", "Z"), True),
    (Fault("supply-too-low", "the supply itself is far too low", "hng", "D"), ("F", "F", "Z"), False),
)
TOO_HIGH = Fault("supply-too-high", "too high for this outlet: a lost shared neutral, or another system", "hng", "D")
# Of the line; hot wires of one feed stand against each other, and read twice the line (split) or 1.7 times (three-phase).
_POTENTIAL = {"h": 1, "k": -1, "n": 0, "g": 0, "-": None}
_PAIRS = ((0, 1), (0, 2), (1, 2))  # hot-neutral, hot-ground, neutral-ground


def classes(joined: str, tied: bool, loz: bool) -> tuple[str, str, str]:
    """Return the classes that a wiring can show for hot-neutral, hot-ground and neutral-ground.

    Parameters
    ----------
    joined : str
        What the hot, neutral and ground hole are joined to, as in `Fault` [-].
    tied : bool
        A switched-on load joins hot and neutral hole [-].
    loz : bool
        Read with a low-impedance meter [-].

    Returns
    -------
    tuple of str
        Letters that each reading may have: L line, Z zero, F between, H from hot to another hot [-].

    Raises
    ------
    ValueError
        Not three letters out of h, k, n, g and -.

    Notes
    -----
    Ideal supply; drops in sound wire stay inside the classes. A broken hot lies beside neutral and ground and reads zero.

    References
    ----------
    .. [1] Potentials of the three holes (D).

    Examples
    --------
    >>> classes("hng", tied=False, loz=False), classes("h-g", tied=True, loz=False)
    (('L', 'L', 'Z'), ('Z', 'L', 'L'))
    """
    if len(joined) != 3 or not set(joined) <= set(_POTENTIAL):
        raise ValueError(f"joined: found {joined!r}, expected three letters out of {' '.join(_POTENTIAL)}")
    at = [_POTENTIAL[wire] for wire in joined]
    if at[0] is None:
        at[0] = 0 if at[1] is None or not tied else at[1]
    if at[1] is None and tied:
        at[1] = at[0]
    shown = []
    for one, other in _PAIRS:
        here, there = at[one], at[other]
        if here is None or there is None:
            shown.append("Z" if loz else "ZF")
        else:
            shown.append("ZLH"[abs(here - there)])
    return shown[0], shown[1], shown[2]


def fitting(pattern: str, load: Load = "unknown", loz: bool = False) -> tuple[Fault, ...]:
    """Return every listed wiring that can show a pattern of classes.

    Parameters
    ----------
    pattern : str
        Classes of hot-neutral, hot-ground and neutral-ground, such as LLZ [-].
    load : str
        Where a load is switched on: none, here, elsewhere (same circuit), or unknown [-].
    loz : bool
        Read with a low-impedance meter or a test load across the probes [-].

    Returns
    -------
    tuple of Fault
        Those that fit, likelier first; empty where none does [-].

    Raises
    ------
    ValueError
        A pattern that isn't three letters out of Z, F, L, H, or an unknown load.

    Notes
    -----
    One mistake at a time, and some doubles. Three readings compare holes with each other and not with the earth, so two
    mistakes that put hot for neutral everywhere read like the outlet without them: none proves that metal is not live. Where a load is elsewhere, the break
    can be before or behind it, and both are tried. A single floating wire that shows F on one side may reach L on the other.

    References
    ----------
    .. [1] Lamp-tester patterns and pages on open neutrals (S); the rest derived from the wiring (D).

    Examples
    --------
    >>> [fault.id for fault in fitting("ZLL")]
    ['open-neutral', 'hot-ground-reversed', 'neutral-hole-on-hot', 'moved-round-hot-to-ground']
    >>> [fault.id for fault in fitting("LZL") if fault.live_metal]
    ['ground-hole-on-hot']
    """
    if len(pattern) != 3 or not set(pattern) <= set("ZFLH"):
        raise ValueError(f"pattern: found {pattern!r}, expected three letters out of Z, F, L, H")
    if load not in LOADS:
        raise ValueError(f"load: found {load!r}, expected one of {', '.join(LOADS)}")
    found = [TOO_HIGH] if "H" in pattern else []
    found += [fault for fault in WIRINGS if any(_shows(fault.joined, tied, loz, pattern) for tied in _tied(load))]
    found += [
        fault
        for fault, allowed, loaded in _WEAK
        if not (loaded and load == "none") and all(map(str.__contains__, allowed, pattern))
    ]
    return tuple(found)


def _tied(load: Load) -> tuple[bool, ...]:
    return {"none": (False,), "here": (True,)}.get(load, (False, True))


def _shows(joined: str, tied: bool, loz: bool, pattern: str) -> bool:
    allowed = list(classes(joined, tied, loz))
    floating = [index for index, letters in enumerate(allowed) if "F" in letters]
    # One wire that floats between line and zero splits the line in two: a small F beside a large one that passes for L.
    if len(floating) == 2 and any(pattern[index] == "F" for index in floating):
        for index in floating:
            allowed[index] += "L"
    return all(letter in letters for letter, letters in zip(pattern, allowed, strict=True))
