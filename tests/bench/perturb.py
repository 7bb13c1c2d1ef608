"""A kb with wrong numbers: every strength, leak, rate and share moved by noise in log-odds; everything else stays.

What is moved: how often a cause shows a complaint, an answer or a broken side, and how often a remedy cures; how often a finding is
seen with no listed cause; how frequent each cause is and how usual each option of a fact. Rates keep the kb's episode rate
and shares their sum, as in any kb. Prices, minutes, permissions, gates, factors of `likelier` and gross errors stay as they are.
"""

from collections.abc import Iterable
from math import exp, log

import numpy as np
from msgspec.structs import replace

from dryfloor.engine import model
from dryfloor.engine.knowledge import graph


class Noise:
    """Draws of one seed, in the order in which they are asked for: the same draws at every deviation.

    Parameters
    ----------
    deviation : float
        Standard deviation in log-odds [nat].
    seed : int
    """

    def __init__(self, deviation: float, seed: int) -> None:
        self.deviation = deviation
        self.rng = np.random.default_rng(seed)

    def moved(self, p: float) -> float:
        """Return a probability moved by one draw [prob]."""
        by = self.deviation * float(self.rng.standard_normal())
        return 1 / (1 + exp(-(log(p) - log(1 - p) + by))) if by else p

    def per_1000(self, n: float) -> float:
        """Return a number of 1000 moved by one draw."""
        return 1000 * self.moved(n / 1000)

    def number(self, p: float) -> model.Number:
        """Return a probability moved by one draw, as a record."""
        return model.Number(n=self.moved(p), basis="judgement")


def perturbed(kb: model.KB, deviation: float, seed: int) -> model.KB:
    """Return a kb with noise on its numbers.

    Parameters
    ----------
    kb : KB
    deviation : float
        Standard deviation of the noise in log-odds [nat].
    seed : int
        The same seed gives the same kb, and the same draws at another deviation.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> one, two = (perturbed(kb, 0.5, 1).complaints["siphons"].unlisted_per_1000.n for _ in range(2))
    >>> one == two != kb.complaints["siphons"].unlisted_per_1000.n
    True
    """
    noise = Noise(deviation, seed)
    return replace(
        kb,
        causes={name: _cause(kb, kb.causes[name], noise) for name in kb.causes},
        complaints={
            name: replace(c, unlisted_per_1000=replace(c.unlisted_per_1000, n=noise.per_1000(c.unlisted_per_1000.n)))
            for name, c in kb.complaints.items()
        },
        checks={name: _check(check, noise) for name, check in kb.checks.items()},
        rules={name: _rule(rule, noise) for name, rule in kb.rules.items()},
        facts={name: _fact(fact, noise) for name, fact in kb.facts.items()},
    )


def _cause(kb: model.KB, cause: model.Cause, noise: Noise) -> model.Cause:
    def strength(value: str | model.Number | None) -> model.Number:
        return noise.number(graph.strength(kb, value))

    return replace(
        cause,
        per_1000=replace(cause.per_1000, n=noise.per_1000(cause.per_1000.n)),
        shows=[replace(s, strength=strength(s.strength)) for s in cause.shows],
        breaks=cause.breaks and replace(cause.breaks, strength=strength(cause.breaks.strength)),
        remedy=replace(cause.remedy, cures=strength(cause.remedy.cures)),
    )


def _check(check: model.Check, noise: Noise) -> model.Check:
    """Return a check whose answers, but the normal one, are seen by chance at other rates."""
    told = list(check.answers)[:-1]
    moved = {
        a: replace(check.answers[a], leak_per_1000=noise.per_1000(check.answers[a].leak_per_1000 or 1.0)) for a in told
    }
    return replace(check, answers=check.answers | moved)


def _rule(rule: model.Rule, noise: Noise) -> model.Rule:
    """Return a rule that is broken on each of its sides at another rate where no listed cause is at work."""
    sides = graph.sides(rule)
    if not sides:
        return rule
    otherwise = rule.otherwise_per_1000 or 1.0
    own = otherwise if isinstance(otherwise, dict) else dict.fromkeys(sides, otherwise / len(sides))
    return replace(rule, otherwise_per_1000={s: noise.per_1000(own.get(s, 1.0)) for s in sides})


def _fact(fact: model.Fact, noise: Noise) -> model.Fact:
    shares = _kept_sum([o.share_per_1000 for o in fact.options.values()], noise)
    moved = zip(fact.options.items(), shares, strict=True)
    return replace(fact, options={name: replace(o, share_per_1000=share) for (name, o), share in moved})


def _kept_sum(values: Iterable[float], noise: Noise) -> list[float]:
    """Return numbers of 1000 each moved by a draw, scaled to the sum that they had."""
    before = list(values)
    after = [noise.per_1000(v) for v in before]
    return [v * (sum(before) / sum(after)) for v in after]
