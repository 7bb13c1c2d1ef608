"""Çengel, Heat and Mass Transfer: example 4-1 (S), problem 3-159 (M, D); Incropera example 5.1 (data S, answer M)."""

import math

import pytest
from scipy.integrate import solve_ivp

from dryfloor.engine.physics.cold import freezing, pipe_frost


def sphere(diameter: float, density: float, heat: float, film: float) -> tuple[float, float]:
    """Heat capacity and conductance of a sphere."""
    return density * heat * math.pi / 6 * diameter**3, film * math.pi * diameter**2


def test_example_4_1() -> None:
    """S: Bi .001; b .4632 1/s; 99 % of the way in 9.96 s (book, after rounding) within .5 %; 9.941 unrounded (D)."""
    capacity, conductance = sphere(0.001, 8500, 320, 210)
    assert freezing.biot(210, math.pi / 6 * 1e-9, math.pi * 1e-6, 35) == pytest.approx(0.001, rel=1e-9)
    assert conductance / capacity == pytest.approx(0.4632, rel=1e-3)
    time = freezing.cooling_time(capacity, conductance, 100, 0, 1)
    assert time == pytest.approx(9.96, rel=0.005)
    assert time == pytest.approx(9.941, rel=1e-3)
    run = solve_ivp(lambda _, y: [-conductance / capacity * y[0]], (0, time), [100.0], rtol=1e-10, atol=1e-12)
    assert run.y[0][-1] == pytest.approx(1, rel=1e-6)


def test_incropera_5_1() -> None:
    """Data S (variant: k 20, c 400, 8500 kg/m3, h 400, time constant 1 s, 25 to 199 of 200 °C); answer M, from memory, unverified."""
    diameter = 6 * 400 * 1 / (8500 * 400)
    capacity, conductance = sphere(diameter, 8500, 400, 400)
    assert capacity / conductance == pytest.approx(1)
    assert diameter * 1e3 == pytest.approx(0.7059, abs=5e-5)
    time = freezing.cooling_time(capacity, conductance, 200 - 25, 0, 200 - 199)
    assert time == pytest.approx(5.165, abs=0.0005)
    assert time == pytest.approx(5.2, abs=0.05)


def test_problem_3_159() -> None:
    """M, D (k and latent heat 333.7 are S): 1.0259 K/W, 4.874 W, 245.6 kJ against 52.4, frozen in 2.99 h; half a last digit."""
    wall = pipe_frost.shell_resistance(0.020, 0.024, 0.16) / 0.5
    film = pipe_frost.film_resistance(0.024, 40) / 0.5
    assert wall == pytest.approx(0.3627, abs=5e-5)
    assert film == pytest.approx(0.6631, abs=5e-5)
    assert wall + film == pytest.approx(1.0259, abs=1e-4)
    rate = 5 / (wall + film)
    assert rate == pytest.approx(4.874, abs=5e-4)
    assert rate * 14 * 3.6 == pytest.approx(245.6, abs=0.1)
    mass = 1000 * math.pi / 4 * 0.020**2 * 0.5
    assert mass * 333.7 == pytest.approx(52.4, abs=0.05)
    assert freezing.freezing_time(mass, 1 / (wall + film), -5, 333.7e3) / 3600 == pytest.approx(2.99, abs=0.005)
    assert freezing.freezing_time(mass, 1 / (wall + film), -5, 333.7e3) < 14 * 3600
