"""The decision problem of one step: tests, repairs and referrals, with what each costs."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# The logarithm of a smaller share is not taken; nothing times it is nothing.
LEAST = 1e-300
# At the same price it is acted rather than asked.
RANK = {"remedy": 0, "hand-on": 0, "question": 1}


@dataclass(frozen=True)
class Test:
    """A check or a fact that can be asked: its price [minutes] and P(outcome | scenario), shape (outcomes, scenarios)."""

    id: str
    cost: float
    likelihood: Array


@dataclass(frozen=True)
class Repair:
    """A remedy that can be done: its price with its proof [minutes], the scenarios' causes that it cures, its chance to cure.

    `look` is the test that must be made before it, whose price `looking` is part of its own until then. `vain` is what it costs on top
    where it ends nothing [minutes].
    """

    id: str
    cost: float
    cures: NDArray[np.bool_]
    chance: float
    look: str = ""
    looking: float = 0.0
    vain: float = 0.0


@dataclass(frozen=True)
class Referral:
    """Handing on: a price [minutes] for each scenario, and what finding out costs the next role on top.

    `work` is what mending each cause is in that price where nobody comes after; else the next role's problem says it.
    """

    price: Array
    next_problem: "DecisionProblem | None" = None
    fee: float = 0.0
    work: Array | None = None


@dataclass(frozen=True)
class DecisionProblem:
    """What one role may do, over a common set of scenarios.

    Parameters
    ----------
    tests, repairs : lists
        Permitted steps.
    referral : Referral
        Handing on.
    needs : array (scenarios, causes) of bool
        Which causes must be cured in each scenario.
    unlisted : array (scenarios,) of bool
        Scenarios that no listed remedy resolves.
    group : array (scenarios,) of int
        Scenarios with the same needs share a number; entropy counts groups.
    """

    tests: list[Test]
    repairs: list[Repair]
    referral: Referral
    needs: NDArray[np.bool_]
    unlisted: NDArray[np.bool_]
    group: NDArray[np.intp]


@dataclass(frozen=True)
class ActionValue:
    """The price of one way to go on [minutes]."""

    kind: str
    id: str
    price: float


@dataclass(frozen=True)
class Decision:
    """The best next step and what the alternatives would cost, cheapest first."""

    best: ActionValue
    ranked: list[ActionValue] = field(default_factory=list)
    act: float = 0.0
    hand_on: float = 0.0
    order: list[str] = field(default_factory=list)
    # What a question had to save of acting's price to be put in front of it [-].
    least_gain: float = 0.0
    # How far the scenarios are not told apart [bit], and how many questions would tell something of it [-].
    unknown_bits: float = 0.0
    telling: int = 0


def normal(rows: Array) -> Array:
    """Return rows scaled to sum to 1."""
    total = rows.sum(axis=1, keepdims=True)
    out: Array = np.divide(rows, total, out=np.zeros_like(rows), where=total > 0)
    return out


def times_log(shares: Array) -> Array:
    """Return each share times its logarithm to base 2, nothing where the share is 0 [bit].

    Examples
    --------
    >>> times_log(np.array([0.0, 0.25, 1.0]))
    array([-0. , -0.5,  0. ])
    """
    out: Array = shares * np.log2(np.maximum(shares, LEAST))
    return out


def membership(group: NDArray[np.intp]) -> Array:
    """Return 1 for each scenario in its group, shape (scenarios, groups)."""
    out: Array = np.eye(int(group.max()) + 1)[group]
    return out


def entropy(rows: Array, member: Array) -> Array:
    """Return the entropy of each row over groups of scenarios [bit].

    Examples
    --------
    >>> entropy(np.array([[0.25, 0.25, 0.5]]), membership(np.array([0, 0, 1])))
    array([1.])
    """
    out: Array = -times_log(rows @ member).sum(axis=1)
    return out
