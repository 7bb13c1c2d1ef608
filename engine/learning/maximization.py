"""Counts to numbers: one step uphill in the chance of the cases, with the judgement as prior; and what is climbed.

A chance has a Beta prior with the judged value as its mean, and is set to the mean that follows (in log-odds this is the most likely
value). Rates and shares also stand in what made the cases come to light; there the chance of the complaint is bounded by its tangent,
which gives a multiplicative step (minorization, as EM itself: from memory, unverified; derived here).
"""

from dataclasses import dataclass

import numpy as np

from .. import model
from ..inference.potentials import Array
from .counts import Counts, Parameters
from .numbers import LEAST

FIELD = {
    "rate": "rates",
    "unlisted": "rates",
    "share": "shares",
    "strength": "strengths",
    "leak": "leaks",
    "cures": "cures",
    "hit": "reports",
    "false_alarm": "reports",
}
# What a judgement is worth in a kb that does not say [cases].
USUAL = 1.0


@dataclass(frozen=True)
class Prior:
    """What a judgement is worth, number by number.

    Parameters
    ----------
    judged : array
        [prob]
    worth : array
        Cases of the rarer way to come out; of a share, of its rarest option [-].
    kind : array of str
    """

    judged: Array
    worth: Array
    kind: list[str]

    @classmethod
    def of(cls, parameters: Parameters, kb: model.KB) -> "Prior":
        """Return the prior that a kb states, over its own numbers."""
        said = kb.roles.judgement
        worth = [getattr(said, FIELD[k[0]]).n if said else USUAL for k in parameters.keys]
        return cls(parameters.vector(parameters.judged), np.array(worth), [k[0] for k in parameters.keys])

    @property
    def yes(self) -> Array:
        """Cases that speak for a number: as many as make the rarer way `worth` [-]."""
        rarer: Array = np.minimum(self.judged, 1 - self.judged)
        out: Array = self.worth * self.judged / rarer
        return out

    @property
    def no(self) -> Array:
        """Cases that speak against it [-]."""
        rarer: Array = np.minimum(self.judged, 1 - self.judged)
        out: Array = self.worth * (1 - self.judged) / rarer
        return out


def rates(prior: Prior) -> Array:
    """Return which numbers are rates."""
    return np.array([k in ("rate", "unlisted") for k in prior.kind])


def shares(parameters: Parameters, prior: Prior) -> list[tuple[Array, Array]]:
    """Return for each fact the places of its options, and what the judgement of each is worth [cases]."""
    out = []
    for at in parameters.facts:
        judged = prior.judged[at]
        out.append((at, prior.worth[at] * judged / judged.min()))
    return out


def log_prior(parameters: Parameters, prior: Prior, vector: Array) -> float:
    """Return the logarithm of the prior chance of numbers, up to a constant [nat].

    Parameters
    ----------
    parameters : Parameters
    prior : Prior
    vector : array
        In the order of the parameters [prob].
    """
    rate = rates(prior)
    share = np.array([k == "share" for k in prior.kind])
    plain = ~(rate | share)
    out = float((prior.yes * np.log(vector) + prior.no * np.log1p(-vector))[plain].sum())
    out += float((prior.worth * (np.log(vector) - vector / prior.judged))[rate].sum())
    for at, alpha in shares(parameters, prior):
        out += float((alpha * np.log(vector[at])).sum())
    return out


def maximized(parameters: Parameters, prior: Prior, vector: Array, counts: Counts) -> Array:
    """Return the numbers that the counts of some cases make likelier.

    Parameters
    ----------
    parameters : Parameters
    prior : Prior
    vector : array
        The numbers under which the cases were counted [prob].
    counts : Counts
        With what the cases owe.

    Notes
    -----
    Of no case they are the judgement.

    Examples
    --------
    >>> from dryfloor.engine.diagnosis.network import Network
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> parameters = Parameters(Network(kb))
    >>> prior = Prior.of(parameters, kb)
    >>> bool(np.allclose(maximized(parameters, prior, prior.judged, Counts.none(parameters)), prior.judged, rtol=1e-12))
    True
    """
    out: Array = (prior.yes + counts.yes) / (prior.yes + prior.no + counts.of)
    rate = rates(prior)
    step = (counts.yes + prior.worth) / (counts.of + prior.worth * vector / prior.judged)
    out[rate] = (vector * step)[rate]
    for at, alpha in shares(parameters, prior):
        out[at] = _share(vector[at], counts.yes[at] + alpha, counts.of[at])
    clipped: Array = np.clip(out, LEAST, 1 - LEAST)
    return clipped


def _share(old: Array, more: Array, less: Array) -> Array:
    """Return shares that sum to 1, each what speaks for it over what speaks against it and a multiplier, found by halving."""
    each = less / old
    low, high = -float(each.min()), float(more.sum()) + 1.0
    # At the lower end a share is without bound, at the upper one all of them together are below 1.
    for _ in range(200):
        mid = (low + high) / 2
        if float((more / (each + mid)).sum()) > 1:
            low = mid
        else:
            high = mid
    out: Array = more / (each + high)
    return np.asarray(out / out.sum())
