"""The planning belief: an explicit list of what may be at work and what must be mended, with weights.

Beside the exact marginals of `belief.py` the choice needs joint statements ("this one alone explains it", "these two do").
They are listed here: sets of causes (none, singles, pairs, triples where pairs leave more than 2 % of the evidence), each split by
which of its causes fired the complaint. The mass they lack against the exact evidence is reported as `residual`.
"""

from dataclasses import dataclass
from itertools import chain, combinations
from math import comb, prod

import numpy as np
from numpy.typing import NDArray

from .. import effort
from ..inference.cost import PLAIN
from ..inference.noisy_or import Finding, NoisyOr, active, alternatives
from ..inference.potentials import Array, Factor, expanded, marginalized
from ..inference.signs import Reported
from .evidence import Evidence

MOST_SETS = 64
KEEP = 0.995
ATOMS = 26
TRIPLE_ATOMS = 12
ENOUGH = 0.02
# From here on the chance of all reports is scaled, lest it be 0 as a number.
LEAST_LOG = -500.0
# A number that is held beside many others counts so many times, for what it takes of memory [cells].
HELD = 4
# So many sets less their last atom are weighed at once, so that memory stays small.
HEADS = 32


@dataclass(frozen=True)
class Scenarios:
    """Weights over scenarios.

    Parameters
    ----------
    weight : array (scenarios,)
        Belief, summing to 1 [prob].
    present : array (scenarios, causes) of bool
        Causes still at work.
    needs : array (scenarios, causes) of bool
        Causes that fired a standing complaint, so must be mended.
    unlisted : array (scenarios,) of bool
        A standing complaint has no listed explanation here.
    by_fact : array (options, scenarios)
        The belief split by the options of each unknown fact: all options of the first fact, then those of the next.
    residual : float
        Share of the exact evidence that the list lacks before pruning.
    """

    weight: Array
    present: NDArray[np.bool_]
    needs: NDArray[np.bool_]
    unlisted: NDArray[np.bool_]
    by_fact: Array
    residual: float


@dataclass(frozen=True)
class _Atom:
    """One cause in one of its alternatives: cured at a remedy, or still at work."""

    cause: int
    share: float
    cured_at: int | None


def list_scenarios(evidence: Evidence, exact: float, present: Array) -> Scenarios:
    """Return the scenarios that hold nearly all of the belief.

    Parameters
    ----------
    evidence : Evidence
    exact : float
        Exact probability of the evidence, from `belief.infer`.
    present : array (causes,)
        Exact chance that each cause is still at work; it decides which causes are paired.
    """
    atoms = _atoms(evidence, present)
    base = [n for n, a in enumerate(atoms) if a.cured_at is not None]
    sets = _sets(atoms, base, 2)
    products = _Products(evidence, atoms)
    like = _log_reported(evidence, atoms, sets)
    # Reports so unlikely that their chance is no number any more are scaled; all weights are relative to each other in the end.
    shift = float(like.max()) if like.max() < LEAST_LOG else 0.0
    exact = float(np.exp(min(np.log(exact) - shift, 700.0))) if shift else exact
    weight = products.totals(sets) * np.exp(like - shift)
    residual = 1 - float(weight.sum()) / exact
    if residual > ENOUGH:
        more = sorted({*_sets(atoms[:TRIPLE_ATOMS], [b for b in base if b < TRIPLE_ATOMS], 3)} - {*sets})
        weight = np.concatenate([weight, products.totals(more) * np.exp(_log_reported(evidence, atoms, more) - shift)])
        sets = [*sets, *more]
        residual = 1 - float(weight.sum()) / exact
    rank = {chosen: n for n, chosen in enumerate(sorted(sets))}
    order = np.lexsort(([rank[chosen] for chosen in sets], -np.round(weight / weight.max(), 12)))[:MOST_SETS]
    held = np.cumsum(weight[order]) / weight.sum()
    order = order[: int(np.searchsorted(held, KEEP)) + 1]
    kept = [sets[i] for i in order]
    reported = np.exp(_log_reported(evidence, atoms, kept) - shift)
    split = np.concatenate([weight[None, order], products.by_option(kept) * reported])
    return _split(evidence, atoms, kept, split, max(0.0, residual))


def _atoms(evidence: Evidence, present: Array) -> list[_Atom]:
    """Return the causes worth listing, likeliest first; treated ones also as cured."""
    ranked = sorted(range(len(present)), key=lambda i: (-round(float(present[i]), 12), i))[:ATOMS]
    atoms = []
    for i in [*sorted(evidence.cures), *(i for i in ranked if i not in evidence.cures)]:
        atoms += [_Atom(i, share, at) for share, at in alternatives(evidence.cures.get(i, []))]
    return atoms


