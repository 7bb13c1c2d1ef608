"""Two desks and a technician on the same cases, in any order of what they do, in a file and on a server, against plain lists.

Each has a store of their own and is taken for a process of their own on a machine of their own: of such a one a file can't tell whether it is
still at work, so that a person takes the case by its number; on a server its lease runs out. Whoever dies comes back as another process.
"""

import hypothesis.strategies as st
import pytest
from hypothesis import settings
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from dryfloor.cli.store import store as store_module
from dryfloor.cli.store.database import file as file_module
from dryfloor.cli.store.database import lock
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import QueueMark
from dryfloor.engine.errors import InvalidInputError
from tests.support.stored import marked

WHO = ("desk one", "desk two", "technician")
EVENTS = (Event(fact="onset", is_="new"), Event(check="rocks-by-hand", answer="rocks"), Event(cant="lock-nut-turns"))
DEAD_S = 61  # since the last beat of whoever is gone [s]


class Case:
    """What a case must hold: rows, notes that wait, whose hands it is in, who has it in the queue."""

    def __init__(self):
        self.rows, self.waiting = [], []
        self.holder = None
        self.who = ""

    @property
    def events(self):
        return [*self.rows, *self.waiting]

    def take_in(self):
        self.rows += self.waiting
        self.waiting = []


