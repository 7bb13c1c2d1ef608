"""Which lines in so many minutes: what must be seen first, then what prevents most callback cost.

The better of two ways: lines by cost prevented for each minute as long as one fits, and the best single line that fits. No bound is
claimed for it here; the tests hold it against every set of lines where these are few.
"""

from collections.abc import Mapping, Set
from itertools import product
from typing import NamedTuple

import msgspec
import numpy as np
from msgspec import Struct

from .. import model
from ..diagnosis.network import Network
from ..model import holds
from ..survey.blank_sheet import blank_lines
from ..survey.must_see import due_at, hand_minutes, must_see
from .worth import Worth, nodes_of, worth

LEAST_GAIN = 1e-9  # [homeowner minutes]
# A line that prevents less at a new installation is on no stage's sheet, unless a code or a hazard asks it (judgement) [homeowner minutes].
LEAST_WORTH = 0.02
NEW = {"onset": "new", "recent-frost": "no-frost"}  # of a new installation, unless its sheet says otherwise


class Picked(NamedTuple):
    """Lines beyond those that are taken anyway, and the cost that all prevent together [homeowner minutes]."""

    lines: list[str]
    prevented: float


class Beside(Struct, frozen=True, kw_only=True):
    """What runs by itself beside the minutes of hands."""

    check: str
    title: str
    minutes: float


class Chosen(Struct, frozen=True, kw_only=True):
    """The lines for some minutes of hands.

    `hands` and `must_minutes` are the most that they take at any one site; `over` is by how much what must be seen does not fit;
    `share` is the part of the preventable callback cost that these lines cover, `whole`
    being that of all lines [homeowner minutes at one installation], `whole_minutes` the hands' minutes of them.
    """

    minutes: float
    lines: list[str]
    must: list[str]
    hands: float
    must_minutes: float
    over: float
    share: float
    must_share: float
    whole: float
    whole_minutes: float
    whole_lines: int
    beside: list[Beside]


def pick(stakes: Worth, cost: Mapping[str, float], first: list[str], left: float) -> Picked:
    """Return the lines to take beside those that are taken anyway.

    Parameters
    ----------
    stakes : Worth
    cost : mapping
        Line -> its minutes, for each that may be taken; what must come before it included.
    first : list of str
        Lines that are taken whatever they prevent.
    left : float
        Minutes that remain for others.

    Examples
    --------
    >>> import numpy as np
    >>> three = Worth(["a", "b", "c"], ["x", "y"], np.array([10.0, 9.0]), np.array([[0.9, 0.0], [0.0, 0.9], [0.8, 0.8]]))
    >>> pick(three, {"a": 1.0, "b": 1.0, "c": 2.5}, [], 2.0)
    Picked(lines=['a', 'b'], prevented=17.1)
    """
    by_rate = _greedy(stakes, cost, first, left)
    one = _single(stakes, cost, first, left)
    return one if one.prevented > by_rate.prevented + LEAST_GAIN else by_rate


def _greedy(stakes: Worth, cost: Mapping[str, float], first: list[str], minutes: float) -> Picked:
    still = stakes.left(first)
    names = [n for n in cost if n not in first and n in stakes.row]
    finds = stakes.finds[[stakes.row[n] for n in names]] if names else stakes.finds[:0]
    prices = np.array([cost[n] for n in names])
    open_ = np.ones(len(names), dtype=bool)
    taken: list[str] = []
    while True:
        gains = finds @ still
        fits = open_ & (prices <= minutes + 1e-9) & (gains > LEAST_GAIN)
        if not fits.any():
            return Picked(taken, round(float(stakes.stake.sum() - still.sum()), 9))
        # Rounded, so that a tie is broken by the order of the lines on every machine.
        best = int(np.argmax(np.where(fits, np.round(gains / prices, 9), -1.0)))
        taken.append(names[best])
        open_[best] = False
        still = still * (1 - finds[best])
        minutes -= prices[best]


def _single(stakes: Worth, cost: Mapping[str, float], first: list[str], minutes: float) -> Picked:
    have = float(stakes.stake.sum())
    still = stakes.left(first)
    ways = [
        Picked([name], round(have - float((still * (1 - stakes.finds[stakes.row[name]])).sum()), 9))
        for name, price in cost.items()
        if name not in first and name in stakes.row and price <= minutes + 1e-9
    ]
    return max(ways, key=lambda w: w.prevented, default=Picked([], round(have - float(still.sum()), 9)))


def before(kb: model.KB, check: model.Check) -> list[str]:
    """Return the checks that must have been made before a check is."""
    return [o.check for o in check.only_if]


