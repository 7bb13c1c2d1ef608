"""Supply, branch and start: limits at their edges, laws, and derived figures (D)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.power import circuit
from dryfloor.engine.physics.power import voltage_drop as vd


@given(st.floats(0, 600), st.floats(0, 50), st.sampled_from(sorted(circuit.SUPPLY_V)))
def test_bands_follow_the_voltage(volts, more, profile):
    order = ("below", "low", "normal", "high", "above")
    lower, higher = (circuit.supply_band(v, profile) for v in (volts, volts + more))
    assert order.index(lower) <= order.index(higher)


def test_230_v_has_one_band():
    for profile, low in (("230", 207.0), ("230 +10/-6", 216.2)):
        found = [circuit.supply_band(v, profile) for v in (low - 0.1, low, 230, 253, 253.1)]
        assert found == ["below", "normal", "normal", "normal", "above"]


def test_loads_of_a_branch():
    # one cord-and-plug load up to 80 %: from memory, unverified
    assert circuit.branch_load(15, 13).plug_over
    assert not circuit.branch_load(20, 13).plug_over
    assert not circuit.branch_load(15, 12.0).plug_over
    assert not circuit.branch_load(20, 16.0).plug_over
    shared = circuit.branch_load(20, 10, 12.5)
    assert (shared.total_A, shared.spare_A, shared.plug_over) == (22.5, -2.5, False)
    assert circuit.branch_load(20) == (0, 20, 16, False)


def test_a_half_horsepower_start_on_50_ft_of_12_awg():
    # letter L, from memory, unverified: 39.1 to 43.4 A; sag 7.6 to 8.4 V of the full current (D)
    loop = 2 * 50 * 0.3048 * vd.SOLID_OHM_PER_M["12 AWG"]
    starts = [circuit.locked_rotor_A(0.5, 115, va) for va in circuit.LOCKED_ROTOR_L_VA_PER_HP]
    assert starts == pytest.approx([39.1, 43.4], abs=0.05)
    assert [circuit.start_sag_V(115, start, loop)[1] for start in starts] == pytest.approx([7.6, 8.4], abs=0.06)
    assert starts[0] / circuit.FULL_LOAD_A["1/2"] == pytest.approx(
        4, abs=0.1
    )  # within the 3 to 6 that a fuse article has (S)


@given(st.floats(100, 240), st.floats(1, 60), st.floats(0, 2))
def test_the_low_end_of_a_sag_is_a_divider(volts, start, loop):
    low, high = circuit.start_sag_V(volts, start, loop)
    assert low == pytest.approx(volts * loop / (loop + volts / start))
    assert high == pytest.approx(start * loop)
    assert low <= high


def test_a_time_delay_fuse():
    # trade-press quiz (S): 65 A -> 113.75 A; 110 is the size below, 125 above
    assert circuit.fuse_limit_A(65) == 113.75
    assert 110 < circuit.fuse_limit_A(65) < 125
    assert list(circuit.FULL_LOAD_A.values()) == [4.4, 5.8, 7.2, 9.8, 13.8]  # NEC T430.248 (S)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: circuit.supply_band(-1), "volts_V: found -1 V"),
        (lambda: circuit.supply_band(120, "110"), "expected one of 120, 230"),  # type: ignore[arg-type]
        (lambda: circuit.branch_load(0, 5), "rating_A: found 0 A"),
        (lambda: circuit.branch_load(20, -5), "loads_A: found -5 A"),
        (lambda: circuit.fuse_limit_A(0), "full_load_A: found 0 A"),
        (lambda: circuit.locked_rotor_A(0.5, 0, 9000), "volts_V: found 0 V"),
        (lambda: circuit.start_sag_V(115, 40, -1), "loop_ohm: found -1 ohm"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
