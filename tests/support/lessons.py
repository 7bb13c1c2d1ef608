"""Closed cases for tests of learning: made-up sites of the shipped kb, walked by the shipped advice."""

from functools import cache

from dryfloor.engine.case.events import Event
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.learning.lessons import CaseLesson, lesson_of
from dryfloor.engine.simulation.simulator import Steps, played
from dryfloor.engine.simulation.world import installations_of

from .shipped import shipped

COMPLAINTS = ("siphons", "slow-fill")


@cache
def walked(count: int = 4, seed: int = 1) -> tuple[tuple[Event, ...], ...]:
    """The events of some walked cases, in an order that mixes complaints; what nobody solved is handed on."""
    network = network_of(shipped())
    steps = Steps(network)
    out = []
    sites = installations_of(network, COMPLAINTS, count, seed)
    for pair in zip(*sites.values(), strict=True):
        for site in pair:
            outcome, events = played(network, site, "desk", steps)
            out.append((*events, *([] if outcome.solved else [Event(closed="handed-on")])))
    return tuple(out)


def lessons(count: int = 4, seed: int = 1) -> list[CaseLesson]:
    """What they teach."""
    found = [lesson_of(shipped(), events) for events in walked(count, seed)]
    return [x for x in found if isinstance(x, CaseLesson)]
