"""A technician's visits as a case's own times tell them, and held against what `bring` said before the first of them.

Nobody writes down when they came or left: a visit is told by when a technician's answers were kept.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from statistics import fmean, median

from .. import model
from ..advice import DIGITS, Frozen
from ..case.events import DEFAULT_HANDS, Event
from ..case.rows import leading
from ..case.state import State, fold
from ..errors import InvalidInputError
from .parts_and_trades import ENDED, TRADES
from .visit_plan import Bring, bring

# So long without an answer, and the technician had gone (judgement): longer than a wash on trial or a way to the shop for a part,
# shorter than from one day's last call to the next day's first.
PARTED = timedelta(hours=4)
# What `bring` says takes seconds to play; of more cases a sample is told.
MOST_PLAYED = 40
# What is done at the machine, and what only comes before it. Notes, closings and outcomes may be written at the office, days later.
WORK = (
    "heard",
    "complaints",
    "hazard",
    "fact",
    "cleared",
    "stopped",
    "check",
    "cant",
    "skip",
    "remedy",
    "proof",
    "still",
)
ARRIVAL = ("role", "hands", "resumed", "machine")
# Below this `bring` says no fewer minutes [min].
LEAST_SAID = 1.0

TimedCase = tuple[str, Sequence[Event], Sequence[str]]


class OnSite(Frozen, frozen=True, kw_only=True):
    """What visits took against what `bring` said of them, over `cases` of `of` that could be held against it.

    `said` and `taken` are minutes in the mean; said is the middle of the played visits. `ratio` is taken by said in the middle case, `over` and
    `under` count cases, `inside` those within the range that was said, 8 in 10 of visits. `called` is how many trades' work was expected, by the
    chances said; `came` the visits there were, `again` the cases with more than one.
    """

    cases: int
    of: int
    said: float
    taken: float
    ratio: float
    over: int
    under: int
    inside: int
    called: float
    came: int
    again: int


def visit_minutes(events: Sequence[Event], times: Sequence[str]) -> list[float]:
    """Return the minutes of each visit of a technician, from the first to the last event kept there.

    Parameters
    ----------
    events : sequence of Event
    times : sequence of str
        When each was kept, ISO 8601 with a zone; an empty text where that is not known.

    Returns
    -------
    list of float
        Minutes [min]; empty with no technician's work, or where one of its events has no time.

    Notes
    -----
    What was done before the first answer, the way there, and packing up are not in it.

    Examples
    --------
    >>> case = [Event(role="technician"), Event(check="rocks-by-hand", answer="rocks"), Event(check="foot-gap", value="2 mm")]
    >>> visit_minutes(case, ["2026-11-02T09:00:00Z", "2026-11-02T09:10:00Z", "2026-11-03T09:00:00Z"])
    [10.0, 0.0]
    """
    if len(times) != len(events):
        return []
    kept = []
    for n, hands in enumerate(_hands(events)):
        kind = leading(events[n])
        if hands == "technician" and kind in WORK + ARRIVAL:
            if not times[n]:
                return []
            kept.append((datetime.fromisoformat(times[n]), kind in WORK))
    stretches: list[list[tuple[datetime, bool]]] = []
    for one in sorted(kept):
        if not stretches or one[0] - stretches[-1][-1][0] >= PARTED:
            stretches.append([])
        stretches[-1].append(one)
    # A case that was only opened, at home or at the office, is no visit.
    worked = [s for s in stretches if any(work for _, work in s)]
    return [(s[-1][0] - s[0][0]) / timedelta(minutes=1) for s in worked]


def before_visit(events: Sequence[Event]) -> list[Event]:
    """Return a case as it stood before a technician's first event.

    Examples
    --------
    >>> before_visit([Event(role="desk"), Event(complaints=["walks"]), Event(role="technician")])[-1].complaints
    ['walks']
    """
    return [*events[: next((n for n, hands in enumerate(_hands(events)) if hands == "technician"), len(events))]]


def _hands(events: Sequence[Event]) -> Iterator[str]:
    """Yield by whose hands each event was."""
    hands: str = State().hands
    for event in events:
        if event.role or event.hands:
            hands = event.hands or DEFAULT_HANDS[event.role or "homeowner"]
        yield hands


def against_bring(
    kb: model.KB, cases: Iterable[TimedCase], told: Callable[[int, int], None] | None = None
) -> OnSite | None:
    """Return what visits took against what `bring` said of them before the first.

    Parameters
    ----------
    kb : KB
    cases : iterable of (str, sequence of Event, sequence of str)
        Closed cases: id, events, and when each was kept.
    told : callable, optional
        Is told before each case how many are done, of how many [-].

    Returns
    -------
    OnSite or None
        None where no case has both a complaint before a technician came and the times of the work there.

    Notes
    -----
    Of more than 40 cases, 40 at even steps of the order of their ids are taken: an id hangs on nothing in the case. A plumber or an
    electrician counts as a visit where it was written down that they found it out; other visits of theirs are in no case.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> against_bring(load_kb(), [("W9R3A8", [Event(role="desk"), Event(complaints=["walks"])], ["", ""])]) is None
    True
    """
    fit = sorted(
        ((name, events, taken) for name, events, times in cases if (taken := visit_minutes(events, times))),
        key=lambda case: case[0],
    )
    fit = [case for case in fit if _to_do(fold(kb, before_visit(case[1])))]
    taken_up = fit if len(fit) <= MOST_PLAYED else [fit[k * len(fit) // MOST_PLAYED] for k in range(MOST_PLAYED)]
    held = []
    for n, (_, events, taken) in enumerate(taken_up):
        if told:
            told(n, len(taken_up))
        if (plan := _said(kb, before_visit(events))) is not None and plan.minutes is not None:
            low, middle, high = plan.minutes.low, max(LEAST_SAID, plan.minutes.middle), plan.minutes.high
            called = sum(w.chance for w in plan.who if w.trade in TRADES)
            held.append(
                (middle, sum(taken), low <= sum(taken) <= high, called, len(taken), len(taken) + _others(kb, events))
            )
    if not held:
        return None
    said, took = [h[0] for h in held], [h[1] for h in held]
    return OnSite(
        cases=len(held),
        of=len(fit),
        said=round(fmean(said), DIGITS),
        taken=round(fmean(took), DIGITS),
        ratio=round(median(t / s for s, t in zip(said, took, strict=True)), DIGITS),
        over=sum(t > s for s, t in zip(said, took, strict=True)),
        under=sum(t < s for s, t in zip(said, took, strict=True)),
        inside=sum(h[2] for h in held),
        called=round(sum(h[3] for h in held), DIGITS),
        came=sum(h[5] for h in held),
        again=sum(h[4] > 1 for h in held),
    )


def _to_do(state: State) -> bool:
    """Return whether there was anything that `bring` could say."""
    return state.closed not in ENDED and any(c not in dict(state.gone) for c in state.complaints)


def _said(kb: model.KB, events: list[Event]) -> Bring | None:
    """Return what was said; None of a case in which too much hangs together."""
    try:
        return bring(kb, events)
    except InvalidInputError:
        return None


def _others(kb: model.KB, events: Sequence[Event]) -> int:
    """Return how many other trades found out what it was."""
    state = fold(kb, [*events])
    found = (*state.outcomes_before, *([state.outcome] if state.outcome else []))
    return len({f.by for f in found} - {"homeowner", "technician"})
