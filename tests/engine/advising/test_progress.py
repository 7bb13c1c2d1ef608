"""Where one stands: about so many questions, held against walks that were played; and the same words on every face."""

import re

import numpy as np
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.progress import MOST, questions_left
from dryfloor.engine.case.events import Event
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import ActionValue, Decision, DecisionProblem, Referral, Test
from dryfloor.engine.simulation.simulator import Steps, play
from dryfloor.engine.simulation.world import installations_of

ASK = ActionValue("question", "check:x", 1.0)


def faults(count, tests):
    needs = np.eye(count, dtype=bool)
    rows = [Test(f"q{n}", 1.0, np.array(row, float)) for n, row in enumerate(tests)]
    far = Referral(np.full(count, 1000.0))
    return np.full(count, 1 / count), DecisionProblem(rows, [], far, needs, np.zeros(count, bool), np.arange(count))


def test_the_plan_itself_says_how_many_bits_are_lacking_and_which_questions_tell():
    # Four faults alike, two perfect halvings and a question that says nothing: two bits, two questions that tell.
    choice = choose(*faults(4, [[[1, 1, 0, 0], [0, 0, 1, 1]], [[1, 0, 1, 0], [0, 1, 0, 1]], [[0.5] * 4, [0.5] * 4]]))
    assert choice.unknown_bits == pytest.approx(2)
    assert choice.telling == 2


def test_it_is_bounded_and_nothing_before_a_fix():
    assert questions_left(Decision(ASK, unknown_bits=0.0, telling=0)) == 1
    assert questions_left(Decision(ASK, unknown_bits=90.0, telling=900)) == MOST
    assert questions_left(Decision(ActionValue("remedy", "x", 1.0), unknown_bits=9.0, telling=9)) == 0


def test_a_card_says_where_one_stands_and_a_gate_does_not(kb):
    case = [Event(role="homeowner"), Event(complaints=["slow-fill"])]
    said = advise(kb, case).card.where
    assert re.fullmatch(r"(\d+ causes? left|No cause stands out yet), about \d+ more questions?", said)
    assert advise(kb, [Event(role="homeowner"), Event(complaints=["siphons"])]).card.where == ""


@pytest.mark.slow
def test_it_is_right_in_the_mean_of_walks_that_were_played(kb):
    """About 5 is 5 in the mean: sites of another seed than the fit's, over all complaints."""
    network = network_of(kb)
    errors, seen = [], {}
    complaints = list(kb.complaints)
    for role in ("homeowner", "technician"):

        class Traced(Steps):
            """Steps that are written down."""

            def at(self, state):
                found = super().at(state)
                self.trace.append((state, found[0]))
                return found

        def policy(root, problem):
            from dryfloor.engine.advising.next_step import least_cost

            seen["choice"] = least_cost(root, problem)
            return seen["choice"]

        steps = Traced(network, policy)
        said = {}
        for sites in installations_of(network, complaints, 1, 23).values():
            for site in sites:
                steps.trace = []
                play(network, site, role, steps)
                kinds = [(state, step) for state, step in steps.trace if step is not None]
                for n, (state, step) in enumerate(kinds):
                    if step.kind not in ("check", "fact") or step.proof or step.id == "still-there":
                        continue
                    if state not in said:
                        steps.known.pop(state, None)
                        seen.pop("choice", None)
                        Steps.at(steps, state)
                        said[state] = questions_left(seen["choice"]) if "choice" in seen else 0
                    left = 0
                    for _, later in kinds[n:]:
                        if later.kind in ("remedy", "hand-on"):
                            break
                        left += later.kind in ("check", "fact") and not later.proof
                    if said[state]:
                        errors.append(said[state] - left)
    assert len(errors) > 100
    assert abs(np.mean(errors)) < 1.5
    assert np.mean(np.abs(errors)) < 4
