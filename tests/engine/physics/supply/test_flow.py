"""supply, pressure, mixing, hammer, coupling, taps, scald: laws that always hold, and second opinions that compute otherwise."""

import math
import random
import statistics
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics import domain
from dryfloor.engine.physics.supply import coupling, hammer, mixing, pressure, scald, taps
from dryfloor.engine.physics.supply import flow as supply

GAL = 231 * 0.0254**3
GPM = GAL / 60
PSI = 6894.757

flows = st.floats(1e-6, 1e-2)
pressures = st.floats(1e3, 2e6)
temps = st.floats(0, 95)


def test_bucket_uncertainty_against_simulation() -> None:
    """The spread of a thousand noisy buckets agrees with the propagated uncertainty within 10 %."""
    draw = random.Random(7)
    fills = [draw.gauss(5 * GAL, 0.05 * GAL) / draw.gauss(20, 0.5) for _ in range(4000)]
    flow, u = supply.bucket_flow(5 * GAL, 20, 0.05 * GAL, 0.5)
    assert statistics.fmean(fills) == pytest.approx(flow, rel=0.005)
    assert statistics.stdev(fills) == pytest.approx(u, rel=0.1)


@given(st.floats(0.001, 0.1), st.floats(5, 300), st.floats(1.1, 5))
def test_a_longer_fill_is_surer(volume: float, time: float, times: float) -> None:
    """At one flow, a larger bucket never has the larger relative uncertainty."""
    short, long = supply.bucket_flow(volume, time), supply.bucket_flow(volume * times, time * times)
    assert long.flow_m3_s == pytest.approx(short.flow_m3_s)
    assert long.u_m3_s < short.u_m3_s


@given(flows, pressures, pressures, st.floats(0.3, 2.5))
def test_flow_there_and_back(flow: float, one: float, other: float, exponent: float) -> None:
    """Going to another pressure and back gives the first flow; more pressure never gives less."""
    there = supply.flow_at_pressure(flow, one, other, exponent)
    assert supply.flow_at_pressure(there, other, one, exponent) == pytest.approx(flow, rel=1e-9)
    assert (there >= flow) == (other >= one) or there == pytest.approx(flow)


@given(st.floats(0, 1), flows)
def test_fill_conserves_water(volume: float, flow: float) -> None:
    """What flows in the fill time is the volume."""
    assert supply.spilled_volume(supply.fill_time(volume, flow), flow) == pytest.approx(volume)


def test_no_flow_never_fills() -> None:
    """Without flow a tub never fills, and an empty need is met at once."""
    assert supply.fill_time(0.05, 0) == math.inf
    assert supply.fill_time(0, 0) == 0


@given(st.floats(0, 1), temps, st.floats(0.001, 1), temps)
def test_mixing_conserves_heat(hot: float, hot_C: float, cold: float, cold_C: float) -> None:
    """The mix lies between, and volume times temperature is kept; swapping the two changes nothing."""
    mix = mixing.mixed_temperature(hot, hot_C, cold, cold_C)
    assert min(hot_C, cold_C) - 1e-9 <= mix <= max(hot_C, cold_C) + 1e-9
    assert mix * (hot + cold) == pytest.approx(hot * hot_C + cold * cold_C, abs=1e-9)
    assert mixing.mixed_temperature(cold, cold_C, hot, hot_C) == pytest.approx(mix, abs=1e-9)


@given(st.floats(0, 1), st.floats(0, 30), st.floats(1, 60))
def test_hot_fraction_inverts_mixing(share: float, cold_C: float, above: float) -> None:
    """The share found from a mix is the share that made it."""
    mix = mixing.mixed_temperature(share, cold_C + above, 1 - share, cold_C)
    mix = min(max(mix, cold_C), cold_C + above)
    assert mixing.hot_fraction(mix, cold_C + above, cold_C) == pytest.approx(share, abs=1e-9)


