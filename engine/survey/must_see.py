"""What nobody leaves without: the lines that must have been seen by a stage, and those of them that a sheet lacks."""

from collections.abc import Collection
from typing import get_args

from msgspec import Struct, structs

from .. import model
from ..case.state import Earlier
from ..diagnosis.earlier import behind
from ..diagnosis.network import network_of
from ..knowledge.graph import family_of
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from ..paper.unread import could_hurt
from ..planning.roles import minutes_of, permitted
from .areas import area_of
from .practice import surely
from .stops import stops

STAGES: tuple[model.Stage, ...] = get_args(model.Stage)


class Missing(Struct, frozen=True, kw_only=True):
    """A line, or a fact that decides about lines, that must be seen before anybody leaves; minutes are those of hands."""

    id: str
    title: str
    why: str
    minutes: float
    fact: bool = False


def stage_of(check: model.Check) -> model.Stage:
    """Return the first stage at which a check can be made."""
    return check.on_sheet.stage if check.on_sheet else "hook-up"


def due(stage: model.Stage | None) -> tuple[model.Stage, ...]:
    """Return a stage and those before it; all of them where none is named.

    Examples
    --------
    >>> due("door")
    ('before', 'door')
    """
    return STAGES[: STAGES.index(stage) + 1] if stage else STAGES


def hand_minutes(check: model.Check, hands: str) -> float:
    """Return how long some hands are busy with a check: what runs by itself is not counted [minutes].

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> hand_minutes(load_kb().checks["spin-stays-put"], "technician")
    1.0
    """
    whole = minutes_of(check.minutes, hands) or 0.0
    alone = check.on_sheet.by_itself if check.on_sheet else None
    if not alone:
        return whole
    technician = check.minutes.technician or whole
    # Other hands take as much longer for their part as for the whole.
    return round(whole * (technician - alone) / technician, 2)


def must_see(kb: model.KB, hands: str, stage: model.Stage | None = None) -> list[model.Check]:
    """Return the checks that must have been made by a stage, where their circumstances hold, in the order of the kb."""
    return [
        c
        for c in kb.checks.values()
        if c.on_sheet and c.on_sheet.must_see and c.on_sheet.stage in due(stage) and permitted(kb, c, hands)
    ]


def due_at(check: model.Check, stage: model.Stage) -> bool:
    """Return whether a line is asked at a stage: its own, and what was asked on the phone at each one after, until somebody measured it there.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> [due_at(kb.checks["standpipe-height"], stage) for stage in ("before", "hook-up", "leaving")]
    [True, True, True]
    >>> [due_at(kb.checks["standpipe-bore"], stage) for stage in ("before", "hook-up", "leaving")]
    [False, True, False]
    """
    if stage_of(check) != STAGES[0]:
        return stage_of(check) == stage
    last = check.on_sheet.until if check.on_sheet else None
    return last is None or STAGES.index(stage) <= STAGES.index(last)


def served(kb: model.KB, filled: FilledSheet, check: model.Check) -> bool:
    """Return whether a line that must be seen was, or what does in its place: by whoever is there, not by a customer's word."""
    names = [check.id, *(check.on_sheet.instead if check.on_sheet else [])]
    return any(n in filled.readings and n not in filled.told for n in names)


def places(kb: model.KB) -> dict[str, str]:
    """Return the lines that do in the place of one that must be seen, each with that one.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> places(load_kb())
    {'hose-depth': 'hose-sealed'}
    """
    return {n: c.id for c in kb.checks.values() if c.on_sheet and c.on_sheet.must_see for n in c.on_sheet.instead}


def again(kb: model.KB, filled: FilledSheet) -> dict[str, str]:
    """Return the filled lines that somebody must see once more, each with why: a word on the phone is no look, nor a run before the mends.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> said = {"outlet-holes": "three-holes", "tub-volume": "20 gal"}
    >>> again(load_kb(), FilledSheet("s", {}, said, None, "technician", tuple(said)))
    {'outlet-holes': 'told by the customer as "three holes, and the plug is straight in", look again'}
    """
    out = {}
    mended = [kb.checks[s.check] for s in stops(kb, filled)]
    other = places(kb)
    for name, said in filled.readings.items():
        check = kb.checks[name]
        text = check.answers[said].says if check.answers else said
        of = kb.checks[other.get(name, name)]
        if name in filled.told and of.on_sheet and of.on_sheet.must_see:
            if not served(kb, filled, of):
                out[name] = f'told by the customer as "{text}", look again'
        elif check.only_proof and not check.wrong(said) and any(changes(kb, filled, m, check) for m in mended):
            out[name] = f'run before the mends ("{text}"), run it again after them'
    return out


