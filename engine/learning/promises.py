"""What was learned, as far as every case beside a cause and every decoy still comes out as its author promised.

Of each promise that is broken the fewest numbers are found that break it, those on which most cases bear being kept longest. Either these alone
move back towards the judgement, or all that bear on the promise by the same share of their way, no further than they must: whichever takes
less from what the cases say. That goes by the square of the way back, so that many small steps often cost less than one large one.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import exp, log

from .. import model
from ..diagnosis.network import Network, network_of
from ..evaluation.golden_cases import decoy_failures, failures
from ..knowledge import graph
from .counts import Parameters
from .numbers import Key, Numbers, with_numbers

# How often all promises are looked at; after that what bears on a broken one is left out as a whole.
ROUNDS = 6
# How much of its way from the judgement a number may keep, the most that does it being taken [-].
STEPS = (0.9, 0.75, 0.5, 0.25)
# The same where all that bears on a promise moves back [-].
ALIKE = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1)
# Numbers that move together: the options of a fact, or one by itself.
Unit = tuple[Key, ...]


@dataclass(frozen=True)
class KeptPromises:
    """The numbers that keep every promise of the kb.

    Parameters
    ----------
    numbers : dict
        As they are written [prob].
    cases : dict
        Number -> out of how many cases.
    held : list of Key
        What is written nearer to the judgement than it was counted, or not at all, for a case beside a cause says otherwise.
    """

    numbers: Numbers
    cases: dict[Key, int]
    held: list[Key]


# A promise: whether a kb keeps it.
Promise = Callable[[model.KB], bool]


class Retreat:
    """Numbers on their way back to the judgement.

    Parameters
    ----------
    kb : KB
        As it is judged.
    numbers : dict
        What was learned.
    cases : dict
        The numbers that may be written, each with its cases.
    """

    def __init__(self, kb: model.KB, numbers: Numbers, cases: dict[Key, int]) -> None:
        self.kb = kb
        self.learned = numbers
        self.cases = cases
        self.judged = Parameters(network_of(kb)).judged
        by: dict[tuple[str, ...], list[Key]] = {}
        for key in cases:
            by.setdefault(key[:2] if key[0] == "share" else key, []).append(key)
        # Those on which most cases bear first: they are given back first.
        self.units: list[Unit] = sorted(map(tuple, by.values()), key=lambda u: (-sum(cases[k] for k in u), u))
        self.way: dict[Unit, float] = dict.fromkeys(self.units, 1.0)
        self.worth = {u: sum(map(self._said, u)) for u in self.units}

    def numbers(self, way: dict[Unit, float] | None = None) -> Numbers:
        """Return the numbers, each so far from the judgement as it may be; one that may not move at all is left out."""
        some = self.way if way is None else way
        return {k: _blended(k, self.judged[k], self.learned[k], f) for u, f in some.items() if f > 0 for k in u}

    def keeps(self, promise: Promise, way: dict[Unit, float]) -> bool:
        """Return whether a promise is kept with numbers so far from the judgement."""
        return promise(with_numbers(self.kb, self.numbers(way)))

    def hold(self, promise: Promise, about: Collection[Unit] | None = None) -> None:
        """Move back as little as keeps a promise, if it is broken.

        Parameters
        ----------
        promise : callable
        about : collection of Unit, optional
            What bears on it; all numbers unless said.
        """
        if self.keeps(promise, self.way):
            return
        moving = [u for u in self.units if self.way[u] > 0]
        back: list[Unit] = []
        self._give_back(promise, moving, dict.fromkeys(moving, 0.0), back)
        alike = [u for u in moving if about is None or u in about or u in back]
        found = [self._first(promise, back, STEPS), self._first(promise, alike, ALIKE)]
        if found[1] is not None:
            # What need not have moved is given back.
            needed: list[Unit] = []
            self._give_back(promise, alike, {u: found[1][u] for u in alike}, needed)
            found[1] = self.way | {u: found[1][u] for u in needed}
        ways = [way for way in found if way is not None] or [self.way | dict.fromkeys(back, 0.0)]
        self.way = min(ways, key=self.lost)

    def _first(self, promise: Promise, units: list[Unit], steps: Sequence[float]) -> dict[Unit, float] | None:
        """Return the numbers with some of them back by the first step that keeps a promise; None where no step does."""
        for share in steps:
            trial = self.way | {u: share * self.way[u] for u in units}
            if self.keeps(promise, trial):
                return trial
        return None

    def lost(self, way: dict[Unit, float]) -> float:
        """Return what numbers so far from the judgement lose of the log likelihood of the cases, about: by the square of the way back [nat]."""
        return sum((1 - f) ** 2 * self.worth[u] for u, f in way.items())

    def _said(self, key: Key) -> float:
        """Return what the cases say by a number's whole way: the cases, their information on it, and the square of the way."""
        p, q, n = self.judged[key], self.learned[key], self.cases[key]
        if key[0] in ("rate", "unlisted"):
            return n * log(q / p) ** 2
        if key[0] == "share":
            return n * q * log(q / p) ** 2
        return n * q * (1 - q) * (_logit(q) - _logit(p)) ** 2

    def _give_back(self, promise: Promise, units: Sequence[Unit], held: dict[Unit, float], back: list[Unit]) -> None:
        """Give numbers back what was counted, by halves, as long as the promise is kept; those that can't have it are left in `back`."""
        free = {u: f for u, f in held.items() if u not in units}
        if self.keeps(promise, self.way | free):
            for unit in units:
                held.pop(unit, None)
            return
        if len(units) == 1:
            back.append(units[0])
            return
        half = len(units) // 2
        self._give_back(promise, units[:half], held, back)
        self._give_back(promise, units[half:], held, back)