def valve_peak(velocity: float, length: float, closing: float, speed: float, density: float, cells: int = 200) -> float:
    """Peak pressure at a valve by the method of characteristics: frictionless, flow falling evenly, a main that never moves."""
    step = length / cells / speed
    p, u = [0.0] * (cells + 1), [velocity] * (cells + 1)
    peak = 0.0
    for n in range(1, int((closing + 4 * length / speed) / step) + 2):
        plus = [p[i] + density * speed * u[i] for i in range(cells + 1)]
        minus = [p[i] - density * speed * u[i] for i in range(cells + 1)]
        p = [0.0] + [(plus[i - 1] + minus[i + 1]) / 2 for i in range(1, cells)] + [0.0]
        u = (
            [-minus[1] / (density * speed)]
            + [(plus[i - 1] - minus[i + 1]) / (2 * density * speed) for i in range(1, cells)]
            + [0.0]
        )
        u[cells] = velocity * max(0.0, 1 - n * step / closing) if closing > 0 else 0.0
        p[cells] = plus[cells - 1] - density * speed * u[cells]
        peak = max(peak, p[cells])
    return peak


@pytest.mark.parametrize("closing", [0.0, 0.005, 0.009, 0.02, 0.05, 0.3])
def test_hammer_against_characteristics(closing: float) -> None:
    """A wave computed cell by cell peaks where Joukowsky or Michaud says, within 1 %."""
    stop = hammer.hammer(2.0, 6.1, closing, 1300.0)
    assert stop.rise_Pa == pytest.approx(valve_peak(2.0, 6.1, closing, 1300.0, 998.206), rel=0.01)


@given(st.floats(0, 5), st.floats(0.5, 100), st.floats(0, 10), st.floats(200, 1450))
def test_hammer_laws(velocity: float, length: float, closing: float, speed: float) -> None:
    """No stop beats the full rise, slower never hits harder, and the two forms meet at the return time."""
    full = hammer.hammer(velocity, length, 0, speed)
    stop = hammer.hammer(velocity, length, closing, speed)
    assert full.closing == "rapid"
    assert stop.rise_Pa <= full.rise_Pa * (1 + 1e-12)
    assert hammer.hammer(velocity, length, closing * 2, speed).rise_Pa <= stop.rise_Pa * (1 + 1e-12)
    just_after = hammer.hammer(velocity, length, full.return_s * (1 + 1e-9), speed)
    assert just_after.rise_Pa == pytest.approx(full.rise_Pa, rel=1e-6)
    assert just_after.closing == "slow"


@given(st.floats(0.005, 0.05), st.floats(0.0005, 0.01), st.floats(1e8, 3e11))
def test_a_pipe_only_slows_the_wave(bore: float, wall: float, modulus: float) -> None:
    """No elastic pipe is faster than a rigid one, and a thicker wall is never slower."""
    rigid = hammer.wave_speed(2.193e9, 998.2, bore, wall, math.inf)
    assert rigid == pytest.approx(math.sqrt(2.193e9 / 998.2))
    speed = hammer.wave_speed(2.193e9, 998.2, bore, wall, modulus)
    assert speed < rigid
    assert hammer.wave_speed(2.193e9, 998.2, bore, wall * 2, modulus) > speed


@given(st.floats(0, 1.4), st.floats(1e-4, 1e-2))
def test_turns_times_pitch(turns: float, pitch: float) -> None:
    """Turns add up, and the squeeze times the washer is the advance."""
    assert coupling.thread_advance(turns, pitch) + coupling.thread_advance(1, pitch) == pytest.approx(
        coupling.thread_advance(turns + 1, pitch)
    )
    washer = coupling.thread_advance(turns, pitch) * 1.5 + 1e-6
    assert coupling.washer_squeeze(turns, washer, pitch) * washer == pytest.approx(
        coupling.thread_advance(turns, pitch)
    )


@given(st.floats(0, 1.5e6), st.floats(0, 1.5e6))
def test_pressure_sides(a: float, b: float) -> None:
    """A side agrees with its own limits, what is implied agrees with the reading behind it, and none is invented."""
    static, flowing = max(a, b), min(a, b)
    for found in pressure.pressure_findings(static, flowing):
        value = static if found.band.datum == "static" else flowing
        low = -math.inf if found.band.min_Pa is None else found.band.min_Pa
        high = math.inf if found.band.max_Pa is None else found.band.max_Pa
        slack = 1e-5 * value
        assert found.by == "reading"
        assert (
            (found.side == "within") == (low - slack <= value <= high + slack)
            or abs(value - low) < 1
            or abs(value - high) < 1
        )
        assert found.side != "below" or value < low
        assert found.side != "above" or value > high


