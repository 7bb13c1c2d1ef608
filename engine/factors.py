"""Plain factors over facts, multiplied and summed out: no findings, no causes, just tables of numbers."""

import numpy as np

from .messages import Array, lifted

# A table with one axis for each of its variables, which are sorted.
Factor = tuple[tuple[int, ...], Array]


def product(factors: list[Factor]) -> Factor:
    """Return the product of factors over all of their variables.

    Examples
    --------
    >>> scope, table = product([((0,), np.array([1.0, 2.0])), ((1,), np.array([3.0, 4.0]))])
    >>> scope, table.tolist()
    ((0, 1), [[3.0, 4.0], [6.0, 8.0]])
    """
    scope = tuple(sorted({v for known, _ in factors for v in known}))
    out = np.ones((1,) * len(scope))
    for known, table in factors:
        out = out * lifted(table, known, scope)
    return scope, out


def summed_out(factors: list[Factor], keep: set[int]) -> list[Factor]:
    """Return factors over the kept variables alone whose product is the sum, over all others, of the given ones' product.

    Parameters
    ----------
    factors : list of Factor
    keep : set of int
        Variables that stay.

    Examples
    --------
    >>> [(s, t.tolist()) for s, t in summed_out([((0,), np.array([1.0, 2.0])), ((0, 1), np.eye(2))], {1})]
    [((1,), [1.0, 2.0])]
    """
    left = list(factors)
    while True:
        waiting = {v for known, _ in left for v in known} - keep
        if not waiting:
            return left
        _, variable = min((len({w for known, _ in left if v in known for w in known}), v) for v in waiting)
        scope, table = product([f for f in left if variable in f[0]])
        axis = scope.index(variable)
        left = [f for f in left if variable not in f[0]]
        left.append((scope[:axis] + scope[axis + 1 :], table.sum(axis=axis)))
