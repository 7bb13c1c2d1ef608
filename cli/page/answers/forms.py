"""One answer from a form -> what is said by it: events, a gate that was cleared, something heard, or a question back."""

from msgspec import structs

from ....engine.advice import Card
from ....engine.case.events import Event
from ....engine.case.interpret import interpret, left_for_now, says_unsafe
from ....engine.errors import InvalidInputError, Problem
from ....engine.language.matching import hear
from ....engine.language.sanitize import typed_line
from . import address as addresses
from . import worded
from .address import Address
from .hearing import asked_for, confirmed, heard, raising
from .in_own_words import own_words, turned_out
from .late import late
from .place import CaseLocation, earlier, fold_stop
from .signing import Cleared, Signer, with_cleared
from .taken import Form, Page, TakenForm, one
from .workers import Workers


async def page_at(workers: Workers, signer: Signer, place: CaseLocation, form: Form | None = None) -> Page:
    """Return what a page shows at a place, with the gates that the note of its form clears.

    Raises
    ------
    InvalidInputError
        If the case can't be worked out, or there is no such question.
    """
    return await _page(workers, signer, place, await _clearances(workers, signer, place, form or {}))


async def _page(workers: Workers, signer: Signer, place: CaseLocation, cleared: list[Cleared], stop: str = "") -> Page:
    events = [*with_cleared(place.events, cleared), *([Event(stopped=stop)] if stop else [])]
    advice = await workers.advice(events)
    card, proof = advice.card, bool(advice.next and advice.next.proof)
    if place.address.ask and place.address.ask != addresses.FAMILY and not stop:
        card, proof = await workers.question(events, place.address.ask), False
    note = signer.renewed(cleared, place.events, place.name)
    return Page(place=place, cleared=cleared, advice=advice, card=card, proof=proof, note=note, stop=stop)


async def stop_at(workers: Workers, signer: Signer, place: CaseLocation, hazard: str) -> Page:
    """Return the page of a stop: what to do now, and nothing that goes on."""
    return await _page(workers, signer, place, [], hazard)


async def _clearances(workers: Workers, signer: Signer, place: CaseLocation, form: Form) -> list[Cleared]:
    """Return the gates that are clear: by a note of this very case, or of the one that this form's answer led here from."""
    note = one(form, "note")
    found = signer.cleared(note, place.events, place.name) if note else []
    if found or not note:
        return found
    if place.kept is not None:
        # It was kept just now: its address had the same events, and nobody has stopped it.
        return signer.cleared(note, place.events) if not place.stop else []
    led = await led_here(workers, signer, place, form)
    return led[1] if led else []


async def led_here(
    workers: Workers, signer: Signer, place: CaseLocation, form: Form
) -> tuple[TakenForm, list[Cleared]] | None:
    """Return what a form said, and the gates that were clear, where its answer led to this very place; None where it didn't.

    A browser without cookies brings its form along: what no address carries is in there.
    """
    if place.kept is not None or one(form, "step") == place.step or "at" not in form:
        return None
    try:
        before = structs.replace(place, address=addresses.read(workers.kb, one(form, "at")))
    except InvalidInputError:
        return None
    if one(form, "step") != before.step:
        return None
    note = one(form, "note")
    found = signer.cleared(note, before.events) if note else []
    taken = await take(workers, signer, await _page(workers, signer, before, found), form)
    if taken.problem is not None or taken.stopped or taken.turned is not None:
        return None
    return (taken, found) if before.url(went_on(before, taken)) == place.url() else None


async def take(workers: Workers, signer: Signer, page: Page, form: Form) -> TakenForm:
    """Return what a form says at a page."""
    place, card = page.place, page.card
    if one(form, "step") != place.step:
        danger = await unsafe(workers, place, form)
        return danger if danger.events else late(workers.kb, place, form)
    if "words" in form:
        return await heard(workers, place, one(form, "words"))
    if "open" in form:
        return asked_for(workers.kb, place, typed_line(one(form, "open")))
    if "confirm" in form:
        return confirmed(workers.kb, place, form)
    if "turned" in form and place.address.events + (place.kept or ()):
        return await turned_out(workers, place, form)
    if "own" in form:
        return await own_words(workers, page, typed_line(one(form, "own")))
    if "trial" in form and page.advice.status == "on-trial":
        said = one(form, "trial")
        return TakenForm(events=[Event(trial=said)]) if said in ("stayed-away", "came-back") else TakenForm()
    if card is None or "said" not in form:
        return TakenForm()
    if one(form, "ask") != card.id:
        return late(workers.kb, place, form)
    typed = typed_line(one(form, "said"))
    if card.kind == "gate":
        return await _gate(workers, signer, page, card, typed, one(form, "asked"))
    if card.kind in ("stop", "hand-on"):
        return TakenForm()
    if card.id == "complaint" and not any(typed.lower() in (c.id, c.says.lower()) for c in card.choices):
        return await heard(workers, place, typed)
    reply = interpret(workers.kb, card, typed, page.proof)
    if reply.event is not None and card.id == "complaint":
        return TakenForm(events=[Event(complaints=[reply.event.is_ or ""])])
    if reply.event is not None:
        found = earlier(workers.kb, place.events, card.id) if place.address.ask else None
        return TakenForm(events=[reply.event], instead_of=found[0] if found and found[1] else None)
    if reply.back is not None:
        return await _aside(workers, place, card, typed, reply.back, reply.meant is not None)
    return await _command(workers, place, card, reply.command, reply.words, typed)


