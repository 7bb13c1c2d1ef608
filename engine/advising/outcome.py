"""What a case turned out to be, told after its end: in whose words, which cause of the kb that is, and by whose hands it was found."""

from msgspec import UNSET

from .. import model
from ..advice import TurnedOut
from ..case.state import FoundOut, State
from .wording import BY

FOUND = {
    "homeowner": "whoever lives there",
    "specialist": "a specialist",
    **{trade: BY[trade] for trade in ("technician", "plumber", "electrician")},
}


def turned_out(kb: model.KB, state: State) -> TurnedOut | None:
    """Return what a case turned out to be; None where nobody said so.

    Parameters
    ----------
    kb : KB
    state : State

    Examples
    --------
    >>> from dryfloor.engine.case.state import FoundOut
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> told = turned_out(load_kb(), State(outcome=FoundOut("roots in the pipe", None, "plumber", "2026-03-09")))
    >>> told.text
    'It turned out to be: "roots in the pipe". Found by a licensed plumber, 2026-03-09; nothing that is listed here.'
    """
    said = state.outcome
    if said is None:
        return None
    cause, told = kb.causes.get(said.cause or ""), _told(kb, said)
    before = [f"Before that it was said: {_told(kb, one)}." for one in state.outcomes_before if one != said]
    return TurnedOut(
        words=said.words,
        cause=cause.id if cause else None,
        by=said.by,
        date=said.date,
        text=f"It turned out to be: {told}.",
        before=before or UNSET,
    )


def _told(kb: model.KB, said: FoundOut) -> str:
    """Return what somebody said that it was, by whose hands and when."""
    cause = kb.causes.get(said.cause or "")
    words = "".join(c for c in said.words if c.isprintable()).strip()
    what = f'{cause.title.lower()} ("{words}")' if cause else f'"{words}"'
    by = f"Found by {FOUND.get(said.by, said.by)}"
    day = f", {said.date}" if said.date else ""
    listed = "" if cause else "; nothing that is listed here"
    return f"{what}. {by}{day}{listed}"
