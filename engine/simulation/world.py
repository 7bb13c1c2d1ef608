"""A made-up installation: what is at work there and how every check would come out, drawn from the model that the belief uses.

All draws come from a text seed, so that a site answers the same however often and in whatever order it is asked. Used by
`dryfloor kb try` and `dryfloor kb figures`; nothing here reads or changes a real case.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import blake2b
from itertools import product

import numpy as np
from numpy.typing import NDArray

from .. import model
from ..diagnosis.network import Network, chance, report_rates
from ..errors import InvalidInputError, Problem
from ..inference.potentials import Array
from ..knowledge import graph
from ..measurement import formatting, quantity
from ..measurement.readings import gross_error, limits, reading, size_below
from ..model import holds

# How much of a broken or kept part a reading may lie in: its middle sixths, so that rounding can't carry it over a limit.
PLACES = (1 / 6, 1 / 2, 5 / 6)
POOL = 20_000
ENOUGH = 200
ROUNDS = 8
Drawn = tuple[tuple[str, ...], frozenset[str], dict[str, str]]  # what brought it about, all at work, facts


@dataclass(frozen=True)
class Installation:
    """What is true at one place.

    Parameters
    ----------
    seed : str
        Source of every draw.
    facts : dict
        Fact -> option, for every fact of the kb.
    causes : frozenset of str
        Causes at work.
    origins : dict
        Complaint -> the causes that brought it about; none where it came of something that is not listed.
    """

    seed: str
    facts: dict[str, str]
    causes: frozenset[str]
    origins: dict[str, frozenset[str]]

    def draw(self, key: str) -> float:
        """Return the draw of this site for a key, uniform on 0 to 1 [prob]."""
        raw = blake2b(f"{self.seed}|{key}".encode(), digest_size=7).digest()
        return int.from_bytes(raw, "big") / (1 << 56)

    def stands(self, complaint: str, cured: Iterable[str]) -> bool:
        """Return whether a complaint is still there once some causes are cured."""
        origins = self.origins[complaint]
        return not origins or bool(origins - set(cured))

    def works(self, kb: model.KB, cause: str) -> bool:
        """Return whether the remedy of a cause, done at this site, cures it; a fix can be botched."""
        return self.draw(f"cures|{cause}") < graph.strength(kb, kb.causes[cause].remedy.cures)

    def fires(self, network: Network, node: str, cured: Iterable[str], hands: str) -> bool:
        """Return whether a finding is seen here by some hands: one of its causes still at work sets it off, or its leak does.

        What a sign shows here is drawn once; each report of it catches each showing or misses it, or is a false alarm.
        """
        if node in network.sign_at:
            return self._reports(network, node, cured, hands)
        if self.draw(f"leak|{node}") < network.leak[node]:
            return True
        at_work = self.causes - set(cured)
        return any(self.draw(f"{c}|{node}") < s for c, s in network.links(node, hands).items() if c in at_work)

    def _reports(self, network: Network, node: str, cured: Iterable[str], hands: str) -> bool:
        _, kind = network.sign_at[node]
        hit, false_alarm = report_rates(network.kb, hands, kind)
        at_work = self.causes - set(cured)
        for k in network.reporting[node]:
            own = {"leak": network.sign_leak[k]} | {c: s for c, s in network.signs[k].items() if c in at_work}
            for by, strength in own.items():
                if self.draw(f"{by}|sign:{k}") < strength and self.draw(f"{by}|{k}|{node}|{hands}") < hit:
                    return True
        return self.draw(f"alarm|{node}|{hands}") < false_alarm

    def answer(self, network: Network, check: model.Check, hands: str, cured: Iterable[str] = ()) -> str:
        """Return what a check comes out as: the id of an answer, or a reading in trade notation.

        Parameters
        ----------
        network : Network
        check : Check
        hands : str
            Whose hands: they now and then read something quite wrong.
        cured : iterable of str
            Causes that were mended before.

        Examples
        --------
        >>> from dryfloor.engine.knowledge.load import load_kb
        >>> network = Network(load_kb())
        >>> Installation("1", {}, frozenset(), {}).answer(network, network.kb.checks["hose-sealed"], "homeowner")
        'loose'
        """
        if check.kind != "measure":
            for name in list(check.answers)[:-1]:
                if self.fires(network, graph.answer_node(check.id, name), cured, hands):
                    return name
            return list(check.answers)[-1]
        rule = network.kb.rules[check.rule or ""]
        parts = ["within", *graph.sides(rule)]
        part = next((s for s in parts[1:] if self.fires(network, graph.side_node(rule.id, s), cured, hands)), "within")
        slip = self.draw(f"slip|{check.id}|{hands}") / gross_error(network.kb, hands)
        if slip < 1:
            part = parts[int(slip * len(parts))]
        return self.reads(network.kb, check, part)

    def reads(self, kb: model.KB, check: model.Check, part: str) -> str:
        """Return a reading that lies below, within or above the limits of a measuring check's rule."""
        rule = kb.rules[check.rule or ""]
        low, high = limits(rule)
        first, last = quantity.plausible(rule.plausible or "", rule.measures)
        # Where things come in sizes, none lies between the limit and the next one that is made.
        made = size_below(rule)
        ends = {"below": (first, low if made is None else made), "above": (high, last)}.get(part, (low, high))
        start = first if ends[0] is None else ends[0]
        end = last if ends[1] is None else ends[1]
        place = int(self.draw(f"place|{check.id}") * len(PLACES))
        for at in (PLACES[place], *PLACES):
            said = written(start + at * (end - start), rule.measures)
            if reading(kb, check.id, said, "technician").verdict.side in (part, None):
                return said
        return said


