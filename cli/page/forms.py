"""One answer from a form -> what is said by it: events, a gate that was cleared, something heard, or a question back."""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct, structs

from ...engine import model
from ...engine.advice import Advice, Card
from ...engine.case.events import Event
from ...engine.case.interpret import interpret, left_for_now, says_unsafe
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.matching import MOST, THREE, Heard, hear
from ...engine.language.sanitize import typed_line
from . import address as addresses
from .address import Address
from .place import CaseLocation, earlier, fold_stop
from .signing import Cleared, Signer, with_cleared
from .workers import Workers

Form = dict[str, list[str]]


class Page(Struct, frozen=True, kw_only=True):
    """All that a page shows of one case: the advice, the card in front, and the gates that are clear."""

    place: CaseLocation
    cleared: list[Cleared]
    advice: Advice
    card: Card | None
    proof: bool
    note: str = ""
    problem: Problem | None = None
    typed: str = ""
    stop: str = ""

    @property
    def events(self) -> list[Event]:
        """The case, its gates at their places; a stop that somebody said stands at its end."""
        return [*with_cleared(self.place.events, self.cleared), *([Event(stopped=self.stop)] if self.stop else [])]


class TakenForm(Struct, frozen=True, kw_only=True):
    """What an answer amounts to; nothing of it: the form was made at another place of the case, or said nothing.

    Parameters
    ----------
    events : list of Event
        What to add.
    instead_of : int, optional
        The place of the event, in the case as the page sees it, that the one event stands instead of.
    address : Address, optional
        Where to go on, in place of the address with the events added.
    note : str
        The note of the gates that are clear now.
    stopped : bool
        A gate's answer was another than its word.
    problem : Problem, optional
        Why it can't be used.
    typed : str
        What was typed, to be shown again.
    """

    events: list[Event] = []
    instead_of: int | None = None
    address: Address | None = None
    note: str | None = None
    stopped: bool = False
    problem: Problem | None = None
    typed: str = ""


def one(form: Form, name: str) -> str:
    """Return the one value of a form's field, or an empty text."""
    return form.get(name, [""])[-1]


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
    if place.address.ask and not stop:
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
    if one(form, "step") == place.step or "at" not in form:
        return []
    try:
        before = structs.replace(place, address=addresses.read(workers.kb, one(form, "at")))
    except InvalidInputError:
        return []
    found = signer.cleared(note, before.events)
    if not found or one(form, "step") != before.step:
        return []
    taken = await take(workers, signer, await _page(workers, signer, before, found), form)
    led_here = taken.problem is None and not taken.stopped and before.url(went_on(before, taken)) == place.url()
    return found if led_here else []


async def take(workers: Workers, signer: Signer, page: Page, form: Form) -> TakenForm:
    """Return what a form says at a page."""
    place, card = page.place, page.card
    if one(form, "step") != place.step:
        return await _danger(workers, place, form)
    if "words" in form:
        return await heard(workers, place, one(form, "words"))
    if one(form, "open") in workers.kb.facts or one(form, "open") in workers.kb.checks:
        return TakenForm(address=place.address.asking(one(form, "open")))
    if "confirm" in form:
        return _confirmed(workers.kb, place, form)
    if "trial" in form and page.advice.status == "on-trial":
        said = one(form, "trial")
        return TakenForm(events=[Event(trial=said)]) if said in ("stayed-away", "came-back") else TakenForm()
    if card is None or "said" not in form or one(form, "ask") != card.id:
        return TakenForm()
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
        return TakenForm(problem=reply.back, typed=typed)
    return await _command(workers, place, card, reply.command, reply.words, typed)


