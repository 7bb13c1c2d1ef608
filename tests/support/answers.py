"""Random but sayable answers to the checks of a kb, and readings that name their own value exactly."""

import numpy as np

from dryfloor.engine.case.events import Event
from dryfloor.engine.measurement import quantity

# measure -> (unit to say it in, how many of it make one SI unit)
SAID = {
    "length": ("mm", 1e3),
    "rise": ("mm", 1e3),
    "slope": ("mm/m", 1e3),
    "voltage": ("V", 1.0),
    "temperature": ("C", 1.0),
    "age": ("years", 1 / 31557600),
    "pressure": ("kPa", 1e-3),
    "turns": ("turns", 1.0),
    "time": ("s", 1.0),
    "volume": ("L", 1e3),
    "flow": ("L/min", 6e4),
    "current": ("A", 1.0),
    "mass": ("kg", 1.0),
    "area": ("cm2", 1e4),
}


def said(value: float, measures: str) -> str:
    """A value as somebody would say it, with digits enough to mean just this value."""
    if measures == "count":
        return f"{value:.0f}"
    unit, factor = SAID[measures]
    return f"{value * factor:.9f} {unit}"


def explained(kb) -> list[str]:
    """The complaints that some cause shows (test_graph.py holds that these are all)."""
    return sorted({s.complaint for c in kb.causes.values() for s in c.shows if s.complaint})


def answer_to(kb, name: str, rng: np.random.Generator, normal: float = 0.5) -> Event:
    """An answer to a check: normal that often, else anything that it knows; a reading anywhere plausible."""
    check = kb.checks[name]
    if check.kind != "measure":
        options = list(check.answers)
        return Event(
            check=name, answer=options[-1] if rng.random() < normal else options[int(rng.integers(len(options)))]
        )
    rule = kb.rules[check.rule]
    low, high = quantity.plausible(rule.plausible, rule.measures)
    return Event(check=name, value=said(low + (high - low) * rng.uniform(0.01, 0.99), rule.measures))


def failing(kb, cause: str) -> Event:
    """An answer to a cause's proof that proves nothing."""
    proof = kb.causes[cause].proof
    check = kb.checks[proof.check]
    if proof.passes != "within":
        return Event(proof=proof.check, answer=next(a for a in check.answers if a != proof.passes))
    rule = kb.rules[check.rule]
    low, high = quantity.plausible(rule.plausible, rule.measures)
    worst = low + 0.01 * (high - low) if rule.min else high - 0.01 * (high - low)
    return Event(proof=proof.check, value=said(worst, rule.measures))
