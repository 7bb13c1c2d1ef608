"""What another kb, or another version of it, sees differently in a kept case."""

from __future__ import annotations

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.advice import Advice
    from ...engine.case.events import Event


def summary(advice: Advice) -> str:
    """Return what is kept of advice to be compared later: the next step, and the likeliest cause.

    Parameters
    ----------
    advice : Advice
    """
    import msgspec

    best = advice.beliefs[0] if advice.beliefs and advice.complaints else None
    step = f"{advice.next.kind}:{advice.next.id}" if advice.next else ""
    return msgspec.json.encode([step, best.cause if best else "", best.p if best else 0.0]).decode()


def differences(kb: model.KB, events: list[Event], places: list[int], seen: tuple[int, str]) -> list[str]:
    """Return what this kb says differently of a case, in sentences.

    Parameters
    ----------
    kb : KB
        With the case's machine sheet.
    events : list of Event
        Those that this kb understands.
    places : list of int
        Where each stands among all that are kept.
    seen : (int, str)
        After how many of those that are kept advice was given last, and its `summary`.
    """
    import msgspec

    from ...engine.advise import advise
    from ...engine.case.events import Event

    count, text = seen
    step, cause, p = msgspec.json.decode(text, type=tuple[str, str, float])
    known = [e for e, place in zip(events, places, strict=True) if place < count]
    now = advise(kb, known)
    # What was cleared then is not kept; what is compared is what comes after it.
    while now.next and now.next.kind == "gate" and step != f"gate:{now.next.id}":
        known.append(Event(cleared=now.next.id))
        now = advise(kb, known)
    new_step, new_cause, new_p = msgspec.json.decode(summary(now), type=tuple[str, str, float])
    lines = []
    if (cause, round(100 * p)) != (new_cause, round(100 * new_p)):
        lines.append(f"Likeliest was {_cause(kb, cause, p)}; it is now {_cause(kb, new_cause, new_p)}.")
    if step != new_step:
        lines.append(f"Next was {_step(kb, step)}; it is now {_step(kb, new_step)}.")
    return lines


def _cause(kb: model.KB, name: str, p: float) -> str:
    if not name:
        return "nothing"
    title = kb.causes[name].title.lower() if name in kb.causes else name.replace("-", " ")
    return f"{title} ({100 * p:.0f} in 100)"


def _step(kb: model.KB, step: str) -> str:
    kind, _, name = step.partition(":")
    if not kind:
        return "nothing"
    if name in kb.causes and kind == "remedy":
        return f"to mend: {kb.causes[name].remedy.title.lower()}"
    for table in (kb.checks, kb.facts, kb.hazards):
        if name in table:
            return f"the question '{table[name].title}'"
    return f"{kind.replace('-', ' ')} {name.replace('-', ' ')}"
