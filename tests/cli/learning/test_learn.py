"""`dryfloor learn` and `month`: what is written, what is refused, and that nothing is written that is not worth it."""

import msgspec
import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.clearance import kept_of
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge.load import read_kb
from tests.support.lessons import walked


def data(done):
    return msgspec.json.decode(done.out)


@pytest.fixture
def store(tmp_path):
    """A store of walked cases, an open one, and one that was given up."""
    path = tmp_path / "cases.db"
    with Store.open(path) as kept, kept.together():
        more = ((Event(role="desk"), Event(complaints=["walks"]), *end) for end in ((), (Event(closed="given-up"),)))
        for n, events in enumerate([*walked(), *more]):
            case = kept.begin(f"Alder {n}")
            for event in kept_of([*events]):
                kept.add(case, event)
    return str(path)


def test_without_a_closed_case_nothing_is_written(run, tmp_path):
    out = tmp_path / "numbers"
    done = run("learn", "--store", str(tmp_path / "none.db"), "-o", str(out), "--json")
    assert done.code == 2  # no such store
    with Store.open(tmp_path / "empty.db"):
        pass
    done = run("learn", "--store", str(tmp_path / "empty.db"), "-o", str(out), "--json")
    assert (done.code, data(done)["status"], data(done)["data"]["cases"]) == (1, "nothing", 0)
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith("numbers")] == []


def test_a_folder_of_something_else_is_left_alone(run, tmp_path, store):
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "dear.txt").write_text("dear")
    done = run("learn", "--store", store, "-o", str(tmp_path / "letters"))
    assert done.code == 2
    assert "something else there" in done.err
    assert (tmp_path / "letters" / "dear.txt").read_text() == "dear"


def test_cases_of_another_kb_are_refused(run, tmp_path):
    path = tmp_path / "other.db"
    with Store.open(path) as kept:
        case = kept.begin()
        for event in (Event(role="desk"), Event(complaints=["sings"]), Event(closed="handed-on")):
            kept.add(case, event)
    done = run("learn", "--store", str(path), "-o", str(tmp_path / "numbers"))
    assert done.code == 2
    assert "1 of 1 cases are of another kb: they name sings" in done.err
    assert not (tmp_path / "numbers").exists()


@pytest.mark.slow
def test_few_cases_change_nothing_and_say_so(run, tmp_path, store):
    """Of eight cases too few later ones are known: no folder, and every case left out is told."""
    out = tmp_path / "numbers"
    done = run("learn", "--store", store, "-o", str(out), "--report", str(tmp_path / "learned.html"), "--json")
    assert (done.code, data(done)["status"]) == (1, "not-better")
    assert data(done)["data"]["left_out"] == {"still open": 1, "given up": 1}
    assert data(done)["data"]["cases"] == len(walked())
    assert not out.exists()
    page = (tmp_path / "learned.html").read_text()
    assert "Later cases are not told better" in page
    assert "<script" not in page


@pytest.mark.slow
def test_what_is_worth_it_is_written_and_is_a_kb(run, tmp_path, store, monkeypatch):
    """Whether it is worth it is settled here by hand: what then is written reads back, keeps its promises and names no case."""
    from dryfloor.engine.learning import backtest

    monkeypatch.setattr(backtest.Backtest, "better", True)
    out = tmp_path / "numbers"
    done = run("learn", "--store", store, "-o", str(out))
    assert done.code == 0, done.err
    kb, problems = read_kb(out)
    assert problems == []
    assert kb is not None
    text = "".join(p.read_text() for p in out.rglob("*") if p.is_file())
    assert "Alder 1" not in text
    assert not (tmp_path / "numbers.part").exists()


def test_a_month_is_told(run, tmp_path, store):
    done = run("month", "--store", store, "--json")
    assert done.code == 0, done.err
    found = data(done)["data"]
    assert found["cases"] == len(walked()) + 2
    assert found["saved"] + found["visits"] <= found["cases"]
    for end in (".html", ".md", ".csv"):
        assert run("month", "--store", store, "-o", str(tmp_path / f"month{end}")).code == 0
    assert (tmp_path / "month.csv").read_text().startswith("month,what,id,title,cases,figure\n")
    assert run("month", "--store", store, "--of", "1999-01").code == 1
    assert run("month", "--store", store, "--of", "May").code == 2


@pytest.mark.slow
def test_what_was_cut_off_goes_on_where_it_was(tmp_path, monkeypatch):
    """Killed in its second pass, learning begins again with that pass's numbers and the chunks that it had counted."""
    from dryfloor.cli.learning import learn
    from dryfloor.cli.terminal.env import Env
    from dryfloor.engine.learning.passing import Spool, at_home
    from tests.support.lessons import lessons
    from tests.support.shipped import shipped

    monkeypatch.setattr(learn, "KEEP", 0.0)
    spool = Spool(tmp_path / "cases", chunk=2)
    spool.write(lessons())
    asked: list[int] = []
    passes = len(spool.ends)

    def cut(job, chunks):
        for one in at_home(job, chunks):
            if len(asked) == passes + 2:
                raise KeyboardInterrupt
            asked.append(one[0])
            yield one

    with pytest.raises(KeyboardInterrupt):
        learn._em(Env(), shipped(), spool.part(), cut, "all")
    kept = [*tmp_path.glob("*pass.npz")]
    assert len(kept) == 1
    again: list[int] = []

    def watched(job, chunks):
        for one in at_home(job, chunks):
            again.append(one[0])
            yield one

    resumed = learn._em(Env(), shipped(), spool.part(), watched, "all")
    assert again[: passes - 2] == [*range(2, passes)]
    # What was learned is kept until the folder is written: the next step may be cut off, too, and begins from it.
    assert len(learn._em(Env(), shipped(), spool.part(), at_home, "all").objective) <= 2
    other = Spool(tmp_path / "other" / "cases", chunk=2)
    other.path.parent.mkdir()
    other.write(lessons())
    whole = learn._em(Env(), shipped(), other.part(), at_home, "all")
    assert len(whole.objective) > 2
    assert resumed.objective[-1] == pytest.approx(whole.objective[-1], abs=0.01)