def written(value: float, measures: str) -> str:
    """Return a value as a person would write it, so that it reads back close to itself.

    Examples
    --------
    >>> written(0.8, "length"), written(2.2, "count")
    ('31 1/2 in', '2')
    """
    return f"{value:.0f}" if measures == "count" else formatting.show(value, measures, "us")


def usual_facts(network: Network, causes: Iterable[str], seed: str) -> dict[str, str]:
    """Return circumstances under which some causes are usual: each fact at its likeliest option that they allow.

    Parameters
    ----------
    network : Network
    causes : iterable of str
    seed : str
        "0" takes the likeliest option of each fact; any other draws by share.
    """
    installation = Installation(seed, {}, frozenset(), {})
    out: dict[str, str] = {}
    wanted = [network.kb.causes[c] for c in causes]
    for fact in network.kb.facts.values():
        options = [o for o in fact.options if all(holds(c.when, {fact.id: o}) for c in wanted)] or [*fact.options]
        weight = [fact.options[o].share_per_1000 * _likelier(wanted, fact.id, o) for o in options]
        if seed == "0":
            out[fact.id] = options[weight.index(max(weight))]
        else:
            mark = installation.draw(f"fact|{fact.id}") * sum(weight)
            at = int(np.searchsorted(np.cumsum(weight), mark, side="right"))
            out[fact.id] = options[min(at, len(options) - 1)]
    return out


def _likelier(causes: list[model.Cause], fact: str, option: str) -> float:
    out = 1.0
    for cause in causes:
        for more in cause.likelier:
            if fact in more.when and holds({fact: more.when[fact]}, {fact: option}):
                out *= more.times.n
    return out


def installations_of(
    network: Network, complaints: Iterable[str], count: int, seed: int
) -> dict[str, list[Installation]]:
    """Return sites that have each complaint, spread evenly over what brings it about.

    Whole sites are drawn from the kb's own model, those without the complaint are dropped, and of the rest, sorted by
    what brought it about, every so-many-th is kept: unbiased, with less scatter than a plain draw.

    Parameters
    ----------
    network : Network
    complaints : iterable of str
    count : int
        How many sites for each complaint [-].
    seed : int
        The same seed gives the same sites [-].
    """
    rng = np.random.default_rng(seed)
    kept: dict[str, list[Drawn]] = {c: [] for c in complaints}
    for _ in range(ROUNDS):
        if all(len(drawn) >= max(ENOUGH, 8 * count) for drawn in kept.values()):
            break
        _draw(network, rng, kept)
    out = {}
    for complaint, drawn in kept.items():
        drawn.sort(key=lambda d: (d[0], sorted(d[1])))
        picked = [drawn[int((i + 0.5) / count * len(drawn))] for i in range(count if drawn else 0)]
        out[complaint] = [
            Installation(f"{seed}|{complaint}|{i}", facts, causes, {complaint: frozenset(origins)})
            for i, (origins, causes, facts) in enumerate(picked)
        ]
    return out


