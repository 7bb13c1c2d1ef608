"""The terminal's prompt, through prompt_toolkit's own pipe input."""

import threading

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from dryfloor.cli.terminal.asker import Quit
from dryfloor.cli.terminal.prompt import PromptAsker
from tests.support.places import ROOT


@pytest.fixture
def typing():
    with create_pipe_input() as source:
        yield source, PromptAsker(source, DummyOutput())


def test_a_line_is_what_was_typed(typing):
    source, asker = typing
    source.send_text("39 1/2 in\r")
    assert asker.ask("> ") == "39 1/2 in"


def test_typed_ahead_lines_answer_the_next_prompts(typing):
    source, asker = typing
    source.send_text("one\rtwo\r")
    assert [asker.ask("> "), asker.ask("> ")] == ["one", "two"]


def test_a_gate_throws_away_what_was_typed_ahead(typing):
    """Both what prompt_toolkit has read already and what still lies in the terminal."""
    source, asker = typing
    source.send_text("one\rstopped\r")
    assert asker.ask("> ") == "one"
    source.send_text("stopped\r")
    asker.flush()
    source.send_text("not yet\r")
    assert asker.ask("> ") == "not yet"


def test_half_a_word_typed_ahead_does_not_begin_the_answer(typing):
    source, asker = typing
    source.send_text("one\rstop")
    assert asker.ask("> ") == "one"
    asker.flush()
    source.send_text("ped\r")
    assert asker.ask("> ") == "ped"


def test_ctrl_c_interrupts_and_loses_the_half_line_only(typing):
    source, asker = typing
    source.send_text("half\x03")
    with pytest.raises(KeyboardInterrupt):
        asker.ask("> ")


def test_ctrl_d_leaves_at_an_empty_prompt_only(typing):
    source, asker = typing
    source.send_text("ab\x04\r")
    assert asker.ask("> ") == "ab"
    source.send_text("\x04")
    with pytest.raises(Quit):
        asker.ask("> ")


def test_tab_completes_a_choice_by_its_start(typing):
    source, asker = typing
    source.send_text("wh\t\r")
    assert asker.ask("> ", ["on every wash", "only now and then", "why"]) == "why"


def test_a_paste_of_several_lines_is_one_answer(typing):
    source, asker = typing
    source.send_text("\x1b[200~it hops\nabout\x1b[201~\r")
    assert asker.ask("> ").split() == ["it", "hops", "about"]


def test_a_pause_waits_for_enter(typing):
    source, asker = typing
    source.send_text("\ryes\r")
    asker.pause("Enter goes on > ")
    assert asker.ask("> ") == "yes"


def test_what_was_asked_early_answers_the_next_question_once(typing):
    source, asker = typing
    shown = []
    source.send_text("it hops\rnone\r")
    asker.ask_early("> ", lambda: shown.append(True))
    assert shown == [True]
    assert [asker.ask("> "), asker.ask("> ")] == ["it hops", "none"]
    assert shown == [True]


@pytest.mark.parametrize(("key", "left"), [("\x03", KeyboardInterrupt), ("\x04", Quit)])
def test_whoever_leaves_at_the_early_question_leaves_at_the_next(typing, key, left):
    source, asker = typing
    source.send_text(key)
    asker.ask_early("> ", lambda: None)
    with pytest.raises(left):
        asker.ask("> ")


def test_what_is_wrong_ends_the_early_question_from_another_thread(typing):
    """Nobody types on where the kb can't be read; a question that was answered meanwhile is left alone."""
    source, asker = typing
    wrong = ValueError("the kb is not valid")

    def shown():
        thread = threading.Thread(target=asker.fail, args=(wrong,))
        thread.start()
        thread.join()

    with pytest.raises(ValueError, match="not valid"):
        asker.ask_early("> ", shown)
    asker.fail(wrong)
    source.send_text("it hops\r")
    assert asker.ask("> ") == "it hops"


def test_only_one_module_imports_prompt_toolkit():
    found = [
        p.relative_to(ROOT).as_posix()
        for room in ("cli", "engine", "kb")
        for p in (ROOT / room).rglob("*.py")
        if "prompt_toolkit" in p.read_text(encoding="utf-8")
        and any(
            line.lstrip().startswith(("import prompt_toolkit", "from prompt_toolkit"))
            for line in p.read_text(encoding="utf-8").splitlines()
        )
    ]
    assert found == ["cli/terminal/prompt.py"]


# Commands that make the hearer's numbers again, run by name and by nobody else.
BUILDS = ("distil.py", "learn.py")


def test_the_engine_prints_nothing_and_reads_no_terminal():
    words = ("print(", "input(", "sys.stdout", "sys.stdin", "from ..cli", "import dryfloor.cli")
    found = [
        (p.name, w)
        for p in (ROOT / "engine").rglob("*.py")
        if p.name not in BUILDS
        for line in p.read_text(encoding="utf-8").splitlines()
        for w in words
        if line.split("#")[0].lstrip().startswith(w)
    ]
    assert not found
