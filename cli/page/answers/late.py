"""What was said on a page that is no longer the last of its case: shown, kept, and sayable all the same; never dropped without a word."""

from typing import Any

from msgspec import structs

from ....engine import model
from ....engine.case.interpret import COMMANDS
from ....engine.errors import Problem
from ....engine.language.sanitize import typed_line
from .place import CaseLocation, earlier
from .taken import Form, Late, TakenForm, one


def late(kb: model.KB, place: CaseLocation, form: Form) -> TakenForm:
    """Return what was said on a page of before the case moved on: it is shown, and never dropped without a word.

    Nothing is shown where nothing was said, or where the case has it already: the same form sent twice.
    """
    ask, said, words = (
        one(form, "ask"),
        typed_line(one(form, "said")),
        typed_line(one(form, "words") or one(form, "own") or one(form, "turned")),
    )
    record: Any = kb.checks.get(ask) or kb.facts.get(ask)
    cause = kb.causes.get(ask)
    if "step" not in form or (not said and not words) or ask in kb.hazards:
        # Of a gate nothing is taken over: it is asked anew.
        return TakenForm()
    if "own" in form and any(e.note and e.note.endswith(words) for e in place.events):
        return TakenForm()
    if "turned" in form and any(e.turned_out == words for e in place.events):
        return TakenForm()
    done = earlier(kb, place.events, ask) if record else None
    if done is not None:
        stands = place.events[done[0]]
        if said in (stands.answer, stands.value, stands.is_):
            return TakenForm()
    known = {c.id: c.says for c in kb.complaints.values()}
    if ask in kb.checks:
        known |= {a: answer.says for a, answer in kb.checks[ask].answers.items()}
    elif ask in kb.facts:
        known |= {o: option.says for o, option in kb.facts[ask].options.items()}
    title = record.title if record else cause.remedy.title if cause else "What you said"
    shown = words or known.get(said, said)
    answers = record is not None and not words and COMMANDS.get(said.lower()) is None
    there = structs.replace(place, address=place.address.asking(ask)) if answers else place
    return TakenForm(
        problem=Problem(
            code="P023",
            message="the case went on since this page was made, so what you said is not recorded",
            mend="both stand here; nothing is lost",
        ),
        typed=words if words or record is None else "",
        late=Late(
            title=title,
            said=shown,
            ask=ask if answers else "",
            value=said if answers else "",
            url=there.url() if answers else "",
            step=there.step if answers else "",
        ),
    )
