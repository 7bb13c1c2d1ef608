"""Exact belief over causes: a two-layer noisy-OR network in which several causes may be present.

Each finding is on with probability 1 - (1 - leak) * product of (1 - strength) over the causes at work (net leak). The
textbook alternating sum over positive findings cancels and can return negative probabilities; here the recursion runs over
*which findings have been triggered so far*, so that every term is a sum of positive numbers. Findings with a single cause
fold into that cause's odds. Facts and the other findings are summed out one by one (`elimination`), each in a table over what it
is tied to, so that the cost follows the largest table and not the number of facts and findings.

A remedy splits its cause: present and cured by it, or still at work. A cured cause explains only what was seen before.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from .bundles import Bundle
from .elimination import buckets, largest
from .messages import Array, Links
from .passes import Tree
from .roots import Root

# A table of so many numbers takes 64 MB; the whole kb with everything abnormal under two complaints needs a sixtieth of it.
MOST_NUMBERS = 1 << 23


class Entangled(ValueError):
    """So many abnormal answers hang together that the exact belief would take too much memory."""


@dataclass(frozen=True)
class Finding:
    """Evidence on one noisy-OR finding.

    Parameters
    ----------
    leak : float
        Chance that it is on with no listed cause [prob].
    links : dict of int to float
        Cause index -> strength [prob].
    on, off : float
        Likelihood of what was reported if the finding is on, and if it is off [-]. Seen: 1, 0. Not seen: 0, 1.
    epoch : int
        How many remedies had been done when it was reported.
    complaint : bool
        The person complains of it; causes are said to *explain* complaints only.
    gone_at : int, optional
        A complaint that was there and ended with this many remedies done; `off` is then the chance that what this kb
        does not list ended by itself.
    barred : frozenset of int
        Causes that, still at work, do not fire it in the worlds that are counted: see `any_of`.
    """

    leak: float
    links: dict[int, float]
    on: float
    off: float
    epoch: int = 0
    complaint: bool = False
    gone_at: int | None = None
    barred: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Table:
    """A cause's chance by the facts that it heeds.

    Parameters
    ----------
    facts : tuple of int
        Which facts, ascending.
    chance : array
        One axis for each of them [prob].
    """

    facts: tuple[int, ...]
    chance: Array


@dataclass(frozen=True)
class Posterior:
    """What is believed: `present` and `explains` run over causes; `facts` has the options of each unknown fact."""

    evidence: float
    present: Array
    explains: Array
    unknown: float
    facts: tuple[Array, ...]


def alternatives(cures: list[tuple[int, float]]) -> list[tuple[float, int | None]]:
    """Return the ways in which a present cause can have met its remedies: (share, cured at remedy or None).

    Parameters
    ----------
    cures : list of (int, float)
        Ordinal of each remedy done on this cause, and its chance to cure [prob].

    Examples
    --------
    >>> alternatives([(1, 0.9)])
    [(0.9, 1), (0.09999999999999998, None)]
    """
    out: list[tuple[float, int | None]] = []
    left = 1.0
    for ordinal, cure in cures:
        out.append((left * cure, ordinal))
        left *= 1 - cure
    return [*out, (left, None)]


def active(cured_at: int | None, epoch: int) -> bool:
    """Return whether a cause cured at some remedy was still at work with `epoch` remedies done."""
    return cured_at is None or epoch < cured_at


def infer(
    prior: Array, share: Array, findings: list[Finding], cures: dict[int, list[tuple[int, float]]] | None = None
) -> Posterior:
    """Return the exact posterior of every cause, the facts being given as one list of joint states.

    Parameters
    ----------
    prior : array (states, causes)
        Chance of each cause in each joint state of the unknown facts [prob].
    share : array (states,)
        Prior of those states, summing to 1 [prob].
    findings : list of Finding
        The evidence.
    cures : dict, optional
        Cause index -> remedies done on it, as (ordinal, chance to cure).

    Returns
    -------
    Posterior
        As from `infer_by_fact`, with one fact: the joint state.

    Raises
    ------
    ValueError
        As `infer_by_fact`.

    Examples
    --------
    The worked noisy-OR table of the literature: cold .4, flu .8, malaria .9, no leak; flu alone is certain here.

    >>> import numpy as np
    >>> fever = Finding(1e-12, {0: 0.4, 1: 0.8}, 1.0, 0.0, complaint=True)
    >>> p = infer(np.array([[0.5, 0.5]]), np.array([1.0]), [fever])
    >>> round(p.evidence, 6)  # .25 * (.4 + .8 + .88)
    0.52
    """
    return infer_by_fact([Table((0,), column) for column in prior.T], [share], findings, cures)


def infer_by_fact(
    causes: list[Table],
    shares: list[Array],
    findings: list[Finding],
    cures: dict[int, list[tuple[int, float]]] | None = None,
) -> Posterior:
    """Return the exact posterior of every cause, each cause naming the facts that it heeds.

    Parameters
    ----------
    causes : list of Table
        Chance of each cause by its facts.
    shares : list of array
        Prior of each fact's options, summing to 1; facts are independent [prob].
    findings : list of Finding
        The evidence.
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
    ValueError
        If the evidence is impossible.
    Entangled
        If a table of more than MOST_NUMBERS would be needed.

    Notes
    -----
    Source: derived here, checked against brute force, exact fractions and a second library in the tests.

    Examples
    --------
    Half of all drains are standpipes, and only there can a pipe be too low; where water runs off it mostly is.

    >>> low = Table((0,), np.array([0.1, 0.0]))
    >>> p = infer_by_fact([low], [np.array([0.5, 0.5])], [Finding(0.01, {0: 0.9}, 1.0, 0.0)])
    >>> p.present.round(3), p.facts[0].round(3)
    (array([0.826]), array([0.908, 0.092]))
    """
    fold = _Fold(len(causes), len(shares), cures or {})
    for finding in findings:
        fold.take(finding)
    bits, parts = fold.bits, fold.parts(causes)
    scopes = tuple(part.scope for part in parts)
    sizes = (*(len(s) for s in shares), *(2 for _ in bits))
    order = buckets(scopes, sizes, len(shares))
    if largest(order, sizes) > MOST_NUMBERS:
        raise Entangled(f"a table of {largest(order, sizes)} numbers would be needed; at most {MOST_NUMBERS} can be")
    tree = Tree(order, parts, len(causes), len(shares))
    weights = [*shares, *(np.array(_final(f)) for f in bits)]
    out = tree.marginals(weights, [len(shares) + b for b, f in enumerate(bits) if f.complaint and f.gone_at is None])
    evidence = out.total * fold.constant
    if not evidence > 0:
        raise ValueError("the evidence is impossible under this kb")
    return Posterior(evidence, out.present, out.explains, out.unknown, out.variables[: len(shares)])


def any_of(
    tables: list[Table],
    shares: list[Array],
    findings: list[Finding],
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
        `Posterior.evidence` of the same [prob].

    Notes
    -----
    What is left of the evidence where none of them fires a standing complaint. Source: derived here, checked against
    brute force in the tests.

    Examples
    --------
    Two causes, both strong enough: at least one must be behind it, and they overlap.

    >>> wet = Finding(1e-12, {0: 0.5, 1: 0.5}, 1.0, 0.0, complaint=True)
    >>> even = [Table((), np.array(0.5)), Table((), np.array(0.5))]
    >>> p = infer_by_fact(even, [], [wet])
    >>> [round(float(x), 3) for x in p.explains], round(any_of(even, [], [wet], None, frozenset({0, 1}), p.evidence), 3)
    ([0.571, 0.571], 1.0)
    """
    if not causes:
        return 0.0
    without = [replace(f, barred=causes) if f.complaint and f.gone_at is None else f for f in findings]
    try:
        left = infer_by_fact(tables, shares, without, cures).evidence
    except Entangled:
        raise
    except ValueError:  # nothing else can explain it
        return 1.0
    return min(1.0, max(0.0, 1.0 - left / evidence))


