"""What is built: the values that a kept or broken rule has in real laundry rooms, and the circumstances that go together.

The kb's `plausible` says where a true value can lie at all; a drill must show what somebody would believe. All bands are judgement.
"""

from collections.abc import Callable

from msgspec import Struct

from .. import model
from ..measurement import quantity

Draw = Callable[[str], float]
Part = Callable[[str], str]


class Built(Struct, frozen=True):
    """Where readings lie that are below, within and above a rule's limits: a range, or single values parted by |."""

    below: str = ""
    within: str = ""
    above: str = ""


# By the rule that a check measures.
BANDS = {
    "cold-hose-flow": Built("0.8 gpm to 2.2 gpm", "3.6 gpm to 6.5 gpm"),
    "hot-hose-flow": Built("0.8 gpm to 2.2 gpm", "3.6 gpm to 6 gpm"),
    "cold-hose-temperature": Built("", "48 F to 70 F", "98 F to 116 F"),
    "hot-hose-temperature": Built("56 F to 92 F", "109 F to 115 F", "128 F to 140 F"),
    "heater-hot-enough": Built("90 F to 102 F", "115 F to 117 F"),
    "water-heater-setting": Built("", "115 F to 117 F", "128 F to 145 F"),
    "hot-water-arrives": Built("", "10 s to 40 s", "85 s to 150 s"),
    "fill-coupling-turn": Built("1/8 turn|1/4 turn", "2/3 turn", "1 turn|1 1/4 turns"),
    "drain-slope-2in-ipc": Built("1/16 in/ft|1/8 in/ft", "3/8 in/ft|1/2 in/ft"),
    "fill-hose-age": Built("", "1 year to 3 years", "8 years to 16 years"),
    "first-fill-time": Built("", "2 min to 4 min", "9 min to 20 min"),
    "washer-flowing-pressure": Built("6 psi to 14 psi", "35 psi to 55 psi", "130 psi to 140 psi"),
    "house-pressure": Built("", "50 psi to 70 psi", "90 psi to 115 psi"),
    "all-feet-bear": Built("", "0 mm to 0.5 mm", "1.5 mm to 4 mm"),
    "clearance-above-lid": Built("14 in to 18 in", "22 in to 48 in"),
    "gap-behind-washer": Built("3/4 in to 2 in", "4 in to 8 in"),
    "clearance-side": Built("0 in to 1/2 in", "1 1/2 in to 6 in"),
    "hose-insertion-depth": Built("", "5 in to 7 in", "11 in to 20 in"),
    "supply-voltage": Built("103 V to 110 V", "117 V to 122 V", "129 V to 132 V"),
    "supply-voltage-230": Built("190 V to 200 V", "224 V to 238 V", "259 V to 263 V"),
    "branch-voltage-drop": Built("", "0.8 V to 2.4 V", "5 V to 9 V"),
    "branch-voltage-drop-230": Built("", "2 V to 7 V", "15 V to 22 V"),
    "neutral-to-ground": Built("", "0.3 V to 2 V", "8 V to 15 V"),
    "branch-run-length": Built("", "20 ft to 55 ft", "95 ft to 140 ft"),
    "outlet-distance-nec": Built("", "1 ft to 5 ft", "8 ft to 12 ft"),
    "hot-run-interval": Built("", "1 week to 3 weeks", "3 months to 9 months"),
    "level-side-to-side": Built("", "0 in/ft|1/32 in/ft", "1/4 in/ft|3/8 in/ft|1/2 in/ft"),
    "level-front-to-back": Built("", "0 in/ft|1/32 in/ft", "1/4 in/ft|3/8 in/ft|1/2 in/ft"),
    "supply-pipe-frost-alert": Built("-6 F to 14 F", "26 F to 30 F"),
    "room-above-freezing": Built("14 F to 26 F", "60 F to 68 F"),
    "restraints-out-near-place": Built("", "0 ft|1 ft", "15 ft to 40 ft"),
    "pump-out-time": Built("", "1.5 min to 3 min", "6 min to 9 min"),
    "standpipe-bore": Built("1 3/8 in|1 5/8 in", "2 1/16 in"),
    "standpipe-height": Built("24 in to 35 in", "41 in to 46 in", "98 in to 102 in"),
    "spun-towel-water": Built("", "0 cup|1 tbsp", "1/2 cup|3/4 cup|1 cup"),
    "trap-arm-length-ipc-2in": Built("", "2 ft to 5 ft", "10 ft to 14 ft"),
    "trap-seal": Built("0 in to 1 in", "2 3/4 in|3 in", "5 1/2 in|6 in"),
    "tub-rim-height": Built("30 in to 36 in", "40 in to 42 in"),
    "tub-volume": Built("9 gal to 15 gal", "23 gal to 26 gal"),
    "washer-leakage-ul": Built("", "0.1 mA to 0.4 mA", "1.5 mA to 4 mA"),
    "washer-leakage-iec": Built("", "0.3 mA to 2 mA", "5 mA to 9 mA"),
    "washing-taken-out": Built("", "1 h to 5 h", "20 h to 48 h"),
    "fill-hose-inspected": Built("", "1 month to 4 months", "2 years to 6 years"),
}  # fmt: skip
# Water heated once and read at a tap or a hose; how much cooler the hose's end is [K].
HOT_HOSE_LOSS = 2.0
# What the pipe loses while water runs, of the standing pressure [-].
FLOW_KEEPS = (0.62, 0.85)
# Height of the trap weir above what the washer stands on, and the least and most that are built [m].
WEIR = (0.1, 0.45)
SUPPLY = "us-120"  # the supply system of a drill where no fault asks for another, and of a quiz
NEW_HOSES = "2 weeks to 6 weeks"
COLD_ROOM = "38 F to 48 F"
NO_FROST_OUTSIDE = "36 F to 55 F"
IN = 0.0254

