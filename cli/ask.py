"""The terminal's prompt: the only importer of prompt_toolkit."""

from collections.abc import Sequence
from typing import Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import Completer, FuzzyWordCompleter, WordCompleter
from prompt_toolkit.input import Input
from prompt_toolkit.output import Output

from .plain import Quit


class PromptAsker:
    """Asks at a full terminal, with completion.

    Parameters
    ----------
    source, sink : Input, Output, optional
        The terminal's two ends; the real ones unless a test gives its own.
    """

    def __init__(self, source: Input | None = None, sink: Output | None = None) -> None:
        self.session: PromptSession[str] = PromptSession(input=source, output=sink, enable_history_search=False)

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line typed by the person.

        Raises
        ------
        Quit
            On Ctrl-D at an empty prompt.
        KeyboardInterrupt
            On Ctrl-C.
        """
        completer: Completer | None = None
        if words:
            # Few choices complete as they stand; a long list is easier to search by any of its letters.
            completer = (
                FuzzyWordCompleter(list(words))
                if len(words) > 12
                else WordCompleter(list(words), ignore_case=True, sentence=True)
            )
        try:
            return self.session.prompt(prompt, completer=completer, complete_while_typing=len(words) > 12)
        except EOFError:
            raise Quit from None

    def flush(self) -> None:
        """Throw away keys pressed ahead, so that none of them answers a question of safety."""
        source: Any = self.session.input
        source.flush_keys()
        with source.raw_mode():
            while source.read_keys():
                pass