def _sets(atoms: list[_Atom], base: list[int], most: int) -> list[tuple[int, ...]]:
    """Return sets of atoms of distinct causes: up to `most` of them, alone and beside cured ones."""
    out: set[tuple[int, ...]] = set()
    for size in range(most + 1):
        effort.spend(2 * PLAIN * comb(len(atoms), size))
        for chosen in combinations(range(len(atoms)), size):
            if len({atoms[n].cause for n in chosen}) == size:
                out.add(chosen)
    for size in range(1, min(len(base), 4) + 1):
        for cured in combinations(base, size):
            effort.spend(PLAIN)
            if len({atoms[n].cause for n in cured}) == size:
                effort.spend(4 * PLAIN * len(out))
                for chosen in list(out):
                    joint = tuple(sorted({*cured, *chosen}))
                    if len({atoms[n].cause for n in joint}) == len(joint) <= most + size:
                        out.add(joint)
        if len(out) > 4000:
            break
    return sorted(out)


class _Products:
    """P(set) summed over the options of the unknown facts: all causes absent, times the odds of those in the set.

    Parent facts of the atoms stand side by side; those that are parents of other causes alone are summed out first.
    """

    def __init__(self, evidence: Evidence, atoms: list[_Atom]) -> None:
        self.facts = evidence.facts
        tables = [(t.facts, np.clip(t.chance, 1e-300, 1 - 1e-12)) for t in evidence.tables]
        self.heeded = tuple(sorted({f for a in atoms for f in evidence.tables[a.cause].facts}))
        self.shape = tuple(len(self.facts.shares[f]) for f in self.heeded)
        # The odds of every atom and the weights of some heads are held at once, in every joint state of these facts.
        effort.spend(HELD * (len(atoms) + HEADS) * prod(self.shape))
        self.absent: list[Factor] = [(scope, 1 - chance) for scope, chance in tables]
        self.absent += [((n,), share) for n, share in enumerate(self.facts.shares)]
        self.none = self._over(self.heeded).ravel()
        self.odds = np.empty((len(atoms), len(self.none)))
        for row, a in enumerate(atoms):
            scope, chance = tables[a.cause]
            odds = expanded(chance / (1 - chance) * max(a.share, 1e-300), scope, self.heeded)
            self.odds[row] = np.broadcast_to(odds, self.shape).ravel()

    def _over(self, scope: tuple[int, ...]) -> Array:
        """Return the weight of no cause at all by the options of some facts, the others summed out."""
        left = marginalized(self.absent, set(scope))
        out = np.ones([len(self.facts.shares[f]) for f in scope])
        for known, table in left:
            out = out * expanded(table, known, scope)
        return out

    def of(self, chosen: tuple[int, ...]) -> Array:
        """Return the weight of a set in each state of the heeded facts, before any finding."""
        out = self.none
        for n in chosen:
            out = out * self.odds[n]
        return out

    def totals(self, sets: list[tuple[int, ...]]) -> Array:
        """Return the weight of each set over all states: sets that differ in their last atom alone are summed together."""
        out = np.empty(len(sets))
        heads: dict[tuple[int, ...], list[int]] = {}
        for i, chosen in enumerate(sets):
            if chosen:
                heads.setdefault(chosen[:-1], []).append(i)
            else:
                out[i] = self.none.sum()
        names = sorted(heads)
        for start in range(0, len(names), HEADS):
            some = names[start : start + HEADS]
            effort.spend(len(some) * len(self.none) * (2 + len(self.odds) // 8))
            sums = np.array([self.of(head) for head in some]) @ self.odds.T
            for head, row in zip(some, sums, strict=True):
                out[heads[head]] = row[[sets[i][-1] for i in heads[head]]]
        return out

    def by_option(self, sets: list[tuple[int, ...]]) -> Array:
        """Return the weight of each set for each option of each fact, shape (options, sets)."""
        effort.spend(len(sets) * len(self.none) * (2 + len(self.facts.names)))
        weights = np.array([self.of(chosen) for chosen in sets])
        spread = weights.reshape(len(sets), *self.shape)
        rows = []
        for n in range(len(self.facts.names)):
            if n in self.heeded:
                others = tuple(a + 1 for a, f in enumerate(self.heeded) if f != n)
                rows.append(spread.sum(axis=others).T)
            else:
                # A fact that is no atom's parent splits every state of the parents in the same way for all sets.
                scope = tuple(sorted({*self.heeded, n}))
                split = np.moveaxis(self._over(scope), scope.index(n), 0).reshape(-1, len(self.none))
                rows.append((split / self.none) @ weights.T)
        return np.concatenate(rows) if rows else np.zeros((0, len(sets)))


def _log_reported(evidence: Evidence, atoms: list[_Atom], sets: list[tuple[int, ...]]) -> Array:
    """Return the logarithm of P(all findings | set) for each set."""
    effort.spend(HELD * len(sets) * len(atoms))
    member = np.zeros((len(sets), len(atoms)))
    rows = np.repeat(np.arange(len(sets)), [len(chosen) for chosen in sets])
    member[rows, np.fromiter(chain.from_iterable(sets), np.intp, len(rows))] = 1.0
    like = np.zeros(len(sets))
    for f in evidence.findings:
        effort.spend(len(atoms) * (PLAIN + len(sets) // 4) + 8 * len(sets))
        like += np.log(np.maximum(_likelihood(f, atoms, member), 1e-300))
    return like


def _silent(f: NoisyOr, atoms: list[_Atom], member: Array, epoch: int, until: int | None = None) -> Array:
    """Return the chance that no member active at an epoch (and cured by `until`, if given) fires a finding."""
    logs = np.array(
        [
            np.log1p(-f.links[a.cause])
            if a.cause in f.links and active(a.cured_at, epoch) and (until is None or not active(a.cured_at, until))
            else 0.0
            for a in atoms
        ]
    )
    out: Array = np.exp(member @ logs)
    return out


def _likelihood(f: Finding, atoms: list[_Atom], member: Array) -> Array:
    """Return P(report | set) for each set."""
    if isinstance(f, Reported):
        effort.spend(len(atoms) * PLAIN * len(f.signs) * len(f.reports))
        return f.likelihoods([(a.cause, a.cured_at) for a in atoms], member)
    if f.gone_at is not None:
        cured = 1 - _silent(f, atoms, member, f.epoch, f.gone_at)
        return _silent(f, atoms, member, f.gone_at) * (f.leak * f.off + (1 - f.leak) * cured)
    off = (1 - f.leak) * _silent(f, atoms, member, f.epoch)
    return f.on * (1 - off) + f.off * off


def _split(
    evidence: Evidence, atoms: list[_Atom], sets: list[tuple[int, ...]], weight: Array, residual: float
) -> Scenarios:
    """Split each set by which of its causes fired a standing complaint; merge what is the same from now on.

    The first row of `weight` is over all states of the facts, the others are over one option each.
    """
    standing = [f for f in evidence.findings if isinstance(f, NoisyOr) and f.complaint and f.gone_at is None]
    place: dict[tuple[tuple[int, ...], tuple[int, ...], bool], int] = {}
    parts: list[tuple[int, int, float]] = []  # of each set (column) so much goes to that row
    for column, chosen in enumerate(sets):
        still = tuple(sorted(atoms[n].cause for n in chosen if atoms[n].cured_at is None))
        patterns: dict[tuple[frozenset[int], bool], float] = {(frozenset(), False): 1.0}
        for f in standing:
            linked = [(i, f.links[i]) for i in still if i in f.links]
            patterns = _fire(patterns, linked, f.leak)
        total = sum(patterns.values())
        for (fired, unlisted), p in patterns.items():
            key = (still, tuple(sorted(fired)), unlisted)
            parts.append((column, place.setdefault(key, len(place)), p / total))
    columns, places, shares = (np.array(part) for part in zip(*parts, strict=True))
    merged = np.zeros((len(place), len(weight)))
    np.add.at(merged, places, (weight[:, columns] * shares).T)
    whole = weight[0].sum()
    first = dict(zip(place, (merged[:, 0] / whole).tolist(), strict=True))
    keys = sorted(place, key=lambda k: (-round(first[k], 12), k))[: 2 * MOST_SETS]
    rows = merged[[place[k] for k in keys]].T
    rows = rows / rows[0].sum()
    count = len(evidence.causes)
    present = np.zeros((len(keys), count), dtype=bool)
    needs = np.zeros((len(keys), count), dtype=bool)
    for row, (at_work, must, _) in enumerate(keys):
        present[row, list(at_work)] = True
        needs[row, list(must)] = True
    return Scenarios(rows[0], present, needs, np.array([k[2] for k in keys]), rows[1:], residual)


def _fire(
    patterns: dict[tuple[frozenset[int], bool], float], linked: list[tuple[int, float]], leak: float
) -> dict[tuple[frozenset[int], bool], float]:
    """Return the patterns after one more complaint: which causes fired anything, and whether a leak had to."""
    out: dict[tuple[frozenset[int], bool], float] = {}
    for size in range(len(linked) + 1):
        for fired in combinations(linked, size):
            names = frozenset(i for i, _ in fired)
            p = 1.0 if size else leak
            for i, strength in linked:
                p *= strength if i in names else 1 - strength
            for (before, unlisted), q in patterns.items():
                key = (before | names, unlisted or not size)
                out[key] = out.get(key, 0.0) + p * q
    return out
