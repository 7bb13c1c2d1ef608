"""Words on a page: what is heard in them, as an address on which it is confirmed; the words themselves end here."""

from collections.abc import Sequence

from msgspec import structs

from ....engine import model
from ....engine.case.events import Event
from ....engine.case.families import FAMILIES, of_family
from ....engine.case.told import listened
from ....engine.case.validation import answer_problems
from ....engine.errors import Problem
from ....engine.language.foreign import english_only
from ....engine.language.matching import MOST, THREE, Heard
from ....engine.language.sanitize import typed_line
from .address import FAMILY, Address
from .place import CaseLocation
from .taken import Form, TakenForm, one
from .workers import Workers


async def heard(workers: Workers, place: CaseLocation, words: str, aside: bool = False) -> TakenForm:
    """Return the address on which what was heard in some words is confirmed: dangers first, then complaints, facts and answers.

    Parameters
    ----------
    workers : Workers
    place : CaseLocation
    words : str
    aside : bool
        Said in place of an answer: only what is likely counts, and what is not understood is no note.
    """
    text = typed_line(words)
    kb = workers.kb
    found, values = await workers.run(lambda: listened(kb, text))
    made = offered(kb, place, found, values)
    if aside and not made.heard:
        made = structs.replace(made, maybe=())
    raised = raising(kb, place, found, made)
    if raised is not None:
        return raised
    foreign = english_only(text)
    if foreign:
        mend = "say it in English, or choose below"
        return TakenForm(problem=Problem(code="P025", message=foreign, mend=mend), typed=text)
    return TakenForm(address=made) if made.offers else _nothing(kb, place, found, text, not aside)


def raising(kb: model.KB, place: CaseLocation, found: Heard, base: Address | None = None) -> TakenForm | None:
    """Return what the dangers among some words amount to, None where there are none.

    Parameters
    ----------
    kb : KB
    place : CaseLocation
    found : Heard
    base : Address, optional
        What else was heard, to be confirmed behind the danger.
    """
    gated = [h for h in found.hazards if kb.hazards[h.hazard].gate]
    if not gated:
        return None
    dangers = [Event(hazard=h) for h in dict.fromkeys(h.hazard for h in gated)]
    base = base or place.address.confirmed()
    # What is under way is not asked about: they are told what to do, and asked afterwards.
    now = next((h.hazard for h in gated if h.surely and _at_once(kb, h.hazard)), "")
    kept = [Event(stopped=now)] if now and place.kept is not None else []
    return TakenForm(events=[*dangers, *kept], address=structs.replace(base, events=(*base.events, *dangers), stop=now))


def _at_once(kb: model.KB, hazard: str) -> bool:
    gate = kb.hazards[hazard].gate
    return gate is not None and gate.at_once is not None


def offered(kb: model.KB, place: CaseLocation, found: Heard, values: Sequence[Event] = ()) -> Address:
    """Return the address that offers what was heard and is not known yet: the likely complaints, else the three likeliest."""
    known = {e.fact for e in place.events if e.fact} | {e.check for e in place.events if e.check}
    had = {c for e in place.events for c in e.complaints or []}
    likely = [m.complaint for m in found.complaints if m.likely and m.complaint not in had][:MOST]
    most = MOST if likely else THREE
    maybe = [m.complaint for m in found.complaints if not m.likely and m.complaint not in had][: most - len(likely)]
    # Circumstances alone are offered once there is a complaint that they bear on.
    told = {*had, *likely, *maybe}
    also = [(f.fact, f.option) for f in found.facts if f.fact not in known]
    also += [
        (a.check, a.answer) for a in found.answers if a.check not in known and told & set(kb.checks[a.check].heard_with)
    ]
    also += [(v.check or "", v.value or "") for v in values if v.check not in known]
    return structs.replace(
        place.address.confirmed(), heard=tuple(likely), maybe=tuple(maybe), also=tuple(also) if told else ()
    )


def _nothing(kb: model.KB, place: CaseLocation, found: Heard, text: str, note: bool) -> TakenForm:
    """Return what is said of words in which nothing new was heard; in a kept case they stay as a note."""
    had = any(e.complaints for e in place.events)
    known = bool(found.complaints or found.facts)
    if note and had and not known and place.kept is not None:
        return TakenForm(events=[Event(note=text)])
    why = "that is known already" if known and had else found.off_topic or "I know nothing that fits these words."
    mend = "say it in other words, or choose below"
    if had:
        mend = "answer below; to leave a note for whoever comes, keep the case first"
    return TakenForm(problem=Problem(code="P022", message=why, mend=mend), typed=text)


def confirmed(kb: model.KB, place: CaseLocation, form: Form) -> TakenForm:
    """Return what somebody ticked of what was heard; nothing ticked is asked about, and "none of these" leads on."""
    chosen = [c for c in form.get("complaint", []) if c in kb.complaints]
    events = [Event(complaints=[c]) for c in dict.fromkeys(chosen)]
    for name, _, said in (f.partition(":") for f in form.get("fact", [])):
        if name in kb.facts and said in kb.facts[name].options:
            events.append(Event(fact=name, is_=said))
        elif name in kb.checks and said in kb.checks[name].answers:
            events.append(Event(check=name, answer=said))
        elif name in kb.checks and not answer_problems(kb, name, None, said):
            events.append(Event(check=name, value=said))
    done = place.address.confirmed()
    had = any(e.complaints for e in place.events)
    if one(form, "confirm") == "none":
        return TakenForm(address=done if had else structs.replace(done, ask=FAMILY))
    if not chosen and not (events and had):
        what = "nothing that is wrong is ticked" if not had else "nothing is ticked"
        mend = "tick what is right, or say that none of these is"
        return TakenForm(problem=Problem(code="P024", message=what, mend=mend))
    return TakenForm(events=events, address=structs.replace(done, events=(*done.events, *events)))


def families(kb: model.KB, place: CaseLocation) -> list[tuple[str, str]]:
    """Return the question that parts the complaints: each family and the address where its complaints are offered."""
    names = list(kb.complaints)
    return [
        (f, place.url(structs.replace(place.address.confirmed(), maybe=tuple(of_family(f, names))))) for f in FAMILIES
    ]


def asked_for(kb: model.KB, place: CaseLocation, said: str) -> TakenForm:
    """Return the address of the question that somebody named: by its title, by words that stand in one alone, or by its id.

    Parameters
    ----------
    kb : KB
    place : CaseLocation
    said : str
    """
    titles = {**{f.id: f.title for f in kb.facts.values()}, **{c.id: c.title for c in kb.checks.values()}}
    low = said.casefold()
    found = [low] if low in titles else [n for n, t in titles.items() if t.casefold() == low]
    found = found or [n for n, t in titles.items() if low and all(w in t.casefold() for w in low.split())]
    if len(found) == 1:
        return TakenForm(address=place.address.asking(found[0]))
    some = "; ".join(titles[n] for n in found[:5])
    more = f" and {len(found) - 5} more" if len(found) > 5 else ""
    message = (
        f"'{said[:60]}' is in {len(found)} questions: {some}{more}" if found else f"no question is called '{said[:60]}'"
    )
    return TakenForm(
        problem=Problem(code="P026", message=message, mend="type more of its name, or choose one"), typed=said
    )
