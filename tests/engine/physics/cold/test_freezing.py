"""cold, pipe_frost, frost_alert, antifreeze: laws that always hold, and second opinions that compute otherwise."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from dryfloor.engine.physics.cold import antifreeze, freezing, frost_alert, pipe_frost

masses = st.floats(0.05, 10)
conductances = st.floats(0.01, 20)


@pytest.mark.parametrize(
    ("mass", "ua", "start", "air"), [(0.5, 0.32, 20, -5), (0.5, 0.32, 20, -10), (2, 1.5, 45, -1), (0.1, 0.05, 5, -25)]
)
def test_against_an_integrated_body(mass: float, ua: float, start: float, air: float) -> None:
    """An ODE in enthalpy, stepped through 0 °C by scipy, reaches ice in the same time; within 0.1 %."""
    heat, latent = freezing.HEAT_WATER_J_kgK, freezing.LATENT_J_kg

    def loses(_: float, y: list[float]) -> list[float]:
        return [-ua * (max(y[0], 0) / (mass * heat) - air)]  # enthalpy above water at 0 °C; at 0 °C while it freezes

    def at_zero(_: float, y: list[float]) -> float:
        return y[0]

    def frozen(_: float, y: list[float]) -> float:
        return y[0] + mass * latent

    frozen.terminal = True  # type: ignore[attr-defined]
    long = 5 * mass * (heat * start + latent) / (ua * -air)
    run = solve_ivp(loses, (0, long), [mass * heat * start], events=[at_zero, frozen], rtol=1e-9, atol=1e-6)
    line = freezing.freezing(mass, ua / 8, 8, start, air)
    assert line.to_zero_s == pytest.approx(run.t_events[0][0], rel=1e-3)
    assert line.total_s == pytest.approx(run.t_events[1][0], rel=1e-3)


@given(masses, conductances, st.floats(0.1, 60), st.floats(0, 60))
def test_never_freezes_at_zero_or_above(mass: float, ua: float, start: float, air: float) -> None:
    """At 0 °C and above no water ever freezes, nor gets to 0 °C."""
    assert freezing.freezing_time(mass, ua, air) == math.inf
    assert freezing.cooling_time(mass * 4184.8, ua, start, air) == math.inf
    assert freezing.freezing(mass, ua, 1, start, air).total_s == math.inf


@given(masses, conductances, st.floats(0.1, 60), st.floats(-50, -0.01), st.floats(1.01, 5))
def test_cooling_laws(mass: float, ua: float, start: float, air: float, times: float) -> None:
    """More water takes longer, in proportion; colder air, better contact and a colder start never do."""
    capacity = mass * 4184.8
    base = freezing.cooling_time(capacity, ua, start, air)
    assert base > 0
    assert freezing.cooling_time(capacity * times, ua, start, air) == pytest.approx(base * times)
    assert freezing.cooling_time(capacity, ua * times, start, air) == pytest.approx(base / times)
    assert freezing.cooling_time(capacity, ua, start, air * times) < base
    assert freezing.cooling_time(capacity, ua, start / times, air) < base
    assert freezing.freezing_time(mass, ua, air * times) == pytest.approx(freezing.freezing_time(mass, ua, air) / times)


@given(masses, conductances, st.floats(0.1, 60), st.floats(-60, -0.01))
def test_cooling_takes_longer_than_its_first_rate(mass: float, ua: float, start: float, air: float) -> None:
    """Heat leaves ever more slowly: dividing by the first rate is too short, dividing by the last too long.

    A shared pipe-freeze sheet divides by the first rate and prints 4.02 h where the log form gives 5.61 h: not used.
    """
    base = freezing.cooling_time(mass * 4184.8, ua, start, air)
    need = mass * 4184.8 * start
    assert need / (ua * (start - air)) < base * (1 + 1e-12)
    assert base < need / (ua * -air) * (1 + 1e-12)


@given(masses, conductances, st.floats(1, 60), st.floats(-60, -0.1), st.floats(0.05, 0.95))
def test_cooling_in_two_steps(mass: float, ua: float, start: float, air: float, part: float) -> None:
    """Stopping on the way changes nothing."""
    middle = start * part
    whole = freezing.cooling_time(mass, ua, start, air)
    assert freezing.cooling_time(mass, ua, start, air, middle) + freezing.cooling_time(
        mass, ua, middle, air
    ) == pytest.approx(whole)


def test_there_already() -> None:
    """Water at the end temperature takes no time, whatever the air."""
    assert freezing.cooling_time(100, 1, 0, 20) == 0
    assert freezing.cooling_time(100, 1, 5, -20, 10) == 0


@given(st.floats(0, 100))
def test_ice_takes_more_room(volume: float) -> None:
    """Mass is kept."""
    assert freezing.ice_volume(volume) * freezing.ICE_0C_kg_m3 == pytest.approx(volume * freezing.WATER_0C_kg_m3)
    assert freezing.ice_volume(volume) >= volume


@given(st.floats(0.005, 0.1), st.floats(1.01, 3), st.floats(0.02, 400), st.floats(1, 100))
def test_no_overall_coefficient_above_the_film(inner: float, wider: float, k: float, film: float) -> None:
    """A shell only adds resistance: U on the outside is below the film's; a sheet with U 15.4 and film 10.5 is not used."""
    outer = inner * wider
    total = pipe_frost.shell_resistance(inner, outer, k) + pipe_frost.film_resistance(outer, film)
    assert 1 / (total * math.pi * outer) < film


