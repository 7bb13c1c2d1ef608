"""What each role may do, with whose hands, and what a minute of theirs costs."""

from .. import model
from ..case.state import Answered, State
from ..diagnosis.network import Network
from ..diagnosis.signs import RANK, known, seen_otherwise, told
from ..knowledge import graph
from ..model import covered, holds

ALLOWED: dict[str, tuple[str, ...]] = {"homeowner": ("anyone",), "technician": ("anyone", "technician")}
DEFAULT_ROLE: model.Role = "technician"
# What takes time and is no check of the kb, timed by nobody: judgement, by reading the card aloud and answering it [minutes].
GATE_MINUTES = 0.2  # a gate: one question, one word
COMPLAINT_MINUTES = 0.5  # saying what is wrong
SPOKEN_MINUTES = 0.3  # saying what one knows: which complaint is left, a fact without minutes for these hands
# A check that is shown to hands for which the kb has no minutes: another's answer read again, a proof that is somebody else's
# (judgement) [minutes].
OTHERS_MINUTES = 1.0


def default_hands(role: str) -> model.Hands:
    """Return whose hands are at the machine unless somebody says otherwise: a desk has a caller there."""
    return "technician" if role == "technician" else "homeowner"


def role_card(kb: model.KB, role: str) -> model.RoleCard:
    """Return the card of a role."""
    return next(r for r in kb.roles.roles if r.id == role)


def trade_card(kb: model.KB, trade: str) -> model.TradeCard:
    """Return the card of a trade."""
    return next(t for t in kb.roles.trades if t.id == trade)


def minute_price(kb: model.KB, role: str, hands: str) -> float:
    """Return what a minute costs: of the hands that are busy, and of the ears beside them [homeowner minutes]."""
    busy = role_card(kb, role).per_minute.n
    return busy if role == hands else busy + role_card(kb, hands).per_minute.n


def minutes_of(minutes: model.Minutes, hands: str) -> float | None:
    """Return how long some hands take, or None where they can't do it [minutes]."""
    return minutes.homeowner if hands == "homeowner" else minutes.technician


def check_minutes(check: model.Check, hands: str) -> float:
    """Return how long some hands take for a check that they may do [minutes].

    Parameters
    ----------
    check : Check
    hands : str

    Raises
    ------
    ValueError
        If the kb has no minutes for these hands: they can't do it, so it must not have been offered to them.
    """
    minutes = minutes_of(check.minutes, hands)
    if minutes is None:
        raise ValueError(f"'{check.id}' has no minutes for the {hands}'s hands; expected a check that they may do")
    return minutes


def fact_minutes(fact: model.Fact, hands: str) -> float:
    """Return how long it takes to say a fact; anybody can say one, so hands without minutes of their own need SPOKEN_MINUTES [minutes]."""
    return minutes_of(fact.minutes, hands) or SPOKEN_MINUTES


def shown_minutes(record: model.Fact | model.Check, hands: str) -> float:
    """Return the minutes on a card that is shown out of turn, maybe to hands that can't do it: then OTHERS_MINUTES [minutes]."""
    return minutes_of(record.minutes, hands) or OTHERS_MINUTES


def voice(voices: model.Voices, role: str, hands: str) -> str:
    """Return the question in the voice of who asks: the desk reads aloud, a technician with a caller does so too."""
    if role == "technician" and hands == "technician":
        return voices.technician or voices.homeowner or voices.desk or ""
    if role == "homeowner":
        return voices.homeowner or voices.desk or voices.technician or ""
    return voices.desk or voices.homeowner or voices.technician or ""


def permitted(kb: model.KB, check: model.Check, hands: str) -> bool:
    """Return whether some hands may do a check: they have minutes for it, and no hazard forbids them."""
    return minutes_of(check.minutes, hands) is not None and not any(hands in kb.hazards[h].never for h in check.hazards)


def unsettled(remedy: model.Remedy, state: State) -> list[str]:
    """Return the facts that decide whose work a remedy is and that nobody was asked yet."""
    asked = {*dict(state.facts), *dict(state.passed_over)}
    return sorted({f for other in remedy.by_where for f in other.when} - asked)


def people(kb: model.KB, remedy: model.Remedy) -> int:
    """Return how many people a remedy takes.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> people(kb, kb.causes["hose-sealed-in-pipe"].remedy), people(kb, kb.causes["fill-hose-pinched"].remedy)
    (1, 2)
    """
    return max([remedy.people, *(kb.hazards[h].people for h in remedy.hazards)])


