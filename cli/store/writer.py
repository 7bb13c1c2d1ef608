"""One case of the store, as a walk writes in it: begun with the first thing that is said, held while the walk lasts."""

from contextlib import suppress
from pathlib import Path

from ...engine.case.events import Event
from ...engine.case.rows import leading
from ...engine.case.status import TELLING, told
from ...engine.errors import InvalidInputError
from .file import MEMORY
from .location import beside
from .store import Store


class CaseWriter:
    """Writes one case; without a store it keeps nothing.

    Parameters
    ----------
    store : Store, optional
    case : str, optional
        A case that is there already; else one is begun with the first event that says something.
    places : list of int, optional
        Where each event that the walk knows stands among those that are kept: an older kb's events may lie between them.
    total : int
        How many events are kept.
    reference, earlier, kb, source : str
        What a new case is begun with.

    Raises
    ------
    InvalidInputError
        Where the case is in other hands.
    """

    def __init__(
        self,
        store: Store | None,
        case: str | None = None,
        places: list[int] | None = None,
        total: int = 0,
        *,
        reference: str = "",
        earlier: str | None = None,
        kb: str = "",
        source: str = "",
    ) -> None:
        self.store = store
        self.case = case
        self.reference, self.earlier, self.kb, self.source = reference, earlier, kb, source
        self._places = list(places or [])
        self._total = total
        self._waiting: list[Event] = []
        self._shown: tuple[int, str] | None = None
        if store and case:
            store.hold(case)

    @property
    def kept(self) -> bool:
        """Whether the case can be taken up again by another process."""
        return self.store is not None and self.store.path != MEMORY

    @property
    def beside(self) -> Path | None:
        """A file beside the store that is the case's own, for whoever goes on with it elsewhere."""
        if self.store is None or self.case is None or self.store.path == MEMORY:
            return None
        return beside(Path(self.store.path), self.case)

    def add(self, event: Event) -> None:
        """Keep one event; it is on disk when this returns.

        Raises
        ------
        InvalidInputError
            If it can't be written.
        """
        if self.store is None:
            return
        if self.case is None:
            if leading(event) in TELLING:
                self._begin(self.store, [*self._waiting, event])
            else:
                self._waiting.append(event)
            return
        with self.store.together():
            self.store.add(self.case, event)
            if self._shown:
                self.store.saw(self.case, *self._shown)
        self._shown = None
        self._places.append(self._total)
        self._total += 1

    def _begin(self, store: Store, events: list[Event]) -> None:
        """Begin the case with all that was said so far, at once or not at all."""
        with store.together():
            case = store.begin(self.reference, earlier=self.earlier, kb=self.kb, journal=self.source)
            store.hold(case)
            for event in events:
                store.add(case, event)
        self.case = case
        self._places, self._total = list(range(len(events))), len(events)
        self._waiting = []

    def take_back(self, at: int) -> None:
        """Keep that the events from `at` on are taken back.

        Raises
        ------
        InvalidInputError
            If it can't be written.
        """
        if self.store is None:
            return
        if self.case is None:
            del self._waiting[at:]
            return
        self.store.undo(self.case, self._total - self._places[at])
        self._total = self._places[at]
        del self._places[at:]

    def put(self, at: int, event: Event) -> None:
        """Keep that another event stands in the place of the one at `at`.

        Raises
        ------
        InvalidInputError
            If it can't be written.
        """
        if self.store is None:
            return
        if self.case is None:
            self._waiting[at] = event
            return
        self.store.put(self.case, self._places[at], event)

    def saw(self, count: int, shown: str) -> None:
        """Remember what is advised after `count` events; it is kept with the next answer."""
        # A later kb is asked about the same events, so it counts those that are kept.
        self._shown = (self._places[count - 1] + 1 if 0 < count <= len(self._places) else 0, shown)

    def adopt(self, events: list[Event]) -> None:
        """Take a whole case from elsewhere, in one write: it stands in the place of what was kept of it.

        Raises
        ------
        InvalidInputError
            If it can't be written.
        """
        if self.store is None:
            return
        if self.case is None:
            if told(events):
                self._begin(self.store, events)
            else:
                self._waiting = list(events)
            return
        with self.store.together():
            self.store.undo(self.case, len(self.store.events(self.case)))
            for event in events:
                self.store.add(self.case, event)
        self._places, self._total = list(range(len(events))), len(events)

    def hurry(self) -> None:
        """Wait for nobody from here on: each answer would wait again for what did not come."""
        if self.store is not None:
            self.store.hurry()

    def close(self) -> None:
        """Put the case out of these hands."""
        if self.store is not None:
            with suppress(InvalidInputError):
                if self.case and not told(self.store.events(self.case)):
                    # All that was said was taken back.
                    self.store.forget(self.case)
            self.store.close()
            self.store = None