def test_pressure_implied() -> None:
    """Flowing above 80 psi proves a house above it; standing below 20 proves a weak tap; the reverse proves nothing."""
    house, machine = pressure.HOUSE_UPC, pressure.MACHINE

    def side(static: float | None, flowing: float | None, band: pressure.Band) -> tuple[str, str]:
        found = pressure.pressure_findings(static, flowing, (band,))[0]
        return found.side, found.by

    assert side(None, 85 * PSI, house) == ("above", "implied")
    assert side(None, 60 * PSI, house) == ("not measured", "none")
    assert side(15 * PSI, None, machine) == ("below", "implied")
    assert side(130 * PSI, None, machine) == ("not measured", "none")
    assert side(None, None, machine) == ("not measured", "none")


def test_pressure_implied_names_the_limit_owner() -> None:
    """Every band says whose limit it is, on what authority and how well it is known."""
    for band in pressure.BANDS + pressure.BANDS_230V:
        assert band.whose
        assert band.note
        assert band.authority in ("code", "manual", "practice")
        assert band.grade in ("P", "S", "M", "C")
    assert pressure.MACHINE.authority == "practice"
    assert pressure.MACHINE.grade == "C"


STATES = [
    (),
    ("crossed",),
    ("both-on-cold",),
    ("both-on-hot",),
    ("heater-low",),
    ("heater-off",),
    ("cold-line-warm",),
    ("hot-into-cold",),
    ("cold-into-hot",),
    ("hot-line-not-run-off",),
    ("crossed", "heater-low"),
    ("both-on-hot", "heater-low"),
]
FLOW = {
    (): (3e-4, 3e-4),
    ("hot-starved",): (1e-4, 3e-4),
    ("cold-starved",): (3e-4, 1e-4),
    ("both-starved",): (1.4e-4, 1.3e-4),
}


def at_the_hoses(states: tuple[str, ...], draw: random.Random) -> tuple[float, float]:
    """Noisy temperatures of the hot and the cold inlet's hose where these states hold."""
    mains, heater = draw.uniform(4, 22), draw.uniform(43, 65)
    hot, cold = heater, mains
    if "heater-low" in states:
        hot = draw.uniform(31, 39)
    if "heater-off" in states:
        hot = draw.uniform(mains, max(mains, 24))
    if "hot-line-not-run-off" in states or "cold-into-hot" in states:
        hot = draw.uniform(mains, 39)
    if "cold-line-warm" in states:
        cold = draw.uniform(31, 39)
    if "hot-into-cold" in states:
        cold = draw.uniform(31, heater)
    feeds = {"crossed": (cold, hot), "both-on-cold": (cold, cold), "both-on-hot": (hot, hot)}
    one, other = next((feeds[s] for s in states if s in feeds), (hot, cold))
    return one + draw.uniform(-1, 1), other + draw.uniform(-1, 1)


@given(st.sampled_from(STATES), st.sampled_from(list(FLOW)), st.integers(0, 10**6))
def test_taps_return_the_truth(states: tuple[str, ...], starved: tuple[str, ...], seed: int) -> None:
    """Whatever is wrong is among the explanations of the readings that it gives, noise and all."""
    said = taps.read_taps(*at_the_hoses(states, random.Random(seed)), *FLOW[starved])
    assert {*states, *starved} in [set(e) for e in said.explanations]


@given(st.floats(1, 90), st.floats(1, 90), st.floats(1e-5, 5e-4), st.floats(1e-5, 5e-4))
def test_taps_always_answer(hot: float, cold: float, hot_flow: float, cold_flow: float) -> None:
    """There is always an explanation, known by name, fewest states first, none twice; the warm fill lies between."""
    said = taps.read_taps(hot, cold, hot_flow, cold_flow)
    sizes = [len(e) for e in said.explanations]
    assert sizes
    assert sizes == sorted(sizes)
    assert len(set(said.explanations)) == len(sizes)
    assert {s for e in said.explanations for s in e} <= set(taps.STATES)
    assert min(hot, cold) - 1e-9 <= said.warm_fill_C <= max(hot, cold) + 1e-9


def test_taps_near_a_limit_say_both() -> None:
    """At half the other's flow, starved and not starved both stay."""
    assert taps.read_taps(50, 12, 1.6e-4, 3e-4).explanations == ((), ("hot-starved",))


