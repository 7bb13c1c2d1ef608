"""What a page shows of a case, and what a form amounts to, as records."""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from ....engine.advice import Advice, Card
from ....engine.case.events import Event
from ....engine.errors import Problem
from .address import Address
from .own_words import OwnWords
from .place import CaseLocation
from .signing import Cleared, with_cleared

Form = dict[str, list[str]]


class Late(Struct, frozen=True, kw_only=True):
    """What was said on a page that is no longer the last: the question, what was said, and where it can be said all the same."""

    title: str
    said: str
    ask: str = ""
    value: str = ""
    url: str = ""
    step: str = ""


class TurnedWords(Struct, frozen=True, kw_only=True):
    """What somebody says that a case turned out to be, and the causes that may be meant, as (id, title)."""

    words: str
    near: list[tuple[str, str]]


class Page(Struct, frozen=True, kw_only=True):
    """All that a page shows of one case: the advice, the card in front, and the gates that are clear."""

    place: CaseLocation
    cleared: list[Cleared]
    advice: Advice
    card: Card | None
    proof: bool
    note: str = ""
    problem: Problem | None = None
    typed: str = ""
    stop: str = ""
    late: Late | None = None
    own: OwnWords = OwnWords()
    turned: TurnedWords | None = None

    @property
    def events(self) -> list[Event]:
        """The case, its gates at their places; a stop that somebody said stands at its end."""
        return [*with_cleared(self.place.events, self.cleared), *([Event(stopped=self.stop)] if self.stop else [])]


class TakenForm(Struct, frozen=True, kw_only=True):
    """What an answer amounts to; nothing of it: the form was made at another place of the case, or said nothing.

    Parameters
    ----------
    events : list of Event
        What to add.
    instead_of : int, optional
        The place of the event, in the case as the page sees it, that the one event stands instead of.
    address : Address, optional
        Where to go on, in place of the address with the events added.
    note : str
        The note of the gates that are clear now.
    stopped : bool
        A gate's answer was another than its word.
    problem : Problem, optional
        Why it can't be used.
    typed : str
        What was typed, to be shown again.
    late : Late, optional
        What was said on a page that is no longer the last.
    own : Event, optional
        What was said in words of one's own, of a case that is not kept: it waits in the browser.
    turned : TurnedWords, optional
        In which words somebody says what it turned out to be: which cause that is, is asked.
    """

    events: list[Event] = []
    instead_of: int | None = None
    address: Address | None = None
    note: str | None = None
    stopped: bool = False
    problem: Problem | None = None
    typed: str = ""
    late: Late | None = None
    own: Event | None = None
    turned: TurnedWords | None = None

    @property
    def status(self) -> int:
        """The status of a page that shows why it can't be used."""
        return 409 if self.late else 422


def one(form: Form, name: str) -> str:
    """Return the one value of a form's field, or an empty text."""
    return form.get(name, [""])[-1]


def fields(form: Sequence[tuple[str, str]]) -> Form:
    """Return a form's pairs by name."""
    out: dict[str, Any] = {}
    for name, value in form:
        out.setdefault(name, []).append(value)
    return out
