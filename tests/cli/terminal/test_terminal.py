"""A few real runs at a pseudo-terminal: start, Ctrl-C, Ctrl-D, resize, a dumb terminal, keys typed ahead."""

import fcntl
import os
import pty
import select
import struct
import sys
import termios

import msgspec
import pyte
import pytest

from tests.support.person import kept
from tests.support.places import ROOT

PATIENCE = 20  # seconds without a sign of life before a test gives up


class Terminal:
    """A program at a pseudo-terminal of its own."""

    def __init__(self, tmp_path, cache, *argv, width=80, **more):
        environ = {
            "PATH": os.environ["PATH"],
            "HOME": str(tmp_path),
            "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
            "DRYFLOOR_CACHE_DIR": str(cache),
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm",
            **more,
        }
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.chdir(tmp_path)
            os.execve(sys.executable, [sys.executable, "-m", "dryfloor", *argv], environ)
        self.resize(width)
        self.raw = b""

    def resize(self, width):
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24, width, 0, 0))

    def until(self, text, after=0):
        """Read until some text was written after a place in the output; return the place behind it."""
        text = text.encode()
        while text not in self.raw[after:]:
            ready, _, _ = select.select([self.fd], [], [], PATIENCE)
            assert ready, f"waited for {text!r}; so far: {self.raw[after:].decode(errors='replace')}"
            try:
                part = os.read(self.fd, 65536)
            except OSError:
                part = b""
            assert part, f"it ended before {text!r}: {self.raw.decode(errors='replace')}"
            self.raw += part
        return self.raw.index(text, after) + len(text)

    def type(self, keys):
        os.write(self.fd, keys.encode())

    def end(self):
        """Read to the end; return the exit code and the last screen."""
        while True:
            ready, _, _ = select.select([self.fd], [], [], PATIENCE)
            assert ready, f"waited for its end; so far: {self.raw.decode(errors='replace')}"
            try:
                part = os.read(self.fd, 65536)
            except OSError:
                break
            if not part:
                break
            self.raw += part
        _, status = os.waitpid(self.pid, 0)
        os.close(self.fd)
        screen = pyte.Screen(80, 24)
        pyte.Stream(screen).feed(self.raw.decode(errors="replace"))
        return os.waitstatus_to_exitcode(status), [line.rstrip() for line in screen.display]


@pytest.fixture
def terminal(tmp_path, kept_kb):
    def start(*argv, **more):
        return Terminal(tmp_path, kept_kb, *argv, **more)

    return start


def events(tmp_path):
    return [msgspec.to_builtins(e) for e in kept(tmp_path / "data" / "cases.db")]


def to_the_gate(term):
    term.until("What is wrong?")
    at = term.until(">")
    term.type("it hops about\r")
    at = term.until("Right?", at)
    at = term.until(">", at)
    term.type("yes\r")
    return term.until("in doubt, type not safe.", at)


def test_ctrl_c_is_130_and_the_case_is_kept_and_offered_again(terminal, tmp_path):
    term = terminal()
    at = to_the_gate(term)
    term.until(">", at)
    term.type("\x03")
    code, screen = term.end()
    assert code == 130
    assert any(line.startswith("Interrupted. The case is kept") for line in screen)
    assert events(tmp_path)[-1] == {"heard": "it hops about", "complaints": ["walks"]}
    again = terminal()
    seen = again.until("A walk was cut off")
    again.until(">", seen)
    again.type("yes\r")
    # What is typed before a gate's prompt is dropped, Ctrl-C in raw mode too.
    again.until(">", again.until("in doubt, type not safe."))
    again.type("\x03")
    assert again.end()[0] == 130


@pytest.mark.slow
def test_ctrl_c_at_the_first_question_is_130_and_leaves_no_case(terminal, tmp_path):
    term = terminal()
    term.until(">")
    term.type("\x03")
    code, _ = term.end()
    assert code == 130
    assert not list((tmp_path / "data" / "cases").glob("*"))


@pytest.mark.slow
def test_ctrl_d_at_an_empty_prompt_leaves_with_1(terminal, tmp_path):
    term = terminal()
    at = to_the_gate(term)
    term.until(">", at)
    term.type("\x04")
    code, screen = term.end()
    assert code == 1
    assert any(line.startswith("Left here. The case is kept") for line in screen)


def test_keys_typed_ahead_do_not_pass_a_gate(terminal, tmp_path):
    term = terminal()
    term.until(">")
    term.type("it hops about\r")
    at = term.until("Right?")
    term.until(">", at)
    term.type("yes\rnone\rstopped\r")
    at = term.until("in doubt, type not safe.", at)
    term.until(">", at)
    term.type("\x03")
    assert term.end()[0] == 130
    assert not any("cleared" in e for e in events(tmp_path))


@pytest.mark.slow
def test_a_resize_in_mid_card_shows_the_next_card_at_the_new_width(terminal):
    term = terminal("--say", "it hops about", "--cleared", "walking-machine", "--cleared", "gas-smell")
    term.until(">")
    term.type("yes\r")
    at = term.until("why now  ")
    at = term.until(">", at)
    term.resize(40)
    term.type("1\r")
    at = term.until("why now: ", at)
    at = term.until(">", at)
    term.type("stop\r")
    assert term.end()[0] == 1


@pytest.mark.parametrize("how", ["dumb", pytest.param("plain", marks=pytest.mark.slow)])
def test_a_dumb_terminal_and_plain_get_no_escape_and_no_echo_twice(terminal, tmp_path, how):
    term = terminal(TERM="dumb") if how == "dumb" else terminal("--plain", NO_COLOR="1")
    at = to_the_gate(term)
    at = term.until(">", at)
    term.type("not safe\n")
    code, _ = term.end()
    assert code == 5
    assert b"\x1b" not in term.raw
    assert term.raw.count(b"it hops about") == 1


def test_a_kb_that_is_not_valid_is_said_while_nobody_has_typed(terminal, tmp_path):
    folder = tmp_path / "kb"
    folder.mkdir()
    (folder / "facts.yaml").write_text("onset: 3\n")
    term = terminal("--kb", str(folder))
    term.until(">")
    code, screen = term.end()
    assert code == 4
    assert any("facts.yaml" in line for line in screen)


def test_a_hazard_that_is_not_known_is_said_while_nobody_has_typed(terminal):
    term = terminal("--cleared", "gas-smel")
    term.until(">")
    code, screen = term.end()
    assert code == 2
    assert any("gas-smell" in line for line in screen)
