"""Exact belief over causes: a two-layer noisy-OR network in which several causes may be present.

Each finding is on with probability 1 - (1 - leak) * product of (1 - strength) over the causes at work (net leak). Quickscore
(Heckerman 1989) sums over sets of positive findings with alternating signs, which cancel and can return negative
probabilities; here the noisy-OR is decomposed over *which findings have been triggered so far*, so that every term is a sum of
positive numbers, and facts and shared findings are summed out by bucket elimination (Dechter 1996, `elimination`). Evidence enters
as likelihoods (virtual evidence, Pearl 1988). The cost follows the largest table, not the number of facts and findings.

A remedy splits its cause: present and cured by it, or still at work. A cured cause explains only what was seen before.

References
----------
Heckerman, D. (1989). A tractable inference algorithm for diagnosing multiple diseases. UAI 5 (from memory, unverified).
Dechter, R. (1996). Bucket elimination: a unifying framework for probabilistic inference. UAI 12 (from memory, unverified).
Pearl, J. (1988). Probabilistic Reasoning in Intelligent Systems, section 2.2.2 (from memory, unverified).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isnan

import numpy as np

from .. import effort
from ..effort import IntractableError
from . import cost
from .elimination import buckets
from .noisy_or import CausePrior, Finding, LocalEvidence, NoisyOr
from .part_tally import PartTally
from .potentials import Array
from .propagation import BucketTree, Marginals

__all__ = ["ImpossibleEvidenceError", "IntractableError", "Posterior", "any_of", "infer", "infer_by_fact"]


class ImpossibleEvidenceError(ValueError):
    """Nothing that the model allows brings about what was reported: its chance is 0."""


@dataclass(frozen=True)
class Posterior:
    """What is believed: `present` and `explains` run over causes; `facts` has the options of each unknown fact."""

    marginal_likelihood: float
    present: Array
    explains: Array
    unknown: float
    facts: tuple[Array, ...]


def infer(
    prior: Array, share: Array, findings: Sequence[Finding], cures: dict[int, list[tuple[int, float]]] | None = None
) -> Posterior:
    """Return the exact posterior of every cause, the facts being given as one list of joint states.

    Parameters
    ----------
    prior : array (states, causes)
        Chance of each cause in each joint state of the unknown facts [prob].
    share : array (states,)
        Prior of those states, summing to 1 [prob].
    findings : list of Finding
        The evidence: findings, and signs with their reports.
    cures : dict, optional
        Cause index -> remedies done on it, as (ordinal, chance to cure).

    Returns
    -------
    Posterior
        As from `infer_by_fact`, with one fact: the joint state.

    Raises
    ------
    ImpossibleEvidenceError, IntractableError, ValueError
        As `infer_by_fact`.

    Examples
    --------
    The worked noisy-OR table of the literature: cold .4, flu .8, malaria .9, no leak; flu alone is certain here.

    >>> import numpy as np
    >>> fever = NoisyOr(1e-12, {0: 0.4, 1: 0.8}, 1.0, 0.0, complaint=True)
    >>> p = infer(np.array([[0.5, 0.5]]), np.array([1.0]), [fever])
    >>> round(p.marginal_likelihood, 6)  # .25 * (.4 + .8 + .88)
    0.52
    """
    return infer_by_fact([CausePrior((0,), column) for column in prior.T], [share], findings, cures)


def infer_by_fact(
    causes: list[CausePrior],
    shares: list[Array],
    findings: Sequence[Finding],
    cures: dict[int, list[tuple[int, float]]] | None = None,
) -> Posterior:
    """Return the exact posterior of every cause, each cause naming the facts that are its parents.

    Parameters
    ----------
    causes : list of CausePrior
        Chance of each cause by its facts.
    shares : list of array
        Prior of each fact's options, summing to 1; facts are independent [prob].
    findings : list of Finding
        The evidence: findings, and signs with their reports.
    cures : dict, optional
        Cause index -> remedies done on it, as (ordinal, chance to cure).

    Returns
    -------
    Posterior
        `present` counts causes still at work; `explains` those whose link fired for a complaint that still stands;
        `unknown` is the chance that some standing complaint is explained by no listed cause, or, with no complaint,
        that no listed cause is present.

    Raises
    ------
    ImpossibleEvidenceError
        If nothing that the model allows brings about the findings.
    IntractableError
        If all tables together would need more cells than are left, at most `effort.MOST_CELLS`: known before the first is built.
    ValueError
        If a chance that goes in is not a number, or arrays don't fit each other.

    Notes
    -----
    Source: derived here, checked against brute force, exact fractions and a second library in the tests.

    Examples
    --------
    Half of all drains are standpipes, and only there can a pipe be too low; where water runs off it mostly is.

    >>> low = CausePrior((0,), np.array([0.1, 0.0]))
    >>> p = infer_by_fact([low], [np.array([0.5, 0.5])], [NoisyOr(0.01, {0: 0.9}, 1.0, 0.0)])
    >>> p.present.round(3), p.facts[0].round(3)
    (array([0.826]), array([0.908, 0.092]))
    """
    with effort.limit():
        return _inferred(causes, shares, findings, cures or {})


def _inferred(
    causes: list[CausePrior],
    shares: list[Array],
    findings: Sequence[Finding],
    cures: dict[int, list[tuple[int, float]]],
) -> Posterior:
    effort.spend(cost.entering(findings, cures))
    # Of hundreds of answers that hardly any cause explains the weights run over a float, or through nothing times without end.
    with np.errstate(over="ignore", invalid="ignore"):
        local = LocalEvidence(len(causes), len(shares), cures)
        for finding in findings:
            local.take(finding)
        out, evidence = worked_out(local, causes, shares)
    told = np.array([evidence, *out.present, *out.explains])
    if not np.isfinite(told).all() and _are_chances(causes, shares, findings):
        raise effort.IntractableError("so many answers are so unlikely together that their chance is in no float")
    demand_possible(evidence)
    return Posterior(evidence, out.present, out.explains, out.unknown, out.variables[: len(shares)])


def worked_out(
    local: LocalEvidence, causes: list[CausePrior], shares: list[Array], tally: PartTally | None = None
) -> tuple[Marginals, float]:
    """Return the marginals of the bucket tree, not yet scaled, and the chance of the evidence [prob].

    Parameters
    ----------
    local : LocalEvidence
        With all evidence taken in.
    causes, shares
        As `infer_by_fact` takes them.
    tally : PartTally, optional
        Takes in what each part did.
    """
    variables, parts = local.variables, local.parts(causes)
    scopes = tuple(part.scope for part in parts)
    sizes = (*(len(s) for s in shares), *(2 for _ in variables))
    effort.spend(cost.ordering(len(sizes)))
    order = buckets(scopes, sizes, len(shares))
    standing = [len(shares) + b for b, f in enumerate(variables) if f.complaint and f.gone_at is None]
    effort.spend(cost.passing(order, parts, sizes, len(shares), standing))
    tree = BucketTree(order, parts, len(causes), len(shares))
    weights = [*shares, *(np.array(final_weights(f)) for f in variables)]
    out = tree.marginals(weights, standing, tally)
    return out, out.total * local.constant


def any_of(
    tables: list[CausePrior],
    shares: list[Array],
    findings: Sequence[Finding],
    cures: dict[int, list[tuple[int, float]]] | None,
    causes: frozenset[int],
    evidence: float,
) -> float:
    """Return the chance that at least one of some causes explains a complaint that still stands [prob].

    Parameters
    ----------
    tables, shares, findings, cures
        As `infer_by_fact` takes them.
    causes : frozenset of int
        Of one cause it is that cause's `explains`; of several it is their union, not their sum.
    evidence : float
        `Posterior.marginal_likelihood` of the same [prob].

    Raises
    ------
    ImpossibleEvidenceError
        If `evidence` is 0: of what can't have happened nothing is the cause.
    IntractableError, ValueError
        As `infer_by_fact`.

    Notes
    -----
    What is left of the evidence where none of them fires a standing complaint. Source: derived here, checked against
    brute force in the tests.

    Examples
    --------
    Two causes, both strong enough: at least one must be behind it, and they overlap.

    >>> wet = NoisyOr(1e-12, {0: 0.5, 1: 0.5}, 1.0, 0.0, complaint=True)
    >>> even = [CausePrior((), np.array(0.5)), CausePrior((), np.array(0.5))]
    >>> p = infer_by_fact(even, [], [wet])
    >>> [round(float(x), 3) for x in p.explains], round(any_of(even, [], [wet], None, frozenset({0, 1}), p.marginal_likelihood), 3)
    ([0.571, 0.571], 1.0)
    """
    demand_possible(evidence)
    if not causes:
        return 0.0
    without = [
        replace(f, barred=causes) if isinstance(f, NoisyOr) and f.complaint and f.gone_at is None else f
        for f in findings
    ]
    try:
        left = infer_by_fact(tables, shares, without, cures).marginal_likelihood
    except ImpossibleEvidenceError:  # nothing else can explain it
        return 1.0
    return min(1.0, max(0.0, 1.0 - left / evidence))


def _are_chances(causes: list[CausePrior], shares: list[Array], findings: Sequence[Finding]) -> bool:
    """Return whether all that goes in are numbers."""
    tables = all(np.isfinite(t.chance).all() for t in causes) and all(np.isfinite(s).all() for s in shares)
    told = []
    for f in findings:
        if isinstance(f, NoisyOr):
            told += [f.leak, f.on, f.off, *f.links.values()]
        else:
            told += [x for s in f.signs for x in (s.leak, *s.links.values())]
            told += [x for r in f.reports for x in (r.hit, r.false_alarm)]
    return tables and bool(np.isfinite(told).all())


def demand_possible(evidence: float) -> None:
    """Raise where a chance of evidence [prob] is 0, or where it is no number since one that went in was none."""
    if isnan(evidence):
        raise ValueError("the chance of the evidence is not a number; expected chances from 0 to 1 to go in")
    if evidence <= 0:
        raise ImpossibleEvidenceError("the evidence is impossible under this kb")


def final_weights(f: NoisyOr) -> tuple[float, float]:
    """Return the weight of a finding that no cause triggered, and of one that some did: what a leak and the report add."""
    if f.gone_at is not None:
        # The complaint ended: a leak behind it ended by itself; else only cured causes can have fired it.
        return f.leak * f.off, 1.0 - f.leak + f.leak * f.off
    return f.leak * f.on + (1 - f.leak) * f.off, f.on
