"""A cause tried on many made-up sites: how often the advice finds it, in how many minutes, and what is named instead.

The sites are drawn from the kb itself, so that this measures the advice under the kb's own judgements, and no real floor.
"""

from collections import Counter
from collections.abc import Iterable
from statistics import median

from .. import model
from ..advice import Frozen
from ..diagnosis.network import Network
from .episode import Outcome
from .simulator import Steps, play
from .world import installation_with

SITES = 20
NOTHING = "nothing"


class Attempts(Frozen, frozen=True, kw_only=True):
    """How some sites with the same causes went for one role.

    `found` counts the sites where somebody came to every cause; `by` says how often each role ended the search there, and
    `median_minutes` is of those sites [min], None where there are none. Of the others, `guessed` counts those where one of the causes was
    believed most and nobody came to mend it; `instead` is what else was believed most there, and `in_vain` what was mended anywhere and
    was not at work, each with its number of sites.
    """

    causes: list[str]
    role: str
    sites: int
    found: int
    median_minutes: float | None
    by: dict[str, int]
    guessed: int
    instead: dict[str, int]
    in_vain: dict[str, int]


def attempt(
    network: Network,
    causes: Iterable[str],
    role: model.Role,
    complaint: str | None = None,
    seed: int = 0,
    count: int = SITES,
    steps: Steps | None = None,
) -> Attempts:
    """Return how the advice does at some sites that have the same causes.

    Parameters
    ----------
    network : Network
    causes : iterable of str
        All of them are at work at each site.
    role : str
        Who is there at first.
    complaint : str, optional
        As for `installation_with`.
    seed : int
        Number of the first site; the others follow. 0 is the most usual site, the others are drawn [-].
    count : int
        How many sites [-].
    steps : Steps, optional
        What was worked out before, as for `play`.

    Raises
    ------
    InvalidInputError
        Where no such site can be.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> attempt(network_of(load_kb()), ["standpipe-too-low"], "technician", count=2).found
    2
    """
    names = [*dict.fromkeys(causes)]
    steps = steps or Steps(network)
    played = [play(network, installation_with(network, names, complaint, seed + i), role, steps) for i in range(count)]
    good = [o for o in played if found(o)]
    missed = [o for o in played if not found(o)]
    return Attempts(
        causes=names,
        role=role,
        sites=count,
        found=len(good),
        median_minutes=round(median(o.minutes for o in good), 1) if good else None,
        by=_counted(_finder(o) for o in good),
        guessed=sum(o.believed in o.causes for o in missed),
        instead=_counted(o.believed or NOTHING for o in missed if o.believed not in o.causes),
        in_vain=_counted(c for o in played for c in {m.id for m in o.moves if _mends(m.kind)} - {*o.causes}),
    )


def found(outcome: Outcome) -> bool:
    """Return whether somebody came to every cause of the complaint, whether or not the fix then held."""
    return not {*outcome.origins} - {*outcome.found, *outcome.botched}


def _mends(kind: str) -> bool:
    return kind in ("remedy", "book")


def _finder(outcome: Outcome) -> str:
    """Return the role that came to the last of the causes."""
    return [m.role for m in outcome.moves if _mends(m.kind) and m.id in outcome.origins][-1]


def _counted(names: Iterable[str]) -> dict[str, int]:
    """Return how often each name comes, the most frequent first, ties by name."""
    return dict(sorted(Counter(names).items(), key=lambda pair: (-pair[1], pair[0])))
