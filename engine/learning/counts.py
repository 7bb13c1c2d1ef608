"""Cases to counts: what one case is expected to have been, number by number, as a statistic that can be summed.

Two columns stand for each number. For a Bernoulli number they are how often it happened, of how often it could have (Beta); for a rate
and a share, what speaks for more of it and what for less. What speaks for less is, first of all, that complaints are made at all: cases
come to light by them, so the likelihood is given that a complaint was made, and each case owes what its complaint alone would make one expect.
"""

from collections import Counter as Same
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import log

import numpy as np

from .. import model
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.evidence import HEALTHY, Evidence, gather_evidence
from ..diagnosis.network import Network
from ..effort import IntractableError
from ..inference.expected import Expected, FindingExpected, SignsExpected, expected
from ..inference.noisy_or import NoisyOr
from ..inference.posterior import ImpossibleEvidenceError
from ..inference.potentials import Array
from ..knowledge import graph
from .lessons import CaseLesson
from .numbers import Key, Numbers, numbers_of

# How surely a cause that was told afterwards is taken to have been there (judgement): whoever tells it may err [prob].
TOLD_WRONG = 1e-3
# The same where an office heard that it is solved, and nobody saw it: people stop ringing for other reasons, too (judgement) [prob].
REPORTED_WRONG = 0.2
# What is revealed of a made-up case is certain; no chance is 0 or 1 [prob].
SURE = 1e-9


class Parameters:
    """The numbers of a kb in their order, each with its place.

    Parameters
    ----------
    network : Network
        Of the kb as it is judged.
    """

    def __init__(self, network: Network) -> None:
        self.judged: Numbers = numbers_of(network)
        self.keys: list[Key] = [*self.judged]
        self.place = {k: n for n, k in enumerate(self.keys)}
        by: dict[str, list[int]] = {}
        for n, key in enumerate(self.keys):
            if key[0] == "share":
                by.setdefault(key[1], []).append(n)
        # The places of the options of each fact.
        self.facts = [np.array(places) for places in by.values()]

    def vector(self, numbers: Numbers) -> Array:
        """Return numbers as an array, in the order of the parameters."""
        return np.array([numbers[k] for k in self.keys])

    def numbers(self, vector: Array) -> Numbers:
        """Return an array as numbers."""
        return {k: float(v) for k, v in zip(self.keys, vector, strict=True)}


@dataclass
class Counts:
    """A sufficient statistic: it is summed over cases in any order.

    Parameters
    ----------
    yes, of : array
        For each number of a parameters [-].
    log_likelihood : float
        Of the evidence of all cases, complaints included [nat].
    asked : dict
        Complaints of a case, joined by `+` -> how many cases.
    left_out : dict
        Why a case was left out -> how many.
    """

    yes: Array
    of: Array
    log_likelihood: float = 0.0
    asked: dict[str, int] = field(default_factory=dict)
    left_out: dict[str, int] = field(default_factory=dict)

    @classmethod
    def none(cls, parameters: Parameters) -> "Counts":
        """Return the counts of no case."""
        return cls(np.zeros(len(parameters.keys)), np.zeros(len(parameters.keys)))

    @property
    def cases(self) -> int:
        """How many cases were counted."""
        return sum(self.asked.values())

    def __add__(self, other: "Counts") -> "Counts":
        return Counts(
            self.yes + other.yes,
            self.of + other.of,
            self.log_likelihood + other.log_likelihood,
            _both(self.asked, other.asked),
            _both(self.left_out, other.left_out),
        )


def _both(a: dict[str, int], b: dict[str, int]) -> dict[str, int]:
    return {k: a.get(k, 0) + b.get(k, 0) for k in sorted({*a, *b})}