def changes(kb: model.KB, filled: FilledSheet, mended: model.Check, run: model.Check) -> bool:
    """Return whether the mend of what a line found can change what a watched run shows: by the faults that may be behind it.

    Its own proof is run after each of them; any other where its `again_after` names their family, the folder that the kb keeps them in. A
    coupling that is tightened leaves the spin as it was.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> drips = FilledSheet("s", {}, {"drip-rate": "dripping"}, None, "technician")
    >>> [r for r in ("fill-and-watch", "full-drain-stays-in", "spin-stays-put") if changes(kb, drips, kb.checks["drip-rate"], kb.checks[r])]
    ['fill-and-watch']
    """
    families = run.on_sheet.again_after if run.on_sheet else None
    if families is None:
        return True
    then = Earlier(mended.id, filled.readings[mended.id], filled.by(mended.id))
    causes = [c for c in behind(network_of(kb), then) if holds(kb.causes[c].when, filled.facts)]
    if not causes:  # no fault of the kb is behind it: what part of the house its rule is about
        return area_of(kb, "rules", mended.rule or "") in families
    return any(kb.causes[c].proof.check == run.id or family_of(kb, c) in families for c in causes)


def asked_again(kb: model.KB, filled: FilledSheet) -> dict[str, str]:
    """Return the filled lines that are asked once more, each with why: what must be seen again, and what was measured on the phone alone.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> said = {"standpipe-height": "42 in", "gap-behind": "4 in"}
    >>> asked_again(load_kb(), FilledSheet("s", {}, said, None, "technician", tuple(said)))
    {'standpipe-height': 'told by the customer as "42 in"; measure it here'}
    """
    out = again(kb, filled)
    for name in filled.told:
        check = kb.checks[name]
        if stage_of(check) == STAGES[0] and check.on_sheet and not check.on_sheet.must_see:
            said = filled.readings[name]
            text = check.answers[said].says if check.answers else said
            out[name] = f'told by the customer as "{text}"; {"measure it" if check.kind == "measure" else "look"} here'
    return out


def without(filled: FilledSheet, names: Collection[str]) -> FilledSheet:
    """Return a sheet with some of its lines empty again."""
    readings = {n: said for n, said in filled.readings.items() if n not in names}
    told, declined = (tuple(n for n in some if n not in names) for some in (filled.told, filled.declined))
    return structs.replace(filled, readings=readings, told=told, declined=declined)


def missing(kb: model.KB, filled: FilledSheet, stage: model.Stage | None = None) -> list[Missing]:
    """Return what a sheet lacks of what must have been seen by a stage; an empty list where it is finished.

    Parameters
    ----------
    kb : KB
    filled : FilledSheet
    stage : str, optional
        The last unless said.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [m.id for m in missing(load_kb(), FilledSheet("s", {}, {}, None, "technician"), "before")]
    ['supply-system']
    """
    lines, facts = [], {}
    once_more = {} if stage == "before" else again(kb, filled)  # the phone check is no more than a word
    unread = {u.name: u.said for u in filled.unread}
    must = must_see(kb, filled.hands, stage)
    for check in must:
        if surely(check.when, filled.facts):
            seen = check.id in filled.readings if stage == STAGES[0] else served(kb, filled, check)
            if not seen or check.id in once_more:
                why = check.on_sheet.must_see if check.on_sheet and check.on_sheet.must_see else ""
                why = f"{once_more[check.id]}: {why}" if check.id in once_more else why
                why = f'"{unread[check.id]}" was not understood: {why}' if check.id in unread else why
                why = f"declined, and yet nobody leaves without it: {why}" if check.id in filled.declined else why
                lines.append(
                    Missing(id=check.id, title=check.title, why=why, minutes=hand_minutes(check, filled.hands))
                )
        elif holds(check.when, filled.facts):
            for name in check.when:
                if name not in filled.facts:
                    facts[name] = kb.facts[name]
    # What somebody wrote where an answer could keep the machine from being run is not passed over.
    lines += [
        Missing(
            id=c.id,
            title=c.title,
            why=f'"{said}" was not understood, and an answer there can be a danger',
            minutes=hand_minutes(c, filled.hands),
        )
        for name, said in unread.items()
        if could_hurt(kb, name) and (c := kb.checks[name]) not in must and name not in filled.readings
    ]
    asked = [
        Missing(
            id=f.id,
            title=f.title,
            why="it decides what else must be seen",
            minutes=minutes_of(f.minutes, filled.hands) or 0.0,
            fact=True,
        )
        for f in facts.values()
    ]
    return [*asked, *lines]