async def _danger(workers: Workers, place: CaseLocation, form: Form) -> TakenForm:
    """Return what a form of an earlier page still says of a kept case: nothing but that it is not safe."""
    kb, said = workers.kb, typed_line(one(form, "said"))
    if place.kept is None:
        return TakenForm()
    hazard = kb.hazards.get(one(form, "ask"))
    if hazard is not None and hazard.gate and said and "asked" in form and says_unsafe(hazard.gate, said):
        return TakenForm(events=[Event(stopped=hazard.id)], stopped=True)
    if "words" in form:
        found = await workers.run(lambda: hear(typed_line(one(form, "words")), kb))
        known = {e.hazard for e in place.events}
        fresh = [h.hazard for h in found.hazards if kb.hazards[h.hazard].gate and h.hazard not in known]
        return TakenForm(events=[Event(hazard=h) for h in dict.fromkeys(fresh)])
    return TakenForm()


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
        "also": "type also and what else is wrong",
    }.get(command, "answer, or choose skip or can't tell")
    return TakenForm(problem=Problem(code="P020", message=f"'{typed[:60]}' is no answer here", mend=mend), typed=typed)


async def _gate(workers: Workers, signer: Signer, page: Page, card: Card, typed: str, asked: str) -> TakenForm:
    kb, events = workers.kb, page.place.events
    if not typed:
        expected = f"the word '{card.word}' if all is safe"
        return TakenForm(
            problem=Problem(
                code="A001", message="nothing was typed", expected=expected, mend="look first, then type it"
            )
        )
    reply = interpret(kb, card, typed)
    if reply.event is None:
        # Words raise a danger at a gate, and never clear one; what else was typed is shown, and asked about again.
        found = await workers.run(lambda: hear(typed, kb))
        named = [h.hazard for h in found.hazards if kb.hazards[h.hazard].gate]
        if card.id in named:
            left = left_for_now(card)
            return TakenForm(events=[left or Event(stopped=card.id)], stopped=left is None)
        if named:
            return TakenForm(events=[Event(hazard=h) for h in dict.fromkeys(named)])
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


async def heard(workers: Workers, place: CaseLocation, words: str) -> TakenForm:
    """Return the address on which what was heard in some words is confirmed; the words end here."""
    text = typed_line(words)
    found: Heard = await workers.run(lambda: hear(text, workers.kb))
    kb, base = workers.kb, place.address.confirmed()
    gated = [Event(hazard=h.hazard) for h in found.hazards if kb.hazards[h.hazard].gate]
    known = {e.fact for e in place.events if e.fact}
    had = {c for e in place.events for c in e.complaints or []}
    likely = [m.complaint for m in found.complaints if m.likely and m.complaint not in had][:MOST]
    most = MOST if likely else THREE
    maybe = [m.complaint for m in found.complaints if not m.likely and m.complaint not in had][: most - len(likely)]
    also = tuple((f.fact, f.option) for f in found.facts if f.fact not in known)
    if not gated and not likely and not maybe and not (also and had):
        again = (
            "that is known already" if found.complaints else found.off_topic or "I know nothing that fits these words."
        )
        return TakenForm(
            problem=Problem(code="P022", message=again, mend="say it in other words, or choose below"), typed=text
        )
    made = structs.replace(base, heard=tuple(likely), maybe=tuple(maybe), also=also)
    return TakenForm(events=list(gated), address=structs.replace(made, events=(*base.events, *gated)))


def _confirmed(kb: model.KB, place: CaseLocation, form: Form) -> TakenForm:
    chosen = [c for c in form.get("complaint", []) if c in kb.complaints]
    facts = [f.partition(":") for f in form.get("fact", [])]
    events = [Event(complaints=[c]) for c in dict.fromkeys(chosen)]
    events += [Event(fact=f, is_=o) for f, _, o in facts if f in kb.facts and o in kb.facts[f].options]
    done = place.address.confirmed()
    return TakenForm(events=events, address=structs.replace(done, events=(*done.events, *events)))


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


def fields(form: Sequence[tuple[str, str]]) -> Form:
    """Return a form's pairs by name."""
    out: dict[str, Any] = {}
    for name, value in form:
        out.setdefault(name, []).append(value)
    return out
