"""What has come of an attempt so far: its moves, the minutes they took, what is known, and what stands open."""

from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.network import Network
from ..exercises.site import Exercise, given
from ..simulation.episode import Episode
from .moves import Act, Brought


class Attempt:
    """An attempt at an installation; what can be done there is added by `Looking` and `Verdicts`.

    Parameters
    ----------
    network : Network
    exercise : Exercise
    knowing : bool
        Played by whoever knows what is at work: nothing is a guess.
    """

    def __init__(self, network: Network, exercise: Exercise, knowing: bool = False) -> None:
        self.network, self.kb, self.exercise = network, network.kb, exercise
        self.order = exercise.order
        self.episode = Episode(network, exercise.site, self.order.role)
        self.acts: list[Act] = []
        self.answers: list[Brought] = []
        self.events: list[Event] = []
        self.looked = 0.0
        self.ended = ""
        self.breach = ""
        self.knowing = knowing
        self.guesses: list[tuple[str, float]] = []  # what was named, with its chance by what was seen until then [prob]
        self.unsafe = ""  # a gate that was asked for, and is not safe
        self.secured: set[str] = set()  # cautions without a gate that were seen to
        self.unsecured: list[tuple[str, list[str]]] = []  # steps, and the cautions that were not seen to before them
        self.state = State()
        self._note(Event(role=self.order.role), Event(complaints=list(exercise.site.origins)))
        for fact in given(self.kb, exercise.site.facts):
            self._note(Event(fact=fact, is_=exercise.site.facts[fact]))
        self.states: list[State] = [self.state]

    @property
    def left(self) -> float:
        """Minutes that are left for looking [min]."""
        return max(0.0, round(self.order.minutes - self.looked, 6))

    @property
    def standing(self) -> list[str]:
        """The complaints that are still there."""
        return self.episode.left()

    def _note(self, *events: Event) -> None:
        for event in events:
            self.events.append(event)
            self.state = step(self.kb, self.state, event)

    def _pay(self, kind: str, name: str, title: str, said: str, minutes: float) -> None:
        self.looked = round(self.looked + minutes, 6)
        self.episode.pay(kind, name, title, said, minutes)
