"""Everything worked out about one state: evidence, exact belief, planning belief, what the role may do."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from .. import effort, model
from ..advice import DIGITS, Belief
from ..case.events import Event
from ..case.state import State, fold
from ..diagnosis.evidence import Evidence, gather_evidence
from ..diagnosis.network import Network
from ..diagnosis.scenarios import Scenarios, list_scenarios
from ..errors import InvalidInputError, Problem
from ..inference.posterior import ImpossibleEvidenceError, Posterior, infer_by_fact
from ..planning import actions, roles
from ..planning.problem import DecisionProblem

# With more remedies than these, they are what makes a case too large (judgement) [-].
MANY_REMEDIES = 30
# From here on a cause is called found [-].
EVEN = 0.5


class Analysis:
    """Everything worked out about one state, before it is put into words."""

    def __init__(self, network: Network, state: State) -> None:
        self.network = network
        self.state = state
        try:
            self.evidence: Evidence = gather_evidence(network, state)
            self.posterior: Posterior = _posterior(self.evidence)
        except effort.IntractableError as error:
            raise InvalidInputError([entangled(state)]) from error
        self.beliefs = _beliefs(network.kb, state, self.evidence, self.posterior)
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
    def likeliest(self) -> str | None:
        """The cause that explains what stands at even odds or better, if one does: what may be called found."""
        best = self.beliefs[0] if self.beliefs and self.state.complaints else None
        if best is None or best.p < EVEN or roles.denied(self.network, self.state, self.network.kb.causes[best.cause]):
            return None
        return best.cause

    @property
    def open_beliefs(self) -> list[Belief]:
        """The beliefs without the causes whose defining look stands denied by these hands or better ones: what may still be named."""
        return [b for b in self.beliefs if not roles.denied(self.network, self.state, self.network.kb.causes[b.cause])]

    @property
    def doubted_beliefs(self) -> list[Belief]:
        """The beliefs that stand although a look said otherwise: whoever comes next is told of them, and nobody is told that one is found."""
        return [b for b in self.beliefs if roles.doubted(self.network, self.state, self.network.kb.causes[b.cause])]

    @property
    def residual(self) -> float:
        """Share of the exact evidence that the listed scenarios lack; 0 where none had to be listed."""
        return self._scenarios.residual if self._scenarios else 0.0

    @property
    def unknown(self) -> float:
        """Chance that the complaint has no listed explanation."""
        return round(self.posterior.unknown, DIGITS)


def _posterior(e: Evidence) -> Posterior:
    try:
        return infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
    except ImpossibleEvidenceError as error:
        problem = Problem(
            code="C033",
            message="these answers can't all be true together",
            expected="answers that fit each other",
            mend="change the answer that you are least sure of",
        )
        raise InvalidInputError([problem]) from error


def entangled(state: State) -> Problem:
    """Return what is wrong with a case in which too much hangs together, and what to leave out."""
    count = len(state.answers)
    answers = f"{count} answer{'' if count == 1 else 's'}"
    mend = "take the complaint that matters most alone, with its own answers, and the others in cases of their own"
    if len(state.complaints) < 2:
        mend = "leave out the answers that matter least to the complaint, and those given again after a remedy that changed nothing"
    if state.epoch > MANY_REMEDIES:
        mend = "begin a new case with what stands now, without the remedies that changed nothing"
    return Problem(
        code="C030",
        message=f"{len(state.complaints)} complaints and {answers} hang together so much that no exact belief can be worked out",
        expected="the complaints of one fault; answers that are abnormal all over the machine say that several are at work",
        mend=mend,
    )


@contextmanager
def bounded(kb: model.KB, case: Sequence[Event] | State, times: int = 1) -> Iterator[None]:
    """Hold what is worked out of a case inside to a bound that is the same for every way in.

    Parameters
    ----------
    kb : KB
    case : sequence of Event, or State
    times : int
        How many times what one answer may take: `effort.TOLD` for what is told of a whole case.

    Raises
    ------
    InvalidInputError
        If more would be needed: C030, with what to leave out.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> with bounded(load_kb(), [Event(complaints=["walks"])]):
    ...     effort.spend(4)
    """
    try:
        with effort.limit(times):
            yield
    except effort.IntractableError as error:
        state = case if isinstance(case, State) else fold(kb, list(case))
        raise InvalidInputError([entangled(state)]) from error


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
