"""Workings of the supply: flow from a bucket, fill time, pressure, taps crossed or starved, hammer, the hose's thread."""

from ..physics.supply.coupling import washer_squeeze
from ..physics.supply.flow import bucket_flow, fill_time, flow_at_pressure
from ..physics.supply.hammer import hammer, pipe_velocity, wave_speed
from ..physics.supply.mixing import hot_fraction
from ..physics.supply.pressure import pressure_findings
from ..physics.supply.scald import burn_time
from ..physics.supply.taps import STATES, read_taps
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]


def _bucket(v: Values) -> Given:
    flow = bucket_flow(v["volume"], v["seconds"])
    return {"flow": flow.flow_m3_s, "fill": fill_time(v["tub"], flow.flow_m3_s)}


def _bucket_says(v: Values, out: Given) -> list[str]:
    said = [
        f"the tap gives {show(out['flow'], 'flow')}; a fill of {show(v['tub'], 'volume')} takes about {show(out['fill'], 'time')}"
    ]
    if v["seconds"] < 15:
        said.append("under 15 s is short for a stopwatch: use a larger bucket, or the average of three")
    return said


def _at_pressure(v: Values) -> Given:
    return {"flow": flow_at_pressure(v["flow"], v["pressure"], v["other"])}


def _at_pressure_says(v: Values, out: Given) -> list[str]:
    return [
        f"{show(v['flow'], 'flow')} at {show(v['pressure'], 'pressure')} would be about {show(out['flow'], 'flow')} at {show(v['other'], 'pressure')}"
    ]


def _pressure(v: Values) -> Given:
    found = pressure_findings(static_Pa=v["standing"], flowing_Pa=v["flowing"])
    return {"bands_broken": float(sum(f.side != "within" for f in found))}


def _pressure_says(v: Values, out: Given) -> list[str]:
    said = []
    for f in pressure_findings(static_Pa=v["standing"], flowing_Pa=v["flowing"]):
        said.append(
            f"{f.band.datum} pressure is {f.side} for the {f.band.governs}, by {f.band.whose}"
            + (f". {f.band.note}" if f.side not in ("within",) else "")
        )
    return said


def _taps(v: Values) -> Given:
    return {"explanations": float(len(read_taps(v["hot"], v["cold"], v["hot_flow"], v["cold_flow"]).explanations))}


def _taps_says(v: Values, out: Given) -> list[str]:
    found = read_taps(v["hot"], v["cold"], v["hot_flow"], v["cold_flow"]).explanations
    said = [" ".join(f"{STATES[name].says} To tell: {STATES[name].next}" for name in names) for names in found]
    return [f"this fits: {text}" for text in said] or [
        "nothing that I know fits these four readings; measure once more"
    ]


def _mix(v: Values) -> Given:
    return {"hot_share": hot_fraction(v["mixed"], v["hot"], v["cold"])}


def _mix_says(v: Values, out: Given) -> list[str]:
    return [
        f"{100 * (out['hot_share'] or 0):.0f} in 100 of the mixed water comes from the hot tap; real mixing runs up to half a degree F cooler"
    ]


def _hammer(v: Values) -> Given:
    speed = pipe_velocity(v["flow"], v["bore"])
    wave = wave_speed(2.193e9, 998.206, v["bore"], v["wall"], v["modulus"] * 1e9)
    rise = hammer(speed, v["length"], v["closing"], wave)
    return {"rise": rise.rise_Pa, "returns_in": rise.return_s}


def _hammer_says(v: Values, out: Given) -> list[str]:
    return [
        f"the valve's closing adds about {show(out['rise'], 'pressure')} on top of the standing pressure; an arrester (ASSE 1010) takes it up"
    ]


def _thread(v: Values) -> Given:
    return {"squeeze": washer_squeeze(v["turns"], v["washer"])}


def _thread_says(v: Values, out: Given) -> list[str]:
    return [
        f"past hand-tight that squeezes the washer by at most {100 * (out['squeeze'] or 0):.0f} in 100 of its thickness; the washer seals, not the thread"
    ]


def _scald(v: Values) -> Given:
    return {"burn": burn_time(v["hot"]).at_most_s}


def _scald_says(v: Values, out: Given) -> list[str]:
    b = burn_time(v["hot"])
    known = (
        f"a deep burn takes {show(b.published_s, 'time')} on most adults"
        if b.published_s
        else f"a deep burn takes less than {show(b.at_most_s, 'time')}"
        if b.at_least_s == 0.0
        else "no time is published; at the next hotter published temperature it is " + show(b.at_least_s, "time")
    )
    return [f"at {show(v['hot'], 'temperature')} {known}. No time is safe: set the heater to 120 F."]