def work_of(remedy: model.Remedy, state: State | None) -> model.Trade:
    """Return whose work a remedy is in a case; what nobody could tell counts as if it were so.

    Parameters
    ----------
    remedy : Remedy
    state : State, optional
        The case; without one, and before the deciding facts were asked, it is the usual trade's.
    """
    if state is not None and not unsettled(remedy, state):
        known = dict(state.facts)
        for other in remedy.by_where:
            if holds(other.when, known):
                return other.by
    return remedy.by


def may_mend(kb: model.KB, remedy: model.Remedy, hands: str, state: State | None = None) -> bool:
    """Return whether some hands may do a remedy, in a case where facts can take it out of them."""
    # A hazard that `by_where` covers is not met by the hands that are left; `kb check` sees to that.
    barred = any(hands in kb.hazards[h].never and not covered(kb.hazards[h], remedy) for h in remedy.hazards)
    return work_of(remedy, state) in ALLOWED[hands] and not barred


def open_checks(network: Network, state: State, causes: list[str], hands: str) -> list[model.Check]:
    """Return the checks that these hands may still do about some causes, in id order; what was said is not asked again."""
    done = {a.check for a in state.answers if not a.proof} | {*said_by_complaints(network.kb, state)}
    checks = (network.kb.checks[name] for name in network.checks_for(causes) if name not in done)
    reports = told(network, state)
    return [
        c
        for c in checks
        if not c.only_proof
        and askable(network, state, c, hands)
        and not known(network, reports, c.id, hands, state.epoch)
    ]


def askable(network: Network, state: State, check: model.Check, hands: str) -> bool:
    """Return whether these hands can be asked for a check: theirs to do, not passed over, and so is all that comes before it."""
    passed = dict(state.passed_over) if hands == state.hands else {}
    if check.id in passed or not permitted(network.kb, check, hands) or not holds(check.when, dict(state.facts)):
        return False
    if senseless(network, state, check):
        return False
    seen = [(_seen(network, state, only), network.kb.checks[only.check]) for only in check.only_if]
    return all(
        status == "met" or (status == "open" and askable(network, state, first, hands)) for status, first in seen
    )


def senseless(network: Network, state: State, record: model.Check | model.Fact) -> bool:
    """Return whether what was complained of, said and seen since the last remedy makes a question senseless.

    Parameters
    ----------
    network : Network
    state : State
    record : Check or Fact
        With `unless`: a dead machine makes no noise, and where nothing was heard to bang nobody is asked where.
    """
    return any(_holds(network, state, one) for one in record.unless)


def _holds(network: Network, state: State, one: model.Unless) -> bool:
    known = dict(state.facts)
    standing = {c for c in state.complaints if c not in dict(state.gone)}
    return (
        (not one.complaints or (bool(standing) and standing <= {*one.complaints}))
        and all(f in known for f in one.facts)
        and holds(one.facts, known)
        and all(
            _seen(network, state, model.OnlyIf(check=check, answer=answer, side=_side(answer)), state.epoch) == "met"
            or seen_otherwise(network, state, check, answer)
            for check, answer in one.answers.items()
        )
    )


def _side(answer: str) -> model.Side | None:
    return "below" if answer == "below" else "above" if answer == "above" else None


def said_by_complaints(kb: model.KB, state: State) -> dict[str, str]:
    """Return check -> answer for what the complaints that stand say by themselves: it is known, and weighs nothing of its own.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> said_by_complaints(load_kb(), State(complaints=("no-drain",)))["drum-emptied"]
    'stands'
    """
    out: dict[str, str] = {}
    for name in state.complaints:
        if name not in dict(state.gone) and name in kb.complaints:
            for check, answer in kb.complaints[name].tells.answers.items():
                out.setdefault(check, answer)
    return out


def waits_for(network: Network, state: State, check: model.Check) -> tuple[str, model.OnlyIf | None]:
    """Return 'met', 'open' or 'refuted' for all that must be seen before a check, with the first that is not met."""
    open_one = None
    for only in check.only_if:
        status = _seen(network, state, only)
        if status == "refuted":
            return status, only
        if status == "open" and open_one is None:
            open_one = only
    return ("open", open_one) if open_one else ("met", None)


