"""Later cases played again with the advice before and after: what each would have cost where only the numbers differ.

What somebody answered in a case is answered again. What nobody was asked there is drawn, the same for both, from the numbers that all cases
taught: the best that is known of it, and no more than that. A replay is a check beside the scores and decides nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import sqrt

from .. import model
from ..diagnosis.network import Network
from ..simulation.simulator import Steps, play
from ..simulation.world import Installation, usual_facts
from .lessons import CaseLesson
from .passing import SpoolPart

# So many later cases are played again, spread over all of them [-].
REPLAYED = 100
# Who begins: what a lesson keeps of a case does not say, and most begin on the phone.
ROLE: model.Role = "desk"


@dataclass(frozen=True)
class RecordedInstallation(Installation):
    """The place of a kept case: what was answered there is answered again, by the same hands and before anything was mended.

    Parameters
    ----------
    answered : dict
        Check and hands -> what was said.
    """

    answered: dict[tuple[str, str], str] = field(default_factory=dict)

    def answer(self, network: Network, check: model.Check, hands: str, cured: Iterable[str] = ()) -> str:
        """Return what a check comes out as: as it was said, else as it is drawn."""
        said = self.answered.get((check.id, hands)) if not [*cured] else None
        return said if said is not None else super().answer(network, check, hands, cured)


@dataclass(frozen=True)
class Replayed:
    """What some later cases cost, played again as judged and as learned.

    Parameters
    ----------
    cases : int
        [-]
    minutes, cost : tuple of float
        A case in the mean, before and after: minutes of whoever works; all that it costs, in minutes of a homeowner.
    less, error : float
        How much less it costs after, in the mean, with its standard error [homeowner minutes].
    """

    cases: int
    minutes: tuple[float, float]
    cost: tuple[float, float]
    less: float
    error: float


def place_of(network: Network, lesson: CaseLesson, seed: str) -> Installation | None:
    """Return the place of a case whose cause is known; None where nobody knows it, or it had several complaints.

    Parameters
    ----------
    network : Network
        From which is drawn what nobody was asked.
    lesson : CaseLesson
    seed : str
        Source of every draw.
    """
    begun = lesson.begun
    if lesson.truth is None or len(begun.complaints) != 1:
        return None
    causes = [lesson.truth] if lesson.truth else []
    return RecordedInstallation(
        seed=seed,
        facts=usual_facts(network, causes, seed) | dict(begun.facts),
        causes=frozenset(causes),
        origins={begun.complaints[0]: frozenset(causes)},
        answered={(a.check, a.hands): a.said for a in begun.answers if not a.proof},
    )


def chosen(later: SpoolPart, most: int = REPLAYED) -> list[CaseLesson]:
    """Return some of the later cases whose cause is known, spread over them."""
    every = max(1, later.cases // (4 * most))
    known = [x for n, x in enumerate(later.lessons()) if n % every == 0 and x.truth is not None]
    return known[:: max(1, len(known) // most)][:most]


def replayed(truth: Network, before: Network, after: Network, lessons: Sequence[CaseLesson]) -> Replayed:
    """Return what some cases cost with the advice before and after.

    Parameters
    ----------
    truth : Network
        By which is answered what nobody was asked.
    before, after : Network
        What the advice believes.
    lessons : sequence of CaseLesson
    """
    old, new = Steps(before), Steps(after)
    pairs = []
    for n, lesson in enumerate(lessons):
        site = place_of(truth, lesson, f"replay|{n}")
        if site is not None:
            pairs.append((play(truth, site, ROLE, old), play(truth, site, ROLE, new)))
    count = len(pairs)
    if not count:
        return Replayed(0, (0.0, 0.0), (0.0, 0.0), 0.0, 0.0)
    less = [a.cost - b.cost for a, b in pairs]
    mean = sum(less) / count
    spread = sqrt(sum((x - mean) ** 2 for x in less) / (count - 1)) if count > 1 else 0.0
    return Replayed(
        count,
        (sum(a.minutes for a, _ in pairs) / count, sum(b.minutes for _, b in pairs) / count),
        (sum(a.cost for a, _ in pairs) / count, sum(b.cost for _, b in pairs) / count),
        mean,
        spread / sqrt(count),
    )