async def unsafe(workers: Workers, place: CaseLocation, form: Form) -> TakenForm:
    """Return what a form still says of a kept case that went on since, or can't be read: nothing but that it is not safe."""
    kb, said = workers.kb, typed_line(one(form, "said"))
    if place.kept is None:
        return TakenForm()
    hazard = kb.hazards.get(one(form, "ask"))
    if hazard is not None and hazard.gate and said and "asked" in form and says_unsafe(hazard.gate, said):
        return TakenForm(events=[Event(stopped=hazard.id)], stopped=True)
    if "words" in form or "own" in form:
        found = await workers.run(lambda: hear(typed_line(one(form, "words") or one(form, "own")), kb))
        return raising(kb, place, found) or TakenForm()
    return TakenForm()


async def _aside(
    workers: Workers, place: CaseLocation, card: Card, typed: str, back: Problem, meant: bool
) -> TakenForm:
    """Return what was said in place of an answer: a danger, the answer that comes closest, another complaint, a fact or an answer; else why it is none here."""
    words = [w for w in typed.split() if w.isalpha()]
    if meant:
        found = await workers.run(lambda: hear(typed, workers.kb))
        return raising(workers.kb, place, found) or TakenForm(problem=worded.of_card(card, back), typed=typed)
    if len(words) > (2 if any(c.isdigit() for c in typed) else 1):
        said = await heard(workers, place, typed, aside=True)
        if said.problem is None or said.problem.code == "P025":
            return said
    return TakenForm(problem=worded.of_card(card, back), typed=typed)


async def _command(
    workers: Workers, place: CaseLocation, card: Card, command: str, words: str, typed: str
) -> TakenForm:
    name = f"remedy:{card.id}" if card.kind == "remedy" else card.id
    if command == "cant":
        return TakenForm(events=[Event(cant=name)])
    if command == "skip":
        return TakenForm(events=[Event(skip=name)])
    if command == "also" and words:
        return await heard(workers, place, words)
    if command == "note" and words and place.kept is not None:
        return TakenForm(events=[Event(note=words)])
    mend = {
        "back": "use the back of your browser, or change an answer in the list below",
        "change": "choose the answer to change in the list below",
        "list": "the list stands below",
        "picture": "the picture stands beside the question, where there is one",
        "why": "the reason stands under the question",
        "note": "keep the case first; an address carries no words",
        "also": "say what else is wrong in the same field",
    }.get(command, "answer, or press skip or can't tell")
    return TakenForm(problem=Problem(code="P020", message=f"'{typed[:60]}' is no answer here", mend=mend), typed=typed)


async def _gate(workers: Workers, signer: Signer, page: Page, card: Card, typed: str, asked: str) -> TakenForm:
    kb, events = workers.kb, page.place.events
    if not typed:
        expected = f"the word '{card.word}' if all is safe"
        return TakenForm(
            problem=Problem(code="A001", message="nothing was typed", expected=expected, mend="look first, then answer")
        )
    reply = interpret(kb, card, typed)
    if reply.event is None:
        # Words raise a danger at a gate, and never clear one; what else was typed is shown, and asked about again.
        found = await workers.run(lambda: hear(typed, kb))
        named = [h.hazard for h in found.hazards if kb.hazards[h.hazard].gate]
        if card.id in named:
            left = left_for_now(card)
            return TakenForm(events=[left or Event(stopped=card.id)], stopped=left is None)
        raised = raising(kb, page.place, found)
        if raised is not None:
            return raised
        back = Problem(
            code="A005",
            message=f"'{typed[:60]}' neither clears this nor says that it is not safe",
            expected=f"the word '{card.word}' if all is safe",
            mend="look first; if it is not safe, or you are not sure, use the button for that",
        )
        return TakenForm(problem=back, typed=typed)
    if reply.event.cleared is None:
        return TakenForm(events=[reply.event], stopped=reply.event.stopped is not None)
    note = signer.clear(page.cleared, card.id, events, asked, page.place.name)
    if not note:
        return TakenForm(
            problem=Problem(code="P021", message="that was asked too long ago", mend="look again now, and then answer")
        )
    # That it is clear is in the note alone; that a stop does not stand any more is kept.
    again = [Event(resumed=True)] if fold_stop(page.place.kept or ()) == card.id else []
    return TakenForm(events=again, note=note)


def went_on(place: CaseLocation, taken: TakenForm) -> Address:
    """Return the address after an answer: of a case that the address carries, with what was said in it."""
    if taken.address is not None:
        return taken.address
    if taken.instead_of is not None:
        events = list(place.address.events)
        events[taken.instead_of - 1] = taken.events[0]  # the first event of the case is the role, which is the face's
        return structs.replace(place.address, events=tuple(events), ask="")
    if not taken.events:
        return place.address
    return place.address.plus(*[e for e in taken.events if e.cleared is None and e.stopped is None])
