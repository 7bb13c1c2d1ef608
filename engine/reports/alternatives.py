"""The ways to go on with a case and what each is expected to cost: by phone, a visit, a licensed trade booked at once."""

from math import inf
from typing import Literal

import numpy as np

from .. import model
from ..advice import DIGITS, Frozen
from ..advising.analysis import Analysis
from ..planning import actions, roles
from ..planning.myopic import CostModel
from ..planning.problem import Decision, DecisionProblem, Repair, normal

WayKind = Literal["phone", "visit", "plumber", "electrician", "stop", "nothing"]


class Way(Frozen, frozen=True, kw_only=True):
    """A way to go on, and what it is expected to cost until it is mended [homeowner minutes]; `asks`: it begins with a question."""

    kind: WayKind
    asks: bool
    title: str
    price: float
    text: str


def problem_here(analysis: Analysis) -> DecisionProblem:
    """Return what whoever answers may do; where no technician is there yet, the desk goes on in their place."""
    state = analysis.state
    if state.role == "technician" and state.hands != "technician":
        return actions.decision_problem(
            analysis.network, state, analysis.evidence, analysis.scenarios, "desk", state.hands
        )
    return analysis.decision_problem


def ways(analysis: Analysis, decision_problem: DecisionProblem, choice: Decision) -> list[Way]:
    """Return the ways to go on with their prices, cheapest first: by phone, a visit, a licensed trade booked at once."""
    kb, state = analysis.network.kb, analysis.state
    there = state.hands == "technician"
    role = state.role if there or state.role != "technician" else "desk"
    root = analysis.scenarios.weight
    cost_model = CostModel(decision_problem, root)
    on = [v for v in choice.ranked if v.kind == "question" or v.id.startswith("remedy:")]
    out = []
    if on and not there:
        onward = "Go on without a visit" if role == "homeowner" else "Go on by phone"
        out.append(_way("phone", f"{onward} ({_first(kb, on[0].id)})", on[0].price, on[0].kind == "question"))
    if there:
        out.append(_way("visit", "Go on with the technician who is there", on[0].price if on else choice.hand_on))
    else:
        out.append(_way("visit", "Send a technician", choice.hand_on))
    # Where the best order of fixes begins with a trade, that is its price: it goes on with the rest of the order.
    ordered = {v.id: v.price for v in choice.ranked}
    for trade in ("plumber", "electrician"):
        prices = [
            min(_booked(cost_model, root, k, mend), ordered.get(mend.id, inf))
            for k, mend in enumerate(decision_problem.repairs)
            if mend.id.startswith("hand-on:") and _ready(analysis, mend, trade)
        ]
        if prices:
            title = roles.trade_card(kb, trade).title.lower()
            article = "an" if title[0] in "aeiou" else "a"
            out.append(_way(trade, f"Book {article} {title}", min(prices)))
    return sorted(out, key=lambda w: (round(w.price, DIGITS), w.kind))


def _first(kb: model.KB, step: str) -> str:
    """Return the first step of a way in words."""
    kind, _, name = step.partition(":")
    if kind == "remedy":
        return f"mend: {kb.causes[name].remedy.title.lower()}"
    return f"ask: {(kb.checks[name] if kind == 'check' else kb.facts[name]).title.lower()}"


def cheapest(priced: list[Way], least_gain: float) -> Way:
    """Return the way to take: the cheapest, but a question must save as much as in a walk before it is put first."""
    best = priced[0]
    if best.asks and len(priced) > 1 and best.price > (1 - least_gain) * priced[1].price:
        return priced[1]
    return best


def _way(kind: str, title: str, price: float, asks: bool = False) -> Way:
    text = f"expected to cost {price:.0f} homeowner minutes until it is mended"
    return Way(kind=kind, asks=asks, title=title, price=round(price, 6), text=text)  # type: ignore[arg-type]


def _ready(analysis: Analysis, mend: Repair, trade: str) -> bool:
    """Return whether a trade may be booked for a remedy: nobody is, before the reading that calls for it."""
    remedy = analysis.network.kb.causes[mend.id.partition(":")[2]].remedy
    return (
        roles.work_of(remedy, analysis.state) == trade
        and roles.condition(analysis.network, analysis.state, remedy) == "met"
    )


def _booked(cost_model: CostModel, root: "np.typing.NDArray[np.float64]", k: int, mend: Repair) -> float:
    """Return the price of having one remedy done by its trade first, and of handing on what it leaves."""
    decision_problem: DecisionProblem = cost_model.decision_problem
    alone = cost_model.fix[:, k] & (decision_problem.needs.sum(axis=1) == 1)
    rest = root * np.where(alone, 1 - mend.chance, 1.0)
    left = float(rest.sum())
    return (
        mend.cost + mend.vain * left + (left * float(cost_model.hand_on(normal(rest[None, :]))[0]) if left > 0 else 0.0)
    )
