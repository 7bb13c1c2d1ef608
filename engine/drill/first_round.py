"""The first round, which teaches how it is played: an easy installation, always the same, and what to do next at each point of it.

It counts for nothing. A step before its danger is cleared is held back in it, and said; in every other round it is the end.
"""

from typing import Literal

from .. import model
from ..advice import Frozen
from ..exercises.order import Order
from .marks import limit_asked
from .moves import SOUND, Act
from .policies import own_checks
from .round import Round

FAULT, SEED, MINUTES = "standpipe-too-low", 8, 15.0
StepKind = Literal["ask", "safe", "look", "verdict"]
TITLES: dict[StepKind, str] = {
    "ask": "1 of 4, asking",
    "safe": "2 of 4, making sure",
    "look": "3 of 4, looking",
    "verdict": "4 of 4, the verdict",
}
WHY: dict[StepKind, str] = {
    "ask": "Say in your own words what you want to know. Each question and each look takes its minutes; you see what is left.",
    "safe": "A look or a mend can hurt you or them: water near a plug, gas, a machine that walks. Ask first whether it is safe. In a real"
    " round a step that skips this is the end. The answer can be that it is not safe: then stop; that is right.",
    "look": "Now look, measure or try. Where your words could mean several things, choose one of those that are shown. Cautions that come"
    " with it, such as a wet floor or a plug to be pulled, are made sure of in the same way; what you skip is named at the end.",
    "verdict": "Once you know what is wrong, say so. You are asked for the broken rule, its limit, where it is measured and from what, the"
    " mend, whose work it is, and a sentence for the customer. What you don't know can be left out. Nothing wrong is a verdict, too: sound.",
}
READING = (
    "Your score is callback cost avoided, as a share of what our own way avoids: 1 is as good as ours, 0 as good as leaving it.",
    "What you said is held against the rule: right, wrong, or to be compared by yourself.",
    "Each look has its minutes and what it told: from how many likely causes to how many, and whether the right one is among them."
    " Much told in few minutes is what to learn.",
    "The best fixed list of looks is made afterwards, by who has the answer. It is no blame: it shows what would have told it soonest.",
    "What looks like it, and the tell, is for the next time that you see something of the kind.",
)


class Hint(Frozen, frozen=True, kw_only=True):
    """What to do next in the first round: which step it is, why it is done, and words that do it.

    `expected` are the answers to what a verdict asks for, as question and words; empty for every other step.
    """

    kind: StepKind
    title: str
    why: str
    words: str
    expected: tuple[tuple[str, str], ...] = ()


def first_order(kb: model.KB) -> Order:
    """Return the order of the first round.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> first_order(load_kb()).fault
    'standpipe-too-low'
    """
    return Order(seed=SEED, fault=FAULT if FAULT in kb.causes else "", minutes=MINUTES)


def is_first(kb: model.KB, order: Order) -> bool:
    """Return whether an order is that of the first round."""
    return order == first_order(kb)


def lesson(game: Round) -> Hint | None:
    """Return what to do next in a first round; None once it is over.

    Parameters
    ----------
    game : Round
        So far.
    """
    if game.ended:
        return None
    kb = game.kb
    cause = kb.causes[next((c for c in game.exercise.truth if c not in game.named()), game.exercise.truth[0])]
    check = next((kb.checks[c] for c in own_checks(kb, cause.id) if _doable(game, kb.checks[c])), None)
    if not any(r.kind == "seen" for r in game.answers):
        fact = next(
            (f for f in (*cause.when, "onset", *kb.facts) if f in kb.facts and f not in dict(game.state.facts)), ""
        )
        if fact:
            return _step("ask", kb.facts[fact].title.lower())
    gates = game.uncleared(check) if check else []
    if check and not _seen(game, check):
        return _step("safe", kb.hazards[gates[0]].title.lower()) if gates else _step("look", check.title.lower())
    return _step("verdict", cause.title.lower(), _expected(game, cause))


def held_back(game: Round, act: Act) -> str:
    """Return why a move is held back in a first round, where it would end any other at a gate; nothing where it is done.

    Parameters
    ----------
    game : Round
    act : Act
        That is about to be done.
    """
    kb = game.kb
    if act.kind == "check" and act.id in kb.checks:
        check = kb.checks[act.id]
        closed = [] if game.refused(check) else game.uncleared(check)
    else:
        closed = game.mend_gates(act) if act.kind == "verdict" and act.id != SOUND else []
    if not closed:
        return ""
    title = kb.hazards[closed[0]].title.lower()
    return f"Not yet: first make sure of this: {title}. In a real round it would have been the end of it."


def _step(kind: StepKind, words: str, expected: tuple[tuple[str, str], ...] = ()) -> Hint:
    return Hint(kind=kind, title=TITLES[kind], why=WHY[kind], words=words, expected=expected)


def _doable(game: Round, check: model.Check) -> bool:
    return _seen(game, check) or game.refused(check) is None


def _seen(game: Round, check: model.Check) -> bool:
    return any(a.check == check.id and not a.proof for a in game.state.answers)


def _expected(game: Round, cause: model.Cause) -> tuple[tuple[str, str], ...]:
    rule = game.kb.rules[cause.breaks.rule] if cause.breaks else None
    out = [("the rule", rule.title.lower() if rule else "none")]
    if rule and cause.breaks:
        out += [("its limit", limit_asked(rule, cause.breaks.side)), ("measured where, and from what", rule.of)]
    return (*out, ("the mend", cause.remedy.title.lower()), ("whose work", game.right_by(cause.id)))
