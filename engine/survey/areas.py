"""The walk round the machine: its areas in order, and the checks and facts that a survey goes through."""

from .. import model

# The walk round the machine: its feet, behind it the drain and its hose, taps and hoses, the fill, the outlet, the room, then use.
AREAS = (
    "stand", "noise", "drain", "no_drain", "supply", "fill", "power", "no_power", "live", "lights", "cold", "use",
    "first_run", "spin_wet", "suds_or_smell",
)  # fmt: skip
TITLES = {
    "stand": "What it stands on",
    "drain": "Drain",
    "no_drain": "Drain hose and pump",
    "supply": "Taps and hoses",
    "fill": "Filling",
    "power": "Outlet and circuit",
    "cold": "Cold",
    "use": "Room and hot water",
    "noise": "Noise",
    "no_power": "Power",
    "live": "Live readings",
    "lights": "Lights and display",
    "first_run": "First run",
    "spin_wet": "Spin",
    "suds_or_smell": "Suds and smell",
}
# Habits of a household: a survey judges them where they are given, but its sheet does not ask them of an installer.
HABITS = ("spin_wet", "suds_or_smell")
# Facts of a history, which a finished installation does not have yet.
HISTORY = ("onset", "rhythm")
# What a washer must have been used for.
USED = ("recent-frost",)


def area_of(kb: model.KB, kind: str, name: str) -> str:
    """Return the area of a rule or a check: the file that it stands in."""
    return kb.places.get(f"{kind}/{name}", "").rpartition(":")[0].rpartition("/")[2].removesuffix(".yaml")


def area_rank(area: str) -> int:
    """Return where an area comes in the walk round the machine."""
    return AREAS.index(area) if area in AREAS else len(AREAS)


def area_title(area: str) -> str:
    """Return an area's name for people."""
    return TITLES.get(area, area.replace("_", " ").capitalize())


def measurers(kb: model.KB) -> dict[str, list[model.Check]]:
    """Return the checks tied to each rule, proofs left out."""
    out: dict[str, list[model.Check]] = {}
    for check in kb.checks.values():
        if check.rule and not check.only_proof:
            out.setdefault(check.rule, []).append(check)
    return out


def asked_facts(kb: model.KB) -> list[model.Fact]:
    """Return the facts of a site that a survey asks.

    What was tried before, and a complaint's history, are not among them; nor is which code is in force where none of the
    rules that hang on it is read by any check.
    """
    ties = measurers(kb)
    read = {f for name in ties for f in kb.rules[name].when}
    return [
        f
        for f in kb.facts.values()
        if not f.id.startswith("tried-")
        and f.id not in HISTORY
        and (f.id in read or not any(o.unknown for o in f.options.values()))
    ]


def beforehand(kb: model.KB) -> list[model.Fact]:
    """Return the facts that a caller is asked before delivery: no code, and nothing that a washer must have been used for.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> asked = [f.id for f in beforehand(load_kb())]
    >>> "drain" in asked, "recent-frost" in asked, "code-edition" in asked
    (True, False, False)
    """
    return [f for f in asked_facts(kb) if f.id not in USED and not any(o.unknown for o in f.options.values())]
