"""The order of bucket elimination: which fact or finding is summed out next, and which tables meet in its bucket.

Variables are the unknown facts and the findings that several causes may explain. A cause ties together the facts that are its parents and
the findings that it can trigger. Summing a variable out joins all that touches it into one table, its bucket, whose size is what
the belief costs; the order is chosen greedily so that the tables stay small.
"""

from dataclasses import dataclass
from functools import lru_cache

# Joining two tables that share k findings costs 3^k where one table alone costs 2^k.
SHARED = 1.5
# Above these a table is not built by anybody; its size is not worked out to the last digit, nor does it run over a float.
BEYOND = 10**15
MOST_SHARED = 100


@dataclass(frozen=True)
class Bucket:
    """What is joined to sum one variable out.

    Parameters
    ----------
    variable : int
        The variable that is summed out here.
    scope : tuple of int
        Every variable of the joined table, sorted, `variable` among them.
    causes : tuple of int
        Causes that are taken in here.
    children : tuple of int
        Earlier buckets whose tables are taken in here.
    """

    variable: int
    scope: tuple[int, ...]
    causes: tuple[int, ...]
    children: tuple[int, ...]

    @property
    def rest(self) -> tuple[int, ...]:
        """The scope without the variable: what the bucket's own message is about."""
        return tuple(v for v in self.scope if v != self.variable)


class _Pool:
    """Causes and messages that are not taken in yet, by the variables they touch."""

    def __init__(self, scopes: tuple[int, ...], sizes: tuple[int, ...], facts: int) -> None:
        self.sizes = sizes
        self.findings = ~((1 << facts) - 1)
        self.scopes = list(scopes)
        self.count = len(scopes)
        self.touching: list[set[int]] = [set() for _ in sizes]
        for i, scope in enumerate(scopes):
            for v in members(scope):
                self.touching[v].add(i)
        self._size: dict[int, int] = {}

    def size(self, scope: int) -> int:
        """Return the numbers in a table over a scope."""
        if scope not in self._size:
            out = 1
            for v in members(scope):
                out = min(out * self.sizes[v], BEYOND)
            self._size[scope] = out
        return self._size[scope]

    def cost(self, variable: int) -> tuple[float, int]:
        """Return the work of summing a variable out now, and the scope of its table."""
        joined, whole, work = 0, 0, 0.0
        causes = 0
        for i in self.touching[variable]:
            whole |= self.scopes[i]
            if i < self.count:
                causes += 1
        messages = sorted((self.size(self.scopes[i]), i) for i in self.touching[variable] if i >= self.count)
        for _, i in messages:
            scope = self.scopes[i]
            if joined:
                both = joined & scope & self.findings
                work += self.size(joined | scope) * SHARED ** min(both.bit_count(), MOST_SHARED)
            joined |= scope
        return work + self.size(whole) * (causes + 1), whole

    def take(self, variable: int, whole: int) -> tuple[list[int], list[int]]:
        """Remove what touches a variable, put the message over the rest in its place; return causes and messages taken."""
        taken = sorted(self.touching[variable], key=lambda i: (self.size(self.scopes[i]), i))
        for i in taken:
            for v in members(self.scopes[i]):
                self.touching[v].discard(i)
        self.scopes.append(whole & ~(1 << variable))
        for v in members(self.scopes[-1]):
            self.touching[v].add(len(self.scopes) - 1)
        return [i for i in taken if i < self.count], [i - self.count for i in taken if i >= self.count]


@lru_cache(maxsize=4096)
def members(scope: int) -> tuple[int, ...]:
    """Return the variables of a scope, which is a set of them written as bits.

    Examples
    --------
    >>> members(0b1101)
    (0, 2, 3)
    """
    out = []
    while scope:
        low = scope & -scope
        out.append(low.bit_length() - 1)
        scope ^= low
    return tuple(out)


@lru_cache(maxsize=256)
def buckets(scopes: tuple[int, ...], sizes: tuple[int, ...], facts: int) -> tuple[Bucket, ...]:
    """Return the buckets in the order in which they are worked: each takes in only earlier ones.

    Parameters
    ----------
    scopes : tuple of int
        For each cause, the variables that it touches, as bits.
    sizes : tuple of int
        How many values each variable has; facts come first, then findings (2 each).
    facts : int
        How many of the variables are facts.

    Returns
    -------
    tuple of Bucket
        One for each variable that some cause touches.

    Examples
    --------
    Two causes of one finding, of which the second has a parent fact (variable 0) besides:

    >>> for bucket in buckets((0b10, 0b11), (3, 2), 1):
    ...     print(bucket.variable, bucket.scope, bucket.causes, bucket.children)
    0 (0, 1) (1,) ()
    1 (1,) (0,) (0,)
    """
    pool = _Pool(scopes, sizes, facts)
    waiting = {v: pool.cost(v) for v in range(len(sizes)) if pool.touching[v]}
    out = []
    while waiting:
        variable = min(waiting, key=lambda v: (waiting[v][0], v))
        _, whole = waiting.pop(variable)
        causes, children = pool.take(variable, whole)
        out.append(Bucket(variable, members(whole), tuple(causes), tuple(children)))
        for v in members(whole & ~(1 << variable)):
            waiting[v] = pool.cost(v)
    return tuple(out)


def largest(found: tuple[Bucket, ...], sizes: tuple[int, ...]) -> int:
    """Return the numbers in the largest table that the buckets join.

    Examples
    --------
    >>> largest(buckets((0b10, 0b11), (3, 2), 1), (3, 2))
    6
    """
    most = 1
    for bucket in found:
        size = 1
        for v in bucket.scope:
            size *= sizes[v]
        most = max(most, size)
    return most
