"""Which kept cases are meant: by what they name of the kb, by who has them, and since when."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event
    from .store import CaseLine, Store


def since(text: str | None) -> float | None:
    """Return the beginning of a day, UTC [ms since 1970].

    Raises
    ------
    InvalidInputError
        U036, where it is no day.

    Examples
    --------
    >>> since("1970-01-02"), since(None)
    (86400000.0, None)
    """
    from ...engine.errors import InvalidInputError, Problem

    if text is None:
        return None
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        day = None
    if day is None:
        problem = Problem(
            code="U036",
            message=f"'{text}' is no day",
            expected="a day such as 2026-03-09",
            mend="write year, month and day",
        )
        raise InvalidInputError([problem])
    return datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() * 1000


def fitting(
    kb: "model.KB",
    store: "Store",
    *,
    cause: str | None = None,
    rule: str | None = None,
    part: str | None = None,
    who: str | None = None,
) -> "Callable[[CaseLine, list[Event]], bool] | None":
    """Return what says whether a case is meant, by cause, rule, part and who has it; None where nothing of that is asked.

    Parameters
    ----------
    kb : KB
    store : Store
    cause, rule, part : str, optional
        Ids of the kb.
    who : str, optional
        The mark of whoever has it, in any letter case; empty: nobody.
    """
    from ...engine.case.naming import causes_of, parts_of, rules_of

    asked = [(name, of) for name, of in ((cause, causes_of), (rule, rules_of), (part, parts_of)) if name]
    if not asked and who is None:
        return None

    def fits(line: "CaseLine", events: "list[Event]") -> bool:
        if not all(name in of(kb, events) for name, of in asked):
            return False
        return who is None or (store.queued(line.id).who.casefold() == who.casefold())

    return fits
