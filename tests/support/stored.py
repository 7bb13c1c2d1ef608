"""Stores with a case in them, and the one problem that a call of theirs is refused with."""

import pytest

from dryfloor.cli.store.database.checksums import HOLD, checksum
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError

EVENTS = [
    Event(role="homeowner"), Event(heard="it hops", complaints=["walks"]), Event(cleared="gas-smell", word="none"), Event(fact="onset", is_="new"),
    Event(check="rocks-by-hand", answer="rocks"), Event(note="the dog is in the yard ½ ° é"),
]  # fmt: skip


def filled(path, events=EVENTS, **more):
    """A store with one case; it stays open."""
    store = Store.open(path)
    case = store.begin(**more)
    for event in events:
        store.add(case, event)
    return store, case


def marked(store, case, machine, process, born, boot="", ago=0.0):
    """Put a case into the hands of some process, which renewed its lease so long ago [s] where there are leases."""
    row = (case, machine, process, born, boot, 1_700_000_000_000)
    names, values, more = ", ".join(HOLD), ", ".join("?" for _ in HOLD), [*row, checksum(*row)]
    store._db.execute("DELETE FROM holds WHERE of=?", (case,))
    if store._db.leases:
        sql = f"INSERT INTO holds({names}, sum, seen) VALUES({values}, ?, clock_timestamp() - ?::float * interval '1 second')"
        store._db.execute(sql, (*more, ago))
    else:
        store._db.execute(f"INSERT INTO holds({names}, sum) VALUES({values}, ?)", more)


def refused(call, *args, **more):
    """The one problem that a call is refused with."""
    with pytest.raises(InvalidInputError) as caught:
        call(*args, **more)
    assert len(caught.value.problems) == 1
    problem = caught.value.problems[0]
    assert problem.mend
    return problem
