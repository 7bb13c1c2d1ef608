"""Who may do what near which hazard: one table to be read line by line, made from the entries' own permissions."""

from collections.abc import Iterable

from .. import model
from ..planning import roles

HEAD = ("Hazard", "Goes on at", "Homeowner, or a caller at the desk", "Technician", "Plumber", "Electrician")
NEVER = "**never**"
NOTHING = "nothing"


def hazard_table(kb: model.KB) -> list[tuple[str, ...]]:
    """Return a row for each hazard, gravest first: its title, its gate's word, and what each pair of hands may do near it.

    Parameters
    ----------
    kb : KB

    Returns
    -------
    list of tuple of str
        In the order of `HEAD`, as Markdown with links from the folder of the kb's index. A technician may do all that a
        homeowner may, and what stands in the column besides.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rows = {row[0]: row for row in hazard_table(load_kb())}
    >>> rows["DANGER Live voltage"][2], rows["WARNING Water near electricity"][1]
    ('**never**', 'dry')
    """
    order = ("DANGER", "WARNING", "CAUTION", "NOTICE")
    return [_row(kb, h) for h in sorted(kb.hazards.values(), key=lambda h: (order.index(h.signal), h.title))]


def _row(kb: model.KB, hazard: model.Hazard) -> tuple[str, ...]:
    checks = [c for c in kb.checks.values() if hazard.id in c.hazards]
    causes = [c for c in kb.causes.values() if hazard.id in c.remedy.hazards]
    mine = [c for c in checks if roles.permitted(kb, c, "homeowner")]
    theirs = [c for c in checks if c not in mine and roles.permitted(kb, c, "technician")]
    mend = [c for c in causes if roles.may_mend(kb, c.remedy, "homeowner")]
    others = [c for c in causes if c.remedy.by == "technician"]
    return (
        f"{hazard.signal} {hazard.title}",
        hazard.gate.word if hazard.gate else "",
        NEVER if "homeowner" in hazard.never and not mend else _cell(kb, mine, mend),
        _cell(kb, theirs, others),
        _cell(kb, [], [c for c in causes if c.remedy.by == "plumber"]),
        _cell(kb, [], [c for c in causes if c.remedy.by == "electrician"]),
    )


def _cell(kb: model.KB, checks: Iterable[model.Check], causes: Iterable[model.Cause]) -> str:
    """Return what may be done as links: looks and trials first, then remedies with where they are another's."""
    said = [f"[{_plain(c.title)}](checks/{c.id}.md)" for c in checks]
    said += [f"[mend: {_plain(c.title)}](causes/{c.id}.md){_unless(kb, c.remedy)}" for c in causes]
    return "; ".join(said) or NOTHING


def _unless(kb: model.KB, remedy: model.Remedy) -> str:
    """Return where a remedy is another's, in brackets."""
    out = []
    for other in remedy.by_where:
        for fact, wanted in other.when.items():
            says = [kb.facts[fact].options[o].says for o in ([wanted] if isinstance(wanted, str) else wanted)]
            out.append(f"{_plain(', '.join(says))}: {other.by}")
    return f" ({'; '.join(out)})" if out else ""


def _plain(text: str) -> str:
    for mark in "\\`*_[]<>|":
        text = text.replace(mark, f"\\{mark}")
    return text