WORKINGS = [
    Calculator(
        name="bucket-flow",
        title="Flow from a bucket and a watch, and the fill time it means",
        area="supply",
        inputs=(
            Input(name="volume", measures="volume", says="what was caught"),
            Input(name="seconds", measures="time", says="how long that took"),
            Input(name="tub", measures="volume", says="water for one fill", default="15 gal", basis="judgement"),
        ),
        outputs=(
            Output(
                name="flow", measures="flow", says="flow of that tap", spread=0.03, spread_basis="D: bucket and watch"
            ),
            Output(name="fill", measures="time", says="time for one fill"),
        ),
        run=_bucket,
        says=_bucket_says,
        sources=("60 gal/s (S, calculator guides)",),
        rules=("washer-flowing-pressure", "cold-hose-flow", "hot-hose-flow", "first-fill-time"),
    ),
    Calculator(
        name="flow-at-pressure",
        title="What another pressure would do to the flow",
        area="supply",
        inputs=(
            Input(name="flow", measures="flow", says="flow now"),
            Input(name="pressure", measures="pressure", says="pressure now, flowing"),
            Input(name="other", measures="pressure", says="the other pressure"),
        ),
        outputs=(
            Output(
                name="flow", measures="flow", says="flow at the other pressure", spread=0.1, spread_basis="judgement"
            ),
        ),
        run=_at_pressure,
        says=_at_pressure_says,
        sources=("square root of pressure: van Zyl and Clayton 2006 (S)",),
        rules=(
            "washer-flowing-pressure",
            "cold-hose-flow",
            "hot-hose-flow",
            "cold-hose-flow-europe",
            "hot-hose-flow-europe",
        ),
    ),
    Calculator(
        name="pressure-bands",
        title="Standing and flowing pressure against house and machine",
        area="supply",
        inputs=(
            Input(name="standing", measures="pressure", says="nothing running"),
            Input(name="flowing", measures="pressure", says="at the washer's tap while it fills"),
        ),
        outputs=(Output(name="bands_broken", measures="number", says="how many bands it falls outside"),),
        run=_pressure,
        says=_pressure_says,
        sources=(
            "UPC 608.2 (P), IRC P2903.3.1 (S), IPC 604.8 as repeated by Philadelphia (S), machine 20 to 120 psi (C)",
        ),
        rules=(
            "house-pressure",
            "house-pressure-irc",
            "house-pressure-ipc",
            "house-pressure-europe",
            "washer-flowing-pressure",
        ),
    ),
    Calculator(
        name="taps-crossed",
        title="What two temperatures and two flows say about the taps",
        area="supply",
        inputs=(
            Input(name="hot", measures="temperature", says="from the tap marked hot, after a minute"),
            Input(name="cold", measures="temperature", says="from the tap marked cold"),
            Input(name="hot_flow", measures="flow", says="flow of the hot tap"),
            Input(name="cold_flow", measures="flow", says="flow of the cold tap"),
        ),
        outputs=(Output(name="explanations", measures="number", says="how many explanations fit"),),
        run=_taps,
        says=_taps_says,
        sources=("mixing rule (S) and judgement on thresholds",),
        rules=(
            "fill-hoses-matched",
            "washer-taps-true",
            "hot-and-cold-apart",
            "hot-hose-temperature",
            "cold-hose-temperature",
        ),
    ),
    Calculator(
        name="hot-share",
        title="How much of mixed water is hot",
        area="supply",
        inputs=(
            Input(name="mixed", measures="temperature", says="the mixed water"),
            Input(name="hot", measures="temperature", says="the hot tap alone"),
            Input(name="cold", measures="temperature", says="the cold tap alone"),
        ),
        outputs=(Output(name="hot_share", measures="number", says="share from the hot tap, 0 to 1"),),
        run=_mix,
        says=_mix_says,
        sources=("a water-heater maker's formula sheet (P)",),
        rules=("water-heater-setting", "hot-and-cold-apart", "heater-hot-enough"),
    ),
    Calculator(
        name="water-hammer",
        title="Pressure rise when the inlet valve snaps shut",
        area="supply",
        inputs=(
            Input(name="flow", measures="flow", says="flow into the washer", default="5 gpm", basis="judgement"),
            Input(
                name="bore",
                measures="length",
                says="inside diameter of the pipe",
                default="0.545 in",
                basis="M: 1/2 in copper type L",
            ),
            Input(name="wall", measures="length", says="its wall", default="0.04 in", basis="M: 1/2 in copper type L"),
            Input(
                name="modulus",
                measures="number",
                says="its stiffness in GPa: copper 117, PEX 0.8",
                default="117",
                basis="M",
            ),
            Input(
                name="length",
                measures="length",
                says="pipe back to the main or a tank",
                default="20 ft",
                basis="judgement",
            ),
            Input(
                name="closing",
                measures="time",
                says="closing time of the valve",
                default="0.005 s",
                basis="judgement: a solenoid",
            ),
        ),
        outputs=(
            Output(
                name="rise",
                measures="pressure",
                says="rise on top of the standing pressure",
                spread=0.2,
                spread_basis="judgement: pipe data from memory",
                bound="upper",
            ),
            Output(name="returns_in", measures="time", says="time for the wave to come back"),
        ),
        run=_hammer,
        says=_hammer_says,
        sources=("Joukowsky and wave speed, against a tutorial sheet with answers (S)",),
        rules=("arrester-fitted", "arrester-near-washer", "supply-pipes-held", "house-pressure"),
    ),
    Calculator(
        name="hose-thread",
        title="What turns past hand-tight do to a hose washer",
        area="supply",
        inputs=(
            Input(
                name="turns",
                measures="turns",
                says="turns past hand-tight",
                default="2/3 turn",
                basis="C, common practice; insurers say the same (S)",
            ),
            Input(
                name="washer", measures="length", says="thickness of the washer", default="1/8 in", basis="judgement"
            ),
        ),
        outputs=(Output(name="squeeze", measures="number", says="squeeze as a share of its thickness", bound="upper"),),
        run=_thread,
        says=_thread_says,
        sources=("3/4-11.5 NH thread, ASME B1.20.7 (scope P, figures S)",),
        rules=("fill-coupling-turn",),
    ),
    Calculator(
        name="scald",
        title="How hot tap water burns",
        area="supply",
        inputs=(Input(name="hot", measures="temperature", says="hot water at the tap"),),
        outputs=(
            Output(
                name="burn",
                measures="time",
                says="published time to a deep burn at the next cooler node; never a safe time",
                bound="upper",
            ),
        ),
        run=_scald,
        says=_scald_says,
        sources=("US CPSC tap-water alert as quoted by others (S)",),
        rules=("water-heater-setting", "water-heater-setting-europe", "hot-hose-temperature"),
    ),
]
