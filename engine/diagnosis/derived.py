"""Derived evidence: measured values worked through the physics behind a rule, with the model's own uncertainty.

A rule with a `model` is judged by what its working gives once every reading that it takes is there. The standard uncertainty is that of
the readings, carried through by differences, and the model's own, added in squares.
"""

import math
from contextlib import suppress
from functools import lru_cache

from msgspec import Struct

from .. import model
from ..calculators.calculator import find, read_value, show, show_value
from ..measurement import conformity, quantity


class Derived(Struct, frozen=True, kw_only=True):
    """A rule's value worked out from readings: SI value, limits and standard uncertainty, verdict, likelihoods, and what it means.

    `u` holds the readings' uncertainty, the model's own, and that of a limit which is itself an input (`at_least`).
    """

    rule: str
    working: str
    value: float
    low: float | None
    high: float | None
    u: float
    verdict: conformity.Verdict
    below: float | None
    within: float
    above: float | None
    text: str
    says: list[str]
    instead_of: dict[str, model.Side]
    kept_counts: list[str]


class Taken(Struct, frozen=True):
    """One input: its SI value and standard uncertainty, and the check that it was read from; inputs of one check err together."""

    value: float
    u: float
    check: str = ""


def take(kb: model.KB, use: model.Model, readings: dict[str, tuple[float, float]]) -> dict[str, Taken] | None:
    """Return the inputs of a model, or None where one of them is not known.

    Parameters
    ----------
    kb : KB
        With the machine's data, where a sheet was named.
    use : Model
    readings : dict
        Check id -> (SI value, half-width) of what was measured.
    """
    working = find(use.working)
    out: dict[str, Taken] = {}
    for i in working.inputs:
        wanted = use.takes.get(i.name, model.Take(value=i.default))
        if wanted.check and wanted.check in readings:
            value, half = readings[wanted.check]
            out[i.name] = Taken(value, half / math.sqrt(3), wanted.check)
            continue
        text = kb.data.get(wanted.data or "") or wanted.value
        if text is None:
            return None
        half = _half_width(wanted.give_or_take, i.measures) if wanted.give_or_take else 0.0
        out[i.name] = Taken(read_value(text, i.measures), half / math.sqrt(3))
    return out


def _half_width(text: str, measures: str) -> float:
    return float(text) if measures == "number" else quantity.parse_tolerance(text, measures)


def measured_inputs(use: model.Model, readings: dict[str, tuple[float, float]]) -> bool:
    """Return whether at least one reading feeds a model: without one it says nothing about this site."""
    return any(t.check in readings for t in use.takes.values() if t.check)


def run(working: str, values: dict[str, float]) -> dict[str, float | None]:
    """Return what a working gives; the same is asked at every step of a walk, so what was worked out is kept.

    Raises
    ------
    ValueError
        If the working refuses these values.
    """
    kept = _kept(working, tuple(values.items()))
    if isinstance(kept, ValueError):
        raise kept
    return dict(kept)


@lru_cache(maxsize=2048)
def _kept(working: str, values: tuple[tuple[str, float], ...]) -> dict[str, float | None] | ValueError:
    try:
        return find(working).run(dict(values))
    except ValueError as refused:
        return refused


