"""What every answer needs, imported and read behind the first question, while the person reads and types."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from contextlib import suppress

from ..terminal.env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    import threading

    from ...engine import model
    from ...engine.errors import InvalidInputError


class WarmUp:
    """Reads the kb and imports the rest in a thread of its own; started once the prompt stands, it holds up no prompt.

    Parameters
    ----------
    args : Namespace
        Of `walk` or `resume`.
    env : Env
    """

    def __init__(self, args: argparse.Namespace, env: Env) -> None:
        self._args, self._env = args, env
        self._thread: threading.Thread | None = None
        self._kb: model.KB | None = None
        self._indexing: threading.Thread | None = None
        self._indexed: model.KB | None = None

    def start(self, refused: Callable[[InvalidInputError], None] | None = None) -> None:
        """Begin, once.

        Parameters
        ----------
        refused : callable, optional
            Told in the thread what is wrong with the kb or the arguments, so that nobody types on for nothing.
        """
        if self._thread is None:
            self._thread = behind(self._work, refused)

    def _work(self, refused: Callable[[InvalidInputError], None] | None) -> None:
        from ...engine.errors import InvalidInputError
        from ..inputs import cleared_events, load

        # What fails here fails again where it is used, and is said there.
        try:
            kb = load(self._args, self._env)
            cleared_events(kb, self._args.cleared)
            self._kb = kb
        except InvalidInputError as error:
            if refused:
                refused(error)
            return
        except OSError:
            return
        with suppress(Exception):
            import rapidfuzz.fuzz  # noqa: F401

            from ...engine import advise  # noqa: F401
            from ...engine.advising import explain  # noqa: F401
            from ...engine.case import interpret  # noqa: F401
            from ...engine.language import matching  # noqa: F401
            from . import loop  # noqa: F401
        self.index(kb)

    def index(self, kb: model.KB) -> None:
        """Work out of a kb what every answer needs, behind whatever goes on; a kb that it was done for is left."""
        if kb is not self._indexed:
            if self._indexing:
                self._indexing.join()
            self._indexed, self._indexing = kb, behind(_index, kb)

    def join(self) -> None:
        """Wait until all that was begun is there."""
        for thread in (self._thread, self._indexing):
            if thread:
                thread.join()

    def kb(self) -> model.KB:
        """Return the kb, waiting for it.

        Raises
        ------
        InvalidInputError
            Where it, or the machine sheet, is not valid.
        """
        from ..inputs import load

        if self._thread:
            self._thread.join()
        return self._kb or load(self._args, self._env)


def behind(work: Callable[..., None], *given: object) -> threading.Thread:
    """Start some work in a thread of its own."""
    import threading

    thread = threading.Thread(target=work, args=given, daemon=True)
    thread.start()
    return thread


def _index(kb: model.KB) -> None:
    from ...engine.diagnosis.network import network_of
    from ...engine.language.phrases import index_of

    with suppress(Exception):
        network_of(kb)
        index_of(kb)
