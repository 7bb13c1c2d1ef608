"""A round of a drill: the moves of whoever looks for the fault, what each costs, and what comes of it.

A round is a fold over its moves, as a case is over its events: the same exercise and the same moves are the same round. Our own
policy goes through the same door and pays the same prices.
"""

from ..diagnosis.network import Network
from ..errors import cut
from ..exercises.site import Exercise
from ..simulation.episode import Episode
from .looking import Looking
from .moves import MOST_MOVES, SOUND, Act, Brought
from .verdicts import Verdicts

UNSTOPPED = 2.0  # times what a callback costs, where a danger was not found or not said (judgement) [-]


class Round(Looking, Verdicts):
    """One round.

    Parameters
    ----------
    network : Network
    exercise : Exercise
    knowing : bool
        Played by whoever knows what is at work: nothing is a guess.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.exercises.order import Order
    >>> from dryfloor.engine.exercises.site import exercise
    >>> network = network_of(load_kb())
    >>> game = Round(network, exercise(network, Order(seed=7, fault="standpipe-too-low")))
    >>> game.do(Act(kind="check", id="standpipe-height")).kind
    'gate'
    >>> game.ended
    'gate'
    """

    def do(self, act: Act) -> Brought:
        """Do a move and return what it brought.

        Raises
        ------
        ValueError
            Once the round is over, after MOST_MOVES, or for an id that is not of the kb.
        """
        if self.ended or len(self.acts) >= MOST_MOVES:
            raise ValueError("the round is over")
        answer = self._do(act)
        self.acts.append(act)
        self.answers.append(answer)
        self.states.append(self.state)
        return answer

    def _do(self, act: Act) -> Brought:
        kb = self.kb
        known = {"fact": {*kb.facts}, "check": {*kb.checks}, "safe": {*kb.hazards}, "verdict": {*kb.causes, SOUND}}
        if act.kind in known and act.id not in known[act.kind]:
            raise ValueError(f"no {act.kind} '{cut(act.id, 40)}' in the kb")
        if act.kind == "fact":
            return self._fact(act.id)
        if act.kind == "check":
            return self._check(kb.checks[act.id])
        if act.kind == "safe":
            return self._safe(act.id)
        if act.kind == "verdict":
            cleared, raised = set(self.episode.cleared), list(self.episode.raised)
            answer = self._verdict(act)
            # Whoever mended saw to their own gates: those in front of the pupil are as they were.
            self.episode.cleared, self.episode.raised = cleared, raised
            return answer
        if self.unsafe:
            return self._leave("You stop there, and that is right: it is not safe.", "stopped")
        return self._leave("You leave it to others.")

    def cost(self) -> float:
        """Return what the round came to, with what others must still do where it was not mended [homeowner minutes]."""
        others = 0.0
        if self.episode.left():
            others = leaving(self.network, self.exercise, self.episode.cured)
            if self.ended == "stopped":
                others /= UNSTOPPED
        return round(self.episode.outcome.cost + others, 6)

    def named(self) -> list[str]:
        """Return the causes that were named in verdicts, in order."""
        return [a.id for a in self.acts if a.kind == "verdict"]


def leaving(network: Network, exercise: Exercise, cured: set[str] | frozenset[str] = frozenset()) -> float:
    """Return what the callback costs if it is left to whoever comes last and mends whatever is left [homeowner minutes].

    A healthy behaviour that nobody explains costs that visit, too: they ring again. Where a gate is not safe and nobody says so, it costs
    UNSTOPPED times as much: the danger goes on, and whoever comes is sent into it.
    """
    episode = Episode(network, exercise.site, exercise.order.role)
    episode.cured = set(cured)
    episode.clear_all()
    episode.last_resort()
    return episode.outcome.cost * (UNSTOPPED if exercise.unsafe else 1.0)
