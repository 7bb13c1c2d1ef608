"""What a posterior costs, counted in cells before a single table is built: the steps up and down the buckets, and the joins between them."""

from collections.abc import Sequence

from .. import effort
from .cause_factors import CauseFactor
from .elimination import BEYOND, MOST_SHARED, SHARED, Bucket
from .noisy_or import Finding, Part
from .signs import Reported, UnlistedShowing

# A step of numpy on a table of any size takes as long as so many numbers do; a step of plain Python, so many [cells] (measured).
STEP = 1000
PLAIN = 50
# Ordering the variables looks at all pairs of them [cells].
PAIR = 20


def entering(findings: Sequence[Finding], cures: dict[int, list[tuple[int, float]]]) -> int:
    """Return what it costs to take findings in, cause by cause and way by way [cells]."""
    links = treated = 0
    for f in findings:
        # Each report on signs is held against each of their showings.
        showings = [f.links] if not isinstance(f, Reported) else [s.links for s in f.signs] * (1 + len(f.reports))
        links += sum(map(len, showings))
        if cures:
            treated += sum(len(some) for own in showings for i, some in cures.items() if i in own)
    return PLAIN * (len(findings) + links + 2 * treated + sum(map(len, cures.values())))


def ordering(variables: int) -> int:
    """Return what it costs to find the order in which so many variables are summed out [cells]."""
    return PAIR * variables * variables


def passing(
    order: tuple[Bucket, ...],
    parts: list[Part],
    sizes: tuple[int, ...],
    facts: int,
    standing: list[int],
) -> int:
    """Return what the passes over the buckets cost, all tables together [cells].

    Parameters
    ----------
    order : tuple of Bucket
    parts : list of Part
        In the order in which the buckets count them.
    sizes : tuple of int
        How many values each variable has, facts first.
    facts : int
        How many of the variables are facts.
    standing : list of int
        Variables of the complaints that stand.

    Notes
    -----
    A cause is one step for each way to be present and one for each link; on the way down, what fired a standing complaint is split by
    the first that it fired. A join over k shared findings costs SHARED ** k. Source: derived here; the bench holds it against time.

    Examples
    --------
    >>> from .cause_factors import CauseGroup
    >>> from .elimination import buckets
    >>> one = CauseGroup((), 0, [0])
    >>> passing(buckets((1,), (2,), 0), [one], (2,), 0, [])
    6020
    """
    stands = set(standing)
    up = down = joins = 0
    for bucket in order:
        cells = _size(bucket.scope, sizes)
        joined: set[int] = set()
        for n, child in enumerate(bucket.children):
            rest = set(order[child].rest)
            if n:
                shared = sum(v >= facts for v in joined & rest)
                joins += int(_size(joined | rest, sizes) * SHARED ** min(shared, MOST_SHARED)) + STEP
            joined |= rest
        once = twice = 2
        for i in bucket.causes:
            part = parts[i]
            if isinstance(part, CauseFactor):
                for n, (_, links) in enumerate(part.ways):
                    fired = sum(v in stands for v, _ in links)
                    shown = sum(3 + len(s.catches) for s in part.showings[n]) if part.showings else 0
                    once += 2 + len(links) + shown
                    twice += (2 + len(links) + shown) * (2 + fired) // 2
            elif isinstance(part, UnlistedShowing):
                once += 3 + len(part.variables)
                twice += 3 + len(part.variables)
            else:
                once += 1
                twice += 2
        up += once * cells + STEP * (1 + len(bucket.causes))
        down += twice * cells + STEP * (1 + len(bucket.causes))
        effort.check()
    # Once up for all, and once for each complaint that stands but the first, whose share is read off on the way down.
    passes = 1 + max(1, len(standing) - 1)
    return up * passes + down + joins * (2 + passes)


def _size(scope: "set[int] | tuple[int, ...]", sizes: tuple[int, ...]) -> int:
    out = 1
    for v in scope:
        out = min(out * sizes[v], BEYOND)
    return out
