"""How much one piece of thinking may do, counted in cells, and whether anybody still waits for it.

A cell is one number of one table; whatever else takes time is counted as so many of them, some 8 ns each. Counts, not seconds: the same
case is refused on every machine, whatever else runs there, and whatever is remembered from before.
"""

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

# One posterior, and all that one answer works out, in at most so many cells: under a second, under 300 MB (tests/bench, `bounds`).
MOST_CELLS = 250_000_000
# What is told of a whole case asks what each answer changed: it works out many posteriors, and may take so many times as much.
TOLD = 6
# What to bring is found by playing two dozen visits, each of them some ten answers long.
PLAYED = 16


class IntractableError(ValueError):
    """So much hangs together that the exact belief would take too much time and memory."""


class AbandonedError(Exception):
    """Nobody waits any more for what is worked out."""


class Effort:
    """What one piece of thinking has spent, within what it is a part of.

    Parameters
    ----------
    most : int
        Cells that may be spent [-].
    within : Effort, optional
        What this is a part of; it spends there, too.
    """

    def __init__(self, most: int, within: "Effort | None" = None) -> None:
        self.most = most
        self.within = within
        self.spent = 0
        self.seen: set[Hashable] = set()

    def spend(self, cells: int) -> None:
        """Spend some cells here and in all that this is a part of."""
        self.spent += cells
        if self.spent > self.most:
            raise IntractableError(f"{self.spent} cells would be needed; at most {self.most} can be")
        if self.within is not None:
            self.within.spend(cells)


_effort: ContextVar[Effort | None] = ContextVar("effort", default=None)
_abandoned: ContextVar[Callable[[], bool] | None] = ContextVar("abandoned", default=None)


def check() -> None:
    """Go on only while somebody waits.

    Raises
    ------
    AbandonedError
        If nobody does.
    """
    abandoned = _abandoned.get()
    if abandoned is not None and abandoned():
        raise AbandonedError


def spend(cells: int) -> None:
    """Count some work before it is done; without a limit around it, it is only asked whether somebody waits.

    Raises
    ------
    IntractableError
        If it is more than what is left.
    AbandonedError
        If nobody waits any more.
    """
    check()
    effort = _effort.get()
    if effort is not None:
        effort.spend(cells)


def spend_once(what: Hashable, cells: int) -> None:
    """Count some work that is remembered once it is done, the first time within a limit.

    Examples
    --------
    >>> with limit() as effort:
    ...     spend_once("a", 4)
    ...     spend_once("a", 4)
    >>> effort.spent
    4
    """
    effort = _effort.get()
    while effort is not None and effort.within is not None:
        effort = effort.within
    if effort is not None and what not in effort.seen:
        effort.seen.add(what)
        spend(cells)


@contextmanager
def limit(times: int = 1) -> Iterator[Effort]:
    """Hold what is done inside to what one answer may take, or to so many times that.

    Parameters
    ----------
    times : int
        [-]

    Raises
    ------
    IntractableError
        From within, as soon as more would be needed.

    Examples
    --------
    >>> with limit() as effort:
    ...     spend(4)
    >>> effort.spent
    4
    """
    effort = Effort(times * MOST_CELLS, _effort.get())
    kept = _effort.set(effort)
    try:
        yield effort
    finally:
        _effort.reset(kept)


@contextmanager
def abandoned_when(abandoned: Callable[[], bool]) -> Iterator[None]:
    """Let what is done inside end at its next step once a function says that nobody waits.

    Parameters
    ----------
    abandoned : callable
        Asked at every step, from the thread that thinks; it must be quick.

    Examples
    --------
    >>> with abandoned_when(lambda: True):
    ...     try:
    ...         spend(1)
    ...     except AbandonedError:
    ...         print("given up")
    given up
    """
    kept = _abandoned.set(abandoned)
    try:
        yield
    finally:
        _abandoned.reset(kept)
