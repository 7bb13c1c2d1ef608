"""What feet can hold: laws, a scan over all angles, a search over all motions, and derived figures (D)."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from dryfloor.engine.physics.stand import grip

BANDS = st.tuples(st.floats(0.05, 0.5), st.floats(0.51, 1.2))
W70 = 70 * 9.80665


@given(BANDS, st.floats(40, 200))
def test_a_front_loader_slips_before_a_top_loader_and_before_it_hops(friction, mass_kg):
    across = grip.slip_limit_N(friction, mass_kg, "horizontal")
    upright = grip.slip_limit_N(friction, mass_kg, "vertical")
    assert all(lying < standing for lying, standing in zip(across, upright, strict=True))
    assert across[1] < mass_kg * 9.80665


@pytest.mark.parametrize("mu", [0.25, 0.45, 0.60, 1.0])
def test_the_horizontal_limit_is_the_least_over_all_angles(mu):
    angle = np.linspace(0, math.pi, 200_001)
    least = (mu * W70 / (np.cos(angle) + mu * np.sin(angle)))[angle < 1.5].min()
    assert grip.slip_limit_N((mu, 2 * mu), 70, "horizontal")[0] == pytest.approx(least, rel=1e-8)


def test_derived_limits_and_speeds_of_a_70_kg_machine():
    # 0.5 kg at .25 m, restraints in (D), 0.1 %
    for mu, force_N, rpm in ((0.25, 166.5, 348.5), (0.45, 281.7, 453.3), (0.60, 353.2, 507.6), (1.0, 485.4, 595.1)):
        limit_N = grip.slip_limit_N((mu, mu + 1), 70, "horizontal")[0]
        assert limit_N == pytest.approx(force_N, rel=1e-3)
        assert 60 * grip.speed_at_force_Hz(limit_N, 0.5, 0.25) == pytest.approx(rpm, rel=1e-3)
    upright_N = grip.slip_limit_N((0.25, 0.6), 70, "vertical")[1]
    assert upright_N == pytest.approx(411.9, rel=1e-3)
    assert 60 * grip.speed_at_force_Hz(upright_N, 0.5, 0.25) == pytest.approx(548, rel=1e-3)
    assert 60 * grip.speed_at_force_Hz(W70, 0.5, 0.25) == pytest.approx(707.7, rel=1e-3)


@pytest.mark.parametrize(
    ("across", "along", "shares"),
    [(0.25, 0.28, [0.946, 0.839, 0.732, 0.640]), (0.28, 0.25, [0.936, 0.823, 0.715, 0.625])],
)
def test_a_force_beside_the_middle_by_limit_analysis(across, along, shares):
    found = [grip.slip_share_off_middle(offset, across, along) for offset in (0.1, 0.2, 0.3, 0.4)]
    assert found == pytest.approx(shares, rel=5e-3)  # (D); the two directions differ


@pytest.mark.parametrize("offset", [0.05, 0.2, 0.45])
def test_a_search_over_every_motion_finds_no_easier_one(offset):
    corners = np.array([(x, y) for x in (-0.28, 0.28) for y in (-0.25, 0.25)])

    def work(motion):
        turn, sideways = motion  # forward speed follows from moving the force's line by 1
        forward = 1 + turn * offset
        speeds = np.column_stack((forward - turn * corners[:, 1], sideways + turn * corners[:, 0]))
        return np.hypot(speeds[:, 0], speeds[:, 1]).mean()

    best = min(
        minimize(work, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12}).fun
        for start in ((0, 0), (-1, 0.3), (1, -0.3), (-4, 0))
    )
    assert grip.slip_share_off_middle(offset, 0.25, 0.28) == pytest.approx(best, rel=1e-6)


@given(st.floats(0, 1), st.floats(0.01, 0.5), st.floats(0.15, 0.5), st.floats(0.15, 0.5))
def test_the_further_off_the_earlier_it_turns(offset, more, across, along):
    near, far = (grip.slip_share_off_middle(d, across, along) for d in (offset, offset + more))
    assert 0 < far < near + 1e-9 <= 1 + 1e-9


def test_through_the_middle_nothing_is_lost():
    assert grip.slip_share_off_middle(0, 0.25, 0.28) == pytest.approx(1, abs=1e-9)


def test_tilt_costs_little_friction():
    found = [grip.friction_on_tilt((0.25, 0.60), math.radians(degrees))[1] for degrees in (0, 0.5, 1, 2)]
    assert found == pytest.approx([0.6, 0.5913, 0.5825, 0.5647], rel=1e-3)  # (D)
    assert 1 - found[-1] / 0.6 < 0.06
    assert grip.friction_on_tilt((0.25, 0.60), math.radians(20))[0] == 0.0


@given(BANDS, st.floats(0, 0.2), st.floats(0.001, 0.2))
def test_more_tilt_never_leaves_more_friction(friction, tilt, more):
    less, steeper = grip.friction_on_tilt(friction, tilt), grip.friction_on_tilt(friction, tilt + more)
    assert steeper[0] <= less[0]
    assert steeper[1] < less[1]


@pytest.mark.parametrize("friction", [(0.6, 0.6), (0.6, 0.4), (0, 0.5), (-0.1, 0.5), (0.2, math.inf), (math.nan, 0.5)])
def test_one_value_of_friction_is_refused(friction):
    for call in (lambda: grip.slip_limit_N(friction, 70, "vertical"), lambda: grip.friction_on_tilt(friction, 0.01)):
        with pytest.raises(ValueError, match="expected a band"):
            call()


def test_every_band_of_feet_is_a_band():
    assert all(0 < low < high for low, high in grip.FEET_FRICTION.values())
    assert grip.FEET_FRICTION["wet"][0] == grip.FEET_FRICTION["unknown"][0]
    assert grip.FEET_FRICTION["dry"][1] == grip.FEET_FRICTION["unknown"][1]


def test_impossible_inputs_are_refused():
    with pytest.raises(ValueError, match="expected vertical or horizontal"):
        grip.slip_limit_N((0.2, 0.4), 70, "slanted")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="tilt_rad"):
        grip.friction_on_tilt((0.2, 0.4), -0.1)
    with pytest.raises(ValueError, match=r"offset_m: found -0\.1 m"):
        grip.slip_share_off_middle(-0.1, 0.25, 0.28)
    with pytest.raises(ValueError, match="force_N: found 0"):
        grip.speed_at_force_Hz(0, 0.5, 0.25)
