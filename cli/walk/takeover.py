"""Taking a case over: what was heard and answered so far, what is open again, and what is worth another look."""

from typing import TYPE_CHECKING

from ...engine import model
from ...engine.case.events import Event
from ...engine.case.state import fold
from ...engine.reports.recheck import rechecks
from ..terminal.layout import Layout
from . import side_commands
from .conversation import Conversation

if TYPE_CHECKING:
    from ..store.store import CaseLine

WHO = {"homeowner": "The homeowner", "desk": "The desk", "technician": "A technician"}


def lines(talk: Conversation, line: "CaseLine") -> list[str]:
    """Return what whoever takes a case up is shown first.

    Parameters
    ----------
    talk : Conversation
        With the role that takes it up at the end of its events.
    line : CaseLine
        The case as it was before.
    """
    layout = talk.layout
    reference = f", reference {line.reference}" if line.reference else ""
    out = [layout.paint(text, "strong") for text in layout.wrap(f"CASE {line.id}{reference}")]
    out += told(layout, talk.kb, talk.events)
    if line.earlier:
        out += layout.labelled("before", f"case {line.earlier}; dryfloor show {line.earlier}")
    if line.state == "waiting" and line.why:
        out += layout.labelled("handed on", line.why if line.why.endswith(".") else f"{line.why}.", "", True)
    if fold(talk.kb, talk.events).role != line.role:
        who = WHO[line.role]
        out += layout.wrap(f"{who} had it; none of this is asked again, only what keeps you safe.", 3)
    again = opened(talk.kb, talk.events)
    if again:
        out += layout.labelled("open", f"again, because your hands may: {', '.join(again)}.")
    return [*out, *_again(talk)]


def opened(kb: model.KB, events: list[Event]) -> list[str]:
    """Return the titles of what the hands before had to pass over and the hands of now may do.

    Parameters
    ----------
    kb : KB
    events : list of Event
        With whoever takes it up at its end.
    """
    at = max((n for n, e in enumerate(events) if e.role or e.hands), default=0)
    before = dict(fold(kb, events[:at]).passed_over)
    left = dict(fold(kb, events).passed_over)
    return [kb.checks[n].title.lower() for n in before if n not in left and n in kb.checks]


def told(layout: Layout, kb: model.KB, events: list[Event]) -> list[str]:
    """Return what is known of a case: complaints, words, answers, notes, and what was mended.

    Parameters
    ----------
    layout : Layout
    kb : KB
    events : list of Event
        Those that this kb understands.
    """
    state = fold(kb, events)
    gone = dict(state.gone)
    out: list[str] = []
    for name in state.complaints:
        says = kb.complaints[name].says
        out += layout.wrap(f"{says[0].upper()}{says[1:]}{': gone' if name in gone else ''}.", 3)
    for words in state.words:
        out += layout.labelled("in words", f'"{"".join(c for c in words if c.isprintable())}"')
    for n, (title, said, _) in enumerate(side_commands.answers_of(kb, events), 1):
        out += layout.wrap(f"{title}: {said}", 6, f"   {n}")
    out += side_commands.then_lines(layout, kb, events)
    for note in state.notes:
        out += layout.labelled("note", "".join(c for c in note if c.isprintable()))
    for tried in state.remedies:
        how = {True: "seen to work", False: "it did not help", None: "not proved yet"}[tried.passed]
        done = how if tried.did == "done" else "could not be done"
        out += layout.labelled("mended", f"{kb.causes[tried.cause].remedy.title}: {done}.")
    return out


def _again(talk: Conversation) -> list[str]:
    """Return what is worth another look by better hands."""
    found = rechecks(talk.kb, fold(talk.kb, talk.events))
    if not found:
        return []
    events = talk.events
    number = {events[at].check: n for n, (_, _, at) in enumerate(side_commands.answered(talk), 1)}
    out = ["", talk.layout.paint("WORTH ANOTHER LOOK", "strong")]
    for r in found:
        out += talk.layout.wrap(
            f"{r.title}: {r.text} {r.minutes:g} min; change {number[r.check]} asks it again.", 6, "   -"
        )
    return out
