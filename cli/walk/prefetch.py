"""Advice worked out ahead, while a person reads a card: for each answer that the card offers, one after the other.

The advice is a pure function of the case, so what was worked out ahead is what would have been worked out then. Nothing is kept
and nothing is shown before somebody answers. A value that is typed can't be foreseen.
"""

from concurrent.futures import Future, ThreadPoolExecutor, wait

import msgspec

from ...engine import model
from ...engine.advice import Advice, Card
from ...engine.advise import advise
from ...engine.case.events import Event
from ...engine.case.interpret import interpret


class Prefetch:
    """Advice on cases of one kb, at hand where it was foreseen.

    Parameters
    ----------
    kb : KB
    ahead : bool
        Work ahead; else every case is worked out when it is asked for.
    """

    def __init__(self, kb: model.KB, ahead: bool) -> None:
        self.kb = kb
        # One worker: a second would take the processor from the person's own keys.
        self._worker = ThreadPoolExecutor(1, thread_name_prefix="prefetch") if ahead else None
        self._waiting: dict[bytes, Future[Advice]] = {}

    def advise(self, events: list[Event]) -> Advice:
        """Return the advice on a case.

        Parameters
        ----------
        events : list of Event

        Raises
        ------
        InvalidInputError
            As `engine.advise.advise`.
        """
        foreseen = self._waiting.pop(self.key(events), None)
        self._drop()
        # What nobody began yet is quicker worked out here than waited for.
        if foreseen is None or foreseen.cancel():
            return advise(self.kb, events)
        return foreseen.result()

    def look(self, events: list[Event], card: Card, proof: bool) -> None:
        """Begin to work out what follows each answer to a card.

        Parameters
        ----------
        events : list of Event
            The case so far.
        card : Card
            What is asked.
        proof : bool
            Whether it proves a remedy.
        """
        self._drop()
        if self._worker is None:
            return
        replies = [interpret(self.kb, card, str(n), proof).event for n in range(1, len(card.choices) + 1)]
        for event in [*replies, Event(cant=card.id) if card.kind in ("check", "fact") and not proof else None]:
            if event is not None:
                case = [*events, event]
                self._waiting.setdefault(self.key(case), self._worker.submit(advise, self.kb, case))

    def wait(self) -> set[bytes]:
        """Wait until all that was begun is worked out, and return the keys of those cases."""
        wait(self._waiting.values())
        return set(self._waiting)

    def key(self, events: list[Event]) -> bytes:
        """Return what a case is remembered by: all that was said, in order."""
        return msgspec.json.encode(events)

    def _drop(self) -> None:
        for future in self._waiting.values():
            future.cancel()
        self._waiting.clear()

    def close(self) -> None:
        """Work on nothing any more."""
        self._drop()
        if self._worker is not None:
            self._worker.shutdown(wait=False, cancel_futures=True)
