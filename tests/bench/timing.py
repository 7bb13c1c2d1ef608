"""What is said of a list of times: median, p99, worst, and how many."""

from collections.abc import Callable
from time import perf_counter

COLUMNS = ["median", "p99", "worst", "n"]


def at(times: list[float], share: float) -> float:
    """Return the time below which a share of all times lies, the nearest one that was measured.

    Examples
    --------
    >>> at([3.0, 1.0, 2.0], 0.5), at([3.0, 1.0, 2.0], 0.99)
    (2.0, 3.0)
    """
    return sorted(times)[min(len(times) - 1, int(share * len(times)))]


def cells(times: list[float]) -> list[str]:
    """Return the four cells of some times [s].

    Examples
    --------
    >>> cells([0.25])
    ['250 ms', '250 ms', '250 ms', '1']
    """
    return [*(shown(at(times, share)) for share in (0.5, 0.99, 1.0)), str(len(times))]


def shown(seconds: float) -> str:
    """Return a time in milliseconds, with three digits that count.

    Examples
    --------
    >>> shown(0.0123456), shown(0.00012), shown(2.5)
    ('12.3 ms', '0.12 ms', '2500 ms')
    """
    ms = 1000 * seconds
    return f"{ms:.0f} ms" if ms >= 100 else f"{ms:.1f} ms" if ms >= 10 else f"{ms:.2f} ms"


def figures(times: list[float]) -> dict[str, float]:
    """Return the numbers behind the cells [s]."""
    return {"median": at(times, 0.5), "p99": at(times, 0.99), "worst": max(times), "n": len(times)}


def timed(do: Callable[[], object], times: int, before: Callable[[], object] = lambda: None) -> list[float]:
    """Return how long something takes, so many times over [s]; `before` is done each time and not counted."""
    out = []
    for _ in range(times):
        before()
        start = perf_counter()
        do()
        out.append(perf_counter() - start)
    return out
