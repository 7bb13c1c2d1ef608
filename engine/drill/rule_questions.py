"""Rules as questions: on the front what is measured and from where, on the back the limit, whose it is, and what follows from a break."""

import re
from collections.abc import Sequence
from fractions import Fraction

from .. import model
from ..advice import Frozen
from ..advising.wording import limit_text, source_text, whose
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..model import holds
from ..simulation.world import Installation
from ..survey.areas import area_of, area_rank, area_title
from .marks import limit_asked, limit_right

COUNT = 10  # questions of a quiz unless said
MOST_COUNT = 500
ASKS = {"below": "At least how much?", "above": "At most how much?", "": "From what to what?"}
SEEN = "What must be seen?"
# As it is typed in the trade, without its unit.
NUMBER = re.compile(r"[+-]?(?:(?:\d+[ -])?\d+/\d+|\d* ?[¼-¾⅐-⅞]|\d+(?:[.,]\d*)?|[.,]\d+)\s*")
SYSTEM, ALL = "supply-system", "all"  # the fact by which practices part, and the word for every practice


class RuleQuestion(Frozen, frozen=True, kw_only=True):
    """One rule as a card: `side` says which limit is asked for, empty for both or for what is seen."""

    rule: str
    area: str
    title: str
    of: str
    where: list[str]
    side: str
    ask: str
    measures: str
    limit: str
    whose: str
    source: str
    breaks: list[str]
    unit: str = ""


class Marked(Frozen, frozen=True, kw_only=True):
    """One answer of a quiz: what was typed, whether it is the limit within its own rounding, and the limit."""

    rule: str
    side: str
    given: str
    right: bool
    limit: str


def questions(kb: model.KB, area: str = "", numbers: bool = False, supply: str = ALL) -> list[RuleQuestion]:
    """Return the rules as cards, in the order of a walk round the machine.

    Parameters
    ----------
    kb : KB
    area : str
        Of one area of the kb alone.
    numbers : bool
        Those with numbers alone.
    supply : str
        The supply system whose practice is asked for, or all.

    Raises
    ------
    InvalidInputError
        If no area, or no supply system, has that name.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> card = next(q for q in questions(load_kb(), "drain") if q.rule == "hose-insertion-depth")
    >>> card.ask, card.limit
    ('At most how much?', 'at most 8 in (20 cm)')
    """
    areas = sorted({area_of(kb, "rules", r) for r in kb.rules}, key=lambda a: (area_rank(a), a))
    if area and area not in areas:
        near = nearest(area, areas)
        problem = Problem(
            code="D007", message=f"unknown area '{area}'", expected=one_of(areas), nearest=near, mend="name one of them"
        )
        raise InvalidInputError([problem])
    supply = supply_of(kb, supply)
    found = [(area_rank(a), a, r) for r in kb.rules.values() if (a := area_of(kb, "rules", r.id)) == area or not area]
    found = [(n, a, r) for n, a, r in found if not numbers or r.measures != "state"]
    found = [(n, a, r) for n, a, r in found if supply == ALL or practised(kb, r, supply)]
    return [_question(kb, rule, "") for _, _, rule in sorted(found, key=lambda x: (x[0], x[1]))]


def supply_of(kb: model.KB, typed: str) -> str:
    """Return the supply system that is meant: an option's id, a part of it that no other has, or all.

    Raises
    ------
    InvalidInputError
        If there is none, or more than one.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> supply_of(load_kb(), "US"), supply_of(load_kb(), "230"), supply_of(load_kb(), "all")
    ('us-120', 'eu-230', 'all')
    """
    known, low = list(kb.facts[SYSTEM].options), typed.strip().lower()
    found = [k for k in known if low in (k, *k.split("-"))]
    if low == ALL or len(found) == 1:
        return found[0] if found else ALL
    problem = Problem(
        code="U049",
        message=f"unknown supply system '{typed}'",
        expected=one_of([*known, ALL]),
        nearest=nearest(low, [*known, ALL]),
        mend="name one of them",
    )
    raise InvalidInputError([problem])


def practised(kb: model.KB, rule: model.Rule, supply: str) -> bool:
    """Return whether a rule is practised where a supply system is: neither itself nor its code is of another, and no rule of there takes its place.

    Parameters
    ----------
    kb : KB
    rule : Rule
    supply : str
        An option of the supply system.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> [practised(kb, kb.rules["standpipe-bore-europe"], s) for s in ("us-120", "eu-230")]
    [False, True]
    >>> [practised(kb, kb.rules["standpipe-bore"], s) for s in ("us-120", "eu-230")]
    [True, False]
    """
    here = {SYSTEM: supply}
    if not all(holds(when, here) for when in (rule.when, *(kb.facts[f].when for f in rule.when))):
        return False
    taken = (r for r in kb.rules.values() if rule.id in r.replaces and SYSTEM in r.when)
    looks = [c for c in kb.checks.values() if c.rule == rule.id]
    return not any(holds(r.when, here) for r in taken) and (not looks or any(holds(c.when, here) for c in looks))


