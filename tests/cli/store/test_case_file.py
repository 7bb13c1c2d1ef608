"""The case file that a walk goes on with: written whole or not at all, and never shorter than it was."""

import os

import pytest

from dryfloor.cli.store.case_file import CaseKeep
from dryfloor.cli.store.store import Store
from dryfloor.engine.errors import InvalidInputError
from tests.support.shipped import shipped


def test_a_case_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    keep = CaseKeep(tmp_path / "case.yaml")
    keep.write("events: []\n")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InvalidInputError):
        keep.write("events: [1]\n")
    assert (tmp_path / "case.yaml").read_text() == "events: []\n"
    assert [p.name for p in tmp_path.iterdir()] == ["case.yaml"]


def test_a_case_file_in_no_folder_is_refused_before_the_first_question(run, tmp_path):
    for path, what in ((tmp_path / "none" / "case.yaml", "does not exist"), (tmp_path, "folder")):
        done = run("walk", "--case", str(path), typed="it hops\nyes\n")
        assert done.code == 2
        assert what in done.err
        assert "I hear" not in done.out


def test_a_case_file_is_up_to_date_after_every_answer(run, tmp_path):
    path = tmp_path / "case.yaml"
    first = run("walk", "--case", str(path), typed="it hops\nyes\nnone\nstopped\n1\n")
    assert "does not exist yet" in first.err
    text = path.read_text()
    assert all(part in text for part in ("it hops", "check"))
    assert "cleared" not in text  # it counted in that walk
    again = run("walk", "--case", str(path), typed="none\nstopped\n")
    assert "BEFORE ANYTHING ELSE" in again.out  # gates are asked again
    assert "What is wrong?" not in again.out
    assert path.read_text().startswith(text)


def test_a_case_file_is_one_case_of_the_store_however_often_it_is_taken_up(run, make_env, tmp_path):
    path = tmp_path / "case.yaml"
    for typed in ("it hops\nyes\nnone\nstopped\n1\n", "none\nstopped\n", "none\nstopped\n"):
        run("walk", "--case", str(path), typed=typed)
    with Store.open(make_env().data_dir / "cases.db") as store:
        (line,) = store.find()
        from dryfloor.engine.case.case_file import load_case

        assert store.events(line.id) == load_case(shipped(), path)
        assert sum(e.resumed is True for e in store.events(line.id)) == 2


def test_a_case_file_from_elsewhere_is_kept_whole_and_as_it_was_edited(run, make_env, kb, tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text('events:\n  - {role: desk}\n  - {heard: "it hops", complaints: [walks]}\n  - {note: "from afar"}\n')
    run("walk", "--case", str(path), typed="")
    path.write_text(path.read_text().replace("from afar", "mended by hand"))
    run("walk", "--case", str(path), typed="")
    with Store.open(make_env().data_dir / "cases.db") as store:
        (line,) = store.find()
        assert [e.note for e in store.events(line.id) if e.note] == ["mended by hand"]


def test_a_case_file_is_never_shorter_than_it_was(run, tmp_path, monkeypatch):
    """A kill while it is taken up again must find all of it."""
    path = tmp_path / "case.yaml"
    run("walk", "--case", str(path), typed="it hops\nyes\nnone\nstopped\n1\n")
    lengths = [len(path.read_text())]
    real = CaseKeep.write

    def write(self, text):
        lengths.append(len(text))
        real(self, text)

    monkeypatch.setattr(CaseKeep, "write", write)
    run("walk", "--case", str(path), typed="none\nstopped\n")
    assert lengths == sorted(lengths)
    assert len(lengths) > 3
