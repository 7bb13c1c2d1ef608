"""What one look told: how many likely causes it left, whether the right one is among them, and the bits that this is."""

from math import log2

from ..advice import Frozen
from ..advising.analysis import Analysis
from ..case.state import State
from ..diagnosis.network import Network
from .round import Round
from .verdicts import seen_itself

LEAST_P = 1e-4  # a chance below this counts as this: bits must not run away [-]
LEAST_BITS = 0.15  # a look that tells less told next to nothing (judgement) [bit]
LIKELY = 0.2  # likely is what has at least so much of the chance of the likeliest (judgement) [-]
MOST_TOLD = 60  # looks of a round that are worked out: each takes a posterior or two


class Known(Frozen, frozen=True, kw_only=True):
    """What was known at a moment: the chance of the truth [prob], how many causes were likely, and whether the truth was all among them.

    `itself`: what defines each of its causes, or the rule that it breaks, was seen; to name it then is no guess.
    """

    chance: float
    likely: int
    among: bool
    itself: bool = False


class Look(Frozen, frozen=True, kw_only=True):
    """What one look told: its chance of the truth before and after [prob], the bits that this is, the same in words, and its minutes [min]."""

    kind: str
    id: str
    title: str
    said: str
    minutes: float
    before: float
    after: float
    bits: float
    told: str


def belief(network: Network, state: State, truth: list[str]) -> Known:
    """Return what a state makes of the truth; its chance is the geometric mean of those of its causes.

    Parameters
    ----------
    network : Network
    state : State
    truth : list of str
        Causes.
    """
    by = {b.cause: b.p for b in Analysis(network, state).beliefs}
    chance = 1.0
    for cause in truth:
        chance *= max(by.get(cause, 0.0), LEAST_P) ** (1 / len(truth))
    top = max(by.values(), default=0.0)
    likely = {c for c, p in by.items() if p >= LIKELY * top}
    itself = bool(truth) and all(seen_itself(network, state, [cause]) for cause in truth)
    return Known(chance=round(chance, 6), likely=len(likely), among={*truth} <= likely, itself=itself)


def chances(game: Round, at: int) -> Known:
    """Return what was known after so many moves of the causes at work that were not named until then."""
    named = {a.id for a in game.acts[:at] if a.kind == "verdict"}
    left = [c for c in game.exercise.truth if c not in named]
    return belief(game.network, game.states[at], left or game.exercise.truth)


def looks(game: Round) -> list[Look]:
    """Return what each look of a round told, in order; at most MOST_TOLD of them, the first ones."""
    out: list[Look] = []
    before: Known | None = None
    for n, (act, answer) in enumerate(zip(game.acts, game.answers, strict=True)):
        if answer.kind == "seen" and len(out) < MOST_TOLD:
            before = chances(game, n) if before is None else before
            after = chances(game, n + 1)
            out.append(look(act.kind, act.id, answer.title, answer.text, answer.minutes, before, after))
            before = after
        elif act.kind == "verdict":
            before = None  # what was mended changes what is left to be found
    return out


def look(kind: str, name: str, title: str, said: str, minutes: float, before: Known, after: Known) -> Look:
    """Return a look with what it told between two moments."""
    bits = round(log2(max(after.chance, LEAST_P) / max(before.chance, LEAST_P)), 2)
    return Look(
        kind=kind,
        id=name,
        title=title,
        said=said,
        minutes=minutes,
        before=before.chance,
        after=after.chance,
        bits=bits,
        told=in_words(before, after, bits),
    )


def in_words(before: Known, after: Known, bits: float) -> str:
    """Return what a look told, in words.

    Examples
    --------
    >>> seen = Known(chance=0.9, likely=1, among=True, itself=True)
    >>> in_words(Known(chance=0.2, likely=4, among=True), seen, 2.17)
    'showed the fault itself: from 4 likely causes to 1, the right one'
    >>> in_words(Known(chance=0.2, likely=4, among=True), Known(chance=0.9, likely=1, among=True), 2.17)
    'took it from 4 likely causes to 1, the right one'
    >>> in_words(Known(chance=0.2, likely=4, among=True), Known(chance=0.2, likely=4, among=True), 0.0)
    'told next to nothing: 4 likely causes before and after'
    >>> in_words(Known(chance=0.2, likely=4, among=True), Known(chance=0.02, likely=2, among=False), -3.32)
    'led away: from 4 likely causes to 2, the right one no longer among them'
    """
    causes = "1 likely cause" if before.likely == 1 else f"{before.likely} likely causes"
    shown = after.itself and not before.itself
    if not shown and abs(bits) < LEAST_BITS and before.likely == after.likely:
        return f"told next to nothing: {causes} before and after"
    if after.likely == 1 and after.among:
        last = "the right one"
    elif after.among:
        last = "the right one among them"
    else:
        last = "the right one no longer among them" if before.among else "the right one not yet among them"
    if shown and before.likely == after.likely:
        return f"showed the fault itself: {causes} before and after, {last}"
    if before.likely == after.likely:
        way = f"left {causes}" if bits > 0 else f"led away: left {causes}"
        chance = "likelier" if bits > 0 else "less likely"
        return f"{way}, the right one {chance}"
    way = f"from {causes} to {after.likely}"
    if shown:
        return f"showed the fault itself: {way}, {last}"
    return f"led away: {way}, {last}" if bits <= -LEAST_BITS else f"took it {way}, {last}"
