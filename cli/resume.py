"""Going on with a case: which one is offered, what of it the kb of today still knows, and what that kb sees differently."""

from __future__ import annotations

import argparse

from .env import Env
from .pen import Pen

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ..engine import model
    from ..engine.advice import Advice
    from ..engine.case import Event
    from ..engine.problems import Problem
    from .offer import Offer
    from .store import CaseLine, Store

SHOWN = 40  # letters of the words that a case is offered by


class Opening:
    """What is offered of the store: to go on with a case, or to link a new one to it; and the store, where it is open already."""

    def __init__(
        self,
        store: Store | None = None,
        problem: Problem | None = None,
        case: CaseLine | Offer | None = None,
        lines: list[str] | None = None,
    ) -> None:
        self.store = store
        self.problem = problem
        self.case = case
        self.lines = lines or []

    @property
    def recurs(self) -> bool:
        """Whether the case is closed, and the new one may be its return."""
        return self.case is not None and self.case.state == "closed"


def look(args: argparse.Namespace, env: Env) -> Opening:
    """Return what the store offers; as little is imported as can be, and the store opened only where that is not enough.

    Parameters
    ----------
    args : Namespace
        `--store`, and `--reference`: with it only cases of that reference are offered.
    env : Env
    """
    from .keeping import settled, there

    if not there(args, env):
        return Opening()
    path = None if args.reference else settled(args, env)
    if path:
        from ..engine.rows import UncertainRowError
        from .offer import glance

        try:
            offer = glance(path)
            return Opening(case=offer, lines=_gone_on(offer, env) if offer else None)
        except UncertainRowError:
            pass
    return _opened(args, env)


def _opened(args: argparse.Namespace, env: Env) -> Opening:
    """Open the store, and return what it offers."""
    from ..engine.problems import Refused
    from .keeping import open_store

    try:
        store = open_store(args, env)
    except Refused as refused:
        return Opening(problem=refused.problems[0])
    try:
        case = _same(store, args.reference) if args.reference else store.offered()
    except Refused as refused:
        store.close()
        return Opening(problem=refused.problems[0])
    if case is None:
        return Opening(store)
    if case.state != "closed":
        return Opening(store, None, case, _gone_on(case, env))
    how = (case.closed or "closed").replace("-", " ")
    lines = [
        f"There was a case before with the reference {case.reference}: {case.id}, {said(case)}; {how} {case.touched[:10]}.",
        "Has the same come back? (yes: the new case points to it; no: a new one by itself)",
    ]
    return Opening(store, None, case, _wrapped(lines, env))


def _gone_on(case: CaseLine | Offer, env: Env) -> list[str]:
    head = {"open": "A walk was cut off", "waiting": "A case was handed on", "on-trial": "A case is on trial"}
    return _wrapped([f"{head[case.state]}: {said(case)}.", "Go on with it? (yes, or no for a new one)"], env)


def _wrapped(lines: list[str], env: Env) -> list[str]:
    pen = Pen(env.width)
    return [part for line in lines for part in pen.wrap(line)]


def _same(store: Store, reference: str) -> CaseLine | None:
    """Return the case of a reference that is best gone on with: one that is not closed, else the last one."""
    found = [c for c in store.find(reference=reference) if c.state == "closed" or not store.held(c.id)]
    return next((c for c in found if c.state != "closed"), found[0] if found else None)


def said(case: CaseLine | Offer) -> str:
    """Return a case in a few words: what was said, and how much was answered."""
    words = "".join(c for c in case.words if c.isprintable())
    text = f'"{words[:SHOWN]}{"..." if len(words) > SHOWN else ""}"' if words else "no words yet"
    return f"{text}, {case.answers} answer{'' if case.answers == 1 else 's'}"


def take_up(kb: model.KB, events: list[Event]) -> tuple[list[Event], list[int], list[str]]:
    """Return the events that this kb still understands, where each stands among all, and what is left out and why.

    Parameters
    ----------
    kb : KB
    events : list of Event
        As they are kept, perhaps by an older kb; they stay kept.
    """
    from ..engine.casefile import event_problems

    good, places, lines = [], [], []
    for place, event in enumerate(events):
        problems = event_problems(kb, event)
        if problems:
            lines.append(f"Left out, because the kb has changed: {problems[0].message}.")
        else:
            good.append(event)
            places.append(place)
    return good, places, lines


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

    from ..engine.advise import advise

    count, text = seen
    step, cause, p = msgspec.json.decode(text, type=tuple[str, str, float])
    now = advise(kb, [e for e, place in zip(events, places, strict=True) if place < count])
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