class ManyHands(RuleBasedStateMachine):
    """The machine; `place` is set by the test."""

    place = None
    cases = Bundle("cases")

    @initialize()
    def open(self):
        self.now_is = WHO[0]
        self.number = {who: 7001 + n for n, who in enumerate(WHO)}  # of their processes
        self.model = {}
        self.count = 0
        self.stores, self.marked = {}, {who: set() for who in WHO}
        for who in WHO:
            self.stores[who] = self.opened(who)
        self.leases = self.stores[WHO[0]]._db.leases

    def opened(self, who):
        """A store of somebody's own process."""
        self.be(who)
        return Store.open(self.place)

    def be(self, who):
        """Go on as somebody."""
        self.now_is = who
        number = self.number[who]
        lock.me = file_module.me = store_module.me = lambda: (f"machine of {who}", number, "1", "a boot elsewhere")

    def teardown(self):
        for who, store in getattr(self, "stores", {}).items():
            self.be(who)
            store.close()

    def said(self, call, *args, **more):
        """What a call is refused with, or None."""
        try:
            call(*args, **more)
        except InvalidInputError as refused:
            (problem,) = refused.problems
            assert problem.mend
            return problem.code
        return None

    def others(self, case, who):
        """Whether a case is in somebody else's hands."""
        return self.model[case].holder not in (None, self.number[who])

    # what people do

    @rule(target=cases, who=st.sampled_from(WHO))
    def begin(self, who):
        self.be(who)
        case = self.stores[who].begin(f"case of {who}")
        self.model[case] = Case()
        return case

    @rule(case=cases, who=st.sampled_from(WHO))
    def hold(self, case, who):
        self.be(who)
        code = self.said(self.stores[who].hold, case)
        assert code == ("J011" if self.others(case, who) else None)
        if code is None:
            if case not in self.marked[who]:
                self.model[case].take_in()
            self.model[case].holder = self.number[who]
            self.marked[who].add(case)

    @rule(case=cases, who=st.sampled_from(WHO))
    def release(self, case, who):
        self.be(who)
        self.stores[who].release(case)
        if self.model[case].holder == self.number[who]:
            self.model[case].holder = None
            self.model[case].take_in()
        self.marked[who].discard(case)

    @rule(case=cases, who=st.sampled_from(WHO), event=st.sampled_from(EVENTS), seen=st.booleans())
    def add(self, case, who, event, seen):
        self.be(who)
        store = self.stores[who]
        after = store.last(case) if seen else None
        self.wrote(case, who, self.said(store.add, case, event, after=after), lambda m: m.rows.append(event))

    @rule(case=cases, who=st.sampled_from(WHO), behind=st.integers(1, 3))
    def add_to_what_was_seen_before(self, case, who, behind):
        """Somebody wrote since: refused, and nothing is there."""
        self.be(who)
        code = self.said(self.stores[who].add, case, EVENTS[0], after=self.stores[who].last(case) + behind)
        assert code == ("J011" if self.others(case, who) else "J016")

    @rule(case=cases, who=st.sampled_from(WHO), count=st.integers(1, 3))
    def undo(self, case, who, count):
        self.be(who)

        def drop(model):
            del model.rows[max(0, len(model.rows) - count) :]

        self.wrote(case, who, self.said(self.stores[who].undo, case, count), drop)

    @rule(case=cases, who=st.sampled_from(WHO), at=st.integers(0, 5), event=st.sampled_from(EVENTS))
    def put(self, case, who, at, event):
        self.be(who)

        def change(model):
            if at < len(model.rows):
                model.rows[at] = event

        self.wrote(case, who, self.said(self.stores[who].put, case, at, event), change)

    @rule(case=cases, who=st.sampled_from(WHO), how=st.sampled_from(["solved", "handed-on", "given-up"]))
    def close(self, case, who, how):
        self.be(who)
        event = Event(closed=how, why="for the test")
        self.wrote(case, who, self.said(self.stores[who].add, case, event), lambda m: m.rows.append(event))

    def wrote(self, case, who, code, change):
        """What becomes of a case after a write that takes the notes in first where nobody's own hands hold it."""
        assert code == ("J011" if self.others(case, who) else None)
        if code is None:
            if self.model[case].holder != self.number[who]:
                self.model[case].take_in()
            change(self.model[case])

    @rule(case=cases, who=st.sampled_from(WHO), twice=st.booleans())
    def note(self, case, who, twice):
        """A note is kept whoever holds the case, and nothing of theirs moves; sent twice it is one."""
        self.be(who)
        self.count += 1
        event, store, model = Event(note=f"note {self.count}"), self.stores[who], self.model[case]
        since = store.last(case)
        for _ in range(1 + twice):
            store.note(case, event.note, since=since)
        if self.others(case, who):
            model.waiting.append(event)
            return
        if model.holder != self.number[who]:
            model.take_in()
        model.rows.append(event)

    @rule(case=cases, who=st.sampled_from(WHO), has=st.sampled_from(["ann", "bob", ""]))
    def queue(self, case, who, has):
        self.be(who)
        model = self.model[case]
        code = self.said(self.stores[who].queue, case, QueueMark(has=has, by=has))
        assert code == ("J032" if has and model.who not in ("", has) else None)
        if code is None:
            model.who = has

    @rule(who=st.sampled_from(WHO))
    def dies(self, who):
        """A process ends as by kill -9: nothing is given back, nothing beats any more."""
        self.be(who)
        db = self.stores[who]._db
        if getattr(db, "_heart", None) is not None:
            db._heart.stop()
        if self.leases:
            late = f"UPDATE holds SET seen = clock_timestamp() - interval '{DEAD_S} seconds' WHERE process=?"
            db.execute(late, (self.number[who],))
            for model in self.model.values():
                if model.holder == self.number[who]:
                    model.holder = None
        db.close()
        self.number[who] += 10
        self.stores[who] = self.opened(who)
        self.marked[who] = set()

    @rule(case=cases, who=st.sampled_from(WHO))
    def take_over(self, case, who):
        """By the number of whoever holds it, where nothing tells whether they are still at work; on a server a lease tells."""
        self.be(who)
        store, model = self.stores[who], self.model[case]
        holder = model.holder
        if not self.others(case, who):
            assert store.unknown_holder(case) is None
            return
        assert self.said(store.take, case, 6999) == "J011"
        code = self.said(store.take, case, holder)
        assert code == ("J011" if self.leases else None)
        if code is None:
            model.holder = None

    @rule(case=consumes(cases), who=st.sampled_from(WHO))
    def forget(self, case, who):
        self.be(who)
        code = self.said(self.stores[who].forget, case)
        assert code == ("J011" if self.others(case, who) else None)
        if code is None:
            assert self.said(self.stores[who].events, case) == "J014"
            for marks in self.marked.values():
                marks.discard(case)
            del self.model[case]

    # what must hold

    @invariant()
    def everybody_reads_what_was_confirmed(self):
        for who, store in getattr(self, "stores", {}).items():
            self.be(who)
            for case, model in self.model.items():
                assert store.events(case) == model.events
                assert store.held(case) == self.others(case, who)
                assert store.queued(case).who == model.who

    @invariant()
    def nothing_is_damaged(self):
        if getattr(self, "stores", None):
            found = self.stores[WHO[0]].verify()[2]
            assert [text for text in found if not text.startswith("The server ")] == []


@pytest.fixture
def own(monkeypatch):
    """Who this process is, is put back."""
    for module in (lock, file_module, store_module):
        monkeypatch.setattr(module, "me", module.me)


@pytest.mark.parametrize(
    "steps", [pytest.param((14, 30), id="some"), pytest.param((40, 50), id="many", marks=pytest.mark.slow)]
)
def test_two_desks_and_a_technician_in_any_order(place, own, steps):
    machine = type("ManyHands", (ManyHands,), {"place": place})
    run_state_machine_as_test(
        machine, settings=settings(max_examples=steps[0], stateful_step_count=steps[1], deadline=None)
    )


def test_who_lets_go_of_a_case_takes_it_out_of_nobody_elses_hands(place):
    with Store.open(place) as store:
        case = store.begin()
        marked(store, case, "attic", 12, "1", "another")
        store.release(case)
        assert store.held(case)
