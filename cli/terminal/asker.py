"""The same conversation without a full terminal: pipes, dumb terminals, screen readers."""

from collections.abc import Sequence
from typing import Protocol

from .env import Env, is_tty


class Quit(Exception):
    """The person leaves: Ctrl-D, or the end of the piped input."""


class Asker(Protocol):
    """Whoever can put a prompt to a person and bring back one line."""

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line; raise Quit at the end of input and KeyboardInterrupt on Ctrl-C."""
        ...

    def pause(self, prompt: str) -> str:
        """Wait until the person has read the page, and return what was typed; no pause where nobody sits at a screen."""
        ...

    def flush(self) -> None:
        """Throw away what was typed ahead."""
        ...


class PlainAsker:
    """Asks line by line, with no redraw.

    Parameters
    ----------
    env : Env
    err : bool
        Write prompts to stderr, so that stdout stays data.
    """

    def __init__(self, env: Env, err: bool = False) -> None:
        self.env = env
        self.err = err

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return one line from standard input."""
        self.env.write(prompt, self.err)
        line = self.env.read_line()
        if not line:
            self.env.write("\n", self.err)
            raise Quit
        line = line.rstrip("\r\n")
        if not is_tty(self.env.stdin):
            # Show what was answered, so that the record of a piped run reads like a walk.
            self.env.write("".join(c for c in line if c.isprintable()) + "\n", self.err)
        return line

    def pause(self, prompt: str) -> str:
        """Wait for Enter at a terminal; piped lines are answers, and none of them is spent on a pause."""
        return self.ask(prompt) if is_tty(self.env.stdin) else ""

    def flush(self) -> None:
        """Throw away keys pressed ahead at a real terminal; piped lines are a script and are kept."""
        if is_tty(self.env.stdin):
            import termios

            termios.tcflush(self.env.stdin.fileno(), termios.TCIFLUSH)


class ScriptedAsker:
    """Answers from a list, for tests; leaves when it runs out.

    Parameters
    ----------
    lines : sequence of str or of exceptions
        What is typed; an exception is raised in its place.
    """

    def __init__(self, lines: Sequence[str | BaseException]) -> None:
        self.lines = list(lines)
        self.prompts: list[str] = []
        self.flushed = 0

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return the next scripted line."""
        self.prompts.append(prompt)
        if not self.lines:
            raise Quit
        line = self.lines.pop(0)
        if isinstance(line, BaseException):
            raise line
        return line

    def pause(self, prompt: str) -> str:
        """Go on at once."""
        return ""

    def flush(self) -> None:
        """Count the flushes."""
        self.flushed += 1
