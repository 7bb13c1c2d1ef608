"""Workings of the circuit behind the outlet: what a bad joint adds to the wire, leakages added up, a motor's start and its fuse."""

from ..physics.power.circuit import LOCKED_ROTOR_L_VA_PER_HP, fuse_limit_A, locked_rotor_A
from ..physics.power.ground_fault import WASHER_LEAKAGE_A, leakage, trips
from ..physics.power.voltage_drop import joint
from .calculator import Calculator, Input, Output, show
from .power import GAUGES, LIVE

Values = dict[str, float]
Given = dict[str, float | None]
STANDARD_FUSES_A = (15, 20, 25, 30, 35, 40, 45, 50, 60)  # sizes that are made: NEC 240.6 (M, from memory, unverified)
# Heat of a soldering iron, in one joint (judgement); the kb's rule of the drop stops a run from there on [W].
GLOWS_W = 25.0
TRIP_WORDS = {
    "must not": "not enough to trip a class A device (4 mA)",
    "may": "enough that a class A device may trip (4 to 6 mA)",
    "must": "enough that a class A device must trip (6 mA)",
}


def _joint(v: Values) -> Given:
    gauge = GAUGES.get(round(v["gauge"]))
    if gauge is None:
        raise ValueError(f"gauge {v['gauge']:g}, expected 14, 12 or 10")
    found = joint(v["drop"], v["current"], v["run"], gauge)  # type: ignore[arg-type]
    return {
        "wire_low": found.wire_low_V,
        "wire_high": found.wire_high_V,
        "excess": found.excess_V,
        "heat": found.heat_W,
    }


def _joint_says(v: Values, out: Given) -> list[str]:
    wire = f"{show(v['run'], 'length')} of {v['gauge']:.0f} AWG copper alone lose {show(out['wire_low'], 'voltage')} (cold) to {show(out['wire_high'], 'voltage')} (hot) at {show(v['current'], 'current')}"
    if not out["excess"]:
        return [f"{wire}: the wire accounts for this drop. A joint is not shown by it, and not cleared either", LIVE]
    heat = out["heat"] or 0.0
    then = "stop using the outlet, an electrician opens it" if heat >= GLOWS_W else "have an electrician open it soon"
    return [
        f"{wire}; {show(out['excess'], 'voltage')} are left over for joints and feeder. All in one joint they would make {heat:.0f} W of heat there: {then}",
        LIVE,
    ]


def _leak(v: Values) -> Given:
    return {"total": v["appliances"] * v["each"] + v["washer"]}


def _leak_says(v: Values, out: Given) -> list[str]:
    total = out["total"] or 0.0
    others = round(v["appliances"])
    said = [f"together {1000 * total:.2g} mA: {TRIP_WORDS[trips(total)]}; leakages are added in step, the worst case"]
    if trips(v["washer"]) != "must not":
        said.append("the washer alone gets there: that is a fault, unplug it; the device is never bypassed")
    elif others and trips(total) != "must not" and leakage(others, v["each"]) == "must not":
        said.append("neither the washer nor the rest gets there alone: give the washer a device of its own")
    return said


def _motor(v: Values) -> Given:
    low, high = (locked_rotor_A(v["power"], v["volts"], va) for va in LOCKED_ROTOR_L_VA_PER_HP)
    return {"start_low": low, "start_high": high, "fuse": fuse_limit_A(v["full_load"])}


def _motor_says(v: Values, out: Given) -> list[str]:
    limit = out["fuse"] or 0.0
    made = [size for size in STANDARD_FUSES_A if size <= limit]
    down = f": rounded down, a {made[-1]} A one" if made else ""
    return [
        f"for a motor straight on the line the start draws {show(out['start_low'], 'current')} to {show(out['start_high'], 'current')} for a moment (from memory, unverified); an electronic drive starts softly",
        f"a time-delay fuse that protects it is at most {limit:.3g} A, 175 % of its table current (NEC table 430.52, S){down}; where a breaker protects the circuit this does not apply",
    ]


RUN_BASIS = "judgement: a usual run"
WORKINGS = [
    Calculator(
        name="joint-heat",
        title="A measured voltage drop against what the wire alone takes",
        area="power",
        inputs=(
            Input(name="drop", measures="voltage", says="outlet without load less outlet under load"),
            Input(
                name="current",
                measures="current",
                says="the load's current",
                default="10 A",
                basis="judgement: the washer heating or spinning",
            ),
            Input(name="run", measures="length", says="one way, panel to outlet", default="50 ft", basis=RUN_BASIS),
            Input(
                name="gauge",
                measures="number",
                says="wire gauge: 14, 12 or 10",
                default="12",
                basis="judgement: a 20 A circuit",
            ),
        ),
        outputs=(
            Output(name="wire_low", measures="voltage", says="what cold solid wire takes"),
            Output(name="wire_high", measures="voltage", says="what hot stranded wire takes"),
            Output(name="excess", measures="voltage", says="what no wire explains"),
            Output(name="heat", measures="number", says="heat if one joint takes all of it, W", bound="upper"),
        ),
        run=_joint,
        says=_joint_says,
        sources=("NEC chapter 9 table 8, copper, 20 to 75 C (S); the comparison is common practice (C)",),
        rules=("branch-voltage-drop", "branch-voltage-drop-230", "plug-and-outlet-sound"),
    ),
    Calculator(
        name="leakage-sum",
        title="Leakages added up against a ground-fault device",
        area="power",
        inputs=(
            Input(
                name="washer",
                measures="current",
                says="leakage of the washer",
                default=f"{WASHER_LEAKAGE_A * 1000:g} mA",
                basis="M: UL 101; figure through UL 8750 (S)",
            ),
            Input(
                name="appliances",
                measures="number",
                says="other appliances behind the same device",
                default="0",
                basis="a device of its own",
            ),
            Input(
                name="each",
                measures="current",
                says="leakage of each of them",
                default="0.75 mA",
                basis="S: through UL 8750 8.7.1",
            ),
        ),
        outputs=(Output(name="total", measures="current", says="together, in step", bound="upper"),),
        run=_leak,
        says=_leak_says,
        sources=("UL 943 class A: not below 4 mA, at 6 mA always (S)", "sum of leakages (D)"),
        rules=("washer-leakage-ul", "gfci-near-water", "gfci-laundry-area-nec-2014", "one-reset"),
    ),
    Calculator(
        name="motor-start",
        title="What a motor draws at its start, and the largest fuse for it",
        area="power",
        inputs=(
            Input(
                name="power",
                measures="number",
                says="rated power, hp",
                default="0.5",
                basis="judgement; use the nameplate",
            ),
            Input(
                name="volts", measures="voltage", says="rated voltage", default="115 V", basis="NEC table 430.248 (S)"
            ),
            Input(
                name="full_load",
                measures="current",
                says="full-load current by the code's table",
                default="9.8 A",
                basis="NEC table 430.248, 1/2 hp (S)",
            ),
        ),
        outputs=(
            Output(name="start_low", measures="current", says="start, code letter L, low end"),
            Output(name="start_high", measures="current", says="start, code letter L, high end"),
            Output(
                name="fuse", measures="current", says="largest time-delay fuse, before rounding down", bound="upper"
            ),
        ),
        run=_motor,
        says=_motor_says,
        sources=(
            "NEC table 430.52, in a trade-press quiz (S)",
            "code letter L, NEC 430.7(B) (M, from memory, unverified)",
        ),
        rules=("motor-fuse-nec", "own-circuit"),
    ),
]
