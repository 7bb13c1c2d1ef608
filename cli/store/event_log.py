"""The events of a walk: on disk first, then in mind, then in the case file where there is one."""

from collections.abc import Callable

from ...engine.case.events import Event
from ...engine.errors import InvalidInputError, Problem
from .writer import CaseWriter

UNKEPT = "This walk goes on, but from here it is not kept; I try again with every answer."
AGAIN = "It is kept again, with all that was said meanwhile."


class EventLog:
    """The list of events, and where it is kept.

    What can't be written waits, in order, and is tried again with each answer: a lock ends, a disk gets room.

    Parameters
    ----------
    writer : CaseWriter
    events : list of Event
        What is in the book already.
    keep : callable, optional
        Given all events after each change, to keep them in a case file too; it may raise InvalidInputError.
    tell : callable
        Told what can't be kept (or None), and the words after it; each is told once, and the walk goes on.
    """

    def __init__(
        self,
        writer: CaseWriter,
        events: list[Event],
        keep: Callable[[list[Event]], None] | None,
        tell: Callable[[Problem | None, str], None],
    ) -> None:
        self.writer = writer
        self.events = list(events)
        self.keep = keep
        self.tell = tell
        self._late: list[Callable[[], None]] = []

    @property
    def kept(self) -> bool:
        """Whether the case, as it is now, can be taken up again from the store."""
        return self.writer.kept and not self._late

    def add(self, event: Event) -> None:
        """Keep an event."""
        self._write(lambda: self.writer.add(event))
        self.events.append(event)
        self._file()

    def take_back(self, at: int) -> None:
        """Take back the events from `at` on."""
        self._write(lambda: self.writer.take_back(at))
        del self.events[at:]
        self._file()

    def put(self, at: int, event: Event) -> None:
        """Put an event in the place of the one at `at`."""
        self._write(lambda: self.writer.put(at, event))
        self.events[at] = event
        self._file()

    def close(self) -> None:
        """Try once more what could not be written, and put the case out of these hands."""
        if self._late:
            self._write(lambda: None)
        self.writer.close()

    def _write(self, write: Callable[[], None]) -> None:
        late = bool(self._late)
        self._late.append(write)
        try:
            while self._late:
                self._late[0]()
                del self._late[0]
        except InvalidInputError as refused:
            if not late:
                self.writer.hurry()
                self.tell(refused.problems[0], UNKEPT)
            return
        if late:
            self.tell(None, AGAIN)

    def _file(self) -> None:
        if self.keep is None:
            return
        try:
            self.keep(self.events)
        except InvalidInputError as refused:
            self.keep = None
            self.tell(refused.problems[0], "")
