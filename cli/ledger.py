"""The events of a walk: on disk first, then in mind, then in the case file where there is one."""

from collections.abc import Callable

from ..engine.case import Event
from ..engine.problems import Problem, Refused
from .journal import Journal

UNKEPT = "This walk goes on, but from here it is not kept."


class Ledger:
    """The list of events, and where it is kept.

    Parameters
    ----------
    journal : Journal
    events : list of Event
        What is in the journal already.
    keep : callable, optional
        Given all events after each change, to keep them in a case file too; it may raise Refused.
    tell : callable
        Told what can't be kept, and the words after it; each is told once, and the walk goes on.
    """

    def __init__(
        self,
        journal: Journal,
        events: list[Event],
        keep: Callable[[list[Event]], None] | None,
        tell: Callable[[Problem, str], None],
    ) -> None:
        self.journal = journal
        self.events = list(events)
        self.keep = keep
        self.tell = tell

    @property
    def kept(self) -> bool:
        """Whether the case can be taken up again from the journal."""
        return self.journal.path is not None

    def add(self, event: Event) -> None:
        """Keep an event."""
        self._write(lambda: self.journal.add(event))
        self.events.append(event)
        self._file()

    def take_back(self, at: int) -> None:
        """Take back the events from `at` on."""
        gone = len(self.events) - at
        self._write(lambda: self.journal.undo(gone))
        del self.events[at:]
        self._file()

    def put(self, at: int, event: Event) -> None:
        """Put an event in the place of the one at `at`."""
        self._write(lambda: self.journal.put(at, event))
        self.events[at] = event
        self._file()

    def _write(self, write: Callable[[], None]) -> None:
        try:
            write()
        except Refused as refused:
            self.journal.close()
            self.journal = Journal(None)
            self.tell(refused.problems[0], UNKEPT)

    def _file(self) -> None:
        if self.keep is None:
            return
        try:
            self.keep(self.events)
        except Refused as refused:
            self.keep = None
            self.tell(refused.problems[0], "")