@dataclass
class Counter:
    """Counts cases one by one under some numbers.

    Parameters
    ----------
    network : Network
        Of the kb with these numbers.
    parameters : Parameters
    """

    network: Network
    parameters: Parameters

    def __post_init__(self) -> None:
        self.counts = Counts.none(self.parameters)
        self.times = 1

    def take(self, lesson: CaseLesson, times: int = 1) -> None:
        """Count one case, or so many that are the same; one in which too much hangs together is left out and told."""
        self.times = times
        try:
            evidence, seen = _expected(self.network, lesson.state, lesson)
        except (IntractableError, ImpossibleEvidenceError):
            self.counts.left_out = _both(self.counts.left_out, {"too much hangs together": times})
            return
        told = _told(self.network.kb, lesson.state)
        self.counts.log_likelihood += times * (log(seen.evidence) + self._known_facts(lesson.state, told))
        self.counts.asked = _both(self.counts.asked, {"+".join(sorted(lesson.state.complaints)): times})
        self._expected(evidence, seen, lesson)
        self._unknown_facts(evidence, seen)

    def owes(self, complaints: str, cases: float) -> float:
        """Enter what so many cases of some complaints owe to having come to light; return the log chance of the complaints [nat].

        Parameters
        ----------
        complaints : str
            Joined by `+`.
        cases : float
        """
        kb = self.network.kb
        state = step(kb, State(), Event(complaints=complaints.split("+")))
        evidence, seen = _expected(self.network, state, None)
        for n, c in enumerate(evidence.causes):
            self._add(("rate", c), cases * float(seen.exposed[n]), cases * float(seen.present[n]))
        for fact, options, found in zip(evidence.facts.names, evidence.facts.options, seen.facts, strict=True):
            for option, p in zip(options, found, strict=True):
                self._add(("share", fact, option), 0.0, cases * float(p))
        for f, name, behind in zip(evidence.findings, evidence.names, seen.findings, strict=True):
            if isinstance(f, NoisyOr) and isinstance(behind, FindingExpected):
                self._unlisted(name.partition(":")[2], f.leak, behind.leak[0], -cases)
        return log(seen.evidence)

    def _add(self, key: Key, yes: float, of: float) -> None:
        n = self.parameters.place.get(key)
        if n is not None:
            self.counts.yes[n] += self.times * yes
            self.counts.of[n] += self.times * of

    def _known_facts(self, state: State, told: dict[str, str]) -> float:
        """Count the facts that were told; return the logarithm of their shares [nat]."""
        out = 0.0
        for fact, option in state.facts:
            if told.get(fact) != option:
                options = self.network.kb.facts[fact].options
                whole = sum(o.share_per_1000 for o in options.values())
                out += log(options[option].share_per_1000 / whole)
                self._add(("share", fact, option), 1.0, 0.0)
        return out

    def _unknown_facts(self, evidence: Evidence, seen: Expected) -> None:
        for fact, options, found in zip(evidence.facts.names, evidence.facts.options, seen.facts, strict=True):
            for option, p in zip(options, found, strict=True):
                self._add(("share", fact, option), float(p), 0.0)

    def _expected(self, evidence: Evidence, seen: Expected, lesson: CaseLesson) -> None:
        for n, c in enumerate(evidence.causes):
            self._add(("rate", c), float(seen.present[n]), float(seen.exposed[n]))
        done = [t.cause for t in lesson.state.remedies if t.did == "done"]
        for n, cured in seen.cured.items():
            cause = evidence.causes[n]
            # Done twice with nothing seen between them, it is not known which of them did it.
            if done.count(cause) == 1:
                self._add(("cures", cause), *cured[0])
        # What was told afterwards stands last, and is no finding of the kb.
        for f, name, found in zip(evidence.findings, evidence.names, seen.findings, strict=False):
            if isinstance(found, SignsExpected):
                self._signs(evidence, f, name, found)
            elif found is not None and isinstance(f, NoisyOr):
                self._finding(evidence, f, name, found)

    def _finding(self, evidence: Evidence, f: NoisyOr, name: str, found: FindingExpected) -> None:
        kind, _, own = name.partition(":")
        if kind == "complaint":
            self._unlisted(own, f.leak, found.leak[0], 1.0)
            return
        if kind == HEALTHY:
            return  # how far a no goes is taken to be known
        self._add(("leak", name), *found.leak)
        shown = self.network.shown[name]
        for i, counted in found.links.items():
            cause = evidence.causes[i]
            # Capped by what the hands err, the strength itself is not seen.
            if f.links[i] == shown.get(cause):
                self._add(("strength", cause, name), *counted)

    def _unlisted(self, complaint: str, leak: float, on: float, cases: float) -> None:
        """Enter that a complaint came of itself, or, with cases below 0, what cases owe for it."""
        more, less = on, leak * (1 - on) / (1 - leak)
        if cases < 0:
            more, less = less, more
        self._add(("unlisted", complaint), abs(cases) * more, abs(cases) * less)

    def _signs(self, evidence: Evidence, f: object, name: str, found: SignsExpected) -> None:
        for sign, each in zip(name.removeprefix("sign:").split("+"), found.signs, strict=True):
            node = graph.sign_node(sign)
            self._add(("leak", node), *each.leak)
            for i, counted in each.links.items():
                self._add(("strength", evidence.causes[i], node), *counted)
        for report, each_report in zip(getattr(f, "reports", ()), found.reports, strict=True):
            hands, _, kind = report.by.partition(" ")
            self._add(("hit", hands, kind), *each_report.hit)
            self._add(("false_alarm", hands, kind), *each_report.false_alarm)


