"""A survey sheet put into the store: an installation, by its reference; it stands open until what is left was mended and seen."""

import argparse
from typing import TYPE_CHECKING, NamedTuple

from ..terminal.env import Env

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.installed import Left
    from ...engine.paper.filled_sheet import FilledSheet
    from ...engine.survey.assess import Survey
    from ..store.store import Store


UNTIL_KNOWN = "advice, as long as"  # the code in force is not known


class Kept(NamedTuple):
    """What was kept: the case, whether it stands open, and what the sheet left and mended."""

    case: str
    open: bool
    to_mend: "list[Left]"
    to_see: "list[Left]"
    mended: "list[Left]"


def keep(args: argparse.Namespace, env: Env, filled: "FilledSheet", done: "Survey", verdict: str) -> Kept:
    """Put a sheet into the store; one whose reference has an installation that stands open goes on with that.

    Parameters
    ----------
    args : Namespace
        `reference`, else the sheet's title is what it is found by; `kb` and `store`.
    env : Env
    filled : FilledSheet
    done : Survey
        What became of it.
    verdict : str
        The survey's one word.

    Raises
    ------
    InvalidInputError
        If it can't be kept.
    """
    from ...engine.case.installed import installation, surveyed
    from ..inputs import load
    from ..store.opening import open_store
    from ..walk.session import stamp_of

    kb = load(args, env)
    measured = [n for n in filled.readings if kb.checks[n].kind == "measure"]
    named = args.reference or ("" if filled.title == "Survey" else filled.title)
    reference = " ".join("".join(c if c.isprintable() else " " for c in named).split())
    with open_store(args, env) as store, store.together():
        case = _standing_open(store, reference)
        before = store.events(case) if case else []
        to_mend, to_see, declined = left(done, kb, filled)
        events = installation(
            filled.machine, filled.facts, filled.readings, measured, filled.told, filled.hands, verdict,
            to_mend=to_mend, to_see=to_see, declined=declined, before=before,
            day=store.today(),
            says={n: kb.checks[n].answers[s].says for n, s in filled.readings.items() if s in kb.checks[n].answers},
            notes=filled.notes,
            right=seen_right(kb, filled, done),
        )  # fmt: skip
        case = case or store.begin(reference, kb=stamp_of(args))
        for event in events:
            store.add(case, event)
        store.decline(case)
        line = store.line(case)
        found = surveyed([*before, *events])
    assert found is not None  # its last event says so
    return Kept(case, line.state == "open", found.to_mend, found.to_see, found.mended)


def _standing_open(store: "Store", reference: str) -> str | None:
    """Return the installation of a reference that stands open, the last touched."""
    if not reference:
        return None
    found = [c for c in store.find(reference=reference) if c.closed == "to-mend" and not c.damage]
    return next((c.id for c in found if not store.held(c.id)), None)


def left(done: "Survey", kb: "model.KB", filled: "FilledSheet") -> "tuple[list[Left], list[Left], list[Left]]":
    """Return what a survey leaves: to mend, to be seen, declined.

    A sheet of an earlier stage leaves to be seen what nobody leaves without at the last; so does one that says what nobody understood, and one on
    which a line that must be seen is neither right nor declined.
    """
    from ...engine.case.installed import Left
    from ...engine.survey.must_see import missing

    to_mend = [
        Left(f.check, f.title, f"{f.said}. {f.mend.title}, by {f.mend.by_text}")
        for f in done.findings
        if f.check and not f.declined
    ]
    named = {x.check for x in to_mend}
    to_mend += [Left(s.check, s.title, s.said) for s in done.stops if s.check not in named]
    declined = [Left(x.check, x.title, x.text) for x in done.declined if x.kind != "stays"]
    passed = {x.check for x in (*to_mend, *declined)}
    # What is seen to be wrong is no less so where the code that asks for it stands here from memory.
    for name, said in filled.readings.items():
        check = kb.checks[name]
        # Nor is it where nobody knows whether any code asks for it.
        verdicts = {x.verdict for x in done.lines if x.check == name and not x.advice.startswith(UNTIL_KNOWN)}
        wrong = check.answers and check.wrong(said) and not check.only_proof
        if wrong and name not in passed and verdicts == {"broken"}:
            to_mend.append(Left(name, check.title, check.answers[said].says))
            passed.add(name)
    lacks = missing(kb, filled)
    to_see = [Left(m.id, m.title) for m in lacks]
    seen = {m.id for m in lacks}
    to_see += [
        Left(u.name, u.title, f'"{u.said}" was not understood')
        for u in done.unread
        if u.block == "readings" and u.name in kb.checks and u.name not in seen | passed
    ]
    must = {c.id for c in kb.checks.values() if c.on_sheet and c.on_sheet.must_see}
    unsure = {
        x.check: x for x in done.lines if x.counted and x.verdict == "too-close" and x.check in must - passed - seen
    }
    to_see += [Left(name, kb.checks[name].title, "too close to call") for name in unsure]
    return to_mend, to_see, declined


def seen_right(kb: "model.KB", filled: "FilledSheet", done: "Survey") -> set[str]:
    """Return the lines that whoever is there saw right: judged and within, or proved; nothing that was told, too close, or ruled out."""
    judged = [x for x in done.lines if x.check and x.verdict in ("within", "too-close", "broken")]
    # A stand-in past its limit convicts nobody; what is seen to be wrong is wrong, though only a code that may be in force asks for it.
    wrong = {x.check for x in judged if x.verdict != "within" and (x.counted or not x.measured)}
    right = {x.check for x in judged} - wrong
    right |= {p.check for p in done.proofs if p.passed and not p.told and not p.again}
    return right - {s.check for s in done.stops} - {*filled.told}
