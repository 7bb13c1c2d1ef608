"""Taking a case over: what was heard and answered so far, what is open again, and what is worth another look."""

from typing import TYPE_CHECKING

from ..engine.case import fold
from ..engine.recheck import rechecks
from . import asides

if TYPE_CHECKING:
    from .store import CaseLine
    from .walk import Walk

WHO = {"homeowner": "the homeowner", "desk": "the desk", "technician": "a technician"}


def lines(walk: "Walk", line: "CaseLine") -> list[str]:
    """Return what whoever takes a case up is shown first.

    Parameters
    ----------
    walk : Walk
        With the role that takes it up at the end of its events.
    line : CaseLine
        The case as it was before.
    """
    pen, kb = walk.pen, walk.kb
    state = fold(kb, walk.events)
    reference = f", reference {line.reference}" if line.reference else ""
    out = [pen.paint(f"CASE {line.id}{reference}", "strong")]
    for name in state.complaints:
        out += pen.wrap(kb.complaints[name].says[0].upper() + kb.complaints[name].says[1:] + ".", 3)
    if line.words:
        out += pen.labelled("in words", f'"{"".join(c for c in line.words if c.isprintable())}"')
    if line.earlier:
        out += pen.labelled("before", f"case {line.earlier}; dryfloor show {line.earlier}")
    if asides.answered(walk):
        out += asides.list_lines(walk)
    for note in state.notes:
        out += pen.labelled("note", "".join(c for c in note if c.isprintable()))
    for tried in state.remedies:
        how = {True: "seen to work", False: "it did not help", None: "not proved yet"}[tried.passed]
        done = how if tried.did == "done" else "could not be done"
        out += pen.labelled("mended", f"{kb.causes[tried.cause].remedy.title}: {done}.")
    if state.role != line.role:
        out += pen.wrap(
            f"{WHO[line.role][0].upper()}{WHO[line.role][1:]} had it; none of this is asked again, only what keeps you safe.",
            3,
        )
    return [*out, *_again(walk)]


def _again(walk: "Walk") -> list[str]:
    """Return what is worth another look by better hands."""
    found = rechecks(walk.kb, fold(walk.kb, walk.events))
    if not found:
        return []
    events = walk.events
    number = {events[at].check: n for n, (_, _, at) in enumerate(asides.answered(walk), 1)}
    out = ["", walk.pen.paint("WORTH ANOTHER LOOK", "strong")]
    for r in found:
        out += walk.pen.wrap(
            f"{r.title}: {r.text} {r.minutes:g} min; change {number[r.check]} asks it again.", 6, "   -"
        )
    return out
