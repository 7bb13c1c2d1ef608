"""Who else plays a drill: our own policy, and whoever knows the fault, both through the pupil's door."""

from .. import model
from ..advice import Step
from ..advising.analysis import Analysis
from ..case.events import Event
from ..case.state import step
from ..diagnosis.network import Network
from ..exercises.site import Exercise
from ..planning import roles
from ..simulation.episode import LAST
from ..simulation.simulator import MOST_STEPS, Steps
from .moves import SOUND, Act, Brought
from .round import Round, leaving
from .told import LEAST_BITS, Known, Look, belief, chances, look

SURE = 0.8  # from here on the fault is told from what looks like it (judgement) [-]
MOST_LOOKS = 5  # of the best looks for the minutes
LOWEST, HIGHEST = -1.0, 2.0  # of a score [-]
AT_A_GATE = (
    -2.0
)  # the floor of the scale: whoever began a step over an open gate has it, whatever was avoided (judgement) [-]
MOST_TRIED = 40  # checks that are tried for each of them


def ours(network: Network, exercise: Exercise, steps: Steps | None = None) -> Round:
    """Return the round that our own policy plays.

    It looks as the walk would, and gives a verdict where the walk would mend or book; where its minutes end first, it names what it
    believes in most if that pays, else it leaves.

    Parameters
    ----------
    network : Network
    exercise : Exercise
    steps : Steps, optional
        What was worked out before; to be shared between rounds.
    """
    game = Round(network, exercise)
    steps = steps or Steps(network)
    for _ in range(MOST_STEPS):
        if game.ended:
            return game
        found = None if game.state.closed else steps.at(game.state)[0]
        act = _act(game, found)
        answer = _done(game, act)
        if answer.kind not in ("seen", "safe", "still-there", "mended", "left", "gate"):
            _done(game, _best_guess(game))
    if not game.ended:
        game.do(Act(kind="leave"))
    return game


def _done(game: Round, act: Act) -> Brought:
    """Do a move, before a verdict all that its mend waits for; where that is not safe, stop."""
    for name in game.mend_gates(act) if act.kind == "verdict" else []:
        if game.do(Act(kind="safe", id=name)).kind == "unsafe":
            return game.do(Act(kind="leave"))
    answer = game.do(act)
    return game.do(Act(kind="leave")) if answer.kind == "unsafe" else answer


def _act(game: Round, found: Step | None) -> Act:
    """Return the move that a step of the walk is in a drill."""
    if found is None or found.kind == "stop":
        return _best_guess(game) if game.standing else Act(kind="leave")
    if found.kind == "gate":
        return Act(kind="safe", id=found.id)
    if found.cause and not found.proof and found.cause not in game.named():
        return verdict(game, found.cause)
    if found.kind == "fact":
        return Act(kind="fact", id=found.id)
    if found.kind == "check":
        return Act(kind="check", id=found.id)
    if found.kind == "hand-on" and found.id != LAST:
        return _best_guess(game)
    return Act(kind="leave")


def _best_guess(game: Round) -> Act:
    """Return the verdict that pays most where no more is looked at, or leaving."""
    analysis = Analysis(game.network, game.state)
    kb = game.kb
    fee = roles.role_card(kb, "technician").hand_on_fee.n
    for likeliest in analysis.beliefs[:1]:
        remedy = kb.causes[likeliest.cause].remedy
        price = remedy.minutes * game.episode.rate
        if game.right_by(likeliest.cause) in ("plumber", "electrician"):
            trade = roles.trade_card(kb, game.right_by(likeliest.cause))
            price = trade.fee.n + remedy.minutes * trade.per_minute.n
        if likeliest.p * fee > price and likeliest.cause not in game.named():
            return verdict(game, likeliest.cause)
    return Act(kind="leave")


def verdict(game: Round, cause_id: str) -> Act:
    """Return the whole verdict of a cause, as the kb has it."""
    kb = game.kb
    cause = kb.causes[cause_id]
    return Act(
        kind="verdict",
        id=cause_id,
        by=game.right_by(cause_id),
        rule=cause.breaks.rule if cause.breaks else "none",
        mend=cause.remedy.title,
        sentence=cause.says,
    )


def knowing(network: Network, exercise: Exercise) -> Round:
    """Return the round of somebody who knows at once what is at work: what must be safe, verdicts, and nothing else."""
    game = Round(network, exercise, knowing=True)
    if exercise.unsafe:
        _done(game, Act(kind="safe", id=exercise.unsafe))
    for cause in exercise.truth:
        if game.ended:
            break
        healthy = network.kb.causes[cause].kind == "normal" and len(exercise.truth) == 1
        _done(game, Act(kind="verdict", id=SOUND) if healthy else verdict(game, cause))
    if not game.ended:
        game.do(Act(kind="leave"))
    return game


