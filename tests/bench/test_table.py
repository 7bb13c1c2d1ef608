"""The bench's tables: a page's own words stay, and only what stands between its markers is replaced."""

import pytest

from tests.bench import parts
from tests.bench.__main__ import END, START, main, put, written
from tests.bench.parts import PARTS
from tests.bench.table import Table, markdown


def test_only_what_stands_between_the_markers_is_replaced():
    page = f"before\n{START}\nold\\1\n{END}\nafter\n"
    assert put(r"new \1", page) == f"before\n{START}\nnew \\1\n{END}\nafter\n"
    assert put("x", put("y", page)) == put("x", page)


def test_a_page_without_markers_is_refused():
    with pytest.raises(ValueError, match="expected the lines"):
        put("text", "a page")


def test_a_bar_in_a_cell_does_not_start_another_column():
    rows = markdown(Table(title="t", columns=["a", "b"], rows=[["x|y", "1"]])).splitlines()
    assert rows[-1] == "| x\\|y | 1 |"


def test_no_path_and_no_host_name_is_written():
    import platform

    text = written([Table(title="t", columns=["a"], rows=[["1"]])], "python -m tests.bench")
    assert "/" not in text.splitlines()[0]
    assert platform.node() not in text


def test_an_unknown_part_is_named_with_what_there_is(capsys):
    with pytest.raises(SystemExit):
        main(["rihgt"])
    said = capsys.readouterr().err
    assert all(part in said for part in (*PARTS, "rihgt"))


@pytest.mark.parametrize("jobs", [1, 2])
def test_what_is_timed_runs_alone_after_the_others_and_tables_keep_their_order(monkeypatch, jobs):
    ran, beside = [], []

    class Pool:
        def __init__(self, count, _):
            assert count == jobs

        def __enter__(self):
            return self

        def __exit__(self, *_):
            pass

        def submit(self, work, part, quick):
            beside.append(part)
            made = work(part, quick)
            return type("Job", (), {"result": lambda self: made})()

    def measured(part, quick):
        ran.append(part)
        return [Table(title=part, columns=[], rows=[])]

    monkeypatch.setattr(parts, "ProcessPoolExecutor", Pool)
    monkeypatch.setattr(parts, "measured", measured)
    out = parts.run(["near", "quick", "robust"], True, jobs)
    assert [t.title for t in out] == ["near", "quick", "robust"]
    assert beside == (["near", "robust"] if jobs > 1 else [])
    assert ran.index("quick") == (2 if jobs > 1 else 1)
