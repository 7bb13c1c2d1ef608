"""All cases, the first begun first, page by page: the same of a file and on a server."""

import pytest

from dryfloor.cli.store.store import Store
from tests.support.stored import EVENTS


@pytest.mark.parametrize("page", [1, 2, 50])
def test_cases_come_as_they_began_whatever_the_page(place, page):
    clock = [1_790_000_000.0]
    with Store.open(place, now=lambda: clock[0]) as store:
        ids = []
        for n in range(5):
            clock[0] += n % 2  # two began at one moment
            ids.append((int(clock[0]), store.begin(f"Alder {n}")))
            store.add(ids[-1][1], EVENTS[0])
    with Store.open(place, write=False) as store:
        found = [(line.id, events) for line, events in store.in_order(page)]
    assert sorted(name for name, _ in found) == sorted(name for _, name in ids)
    began = {name: at for at, name in ids}
    assert [began[name] for name, _ in found] == sorted(began.values())
    assert all(events == [EVENTS[0]] for _, events in found)


def test_of_an_empty_store_none(place):
    with Store.open(place) as store:
        assert [*store.in_order()] == []
