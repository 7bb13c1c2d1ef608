"""Yes and no are taken wherever they answer what was asked: in the drill, the walk, the survey and after a case."""

import pytest

from dryfloor.cli.commands.survey_dialog import Asking
from dryfloor.cli.terminal.yes_no import NO, YES, agreed
from dryfloor.cli.walk import outcome
from dryfloor.cli.walk.anything import aside
from dryfloor.engine.drill import naming
from dryfloor.engine.drill.naming import Named
from dryfloor.engine.paper.filled_sheet import FilledSheet
from tests.cli.walk.test_outcome import Talk, played
from tests.cli.walk.test_trial import walked

DRILL = ("drill", "--fault", "standpipe-too-low", "--seed", "3")
ONE = [Named(kind="check", id="hose-sealed", title="Hose sealed into the pipe", score=0.4)]
TWO = [*ONE, Named(kind="check", id="puddle-place", title="Where the puddle starts", score=0.4)]
CAUSE = [Named(kind="cause", id="standpipe-too-low", title="Standpipe too low", score=0.4)]


def told(out):
    return " ".join(out.split())


def test_no_word_is_both_and_case_and_marks_do_not_matter():
    assert not YES & NO
    for word in YES:
        assert agreed(f" {word.upper()}. ") is True
    for word in NO:
        assert agreed(f"{word.capitalize()}!") is False
    for other in ("", "yes it hops", "no idea what", "nothing", "1", "yesterday"):
        assert agreed(other) is None


@pytest.mark.parametrize("yes", ["yes", "Y", "ok", "that one", "yes, please"])
def test_yes_does_the_one_look_that_was_offered(run, monkeypatch, yes):
    monkeypatch.setattr(naming, "looks", lambda *_: ONE)
    out = told(run(*DRILL, typed=f"qq\n{yes}\nnotes\nleave\n").out)
    assert "Do you mean this? (yes, or other words)" in out
    assert "Not yet: first make sure" in out or "Hose sealed into the pipe:" in out


@pytest.mark.parametrize("no", ["no", "n", "nope", "none of these"])
def test_no_leaves_it_and_a_yes_to_several_asks_which(run, monkeypatch, no):
    monkeypatch.setattr(naming, "looks", lambda *_: TWO)
    out = told(run(*DRILL, typed=f"qq\n{no}\nyes\nqq\nyes\n1\nleave\n").out)
    assert "Then say it in other words" in out
    assert "Nothing was asked that a yes answers" in out
    assert "Yes to which? The numbers go from 1 to 2." in out
    assert "There is nothing of that number" not in out  # the offer stood


@pytest.mark.parametrize(("typed", "verdict"), [("ok", "standpipe-too-low"), ("y", "standpipe-too-low")])
def test_yes_to_a_cause_is_no_verdict_that_all_is_well(run, monkeypatch, typed, verdict):
    monkeypatch.setattr(naming, "causes", lambda *_: CAUSE)
    out = told(run(*DRILL, typed=f"verdict qq\n{typed}\nnone\n\n\n\n").out)
    assert "Standpipe too low" in out
    assert "right verdict" in out


def test_yes_to_several_causes_asks_which(run, monkeypatch):
    two = [*CAUSE, Named(kind="cause", id="foot-unloaded", title="Foot", score=0.4)]
    monkeypatch.setattr(naming, "causes", lambda *_: two)
    out = told(run(*DRILL, typed="verdict qq\nyes\n1\nnone\n\n\n\n").out)
    assert "Yes to which? The numbers go from 1 to 2." in out
    assert "right verdict" in out


def test_no_to_a_rule_is_not_that_no_rule_is_broken(run, monkeypatch):
    monkeypatch.setattr(naming, "causes", lambda *_: [CAUSE[0]])
    monkeypatch.setattr(
        "dryfloor.cli.drill.dialog.apart",
        lambda *_: [Named(kind="rule", id="hose-sealed-into-pipe", title="X", score=0.4)],
    )
    out = told(run(*DRILL, typed="verdict qq\nyes\nqq\nno\n\n\n\n\n\n").out)
    assert "Then which, in other words?" in out


@pytest.mark.parametrize(("typed", "kept"), [("yep", True), ("Correct.", True), ("nah", False), ("neither", False)])
def test_a_sentence_at_a_question_is_kept_by_any_yes(typed, kept):
    talk = Talk()
    played(aside(talk, "the floor is a concrete slab"), [typed], talk)
    assert ([e for e in talk.events if e.fact] != []) is kept
    assert ([e for e in talk.events if e.note] != []) is not kept


@pytest.mark.parametrize(("typed", "cause"), [("yup", "restraints-left-in"), ("not that one", None)])
def test_what_it_turned_out_to_be_is_taken_by_a_yes(monkeypatch, typed, cause):
    talk = Talk()
    monkeypatch.setattr(
        outcome, "causes", lambda *_: [Named(kind="cause", id="restraints-left-in", title="X", score=0.4)]
    )
    played(outcome.told(talk, "qq"), [typed, ""], talk)
    assert talk.events[-1].cause == cause


@pytest.mark.parametrize(("typed", "came_back"), [("yeah", True), ("nope", False)])
def test_a_trial_takes_them(kb, tmp_path, typed, came_back):
    _, walk, _ = walked(kb, tmp_path, typed, "none", "stopped")
    assert any(e.trial == ("came-back" if came_back else "stayed-away") for e in walk.events)


@pytest.mark.parametrize(("typed", "entered"), [("yep", True), ("nah", False)])
def test_a_survey_takes_them(kb, make_env, typed, entered):
    env = make_env(f"the standpipe is 31 in high\n{typed}\nstop\n")
    filled = Asking(env, kb, "technician", "technician", False, FilledSheet("Survey", {}, {}, None, "technician")).run()
    assert ("standpipe-height" in filled.readings) is entered