def test_taps_without_water() -> None:
    """A dry hose is starved, and the other one's water still tells crossed from straight."""
    assert taps.read_taps(None, 12, 0, 3e-4).explanations == (("hot-starved",),)
    assert ("crossed", "hot-starved") in taps.read_taps(None, 50, 0, 3e-4).explanations
    assert taps.read_taps(50, None, 3e-4, 0).warm_fill_C == pytest.approx(50)


@given(st.floats(0, 100), st.floats(0, 100))
def test_burn_time_falls(a: float, b: float) -> None:
    """Hotter never burns later, by bound or by estimate, and every answer carries the caution."""
    cool, hot = (scald.burn_time(t) for t in sorted((a, b)))
    assert hot.at_least_s <= cool.at_least_s
    assert hot.at_most_s <= cool.at_most_s
    assert cool.at_least_s <= cool.at_most_s
    assert cool.caution == hot.caution == "never show as a safe time"
    for burn in (cool, hot):
        if burn.estimate_s is not None:
            assert burn.at_least_s <= burn.estimate_s <= burn.at_most_s


IMPOSSIBLE = [
    (lambda: supply.bucket_flow(0, 10), "volume_m3: found 0 m3, expected more than 0"),
    (lambda: supply.bucket_flow(0.01, -1), "time_s: found -1 s, expected more than 0"),
    (lambda: supply.bucket_flow(0.01, math.nan), "time_s: found nan s, expected a finite number"),
    (lambda: supply.bucket_flow(0.01, 10, -1), "volume_u_m3: found -1 m3, expected 0 or more"),
    (lambda: supply.flow_at_pressure(1e-4, 0, 1e5), "pressure_Pa: found 0 Pa, expected more than 0"),
    (lambda: supply.flow_at_pressure(1e-4, 1e5, 1e5, 4), "exponent: found 4, expected more than 0 and at most 3"),
    (lambda: supply.fill_time(-1, 1), "volume_m3: found -1 m3, expected 0 or more"),
    (lambda: supply.spilled_volume(math.inf), "time_s: found inf s, expected a finite number"),
    (
        lambda: pressure.pressure_findings(2e5, 5e5),
        "flowing_Pa: found 500000 Pa above the static 200000 Pa, expected at most",
    ),
    (lambda: mixing.mixed_temperature(0, 50, 0, 10), "found 0 m3 of both, expected some water"),
    (lambda: mixing.mixed_temperature(1, -300, 1, 10), r"hot_C: found -300 °C, expected -273.15 °C"),
    (lambda: mixing.hot_fraction(60, 50, 10), "mixed_C: found 60 °C, expected a value between cold 10 and hot 50 °C"),
    (
        lambda: mixing.hot_fraction(20, 10, 50),
        "hot_C: found 10 °C, expected more than the cold water's 50 °C; are the two swapped",
    ),
    (lambda: hammer.wave_speed(2e9, 998, 0.01, 0, 1e11), "wall_m: found 0 m, expected more than 0"),
    (lambda: hammer.hammer(1, 10, -1, 1000), "closing_s: found -1 s, expected 0 or more"),
    (
        lambda: coupling.washer_squeeze(2, 0.003),
        "turns: found 2, an advance of 4.42 mm, expected less than the washer's 3.00 mm",
    ),
    (
        lambda: taps.read_taps(50, 10, 0, 1e-4),
        "hot_C: found 50 °C without any flow, expected a temperature just where water came",
    ),
    (lambda: taps.read_taps(None, None, 0, 0), "found no flow from either hose, expected some"),
    (lambda: scald.burn_time(110), "water_C: found 110 °C, expected liquid water, 0 to 100 °C"),
]


@pytest.mark.parametrize(("call", "words"), IMPOSSIBLE, ids=[words[:30] for _, words in IMPOSSIBLE])
def test_impossible_inputs(call: Callable[[], object], words: str) -> None:
    """Every impossible input is named with what was found and what was expected."""
    with pytest.raises(ValueError, match=words.replace("(", r"\(")):
        call()


def test_inputs_pass_what_is_possible() -> None:
    """What is possible comes back unchanged."""
    assert domain.above_zero("x", 1e-300, "-") == 1e-300
    assert domain.not_negative("x", 0, "-") == 0
    assert domain.temperature("x", -273.15) == -273.15
