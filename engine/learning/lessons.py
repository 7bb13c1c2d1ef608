"""A closed case as a lesson: its evidence and its outcome, or why it teaches nothing.

Only a proof that was seen, a later visit for the same trouble, or "it turned out to be" gives the cause. A case that was handed on without
one is censored, not negative: its answers count, and its cause stays as likely as they make it. Where an office was told that it is solved, and
nobody saw it, what was mended last is taken for the cause with less weight (`counts.REPORTED_WRONG`), and is no truth that a finding is held against.
"""

from collections.abc import Collection, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from .. import model
from ..case.events import Event
from ..case.rows import leading
from ..case.state import State, fold

# Why a closed case teaches nothing, as a report says it.
Left = Literal[
    "still open",
    "on trial",
    "stopped for safety",
    "given up",
    "closed by the office without a proof",
    "a survey",
    "no complaint",
    "of another kb",
    "a later visit, counted with the first",
    "too much hangs together",
]
# How a case must have been closed to be counted; all else is left out and told.
BY_END: dict[str | None, Left] = {
    None: "still open",
    "on-trial": "on trial",
    "given-up": "given up",
    "not-a-fault": "closed by the office without a proof",
    "installed": "a survey",
    "to-mend": "a survey",
}


class CaseLesson(Struct, frozen=True, kw_only=True):
    """What one case teaches.

    Parameters
    ----------
    state : State
        All that was answered and done in it.
    begun : State
        The same before anything was mended: what the finding was made of.
    truth : str, optional
        The cause; empty where it was none that is listed, None where nobody knows.
    reported : str, optional
        What was mended last before it was reported solved, unseen; None where that is not so.
    told : bool
        Whether the cause was told afterwards, and does not follow from a proof in the case itself.
    at_work : tuple of str, optional
        All causes that were at work, of a made-up case whose truth is known.

    What bears on no number is dropped from the states, so that cases in which the same was said are the same.
    """

    state: State
    begun: State
    at_work: tuple[str, ...] | None = None
    truth: str | None = None
    told: bool = False
    reported: str | None = None


def named(kb: model.KB, events: Sequence[Event]) -> list[str]:
    """Return what a case names and a kb does not have.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> named(load_kb(), [Event(complaints=["sings"])])
    ['sings']
    """
    tables: list[tuple[str, Collection[str]]] = [
        ("check", kb.checks),
        ("proof", kb.checks),
        ("fact", kb.facts),
        ("remedy", kb.causes),
    ]
    out = [
        name for e in events for field, table in tables if (name := getattr(e, field)) is not None and name not in table
    ]
    out += [c for e in events for c in e.complaints or [] if c not in kb.complaints]
    for e in events:
        if e.fact in kb.facts and e.is_ not in kb.facts[e.fact].options:
            out.append(f"{e.fact}: {e.is_}")
        check = kb.checks.get(e.check or e.proof or "")
        if check and e.answer is not None and e.answer not in check.answers:
            out.append(f"{check.id}: {e.answer}")
    return sorted({*out})


def turned_out(events: Sequence[Event]) -> str | None:
    """Return what it turned out to be, if somebody said so afterwards: a cause, or an empty text for none that is listed."""
    said = [e for e in events if getattr(e, "turned_out", None)]
    return (getattr(said[-1], "cause", None) or "") if said else None


def lesson_of(kb: model.KB, events: Sequence[Event], truth: str | None = None) -> CaseLesson | Left:
    """Return what a case teaches, or why nothing.

    Parameters
    ----------
    kb : KB
    events : sequence of Event
    truth : str, optional
        The cause that a later visit proved; empty for none that is listed.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> lesson_of(load_kb(), [Event(role="desk"), Event(complaints=["walks"])])
    'still open'
    """
    if named(kb, events):
        return "of another kb"
    own = [e for e in events if not getattr(e, "turned_out", None)]
    told = turned_out(events)
    truth = told if told is not None else truth
    if truth and truth not in kb.causes:
        return "of another kb"
    state = fold(kb, own)
    if not state.complaints:
        return "no complaint"
    if state.stopped:
        return "stopped for safety"
    if state.closed in BY_END and truth is None:
        return BY_END[state.closed]
    if state.closed == "solved" and state.remedies and kb.causes[state.remedies[-1].cause].kind == "normal":
        # Nobody saw that it was healthy: they were told, and said yes. What they had answered counts.
        own = own[: max(n for n, e in enumerate(own) if leading(e) == "remedy")]
        state = fold(kb, own)
    first = next((n for n, e in enumerate(own) if leading(e) == "remedy"), len(own))
    begun = state if first == len(own) else fold(kb, own[:first])
    if not begun.complaints:
        return "no complaint"
    truth, afterwards = (proved(state), False) if truth is None else (truth, True)
    reported = reported_mended(state) if truth is None else None
    counts = begun if afterwards or reported else state
    return CaseLesson(state=_bare(counts), begun=_bare(begun), truth=truth, told=afterwards, reported=reported)


def _bare(state: State) -> State:
    """Return a state without what no number hangs on, in one order."""
    return replace(
        State(),
        complaints=state.complaints,
        gone=state.gone,
        stands=state.stands,
        facts=tuple(sorted(state.facts)),
        answers=tuple(sorted(state.answers, key=lambda a: (a.epoch, a.check, a.proof))),
        remedies=state.remedies,
        epoch=state.epoch,
    )


def proved(state: State) -> str | None:
    """Return the cause whose remedy was seen to end the trouble, or None."""
    if state.closed != "solved":
        return None
    mended = [t for t in state.remedies if t.did == "done" and t.passed]
    return mended[-1].cause if mended and len(state.complaints) == 1 else None


def reported_mended(state: State) -> str | None:
    """Return the cause that was mended last in a case that was reported solved and not seen to be, or None."""
    if state.closed != "reported-solved" or len(state.complaints) != 1:
        return None
    mended = [t.cause for t in state.remedies if t.did == "done"]
    return mended[-1] if mended and mended.count(mended[-1]) == 1 else None
