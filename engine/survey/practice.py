"""Which practice judges a site: the rules of another supply system, kind of machine or country stand aside, and each says why."""

from .. import model
from ..advising.verdicts import in_force
from ..model import holds


def surely(when: model.When, facts: dict[str, str]) -> bool:
    """Return whether a circumstance is known to hold: what is not known is not taken for it.

    Examples
    --------
    >>> surely({"drain": "tub"}, {}), surely({"drain": "tub"}, {"drain": "tub"})
    (False, True)
    """
    return all(fact in facts for fact in when) and holds(when, facts)


def replacing(kb: model.KB, facts: dict[str, str]) -> dict[str, list[str]]:
    """Return the rules that stand aside at a site, each with those that judge in its place.

    Parameters
    ----------
    kb : KB
        With a machine sheet applied where there is one: a maker's own limit is replaced by no practice.
    facts : dict
        What is known of the site.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> replacing(load_kb(), {"drain": "standpipe", "machine": "front-loader"})["standpipe-height"]
    ['standpipe-height-front-loader']
    """
    out: dict[str, list[str]] = {}
    for rule in kb.rules.values():
        if rule.replaces and surely(rule.when, facts) and not any(r in kb.limits for r in rule.replaces):
            for other in rule.replaces:
                out.setdefault(other, []).append(rule.id)
    return out


def aside(kb: model.KB, rule: model.Rule, facts: dict[str, str], replaced: dict[str, list[str]]) -> str:
    """Return why a rule does not judge this site, or an empty text where it does.

    Parameters
    ----------
    kb : KB
    rule : Rule
    facts : dict
        What is known of the site.
    replaced : dict
        From `replacing`.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> aside(kb, kb.rules["supply-voltage"], {"supply-system": "eu-230"}, {})
    'house voltage: 230 V, as in Europe'
    """
    for fact in rule.when:
        if not holds({fact: rule.when[fact]}, facts):
            return _said(kb, fact, facts)
        for other, wanted in kb.facts[fact].when.items():
            if not holds({other: wanted}, facts):
                return f"{rule.edition or 'that code'} is not in force there ({_said(kb, other, facts)})"
    if rule.id in replaced:
        return f"judged here by '{kb.rules[replaced[rule.id][0]].title.lower()}'"
    if rule.replaces and any(r in kb.limits for r in rule.replaces):
        return "the machine's own sheet has the limit"
    if rule.replaces and not surely(rule.when, facts):
        unknown = [kb.facts[f].title.lower() for f in rule.when if f not in facts]
        return f"not known: {', '.join(unknown)}"
    return ""


def serves(
    kb: model.KB, check: model.Check, facts: dict[str, str], replaced: dict[str, list[str]]
) -> model.Rule | None:
    """Return the rule that a check serves at this site: its own, one that judges in its place, or another code's on the same reading.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb, here = load_kb(), {"supply-system": "eu-230", "drain": "standpipe"}
    >>> serves(kb, kb.checks["standpipe-bore"], here, replacing(kb, here)).id
    'standpipe-bore-europe'
    >>> serves(kb, kb.checks["outlet-voltage"], here, replacing(kb, here)) is None
    True
    """
    if not check.rule or not holds(check.when, facts):
        return None
    for name in replaced.get(check.rule, []):
        if not aside(kb, kb.rules[name], facts, replaced):
            return kb.rules[name]
    rule = in_force(kb, check, facts)
    return rule if rule and not aside(kb, rule, facts, replaced) else None


def _said(kb: model.KB, fact: str, facts: dict[str, str]) -> str:
    return f"{kb.facts[fact].title.lower()}: {kb.facts[fact].options[facts[fact]].says}"
