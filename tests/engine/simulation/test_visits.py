"""Played visits: sites that agree with the case, minutes of what was done, the same visits each time."""

import numpy as np
import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.model import holds
from dryfloor.engine.simulation.visits import _site, arrival, visits
from tests.support.telling import HANDED_OVER, MENDED


@pytest.fixture(scope="module")
def analysis(kb):
    return Analysis(
        network_of(kb),
        fold(kb, [Event(role="desk"), Event(complaints=["walks"]), Event(fact="floor", is_="wood-joists")]),
    )


def test_sites_agree_with_what_is_known_and_with_their_causes(kb, analysis):
    for k, row in enumerate(range(0, len(analysis.scenarios.weight), 5)):
        installation = _site(analysis, row, k)
        assert installation.facts["floor"] == "wood-joists"
        assert set(installation.facts) == set(kb.facts)
        assert all(holds(kb.causes[c].when, installation.facts) for c in installation.causes)
        assert {
            analysis.evidence.causes[i] for i in np.flatnonzero(analysis.scenarios.needs[row])
        } == installation.origins["walks"]


@pytest.mark.slow
def test_visits_are_the_same_each_time_and_as_many_as_asked(analysis):
    first = visits(analysis, 6)
    assert first == visits(analysis, 6)
    assert len(first) == 6


def test_minutes_are_those_of_what_was_done_there(kb, analysis):
    for v in visits(analysis, 6):
        least = sum(kb.checks[c].minutes.technician for c in v.checks)
        assert v.minutes >= least - 1e-9
        assert v.solved != bool(v.booked) or not v.solved


def test_a_mended_floor_is_mended_there(kb):
    """A case that is all but settled ends within minutes, and mostly mended."""
    sure = [e for e in MENDED if not e.remedy and not e.proof]
    found = visits(Analysis(network_of(kb), fold(kb, sure)), 8)
    assert sum(v.solved for v in found) >= 6
    assert all("spin-stays-put" in v.checks for v in found if v.solved)


def test_work_for_a_plumber_ends_the_visit(kb):
    found = visits(Analysis(network_of(kb), fold(kb, HANDED_OVER)), 8)
    assert {v.booked for v in found} >= {"plumber"}


def test_whoever_arrives_asks_the_gates_anew(kb):
    state = arrival(Analysis(network_of(kb), fold(kb, HANDED_OVER)))
    assert (state.role, state.hands, state.cleared) == ("technician", "technician", ())
    there = Analysis(network_of(kb), fold(kb, MENDED[:12]))
    assert arrival(there) is there.state
    assert arrival(Analysis(network_of(kb), fold(kb, [*HANDED_OVER, Event(closed="given-up")]))).closed is None
