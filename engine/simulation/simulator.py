"""Play the advice at a made-up installation until the complaint is gone: what is asked, what is answered, what it all costs.

A site that is handed on goes on with the next role, as a case would; the last in the chain mends whatever is left. Two nets
are at play: the ledger's is what is true at the site, that of the steps is what is believed of it. They are one and the same
unless somebody asks what it costs to be wrong.
"""

from .. import model
from ..advice import Step
from ..advising import gates
from ..advising.analysis import Analysis
from ..advising.next_step import Policy, least_cost, next_step
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.network import Network
from ..planning import roles
from .episode import LAST, Episode, Outcome
from .world import Installation

MOST_STEPS = 120


class Steps:
    """The next step and the best explanation of a state, remembered: sites with the same complaint begin alike.

    Parameters
    ----------
    network : Network
        What is believed.
    policy : callable, optional
        From a belief and a view to a choice; the shipped one unless said.
    """

    def __init__(self, network: Network, policy: Policy = least_cost) -> None:
        self.network = network
        self.policy = policy
        self.known: dict[State, tuple[Step | None, str, float]] = {}

    def at(self, state: State) -> tuple[Step | None, str, float]:
        """Return the next step from a state, and the best explanation with its chance."""
        if state not in self.known:
            analysis = Analysis(self.network, state)
            found, _ = next_step(analysis, gates.raised(self.network.kb, state, []), self.policy)
            best = analysis.beliefs[0] if analysis.beliefs else None
            self.known[state] = (found, best.cause if best else "", best.p if best else 0.0)
        return self.known[state]


def play(network: Network, installation: Installation, role: model.Role, steps: Steps | None = None) -> Outcome:
    """Return how the advice does at a site.

    Parameters
    ----------
    network : Network
        What is true at the site.
    installation : Installation
    role : str
        Who is there at first.
    steps : Steps, optional
        What was worked out before, to be shared between sites, with what is believed and how it is chosen. By default
        the truth is believed, and the choice is the shipped one.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.simulation.world import installation_with
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> network = network_of(load_kb())
    >>> outcome = play(network, installation_with(network, ["hose-sealed-in-pipe"], "siphons"), "technician")
    >>> outcome.found or outcome.botched
    ['hose-sealed-in-pipe']
    """
    return played(network, installation, role, steps)[0]


def played(
    network: Network, installation: Installation, role: model.Role, steps: Steps | None = None
) -> tuple[Outcome, list[Event]]:
    """Return how the advice does at a site, and the case that it leaves: its events, to the proof or to the last in the chain.

    Parameters
    ----------
    network, installation, role, steps
        As `play` takes them.
    """
    episode = Episode(network, installation, role)
    steps = steps or Steps(network)
    kb = steps.network.kb
    state = State()
    events: list[Event] = []
    begin = [Event(role=role), Event(complaints=list(installation.origins))]
    for event in begin:
        state = step(kb, state, event)
    events += begin
    for _ in range(MOST_STEPS):
        if state.closed in ("solved", "on-trial"):
            break
        found, episode.outcome.believed, episode.outcome.p = steps.at(state)
        handing = found is not None and found.kind == "hand-on" and not booking(episode, found)
        if found is None or (handing and roles.role_card(kb, episode.role).hand_on_to == LAST):
            episode.last_resort()
            break
        for event in done(episode, found):
            state = step(kb, state, event)
            events.append(event)
    else:
        episode.clear_all()
        episode.last_resort()
    return episode.close(), events


def done(episode: Episode, found: Step) -> list[Event]:
    """Do one step at the site and return the events that it makes."""
    kb = episode.kb
    if found.kind == "gate":
        episode.clear(found.id)
        return [Event(cleared=found.id)]
    if found.kind == "fact" and found.id == "still-there":
        return [Event(still=episode.still())]
    if found.kind == "fact":
        return [Event(fact=found.id, is_=episode.told(found.id))]
    if found.proof and found.cause:
        return [_said("proof", kb.checks[found.id], episode.prove(found.cause))]
    if found.kind == "check":
        return [_said("check", kb.checks[found.id], episode.ask(kb.checks[found.id]))]
    if found.cause and (found.kind != "hand-on" or booking(episode, found)):
        before = episode.left()
        # Who is booked comes and is paid, whoever else may do it: the advice books what these hands could not end.
        episode.mend(found.cause, found.id if found.kind == "hand-on" else None)
        # Told how to tell what is healthy, people say that it is different where it is something else.
        other = kb.causes[found.cause].kind == "normal" and episode.left() == before
        return [Event(remedy=found.cause, did="could-not" if other else "done")]
    # Whatever trade is named where nothing was found, who comes and goes on looking is the next in the chain.
    role: model.Role = "technician"
    episode.call(role)
    return [Event(role=role)]


def booking(episode: Episode, found: Step) -> bool:
    """Return whether a hand-on books a trade for a fault: nobody comes twice for the same; after that somebody goes on looking."""
    return bool(found.cause) and found.cause not in episode.came


def _said(kind: str, check: model.Check, said: str) -> Event:
    value, answer = (said, None) if check.kind == "measure" else (None, said)
    if kind == "proof":
        return Event(proof=check.id, answer=answer, value=value)
    return Event(check=check.id, answer=answer, value=value)
