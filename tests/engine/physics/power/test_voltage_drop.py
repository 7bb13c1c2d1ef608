"""Drop in a branch circuit: Ohm's law, inverses, a network solved node by node, and derived figures (D)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.power import voltage_drop as vd

FT = 0.3048
CURRENTS, RUNS = st.floats(0.5, 30), st.floats(1, 100)
GAUGES = st.sampled_from(["14 AWG", "12 AWG", "10 AWG"])


@given(CURRENTS, RUNS, GAUGES)
def test_at_its_longest_run_a_wire_takes_what_is_allowed(current, allowed, gauge):
    run = vd.longest_run_m(allowed, current, vd.SOLID_OHM_PER_M[gauge])
    assert vd.drop_V(current, run, vd.SOLID_OHM_PER_M[gauge]) == pytest.approx(allowed)


def test_a_network_of_both_wires_gives_the_same_drop():
    each, load = 30.48 * vd.SOLID_OHM_PER_M["12 AWG"], 10.0  # ohm
    hot, neutral = np.linalg.solve(  # currents into both ends of the load, 120 V behind the hot wire
        [[1 / each + 1 / load, -1 / load], [-1 / load, 1 / each + 1 / load]], [120 / each, 0]
    )
    current = (hot - neutral) / load
    assert vd.drop_V(current, 30.48, vd.SOLID_OHM_PER_M["12 AWG"]) == pytest.approx(120 - (hot - neutral))
    assert neutral == pytest.approx((120 - (hot - neutral)) / 2)  # half of it shows from neutral to ground


@pytest.mark.parametrize(("current", "feet"), [(12, (48.9, 77.7, 124)), (10, (58.6, 93.3, 148.8))])
def test_three_per_cent_runs(current, feet):
    runs = [vd.longest_run_m(3.6, current, vd.SOLID_OHM_PER_M[gauge]) / FT for gauge in ("14 AWG", "12 AWG", "10 AWG")]
    assert runs == pytest.approx(feet, rel=1e-3)  # solid copper, 75 degrees (D)
    assert pytest.approx(3.6) == vd.ADVISED_SHARE * 120


@pytest.mark.parametrize(("drop", "feet"), [(1.158, 50), (2.0, 86.4), (5.0, 215.9)])
def test_half_of_the_drop_from_neutral_to_ground(drop, feet):
    assert vd.drop_V(12, feet * FT, vd.SOLID_OHM_PER_M["12 AWG"]) / 2 == pytest.approx(drop, rel=0.01)  # (D)


@pytest.mark.parametrize(
    ("current", "run", "area_mm2", "drop", "share"), [(10, 20, 2.5, 3.60, 0.01565), (10, 30, 1.5, 9.00, 0.03913)]
)
def test_the_international_form(current, run, area_mm2, drop, share):
    # IEC 60364-5-52 annex G, from memory, unverified: .0225 ohm mm2/m; figures derived (D)
    found = vd.drop_by_area_V(current, run, area_mm2 * 1e-6, 0.0225e-6)
    assert (found, found / 230) == pytest.approx((drop, share), rel=1e-3)


@given(st.floats(-40, 200), st.floats(1, 40), st.sampled_from(["copper", "aluminum"]))
def test_warmer_wire_resists_more(wire, warmer, metal):
    cold, warm = (vd.resistance_at_ohm_per_m(0.005, t, metal) for t in (wire, wire + warmer))
    assert warm > cold
    assert vd.resistance_at_ohm_per_m(0.005, 75, metal) == 0.005


@given(CURRENTS, RUNS, GAUGES, st.floats(0, 30))
def test_sound_wire_shows_no_excess_and_a_joint_shows_its_own(current, run, gauge, joint):
    sound = vd.joint(vd.drop_V(current, run, vd.SOLID_OHM_PER_M[gauge]), current, run, gauge)
    assert sound.wire_low_V < sound.wire_high_V
    assert (sound.excess_V, sound.heat_W) == (0, 0)
    bad = vd.joint(sound.wire_high_V + joint, current, run, gauge)
    assert bad.excess_V == pytest.approx(joint, abs=1e-9)
    assert bad.heat_W == pytest.approx(joint * current, abs=1e-6)


def test_the_band_spans_cold_solid_to_hot_stranded():
    found = vd.joint(0, 20, 30.48, "12 AWG")
    assert (found.wire_low_V, found.wire_high_V) == pytest.approx((6.3485, 7.920), rel=1e-4)  # (D)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: vd.drop_V(-1, 10, 0.005), "current_A: found -1 A"),
        (lambda: vd.drop_V(1, 0, 0.005), "run_m: found 0 m"),
        (lambda: vd.drop_by_area_V(1, 10, 0, 2e-8), "area_m2: found 0 m2"),
        (lambda: vd.longest_run_m(3.6, 0, 0.005), "current_A: found 0 A"),
        (lambda: vd.resistance_at_ohm_per_m(0.005, 300), "expected -50 to 250"),
        (lambda: vd.resistance_at_ohm_per_m(0.005, 20, "iron"), "expected one of copper, aluminum"),  # type: ignore[arg-type]
        (lambda: vd.joint(5, 10, 20, "16 AWG"), "expected one of 14 AWG, 12 AWG, 10 AWG"),  # type: ignore[arg-type]
        (lambda: vd.joint(-5, 10, 20, "12 AWG"), "measured_V: found -5 V"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