def score(network: Network, exercise: Exercise, cost: float, our_cost: float, breach: bool = False) -> float:
    """Return a score: callback cost avoided, as a share of what our own policy avoids at the same place [-].

    Where ours avoids less than a quarter of what the callback costs, the difference to ours is counted in quarters instead: ours stays
    1, and nobody is measured by a share of next to nothing. It ends at LOWEST and HIGHEST: one place must not decide an exercise. No
    price is put on a life: a round that ended at an open gate is AT_A_GATE, below all else.

    Parameters
    ----------
    network : Network
    exercise : Exercise
    cost, our_cost : float
        Of the round, and of ours: looks, mends, trades that were not needed, and what others must do after it [homeowner minutes].
    breach : bool
        The round ended at a gate.
    """
    if breach:
        return AT_A_GATE
    base = leaving(network, exercise)
    avoided, by_us = base - cost, base - our_cost
    return round(max(LOWEST, min(HIGHEST, 1 + (avoided - by_us) / max(by_us, base / 4))), 3) + 0.0


def best(network: Network, exercise: Exercise) -> list[Look]:
    """Return the looks that tell the truth soonest at this place, known afterwards: the better of greedy by bits a minute and the one best.

    Parameters
    ----------
    network : Network
    exercise : Exercise
        Its minutes bound what the looks take together.
    """
    kb = network.kb
    game = Round(network, exercise)
    names = [c for c in network.checks_for(exercise.truth) if not kb.checks[c].only_proof]
    own = {c for t in exercise.truth for c in own_checks(kb, t)}
    names = sorted(names, key=lambda c: (c not in own, c))[:MOST_TRIED]
    out: list[Look] = []
    before = chances(game, 0)
    single: Look | None = None
    for turn in range(MOST_LOOKS):
        if before.chance >= SURE:
            break
        tried = [x for x in (_tried(game, kb.checks[c], before) for c in names if c not in {o.id for o in out}) if x]
        gains = [x for x in tried if x.bits >= LEAST_BITS]
        if turn == 0 and gains:
            single = max(gains, key=lambda x: (x.after, -x.minutes, x.id))
        if not gains:
            break
        chosen = max(gains, key=lambda x: (round(x.bits / max(x.minutes, 0.1), 6), x.id))
        # Known afterwards, every gate is clear; what that takes is the same for every way of looking.
        game.episode.cleared.update(h.id for h in kb.hazards.values() if h.gate)
        game.do(Act(kind="check", id=chosen.id))
        out.append(chosen)
        before = chances(game, len(game.acts))
    return shortest([out, [single] if single else []])


def shortest(ways: list[list[Look]]) -> list[Look]:
    """Return the way of looking that tells the truth in the fewest minutes; where none does, the one that comes nearest to it.

    Examples
    --------
    >>> def way(after, minutes):
    ...     return [Look(kind="check", id="x", title="X", said="so", minutes=minutes, before=0.1, after=after, bits=1.0, told="")]
    >>> shortest([way(0.9, 4.0), way(0.85, 2.0), way(0.3, 1.0), []])[0].minutes
    2.0
    """
    told = [w for w in ways if w]
    sure = [w for w in told if w[-1].after >= SURE]
    if sure:
        return min(sure, key=lambda w: (round(sum(x.minutes for x in w), 6), -w[-1].after))
    return max(told, key=lambda w: w[-1].after, default=[])


def own_checks(kb: model.KB, cause_id: str) -> list[str]:
    """Return the checks that look at what defines a cause, and at the rule that it breaks."""
    look = kb.causes[cause_id].defines
    breaks = kb.causes[cause_id].breaks
    wanted = {breaks.rule} if breaks else set()
    if look and look.rule:
        wanted.add(look.rule)
    return [*([look.check] if look and look.check else []), *(c.id for c in kb.checks.values() if c.rule in wanted)]


def _tried(game: Round, check: model.Check, before: Known) -> Look | None:
    """Return what a check would tell now; None where it can't be done, or takes longer than is left."""
    if game.refused(check):
        return None
    minutes = roles.check_minutes(check, game.episode.hands)
    if minutes > game.left:
        return None
    said = game.exercise.site.answer(game.network, check, game.episode.hands)
    value, chosen = (said, None) if check.kind == "measure" else (None, said)
    state = step(game.kb, game.state, Event(check=check.id, answer=chosen, value=value))
    text = check.answers[said].says if chosen else game.read_off(check, said)
    after = belief(game.network, state, game.exercise.truth)
    return look("check", check.id, check.title, text, minutes, before, after)
