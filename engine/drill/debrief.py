"""The debrief of a round: the truth, the pupil's path beside ours and beside the best for those minutes, what was missed, the score."""

import threading
from functools import lru_cache

from .. import model
from ..advice import Frozen
from ..advising.wording import BY, whose
from ..diagnosis.network import Network
from ..exercises.order import Order
from ..exercises.site import Exercise, exercise
from ..measurement.formatting import READER
from ..simulation.simulator import Steps
from . import policies
from .marks import Mark, limit_asked, marks, missed_rules
from .moves import Act
from .round import Round, leaving
from .told import LEAST_BITS, Look, looks

_LOCK = threading.Lock()
MOST_MISSED = 3  # looks that are called missed
GUESSED = 0.5  # a verdict that had less of a chance when it was given is called a guess (judgement) [prob]
# What both faces say of a path.
LIKELY = (
    "Likely causes are those at least a fifth as likely as the likeliest."
    " Bits, in brackets, are for the trainer: 1 is the right one twice as likely, below 0 it led away."
)
BEST = (
    "Looked for afterwards, by who has the answer: the looks that make this fault 8 in 10 sure here in the fewest minutes."
    " Nobody could have known that list beforehand; our own way had to find out what to look for."
    " Who sees the fault itself, or its broken rule, may name it sooner: that is no guess."
)
HARD = "A hard place: our own way came to more here than leaving it at once does, which therefore is above 1."
KEPT = 64  # rounds of ours that are kept: a class plays the same few installations


class Alike(Frozen, frozen=True, kw_only=True):
    """What looks like a fault, and the tell."""

    title: str
    tell: str


class Truth(Frozen, frozen=True, kw_only=True):
    """One fault at work: the rule that it breaks with its limit, datum and whose it is, the mend and who does it, what looks like it."""

    cause: str
    title: str
    says: str
    sound: bool
    rule: str
    rule_id: str
    limit: str
    datum: str
    whose: str
    mend: str
    steps: list[str]
    by: str
    minutes: float
    hazards: list[str]
    alike: list[Alike]


class Danger(Frozen, frozen=True, kw_only=True):
    """What was not safe at the place: what to do now, and whom to call."""

    hazard: str
    title: str
    says: str
    do_now: list[str]
    call: str


class Path(Frozen, frozen=True, kw_only=True):
    """One way through the round: its looks, what was made sure of first [titles], its minutes, what was named, how it ended, what it came to [homeowner minutes], its score."""

    looks: list[Look]
    minutes: float
    named: list[str]
    ended: str
    cost: float
    score: float
    made_sure: list[str]


class Debrief(Frozen, frozen=True, kw_only=True):
    """All that is said at the end; `leaving` is what the callback costs where nobody finds it [homeowner minutes].

    `ours_missed` is what our own way did not find here either, as in `missed_rules`.
    """

    truth: list[Truth]
    score: float
    pupil: Path | None
    ours: Path
    best: Path
    knowing: float
    leaving: float
    marks: list[Mark]
    missed: list[str]
    ours_missed: list[str]
    danger: Danger | None = None


def prepare(network: Network, order: Order) -> None:
    """Work out beforehand what every debrief of an installation needs: our own round, and the shortest looks.

    One at a time: who asks for it while it is worked out waits for that; kept, since a class plays the same installations.
    """
    _ours_and_best(network, order)


def _ours_and_best(network: Network, order: Order) -> tuple[Round, list[Look]]:
    with _LOCK:
        return _worked_out(network, order, READER.get())


@lru_cache(KEPT)
def _worked_out(network: Network, order: Order, _reader: str) -> tuple[Round, list[Look]]:
    made = exercise(network, order)
    our = policies.ours(network, made, Steps(network))
    if made.unsafe:
        return our, []  # nothing is looked at there
    return our, policies.shortest([policies.best(network, made), looks(our)])


def debrief(network: Network, made: Exercise, game: Round | None) -> Debrief:
    """Return the debrief of a round; without one, the answer of the installation alone.

    Parameters
    ----------
    network : Network
    made : Exercise
    game : Round, optional
        Played to its end.
    """
    kb = network.kb
    our, best = _ours_and_best(network, made.order)
    our_cost = our.cost()
    known = policies.knowing(network, made)
    minutes = round(sum(x.minutes for x in best), 2)
    best_cost = round(known.cost() + minutes * known.episode.rate, 6)

    def scored(cost: float, breach: bool = False) -> float:
        return policies.score(network, made, cost, our_cost, breach)

    mine = _path(game, scored(game.cost(), game.ended == "gate")) if game else None
    return Debrief(
        truth=[_truth(network, made, known, c) for c in made.truth],
        score=mine.score if mine else 0.0,
        pupil=mine,
        ours=_path(our, scored(our_cost)),
        best=Path(
            looks=best,
            minutes=minutes,
            named=[] if made.unsafe else [kb.causes[c].title for c in made.truth],
            ended=known.ended,
            cost=best_cost,
            score=scored(best_cost),
            made_sure=_made_sure(known),
        ),
        knowing=scored(known.cost()),
        leaving=leaving(network, made),
        marks=[m for a in game.acts for m in _marks(game, a)] if game else [],
        missed=_missed(network, game, best) if game else [],
        ours_missed=missed_rules(our)[0],
        danger=_danger(kb, made.unsafe) if made.unsafe else None,
    )


