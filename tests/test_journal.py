"""The journal: what was confirmed is on disk, whatever happens next."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli import journal
from dryfloor.cli.casekeep import CaseKeep
from dryfloor.cli.resume import offer, take_up
from dryfloor.engine.case import Event
from dryfloor.engine.problems import Refused

ROOT = Path(__file__).parent.parent
EVENTS = [
    Event(role="homeowner"), Event(heard="it hops", complaints=["walks"]), Event(cleared="gas-smell", word="none"), Event(fact="onset", is_="new"),
    Event(check="rocks-by-hand", answer="rocks"), Event(note="the dog is in the yard ½ ° é"),
]  # fmt: skip


def written(path, events=EVENTS):
    book = journal.Journal(path)
    for event in events:
        book.add(event)
    return book


def test_what_was_added_is_read_back(tmp_path):
    book = written(tmp_path / "cases" / "c.jsonl")
    assert journal.read(book.path) == EVENTS  # before it is closed
    book.close()
    assert journal.read(book.path) == EVENTS


def test_undo_and_put_are_lines_too(tmp_path):
    book = written(tmp_path / "c.jsonl")
    book.undo(2)
    book.put(1, Event(heard="it siphons", complaints=["siphons"]))
    book.add(Event(skip="foot-gap"))
    assert journal.read(book.path) == [
        EVENTS[0],
        Event(heard="it siphons", complaints=["siphons"]),
        *EVENTS[2:4],
        Event(skip="foot-gap"),
    ]


STEPS = st.lists(
    st.one_of(st.sampled_from(EVENTS), st.integers(0, 4), st.tuples(st.integers(0, 9), st.sampled_from(EVENTS))),
    max_size=20,
)


@given(steps=STEPS)
def test_the_file_is_the_list(tmp_path_factory, steps):
    """Any mix of adding, taking back and replacing leaves in the file what a plain list would hold."""
    path = tmp_path_factory.mktemp("j") / "c.jsonl"
    book, held = journal.Journal(path), []
    for step in steps:
        if isinstance(step, Event):
            book.add(step)
            held.append(step)
        elif isinstance(step, int):
            count = min(step, len(held))
            book.undo(count)
            del held[len(held) - count :]
        elif step[0] < len(held):
            book.put(*step)
            held[step[0]] = step[1]
    book.close()
    assert (journal.read(path) if path.exists() else []) == held


@pytest.mark.parametrize("cut", range(1, 60))
def test_a_torn_last_line_is_dropped_and_the_next_one_stands_alone(tmp_path, cut):
    path = tmp_path / "c.jsonl"
    written(path).close()
    raw = path.read_bytes()
    path.write_bytes(raw[:-cut])
    kept = journal.read(path)
    assert kept == EVENTS[: len(kept)]
    assert len(kept) >= len(EVENTS) - 2
    book = journal.Journal(path)
    book.add(Event(note="after"))
    assert journal.read(path) == [*kept, Event(note="after")]


def test_damaged_lines_are_left_out_and_nothing_is_raised(tmp_path):
    path = tmp_path / "c.jsonl"
    written(path).close()
    path.write_bytes(
        b'\xff\xfe\n[]\n{}\n{"role": 3}\n{"undo": "x"}\n{"at": 99, "put": {"note": "n"}}\nnull\n\n' + path.read_bytes()
    )
    assert [e for e in journal.read(path) if e != Event()] == EVENTS


class Full:
    """A file on a disk that is full after some bytes."""

    def __init__(self, file, room):
        self.file = file
        self.room = room

    def write(self, data):
        if self.room <= 0:
            raise OSError(28, "No space left on device")
        part = self.file.write(bytes(data)[: self.room])
        self.room -= part
        return part

    def __getattr__(self, name):
        return getattr(self.file, name)


@pytest.mark.parametrize("room", [0, 1, 20, 41])
def test_a_full_disk_is_refused_and_what_was_kept_stays(tmp_path, room):
    book = written(tmp_path / "c.jsonl", EVENTS[:3])
    book._file = Full(book._file, room)
    with pytest.raises(Refused) as refused:
        book.add(Event(note="x" * 60))
    assert "No space left on device" in refused.value.problems[0].message
    assert "DRYFLOOR_DATA_DIR" in refused.value.problems[0].mend
    book.close()
    assert journal.read(book.path) == EVENTS[:3]
    written(book.path, EVENTS[3:]).close()
    assert journal.read(book.path) == EVENTS


def test_a_file_that_writes_in_pieces_gets_whole_lines(tmp_path):
    book = written(tmp_path / "c.jsonl", EVENTS[:1])

    class Slow(Full):
        def write(self, data):
            return self.file.write(bytes(data)[:3])

    book._file = Slow(book._file, 1)
    for event in EVENTS[1:]:
        book.add(event)
    assert journal.read(book.path) == EVENTS


def test_a_folder_that_can_not_be_made_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(Refused):
        journal.Journal(tmp_path / "file" / "cases" / "c.jsonl").add(EVENTS[0])


def test_a_read_only_folder_is_refused(tmp_path, monkeypatch):
    """Simulated, because to root nothing is read-only."""

    def denied(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("builtins.open", denied)
    with pytest.raises(Refused) as refused:
        journal.Journal(tmp_path / "c.jsonl").add(EVENTS[0])
    assert "Permission denied" in refused.value.problems[0].message


def test_the_newest_open_case_is_offered(tmp_path):
    folder = tmp_path / "cases"
    for name, events in (
        ("1", EVENTS),
        ("2", [*EVENTS, Event(closed="solved")]),
        ("3", EVENTS[:1]),
        ("4", [*EVENTS, Event(closed="handed-on")]),
    ):
        written(folder / f"{name}.jsonl", events).close()
    path, events = journal.open_case(tmp_path)
    assert (path.name, events) == ("1.jsonl", EVENTS)
    written(folder / "4.jsonl", [Event(role="technician")]).close()
    assert journal.open_case(tmp_path)[0].name == "4.jsonl"


def test_a_case_that_another_walk_holds_is_not_offered(tmp_path):
    book = written(tmp_path / "cases" / "1.jsonl")
    assert journal.open_case(tmp_path) is None
    book.close()
    assert journal.open_case(tmp_path) is not None


def test_an_offer_says_which_case_it_is(make_env):
    env = make_env()
    assert offer(env) is None
    written(env.data_dir / "cases" / "1.jsonl").close()
    assert '"it hops", 2 answers' in offer(env)[1]


def test_a_case_of_an_older_kb_is_taken_up_without_what_is_unknown(kb, make_env):
    env = make_env()
    path = env.data_dir / "cases" / "1.jsonl"
    gone = [*EVENTS[:4], Event(check="gone-check", answer="yes"), *EVENTS[4:]]
    written(path, gone).close()
    book, events = take_up(kb, path, env, False)
    assert events == EVENTS
    assert "gone-check" in env.stdout.getvalue()
    book.undo(1)
    assert journal.read(book.path) == EVENTS[:-1]
    book.close()
    assert journal.open_case(env.data_dir)[0] == book.path


# the case file beside it


def test_a_case_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    keep = CaseKeep(tmp_path / "case.yaml")
    keep.write("events: []\n")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused):
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
    assert all(part in text for part in ("it hops", "gas-smell", "walking-machine", '"is"'))
    again = run("walk", "--case", str(path), typed="none\nstopped\n")
    assert "BEFORE ANYTHING ELSE" in again.out  # gates are asked again
    assert "What is wrong?" not in again.out
    assert path.read_text().startswith(text)


# a real process, killed


def start(tmp_path, cache):
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(cache),
        "PYTHONPATH": str(ROOT),
    }
    return subprocess.Popen(
        [sys.executable, "-m", "dryfloor"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=environ,
        cwd=tmp_path,
    )


def read_until(process, text, seen):
    while text not in seen:
        part = os.read(process.stdout.fileno(), 65536)
        if not part:
            break
        seen += part
    return seen


@pytest.mark.parametrize("seed", range(3))
def test_kill_9_at_a_random_moment_loses_no_confirmed_answer(tmp_path, kept_kb, seed):
    """Whatever was followed by the next prompt is on disk, and the next start offers to go on with it."""
    rng = random.Random(seed)
    lines = [b"it hops about\n", b"yes\n", b"none\n", b"stopped\n", b"1\n", b"1\n", b"1\n"]
    process = start(tmp_path, kept_kb)
    seen = read_until(process, b"> ", b"")
    answered = rng.randint(2, len(lines) - 1)
    for n, line in enumerate(lines[:answered], 1):
        process.stdin.write(line)
        process.stdin.flush()
        while seen.count(b"\n> ") < n + 1:
            seen = seen + os.read(process.stdout.fileno(), 65536)
    process.stdin.write(lines[answered])  # one more is on its way when the power goes
    process.stdin.flush()
    time.sleep(rng.random() * 0.05)
    process.send_signal(signal.SIGKILL)
    process.wait()
    kept = journal.read(next((tmp_path / "data" / "cases").glob("*.jsonl")))
    # the role and the confirmed complaint are two events of the first two lines; after them a line is an event
    assert len(kept) >= answered
    again = start(tmp_path, kept_kb)
    out, _ = again.communicate(b"yes\n", timeout=60)
    assert b'A walk was cut off: "it hops about"' in out
    assert b"BEFORE ANYTHING ELSE" in out
    after = journal.read(next((tmp_path / "data" / "cases").glob("*.jsonl")))
    assert after[: len(kept)] == kept
    assert after[len(kept)].resumed
