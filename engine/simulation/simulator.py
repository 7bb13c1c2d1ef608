"""Play a made-up site against the advice: what is asked there, what it answers, and what it all cost until the complaint is gone.

A site that is handed on goes on with the next role, as a case would; the last in the chain mends whatever is left. Two nets
are at play: the ledger's is what is true at the site, that of the steps is what is believed of it. They are one and the same
unless somebody asks what it costs to be wrong.
"""

from .. import model
from ..advice import Step
from ..advising import gates
from ..advising.analysis import Thought
from ..advising.next_step import Policy, least_cost, next_step
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.network import Net
from .episode import LAST, Game, Ledger
from .world import Site

MOST_STEPS = 120


class Steps:
    """The next step and the best explanation of a state, remembered: sites with the same complaint begin alike.

    Parameters
    ----------
    net : Net
        What is believed.
    policy : callable, optional
        From a belief and a view to a choice; the shipped one unless said.
    """

    def __init__(self, net: Net, policy: Policy = least_cost) -> None:
        self.net = net
        self.policy = policy
        self.known: dict[State, tuple[Step | None, str, float]] = {}

    def at(self, state: State) -> tuple[Step | None, str, float]:
        """Return the next step from a state, and the best explanation with its chance."""
        if state not in self.known:
            thought = Thought(self.net, state)
            found, _ = next_step(thought, gates.raised(self.net.kb, state, []), self.policy)
            best = thought.beliefs[0] if thought.beliefs else None
            self.known[state] = (found, best.cause if best else "", best.p if best else 0.0)
        return self.known[state]


def play(net: Net, site: Site, role: model.Role, steps: Steps | None = None) -> Game:
    """Return how the advice does at a site.

    Parameters
    ----------
    net : Net
        What is true at the site.
    site : Site
    role : str
        Who is there at first.
    steps : Steps, optional
        What was worked out before, to be shared between sites, with what is believed and how it is chosen. By default
        the truth is believed, and the choice is the shipped one.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.simulation.world import site_with
    >>> from dryfloor.engine.diagnosis.network import net_of
    >>> net = net_of(load_kb())
    >>> game = play(net, site_with(net, ["hose-sealed-in-pipe"], "siphons"), "technician")
    >>> game.found or game.botched
    ['hose-sealed-in-pipe']
    """
    ledger = Ledger(net, site, role)
    steps = steps or Steps(net)
    kb = steps.net.kb
    state = State()
    for event in (Event(role=role), Event(complaints=list(site.origins))):
        state = step(kb, state, event)
    for _ in range(MOST_STEPS):
        if state.closed in ("solved", "on-trial"):
            break
        found, ledger.game.believed, ledger.game.p = steps.at(state)
        if found is None or (found.kind == "hand-on" and found.id == LAST and not found.cause):
            ledger.last_resort()
            break
        for event in done(ledger, found):
            state = step(kb, state, event)
    else:
        ledger.clear_all()
        ledger.last_resort()
    return ledger.close()


def done(ledger: Ledger, found: Step) -> list[Event]:
    """Do one step at the site and return the events that it makes."""
    kb = ledger.kb
    if found.kind == "gate":
        ledger.clear(found.id)
        return [Event(cleared=found.id)]
    if found.kind == "fact" and found.id == "still-there":
        return [Event(still=ledger.still())]
    if found.kind == "fact":
        return [Event(fact=found.id, is_=ledger.told(found.id))]
    if found.proof and found.cause:
        return [_said("proof", kb.checks[found.id], ledger.prove(found.cause))]
    if found.kind == "check":
        return [_said("check", kb.checks[found.id], ledger.ask(kb.checks[found.id]))]
    if found.cause:
        ledger.mend(found.cause)
        return [Event(remedy=found.cause, did="done")]
    ledger.call(found.id)
    role: model.Role = "technician"
    return [Event(role=role)]


def _said(kind: str, check: model.Check, said: str) -> Event:
    value, answer = (said, None) if check.kind == "measure" else (None, said)
    if kind == "proof":
        return Event(proof=check.id, answer=answer, value=value)
    return Event(check=check.id, answer=answer, value=value)
