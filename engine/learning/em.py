"""EM: cases counted under some numbers, the numbers made likelier, and again; the chance of the cases never falls.

References
----------
Dempster, A. P., Laird, N. M. & Rubin, D. B. (1977). Maximum likelihood from incomplete data via the EM algorithm (from memory, unverified).
Lauritzen, S. L. (1995). The EM algorithm for graphical association models with missing data (from memory, unverified).
Spiegelhalter, D. J. & Lauritzen, S. L. (1990). Sequential updating of conditional probabilities on directed graphical structures
(from memory, unverified): Beta and Dirichlet priors.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from .. import model
from ..diagnosis.network import Network
from ..inference.potentials import Array
from .counts import Counts, Parameters, with_debts
from .maximization import Prior, log_prior, maximized
from .numbers import LEAST, Numbers, with_numbers

MOST_PASSES = 30
# A pass that gains less than this for each case is the last [nat].
ENOUGH = 1e-4
# How often a step that went too far is halved before it is left.
HALVINGS = 6
# From some numbers to the counts of all cases under them: at home, by processes, or by other machines.
Pass = Callable[[Numbers], Counts]


@dataclass
class Learned:
    """Numbers that were learned.

    Parameters
    ----------
    parameters : Parameters
    prior : Prior
    vector : array
        [prob]
    counts : Counts
        Of the last pass, with what the cases owe.
    objective : list of float
        Log likelihood with the log prior, pass by pass [nat].
    """

    parameters: Parameters
    prior: Prior
    vector: Array
    counts: Counts
    objective: list[float] = field(default_factory=list)

    @property
    def numbers(self) -> Numbers:
        """What was learned, by key."""
        return self.parameters.numbers(self.vector)


def learn(
    kb: model.KB,
    one_pass: Pass,
    most: int = MOST_PASSES,
    told: Callable[[int, float], None] | None = None,
    start: Array | None = None,
) -> Learned:
    """Return the numbers that cases make likeliest, beside the judgement.

    Parameters
    ----------
    kb : KB
        As it is judged.
    one_pass : callable
        Counts all cases under some numbers.
    most : int
        Passes over the cases at most [-].
    told : callable, optional
        Told of every pass: its number, and what it gained [nat].
    start : array, optional
        Numbers to begin from, where learning was cut off; else the judgement [prob].

    Notes
    -----
    A step that would lower the chance of the cases is halved: steps of rates and shares rest on a tangent that holds where faults are rare.
    """
    parameters = Parameters(Network(kb))
    prior = Prior.of(parameters, kb)

    def under(vector: Array) -> tuple[Counts, float]:
        numbers = parameters.numbers(vector)
        counts = with_debts(Network(with_numbers(kb, numbers)), parameters, one_pass(numbers))
        return counts, counts.log_likelihood + log_prior(parameters, prior, vector)

    vector = prior.judged if start is None else start
    counts, height = under(vector)
    objective = [height]
    for n in range(1, most):
        ahead = maximized(parameters, prior, vector, counts)
        for _ in range(HALVINGS):
            new, reached = under(ahead)
            if reached >= height:
                break
            ahead = _between(parameters, vector, ahead)
        if reached < height:
            break
        gained = reached - height
        vector, counts, height = ahead, new, reached
        objective.append(height)
        if told:
            told(n, gained)
        if gained < ENOUGH * max(counts.cases, 1):
            break
    return Learned(parameters, prior, vector, counts, objective)


def _between(parameters: Parameters, a: Array, b: Array) -> Array:
    """Return numbers halfway in log-odds, the shares of a fact summing to 1."""
    mid = (np.log(a / (1 - a)) + np.log(b / (1 - b))) / 2
    out = np.clip(1 / (1 + np.exp(-mid)), LEAST, 1 - LEAST)
    for at in parameters.facts:
        out[at] /= out[at].sum()
    return np.asarray(out)
