"""Which code is in force: what a code's rule is worth where its adoption hangs on a fact that nobody has answered."""

from collections.abc import Collection, Mapping

from . import model
from .evidence import holds


def hangs_on(kb: model.KB, rule: model.Rule) -> list[str]:
    """Return the facts that say which code is in force and on which a code's rule hangs: those with an option `unknown`."""
    if rule.authority != "code":
        return []
    return [f for f in rule.when if any(o.unknown for o in kb.facts[f].options.values())]


def advice_until(kb: model.KB, rule: model.Rule, facts: Mapping[str, str]) -> str:
    """Return why a code's rule is only advice here, or an empty text where it binds.

    Parameters
    ----------
    kb : KB
    rule : Rule
    facts : mapping
        Fact -> option, as far as known.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> kb = load_kb()
    >>> advice_until(kb, kb.rules["trap-arm-length-upc-2in"], {})
    'advice, as long as the plumbing code in force is not known'
    >>> advice_until(kb, kb.rules["trap-arm-length-upc-2in"], {"plumbing-code": "upc"})
    ''
    """
    for name in hangs_on(kb, rule):
        fact = kb.facts[name]
        if name not in facts or fact.options[facts[name]].unknown:
            return f"advice, as long as the {fact.title[:1].lower()}{fact.title[1:]} is not known"
    return ""


def broken_under_all(kb: model.KB, rule: model.Rule, broken: Collection[str]) -> bool:
    """Return whether a rule, or one on the same reading, is broken whichever code is in force: then it is no mere advice.

    Parameters
    ----------
    kb : KB
    rule : Rule
    broken : collection of str
        Rules that are not kept.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> kb = load_kb()
    >>> arm = kb.rules["trap-arm-length-upc-2in"]
    >>> broken_under_all(kb, arm, ["trap-arm-length-upc-2in"])
    False
    >>> broken_under_all(kb, arm, ["trap-arm-length-upc-2in", "trap-arm-length-ipc-2in"])
    True
    """
    alike = {rule.id, *(n.rule for n in rule.neighbours if n.same_reading_if)} & {*broken}
    return all(
        any(holds({f: kb.rules[r].when.get(f, o)}, {f: o}) for r in alike if kb.rules[r].authority == "code")
        for f in hangs_on(kb, rule)
        for o, option in kb.facts[f].options.items()
        if not option.unknown
    )