def _expected(network: Network, state: State, lesson: CaseLesson | None) -> tuple[Evidence, Expected]:
    evidence = gather_evidence(network, state)
    findings = evidence.findings
    if lesson is not None and lesson.reported in evidence.causes:
        at = evidence.causes.index(lesson.reported or "")
        findings = [*findings, NoisyOr(REPORTED_WRONG, {at: 1 - REPORTED_WRONG}, 1.0, 0.0)]
    if lesson is not None and lesson.told and lesson.truth in evidence.causes:
        at = evidence.causes.index(lesson.truth or "")
        findings = [*findings, NoisyOr(TOLD_WRONG, {at: 1 - TOLD_WRONG}, 1.0, 0.0)]
    elif lesson is not None and lesson.told:
        # None that is listed: no cause of the complaint fired it.
        findings = [
            replace(f, barred=frozenset(f.links)) if isinstance(f, NoisyOr) and f.complaint else f for f in findings
        ]
    if lesson is not None and lesson.at_work is not None:
        findings = [*findings, *(_known(n, c in lesson.at_work) for n, c in enumerate(evidence.causes))]
    return evidence, expected(evidence.tables, evidence.facts.shares, findings, evidence.cures)


def _known(cause: int, at_work: bool) -> NoisyOr:
    """Return that a cause was at work, or was not, for all but certain."""
    return NoisyOr(SURE, {cause: 1 - SURE}, float(at_work), float(not at_work))


def _told(kb: model.KB, state: State) -> dict[str, str]:
    """Return the facts that the complaints say by themselves: they are given with them."""
    return {f: o for c in state.complaints for f, o in kb.complaints[c].tells.facts.items()}


def counted(network: Network, parameters: Parameters, lessons: Iterable[CaseLesson]) -> Counts:
    """Return the counts of some cases under the numbers of a network, without what they owe.

    Parameters
    ----------
    network : Network
    parameters : Parameters
    lessons : iterable of CaseLesson
    """
    counter = Counter(network, parameters)
    for lesson, times in Same(lessons).items():
        counter.take(lesson, times)
    return counter.counts


def with_debts(network: Network, parameters: Parameters, counts: Counts) -> Counts:
    """Return counts with what their cases owe to having come to light, and the likelihood given that the complaints were made.

    Parameters
    ----------
    network : Network
        The one that they were counted under.
    parameters : Parameters
    counts : Counts
    """
    counter = Counter(network, parameters)
    owed = sum(n * counter.owes(complaints, n) for complaints, n in counts.asked.items())
    out = counts + counter.counts
    out.log_likelihood = counts.log_likelihood - owed
    return out
