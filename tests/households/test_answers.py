"""Every home is mapped, to names that the kb knows; the ones held out too."""

import pytest

from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.case.events import Event
from tests.households.answers import FRESH, truths
from tests.households.homes import FRESH as FRESH_HOMES
from tests.households.homes import homes

ALL = {**truths(), **truths(FRESH)}


def test_every_home_is_mapped_and_nothing_else():
    assert list(truths()) == [h.id for h in homes()]
    assert list(truths(FRESH)) == [h.id for h in homes(FRESH_HOMES)]


@pytest.mark.parametrize("writer", sorted({i[0] for i in ALL}))
def test_names_are_the_kbs_and_values_can_be_said(kb, writer):
    for home in (h for h in homes() + homes(FRESH_HOMES) if h.id[0] == writer):
        truth = ALL[home.id]
        assert {*truth.cause, *truth.near} <= {*kb.causes}, home.id
        assert {*truth.complaints} <= {*kb.complaints}, home.id
        assert {*truth.unsafe} <= {h for h, r in kb.hazards.items() if r.gate}, home.id
        assert {*truth.normal, *truth.cant} <= {*kb.checks}, home.id
        assert not {*truth.cant} & {*truth.answers}, home.id
        said = [Event(fact=f, is_=o) for f, o in (truth.facts | truth.told_facts).items()]
        for name, value in (truth.answers | truth.told).items():
            measured = name in kb.checks and kb.checks[name].kind == "measure"
            said.append(Event(check=name, value=value) if measured else Event(check=name, answer=value))
        for event in said:
            problems = event_problems(kb, event)
            assert problems == [], (home.id, event, problems)


def test_many_homes_hold_what_no_kb_has_and_two_faults_or_none():
    assert sum(not t.covered for t in truths().values()) >= 25
    assert sum(h.causes != 1 for h in homes()) >= 30