def derive(kb: model.KB, rule: model.Rule, readings: dict[str, tuple[float, float]], gross: float) -> Derived | None:
    """Return a rule's value worked out from readings, or None where it can't be.

    Parameters
    ----------
    kb : KB
    rule : Rule
        With a model that gives what its limits speak of.
    readings : dict
        Check id -> (SI value, half-width).
    gross : float
        How often these hands report something quite wrong [prob].
    """
    use = rule.model
    if use is None or use.gives is None or not measured_inputs(use, readings):
        return None
    inputs = take(kb, use, readings)
    if inputs is None:
        return None
    working = find(use.working)
    values = {n: t.value for n, t in inputs.items()}
    try:
        out = run(use.working, values)
        value = out[use.gives]
        if value is None:
            return None
        output = next(o for o in working.outputs if o.name == use.gives)
        u = math.hypot(output.spread * abs(value), _carried(use.working, use.gives, inputs, values, value))
    except ValueError:
        return None
    low = quantity.parse(rule.min, rule.measures) if rule.min else None
    high = quantity.parse(rule.max, rule.measures) if rule.max else None
    if use.at_least:
        low, u = inputs[use.at_least].value, math.hypot(u, inputs[use.at_least].u)
    first, last = quantity.plausible(rule.plausible or "", rule.measures)
    verdict = conformity.judge(low, high, value, u * math.sqrt(3), rule.guarded)
    bounded = min(max(value, first), last)
    below, within, above = conformity.likelihoods(low, high, first, last, bounded, max(u, 1e-9), gross)
    bound = {"upper": " at most", "lower": " at least"}.get(output.bound, "")
    text = f"worked out:{bound} {show_value(value, rule.measures)}, give or take {show(2 * u, rule.measures)}"
    if use.at_least and low is not None:
        text += f"; needed {show_value(low, rule.measures)}"
    return Derived(
        rule=rule.id,
        working=use.working,
        value=value,
        low=low,
        high=high,
        u=u,
        verdict=verdict,
        below=below,
        within=within,
        above=above,
        text=text,
        says=working.says(values, out),
        instead_of=use.instead_of,
        kept_counts=use.kept_counts,
    )


def _carried(working: str, gives: str, inputs: dict[str, Taken], values: dict[str, float], value: float) -> float:
    """Return the inputs' uncertainty carried through a working by differences, those of one reading moved together."""
    groups: dict[str, list[str]] = {}
    for name, taken in inputs.items():
        if taken.u > 0:
            groups.setdefault(f"check:{taken.check}" if taken.check else name, []).append(name)
    total = 0.0
    for names in groups.values():
        steps = []
        for sign in (1, -1):
            try:
                moved = run(working, values | {n: values[n] + sign * inputs[n].u for n in names})[gives]
            except ValueError:
                continue
            if moved is not None:
                steps.append(abs(moved - value))
        total += max(steps, default=0.0) ** 2
    return math.sqrt(total)


def meanings(kb: model.KB, check: model.Check, readings: dict[str, tuple[float, float]]) -> list[str]:
    """Return what a reading amounts to, by the workings that the check names."""
    return [text for use in check.means if measured_inputs(use, readings) for text in _said(kb, use, readings)]


def amounts_to(kb: model.KB, check: model.Check, output: str, readings: dict[str, tuple[float, float]]) -> float | None:
    """Return an output of the workings by which a check says what its reading amounts to, or None where none gives it."""
    for use in check.means:
        inputs = take(kb, use, readings)
        if inputs is None or not any(o.name == output for o in find(use.working).outputs):
            continue
        with suppress(ValueError):
            return run(use.working, {n: t.value for n, t in inputs.items()}).get(output)
    return None


def behind(kb: model.KB, rule: model.Rule, readings: dict[str, tuple[float, float]]) -> list[str]:
    """Return what the physics says of a break of a rule that no working stands in for: its model gives no value for the limits.

    Parameters
    ----------
    kb : KB
        With the machine's data, where a sheet was named.
    rule : Rule
    readings : dict
        Check id -> (SI value, half-width) of what was measured; stated values stand where nothing was, and `assumes` says so.
    """
    return _said(kb, rule.model, readings) if rule.model and rule.model.gives is None else []


def _said(kb: model.KB, use: model.Model, readings: dict[str, tuple[float, float]]) -> list[str]:
    """Return what a working says, behind what is assumed; nothing where an input is missing or can't be."""
    inputs = take(kb, use, readings)
    if inputs is None:
        return []
    values = {n: t.value for n, t in inputs.items()}
    try:
        said = find(use.working).says(values, run(use.working, values))
    except ValueError:
        return []
    return [f"if {use.assumes}: {text}" if i == 0 and use.assumes else text for i, text in enumerate(said)]
