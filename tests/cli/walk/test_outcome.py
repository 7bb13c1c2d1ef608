"""At the end of a case one key says that it turned out to be something else."""

import pytest

from dryfloor.cli.terminal.layout import Layout
from dryfloor.cli.walk import outcome
from dryfloor.cli.walk.conversation import Keep, Prompt, Say
from dryfloor.engine.case.events import Event
from tests.support.shipped import shipped

KB = shipped()


class Talk:
    """A case and a screen."""

    def __init__(self) -> None:
        self.kb, self.events, self.layout, self.kept_as = KB, [Event(role="homeowner")], Layout(80), None


def played(part, typed, talk):
    """Drive a part with typed lines; return what it said and kept."""
    said, answer, lines = [], None, list(typed)
    while True:
        try:
            wish = part.send(answer)
        except StopIteration:
            return said, lines
        answer = None
        if isinstance(wish, Say):
            said += wish.lines
        elif isinstance(wish, Prompt):
            answer = lines.pop(0)
        elif isinstance(wish, Keep):
            talk.events.append(wish.event)


@pytest.mark.parametrize(
    ("typed", "cause", "by"),
    [
        (["the shipping bolts were left in", "1", ""], "restraints-left-in", None),
        (["the shipping bolts were left in", "none of these", "the plumber"], None, "plumber"),
        (["the shipping bolts were left in", "99", "7x", "restraints-left-in", "me"], "restraints-left-in", None),
        (["qqqq zzzz", "electrician"], None, "electrician"),
    ],
)
def test_words_a_cause_where_one_fits_and_whose_hands(typed, cause, by):
    talk = Talk()
    said, left = played(outcome.afterwards(talk), ["e", *typed], talk)
    event = talk.events[-1]
    assert (event.turned_out, event.cause, event.by) == (typed[0], cause, by)
    assert event.date
    assert left == []
    assert any("OUTCOME" in line for line in said)


def test_enter_leaves_the_end_as_it_is_and_the_key_asks():
    talk = Talk()
    played(outcome.afterwards(talk), [""], talk)
    played(outcome.afterwards(talk), ["e", ""], talk)
    assert len(talk.events) == 1
    played(outcome.afterwards(talk), ["e", "roots in the branch", "0", ""], talk)
    assert talk.events[-1].turned_out == "roots in the branch"


def test_it_may_be_said_at_any_question_and_ends_the_walk(run):
    done = run(
        "walk", "--role", "technician", typed="it hops about\nyes\nnone\nstopped\nturned out the bolts were in\n1\n\n"
    )
    assert done.out.count("OUTCOME") == 1
    assert "closed with what it turned out to be" in done.out
    listed = run("cases")
    assert "turned out" in listed.out
