"""What was learned, as far as every case beside a cause and every decoy still comes out as its author promised.

Of each promise that is broken the fewest numbers are found that break it, those on which most cases bear being kept longest, and these alone
move back towards the judgement, no further than they must. All other numbers stay as they were counted.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, log

from .. import model
from ..diagnosis.network import network_of
from ..evaluation.golden_cases import decoy_failures, failures
from .counts import Parameters
from .numbers import Key, Numbers, with_numbers

# How often all promises are looked at; after that what bears on a broken one is left out as a whole.
ROUNDS = 6
# How much of its way from the judgement a number may keep, the most that does it being taken [-].
STEPS = (0.9, 0.75, 0.5, 0.25)
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

    def numbers(self, way: dict[Unit, float] | None = None) -> Numbers:
        """Return the numbers, each so far from the judgement as it may be; one that may not move at all is left out."""
        some = self.way if way is None else way
        return {k: _blended(k, self.judged[k], self.learned[k], f) for u, f in some.items() if f > 0 for k in u}

    def keeps(self, promise: Promise, way: dict[Unit, float]) -> bool:
        """Return whether a promise is kept with numbers so far from the judgement."""
        return promise(with_numbers(self.kb, self.numbers(way)))

    def hold(self, promise: Promise) -> None:
        """Move back as little as keeps a promise, if it is broken."""
        if self.keeps(promise, self.way):
            return
        moving = [u for u in self.units if self.way[u] > 0]
        back: list[Unit] = []
        self._give_back(promise, moving, dict.fromkeys(moving, 0.0), back)
        for share in STEPS:
            trial = self.way | {u: share * self.way[u] for u in back}
            if self.keeps(promise, trial):
                self.way = trial
                return
        self.way |= dict.fromkeys(back, 0.0)

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
        for promise in broken:
            held.hold(promise)
        if round_ == ROUNDS - 2:
            # Promises that take turns: what was moved back at all is left out.
            held.way = {u: f if f == 1 else 0.0 for u, f in held.way.items()}
    return KeptPromises({}, {}, sorted(cases))


def broken_promises(kb: model.KB) -> list[Promise]:
    """Return the promises that a kb does not keep: cases beside causes, and decoys."""
    out: list[Promise] = []
    for name, cause in kb.causes.items():
        out += [_case(name, n) for n, trial in enumerate(cause.cases) if failures(kb, name, trial)]
    out += [_decoy(n) for n, decoy in enumerate(kb.decoys) if decoy_failures(kb, decoy)]
    return out


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
