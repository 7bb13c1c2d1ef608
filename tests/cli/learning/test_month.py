"""`dryfloor month`: the times that a store keeps reach what visits took."""

from functools import partial

import msgspec
import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.reports import visit_plan

KEPT = [
    (0, Event(role="desk")),
    (1, Event(complaints=["siphons"])),
    (60, Event(role="technician")),
    (72, Event(check="standpipe-height", value="31 in")),
    (1440, Event(check="hose-sealed", answer="loose")),
    (1445, Event(check="hose-depth", value="5 in")),
    (1446, Event(closed="given-up", why="nobody was in")),
]


@pytest.fixture
def store(tmp_path):
    """A store of one case, with 12 minutes of a visit and 5 of another the next day."""
    now = [0.0]
    path = tmp_path / "cases.db"
    with Store.open(path, now=lambda: now[0]) as kept:
        case = kept.begin("Alder 3")
        for minute, event in KEPT:
            now[0] = 1_793_606_400 + 60 * minute
            kept.add(case, event)
    return str(path)


def test_a_visit_takes_as_long_as_its_kept_times_say(run, store, monkeypatch):
    monkeypatch.setattr(visit_plan, "visits", partial(visit_plan.visits, count=2))
    done = run("month", "--store", store, "--json")
    assert done.code == 0, done.err
    found = msgspec.json.decode(done.out)["data"]["on_site"]
    assert (found["cases"], found["of"], found["taken"], found["came"], found["again"]) == (1, 1, 17, 2, 1)
    assert found["said"] > 0
