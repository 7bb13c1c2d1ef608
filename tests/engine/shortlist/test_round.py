"""One walk round the machine: each place once, each tool fetched once, and what must come first comes first."""

from itertools import groupby

import pytest

from dryfloor.engine.shortlist.round import AT, SPOTS, in_order, spot_of, tools_of
from dryfloor.engine.survey.blank_sheet import blank_lines
from dryfloor.engine.survey.must_see import must_see

SITES = ({}, {"drain": "tub", "supply-system": "eu-230"}, {"drain": "standpipe", "supply-system": "us-120"})


@pytest.mark.parametrize("facts", SITES)
def test_each_place_is_passed_once_in_the_order_of_the_walk(kb, facts):
    lines = in_order(kb, blank_lines(kb, "technician", facts))
    spots = [spot for spot, _ in groupby(spot_of(kb, c) for c in lines)]
    assert spots == [s for s in SPOTS if s in spots]
    assert set(AT) == set(SPOTS)


@pytest.mark.parametrize("facts", SITES)
def test_in_a_place_a_tool_is_taken_up_once(kb, facts):
    """Whatever needs nothing new comes before a tool is fetched; once it is in the hand, all that it alone is wanted for follows."""
    for _, group in groupby(in_order(kb, blank_lines(kb, "technician", facts)), key=lambda c: spot_of(kb, c)):
        here, held = list(group), set()
        for n, check in enumerate(here):
            waiting = [
                c
                for c in here[n:]
                if set(c.tools) <= held and not any(o.check in {x.id for x in here[n:]} for o in c.only_if)
            ]
            assert not waiting or set(check.tools) <= held, (check.id, [c.id for c in waiting])
            held |= set(check.tools)


def test_tools_are_named_once(kb):
    lines = blank_lines(kb, "technician", {})
    names = tools_of(lines)
    assert len(names) == len(set(names))
    assert set(names) == {t for c in lines for t in c.tools}


def test_what_must_be_seen_first_comes_first(kb):
    lines = [c.id for c in in_order(kb, blank_lines(kb, "technician", {}))]
    for check in must_see(kb, "technician"):
        for needed in check.only_if:
            assert lines.index(needed.check) < lines.index(check.id)


def test_the_order_is_the_same_however_the_lines_come(kb):
    lines = blank_lines(kb, "technician", {})
    assert in_order(kb, lines) == in_order(kb, list(reversed(lines)))


def test_every_line_of_a_technician_has_its_place_in_the_kb(kb):
    for facts in SITES:
        assert [c.id for c in blank_lines(kb, "technician", facts) if c.on_sheet is None] == []
