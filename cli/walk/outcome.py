"""What a case turned out to be: in free words, as a cause of the kb where one fits, by whose hands, on which day."""

from datetime import date

from ...engine import model
from ...engine.advising.outcome import turned_out
from ...engine.case.events import FOUND_BY, Event
from ...engine.case.state import fold
from ...engine.drill.naming import Named, causes
from ...engine.language.sanitize import typed_line
from ..terminal.yes_no import agreed
from .conversation import Conversation, Keep, Part, Prompt, Say

MOST = 5  # causes that are offered
MOST_LETTERS = 500  # of what is kept in words, as of a note on the page
NONE = ("", "0", "skip", "can't tell", "don't know")  # beside a no
KEY = ("e", "else", "something else", "it turned out to be something else", "turned out")
AFTER = "Enter ends this. e: it turned out to be something else > "


def offered(kb: model.KB, words: str, facts: dict[str, str]) -> list[Named]:
    """Return the causes that may be meant by what somebody says it turned out to be, likeliest first.

    Parameters
    ----------
    kb : KB
    words : str
    facts : dict
        What is known of the place: what can't be there is not offered.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> offered(load_kb(), "the shipping bolts were still in", {})[0].id
    'restraints-left-in'
    """
    return causes(kb, words, facts)[:MOST]


def event_of(words: str, cause: str | None, by: str | None, day: str | None = None) -> Event:
    """Return the event that says what a case turned out to be; the day is today's unless said.

    Parameters
    ----------
    words : str
    cause : str or None
        A cause of the kb, where one fits.
    by : str or None
        By whose hands it was found; those at the machine unless said.
    day : str, optional
        As 2026-03-09.
    """
    return Event(turned_out=words[:MOST_LETTERS], cause=cause, by=by, date=day or date.today().isoformat())


def told(talk: Conversation, words: str) -> Part[bool]:
    """Ask what it turned out to be, and keep it; False where nothing was said.

    Parameters
    ----------
    talk : Conversation
    words : str
        What was said of it already.
    """
    layout = talk.layout
    text = typed_line(words)
    if not text:
        yield Say(["What was it? In your own words (Enter: leave it)."])
        text = typed_line((yield Prompt("> ")))
    if not text:
        return False
    found = offered(talk.kb, text, dict(fold(talk.kb, talk.events).facts))
    cause: str | None = None
    if found:
        yield Say(["Is it one of these?"])
        for n, named in enumerate([*(f.title for f in found), "none of these"], 1):
            yield Say(layout.wrap(named, 6, f"   {n}"))
        cause = yield from _chosen(talk, found)
    yield Say(layout.wrap(f"Who found it? (Enter: you; or {', '.join(FOUND_BY)})"))
    by = yield from _by(talk)
    yield Keep(event_of(text, cause, by))
    return True


def _chosen(talk: Conversation, found: list[Named]) -> Part[str | None]:
    """Return the cause that is meant, None where none of those that were offered is."""
    while True:
        low = typed_line((yield Prompt("> ", [*(f.title for f in found), "none of these"]))).lower().rstrip(".!")
        meant = agreed(low)
        if meant is False or low in NONE or low == str(len(found) + 1):
            return None
        if meant and len(found) == 1:
            return found[0].id
        if low.isascii() and low.isdigit() and 1 <= int(low[:4]) <= len(found):
            return found[int(low[:4]) - 1].id
        named = [f.id for f in found if low in (f.id, f.title.lower())]
        if named:
            return named[0]
        yield Say(talk.layout.wrap(f"Type a number from 1 to {len(found) + 1}; {len(found) + 1} is none of these.", 3))


def _by(talk: Conversation) -> Part[str | None]:
    """Return by whose hands it was found, None for those at the machine."""
    while True:
        low = typed_line((yield Prompt("> ", list(FOUND_BY)))).lower().rstrip(".!")
        if low in ("", "me", "you", "i", "skip", "can't tell"):
            return None
        named = [w for w in FOUND_BY if w == low.removeprefix("a ").removeprefix("an ").removeprefix("the ")]
        if named:
            return named[0]
        yield Say(talk.layout.wrap(f"Type one of {', '.join(FOUND_BY)}, or Enter.", 3))


def afterwards(talk: Conversation) -> Part[None]:
    """Offer, at the end of a case, one key that says that it turned out to be something else."""
    text = typed_line((yield Prompt(AFTER)))
    low = text.lower().rstrip(".!")
    if not (low in KEY or len(low.split()) > 1):
        return
    if (yield from told(talk, "" if low in KEY else text)):
        said = turned_out(talk.kb, fold(talk.kb, talk.events))
        yield Say(talk.layout.labelled("OUTCOME", said.text if said else text, "strong"))
