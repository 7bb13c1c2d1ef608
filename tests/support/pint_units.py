"""Pint's table of units, built once: an independent second opinion on every conversion."""

from functools import cache

import pint


@cache
def registry():
    """Return pint's registry of units."""
    return pint.UnitRegistry()
