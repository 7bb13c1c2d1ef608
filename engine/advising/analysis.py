"""Everything worked out about one state: evidence, exact belief, planning belief, what the role may do."""

from .. import model
from ..advice import DIGITS, Belief
from ..case.state import State
from ..diagnosis.evidence import Evidence, gather_evidence
from ..diagnosis.network import Network
from ..diagnosis.scenarios import Scenarios, list_scenarios
from ..errors import InvalidInputError, Problem
from ..inference.posterior import IntractableError, Posterior, infer_by_fact
from ..planning import actions
from ..planning.problem import DecisionProblem


class Analysis:
    """Everything worked out about one state, before it is put into words."""

    def __init__(self, network: Network, state: State) -> None:
        self.network = network
        self.state = state
        self.evidence: Evidence = gather_evidence(network, state)
        e = self.evidence
        try:
            self.posterior: Posterior = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
        except IntractableError as error:
            raise InvalidInputError([_entangled(state)]) from error
        self.beliefs = _beliefs(network.kb, state, e, self.posterior)
        self._scenarios: Scenarios | None = None
        self._view: DecisionProblem | None = None

    @property
    def scenarios(self) -> Scenarios:
        """The planning belief, listed when first needed."""
        if self._scenarios is None:
            self._scenarios = list_scenarios(self.evidence, self.posterior.marginal_likelihood, self.posterior.present)
        return self._scenarios

    @property
    def decision_problem(self) -> DecisionProblem:
        """What the role may do."""
        if self._view is None:
            self._view = actions.decision_problem(
                self.network, self.state, self.evidence, self.scenarios, self.state.role, self.state.hands
            )
        return self._view

    @property
    def residual(self) -> float:
        """Share of the exact evidence that the listed scenarios lack; 0 where none had to be listed."""
        return self._scenarios.residual if self._scenarios else 0.0

    @property
    def unknown(self) -> float:
        """Chance that the complaint has no listed explanation."""
        return round(self.posterior.unknown, DIGITS)


def _entangled(state: State) -> Problem:
    count = len(state.answers)
    answers = f"{count} answer{'' if count == 1 else 's'}"
    return Problem(
        code="C030",
        message=f"{len(state.complaints)} complaints and {answers} hang together so much that no exact belief can be worked out",
        expected="the complaints of one fault; answers that are abnormal all over the machine say that several are at work",
        mend="take the complaint that matters most alone, with its own answers, and the others in cases of their own",
    )


def _beliefs(kb: model.KB, state: State, e: Evidence, posterior: Posterior) -> list[Belief]:
    standing = any(f.complaint and f.gone_at is None for f in e.findings)
    out = []
    for i, name in enumerate(e.causes):
        cause = kb.causes[name]
        present = round(float(posterior.present[i]), DIGITS)
        p = round(float(posterior.explains[i]), DIGITS) if standing else present
        out.append(
            Belief(
                cause=name,
                title=cause.title,
                kind=cause.kind,
                p=p,
                present=present,
                breaks=cause.breaks.rule if cause.breaks else None,
            )
        )
    return sorted(out, key=lambda b: (-b.p, -b.present, b.cause))