def _danger(kb: model.KB, name: str) -> Danger:
    hazard = kb.hazards[name]
    gate = hazard.gate
    assert gate is not None  # only a gate can be found not safe
    return Danger(hazard=name, title=hazard.title, says=hazard.says, do_now=list(gate.do_now), call=gate.call)


def _marks(game: Round, act: Act) -> list[Mark]:
    if act.kind == "verdict":
        return marks(game, act)
    if act.kind == "leave" and act.sentence and game.unsafe:
        danger = _danger(game.kb, game.unsafe)
        return [Mark(about="now", given=act.sentence, right=None, own=" ".join([*danger.do_now, danger.call]))]
    return []


def _made_sure(game: Round) -> list[str]:
    return [r.title for r in game.answers if r.kind in ("safe", "unsafe")]


def _path(game: Round, score: float) -> Path:
    kb = game.kb
    named = [kb.causes[c].title if c in kb.causes else "Nothing is wrong" for c in game.named()]
    return Path(
        looks=looks(game),
        minutes=game.looked,
        named=named,
        ended=game.ended or "left",
        cost=game.cost(),
        score=score,
        made_sure=_made_sure(game),
    )


def _truth(network: Network, exercise: Exercise, known: Round, cause_id: str) -> Truth:
    kb = network.kb
    cause = kb.causes[cause_id]
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    remedy = cause.remedy
    return Truth(
        cause=cause.id,
        title=cause.title,
        says=cause.says,
        sound=cause.kind == "normal",
        rule=rule.title if rule else "",
        rule_id=rule.id if rule else "",
        limit=limit_asked(rule, cause.breaks.side) if rule and cause.breaks else "",
        datum=rule.of if rule else cause.why_no_rule or "",
        whose=whose(rule) if rule else "",
        mend=remedy.title,
        steps=list(remedy.steps),
        by=BY[known.right_by(cause_id)] if known.right_by(cause_id) != "anyone" else "anyone, the household too",
        minutes=remedy.minutes,
        hazards=[f"{kb.hazards[h].signal}  {kb.hazards[h].says}" for h in remedy.hazards],
        alike=[Alike(title=_alike(kb, m), tell=m.tell) for m in cause.mistaken_for],
    )


def _alike(kb: model.KB, one: model.Mistaken) -> str:
    return kb.causes[one.cause].title if one.cause else (one.healthy or "").capitalize()


def _missed(network: Network, game: Round, best: list[Look]) -> list[str]:
    """Return what was missed, in words: faults that nobody named, looks that tell them, a gate."""
    kb = network.kb
    out: list[str] = []
    if game.ended == "stopped":
        return out
    if game.exercise.unsafe and game.exercise.unsafe != game.breach:
        out.append(f"Not safe here, and to be stopped at: {kb.hazards[game.exercise.unsafe].title.lower()}.")
    if game.breach:
        out.append(f"Asked before the step: {kb.hazards[game.breach].title.lower()}.")
    for name, p in game.guesses:
        if p < GUESSED:
            title = kb.causes[name].title.lower() if name in kb.causes else "nothing is wrong"
            out.append(f"A guess when it was said: {title}. By what was seen until then {100 * p:.0f} in 100.")
    told: set[str] = set()
    for title, lacking in game.unsecured:
        new = [kb.hazards[h].title.lower() for h in lacking if h not in told]
        told.update(lacking)
        if new:
            out.append(f"Not made sure of before: {title}. {', '.join(new).capitalize()}.")
    named = set(game.named())
    sound_said = bool(named - set(kb.causes)) and game.ended == "solved"
    for cause in game.exercise.truth:
        if cause not in named and not sound_said:
            out.append(f"Not named: {kb.causes[cause].title.lower()}.")
    for wrong in dict.fromkeys(c for c in game.named() if c in kb.causes and c not in game.exercise.site.causes):
        out.append(f"A false alarm: {kb.causes[wrong].title.lower()}.")
    if game.ended == "solved" and all(p >= GUESSED for _, p in game.guesses):
        return out  # it was known: another look would have told nothing more
    done = {a.id for a, r in zip(game.acts, game.answers, strict=True) if a.kind == "check" and r.kind == "seen"}
    # The looks that carried it, in their order; what told next to nothing, or led away, was not missed.
    carried = sorted((x for x in best if x.bits >= LEAST_BITS), key=lambda x: (-x.bits, x.id))[:MOST_MISSED]
    for look in best:
        if look.id not in done and look in carried:
            out.append(f"A look that tells it: {look.title.lower()} ({look.minutes:g} min): {look.said}.")
    return out
