"""One walk round the machine: each place once, each tool fetched once."""

from typing import get_args

from .. import model
from ..survey.areas import area_of
from ..survey.must_see import STAGES, stage_of

SPOTS: tuple[model.Spot, ...] = get_args(model.Spot)
AT: dict[model.Spot, str] = {
    "front": "In front, and the drum",
    "below": "Below: floor and feet",
    "back": "Behind",
    "wall": "At the wall",
    "house": "Elsewhere in the house",
    "place": "In place: level and feet",
    "run": "One run, watched",
}
# Where a check has no place of its own on a sheet, the part of its rule says where one stands.
BY_AREA: dict[str, model.Spot] = {
    "stand": "below", "noise": "run", "drain": "wall", "no_drain": "back", "supply": "back", "fill": "wall", "power": "wall",
    "no_power": "wall", "live": "wall", "lights": "front", "cold": "house", "use": "house", "first_run": "run",
}  # fmt: skip


def spot_of(kb: model.KB, check: model.Check) -> model.Spot:
    """Return where one stands for a check.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> spot_of(kb, kb.checks["hose-depth"]), spot_of(kb, kb.checks["spin-stays-put"])
    ('wall', 'run')
    """
    if check.on_sheet:
        return check.on_sheet.at
    return BY_AREA.get(area_of(kb, "rules", check.rule or ""), "run" if check.only_proof else "front")


def tools_of(checks: list[model.Check]) -> list[str]:
    """Return what to take along for some checks, each once, in the order of its first use."""
    return list(dict.fromkeys(t for c in checks for t in c.tools))


def in_order(kb: model.KB, checks: list[model.Check]) -> list[model.Check]:
    """Return checks in one walk: place by place; in a place those that share a tool together, and what must come first before what needs it.

    Parameters
    ----------
    kb : KB
    checks : list of Check
    """
    out: list[model.Check] = []
    for spot in SPOTS:
        here = sorted(
            (c for c in checks if spot_of(kb, c) == spot), key=lambda c: (STAGES.index(stage_of(c)), c.tools, c.id)
        )
        out += _by_tool(here)
    return out


def _by_tool(here: list[model.Check]) -> list[model.Check]:
    """Return checks of one place: whatever needs no tool, then tool by tool, each tool once in the hand as far as that goes."""
    left = list(here)
    out: list[model.Check] = []
    held: set[str] = set()
    while left:
        names = {c.id for c in left}
        free = [c for c in left if not any(o.check in names for o in c.only_if)] or left
        # Nothing new to take up comes first, then what shares most with the tools in the hand.
        best = min(
            free,
            key=lambda c: (
                bool(set(c.tools) - held),
                -len(set(c.tools) & held),
                STAGES.index(stage_of(c)),
                len(c.tools),
                c.id,
            ),
        )
        out.append(best)
        left.remove(best)
        held |= set(best.tools)
    return out