def _question(kb: model.KB, rule: model.Rule, side: str) -> RuleQuestion:
    if rule.measures != "state" and not side and not (rule.min and rule.max):
        side = "below" if rule.min else "above"
    breaks = [t for s, t in (("below", rule.below), ("above", rule.above)) if t and side in ("", s)]
    where = []
    for fact, wanted in rule.when.items():
        options = [wanted] if isinstance(wanted, str) else wanted
        record = kb.facts[fact]
        said = [record.options[o].says for o in options if not record.options[o].unknown]
        where.append(f"{record.title}: {' or '.join(said)}")
    return RuleQuestion(
        rule=rule.id,
        area=area_title(area_of(kb, "rules", rule.id)),
        title=without_limits(rule, rule.title),
        of=without_limits(rule, rule.of),
        where=where,
        side=side,
        ask=SEEN if rule.measures == "state" else ASKS[side],
        measures=rule.measures,
        limit=limit_asked(rule, side) if side else limit_text(rule),
        whose=whose(rule),
        source=source_text(kb, rule),
        breaks=breaks or ([rule.broken] if rule.broken else []),
        unit=_unit(rule, side),
    )


def _unit(rule: model.Rule, side: str) -> str:
    """Return the unit in which a limit is written, nothing where both are asked for or none."""
    limit = {"below": rule.min, "above": rule.max}.get(side) or ""
    return NUMBER.sub("", limit).strip()


def without_limits(rule: model.Rule, text: str) -> str:
    """Return a text of a rule without the numbers of its limits: a front must not show its back.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> without_limits(load_kb().rules["outlet-distance-nec"], "Outlet within 6 ft")
    'Outlet within ...'
    """
    if rule.min and rule.max:
        text = text.replace(f"{rule.min.partition(' ')[0]} to {rule.max}", "...")
    for limit in filter(None, (rule.min, rule.max)):
        text = re.sub(rf"(?<![\w/]){re.escape(limit)}\b", "...", text)
    return text


def drawn(
    kb: model.KB, seed: int, count: int, due: Sequence[str] = (), area: str = "", supply: str = ALL
) -> list[RuleQuestion]:
    """Return the questions of a quiz: rules with numbers, what is due first, the others drawn; of two limits one is asked for.

    Parameters
    ----------
    kb : KB
    seed : int
        The same seed asks the same.
    count : int
        How many [-].
    due : sequence of str
        `rule:ID` of what was missed before.
    area : str
        Of one area alone.
    supply : str
        The supply system whose practice is asked for, or all.
    """
    dice = Installation(f"quiz|{seed}", {}, frozenset(), {})
    asked = {q.rule: q for q in questions(kb, area, numbers=True, supply=supply)}
    first = [key.removeprefix("rule:") for key in due if key.removeprefix("rule:") in asked]
    rest = sorted((r for r in asked if r not in first), key=lambda r: (Fraction(dice.draw(r)), r))
    out = []
    for name in [*first, *rest][:count]:
        rule = kb.rules[name]
        side = asked[name].side or ("below" if dice.draw(f"side|{name}") < 0.5 else "above")
        out.append(_question(kb, rule, side))
    return out


def with_unit(kb: model.KB, question: RuleQuestion, typed: str) -> str:
    """Return a typed limit with the unit that the limit itself is written in, where it was typed as a number alone.

    Parameters
    ----------
    kb : KB
    question : RuleQuestion
        Of a rule with numbers, that asks for one of its limits.
    typed : str

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> card = next(q for q in questions(kb, "drain") if q.rule == "hose-insertion-depth")
    >>> with_unit(kb, card, "7 1/2"), with_unit(kb, card, '8"')
    ('7 1/2 in', '8"')
    """
    unit = _unit(kb.rules[question.rule], question.side)
    return f"{typed.strip().rstrip('.')} {unit}" if unit and NUMBER.fullmatch(typed.strip()) else typed


def marked(kb: model.KB, question: RuleQuestion, typed: str) -> Marked:
    """Return whether a typed limit is right, within the limit's own rounding.

    Parameters
    ----------
    kb : KB
    question : RuleQuestion
        Of a rule with numbers.
    typed : str
        In trade notation; nothing is a wrong answer.
    """
    right = bool(typed) and limit_right(kb.rules[question.rule], typed, question.side or None)
    return Marked(rule=question.rule, side=question.side, given=typed, right=right, limit=question.limit)