# Circumstances that nobody finds together: where the first holds, the second option is changed to the third.
Fit = tuple[str, tuple[str, ...], str, tuple[str, ...], str]
STACKED = ("stacked-electric-dryer", "stacked-gas-dryer", "stacked-dryer")
US_PLUMBING = ("ipc", "irc", "upc", "ontario", "baltimore")
NEC = ("nec-2011", "nec-2014", "nec-2017", "nec-2020", "nec-2023")
FITS: tuple[Fit, ...] = (
    # Whoever stands before it sees whether the dryer burns gas.
    ("machine", ("top-loader", "front-loader"), "dryer-beside", ("stacked-dryer",), "stacked-electric-dryer"),
    ("machine", ("top-loader",), "dryer-beside", STACKED, "electric-dryer"),
    ("machine", ("top-loader",), "raised", ("pedestal",), "no-base"),
    ("dryer-beside", STACKED, "raised", ("pedestal", "platform"), "no-base"),
    ("supply-system", ("us-120",), "code-edition", ("iec-60364",), "unknown-edition"),
    ("supply-system", ("eu-230",), "code-edition", NEC, "unknown-edition"),
    ("supply-system", ("eu-230",), "plumbing-code", US_PLUMBING, "unknown-code"),
    ("supply-system", ("eu-230",), "building-code", ("irc-house", "ibc-imc"), "unknown-building-code"),
    ("plumbing-code", ("ontario",), "code-edition", NEC, "unknown-edition"),
    ("plumbing-code", ("ontario",), "building-code", ("irc-house", "ibc-imc"), "unknown-building-code"),
    ("place", ("heated",), "recent-frost", ("frost",), "no-frost"),
)  # fmt: skip

# What an answer says of the past, which the fact of when it began must not deny.
HISTORY = {
    ("drain-slowed-how", "slower"): ("onset", "slowly"),
    ("bang-history", "crept"): ("onset", "slowly"),
    ("noise-crept-up", "crept"): ("onset", "slowly"),
    ("bang-first-fill-only", "first-only"): ("onset", "new"),
    ("what-it-smells-of", "plastic"): ("onset", "new"),
}
# A cause that a circumstance makes so many times rarer is not shown under it: nobody would believe it [-].
UNBELIEVED = 0.05


def fitted(facts: dict[str, str], kept: set[str]) -> dict[str, str]:
    """Return circumstances that go together; those that a fault at work asks for are kept as they are.

    Parameters
    ----------
    facts : dict
        Fact -> option.
    kept : set of str
        Facts that must stay; where such a one is the second of a pair, the first is left, too.

    Examples
    --------
    >>> fitted({"machine": "top-loader", "raised": "pedestal"}, set())["raised"]
    'no-base'
    """
    out = dict(facts)
    for first, options, second, wrong, right in FITS:
        if out.get(first) in options and out.get(second) in wrong and second not in kept:
            out[second] = right
    return out