class SheetLines:
    """The lines of a site, with what they cost and are worth: worked out once, and asked for any number of minutes.

    Parameters
    ----------
    network : Network
    hands : str
    facts : dict
        What is known of the site.
    stage : str, optional
        Only lines of this stage, and what must be seen by then.
    filled : mapping, optional
        Lines that are filled already: they cost nothing more.
    skipped : set of str, optional
        Lines that nobody will see.
    """

    def __init__(
        self,
        network: Network,
        hands: model.Hands,
        facts: dict[str, str],
        stage: model.Stage | None = None,
        filled: Mapping[str, str] | None = None,
        skipped: Set[str] = frozenset(),
    ) -> None:
        self.network, self.kb, self.hands = network, network.kb, hands
        self.facts = {**NEW, **facts}
        self.filled = dict(filled or {})
        proofs = [
            c
            for c in self.kb.checks.values()
            if c.only_proof and c.on_sheet and getattr(c.minutes, hands) and holds(c.when, self.facts)
        ]
        lines = blank_lines(self.kb, hands, self.facts)
        known = {c.id for c in lines}
        self.whole = [*lines, *(c for c in proofs if c.id not in known)]
        must = [c for c in must_see(self.kb, hands, stage) if holds(c.when, self.facts)]
        instead = {c.id: c.on_sheet.instead for c in must if c.on_sheet}
        self.must = [c for c in must if not {c.id, *instead[c.id]} & {*self.filled} and c.id not in skipped]
        may = [c for c in self.whole if not stage or due_at(c, stage)]
        self.may = [c for c in may if c.id not in self.filled and c.id not in skipped]
        self.stakes = worth(network, self.whole, hands, self.facts)
        self.by_id = {c.id: c for c in self.whole}

    def of_worth(self) -> list[model.Check]:
        """Return the lines that a new installation is worth: no crack of a frost that it never stood in."""
        network, kb = self.network, self.kb
        each = self.stakes.finds @ self.stakes.stake
        keep = {c for c, w in zip(self.stakes.lines, each, strict=True) if w >= LEAST_WORTH}
        asked = {
            c.id for c in self.whole if c.rule and (r := kb.rules[c.rule]) and (r.guarded or r.authority == "code")
        }
        must = {c.id for c in self.whole if c.on_sheet and c.on_sheet.must_see}
        # Of what no cause of the kb shows, nobody knows the worth; it stays.
        unknown = {c.id for c in self.whole if not any(network.shown.get(n) for n in nodes_of(kb, c))}
        return [c for c in self.whole if c.id in keep | asked | must | unknown]

    def cost(self, name: str, taken: set[str]) -> float:
        """Return the minutes of hands that a line takes, with what must come before it and is not there yet."""
        check = self.kb.checks[name]
        needed = [n for n in before(self.kb, check) if n not in taken and n not in self.filled]
        return hand_minutes(check, self.hands) + sum(hand_minutes(self.kb.checks[n], self.hands) for n in needed)

    def at_one_site(self, names: list[str]) -> float:
        """Return the most minutes of hands that some lines take at any one site: no machine drains into a pipe and into the floor.

        Of lines that rule each other out by a fact that is not known yet, one is looked at and the others are left empty.
        """
        checks = [self.kb.checks[n] for n in names]
        open_ = sorted({f for c in checks for f in c.when if f not in self.facts and f in self.kb.facts})
        ways = product(*(self.kb.facts[f].options for f in open_))
        cost = [(c.when, hand_minutes(c, self.hands)) for c in checks]
        sites = ({**self.facts, **dict(zip(open_, way, strict=True))} for way in ways)
        return max(sum(m for when, m in cost if holds(when, site)) for site in sites)

    def choose(self, minutes: float) -> Chosen:
        """Return the lines for so many minutes of hands."""
        must = [c.id for c in self.must]
        taken = self._with_before(must)
        spent = self.at_one_site(taken)
        costs = {c.id: self.cost(c.id, set(taken)) for c in self.may if c.id not in taken}
        done = [n for n in self.filled if n in self.by_id]
        extra = pick(self.stakes, costs, [*done, *taken], minutes - spent) if spent <= minutes else Picked([], 0.0)
        lines = self._with_before([*taken, *extra.lines])
        whole = self.stakes.prevented([c.id for c in self.whole])
        hands = spent + sum(hand_minutes(self.kb.checks[n], self.hands) for n in lines if n not in taken)
        return Chosen(
            minutes=minutes,
            lines=lines,
            must=taken,
            hands=round(hands, 2),
            must_minutes=round(spent, 2),
            over=round(max(0.0, spent - minutes), 2),
            share=round(self.stakes.prevented([*done, *lines]) / whole, 6) if whole else 0.0,
            must_share=round(self.stakes.prevented([*done, *taken]) / whole, 6) if whole else 0.0,
            whole=round(whole, 6),
            whole_minutes=round(sum(hand_minutes(c, self.hands) for c in self.whole), 2),
            whole_lines=len(self.whole),
            beside=[
                Beside(check=n, title=self.kb.checks[n].title, minutes=alone)
                for n in lines
                if (alone := _alone(self.kb.checks[n]))
            ],
        )

    def gains(self, choice: Chosen) -> dict[str, float]:
        """Return what each line of a choice covers beside what is filled and what must be seen [share of the whole]."""
        have = [*(n for n in self.filled if n in self.by_id), *choice.must]
        base = self.stakes.prevented(have)
        whole = choice.whole or 1.0
        return {n: (self.stakes.prevented([*have, n]) - base) / whole for n in choice.lines if n not in choice.must}

    def _with_before(self, names: list[str]) -> list[str]:
        out: list[str] = []
        for name in names:
            for needed in (*before(self.kb, self.kb.checks[name]), name):
                if needed not in out and needed not in self.filled:
                    out.append(needed)
        return out

    def curve(self, most: float) -> list[tuple[float, float]]:
        """Return (minutes, share) from nothing up to so many minutes; below what must be seen, the best part of that."""
        whole = self.stakes.prevented([c.id for c in self.whole]) or 1.0
        must = {c.id: self.cost(c.id, set()) for c in self.must}
        all_must = self.at_one_site(self._with_before([*must]))
        points, best = [], 0.0
        for step in range(int(most) + 1):
            if step < all_must:
                share = pick(self.stakes, must, [], step).prevented / whole
            else:
                share = self.choose(step).share
            # What so many minutes buy, more minutes buy as well.
            best = max(best, share)
            points.append((float(step), round(best, 6)))
        return points


def _alone(check: model.Check) -> float:
    return (check.on_sheet.by_itself or 0.0) if check.on_sheet else 0.0


def to_builtins(choice: Chosen) -> object:
    """Return a choice as plain data for the envelope."""
    return msgspec.to_builtins(choice)
