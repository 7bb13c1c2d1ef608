"""The moves of a drill: what whoever looks for the fault may do, and what each brings."""

from typing import Literal

from ..advice import Frozen, Note

MoveKind = Literal["fact", "check", "safe", "verdict", "leave"]
SOUND = "sound"  # the verdict that nothing is wrong
MOST_MOVES = 200
TRADES: tuple[str, ...] = ("anyone", "technician", "plumber", "electrician")
LONGEST = 300  # letters of a sentence that is typed [-]


class Act(Frozen, frozen=True, kw_only=True, omit_defaults=True):
    """One move: a fact or a check by its id, a gate that is named safe, a verdict with all that goes with it, or leaving.

    Of a verdict: `id` is a cause or `sound`, `by` who is to mend, `rule` the broken rule or `none`, `limit` and `datum` as they were
    typed, `mend` and `sentence` free words.
    """

    kind: MoveKind
    id: str = ""
    by: str = ""
    rule: str = ""
    limit: str = ""
    datum: str = ""
    mend: str = ""
    sentence: str = ""


class Brought(Frozen, frozen=True, kw_only=True):
    """What a move brought: `kind` says which of these it is; minutes are those that it took [min].

    seen: an answer of the place; safe: a gate is cleared; unsafe: it is not safe, stop; not-yet, not-here, not-yours, senseless, no-time, again: nothing was done, for the
    reason in `text`; gate: the round is over; mended, still-there, left: what came of a verdict.
    """

    kind: str
    title: str
    text: str
    minutes: float = 0.0
    notes: tuple[Note, ...] = ()