def _draw(network: Network, rng: np.random.Generator, kept: dict[str, list[Drawn]]) -> None:
    """Draw a pool of sites, and keep those of each complaint that still wants some."""
    kb = network.kb
    names = sorted(kb.causes)
    shares = {f.id: np.array([o.share_per_1000 for o in f.options.values()]) for f in kb.facts.values()}
    facts = {f: rng.choice(len(s), POOL, p=s / s.sum()) for f, s in shares.items()}
    at_work = np.column_stack([rng.random(POOL) < _chances(network, kb.causes[c], facts) for c in names])
    for complaint, drawn in kept.items():
        links = network.shown[f"complaint:{complaint}"]
        fired = at_work & (rng.random(at_work.shape) < np.array([links.get(c, 0.0) for c in names]))
        leaks = rng.random(POOL) < network.leak[f"complaint:{complaint}"]
        for row in np.flatnonzero(fired.any(axis=1) | leaks):
            own = {f: [*kb.facts[f].options][codes[row]] for f, codes in facts.items()}
            origins = tuple(names[i] for i in np.flatnonzero(fired[row]))
            drawn.append((origins, frozenset(names[i] for i in np.flatnonzero(at_work[row])), own))


def _chances(network: Network, cause: model.Cause, facts: dict[str, NDArray[np.intp]]) -> Array:
    """Return a cause's chance at each drawn site, worked out once for each joint option of the facts that bear on it."""
    bears = network.bears[cause.id]
    options = [[*network.kb.facts[f].options] for f in bears]
    dims = tuple(len(o) for o in options)
    table = np.array([chance(network, cause, dict(zip(bears, each, strict=True))) for each in product(*options)])
    if not bears:
        return np.full(POOL, table[0])
    out: Array = table[np.ravel_multi_index([facts[f] for f in bears], dims)]
    return out


def installation_with(
    network: Network, causes: Iterable[str], complaint: str | None = None, seed: int = 0
) -> Installation:
    """Return a site that has some causes, and somebody who complains of what they show; each that can brings it about.

    Parameters
    ----------
    network : Network
    causes : iterable of str
    complaint : str, optional
        What is complained of; each cause's own strongest unless said.
    seed : int
        0 is the most usual site; any other is drawn [-].

    Raises
    ------
    InvalidInputError
        Where the causes exclude each other, or none of them shows the complaint.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> installation_with(Network(load_kb()), ["standpipe-too-low"]).facts["drain"]
    'standpipe'
    """
    names = [*dict.fromkeys(causes)]
    facts = usual_facts(network, names, str(seed))
    shown = {
        c: {s.complaint: graph.strength(network.kb, s.strength) for s in network.kb.causes[c].shows if s.complaint}
        for c in names
    }
    for name in names:
        if not holds(network.kb.causes[name].when, facts):
            raise InvalidInputError(
                [_problem(f"'{name}' can't be at a site together with the others", "name causes whose `when` agree")]
            )
    told = [complaint] if complaint else sorted({min(own, key=lambda k: (-own[k], k)) for own in shown.values()})
    out: dict[str, frozenset[str]] = {}
    for each in told:
        own = [c for c in names if each in shown[c]]
        if not own:
            known = sorted({k for s in shown.values() for k in s})
            raise InvalidInputError(
                [
                    _problem(
                        f"none of these causes shows '{each}'",
                        f"name one of {', '.join(known)}, or leave --complaint out",
                    )
                ]
            )
        out[each] = frozenset(own)
    return Installation(f"try|{seed}", facts, frozenset(names), out)


def _problem(message: str, mend: str) -> Problem:
    return Problem(code="U025", message=message, mend=mend)
