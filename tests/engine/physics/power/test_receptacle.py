"""Three voltages: every wiring is simulated as a network with a meter on it, and must be among what its readings fit."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.power import receptacle
from dryfloor.engine.physics.power.wiring import WIRINGS

READ_LIKE_RIGHT = {
    "correct",
    "neutral-ground-swapped",
    "bootleg-ground",
    "neutral-hole-on-ground",
    "reversed-bootleg-ground",
}
WIRES = {fault.id: fault.joined for fault in WIRINGS}
OMEGA = 2 * math.pi * 60


def readings(
    joined, volts=120.0, load_ohm=None, meter_ohm=10e6, to_hot_F=1e-9, to_earth_F=1e-9, wire_ohm=0.1, elsewhere=False
):
    """What a meter reads: nodes are the far ends of hot, neutral and ground wire, the three holes, the end of another hot."""
    found = []
    for one, other in ((0, 1), (0, 2), (1, 2)):
        admittance, injected = np.zeros((7, 7), complex), np.zeros(7, complex)

        def join(a, b, siemens, admittance=admittance):
            for node, mate in ((a, b), (b, a)):
                if node is not None:
                    admittance[node, node] += siemens
                    if mate is not None:
                        admittance[node, mate] -= siemens

        for wire in (0, 1, 2, 6):
            join(wire, None, 1 / wire_ohm)
        injected[0], injected[6] = volts / wire_ohm, -volts / wire_ohm
        for hole, wire in enumerate(joined):
            if wire == "-":
                if hole == 0:  # a broken hot lies beside neutral and ground
                    join(3, 1, 1j * OMEGA * to_earth_F)
                else:
                    join(3 + hole, 0, 1j * OMEGA * to_hot_F)
                join(3 + hole, 1 if hole == 2 else None, 1j * OMEGA * to_earth_F)  # a ground wire lies beside both
            else:
                join(3 + hole, "hng---k".index(wire), 1e6)
        if load_ohm is not None:
            join(*((0, 1) if elsewhere else (3, 4)), 1 / load_ohm)
        join(3 + one, 3 + other, 1 / meter_ohm)
        at = np.linalg.solve(admittance, injected)
        found.append(abs(at[3 + one] - at[3 + other]))
    return found


@pytest.mark.parametrize(
    ("wiring", "unloaded", "loaded"),
    [
        ("correct", (120, 120, 0), (117.6, 118.8, 1.2)),
        ("open-ground", (120, 59.5, 59.5), (117.6, 58.3, 58.3)),
        ("open-neutral", (59.5, 120, 59.5), (0, 120, 120)),
        ("open-hot", (0, 0, 0), (0, 0, 0)),
        ("hot-neutral-reversed", (120, 0, 120), (117.6, 1.2, 118.8)),
        ("neutral-ground-swapped", (120, 120, 0), None),
        ("open-neutral-and-ground", (59.5, 59.5, 0), (0, 59.5, 59.5)),
    ],
)
def test_the_network_reads_as_the_derived_table(wiring, unloaded, loaded):
    # (D): 10 megohm meter, 1 nF to either side, .1 ohm a wire, 10 ohm load
    assert readings(WIRES[wiring]) == pytest.approx(unloaded, abs=0.1)
    if loaded:
        assert readings(WIRES[wiring], load_ohm=10) == pytest.approx(loaded, abs=0.12)


@given(
    st.sampled_from(sorted(WIRES)),
    st.floats(110, 127),
    st.sampled_from(["none", "here", "elsewhere", "unknown"]),
    st.sampled_from([3e3, 1e6, 10e6]),
    st.floats(0.3, 3),
    st.floats(10, 60),
    st.floats(0.02, 0.2),
)
def test_the_true_wiring_is_always_among_those_that_fit(wiring, volts, load, meter, uneven, ohm, wire):
    live = load in ("here", "elsewhere")
    found = readings(WIRES[wiring], volts, ohm if live else None, meter, 1e-9 * uneven, 1e-9, wire, load == "elsewhere")
    finding = receptacle.diagnose(*found, load=load, load_A=volts / ohm if live else 0.0, loz=meter < 1e4)
    assert wiring in {fault.id for fault in finding.faults}
    assert finding.sum_holds is not False
    if finding.settled:
        assert [fault.id for fault in finding.faults] == [wiring]
    if wiring not in READ_LIKE_RIGHT:
        assert finding.stop
        assert finding.live_metal or WIRES[wiring][2] not in "hk"


@pytest.mark.parametrize("joined", ["hng", "hgn", "ghn", "gnh", "nhg", "ngh"])
def test_every_order_of_the_three_wires_shows_a_known_pattern(joined):
    finding = receptacle.diagnose(*readings(joined))
    assert finding.pattern in ("LLZ", "ZLL", "LZL")
    assert finding.faults


def ids(finding):
    return [fault.id for fault in finding.faults]


def test_a_load_elsewhere_on_the_circuit_separates_what_looks_right():
    for wiring in ("correct", "neutral-ground-swapped"):
        finding = receptacle.diagnose(
            *readings(WIRES[wiring], load_ohm=10, elsewhere=True), load="elsewhere", load_A=12
        )
        assert (ids(finding), finding.settled, finding.stop) == ([wiring], True, wiring != "correct")
    for wiring in ("bootleg-ground", "neutral-hole-on-ground", "reversed-bootleg-ground"):
        finding = receptacle.diagnose(
            *readings(WIRES[wiring], load_ohm=10, elsewhere=True), load="elsewhere", load_A=12
        )
        assert ids(finding)[:3] == ["bootleg-ground", "neutral-hole-on-ground", "reversed-bootleg-ground"]
        assert finding.stop
        assert "known earth" in (finding.next_reading or "")


def test_a_load_in_the_outlet_itself_does_not_settle_it():
    finding = receptacle.diagnose(117.6, 118.8, 1.2, load="here", load_A=12)
    assert ids(finding) == ["correct", "neutral-ground-swapped"]
    assert not finding.settled
    assert "another outlet" in (finding.next_reading or "")


def test_without_a_load_right_is_never_settled_and_never_stops():
    finding = receptacle.diagnose(120, 120, 0)
    assert set(ids(finding)) >= {"correct", "neutral-ground-swapped", "bootleg-ground"}
    assert (finding.settled, finding.stop) == (False, False)
    assert "8 A" in (finding.next_reading or "")


def test_no_line_from_hot_to_neutral_has_two_causes_until_all_is_unplugged():
    finding = receptacle.diagnose(0.3, 120, 120.2)
    assert ids(finding)[:2] == ["open-neutral", "hot-ground-reversed"]
    assert "Breaker off. Unplug every load" in (finding.next_reading or "")
    unplugged = receptacle.diagnose(0.3, 120, 120.2, load="none")
    assert ids(unplugged)[0] == "hot-ground-reversed"
    assert "known earth" in (unplugged.next_reading or "")
    assert ids(receptacle.diagnose(59.5, 120, 59.5, load="none")) == ["open-neutral"]


@pytest.mark.parametrize("volts", [(120, 0.2, 120), (0.2, 120, 120), (120, 240, 120), (120, 208, 120)])
def test_where_a_live_ground_hole_fits_it_is_said(volts):
    finding = receptacle.diagnose(*volts)
    assert any(fault.live_metal for fault in finding.faults)
    assert (finding.stop, finding.live_metal, finding.settled) == (True, True, False)


def test_a_dead_ground_hole_is_not_called_live():
    for volts in ((0, 0, 0), (120, 60, 60), (59.5, 120, 59.5), (240, 120, 120)):
        assert not receptacle.diagnose(*volts).live_metal


def test_a_floating_reading_is_read_again_before_a_verdict():
    finding = receptacle.diagnose(59.5, 120, 59.5, load="none")
    assert not finding.settled
    assert "LoZ" in (finding.next_reading or "")
    again = receptacle.diagnose(0.1, 120, 0.1, load="none", loz=True)
    assert (ids(again), again.settled, again.sum_holds) == (["open-neutral"], True, None)
    real = receptacle.diagnose(88, 120, 32, load="elsewhere", loz=True)
    assert (ids(real), real.sum_holds) == (["weak-neutral"], True)


def test_readings_that_do_not_add_up_are_read_again():
    finding = receptacle.diagnose(118.5, 113, 1.5)
    assert (finding.sum_holds, finding.settled) == (False, False)
    assert "Read all three again" in (finding.next_reading or "")
    assert receptacle.diagnose(120, 120, 120).sum_holds is False


def test_too_high_stops_at_once():
    for volts, also in (((208, 120, 120), ["neutral-hole-on-other-hot"]), ((140, 140, 0.5), [])):
        finding = receptacle.diagnose(*volts)
        assert (ids(finding), finding.stop, finding.settled) == (["supply-too-high", *also], True, False)
        assert not finding.live_metal
        assert "breaker" in (finding.next_reading or "")


def test_the_230_profile():
    assert ids(receptacle.diagnose(230, 230, 1, "230"))[0] == "correct"
    assert ids(receptacle.diagnose(2, 231, 230, "230"))[:2] == ["open-neutral", "hot-ground-reversed"]
    assert receptacle.diagnose(230, 400, 230, "230").live_metal
    assert receptacle.diagnose(120, 120, 0, "230").pattern == "FFZ"
    assert receptacle.diagnose(230, 230, 1, "120").stop


@pytest.mark.parametrize(
    ("volts", "letter"), [(0, "Z"), (5.0, "Z"), (5.01, "F"), (101.9, "F"), (102.0, "L"), (132.0, "L"), (132.1, "H")]
)
def test_bounds_of_the_classes(volts, letter):
    assert receptacle.classify(volts) == letter


@given(st.floats(0, 300), st.floats(0, 300))
def test_the_sum_gap_does_not_mind_the_order_and_is_zero_for_a_sum(one, other):
    assert receptacle.sum_gap_V(one, other, one + other) == pytest.approx(0, abs=1e-9)
    assert receptacle.sum_gap_V(one + other, one, other) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: receptacle.diagnose(-1, 120, 120), "volts_V: found -1 V"),
        (lambda: receptacle.diagnose(math.nan, 120, 120), "volts_V: found nan"),
        (lambda: receptacle.diagnose(700, 120, 120), "expected 0 to 600 V"),
        (lambda: receptacle.diagnose(120, 120, 0, "110"), "expected one of 120, 230"),  # type: ignore[arg-type]
        (lambda: receptacle.diagnose(120, 120, 0, load="washer"), "expected one of none, here"),  # type: ignore[arg-type]
        (lambda: receptacle.diagnose(120, 120, 0, load_A=-1), "load_A: found -1 A"),
        (lambda: receptacle.diagnose(120, 120, 0, give_or_take_V=0), "give_or_take_V: found 0 V"),
        (lambda: receptacle.neutral_ground(1, 0), "load_A: found 0 A"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