@given(st.floats(0.005, 0.05), st.floats(1.05, 2), st.floats(1.05, 2), st.floats(0.02, 0.5))
def test_shells_add(bore: float, one: float, two: float, k: float) -> None:
    """Two shells of one stuff in series are one thick shell."""
    split = pipe_frost.shell_resistance(bore, bore * one, k) + pipe_frost.shell_resistance(
        bore * one, bore * one * two, k
    )
    assert split == pytest.approx(pipe_frost.shell_resistance(bore, bore * one * two, k))


@given(st.floats(0.01, 0.05), st.floats(0.05, 10), st.floats(0.5, 40), st.floats(-40, 0))
def test_pipe_cools_like_any_body(bore: float, resistance: float, water: float, air: float) -> None:
    """The pipe form is the lumped form of one metre; more insulation delays, in proportion."""
    time = pipe_frost.pipe_time_to_zero(bore, resistance, water, air)
    assert time == pytest.approx(freezing.cooling_time(math.pi / 4 * bore**2 * 4.185e6, 1 / resistance, water, air))
    assert pipe_frost.pipe_time_to_zero(bore, resistance * 2, water, air) == pytest.approx(2 * time)


@given(st.floats(-60, 60), st.floats(-60, 60))
def test_alerts_are_two(outdoor: float, machine: float) -> None:
    """Each alert follows its own thermometer and never the other's."""
    pipe, room = frost_alert.cold_alerts(outdoor, machine)
    assert pipe.on is frost_alert.cold_alerts(outdoor_C=outdoor)[0].on
    assert room.on is frost_alert.cold_alerts(machine_C=machine)[1].on
    assert frost_alert.cold_alerts(outdoor_C=outdoor)[1].on is None
    assert frost_alert.cold_alerts(machine_C=machine)[0].on is None
    assert pipe.datum != room.datum
    assert pipe.limit_C < room.limit_C


@given(st.floats(0, 0.5), st.floats(0, 0.5))
def test_more_glycol_freezes_later(a: float, b: float) -> None:
    """Strictly falling, and the share needed inverts the table."""
    weak, strong = sorted((a, b))
    assert antifreeze.freezing_point(strong) <= antifreeze.freezing_point(weak)
    assert antifreeze.share_needed(antifreeze.freezing_point(a)) == pytest.approx(a, abs=1e-9)


@given(st.floats(0.05, 1), st.floats(0.0001, 0.01), st.floats(0, 0.01), st.floats(0.01, 0.99))
def test_dilution_keeps_the_glycol(share: float, volume: float, water: float, part: float) -> None:
    """Glycol in is glycol out, and the volume to pour inverts the dilution."""
    mix = antifreeze.dilute(share, volume, water)
    assert mix * (volume + water) == pytest.approx(share * volume)
    pour = antifreeze.volume_to_pour(share * part, share, 0.001)
    assert antifreeze.dilute(share, pour, 0.001) == pytest.approx(share * part)


def test_ideal_law_is_not_used() -> None:
    """-1.86 m gives -25.4 °C at 50 % by volume; that dilute law fails above about 10 % and is not ours (grade D)."""
    molal = 0.5 * 1.036 / 0.07609 / (0.5 * 0.998)
    assert -1.86 * molal == pytest.approx(-25.4, abs=0.1)
    assert antifreeze.freezing_point(0.5) < -25.4 - 5


IMPOSSIBLE = [
    (lambda: freezing.freezing(0.5, 0.04, 8, -3, -10), "start_C: found -3 °C, expected liquid water, 0 °C or more"),
    (lambda: freezing.freezing_time(0, 1, -5), "mass_kg: found 0 kg, expected more than 0"),
    (lambda: freezing.cooling_time(100, -1, 20, -5), "conductance_W_K: found -1 W/K, expected more than 0"),
    (lambda: freezing.cooling_time(100, 1, 20, -400), "air_C: found -400 °C, expected -273.15 °C"),
    (lambda: freezing.biot(8, 1, 0, 1), "area_m2: found 0 m2, expected more than 0"),
    (lambda: freezing.ice_volume(-1), "water_m3: found -1 m3, expected 0 or more"),
    (
        lambda: pipe_frost.shell_resistance(0.02, 0.01, 1),
        "outer_m: found 0.01 m, expected at least the inside diameter, 0.02 m",
    ),
    (lambda: frost_alert.cold_alerts(math.nan), "outdoor_C: found nan °C, expected a finite number"),
    (lambda: antifreeze.freezing_point(0.6), "share: found 0.6, expected a share by volume of 0 to 0.5"),
    (lambda: antifreeze.freezing_point(30), "share: found 30, expected a share by volume of 0 to 0.5"),
    (lambda: antifreeze.share_needed(-40), "lowest_C: found -40 °C, expected -33.3 °C or more"),
    (lambda: antifreeze.dilute(50, 1, 1), "share: found 50, expected a share by volume of 0 to 1; 50 % is 0.5"),
    (lambda: antifreeze.volume_to_pour(0.5, 0.5, 1), "target: found 0.5 from a bottle of 0.5, expected"),
]


@pytest.mark.parametrize(("call", "words"), IMPOSSIBLE, ids=[words[:30] for _, words in IMPOSSIBLE])
def test_impossible_inputs(call: Callable[[], object], words: str) -> None:
    """Every impossible input is named with what was found and what was expected."""
    with pytest.raises(ValueError, match=words):
        call()
