"""The conversation without a full terminal: pipes, dumb terminals, screen readers."""

import io
import json

import pytest

from dryfloor.cli.env import Env
from dryfloor.cli.plain import PlainAsker, Quit, ScriptedAsker

WALK = "it hops about\nyes\nnone\nstopped\n"


class Tty(io.StringIO):
    """A stream that says that it is a terminal."""

    def isatty(self):
        return True


def test_each_piped_line_answers_one_prompt():
    env = Env(io.StringIO("one\ntwo\r\nthree"), io.StringIO(), io.StringIO(), {})
    asker = PlainAsker(env)
    asker.pause("Enter > ")
    assert [asker.ask("> ") for _ in range(3)] == ["one", "two", "three"]
    with pytest.raises(Quit):
        asker.ask("> ")


def test_a_piped_line_is_shown_after_its_prompt_without_control_characters():
    env = Env(io.StringIO("a\x1b[2Jb\n"), io.StringIO(), io.StringIO(), {})
    PlainAsker(env).ask("> ")
    assert env.stdout.getvalue() == "> a[2Jb\n"


def test_at_a_terminal_nothing_is_echoed_twice_and_a_pause_waits():
    env = Env(Tty("\nyes\n"), Tty(), io.StringIO(), {})
    asker = PlainAsker(env)
    asker.pause("Enter goes on > ")
    assert asker.ask("> ") == "yes"
    assert env.stdout.getvalue() == "Enter goes on > > "


def test_a_scripted_asker_raises_what_it_is_given_and_leaves_at_its_end():
    asker = ScriptedAsker(["a", KeyboardInterrupt()])
    assert asker.ask("> ") == "a"
    with pytest.raises(KeyboardInterrupt):
        asker.ask("> ")
    with pytest.raises(Quit):
        asker.ask("> ")


def test_a_piped_walk_redraws_nothing_and_colours_nothing(run):
    done = run("walk", typed=WALK)
    assert "\x1b" not in done.out
    assert done.err == ""
    assert done.code == 1
    assert "1  " in done.out


def test_with_json_the_conversation_is_on_stderr_and_stdout_is_one_envelope(run):
    done = run("walk", "--json", typed=WALK)
    assert json.loads(done.out)["data"]["complaints"] == ["walks"]
    assert "BEFORE ANYTHING ELSE" in done.err
    assert list(json.loads(done.out)) == ["dryfloor", "command", "status", "exit", "data", "errors"]


@pytest.mark.parametrize("typed", ["", "it hops about\n", "it hops about\nyes\nno idea\n"])
def test_with_json_every_end_has_one_envelope(run, typed):
    done = run("walk", "--json", typed=typed)
    assert json.loads(done.out)["exit"] == done.code


@pytest.mark.parametrize("width", ["20", "40", "80"])
def test_a_walk_keeps_to_the_width(run, width):
    done = run("walk", typed=WALK + "why\n1\n1\nlist\nhelp\n", COLUMNS=width)
    typed = {f"> {line}" for line in WALK.splitlines()}
    assert max(
        len(line) for line in done.out.splitlines() if line not in typed and "Say it in your own words" not in line
    ) <= int(width)


def test_letters_that_a_stream_can_not_show_are_replaced():
    raw = io.BytesIO()
    env = Env(io.StringIO(""), io.TextIOWrapper(raw, encoding="ascii"), io.StringIO(), {})
    env.say("130 °F, 39 ½ in")
    env.write("é")
    assert raw.getvalue() == b"130 ?F, 39 ? in\n?"


def test_colour_follows_the_usual_words():
    def colour(stream, **environ):
        return Env(io.StringIO(), stream, io.StringIO(), environ).colour

    assert colour(Tty(), TERM="xterm")
    assert not colour(Tty(), TERM="dumb")
    assert not colour(Tty(), TERM="xterm", NO_COLOR="1")
    assert not colour(io.StringIO(), TERM="xterm")
    assert colour(io.StringIO(), FORCE_COLOR="1")
    assert not colour(io.StringIO(), FORCE_COLOR="1", NO_COLOR="1")


@pytest.mark.parametrize(
    ("columns", "width"), [("", 80), ("0", 80), ("-3", 80), ("abc", 80), ("7", 20), ("40", 40), ("999", 100), ("²", 80)]
)
def test_width_without_a_terminal_is_from_columns_within_reason(columns, width):
    assert Env(io.StringIO(), io.StringIO(), io.StringIO(), {"COLUMNS": columns}).width == width


@pytest.mark.parametrize(
    ("stdin", "stdout", "term", "full"),
    [
        (Tty, Tty, "xterm", True),
        (Tty, Tty, "dumb", False),
        (Tty, Tty, "", False),
        (io.StringIO, Tty, "xterm", False),
        (Tty, io.StringIO, "xterm", False),
    ],
)
def test_the_full_terminal_is_used_only_where_there_is_one(stdin, stdout, term, full):
    assert Env(stdin(), stdout(), io.StringIO(), {"TERM": term}).interactive is full
