"""Going on with a case under another kb: what is left out, what is thought differently, and that nothing kept is lost."""

import shutil

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.cli.walk.differences import differences, summary
from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import take_up
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge.folder import home
from tests.support.places import SMALL

EVENTS = [
    Event(role="desk"),
    Event(heard="it hops", complaints=["walks"]),
    Event(cleared="gas-smell", word="none"),
    Event(fact="onset", is_="new"),
    Event(check="rocks-by-hand", answer="rocks"),
]


@pytest.fixture
def folder(tmp_path):
    """A copy of the kb that may be changed."""
    return shutil.copytree(home(), tmp_path / "kb")


def change(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_what_the_kb_no_longer_knows_is_left_out_and_said(kb):
    gone = [*EVENTS[:3], Event(check="gone-check", answer="yes"), *EVENTS[3:]]
    good, places, lines = take_up(kb, gone)
    assert (good, places) == ([*EVENTS[:2], *EVENTS[3:]], [0, 1, 4, 5])  # what was cleared then does not count
    assert len(lines) == 1
    assert "gone-check" in lines[0]


def test_differences_are_said_in_titles(kb):
    seen = summary(advise(kb, EVENTS))
    assert differences(kb, EVENTS, [*range(5)], (5, seen)) == []
    other = summary(advise(kb, EVENTS[:4]))
    said = " ".join(differences(kb, EVENTS, [*range(5)], (5, other)))
    assert "Likeliest was" in said
    assert "it is now foot that carries no load" in said
    gone = '["check:gone-check", "gone-cause", 0.5]'
    said = " ".join(differences(kb, EVENTS, [*range(5)], (5, gone)))
    assert "gone cause (50 in 100)" in said
    assert "Next was check gone check" in said


def test_a_case_under_another_kb_says_what_differs_and_keeps_what_it_had(run, make_env, tmp_path):
    """With the small kb, which is read again at every change."""
    folder = shutil.copytree(SMALL, tmp_path / "small")
    run("walk", "--kb", str(folder), typed="puddle\nyes\ndry\n1\n")
    store = Store.open(make_env().data_dir / "cases.db")
    case = store.find()[0].id
    before = store.events(case)
    assert before[-1] == Event(check="hose-sealed", answer="taped")
    again = run("resume", case, "--kb", str(folder), typed="")
    assert "The kb has changed" not in again.out
    # a cause that is far more frequent: the same answers, another belief
    change(folder / "causes" / "drain" / "pipe-too-low.yaml", "per_1000: {n: ", "per_1000: {n: 9")
    done = run("resume", case, "--kb", str(folder), typed="")
    assert "The kb has changed since" in done.out
    assert "Likeliest was" in done.out
    assert store.events(case)[: len(before)] == before
    assert "The kb has changed" not in run("resume", case, "--kb", str(folder), typed="").out
    # a remark changes the stamp and nothing else
    with open(folder / "facts.yaml", "a") as file:
        file.write("\n# a remark\n")
    assert "the advice is the same" in " ".join(run("resume", case, "--kb", str(folder), typed="").out.split())


def test_answers_that_a_kb_does_not_know_come_back_with_one_that_does(run, make_env, folder):
    with Store.open(make_env().data_dir / "cases.db") as store:
        case = store.begin(kb="another")
        for event in (*EVENTS[:3], Event(fact="onset", is_="by-moonlight"), *EVENTS[4:]):
            store.add(case, event)
    done = run("resume", case, typed="none\nstopped\nback\n")
    assert "Left out, because the kb has changed" in done.out
    assert "by-moonlight" in done.out
    with Store.open(make_env().data_dir / "cases.db") as store:
        kept = store.events(case)
        assert Event(fact="onset", is_="by-moonlight") in kept  # kept, though this kb does not know it
        assert Event(check="rocks-by-hand", answer="rocks") not in kept  # taken back
    change(
        folder / "facts.yaml",
        "    always: {says: it has always been so",
        "    by-moonlight: {says: by moonlight, share_per_1000: 1}\n    always: {says: it has always been so",
    )
    change(
        folder / "facts.yaml",
        "it has always been so, share_per_1000: 200",
        "it has always been so, share_per_1000: 199",
    )
    assert "by moonlight" in run("resume", case, "--kb", str(folder), typed="").out