def denied(network: Network, state: State, cause: model.Cause) -> bool:
    """Return whether the look that defines a cause was made by these hands, or better ones, and came out otherwise.

    Parameters
    ----------
    network : Network
    state : State
    cause : Cause
        One without a defining look is never denied: nothing that can be seen rules it out; what is healthy is, by the person's no.
    """
    if cause.kind == "normal" and any(t.cause == cause.id and t.did == "could-not" for t in state.remedies):
        # Whoever was told how it looks when all is well said that it is not so here.
        return True
    # Of these hands, or better ones.
    able = [a for a in state.answers if a.hands == "technician" or state.hands == "homeowner"]
    return _denied_by(network, able, cause) is not None


def doubted(network: Network, state: State, cause: model.Cause) -> bool:
    """Return whether the look that defines a cause came out otherwise, by whatever hands and whenever; never of what is healthy.

    Parameters
    ----------
    network : Network
    state : State
    cause : Cause
    """
    return cause.kind != "normal" and _denied_by(network, list(state.answers), cause) is not None


def second_look(network: Network, state: State, cause: model.Cause, hands: str) -> model.Check | None:
    """Return the look that stands against a cause and that these hands may take once more.

    Parameters
    ----------
    network : Network
    state : State
    cause : Cause
    hands : str

    Returns
    -------
    Check or None
        The look that defines the cause, or that its remedy waits for, where it came out otherwise by weaker hands alone, at the
        installation, or before the last remedy. None where nothing stands against it, or these hands just said so themselves.
    """
    kb = network.kb
    against = [_denied_by(network, list(state.answers), cause)] if cause.kind != "normal" else []
    only = cause.remedy.only_if
    if only and condition(network, state, cause.remedy) == "refuted":
        against.append(only.check)
    names = [name for name in dict.fromkeys(against) if name]
    if not names or not all(_once_more(network, state, kb.checks[name], hands) for name in names):
        return None
    return kb.checks[names[0]]


def _once_more(network: Network, state: State, check: model.Check, hands: str) -> bool:
    """Return whether all that was said of a check is from weaker hands, from the installation or from before the last remedy."""
    said = [a for a in state.answers if a.check == check.id and not a.proof]
    old = all(a.then or a.epoch < state.epoch or RANK[a.hands] < RANK[hands] for a in said)
    return bool(said) and old and check.kind != "ask" and askable(network, state, check, hands)


def _denied_by(network: Network, answers: list[Answered], cause: model.Cause) -> str | None:
    """Return the check by which the look that defines a cause last came out otherwise, None where it stands or was never made."""
    look = cause.defines
    if look is None or not (look.check or look.rule):
        return None
    for answer in reversed(answers):
        check = network.kb.checks[answer.check]
        read = check.kind == "measure" and look.rule is not None and check.rule == look.rule
        if answer.proof or not (read or check.id == look.check):
            continue
        if read:
            from ..diagnosis.measured import counted

            within = counted(network.kb, answers, check.id, answer.epoch).verdict.state == "within"
            return check.id if within else None
        # Another answer that the cause shows as well does not deny it: not held up is near enough to slipped down.
        signs = {graph.shown_sign(network.kb, s) for s in cause.shows} - {None}
        own = {s.answer for s in cause.shows if s.check == look.check}
        own |= {name for name, a in check.answers.items() if a.sign and signs & {*network.kinds[a.sign]}}
        return None if answer.said in {look.answer, *look.also, *own} else check.id
    return None


def condition(network: Network, state: State, remedy: model.Remedy) -> str:
    """Return 'met', 'open' or 'refuted' for a remedy's only_if; a remedy without one is 'met'."""
    return _seen(network, state, remedy.only_if) if remedy.only_if else "met"


def _seen(network: Network, state: State, only: model.OnlyIf, since: int = 0) -> str:
    """Return whether an observation stands ('met'), was never made ('open') or came out otherwise ('refuted')."""
    from ..diagnosis.measured import counted
    from ..measurement.readings import reading

    for answer in reversed(state.answers):
        if answer.epoch < since:
            break
        if answer.check == only.check:
            if network.kb.checks[only.check].kind == "measure":
                if answer.proof:
                    verdict = reading(network.kb, only.check, answer.said, answer.hands).verdict
                else:
                    verdict = counted(network.kb, state.answers, only.check, answer.epoch).verdict
                if verdict.state == "too-close":
                    return "open" if answer.hands != state.hands else "refuted"
                return "met" if verdict.state == "broken" and verdict.side == only.side else "refuted"
            return "met" if answer.said == only.answer else "refuted"
    # What the complaint itself says stands, too, as long as nobody has looked.
    return "met" if said_by_complaints(network.kb, state).get(only.check, "") == (only.answer or None) else "open"
