"""Hold the records of a kb against each other, and say all that is wrong at once."""

from typing import TYPE_CHECKING, get_args

from .. import model
from ..errors import Problem

if TYPE_CHECKING:
    from .pieces import Entry
from .references import TRADES, ReferenceChecker, Tables

# What can only be said where every entry was read.
NEED_ALL = {"K136", "K137", "K145", "K155", "K156", "K160", "K163"}


def check(
    tables: Tables,
    singles: dict[str, "Entry"],
    decoys: list["Entry"],
    cases: bool = True,
    lost: dict[str, set[str] | None] | None = None,
) -> list[Problem]:
    """Return every problem between the records of a kb.

    Parameters
    ----------
    tables : dict
        Kind -> id -> entry.
    singles : dict
        roles.yaml and scales.yaml.
    decoys : list of Entry
    cases : bool
        Also check the ids inside cases and decoys.
    lost : dict, optional
        Kind -> ids of entries that have mistakes of their own, None where not even those are known; nothing is said
        of who names them.
    """
    from . import validate_causes, validate_rules, validate_signs

    checker = ReferenceChecker(tables, singles, lost or {})
    _singles(checker, singles)
    for word, value in checker.scales.words.items():
        if not 0 < value < 1:
            checker.note(
                singles["scales.yaml"],
                ("words", word),
                "K104",
                f"'{word}' is {value:g}",
                expected="above 0 and below 1",
                mend="0 and 1 are errors",
            )
    for fact in tables["facts"].values():
        checker.when(fact, ("when",), fact.record.when)
        validate_rules.unless(checker, fact)
        checker.voices(fact, ("ask",), fact.record.ask)
        total = sum(o.share_per_1000 for o in fact.record.options.values())
        if abs(total - 1000) > 1:
            checker.note(
                fact,
                ("options",),
                "K111",
                f"the shares of '{fact.record.id}' sum to {total:g}",
                expected="1000",
                mend="correct the shares",
            )
    for hazard in tables["hazards"].values():
        checker.when(hazard, ("when",), hazard.record.when)
        checker.cites(hazard, hazard.record.sources)
        if hazard.record.gate:
            checker.voices(hazard, ("gate", "ask"), hazard.record.gate.ask)
    for complaint in tables["complaints"].values():
        checker.number(complaint, ("unlisted_per_1000",), complaint.record.unlisted_per_1000, 0, 1000)
        checker.when(complaint, ("tells", "facts"), complaint.record.tells.facts)
        for check, answer in complaint.record.tells.answers.items():
            checker.outcome(complaint, ("tells", "answers", check), check, answer, None)
        for i, gate in enumerate(complaint.record.gates):
            if (
                checker.known(complaint, ("gates", i), gate, "hazards", "hazard")
                and not tables["hazards"][gate].record.gate
            ):
                checker.note(
                    complaint,
                    ("gates", i),
                    "K112",
                    f"the hazard '{gate}' has no gate",
                    mend="give it a gate, or take it out of this list",
                )
    for part in tables["parts"].values():
        checker.number(part, ("price",), part.record.price)
    validate_rules.rules(checker)
    validate_signs.signs(checker, singles["roles.yaml"])
    validate_rules.checks(checker)
    validate_causes.causes(checker)
    validate_causes.machines(checker)
    if cases:
        validate_causes.cases(checker, decoys)
    return [p for p in checker.problems if not (checker.partial and p.code in NEED_ALL)]


def _singles(checker: ReferenceChecker, singles: dict[str, "Entry"]) -> None:
    """Check roles.yaml and scales.yaml: every role and trade is there once, every number is sound."""
    scales, roles = singles["scales.yaml"], singles["roles.yaml"]
    checker.known(scales, ("source",), scales.record.source, "sources", "source")
    checker.number(scales, ("breaks_strength",), scales.record.breaks_strength, 0, 1)
    checker.number(scales, ("episode_rate",), scales.record.episode_rate, 0, 1)
    if scales.record.defines_strength:
        checker.number(scales, ("defines_strength",), scales.record.defines_strength, 0, 1)
    if scales.record.another_name:
        checker.number(scales, ("another_name",), scales.record.another_name, 0, 1)
    if scales.record.changed_since:
        checker.number(scales, ("changed_since",), scales.record.changed_since, 0, 1)
    checker.number(roles, ("price_unit",), roles.record.price_unit)
    if roles.record.second_visit:
        checker.number(roles, ("second_visit",), roles.record.second_visit)
    if roles.record.per_card:
        checker.number(roles, ("per_card",), roles.record.per_card)
    if roles.record.patience:
        checker.number(roles, ("patience",), roles.record.patience)
    if roles.record.in_vain:
        checker.number(roles, ("in_vain",), roles.record.in_vain)
    if roles.record.waiting:
        for name in ("soon", "water", "a_day", "most_days"):
            checker.number(roles, ("waiting", name), getattr(roles.record.waiting, name))
    for field, needed in (("roles", get_args(model.Role)), ("trades", TRADES)):
        cards = getattr(roles.record, field)
        found = [card.id for card in cards]
        for name in needed:
            if found.count(name) != 1:
                times = "is missing" if name not in found else "stands twice"
                mend = "keep one card for each"
                checker.note(
                    roles, (field,), "K113", f"'{name}' {times} in {field}", expected=", ".join(needed), mend=mend
                )
    for i, card in enumerate(roles.record.roles):
        checker.number(roles, ("roles", i, "per_minute"), card.per_minute)
        checker.number(roles, ("roles", i, "hand_on_fee"), card.hand_on_fee)
        checker.number(roles, ("roles", i, "gross_error_per_1000"), card.gross_error_per_1000, 0, 500)
    for i, card in enumerate(roles.record.trades):
        checker.number(roles, ("trades", i, "per_minute"), card.per_minute)
        checker.number(roles, ("trades", i, "fee"), card.fee)
