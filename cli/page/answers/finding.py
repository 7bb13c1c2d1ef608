"""What the form that finds kept cases asks: words, state, complaint, cause, rule, part, who has them, since when."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from msgspec import Struct

from ....engine import model
from ....engine.errors import InvalidInputError, Problem, nearest
from ....engine.language.sanitize import typed_line
from ...store.finding import fitting, since
from ...store.store import CaseLine, Store

STATES = ("", "open", "waiting", "on-trial", "closed")
NAMED = ("cause", "rule", "part")
FIELDS = ("text", "state", "complaint", *NAMED, "who", "since")


class Wanted(Struct, frozen=True, kw_only=True):
    """What is looked for: as it was typed, the ids that this names, since when [ms since 1970, UTC], and what of it can't be used."""

    asked: dict[str, str]
    names: dict[str, str] = {}
    since: float | None = None
    problem: Problem | None = None

    @property
    def more(self) -> bool:
        """Whether more is asked than words and a state."""
        return any(self.asked[name] for name in FIELDS[2:])


def wanted(kb: model.KB, query: Mapping[str, str]) -> Wanted:
    """Return what a form asks.

    Parameters
    ----------
    kb : KB
    query : mapping of str
        The fields of the form.
    """
    asked = {name: typed_line(query.get(name, ""))[:80] for name in FIELDS}
    try:
        names = {what: named(asked[what], what, table) for what, table in tables(kb).items() if asked[what]}
        return Wanted(asked=asked, names=names, since=since(asked["since"] or None))
    except InvalidInputError as refused:
        return Wanted(asked=asked, problem=refused.problems[0])


def finder(kb: model.KB, said: Wanted, most: int) -> Callable[[Store], Sequence[CaseLine]]:
    """Return what finds the cases that a form asks for in a store, the last touched first, no more than so many."""
    asked = said.asked
    says = {c.id: f"{c.title} {c.says}" for c in kb.complaints.values()}

    def find(store: Store) -> list[CaseLine]:
        return store.find(
            text=asked["text"] or None,
            state=asked["state"] if asked["state"] in STATES[1:] else None,
            complaint=asked["complaint"] if asked["complaint"] in kb.complaints else None,
            most=most,
            says=says,
            since=said.since,
            fits=fitting(kb, store, who=asked["who"] or None, **said.names),
        )

    return find


def tables(kb: model.KB) -> dict[str, Mapping[str, Any]]:
    """Return the records that a case can be found by."""
    return {"cause": kb.causes, "rule": kb.rules, "part": kb.parts}


def named(typed: str, what: str, table: Mapping[str, Any]) -> str:
    """Return the id of what somebody names by its id, its title, or a part of its title that no other has.

    Parameters
    ----------
    typed : str
    what : str
        cause, rule or part.
    table : mapping of str
        Records with a title, by their ids.

    Raises
    ------
    InvalidInputError
        U037, where there is none of that name, or several.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> named("Drain PUMP", "part", load_kb().parts), named("pump", "part", load_kb().parts)
    ('pump', 'pump')
    """
    text = typed.casefold()
    if text in table:
        return text
    titles = {name: record.title.casefold() for name, record in table.items()}
    exact = [name for name, title in titles.items() if title == text]
    near = exact or [name for name, title in titles.items() if text in title]
    if len(near) == 1:
        return near[0]
    if near:
        shown = "; ".join(table[n].title for n in near[:4])
        message, mend = f"several are called '{typed}' in part: {shown}", "type more of it, or choose one of the list"
        raise InvalidInputError([Problem(code="U037", message=message, expected=f"one {what}", mend=mend)])
    close = nearest(text, titles.values())
    title = next((table[n].title for n, t in titles.items() if t == close), "") if close else ""
    message, mend = f"there is no {what} '{typed}'", "choose one of the list"
    raise InvalidInputError(
        [Problem(code="U037", message=message, expected=f"a {what} of the kb", nearest=title, mend=mend)]
    )
