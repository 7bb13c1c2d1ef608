"""Visits played from where a case stands, over what may be wrong there: minutes on site, tools taken out, who else is booked.

Sites are taken from the planning belief at even steps of its mass, so the same case gives the same visits; what each site answers
is drawn from the kb's own strengths with fixed seeds. Steps that two visits share are worked out once, by the walk's own choice.
"""

from collections.abc import Iterable

import numpy as np
from msgspec import Struct, structs

from ..advising.analysis import Analysis
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.network import Network
from .episode import Episode
from .simulator import MOST_STEPS, Steps, done
from .world import Installation, usual_facts

VISITS = 24
ON_SITE = ("fact", "check", "proof", "remedy")


class Visit(Struct, frozen=True):
    """One played visit of a technician: minutes on site, checks done there, whom it ended with, and whether it was solved."""

    minutes: float
    checks: tuple[str, ...]
    booked: str
    solved: bool


def arrival(analysis: Analysis) -> State:
    """Return the state with a technician just arrived: gates are asked anew, and what was given up is taken up again."""
    state = analysis.state
    if state.hands == "technician" and state.role == "technician" and state.closed is None:
        return state
    return step(analysis.network.kb, structs.replace(state, closed=None), Event(role="technician"))


def visits(analysis: Analysis, count: int = VISITS) -> list[Visit]:
    """Return played visits, each as likely as the others.

    Parameters
    ----------
    analysis : Analysis
        With a complaint that still stands.
    count : int
        How many [-].

    Examples
    --------
    >>> from dryfloor.engine.case.state import fold
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> kb = load_kb()
    >>> analysis = Analysis(network_of(kb), fold(kb, [Event(role="desk"), Event(complaints=["walks"])]))
    >>> [v.minutes > 0 for v in visits(analysis, 2)]
    [True, True]
    """
    start = arrival(analysis)
    steps = Steps(analysis.network)
    mass = np.cumsum(analysis.scenarios.weight)
    out = []
    for k in range(count):
        row = int(np.searchsorted(mass, (k + 0.5) / count * mass[-1], side="right"))
        out.append(_visit(analysis, start, _site(analysis, min(row, len(mass) - 1), k), steps))
    return out


def _site(analysis: Analysis, row: int, k: int) -> Installation:
    """Return a site of one scenario: its causes, what brings each standing complaint about, and facts that go with both."""
    network, listed, names = analysis.network, analysis.scenarios, analysis.evidence.causes
    seed = f"visit|{k}"
    at_work = [names[i] for i in np.flatnonzero(listed.present[row])]
    must = {names[i] for i in np.flatnonzero(listed.needs[row])}
    draw = Installation(seed, {}, frozenset(), {}).draw
    facts = usual_facts(network, at_work, seed)
    start = 0
    for fact, options in zip(analysis.evidence.facts.names, analysis.evidence.facts.options, strict=True):
        shares = np.cumsum(listed.by_fact[start : start + len(options), row])
        start += len(options)
        if shares[-1] > 0:
            at = int(np.searchsorted(shares, draw(f"fact|{fact}") * shares[-1], side="right"))
            facts[fact] = options[min(at, len(options) - 1)]
    facts |= dict(analysis.state.facts)
    origins = {c: frozenset(must & set(network.shown[f"complaint:{c}"])) for c in _standing(analysis.state)}
    return Installation(seed, facts, frozenset(at_work), origins)


def _standing(state: State) -> Iterable[str]:
    gone = dict(state.gone)
    return sorted(c for c in state.complaints if c not in gone)


def _visit(analysis: Analysis, state: State, installation: Installation, steps: Steps) -> Visit:
    """Play one visit until it is solved, handed on, or a trade is booked."""
    network: Network = analysis.network
    episode = Episode(network, installation, "technician", state.cleared)
    booked = ""
    for _ in range(MOST_STEPS):
        if state.closed:
            break
        found = steps.at(state)[0]
        if found is None or found.kind in ("hand-on", "stop"):
            booked = found.id if found and found.kind == "hand-on" else ""
            break
        for event in done(episode, found):
            state = step(network.kb, state, event)
    moves = [m for m in episode.outcome.moves if m.kind in ON_SITE]
    checks = tuple(dict.fromkeys(m.id for m in moves if m.kind in ("check", "proof")))
    return Visit(round(sum(m.minutes for m in moves), 6), checks, booked, state.closed == "solved")
