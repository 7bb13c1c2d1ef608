"""What the parts of a walk hand back to its loop: lines to show, a line to ask for, events to keep. Nothing here prints or saves.

A part is a generator: it yields what it wants done, and is sent what came of it. So each part can be driven by a test without a
terminal or a store, and only the loop (`loop.Walk`) prints, asks and records.
"""

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from ...engine import model
from ...engine.case.events import Event
from ...engine.errors import Problem
from ..terminal.layout import Layout

T = TypeVar("T")


@dataclass(frozen=True)
class Say:
    """Show lines to the person."""

    lines: Sequence[str]


@dataclass(frozen=True)
class Prompt:
    """Ask for one line; it is sent back. The words are offered to be completed."""

    prompt: str = "> "
    words: Sequence[str] = ()


@dataclass(frozen=True)
class Keep:
    """Keep an event."""

    event: Event


@dataclass(frozen=True)
class Replace:
    """Put an event in the place of an earlier one."""

    at: int
    event: Event


@dataclass(frozen=True)
class TakeBack:
    """Take back the events from one on."""

    at: int


@dataclass(frozen=True)
class ClearGates:
    """Ask the gates of these hazards; False is sent back where one of them stopped the walk."""

    hazards: Sequence[str]


Wish = Say | Prompt | Keep | Replace | TakeBack | ClearGates
# A part yields wishes, is sent what came of each (a line, a truth value, or nothing), and returns a T.
Part = Generator[Wish, Any, T]


class Conversation(Protocol):
    """What a part may look at: the kb, the case so far, the size of the screen, and how the case is kept."""

    kb: model.KB

    @property
    def events(self) -> list[Event]:
        """The case so far; after a wish to record, with what was recorded."""

    @property
    def layout(self) -> Layout:
        """The layout at the terminal's size of this moment."""

    @property
    def kept_as(self) -> str | None:
        """The id under which the case can be taken up again from the store; None where it can't."""


def problem_lines(layout: Layout, problem: Problem) -> list[str]:
    """Return a question that goes back to the person, as lines.

    Parameters
    ----------
    layout : Layout
    problem : Problem

    Examples
    --------
    >>> problem_lines(Layout(80), Problem(code="A004", message="which one", mend="type a number"))
    ['   Which one.', '   Type a number.']
    """
    text = _sentence(problem.message)
    lines = layout.wrap(text, 3)
    if problem.nearest and problem.nearest not in text:
        lines += layout.wrap(f"Nearest: {problem.nearest}", 3)
    if problem.mend:
        lines += layout.wrap(_sentence(problem.mend), 3)
    return lines


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?")) else text + "."
