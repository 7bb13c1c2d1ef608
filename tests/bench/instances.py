"""Views small enough for their exact optimum: made-up ones, and ones cut from the shipped kb.

A cut stands at a made-up site with its circumstances known: of what a complaint leaves there, the likeliest causes are kept with
the questions that the role would soonest ask, and of the next role those that it would. A question that both may ask has the first
role's table, so that one state says what both would see.
"""

from dataclasses import replace
from functools import cache
from typing import NamedTuple

import numpy as np

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import State, step
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import Array, DecisionProblem, Referral, Repair, Test
from dryfloor.engine.simulation.baselines import fixed_list
from dryfloor.engine.simulation.world import installations_of
from tests.support.shipped import shipped

from .lookahead.ahead import narrowed, questions_of
from .lookahead.remaining import chain

ROLES = ("homeowner", "desk", "technician")
CAUSES, SCENARIOS = 7, 14
# States of the questions: about as many as ten questions with two answers make.
STATES = 3**10
SEED = 20


class Instance(NamedTuple):
    """One belief with its view, and the order in which the trade would ask."""

    role: str
    name: str
    root: Array
    decision_problem: DecisionProblem
    order: list[str]


def made_up(seed: int, causes: int = 8, checks: int = 10) -> Instance:
    """Return a random instance: one fault of several, now and then two at once or one that is not listed.

    Strengths are 0.5 to 0.97 for one cause in four, leaks 0.01 to 0.1; checks cost about 3, mends about 25, handing on 120
    to 250; a mend cures with 0.85 to 0.98, and one cause in ten has none. All of it is invented.
    """
    rng = np.random.default_rng((SEED, seed))
    sets: list[set[int]] = [{i} for i in range(causes)]
    weight = list(0.9 * rng.dirichlet(np.ones(causes)))
    for _ in range(2):
        sets.append({int(c) for c in rng.choice(causes, 2, replace=False)})
        weight.append(0.025)
    sets.append(set())
    weight.append(0.05)
    needs = np.zeros((len(sets), causes), dtype=bool)
    for s, own in enumerate(sets):
        needs[s, list(own)] = True
    questions = []
    for j in range(checks):
        strength = np.where(rng.random(causes) < 0.25, rng.uniform(0.5, 0.97, causes), 0.0)
        on = 1 - (1 - rng.uniform(0.01, 0.1)) * np.exp(needs @ np.log1p(-strength))
        questions.append(Test(f"q{j}", float(rng.lognormal(1.0, 0.7)), np.array([on, 1 - on])))
    mends = [
        Repair(f"remedy:m{c}", float(rng.lognormal(3.2, 0.7)), np.arange(causes) == c, float(rng.uniform(0.85, 0.98)))
        for c in range(causes)
        if rng.random() < 0.9
    ]
    price = np.full(len(sets), float(rng.uniform(120, 250)))
    decision_problem = DecisionProblem(
        questions, mends, Referral(price), needs, ~needs.any(axis=1), np.arange(len(sets))
    )
    return Instance("technician", f"made up {seed}", np.array(weight), decision_problem, [q.id for q in questions])


@cache
def cuts(count: int) -> tuple[Instance, ...]:
    """Return instances cut from the shipped kb, the roles and complaints in turn."""
    network = network_of(shipped())
    names = sorted(network.kb.complaints)[:count]
    installations = installations_of(network, names, 1 + count // len(names), SEED)
    out: list[Instance] = []
    for n in range(count):
        role, complaint = ROLES[n % len(ROLES)], names[n % len(names)]
        installation = installations[complaint][n // len(names)]
        state = State()
        for event in (Event(role=role), Event(complaints=[complaint])):
            state = step(network.kb, state, event)
        for fact in Analysis(network, state).evidence.facts.names:
            state = step(network.kb, state, Event(fact=fact, is_=installation.facts[fact]))
        analysis = Analysis(network, state)
        root, decision_problem = cut(analysis.scenarios.weight, analysis.decision_problem)
        order = [f"check:{c.id}" for c in fixed_list(network, [complaint])]
        out.append(Instance(role, f"{complaint}, {role}", root, decision_problem, order))
    return tuple(out)


def cut(root: Array, decision_problem: DecisionProblem) -> tuple[Array, DecisionProblem]:
    """Return a belief and a view over its likeliest causes with the questions that are soonest asked about them."""
    wanted = np.argsort(-np.round(root @ decision_problem.needs, 12), kind="stable")[:CAUSES]
    other = np.ones(decision_problem.needs.shape[1], dtype=bool)
    other[wanted] = False
    fitting = np.flatnonzero(
        ~(decision_problem.needs & other).any(axis=1) & (decision_problem.needs.any(axis=1) | decision_problem.unlisted)
    )
    kept = np.sort(fitting[np.argsort(-np.round(root[fitting], 12), kind="stable")][:SCENARIOS])
    belief = root[kept] / root[kept].sum()
    every = [{q.id for q in own.tests} for own in chain(decision_problem)]
    views = chain(narrowed(decision_problem, kept, every))
    # What each role would ask if nobody came after it.
    alone = [replace(own, referral=replace(own.referral, next_problem=None)) for own in views]
    ranked = [[v.id for v in questions_of(choose(belief, own))] for own in alone]
    tables: dict[str, Array] = {}
    states = 1
    for place in range(max(map(len, ranked), default=0)):
        for names in ranked:
            if place < len(names) and names[place] not in tables:
                table = _table(views, names[place])
                if states * (len(table) + 1) <= STATES:
                    states *= len(table) + 1
                    tables[names[place]] = table
    out: DecisionProblem | None = None
    for own in reversed(views):
        questions = [Test(q.id, q.cost, tables[q.id]) for q in own.tests if q.id in tables]
        out = DecisionProblem(
            questions,
            own.repairs,
            Referral(own.referral.price, out, own.referral.fee),
            own.needs,
            own.unlisted,
            own.group,
        )
    assert out is not None
    return belief, out


def _table(views: list[DecisionProblem], name: str) -> Array:
    """Return the table of a question, the first role's that may ask it."""
    return next(q.likelihood for own in views for q in own.tests if q.id == name)
