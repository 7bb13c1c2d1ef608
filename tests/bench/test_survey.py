"""The bench's own rules: what a line finds in a home, whether that bears on its fault, and the lists beside one another."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.survey.consequences import callback_cost
from tests.bench.survey import FIXED, amiss, bears, lists, prevented, seen, site
from tests.households.answers import truths
from tests.households.homes import homes

BOLTS = next(h for h in homes() if not h.held and truths()[h.id].cause == ["restraints-left-in"])


def test_a_home_with_bolts_left_in_is_prevented_by_the_line_that_counts_them(kb):
    truth = truths()[BOLTS.id]
    facts = site(truth)
    assert seen(kb, BOLTS, truth)
    assert not set(facts) & {"onset", "rhythm"}
    found = {c: amiss(kb, kb.checks[c], truth, facts) for c in ("restraints-left", "standpipe-height", "hose-sealed")}
    assert found["restraints-left"].startswith("answer:restraints-left:")
    assert found["hose-sealed"] == ""
    assert bears(network_of(kb), kb.checks["restraints-left"], found["restraints-left"], "restraints-left-in")
    assert not bears(network_of(kb), kb.checks["breaker-number"], "answer:breaker-number:fifteen", "restraints-left-in")
    cost, saved, minutes = prevented(kb, BOLTS, truth)
    assert cost == pytest.approx(callback_cost(kb, kb.causes["restraints-left-in"]))
    assert saved["10 minutes"] == saved["the full sheet"] == cost
    assert minutes["10 minutes"] <= 10 + 1e-9 < minutes["the full sheet"]


def test_the_fixed_list_is_the_first_lines_of_the_files(kb):
    fixed = lists(kb, {"drain": "standpipe"})[f"{FIXED} lines in file order"]
    order = list(kb.checks)
    assert len(fixed) == FIXED
    assert [order.index(n) for n in fixed] == sorted(order.index(n) for n in fixed)


def test_a_home_that_is_no_installers_fault_is_left_out(kb):
    assert not any(seen(kb, h, truths()[h.id]) for h in homes() if not h.installation)
