"""The journals of before: read as they were written, torn or damaged as they may be."""

import msgspec
import pytest

from dryfloor.cli.store import opening
from dryfloor.engine.case.events import Event

EVENTS = [
    Event(role="homeowner"), Event(heard="it hops", complaints=["walks"]), Event(cleared="gas-smell", word="none"), Event(fact="onset", is_="new"),
    Event(check="rocks-by-hand", answer="rocks"), Event(note="the dog is in the yard ½ ° é"),
]  # fmt: skip


def lines(*records):
    return b"".join(msgspec.json.encode(r) + b"\n" for r in records)


def test_undo_and_put_are_lines_too(tmp_path):
    path = tmp_path / "c.jsonl"
    other = Event(heard="it siphons", complaints=["siphons"])
    path.write_bytes(lines(*EVENTS, {"undo": 2}, {"at": 1, "put": other}, Event(skip="foot-gap")))
    assert opening.read(path) == [EVENTS[0], other, *EVENTS[2:4], Event(skip="foot-gap")]


@pytest.mark.parametrize("cut", range(1, 60))
def test_a_torn_last_line_is_dropped(tmp_path, cut):
    path = tmp_path / "c.jsonl"
    path.write_bytes(lines(*EVENTS)[:-cut])
    kept = opening.read(path)
    assert kept == EVENTS[: len(kept)]
    assert len(kept) >= len(EVENTS) - 2


def test_damaged_lines_are_left_out_and_nothing_is_raised(tmp_path):
    path = tmp_path / "c.jsonl"
    bad = b'\xff\xfe\n[]\n{}\n{"role": 3}\n{"undo": "x"}\n{"at": 99, "put": {"note": "n"}}\nnull\n\n'
    path.write_bytes(bad + lines(*EVENTS))
    assert [e for e in opening.read(path) if e != Event()] == EVENTS
