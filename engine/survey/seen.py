"""Lines of a sheet beside its rules: proofs that were made, and filled lines that judge nothing here, each with the reason."""

from msgspec import Struct

from .. import model
from ..measurement import formatting
from ..measurement.readings import reading
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from ..planning.roles import permitted
from .areas import area_of
from .must_see import again
from .practice import aside, surely


class Proved(Struct, frozen=True, kw_only=True):
    """A proof that was made on the finished installation: what was seen, and whether it passed.

    `told` is that a customer said so; `again` that it was run before the mends, and proves nothing.
    """

    check: str
    title: str
    said: str
    passed: bool
    told: bool = False
    again: bool = False


class Unjudged(Struct, frozen=True, kw_only=True):
    """A filled line that judges nothing here: why, and the lines that are asked in its place and still empty."""

    check: str
    title: str
    said: str
    why: str
    instead: list[str]
    instead_ids: list[str]


def proved(kb: model.KB, filled: FilledSheet) -> list[Proved]:
    """Return the proofs on a sheet, in its order."""
    out = []
    once_more = again(kb, filled)
    for name, said in filled.readings.items():
        check = kb.checks[name]
        told = name in filled.told
        if not check.only_proof:
            continue
        if check.kind == "measure":
            r = reading(kb, name, said, filled.by(name))
            text = formatting.show(r.value, kb.rules[r.rule].measures)
            out.append(
                Proved(
                    check=name,
                    title=check.title,
                    said=text,
                    passed=r.verdict.margin >= 0,
                    told=told,
                    again=name in once_more,
                )
            )
        else:
            good = not check.wrong(said)
            out.append(
                Proved(
                    check=name,
                    title=check.title,
                    said=check.answers[said].says,
                    passed=good,
                    told=told,
                    again=name in once_more,
                )
            )
    return out


def unjudged(kb: model.KB, filled: FilledSheet, replaced: dict[str, list[str]], judged: set[str]) -> list[Unjudged]:
    """Return the filled lines that no rule was held against, each with the reason and what is asked in its place.

    Parameters
    ----------
    kb : KB
    filled : FilledSheet
    replaced : dict
        From `practice.replacing`.
    judged : set of str
        The checks that some rule was held against.
    """
    out = []
    for name, said in filled.readings.items():
        check = kb.checks[name]
        if check.only_proof or name in judged:
            continue
        text = check.answers[said].says if check.answers else said
        instead: list[model.Check] = []
        if not check.rule:
            why = f"no rule is held against it ({check.why_no_rule})"
        else:
            why = _why(kb, check, filled.facts, replaced)
            instead = _instead(kb, check, filled, replaced)
        out.append(
            Unjudged(
                check=name,
                title=check.title,
                said=text,
                why=why,
                instead=[c.title for c in instead],
                instead_ids=[c.id for c in instead],
            )
        )
    return out


def _why(kb: model.KB, check: model.Check, facts: dict[str, str], replaced: dict[str, list[str]]) -> str:
    for fact, wanted in check.when.items():
        if not holds({fact: wanted}, facts):
            return f"{kb.facts[fact].title.lower()}: {kb.facts[fact].options[facts[fact]].says}"
    return aside(kb, kb.rules[check.rule or ""], facts, replaced) or "no rule that it serves applies"


def _instead(
    kb: model.KB, check: model.Check, filled: FilledSheet, replaced: dict[str, list[str]]
) -> list[model.Check]:
    """Return the lines of the same kind and part that the same circumstance brings in, as far as they are empty."""
    own = {**kb.rules[check.rule or ""].when, **check.when}
    out = [f for f in own if not holds({f: own[f]}, filled.facts)]
    area = area_of(kb, "rules", check.rule or "")
    measures = kb.rules[check.rule or ""].measures
    found = []
    for other in kb.checks.values():
        if not other.rule or other.only_proof or other.id in filled.readings or not permitted(kb, other, filled.hands):
            continue
        rule = kb.rules[other.rule]
        when = {**rule.when, **other.when}
        if (
            any(f in when for f in out)
            and surely({f: when[f] for f in out if f in when}, filled.facts)
            and rule.measures == measures
            and area_of(kb, "rules", rule.id) == area
            and not aside(kb, rule, filled.facts, replaced)
            # Of what is looked at, only what nobody leaves without; a measurement has its like.
            and (measures != "state" or bool(other.on_sheet and other.on_sheet.must_see))
            and holds(other.when, filled.facts)
        ):
            found.append(other)
    # The rule's own neighbour is what stands there in its place; else whatever that circumstance brings in.
    near = {n.rule for n in kb.rules[check.rule or ""].neighbours}
    return [c for c in found if c.rule in near] or found
