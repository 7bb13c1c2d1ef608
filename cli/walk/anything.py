"""A sentence typed where an answer was asked: what it says is shown in one line and recorded by one key; the question stays."""

import re

from msgspec import structs

from ...engine.advice import Card
from ...engine.case.events import Event
from ...engine.case.told import NOTED, mentioned, told
from ...engine.errors import Problem
from ...engine.language.display import ASK
from ...engine.language.foreign import english_only
from ...engine.language.sanitize import typed_line
from ..terminal.asker import Quit
from ..terminal.yes_no import agreed
from .conversation import ClearGates, Conversation, Keep, Part, Prompt, Say, problem_lines

LEAST = 2  # words of a sentence; a single word that is no answer is a slip of the hand
AS_NO = ("back", "change")  # beside a no
_WORD = re.compile(r"[^\W\d_]{2,}")


def heard_at(
    talk: Conversation,
    card: Card | None,
    typed: str,
    proof: bool,
    back: Problem | None,
    *,
    noted: bool = False,
    anew: bool = False,
    meant: Event | None = None,
) -> Part[bool | str | Event]:
    """Hear a sentence at a prompt that it does not answer by itself, and record what the person confirms of it.

    Parameters
    ----------
    talk : Conversation
    card : Card, optional
        What is on screen; no gate, for words never clear one.
    typed : str
    proof : bool
        The card is the proof of a remedy.
    back : Problem, optional
        The question back that the line gets where nothing is heard in it.
    noted : bool
        The words are kept as a note already; then nothing is said of what was not understood.
    anew : bool
        The card was answered before; its new answer is returned, not kept.
    meant : Event, optional
        The answer to the card that the words come closest to: it is asked about before anything else is heard in them.

    Returns
    -------
    bool, str or Event
        True where the card must be made anew, False where it stays, other words that were typed in place of yes or no, or the new answer.
    """
    layout = talk.layout
    text = typed_line(typed)
    words = len(_WORD.findall(text))
    events = [e for e in talk.events if not (anew and card and card.id in (e.check, e.fact))]
    said = told(talk.kb, events, text, card, proof) if words else None
    if said and said.hazards:
        titles = "; ".join(talk.kb.hazards[h].title.lower() for h in said.hazards)
        yield Say(layout.wrap(f"That may be a danger, and comes first: {titles}.", 3))
        for hazard in said.hazards:
            yield Keep(Event(hazard=hazard))
        if not (yield ClearGates(said.hazards)):
            return True
    if meant is not None and card is not None and not (said and said.answer):
        return (yield from _meant(talk, card, meant, back, anew, bool(said and said.hazards)))
    least = LEAST + (card is not None and card.measures != "")
    if said is None or words < least or not (said.answer or said.offers):
        if said and said.hazards:
            if not noted:
                yield Keep(Event(note=text))  # whoever comes reads what was said of it
            return True
        if said and said.code:
            yield Say(layout.wrap(ASK, 3))
        unclear = back is not None and "more than one" in back.message
        foreign = english_only(text)
        if foreign:
            yield Say(layout.wrap(foreign, 3))
        if words >= NOTED and not unclear and not noted:
            yield Keep(Event(note=text))
            yield Say(layout.wrap("I can't place these words here. They are kept as a note; the question stays.", 3))
            if card is not None and card.choices:
                yield Say(layout.wrap("If they tell of another trouble, type also and what it is.", 3))
        if back is not None:
            yield Say(problem_lines(layout, back))
        return False
    heard = [*([_says(talk, said.answer)] if said.answer else []), *(o.says for o in said.offers)]
    yield Say(layout.wrap(f"I hear: {'; '.join(heard)}. Keep it? (y, n, or other words)", 3))
    while True:
        line = typed_line((yield Prompt("> ", ["yes", "no"])))
        low = line.lower().rstrip(".!")
        if low in ("stop", "quit", "exit"):
            raise Quit
        said_so = agreed(line)
        if said_so is False or low in AS_NO:
            if not noted:
                yield Keep(Event(note=text))
            yield Say(layout.wrap("Left out; the words are kept as a note. The question stays.", 3))
            return bool(said.hazards)
        if said_so:
            break
        if low and low not in ("help", "?"):
            return line
        yield Say(layout.wrap("Type y to keep it, n to leave it out, or other words.", 3))
    for event in [*([said.answer] if said.answer and not anew else []), *(o.event for o in said.offers)]:
        yield Keep(event)
    if said.answer and anew:
        return said.answer
    if said.answer or said.hazards or card is None:
        return True
    yield Say(layout.wrap("Kept. The question stays.", 3))
    return False


def _meant(
    talk: Conversation, card: Card, meant: Event, back: Problem | None, anew: bool, changed: bool
) -> Part[bool | str | Event]:
    """Ask whether the answer that the words come closest to is meant."""
    layout = talk.layout
    chosen = meant.answer or meant.is_ or ""
    number, says = next((n, c.says) for n, c in enumerate(card.choices, 1) if c.id == chosen)
    yield Say(layout.wrap(f"Do you mean: {number}, {says}? (y, n, or other words)", 3))
    while True:
        line = typed_line((yield Prompt("> ", ["yes", "no"])))
        low = line.lower().rstrip(".!")
        if low in ("stop", "quit", "exit"):
            raise Quit
        said_so = agreed(line)
        if said_so:
            if anew:
                return meant
            yield Keep(meant)
            return True
        if said_so is False or low in AS_NO:
            if back is not None:
                yield Say(problem_lines(layout, structs.replace(back, nearest="")))
            return changed
        if low and low not in ("help", "?"):
            return line
        yield Say(layout.wrap("Type y if so, n if not, or other words.", 3))


def aside(talk: Conversation, typed: str, back: Problem | None = None, *, noted: bool = False) -> Part[bool]:
    """Hear a sentence at a prompt that asks for something else than an answer; True where the card must be made anew.

    Parameters
    ----------
    talk : Conversation
    typed : str
    back : Problem, optional
        The question back that the line gets where nothing is heard in it.
    noted : bool
        The words are kept as a note already.
    """
    anew = False
    while True:
        heard = yield from heard_at(talk, None, typed, False, back, noted=noted)
        if not isinstance(heard, str):
            return anew or heard is not False
        typed, noted, anew = heard, False, True


def _says(talk: Conversation, event: Event) -> str:
    """Return an answer to the card in the words that it is shown in."""
    kb = talk.kb
    if event.value:
        return mentioned(kb, event).says
    if event.fact:
        return kb.facts[event.fact].options[event.is_ or ""].says
    return kb.checks[event.check or ""].answers[event.answer or ""].says