@dataclass
class _Way:
    """One way for a cause to be present: its share, when it was cured, what else weighs it, and the findings it may trigger."""

    share: float
    cured_at: int | None
    factor: float = 1.0
    links: Links = field(default_factory=list)


class _Fold:
    """Evidence by cause: what factors is multiplied into the causes' weights, the other findings are kept as variables."""

    def __init__(self, count: int, facts: int, cures: dict[int, list[tuple[int, float]]]) -> None:
        self.facts = facts
        self.constant = 1.0
        self.bits: list[Finding] = []
        self.ways = [
            [_Way(share, at) for share, at in alternatives(cures[i])] if i in cures else [] for i in range(count)
        ]
        # Nearly every cause was never treated: one way, told by two lists.
        self.factor = [1.0] * count
        self.links: list[Links] = [[] for _ in range(count)]

    def take(self, f: Finding) -> None:
        """Take in one finding."""
        off = 1 - f.leak
        if f.on == f.off:
            self.constant *= f.on
        elif f.on == 0.0:
            self.constant *= f.off * off
            for i, strength in f.links.items():
                self._weigh(i, 1 - strength, f.epoch)
        elif len(f.links) <= 1 and not f.complaint and (f.off or f.leak):
            absent = f.on + (f.off - f.on) * off
            self.constant *= absent
            for i, strength in f.links.items():
                self._weigh(i, (f.on + (f.off - f.on) * off * (1 - strength)) / absent, f.epoch)
        else:
            self._keep(f)

    def _weigh(self, cause: int, factor: float, epoch: int) -> None:
        self.factor[cause] *= factor
        for way in self.ways[cause]:
            if active(way.cured_at, epoch):
                way.factor *= factor

    def _keep(self, f: Finding) -> None:
        """Keep a finding as a variable; a link that may not fire must have stayed silent, which is a factor."""
        variable = self.facts + len(self.bits)
        self.bits.append(f)
        for i, strength in f.links.items():
            if f.gone_at is not None or i in f.barred:
                self.factor[i] *= 1 - strength
            else:
                self.links[i].append((variable, strength))
            for way in self.ways[i]:
                if active(way.cured_at, f.epoch):
                    if _may_fire(f, i, way.cured_at):
                        way.links.append((variable, strength))
                    else:
                        way.factor *= 1 - strength

    def parts(self, causes: list[Table]) -> list[Root | Bundle]:
        """Return the causes as they are taken into tables: bundled where they touch the same, and at most one finding."""
        alike: dict[tuple[tuple[int, ...], int | None], list[int]] = {}
        for i, t in enumerate(causes):
            if not self.ways[i] and len(self.links[i]) <= 1:
                alike.setdefault((t.facts, self.links[i][0][0] if self.links[i] else None), []).append(i)
        out: list[Root | Bundle] = []
        bundled: set[int] = set()
        for (facts, variable), some in alike.items():
            if len(some) > 1 or not facts:
                bundle = Bundle(facts, variable)
                for i in some:
                    bundle.add(i, causes[i].chance, self.factor[i], self.links[i][0][1] if self.links[i] else 0.0)
                out.append(bundle)
                bundled.update(some)
        for i, t in enumerate(causes):
            if i not in bundled:
                ways = [(w.share * w.factor, w.links) for w in self.ways[i]] or [(self.factor[i], self.links[i])]
                out.append(Root(i, t.facts, 1 - t.chance, [(t.chance * weight, links) for weight, links in ways]))
        return out


def _may_fire(f: Finding, cause: int, cured_at: int | None) -> bool:
    """Return whether a firing of a finding by a cause counts; where it does not, the cause must have been silent."""
    if f.gone_at is not None:
        return not active(cured_at, f.gone_at)
    return cured_at is not None or cause not in f.barred


def _final(f: Finding) -> tuple[float, float]:
    """Return the weight of a finding that no cause triggered, and of one that some did: what a leak and the report add."""
    if f.gone_at is not None:
        # The complaint ended: a leak behind it ended by itself; else only cured causes can have fired it.
        return f.leak * f.off, 1.0 - f.leak + f.leak * f.off
    return f.leak * f.on + (1 - f.leak) * f.off, f.on
