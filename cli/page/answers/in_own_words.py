"""A form in words of one's own -> what is kept of it: a note where no answer fits, and what a case turned out to be."""

from msgspec import structs

from ....engine.case.events import FOUND_BY, Event
from ....engine.case.state import fold
from ....engine.errors import Problem
from ....engine.language.matching import hear
from ....engine.language.sanitize import typed_line
from ...walk.outcome import event_of, offered
from .hearing import raising
from .own_words import MOST_LETTERS
from .place import CaseLocation
from .taken import Form, Page, TakenForm, TurnedWords, one
from .workers import Workers

NONE = "none"  # of the causes that were offered
EMPTY = Problem(code="A001", message="nothing was typed", mend="say it in a few words, or press an answer")


async def own_words(workers: Workers, page: Page, typed: str) -> TakenForm:
    """Return what is kept where no answer fits: a note that weighs nothing, and the question is left; a danger among the words comes first.

    Parameters
    ----------
    workers : Workers
    page : Page
    typed : str
    """
    kb, place, card = workers.kb, page.place, page.card
    text = typed[:MOST_LETTERS]
    if not text:
        return TakenForm(problem=EMPTY)
    note = Event(note=f"{card.title}: {text}" if card else text)
    found = await workers.run(lambda: hear(text, kb))
    raised = raising(kb, place, found)
    if raised is not None:
        return _with(place, raised, note)
    asked = card.id if card and card.kind in ("check", "fact") else ""
    left = [Event(cant=asked)] if asked in kb.checks or asked in kb.facts or asked == "still-there" else []
    return _with(place, TakenForm(events=left), note)


def _with(place: CaseLocation, taken: TakenForm, note: Event) -> TakenForm:
    """Return a form's answer with a note beside it: in the store where the case is kept, else in the browser."""
    if place.kept is None:
        return structs.replace(taken, own=note)
    return structs.replace(taken, events=[*taken.events, note])


async def turned_out(workers: Workers, place: CaseLocation, form: Form) -> TakenForm:
    """Return what a case turned out to be, or the question which cause that is, where words alone were said."""
    words = typed_line(one(form, "turned"))[:MOST_LETTERS]
    if not words:
        return TakenForm(problem=EMPTY)
    kb, which, by = workers.kb, one(form, "which"), one(form, "by")
    if "which" not in form:
        facts = dict(fold(kb, place.events).facts)
        found = await workers.run(lambda: offered(kb, words, facts))
        return TakenForm(turned=TurnedWords(words=words, near=[(f.id, f.title) for f in found]))
    event = event_of(words, which if which in kb.causes else None, by if by in FOUND_BY else None)
    return TakenForm(own=event) if place.kept is None else TakenForm(events=[event])
