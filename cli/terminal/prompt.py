"""The terminal's prompt: the only importer of prompt_toolkit."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import Completer, FuzzyWordCompleter, WordCompleter
from prompt_toolkit.input import Input
from prompt_toolkit.input.typeahead import clear_typeahead
from prompt_toolkit.output import Output, create_output
from prompt_toolkit.shortcuts import CompleteStyle

from ...engine.language.sanitize import visible
from .asker import Quit

FEW = 12  # choices; more than these are searched by any of their letters


class PromptAsker:
    """Asks at a full terminal, with completion.

    Parameters
    ----------
    source, sink : Input, Output, optional
        The terminal's two ends; the real ones unless a test gives its own.
    """

    def __init__(self, source: Input | None = None, sink: Output | None = None) -> None:
        if sink is None:
            sink = create_output()
            # Not asked where its cursor is, a slow or simple terminal has no answer to owe.
            sink.enable_cpr = False  # type: ignore[attr-defined]
        self.session: PromptSession[str] = PromptSession(input=source, output=sink, reserve_space_for_menu=3)
        self._early: str | BaseException | None = None
        self._shown: Callable[[], None] | None = None
        self.session.app.after_render += self._rendered

    def ask_early(self, prompt: str, shown: Callable[[], None]) -> None:
        """Ask now what the next `ask` is to bring, be it a line or that the person leaves.

        Parameters
        ----------
        prompt : str
        shown : callable
            Called once, as soon as the prompt stands on the screen and takes keys.

        Raises
        ------
        Exception
            What `fail` was given meanwhile.
        """
        self._shown = shown
        try:
            self._early = self.ask(prompt)
        except (Quit, KeyboardInterrupt) as left:
            self._early = left

    def fail(self, error: Exception) -> None:
        """End the question that is being asked by raising an error there; from any thread, and nothing where none is asked."""
        app = self.session.app

        def end() -> None:
            if app.is_running and not app.is_done:
                app.exit(exception=error)

        with suppress(RuntimeError):  # it was answered by now
            if app.loop:
                app.loop.call_soon_threadsafe(end)

    def _rendered(self, _: object) -> None:
        if self._shown:
            shown, self._shown = self._shown, None
            shown()

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line typed by the person.

        Raises
        ------
        Quit
            On Ctrl-D at an empty prompt.
        KeyboardInterrupt
            On Ctrl-C.
        """
        if self._early is not None:
            early, self._early = self._early, None
            if isinstance(early, BaseException):
                raise early
            return early
        completer: Completer | None = None
        words = [visible(word) for word in words]
        many = len(words) > FEW
        if words:
            completer = (
                FuzzyWordCompleter(list(words)) if many else WordCompleter(list(words), ignore_case=True, sentence=True)
            )
        try:
            return self.session.prompt(
                prompt,
                completer=completer,
                complete_while_typing=many,
                # A menu under the prompt would push the card's head off the screen.
                complete_style=CompleteStyle.COLUMN if many else CompleteStyle.READLINE_LIKE,
            )
        except EOFError:
            raise Quit from None

    def pause(self, prompt: str) -> str:
        """Wait for Enter, so that one page is read before the next pushes it up; return what was typed before it."""
        return self.ask(prompt)

    def flush(self) -> None:
        """Throw away keys pressed ahead, so that none of them answers a question of safety."""
        source: Any = self.session.input
        with source.raw_mode():
            while source.read_keys():
                pass
        source.flush_keys()
        clear_typeahead(source)
