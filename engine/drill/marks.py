"""What a verdict said beside the cause: the broken rule, its limit and datum, whose work the mend is; each right or not."""

from .. import model
from ..advice import Frozen
from ..advising.wording import limit_text
from ..measurement import formatting, quantity
from ..measurement.quantity import QuantityProblem
from ..measurement.readings import limits
from ..planning import roles
from .moves import Act
from .naming import Named, stems
from .round import Round

NONE = "none"
# A datum is named where so many of its telling words were typed, and two of them at least where it has so many (judgement) [-].
DATUM, LEAST_WORDS = 0.25, 2
OWN = ("anyone", "technician")


class Mark(Frozen, frozen=True, kw_only=True):
    """One thing that a verdict said: what it was about, what was given, whether that is right (None: nobody can mark it), and the kb's own."""

    about: str
    given: str
    right: bool | None
    own: str


def limit_right(rule: model.Rule, typed: str, side: str | None = None) -> bool:
    """Return whether a typed limit is that of a rule, within half of the step to which that limit itself is rounded.

    Parameters
    ----------
    rule : Rule
        With numbers.
    typed : str
        In trade notation.
    side : str, optional
        below asks for the least, above for the most; either will do unless said.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rule = load_kb().rules["standpipe-height"]
    >>> [limit_right(rule, t, "below") for t in ("39 in", "99 cm", "3 ft 3 in", "38 in", "96 in")]
    [True, True, True, False, False]
    """
    low, high = limits(rule)
    wanted = [v for v, s in ((low, "below"), (high, "above")) if v is not None and side in (None, s)]
    try:
        value = quantity.parse(typed, rule.measures)
    except QuantityProblem:
        return False
    kind = "length" if rule.measures == "rise" else rule.measures
    return any(abs(value - v) <= formatting.resolution(v, kind) / 2 + 1e-9 for v in wanted)


def limit_asked(rule: model.Rule, side: str | None) -> str:
    """Return the limit of one side as the trade writes it, or what must be seen."""
    low, high = limits(rule) if rule.measures != "state" else (None, None)
    value = low if side == "below" else high if side == "above" else None
    if value is None:
        return limit_text(rule)
    return f"at {'least' if side == 'below' else 'most'} {formatting.show(value, rule.measures)}"


def datum_right(rule: model.Rule, typed: str) -> bool:
    """Return whether the words typed name what a rule is measured of and from: so many of its telling words.

    Where they don't, they may say it otherwise: that is compared by whoever typed them, never marked wrong.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rule = load_kb().rules["standpipe-height"]
    >>> datum_right(rule, "pipe top above where the feet stand"), datum_right(rule, "the ceiling")
    (True, False)
    """
    own, said = set(stems(rule.of)), set(stems(typed))
    return bool(own) and len(own & said) >= max(DATUM * len(own), min(LEAST_WORDS, len(own)))


def same_rule(kb: model.KB, named: str, broken: str) -> bool:
    """Return whether a rule is the broken one, or one on the same thing: the same of another code, with another datum or limit."""
    beside = {n.rule for n in kb.rules[broken].neighbours} | {
        r.id for r in kb.rules.values() if any(n.rule == broken for n in r.neighbours)
    }
    return named == broken or named in beside


def apart(kb: model.KB, found: list[Named]) -> list[Named]:
    """Return rules that were named without those that say the same of the same thing by another code: any of them will do.

    Examples
    --------
    >>> from dryfloor.engine.drill.naming import rules
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> len(apart(kb, rules(kb, "standpipe height"))) < len(rules(kb, "standpipe height"))
    True
    """
    out: list[Named] = []
    for one in found:
        if not any(same_rule(kb, one.id, other.id) for other in out):
            out.append(one)
    return out


def marks(game: Round, act: Act) -> list[Mark]:
    """Return what is right of a verdict, held against the cause at work that it names, else against the first that was not named.

    Parameters
    ----------
    game : Round
        Played.
    act : Act
        One of its verdicts.
    """
    kb = game.kb
    truth = game.exercise.truth
    left = [c for c in truth if c not in game.named()] or truth
    cause = kb.causes[act.id if act.id in truth else left[0]]
    out = [Mark(about="verdict", given=_title(kb, act.id), right=_verdict_right(kb, act, truth), own=cause.title)]
    broken = cause.breaks
    if act.rule:
        title = kb.rules[act.rule].title if act.rule in kb.rules else act.rule
        if broken is None:
            out.append(
                Mark(
                    about="rule",
                    given=title,
                    right=act.rule == NONE,
                    own=f"none: {cause.why_no_rule or 'no rule is broken'}",
                )
            )
        else:
            right = act.rule in kb.rules and same_rule(kb, act.rule, broken.rule)
            out.append(Mark(about="rule", given=title, right=right, own=kb.rules[broken.rule].title))
    if broken is not None:
        rule = kb.rules[broken.rule]
        if act.limit and rule.measures != "state":
            out.append(
                Mark(
                    about="limit",
                    given=act.limit,
                    right=limit_right(rule, act.limit, broken.side),
                    own=limit_asked(rule, broken.side),
                )
            )
        elif act.limit:
            out.append(Mark(about="limit", given=act.limit, right=None, own=limit_text(rule)))
        if act.datum:
            out.append(Mark(about="datum", given=act.datum, right=datum_right(rule, act.datum) or None, own=rule.of))
    if act.by:
        right_by = game.right_by(cause.id)
        own_hands = roles.may_mend(kb, cause.remedy, game.episode.hands)
        right = act.by == right_by or (own_hands and act.by in OWN and right_by in OWN)
        out.append(Mark(about="who", given=act.by, right=right, own=right_by))
    if act.mend:
        out.append(Mark(about="mend", given=act.mend, right=None, own=cause.remedy.title))
    if act.sentence:
        out.append(Mark(about="sentence", given=act.sentence, right=None, own=cause.says))
    return out


def _title(kb: model.KB, cause_id: str) -> str:
    return kb.causes[cause_id].title if cause_id in kb.causes else "Nothing is wrong"


def _verdict_right(kb: model.KB, act: Act, truth: list[str]) -> bool:
    if act.id in kb.causes:
        return act.id in truth
    return any(kb.causes[c].kind == "normal" for c in truth)


def key_of(kb: model.KB, cause: str) -> str:
    """Return what is asked again of a fault that was missed: its broken rule, or itself where it breaks none."""
    broken = kb.causes[cause].breaks
    return f"rule:{broken.rule}" if broken else f"cause:{cause}"


def missed_rules(game: Round) -> tuple[list[str], list[str]]:
    """Return what to ask again and what was known: the rules of the faults at work, or the faults themselves where no rule is broken.

    Returns
    -------
    tuple of list
        Missed, and right. A rule is right where its fault was named, and the rule not named wrongly.
    """
    kb = game.kb
    if game.ended == "stopped":
        return [], []  # nothing more was to be found out there
    missed: list[str] = []
    right: list[str] = []
    for cause in game.exercise.truth:
        key = key_of(kb, cause)
        acts = [
            a
            for a in game.acts
            if a.kind == "verdict" and (a.id == cause or (a.id not in kb.causes and game.ended == "solved"))
        ]
        wrong = [m for a in acts for m in marks(game, a) if m.about in ("rule", "limit") and m.right is False]
        (right if acts and not wrong else missed).append(key)
    return missed, right