def held_to_promises(kb: model.KB, numbers: Numbers, cases: dict[Key, int]) -> KeptPromises:
    """Return the numbers under which every case beside a cause and every decoy comes out as promised.

    Parameters
    ----------
    kb : KB
        As it is judged; it keeps its promises.
    numbers : dict
        What was learned.
    cases : dict
        The numbers that may be written, each with its cases.
    """
    held = Retreat(kb, numbers, cases)
    for round_ in range(ROUNDS):
        broken = broken_promises(with_numbers(kb, held.numbers()))
        if not broken:
            now = held.numbers()
            return KeptPromises(
                now, {k: cases[k] for k in now}, sorted(k for u, f in held.way.items() if f < 1 for k in u)
            )
        for promise, complaints, checks in broken:
            held.hold(promise, about(network_of(kb), held.units, complaints, checks))
        if round_ == ROUNDS - 2:
            # Promises that take turns: what was moved back at all is left out.
            held.way = {u: f if f == 1 else 0.0 for u, f in held.way.items()}
    return KeptPromises({}, {}, sorted(cases))


def broken_promises(kb: model.KB) -> list[tuple[Promise, list[str], list[str]]]:
    """Return the promises that a kb does not keep, cases beside causes and decoys, each with its complaints and the checks answered in it."""
    out: list[tuple[Promise, list[str], list[str]]] = []
    for name, cause in kb.causes.items():
        for n, trial in enumerate(cause.cases):
            if failures(kb, name, trial):
                out.append((_case(name, n), [*trial.given.complaints], [*trial.given.answers]))
    out += [(_decoy(n), [decoy.complaint], []) for n, decoy in enumerate(kb.decoys) if decoy_failures(kb, decoy)]
    return out


def about(network: Network, units: Sequence[Unit], complaints: list[str], checks: list[str]) -> set[Unit]:
    """Return the numbers that bear on what is believed where some complaints were made and some checks answered.

    Parameters
    ----------
    network : Network
    units : sequence of Unit
    complaints, checks : list of str
    """
    names = {*complaints, *graph.relevant(network.graph, complaints)}
    for check in checks:
        record = network.kb.checks[check]
        told = {graph.answer_node(check, a) for a in record.answers}
        names |= told | {graph.sign_node(s) for n in told for s in network.reporting.get(n, ())}
        names |= {graph.side_node(record.rule or "", side) for side in ("below", "above")}
    return {u for u in units if any(k[0] in ("share", "hit", "false_alarm") or names & {*k[1:]} for k in u)}


def _case(cause: str, number: int) -> Promise:
    return lambda kb: not failures(kb, cause, kb.causes[cause].cases[number])


def _decoy(number: int) -> Promise:
    return lambda kb: not decoy_failures(kb, kb.decoys[number])


def _blended(key: Key, judged: float, learned: float, way: float) -> float:
    """Return a number between the judgement and what was counted: in log-odds, and a share of a fact as it is, so that they sum to 1."""
    if key[0] == "share":
        return judged + way * (learned - judged)
    return 1 / (1 + exp(-(_logit(judged) + way * (_logit(learned) - _logit(judged)))))


def _logit(p: float) -> float:
    return log(p) - log(1 - p)
