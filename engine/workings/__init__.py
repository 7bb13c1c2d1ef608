"""Workings: the physics as calculators. Each says what it takes, its units, its sources, how far it can be trusted, and what it means."""

from .records import Input, Output, Working, all_workings, find, work

__all__ = ["Input", "Output", "Working", "all_workings", "find", "work"]
