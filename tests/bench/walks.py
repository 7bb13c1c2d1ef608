"""Walks at made-up sites: what each answer costs until the next card, in this process and as somebody at the program meets it."""

import gc
from collections.abc import Iterator
from time import perf_counter

from msgspec import Struct

from dryfloor.cli.walk.prefetch import Prefetch
from dryfloor.engine import model
from dryfloor.engine.advice import Advice
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from dryfloor.engine.diagnosis import network
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.inference import elimination
from dryfloor.engine.simulation import simulator
from dryfloor.engine.simulation.episode import Episode
from dryfloor.engine.simulation.world import Installation, installations_of

ROLES: tuple[model.Role, ...] = ("homeowner", "desk", "technician")
MOST_STEPS = 60
SEED = 6


class Walked(Struct):
    """One walk: who, of what, the events in order, and how long each advice took [s]."""

    role: model.Role
    complaint: str
    events: list[Event]
    times: list[float]


def forget(kb: model.KB) -> Network:
    """Forget all that earlier walks worked out, and return the compiled kb as a program has it that has just started."""
    network._nets.clear()
    elimination.buckets.cache_clear()
    return network.network_of(kb)


def installations(network: Network, count: int) -> Iterator[tuple[model.Role, str, Installation]]:
    """Return made-up sites for every complaint and role, drawn from the kb's own model."""
    for complaint, drawn in installations_of(network, network.kb.complaints, count, SEED).items():
        for role in ROLES:
            for installation in drawn:
                yield role, complaint, installation


def walk(kb: model.KB, role: model.Role, complaint: str, installation: Installation) -> Walked:
    """Return a walk at a site, from a cold start to its end, every answer being what the site says."""
    network = forget(kb)
    episode = Episode(network, installation, role)
    out = Walked(role, complaint, [Event(role=role), Event(complaints=[complaint])], [])
    gc.collect()
    for _ in range(MOST_STEPS):
        start = perf_counter()
        advice = advise(kb, out.events)
        out.times.append(perf_counter() - start)
        more = following(episode, advice)
        if not more:
            break
        out.events += more
    return out


def foreseen(kb: model.KB, walked: Walked) -> tuple[list[float], list[float]]:
    """Return how long each answer of a walk waits for its card where the person read the one before [s].

    The first list is of answers that a card offers, which were worked out while it was read; the second of typed values and
    whatever else can't be foreseen.
    """
    forget(kb)
    prefetch = Prefetch(kb, True)
    events = walked.events[:2]
    advice = prefetch.advise(events)
    ahead: list[float] = []
    not_ahead: list[float] = []
    gc.collect()
    for event in walked.events[2:]:
        known = set()
        if advice.card is not None and advice.next is not None:
            prefetch.look(events, advice.card, advice.next.proof)
            known = prefetch.wait()
            said = interpret(kb, advice.card, typed(kb, event), advice.next.proof).event
            events = [*events, said or event]
        else:
            events = [*events, event]
        start = perf_counter()
        advice = prefetch.advise(events)
        (ahead if prefetch.key(events) in known else not_ahead).append(perf_counter() - start)
    prefetch.close()
    return ahead, not_ahead


def following(episode: Episode, advice: Advice) -> list[Event]:
    """Return what a person at the site answers to a card; nothing where the walk is over for this role."""
    step = advice.next
    return [] if step is None or step.kind in ("hand-on", "stop") else simulator.done(episode, step)


def typed(kb: model.KB, event: Event) -> str:
    """Return the line that somebody types to say an event at its card."""
    gate = kb.hazards[event.cleared].gate if event.cleared else None
    if gate:
        return gate.word
    if event.still is not None:
        return event.still[0] if event.still else "none"
    return event.is_ or event.answer or event.value or event.did or ""
