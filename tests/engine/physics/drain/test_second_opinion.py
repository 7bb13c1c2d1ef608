"""drain against the open library `fluids` 1.3.1, where it has the formula, and scipy's root finder where it has not."""

import math

import pytest
from fluids import V_Manning
from fluids.core import P_from_head, Reynolds, relative_roughness
from fluids.fittings import bend_rounded, contraction_sharp, diffuser_sharp
from fluids.friction import Churchill_1977, Colebrook, Haaland, friction_laminar, one_phase_dP
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import full_bore, pump, siphon, sloping_drain

RHO, MU, G = friction.WATER_DENSITY_KGM3, friction.WATER_VISCOSITY_PAS, friction.GRAVITY_MS2
BORE = st.floats(0.01, 0.15)
GPM = 3.785411784e-3 / 60


@given(st.floats(2100, 1e8), st.floats(0, 0.05))
def test_friction_factor_is_colebrooks(reynolds: float, roughness: float) -> None:
    assert friction.friction_factor(reynolds, roughness) == pytest.approx(Colebrook(reynolds, roughness), rel=1e-9)


@given(st.floats(1, 2000))
def test_friction_factor_is_laminar_below(reynolds: float) -> None:
    assert friction.friction_factor(reynolds) == pytest.approx(friction_laminar(reynolds), rel=1e-12)


@pytest.mark.parametrize(
    ("reynolds", "roughness"), [(4e3, 0), (1e4, 0), (2e4, 1e-3), (5e4, 1e-3), (1e5, 1e-4), (1e5, 1e-2)]
)
def test_explicit_formulas_are_off_by_what_the_docstring_says(reynolds: float, roughness: float) -> None:
    ours = friction.friction_factor(reynolds, roughness)
    assert 0.0025 < abs(Churchill_1977(reynolds, roughness) / ours - 1) < 0.0175
    assert abs(Haaland(reynolds, roughness) / ours - 1) < 0.0175


@given(st.floats(5e-5, 5e-3), BORE, st.floats(0.1, 30), st.floats(0, 3e-4))
def test_darcy_loss_is_one_phase_pressure_drop(flow: float, bore_m: float, length: float, roughness: float) -> None:
    assume(Reynolds(V=flow / (math.pi * bore_m**2 / 4), D=bore_m, rho=RHO, mu=MU) > 4000)
    head = friction.darcy_head_loss(flow, bore_m, length, roughness)
    by_library = one_phase_dP(flow * RHO, RHO, MU, bore_m, roughness, length, "Colebrook")
    assert friction.pressure_of_head(head) == pytest.approx(by_library, rel=1e-9)


def test_hose_loss_of_eight_feet() -> None:
    """15 gpm, 7/8 in, 8 ft: 6773.39 Pa by one_phase_dP; the library's default factor, hence 0.01 % (D)."""
    head = friction.darcy_head_loss(15 * GPM, 0.875 * 0.0254, 8 * 0.3048)
    assert friction.pressure_of_head(head) == pytest.approx(6773.39, rel=1e-4)
    by_library = one_phase_dP(15 * GPM * RHO, RHO, MU, 0.875 * 0.0254, 1.5e-6, 8 * 0.3048)
    assert friction.pressure_of_head(head) == pytest.approx(by_library, rel=1e-6)


@given(st.floats(0.001, 0.1), st.floats(0.0005, 0.1), st.floats(0.008, 0.02))
def test_manning(radius: float, slope: float, n: float) -> None:
    assert sloping_drain.manning_speed(radius, slope, n) == pytest.approx(V_Manning(radius, slope, n), rel=1e-12)


@given(st.floats(-10, 50), st.floats(900, 1100))
def test_pressure_of_head(head: float, density: float) -> None:
    assert friction.pressure_of_head(head, density) == pytest.approx(P_from_head(head, density), abs=1e-9)


@given(BORE, BORE)
def test_steps_of_the_bore(one: float, other: float) -> None:
    narrow, wide = min(one, other), max(one, other)
    assert full_bore.step_k(narrow, wide) == pytest.approx(diffuser_sharp(narrow, wide), abs=1e-12)
    assert full_bore.step_k(wide, narrow) == pytest.approx(contraction_sharp(wide, narrow), abs=1e-12)


