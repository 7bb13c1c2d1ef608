"""ASME B1.20.7 thread (scope P, figures S), and the insurance institute's guidance as an insurer quotes it (S)."""

import pytest

from dryfloor.engine.measurement.quantity import parse
from dryfloor.engine.physics.supply import coupling
from tests.support.shipped import shipped

IN = 0.0254


def test_pitch() -> None:
    """D from S: 1/11.5 in = .08696 in within 1e-5; 2.209 mm."""
    assert coupling.HOSE_PITCH_m / IN == pytest.approx(0.08696, abs=1e-5)
    assert coupling.thread_advance(1) * 1e3 == pytest.approx(2.209, abs=0.0005)


def test_two_thirds_of_a_turn() -> None:
    """D, exact: .05797 in, 1.472 mm; 46 % of a 1/8-in washer, an upper bound."""
    assert coupling.thread_advance(2 / 3) == pytest.approx(2 / 3 / 11.5 * IN, rel=1e-12)
    assert coupling.thread_advance(2 / 3) / IN == pytest.approx(0.05797, abs=5e-6)
    assert coupling.thread_advance(2 / 3) * 1e3 == pytest.approx(1.472, abs=0.0005)
    assert 100 * coupling.washer_squeeze(2 / 3, IN / 8) == pytest.approx(46, abs=0.5)


def test_washer_seals_not_the_thread() -> None:
    """S, trade page: a weep sends people to the washer first."""
    assert "look at the washer first" in " ".join((coupling.washer_squeeze.__doc__ or "").split())


def test_intervals() -> None:
    """S: replace at about 5 years (a setting: others say 3 or 2, C), inspect at 6 months, 3 in clear behind."""
    rules = shipped().rules
    assert parse(rules["fill-hose-age"].max or "", "age") == pytest.approx(5 * 365.25 * 86400)
    assert parse(rules["fill-hose-inspected"].max or "", "age") == pytest.approx(0.5 * 365.25 * 86400)
    assert parse(rules["gap-behind-washer"].min or "", "length") == pytest.approx(3 * IN)
    assert all(rules[r].authority == "practice" for r in ("fill-hose-age", "fill-hose-inspected", "gap-behind-washer"))