def unfit(facts: dict[str, str]) -> list[str]:
    """Return the pairs of circumstances that nobody finds together, in words.

    Examples
    --------
    >>> unfit({"machine": "top-loader", "raised": "pedestal"})
    ['machine top-loader with raised pedestal']
    """
    return [
        f"{first} {facts[first]} with {second} {facts[second]}"
        for first, options, second, wrong, _ in FITS
        if facts.get(first) in options and facts.get(second) in wrong
    ]


def value(rule: model.Rule, part: str, draw: Draw, facts: dict[str, str], part_of: Part) -> float | str | None:
    """Return a value that is built where a rule is kept or broken [SI], or one in trade notation as it is.

    Parameters
    ----------
    rule : Rule
        The one that a check measures.
    part : str
        below, within or above.
    draw : callable
        From a key to a number from 0 to 1, the same each time.
    facts : dict
        Of the site: a new machine has new hoses.
    part_of : callable
        From the id of another rule to its part here: one tap has one temperature.

    Returns
    -------
    float, str or None
        None where nothing is known of what is built.
    """
    if rule.id == "standpipe-height-ipc":
        return _above_weir(part, draw, part_of)
    if rule.id in ("heater-hot-enough", "water-heater-setting"):
        return _tap(draw, part_of)
    if rule.id == "hot-hose-temperature" and (part != "below" or part_of("heater-hot-enough") == "below"):
        return _tap(draw, part_of) - HOT_HOSE_LOSS
    if rule.id == "washer-flowing-pressure" and part == "within":
        keeps = FLOW_KEEPS[0] + (FLOW_KEEPS[1] - FLOW_KEEPS[0]) * draw("keeps")
        return keeps * _number("house-pressure", part_of("house-pressure"), "pressure", draw)
    text = _text(rule, part, facts)
    return _in(text, rule.measures, draw(f"built|{rule.id}")) if text else None


def implied(rule_id: str, part: str, part_of: Part) -> str:
    """Return on which side a rule is here, given what others are: what comes out of the tap comes out of the hose.

    Parameters
    ----------
    rule_id : str
    part : str
        What the faults at work show of this rule alone.
    part_of : callable
        From the id of another rule to its part here.

    Examples
    --------
    >>> implied("hot-hose-temperature", "within", {"heater-hot-enough": "below"}.get)
    'below'
    """
    if rule_id == "hot-hose-temperature" and part == "within":
        if part_of("heater-hot-enough") == "below":
            return "below"
        if part_of("water-heater-setting") == "above":
            return "above"
    return part


def _text(rule: model.Rule, part: str, facts: dict[str, str]) -> str:
    if part == "within":
        if rule.id == "fill-hose-age" and facts.get("onset") == "new":
            return NEW_HOSES
        if rule.id == "room-above-freezing" and facts.get("place") == "unheated":
            return COLD_ROOM
        if rule.id == "supply-pipe-frost-alert" and facts.get("recent-frost") != "frost":
            return NO_FROST_OUTSIDE
    band = BANDS.get(rule.id)
    return getattr(band, part) if band else ""


def _number(name: str, part: str, measures: str, draw: Draw) -> float:
    found = _in(getattr(BANDS[name], part), measures, draw(f"built|{name}"))
    return found if isinstance(found, float) else quantity.parse(found, measures)


def _in(text: str, measures: str, at: float) -> float | str:
    """Return the value of a band at a share of its way; single values are taken as they are written."""
    single = [v.strip() for v in text.split("|")]
    if " to " not in text:
        return single[min(int(at * len(single)), len(single) - 1)]
    low, high = quantity.plausible(text, measures)
    return low + at * (high - low)


def _tap(draw: Draw, part_of: Part) -> float:
    """Return the temperature of the hot tap: one water for both rules that are read there [°C]."""
    if part_of("heater-hot-enough") == "below":
        return _number("heater-hot-enough", "below", "temperature", draw)
    return _number("water-heater-setting", part_of("water-heater-setting"), "temperature", draw)


def _above_weir(part: str, draw: Draw, part_of: Part) -> float | None:
    """Return the pipe's top above its trap weir: what its height leaves above a weir that is built [m]."""
    top = _number("standpipe-height", part_of("standpipe-height"), "length", draw)
    least, most = {"below": (4 * IN, 16 * IN), "within": (19.5 * IN, 40.5 * IN), "above": (44 * IN, 98 * IN)}[part]
    low, high = max(least, top - WEIR[1]), min(most, top - WEIR[0])
    return low + draw("weir") * (high - low) if low <= high else None
