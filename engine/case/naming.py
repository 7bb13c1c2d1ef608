"""What a case names of the kb: the causes that were mended or that it turned out to be, the rules that it is about, the parts that its mends take."""

from collections.abc import Sequence

from .. import model
from .events import Event


def causes_of(kb: model.KB, events: Sequence[Event]) -> frozenset[str]:
    """Return the causes whose mend was tried in a case, and what it turned out to be.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> sorted(causes_of(load_kb(), [Event(remedy="foot-unloaded", did="done"), Event(remedy="none", did="done")]))
    ['foot-unloaded']
    """
    return frozenset(c for e in events for c in (e.remedy, e.cause) if c in kb.causes)


def rules_of(kb: model.KB, events: Sequence[Event]) -> frozenset[str]:
    """Return the rules that the causes of a case break, and those that a reading of it was held against."""
    broken = {r.rule for c in causes_of(kb, events) if (r := kb.causes[c].breaks)}
    read = {kb.checks[n].rule for e in events if e.value is not None and (n := e.check or e.proof or "") in kb.checks}
    return frozenset(r for r in broken | read if r)


def parts_of(kb: model.KB, events: Sequence[Event]) -> frozenset[str]:
    """Return the parts that the mends of a case take."""
    return frozenset(p for c in causes_of(kb, events) for p in kb.causes[c].remedy.parts)
