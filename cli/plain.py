"""The same conversation without a full terminal: pipes, dumb terminals, screen readers."""

from collections.abc import Sequence
from typing import Protocol

from .env import Env


class Quit(Exception):
    """The person leaves: Ctrl-D, or the end of the piped input."""


class Asker(Protocol):
    """Whoever can put a prompt to a person and bring back one line."""

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line; raise Quit at the end of input and KeyboardInterrupt on Ctrl-C."""
        ...

    def flush(self) -> None:
        """Throw away what was typed ahead."""
        ...


class PlainAsker:
    """Asks line by line, with no redraw; `err` writes prompts to stderr so that stdout stays data."""

    def __init__(self, env: Env, err: bool = False) -> None:
        self.env = env
        self.err = err

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line from standard input; what is not text in it is replaced, not refused."""
        stream = self.env.stderr if self.err else self.env.stdout
        stream.write(prompt)
        stream.flush()
        try:
            line = self.env.stdin.readline()
        except UnicodeDecodeError:
            line = "\n"
        if not line:
            stream.write("\n")
            raise Quit
        if not self.env.stdin.isatty():
            # Show what was answered, so that a transcript of a piped run reads like a walk.
            stream.write(line.rstrip("\n") + "\n")
        return line.rstrip("\r\n")

    def flush(self) -> None:
        """Throw away keys pressed ahead at a real terminal; piped lines are a script and are kept."""
        if self.env.stdin.isatty():
            import termios

            termios.tcflush(self.env.stdin.fileno(), termios.TCIFLUSH)


class ScriptedAsker:
    """Answers from a list, for tests; raises when it runs out."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = list(lines)
        self.prompts: list[str] = []
        self.flushed = 0

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return the next scripted line."""
        self.prompts.append(prompt)
        if not self.lines:
            raise Quit
        return self.lines.pop(0)

    def flush(self) -> None:
        """Count the flushes."""
        self.flushed += 1
