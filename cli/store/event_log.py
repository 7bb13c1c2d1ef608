"""One case of the store as a walk writes it: on disk first, then in mind, then in the case file where there is one."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from ...engine.case.clearance import kept_of, without_clearances
from ...engine.case.events import Event
from ...engine.case.rows import leading
from ...engine.case.status import TELLING, told
from ...engine.errors import InvalidInputError, Problem
from .database.file import MEMORY
from .location import beside
from .store import Store

Write = Callable[[bool], None]  # writes something, or only takes note of it where it is in the store already
UNKEPT = "This walk goes on, but from here it is not kept; I try again with every answer."
AGAIN = "It is kept again, with all that was said meanwhile."


class Notice(NamedTuple):
    """What a person is to be told of the keeping: what can't be kept (or None), and the words after it."""

    problem: Problem | None
    words: str


class EventLog:
    """The events of one case, and where they are kept; without a store they are in mind alone.

    A case is begun in the store with the first event that says something, and held while the walk lasts. What can't be written
    waits, in order, and is tried again with each answer: a lock ends, a disk gets room. What may have been written (U041) is asked about first,
    so that nothing is there twice. Whatever keeps an event returns what
    the person is to be told, once; nothing is printed here.

    Parameters
    ----------
    store : Store, optional
    case : str, optional
        A case that is there already, which is held from now on.
    events : sequence of Event
        Those of it that the walk knows; they are in the store already.
    places : sequence of int
        Where each of them stands among those that are kept: events of an older kb may lie between them.
    total : int
        How many events are kept.
    reference, earlier, kb, source : str
        What a new case is begun with.
    keep : callable, optional
        Given what is kept of the events after each change, to keep them in a case file too; it may raise InvalidInputError.

    Raises
    ------
    InvalidInputError
        Where the case is in other hands.
    """

    def __init__(
        self,
        store: Store | None,
        case: str | None = None,
        events: Sequence[Event] = (),
        places: Sequence[int] = (),
        total: int = 0,
        *,
        reference: str = "",
        earlier: str | None = None,
        kb: str = "",
        source: str = "",
        keep: Callable[[list[Event]], None] | None = None,
    ) -> None:
        self.store = store
        self.case = case
        self.events = list(events)
        self.keep = keep
        self.reference, self.earlier, self.kb, self.source = reference, earlier, kb, source
        self._places = list(places)
        self._total = total
        self._before: list[Event] = []  # said before the case was begun
        # Done in one write with the event that closes the case as solved: what the installation before it has to know.
        self.solved: Callable[[Store, str], None] | None = None
        self.carried: Sequence[Event] = ()  # from the case before this one: nothing that anybody says now
        self._shown: tuple[int, str] | None = None
        self._late: list[Write] = []
        self._doubt = False  # nobody knows whether the first of these was written
        self._new = ""  # the case that was begun last
        if store and case:
            store.hold(case)

    @property
    def kept(self) -> bool:
        """Whether the case, as it is now, can be taken up again from the store by another process."""
        return self.store is not None and self.store.path != MEMORY and not self._late

    @property
    def in_memory(self) -> bool:
        """Whether it was asked for that nothing is kept."""
        return self.store is not None and self.store.path == MEMORY

    @property
    def beside(self) -> Path | None:
        """A file beside the store that is the case's own, for whoever goes on with it elsewhere."""
        if self.store is None or self.case is None or not isinstance(self.store.path, Path):
            return None
        return beside(self.store.path, self.case)

    def add(self, event: Event) -> list[Notice]:
        """Keep an event."""
        notices = self._write(lambda there: self._add(event, there))
        self.events.append(event)
        return notices + self._file()

    def take_back(self, at: int) -> list[Notice]:
        """Take back the events from `at` on."""
        notices = self._write(lambda there: self._take_back(at, there))
        del self.events[at:]
        return notices + self._file()

    def put(self, at: int, event: Event) -> list[Notice]:
        """Put an event in the place of the one at `at`."""
        notices = self._write(lambda there: self._put(at, event, there))
        self.events[at] = event
        return notices + self._file()

    def saw(self, count: int, shown: str) -> None:
        """Remember what is advised after `count` events; it is kept with the next answer."""
        # A later kb is asked about the same events, so it counts those that are kept.
        if not 0 < count <= len(self._places):
            self._shown = (0, shown)
            return
        at = self._places[count - 1]
        after = self._places[count] if count < len(self._places) else self._total
        self._shown = (min(at + 1, after), shown)  # the same place twice: a cleared gate, which is not kept

    def adopt(self, events: list[Event]) -> None:
        """Take a whole case from elsewhere, in one write: it stands in the place of what was kept of it.

        Raises
        ------
        InvalidInputError
            If it can't be written; the events are in mind all the same.
        """
        self.events = list(events)
        if self.store is None:
            return
        if self.case is None:
            if told(events):
                self._begin(self.store, events)
            else:
                self._before = list(events)
            return
        with self.store.together():
            self.store.undo(self.case, len(self.store.events(self.case)))
            for event in kept_of(events):
                self.store.add(self.case, event)
        self._placed(events)

    def close(self) -> list[Notice]:
        """Try once more what could not be written, and put the case out of these hands."""
        notices = self._write(lambda _: None) if self._late else []
        if self.store is not None:
            with suppress(InvalidInputError):
                if self.case and not told(self.store.events(self.case)) and not self.store.line(self.case).damage:
                    # All that was said was taken back.
                    self.store.forget(self.case)
            self.store.close()
            self.store = None
        return notices

    def _write(self, write: Write) -> list[Notice]:
        late = bool(self._late)
        self._late.append(write)
        try:
            while self._late:
                there = self._doubt and self.store is not None and self.store.settle()
                self._doubt = False
                self._late[0](there)
                del self._late[0]
        except InvalidInputError as refused:
            self._doubt = refused.problems[0].code == "U041"
            if late:
                return []
            if self.store is not None:
                # Each answer would wait again for what did not come.
                self.store.hurry()
            return [Notice(refused.problems[0], UNKEPT)]
        return [Notice(None, AGAIN)] if late else []

    def _file(self) -> list[Notice]:
        if self.keep is None:
            return []
        try:
            self.keep(kept_of(self.events))
        except InvalidInputError as refused:
            self.keep = None
            return [Notice(refused.problems[0], "")]
        return []

    def _add(self, event: Event, there: bool) -> None:
        """Write one event, unless it is there already; it is on disk when this returns."""
        if self.store is None:
            return
        if self.case is None:
            if leading(event) in TELLING and event not in self.carried:
                self._begin(self.store, [*self._before, event], there)
            else:
                self._before.append(event)
            return
        if event.cleared is not None:
            # It has a place in the walk and none in the store.
            self._places.append(self._total)
            return
        if not there:
            with self.store.together():
                self.store.add(self.case, event)
                if event.closed == "solved" and self.solved:
                    self.solved(self.store, self.case)
                if self._shown:
                    self.store.saw(self.case, *self._shown)
        self._shown = None
        self._places.append(self._total)
        self._total += 1

    def _begin(self, store: Store, events: list[Event], there: bool = False) -> None:
        """Begin the case with all that was said so far, at once or not at all, unless it is there already."""
        if not there:
            with store.together():
                self._new = store.begin(self.reference, earlier=self.earlier, kb=self.kb, journal=self.source)
                store.hold(self._new)
                for event in kept_of(events):
                    store.add(self._new, event)
        self.case = self._new
        self._placed(events)
        self._before = []

    def _placed(self, events: Sequence[Event]) -> None:
        """Remember where each event of the walk stands among those that are kept: a cleared gate is none of them."""
        self._places, self._total = [], 0
        for event in without_clearances(events):
            self._places.append(self._total)
            self._total += event is not None

    def _take_back(self, at: int, there: bool) -> None:
        if self.store is None:
            return
        if self.case is None:
            del self._before[at:]
            return
        if self._total > self._places[at] and not there:
            self.store.undo(self.case, self._total - self._places[at])
        self._total = self._places[at]
        del self._places[at:]

    def _put(self, at: int, event: Event, there: bool) -> None:
        if self.store is None:
            return
        if self.case is None:
            self._before[at] = event
            return
        if not there:
            self.store.put(self.case, self._places[at], event)
