"""IAPWS water and ice (D): mixing by enthalpy, densities, latent heat, the melting curve. iapws is a development check only."""

import iapws
import pytest
from scipy import optimize

from dryfloor.engine.physics.cold import freezing
from dryfloor.engine.physics.supply import mixing

GAL = 231 * 0.0254**3


def celsius(F: float) -> float:
    """°F in °C."""
    return (F - 32) / 1.8


def water(C: float):  # type: ignore[no-untyped-def]
    """Liquid water at 1 atm by IF97."""
    return iapws.IAPWS97(T=C + 273.15, P=0.101325)


MIXES = [(1, 120, 1, 60, 90.00, 89.83), (1, 140, 1, 40, 90.00, 89.53), (3, 150, 5, 50, 87.50, 87.01)]


@pytest.mark.parametrize(("hot", "hot_F", "cool", "cool_F", "simple", "enthalpy"), MIXES)
def test_mixing(hot: float, hot_F: float, cool: float, cool_F: float, simple: float, enthalpy: float) -> None:
    """D: the simple rule to .005 °F; by enthalpy to .01 °F; never more than .5 °F high."""
    ours = mixing.mixed_temperature(hot * GAL, celsius(hot_F), cool * GAL, celsius(cool_F)) * 1.8 + 32
    assert ours == pytest.approx(simple, abs=0.005)
    a, b = water(celsius(hot_F)), water(celsius(cool_F))
    heat = (hot * a.rho * a.h + cool * b.rho * b.h) / (hot * a.rho + cool * b.rho)
    true = optimize.brentq(lambda C: water(C).h - heat, 1, 90) * 1.8 + 32
    assert true == pytest.approx(enthalpy, abs=0.01)
    assert 0 <= ours - true <= 0.5


def test_ice_and_water_at_zero() -> None:
    """D: 999.84 and 916.72 kg/m3 within .05."""
    assert water(0).rho == pytest.approx(freezing.WATER_0C_kg_m3, abs=0.05)
    assert iapws._iapws._Ice(273.15, 0.101325)["rho"] == pytest.approx(freezing.ICE_0C_kg_m3, abs=0.05)


def test_expansion() -> None:
    """D: +9.07 % within .1; the same said of density is 8.31 %, and the two are not mixed up. A table gives 9.0 (S)."""
    swell = 100 * (freezing.ice_volume(1) - 1)
    assert swell == pytest.approx(9.07, abs=0.1)
    assert 100 * (1 - 1 / freezing.ice_volume(1)) == pytest.approx(8.31, abs=0.1)
    assert pytest.approx(swell, abs=0.1) == 100 * (999.8426 / 916.9076 - 1)


def test_latent_heat() -> None:
    """D: 333.4 kJ/kg (recomputed 333.42) within .3; Çengel's 333.7 lies within it too."""
    latent = water(0).h - iapws._iapws._Ice(273.15, 0.101325)["h"]
    assert latent == pytest.approx(333.42, abs=0.01)
    assert freezing.LATENT_J_kg / 1e3 == pytest.approx(latent, abs=0.3)
    assert freezing.LATENT_J_kg / 1e3 == pytest.approx(333.7, abs=0.31)


def test_specific_heat() -> None:
    """D: the constant is IF97's at 20 °C, and within 1 % of the mean from 0 to 20 °C."""
    assert pytest.approx(water(20).cp * 1e3, abs=0.5) == freezing.HEAT_WATER_J_kgK
    assert pytest.approx((water(20).h - water(0).h) / 20 * 1e3, rel=0.01) == freezing.HEAT_WATER_J_kgK


@pytest.mark.parametrize(("Pa", "C"), freezing.MELTING_HINT)
def test_melting_curve(Pa: float, C: float) -> None:
    """D: 150, 3,000 and 4,000 psi at -.07, -1.59 and -2.16 °C, half a last digit and the triple point's .01."""
    T = optimize.brentq(lambda T: iapws._iapws._Melting_Pressure(T, "Ih") - Pa / 1e6, 262, 273.15)
    assert pytest.approx(C, abs=0.006) == T - 273.15


def test_pressures_of_the_hint() -> None:
    """The three pressures are those of piping design, of half-inch copper bursting (S) and one above."""
    assert [round(Pa / 6894.757) for Pa, _ in freezing.MELTING_HINT] == [150, 3000, 4000]


@pytest.mark.parametrize(
    ("air", "to_zero", "freeze", "total"), [(-5, 2.92, 28.96, 31.9), (-6.67, 2.52, 21.7, 24.2), (-10, 2.00, 14.5, 16.5)]
)
def test_half_a_litre(air: float, to_zero: float, freeze: float, total: float) -> None:
    """D: .5 L, .04 m2, h 8, from 20 °C; hours within .1 % and half a last digit."""
    line = freezing.freezing(0.5, 0.04, 8, 20, air)
    assert line.to_zero_s / 3600 == pytest.approx(to_zero, abs=0.005 + 0.001 * to_zero)
    assert line.freezing_s / 3600 == pytest.approx(freeze, abs=(0.005 if air == -5 else 0.05) + 0.001 * freeze)
    assert line.total_s / 3600 == pytest.approx(total, abs=0.05 + 0.001 * total)
