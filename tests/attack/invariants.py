"""What must hold of every answer, read from the kb's records and the case alone."""

import math

import msgspec

from dryfloor.engine import effort
from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import parse_case
from dryfloor.engine.case.state import fold
from dryfloor.engine.errors import InvalidInputError, shown_problems
from dryfloor.engine.model import holds
from dryfloor.engine.reports.handover import handover
from dryfloor.engine.reports.report import report

KB256, TIMES = 256 * 1024, 16


def within(answer: bytes, asked: int):
    """Hold an answer to its size."""
    assert len(answer) <= max(KB256, TIMES * asked), (len(answer), asked)
    assert b"Traceback" not in answer


def attacked(kb, raw: bytes) -> str:
    """Do all that a case file brings about, and return how it ended: the code of the refusal, or the kind of the next step."""
    try:
        events = parse_case(kb, raw)
    except InvalidInputError as refused:
        told(refused, len(raw))
        return refused.problems[0].code
    kinds = []
    for way, times in ((advise, 1), (handover, effort.TOLD), (report, effort.TOLD)):
        with effort.limit(10**9) as all_of_it:
            try:
                found = way(kb, events)
            except InvalidInputError as refused:
                told(refused, len(raw))
                kinds.append(refused.problems[0].code)
                continue
            finally:
                # What went over a limit was counted there, and not done.
                assert all_of_it.spent <= 2 * times * effort.MOST_CELLS
        encoded = msgspec.json.encode(found)
        within(encoded, len(raw))
        if way is advise:
            safe(kb, events, found)
            kinds.append(found.next.kind if found.next else found.status)
    return kinds[0]


def told(refused: InvalidInputError, asked: int):
    """Hold a refusal to what one says: what it is, how to mend it, and no more than can be read."""
    assert not refused.kb
    assert refused.problems
    shown = shown_problems(refused.problems, refused.more)
    assert all(p.code and p.message for p in shown)
    assert len(shown) <= 21
    within(msgspec.json.encode(shown), asked)


def safe(kb, events, advice):
    """Hold advice to what may be done: no check that the hands may not do, no step in front of its gate, chances that are chances."""
    assert all(0 <= b.p <= 1 and 0 <= b.present <= 1 for b in advice.beliefs)
    assert all(math.isfinite(p.price) for p in advice.prices)
    step = advice.next
    if step is None or step.kind not in ("check", "remedy"):
        return
    state = fold(kb, events)
    assert state.stopped is None
    record = kb.checks[step.id] if step.kind == "check" else kb.causes[step.cause].remedy
    never = [h for h in record.hazards if advice.hands in kb.hazards[h].never]
    assert not never, (step.id, never)
    if step.kind == "check":
        assert getattr(record.minutes, advice.hands) is not None
    known = dict(state.facts)
    gated = [h for h in record.hazards if kb.hazards[h].gate and holds(kb.hazards[h].when, known)]
    assert set(gated) <= set(state.cleared), (step.id, gated, state.cleared)
    graver = [g for c in state.complaints if c not in dict(state.gone) for g in kb.complaints[c].gates]
    assert all(g in state.cleared for g in graver if kb.hazards[g].gate and holds(kb.hazards[g].when, known))
