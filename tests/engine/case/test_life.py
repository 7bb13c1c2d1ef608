"""The life of cases as a machine: start, answer, back, change, resume, hand over, remedy, proof, trial, close, forget, crash.

Beside it runs a plain model: for each case a list of events, and where it stood after each of them, written down by hand here.
"""

import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    precondition,
    rule,
)

from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.case_file import take_up
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from tests.support.shipped import shipped

KB = shipped()
ANSWERS = [
    Event(fact="onset", is_="new"), Event(fact="onset", is_="moved"), Event(fact="rhythm", is_="now-and-then"), Event(fact="rhythm", is_="every-time"),
    Event(check="rocks-by-hand", answer="rocks"), Event(check="foot-gap", value="3 mm"), Event(skip="floor"), Event(cant="lock-nut-turns"), Event(note="½ é"),
    Event(cleared="gas-smell", word="none"), Event(check="check-of-a-kb-that-is-gone", answer="yes"),
]  # fmt: skip
ROLES = ["homeowner", "desk", "technician"]


class Life(RuleBasedStateMachine):
    """One desk with a store; at most one case is in its hands at a time."""

    cases = Bundle("cases")

    @initialize()
    def opened(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "cases.db"
        self.store = Store.open(self.path)
        self.model = {}  # case -> [(event, where it stands after it)]
        self.log = None
        self.case = None

    def teardown(self):
        self.store.close()
        self.folder.cleanup()

    # the model

    def said(self, event, stands=None):
        """Write an event into both; where it stands is as before unless said."""
        assert self.log.add(event) == []
        rows = self.model[self.case]
        rows.append((event, stands or (rows[-1][1] if rows else "open")))

    def stands(self, case=None):
        rows = self.model[case or self.case]
        return rows[-1][1] if rows else "open"

    def known(self):
        """The events of the case in hand that this kb understands."""
        return [e for e, _ in self.model[self.case] if not (e.check or "").startswith("check-of")]

    def down(self):
        if self.log:
            assert self.log.close() == []
            self.gone()
            self.store = Store.open(self.path)
        self.log = self.case = None

    def gone(self):
        """The walk in hand is no more, and with it the gates that it cleared."""
        if self.log:
            self.model[self.case] = [row for row in self.model[self.case] if not row[0].cleared]

    def up(self, case, role):
        self.down()
        kept = self.store.events(case)
        good, places, _ = take_up(KB, kept)
        self.log = EventLog(self.store, case, good, places, len(kept))
        self.case = case
        self.said(Event(resumed=True))
        if role:
            self.said(Event(role=role), "open" if self.stands() == "waiting" else None)

    # what people do

    @rule(target=cases, role=st.sampled_from(ROLES), reference=st.sampled_from(["", "Alder 4"]))
    def start(self, role, reference):
        self.down()
        self.log = EventLog(self.store, reference=reference)
        begun = [Event(role=role), Event(heard="it hops", complaints=["walks"])]
        assert self.log.add(begun[0]) == []
        assert self.log.case is None  # nothing was said yet
        assert self.log.add(begun[1]) == []
        self.case = self.log.case
        self.model[self.case] = [(e, "open") for e in begun]
        return self.case

    @precondition(lambda self: self.log)
    @rule(event=st.sampled_from(ANSWERS))
    def answer(self, event):
        if event.check and event.check.startswith("check-of"):
            # An older kb knew it: it is in the store, and this walk does not see it.
            self.store.add(self.case, event)
            self.model[self.case].append((event, self.stands()))
            self.up(self.case, None)
        else:
            self.said(event)

    @precondition(lambda self: self.log and len(self.log.events) > 2)
    @rule(data=st.data())
    def back(self, data):
        at = data.draw(st.integers(2, len(self.log.events) - 1))
        event = self.log.events[at]
        assert self.log.take_back(at) == []
        rows = self.model[self.case]
        # The walk's at-th event, found in the model by counting those that the walk sees.
        seen = [n for n, (e, _) in enumerate(rows) if not (e.check or "").startswith("check-of")]
        assert rows[seen[at]][0] == event
        del rows[seen[at] :]

    @precondition(lambda self: self.log)
    @rule(data=st.data(), option=st.sampled_from(["new", "moved", "always"]))
    def change(self, data, option):
        found = [n for n, e in enumerate(self.log.events) if e.fact == "onset"]
        if not found:
            return
        at = data.draw(st.sampled_from(found))
        assert self.log.put(at, Event(fact="onset", is_=option)) == []
        rows = self.model[self.case]
        seen = [n for n, (e, _) in enumerate(rows) if not (e.check or "").startswith("check-of")]
        rows[seen[at]] = (Event(fact="onset", is_=option), rows[seen[at]][1])

    @precondition(lambda self: self.log and self.stands() == "open")
    @rule()
    def hand_over(self):
        self.said(Event(closed="handed-on", why="Book a technician."), "waiting")
        self.down()

    @rule(case=cases, role=st.sampled_from([None, *ROLES]))
    def resume(self, case, role):
        if case in self.model and self.stands(case) != "closed":
            self.up(case, role)

    @precondition(lambda self: self.log and self.stands() == "open")
    @rule(passes=st.booleans())
    def mend_and_prove(self, passes):
        self.said(Event(remedy="foot-unloaded", did="done"))
        if "walks" in dict(fold(KB, self.known()).gone):
            return
        self.said(Event(proof="spin-stays-put", answer="stayed" if passes else "walked"))
        state = fold(KB, self.known())
        rhythm = dict(state.facts).get("rhythm")
        assert state.closed == (None if not passes else "on-trial" if rhythm == "now-and-then" else "solved")
        if state.closed:
            self.said(Event(closed=state.closed), "on-trial" if state.closed == "on-trial" else "closed")

    @precondition(lambda self: self.log and self.stands() == "on-trial")
    @rule(back=st.booleans())
    def end_of_trial(self, back):
        before = fold(KB, self.known())
        self.said(Event(trial="came-back" if back else "stayed-away"), "open" if back else "closed")
        state = fold(KB, self.known())
        if before.closed == "on-trial":
            assert state.closed == (None if back else "solved")

    @precondition(lambda self: self.log and self.stands() == "open")
    @rule(how=st.sampled_from(["given-up", "not-a-fault"]))
    def close(self, how):
        self.said(Event(closed=how, why="so"), "closed")
        self.down()

    @rule()
    def crash(self):
        """What a kill leaves: no goodbye. This very process may go on, since the marker is its own."""
        self.gone()
        self.store = Store.open(self.path)
        self.log = self.case = None

    @rule(case=consumes(cases))
    def forget(self, case):
        if case == self.case:
            self.down()
        if case in self.model:
            self.store.forget(case)
            del self.model[case]

    @invariant()
    def both_agree(self):
        if not hasattr(self, "model"):
            return
        assert {c.id: c.state for c in self.store.find()} == {case: self.stands(case) for case in self.model}
        for case, rows in self.model.items():
            assert self.store.events(case) == [e for e, _ in rows if not e.cleared]  # a cleared gate is in no store
        if self.log:
            assert self.log.events == self.known()
        for state in ("open", "waiting", "on-trial", "closed"):
            assert {c.id for c in self.store.find(state=state)} == {c for c in self.model if self.stands(c) == state}


TestLife = Life.TestCase
TestLife.settings = settings(max_examples=10, stateful_step_count=25, deadline=None)


@pytest.mark.slow
class TestLongLife(Life.TestCase):
    """Many more lives than the quick run has time for."""

    settings = settings(max_examples=75, stateful_step_count=40, deadline=None)