def test_trap_loss_band_is_what_rounded_bends_give() -> None:
    """A return bend and a quarter bend in 2 in pipe, radius 0.7 to 1.5 bores (D)."""
    tight, long = (
        sum(bend_rounded(0.0508, angle, 0.02, rc=radius * 0.0508) for angle in (90, 180)) for radius in (0.7, 1.5)
    )
    low, high = full_bore.TRAP_K_BAND
    assert (long, tight) == pytest.approx((low, high), abs=0.1)
    assert low < full_bore.TRAP_K < high


@given(st.floats(0.05, 3), BORE, st.floats(0.5, 10), st.floats(0, 5))
def test_siphon_flow_by_another_root_finder(head: float, bore_m: float, length: float, loss_k: float) -> None:
    def spare(speed: float) -> float:
        factor = Colebrook(Reynolds(V=speed, D=bore_m, rho=RHO, mu=MU), relative_roughness(bore_m, 1.5e-6))
        return head - (1 + loss_k + factor * length / bore_m) * speed**2 / (2 * G)

    speed = brentq(spare, 1e-6, 20, xtol=1e-14, rtol=1e-13)
    assume(Reynolds(V=speed, D=bore_m, rho=RHO, mu=MU) > 4000)
    flow = siphon.siphon_flow(head, bore_m, length, loss_k)
    assert flow == pytest.approx(speed * math.pi * bore_m**2 / 4, rel=1e-8)


@given(st.floats(2, 5), st.floats(0.2, 1.5), st.floats(1, 8), st.sampled_from([1, 2]))
def test_pump_duty_by_another_root_finder(shutoff: float, lift: float, length: float, power: int) -> None:
    bore_m, free = 0.022225, 20 * GPM
    area = math.pi * bore_m**2 / 4

    def spare(flow: float) -> float:
        speed = flow / area
        factor = Colebrook(Reynolds(V=speed, D=bore_m, rho=RHO, mu=MU), relative_roughness(bore_m, 1.5e-6))
        asked = lift + (2.5 + factor * length / bore_m) * speed**2 / (2 * G)
        return shutoff * (1 - (flow / free) ** power) - asked

    flow = brentq(spare, 1e-9, free, xtol=1e-16, rtol=1e-13)
    assume(Reynolds(V=flow / area, D=bore_m, rho=RHO, mu=MU) > 4000)
    duty = pump.pump_duty(pump.Pump(shutoff, free, power), lift, [full_bore.Stretch(bore_m, length, 2.5)])
    assert duty.flow_m3s == pytest.approx(flow, rel=1e-8)


@given(st.floats(0.3, 1), st.floats(0.03, 0.06), st.floats(0.5, 3), st.floats(0.03, 0.06), st.floats(0, 0.8))
def test_full_bore_by_another_root_finder(
    standpipe: float, bore_m: float, arm: float, trap: float, blocked: float
) -> None:
    """The energy equation written out: both stretches, trap, step, the speed head that leaves, trap and arm lined by lint."""
    head = standpipe + arm / 48 - trap / 2
    lined = math.sqrt(trap**2 * (1 - blocked))
    step = diffuser_sharp(bore_m, trap) if bore_m < trap else contraction_sharp(bore_m, trap)

    def stretch(flow: float, bore: float, length: float, loss_k: float) -> float:
        speed = flow / (math.pi * bore**2 / 4)
        factor = Colebrook(Reynolds(V=speed, D=bore, rho=RHO, mu=MU), relative_roughness(bore, 1.5e-6))
        return (loss_k + factor * length / bore) * speed**2 / (2 * G)

    def spare(flow: float) -> float:
        above, below = (step, 0.0) if bore_m < trap else (0.0, step)
        return head - stretch(flow, bore_m, standpipe, above) - stretch(flow, lined, 0.3 + arm, 1.5 + 1 + below)

    run = full_bore.standpipe_run(standpipe, bore_m, arm, trap, blocked)
    flow = full_bore.full_bore_flow(full_bore.run_head(standpipe, arm, trap), run)
    assert flow == pytest.approx(brentq(spare, 1e-9, 0.1, xtol=1e-16, rtol=1e-13), rel=1e-8)
