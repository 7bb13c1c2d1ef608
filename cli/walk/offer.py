"""Which kept case is offered at the start of a walk, and in which words."""

from __future__ import annotations

import argparse

from ..terminal.env import Env
from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine.errors import Problem
    from ..store.glance import Offer
    from ..store.store import CaseLine, Store

TOLD = 3  # damaged cases that are named at a start
INSTALLATIONS = ("installed", "to-mend")  # how a case that a survey put there is closed, or stands open
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
    from ..store.location import settled, there

    if not there(args, env):
        return Opening()
    path = None if args.reference else settled(args, env)
    if path:
        from ...engine.case.rows import UncertainRowError
        from ..store.glance import glance

        try:
            offer = glance(path)
            return Opening(case=offer, lines=_gone_on(offer, env) if offer else None)
        except UncertainRowError:
            pass
    return _opened(args, env)


def _opened(args: argparse.Namespace, env: Env) -> Opening:
    """Open the store, and return what it offers."""
    from ...engine.errors import InvalidInputError
    from ..store.opening import open_store

    try:
        store = open_store(args, env)
    except InvalidInputError as refused:
        return Opening(problem=refused.problems[0])
    try:
        case = _same(store, args.reference) if args.reference else store.offered()
    except InvalidInputError as refused:
        store.close()
        return Opening(problem=refused.problems[0])
    for name in store.passed_over[:TOLD]:
        text = f"Case {name} is damaged, so it is not offered. dryfloor show {name} shows what is left of it."
        for line in _wrapped([text], env):
            env.say(line, err=True)
    if case is None:
        return Opening(store)
    if case.state != "closed" and case.closed != "to-mend":
        return Opening(store, None, case, _gone_on(case, env))
    how = (case.closed or "closed").replace("-", " ")
    if case.closed in INSTALLATIONS:
        lines = [
            f"An installation is kept with the reference {case.reference}: {case.id}, {case.answers} answers, {case.touched[:10]}"
            f"{'; it was left open, with something to mend or to be seen' if case.closed == 'to-mend' else ''}.",
            "Is it about this washer? (yes: what is known from there is not asked again; no: a new case by itself)",
        ]
        return Opening(store, None, case, _wrapped(lines, env))
    lines = [
        f"There was a case before with the reference {case.reference}: {case.id}, {said(case)}; {how} {case.touched[:10]}.",
        "Has the same come back? (yes: the new case points to it; no: a new one by itself)",
    ]
    return Opening(store, None, case, _wrapped(lines, env))


def _gone_on(case: CaseLine | Offer, env: Env) -> list[str]:
    head = {"open": "A walk was cut off", "waiting": "A case was handed on", "on-trial": "A case is on trial"}
    return _wrapped([f"{head[case.state]}: {said(case)}.", "Go on with it? (yes, or no for a new one)"], env)


def _wrapped(lines: list[str], env: Env) -> list[str]:
    layout = Layout(env.width)
    return [part for line in lines for part in layout.wrap(line)]


def _same(store: Store, reference: str) -> CaseLine | None:
    """Return the case of a reference that is best gone on with: one that is not closed, else the last one."""
    found = [c for c in store.find(reference=reference) if not c.damage]
    found = [c for c in found if c.state == "closed" or not store.held(c.id)]
    walks = [c for c in found if c.state != "closed" and c.closed not in INSTALLATIONS]
    return next(iter(walks), found[0] if found else None)


def said(case: CaseLine | Offer) -> str:
    """Return a case in a few words: what was said, and how much was answered."""
    words = "".join(c for c in case.words if c.isprintable())
    none = "an installation" if getattr(case, "closed", None) in INSTALLATIONS else "no words yet"
    text = f'"{words[:SHOWN]}{"..." if len(words) > SHOWN else ""}"' if words else none
    return f"{text}, {case.answers} answer{'' if case.answers == 1 else 's'}"


FIRST = "What is wrong? Say it in your own words."
