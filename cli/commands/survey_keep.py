"""A survey sheet put into the store: an installation, by its reference; it stands open until what is left was mended and seen."""

import argparse
from typing import TYPE_CHECKING, NamedTuple

from ..terminal.env import Env

if TYPE_CHECKING:
    from ...engine.case.installed import Left
    from ...engine.paper.filled_sheet import FilledSheet
    from ...engine.survey.assess import Survey
    from ..store.store import Store


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
        to_mend, to_see, declined = left(done)
        events = installation(
            filled.machine, filled.facts, filled.readings, measured, filled.told, filled.hands, verdict,
            to_mend=to_mend, to_see=to_see, declined=declined, before=before,
            day=store.today(),
            says={n: kb.checks[n].answers[s].says for n, s in filled.readings.items() if s in kb.checks[n].answers},
            notes=filled.notes,
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


def left(done: "Survey") -> "tuple[list[Left], list[Left], list[Left]]":
    """Return what a survey leaves: to mend, to be seen, declined."""
    from ...engine.case.installed import Left

    to_mend = [
        Left(f.check, f.title, f"{f.said}. {f.mend.title}, by {f.mend.by_text}")
        for f in done.findings
        if f.check and not f.declined
    ]
    named = {x.check for x in to_mend}
    to_mend += [Left(s.check, s.title, s.said) for s in done.stops if s.check not in named]
    to_see = [Left(m.id, m.title) for m in done.missing]
    return to_mend, to_see, [Left(x.check, x.title, x.text) for x in done.declined if x.kind != "stays"]
