"""Workings of the power: the outlet's three voltages, the drop under load, supply bands, ground-fault time, load on a branch."""

from ..physics.power.circuit import branch_load, start_sag_V, supply_band
from ..physics.power.ground_fault import longest_trip_s
from ..physics.power.receptacle import ZERO_V, diagnose, neutral_ground
from ..physics.power.voltage_drop import AREA_M2, K_OHM_M, SOLID_OHM_PER_M, drop_by_area_V, drop_V, longest_run_m
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]
LIVE = "live work: a qualified person only"
LIVE_METAL = (
    "Stop: the washer's cabinet may be live. Nobody touches washer, hoses, taps or a wet floor; with dry hands, from a dry place, switch the circuit off "
    "at its breaker, or the main if in doubt, leave the plug alone, and call an electrician, who alone touches this outlet."
)
GAUGES = {14: "14 AWG", 12: "12 AWG", 10: "10 AWG"}
BANDS = {
    "below": "below even the wider supply band: stop, and have the supply corrected",
    "low": "low: tolerable only for short and rare spells",
    "normal": "in the normal supply band",
    "high": "high: tolerable only for short and rare spells",
    "above": "above even the wider supply band: stop, and have the supply corrected",
}


def _outlet(v: Values) -> Given:
    return {"faults": float(len(_found(v).faults))}


def _found(v: Values):  # type: ignore[no-untyped-def]
    return diagnose(
        v["hot_neutral"],
        v["hot_ground"],
        v["neutral_ground"],
        profile="230" if v["nominal"] > 180 else "120",
        load="elsewhere" if v["load"] > 0 else "unknown",
        load_A=v["load"],
    )


def _outlet_says(v: Values, out: Given) -> list[str]:
    found = _found(v)
    fits = "; or ".join(getattr(f, "says", None) or str(f) for f in found.faults) or "no listed wiring"
    stop = ""
    if found.live_metal:
        stop = f"{LIVE_METAL} "
    elif found.stop:
        stop = "Stop: no washer is run on this outlet until an electrician has mended it. "
    # Faces show the first two sentences: what fits with the stop, then the reading that separates.
    said = [f"{stop}{'One of these fits' if len(found.faults) > 1 else 'What fits'}: {fits}"]
    return [*said, f"next reading: {found.next_reading} {LIVE[0].upper()}{LIVE[1:]}" if found.next_reading else LIVE]


def _drop(v: Values) -> Given:
    per_m = SOLID_OHM_PER_M[GAUGES[round(v["gauge"])]] if round(v["gauge"]) in GAUGES else None
    if per_m is None:
        raise ValueError(f"gauge {v['gauge']:g}, expected 14, 12 or 10")
    lost = drop_V(v["current"], v["run"], per_m)
    by_k = drop_by_area_V(v["current"], v["run"], AREA_M2[GAUGES[round(v["gauge"])]], K_OHM_M["copper"])
    return {
        "drop": lost,
        "by_k": by_k,
        "share": lost / v["volts"],
        "longest": longest_run_m(0.03 * v["volts"], v["current"], per_m),
    }


def _drop_says(v: Values, out: Given) -> list[str]:
    return [
        f"the wire loses {show(out['drop'], 'voltage')}, {100 * (out['share'] or 0):.1f} in 100; 3 in 100 on a branch is advice (NEC informational note), kept up to {show(out['longest'], 'length')} one way",
        f"the trade's K of 12.9 gives {show(out['by_k'], 'voltage')}, for stranded wire; cold wire loses a sixth less. What a meter shows beyond that points to a poor joint",
    ]


def _band(v: Values) -> Given:
    return {"share": v["volts"] / (230.0 if v["volts"] > 180 else 120.0)}


def _band_says(v: Values, out: Given) -> list[str]:
    if v["volts"] <= ZERO_V:
        return [
            f"{show(v['volts'], 'voltage')} is no supply at all: the outlet is dead, or a wire to it is broken; hot to ground and neutral to ground tell which. {LIVE[0].upper()}{LIVE[1:]}"
        ]
    return [f"{show(v['volts'], 'voltage')} is {BANDS[supply_band(v['volts'], '230' if v['volts'] > 180 else '120')]}"]


def _trip(v: Values) -> Given:
    return {"time": longest_trip_s(v["fault"])}


def _trip_says(v: Values, out: Given) -> list[str]:
    return [
        f"a class A device may take at most {show(out['time'], 'time')} at {v['fault'] * 1000:.0f} mA; one that trips with the washer alone on it shows leakage or a bad device, and is never bypassed"
    ]


def _load(v: Values) -> Given:
    found = branch_load(v["rating"], v["washer"], v["others"])
    return {"total": found.total_A, "spare": found.spare_A, "plug_limit": found.plug_limit_A}


def _load_says(v: Values, out: Given) -> list[str]:
    spare = out["spare"] or 0.0
    word = f"leaves {show(spare, 'current')}" if spare >= 0 else f"is {show(-spare, 'current')} over"
    return [
        f"together {show(out['total'], 'current')} on a {show(v['rating'], 'current')} branch {word}; one plugged load should stay within {show(out['plug_limit'], 'current')} (from memory, unverified)"
    ]


def _sag(v: Values) -> Given:
    low, high = start_sag_V(v["volts"], v["start"], v["loop"])
    return {"low": low, "high": high}


def _sag_says(v: Values, out: Given) -> list[str]:
    return [
        f"while the motor starts the outlet sags by {show(out['low'], 'voltage')} to {show(out['high'], 'voltage')}; a trip in that second is start surge or low voltage, at once is a fault, after minutes an overload"
    ]


def _bond(v: Values) -> Given:
    return {"share": v["volts"] / 120.0}


def _bond_says(v: Values, out: Given) -> list[str]:
    word = {
        "suspect bond": "suspiciously near nothing under load: neutral and ground may be tied at the outlet",
        "fine": "fine",
        "high": "high: a long or loaded run",
        "over": "over 5 V: have the circuit mended",
    }[neutral_ground(v["volts"], v["load"])]
    return [f"neutral to ground under load is {word}. {LIVE[0].upper()}{LIVE[1:]}"]


WORKINGS = [
    Calculator(
        name="outlet-voltages",
        title="Three voltages at an outlet: every wiring fault that fits",
        area="power",
        inputs=(
            Input(name="hot_neutral", measures="voltage", says="hot to neutral"),
            Input(name="hot_ground", measures="voltage", says="hot to ground"),
            Input(name="neutral_ground", measures="voltage", says="neutral to ground"),
            Input(name="nominal", measures="voltage", says="120 V or 230 V", default="120 V", basis="ANSI C84.1 (S)"),
            Input(
                name="load",
                measures="current",
                says="load at another outlet of the circuit while reading",
                default="0 A",
                basis="not known",
            ),
        ),
        outputs=(Output(name="faults", measures="number", says="how many conditions fit"),),
        run=_outlet,
        says=_outlet_says,
        sources=(
            "pattern table (S), classes and models project's choice (C, D)",
            "largest of three equals the sum of the others: meter maker (P)",
        ),
        rules=("outlet-wiring",),
    ),
    Calculator(
        name="voltage-drop",
        title="What the wire to the outlet loses",
        area="power",
        inputs=(
            Input(name="current", measures="current", says="current drawn", default="12 A", basis="judgement"),
            Input(name="run", measures="length", says="one way, panel to outlet"),
            Input(name="gauge", measures="number", says="wire gauge: 14, 12 or 10", default="12", basis="judgement"),
            Input(name="volts", measures="voltage", says="supply", default="120 V", basis="ANSI C84.1 (S)"),
        ),
        outputs=(
            Output(
                name="drop",
                measures="voltage",
                says="lost on the way",
                spread=0.1,
                spread_basis="wire temperature, solid or stranded (S)",
            ),
            Output(name="by_k", measures="voltage", says="the same by the trade's K form"),
            Output(name="share", measures="number", says="as a share"),
            Output(name="longest", measures="length", says="run that loses 3 in 100"),
        ),
        run=_drop,
        says=_drop_says,
        sources=(
            "NEC chapter 9 table 8, solid copper at 75 C (S)",
            "K 12.9 ohm circular mil per foot (S, exam-preparation page)",
        ),
        rules=(
            "branch-run-length",
            "branch-voltage-drop-230",
            "branch-voltage-drop",
        ),
    ),
    Calculator(
        name="supply-band",
        title="A supply voltage against its bands",
        area="power",
        inputs=(Input(name="volts", measures="voltage", says="at the outlet, with its meter's give or take in mind"),),
        outputs=(Output(name="share", measures="number", says="share of nominal"),),
        run=_band,
        says=_band_says,
        sources=("ANSI C84.1 service bands (S); IEC 60038 230 V +-10 % (S)",),
        rules=("supply-voltage", "supply-voltage-range-b", "supply-voltage-230"),
    ),
    Calculator(
        name="ground-fault-time",
        title="How long a ground-fault device may take",
        area="power",
        inputs=(Input(name="fault", measures="current", says="current to ground, 0.006 to 0.264 A"),),
        outputs=(Output(name="time", measures="time", says="longest time to trip", bound="upper"),),
        run=_trip,
        says=_trip_says,
        sources=("UL 943 class A (S)",),
        rules=(
            "washer-leakage-iec",
            "washer-leakage-ul",
            "gfci-near-water",
        ),
    ),
    Calculator(
        name="branch-load",
        title="Load on a laundry circuit",
        area="power",
        inputs=(
            Input(name="rating", measures="current", says="breaker", default="20 A", basis="NEC 210.11(C)(2) (S)"),
            Input(
                name="washer",
                measures="current",
                says="washer's nameplate",
                default="10 A",
                basis="judgement; use the nameplate",
            ),
            Input(
                name="others", measures="current", says="everything else on it", default="0 A", basis="its own circuit"
            ),
        ),
        outputs=(
            Output(name="total", measures="current", says="together"),
            Output(name="spare", measures="current", says="left over"),
            Output(name="plug_limit", measures="current", says="80 in 100 of the rating, for one plugged load"),
        ),
        run=_load,
        says=_load_says,
        sources=("NEC 210.23(A)(1) (M, from memory, unverified)",),
        rules=("own-circuit", "laundry-circuit-nec", "motor-fuse-nec"),
    ),
    Calculator(
        name="start-sag",
        title="How far the outlet sags while the motor starts",
        area="power",
        inputs=(
            Input(
                name="volts", measures="voltage", says="with nothing running", default="120 V", basis="ANSI C84.1 (S)"
            ),
            Input(
                name="start",
                measures="current",
                says="starting current",
                default="40 A",
                basis="M, from memory, unverified: 1/2 hp, code L",
            ),
            Input(
                name="loop",
                measures="number",
                says="resistance there and back, ohm",
                default="0.193",
                basis="50 ft of 12 AWG solid (S)",
            ),
        ),
        outputs=(
            Output(name="low", measures="voltage", says="sag, at least"),
            Output(name="high", measures="voltage", says="sag, at most"),
        ),
        run=_sag,
        says=_sag_says,
        sources=("Ohm's law; locked-rotor code letters (M)",),
        rules=("supply-voltage",),
    ),
    Calculator(
        name="neutral-to-ground",
        title="Neutral to ground under load",
        area="power",
        inputs=(
            Input(name="volts", measures="voltage", says="neutral to ground"),
            Input(
                name="load",
                measures="current",
                says="load while reading",
                default="10 A",
                basis="judgement: machine heating or spinning",
            ),
        ),
        outputs=(Output(name="share", measures="number", says="share of 120 V"),),
        run=_bond,
        says=_bond_says,
        sources=("meter maker's power-quality guide, p. 6 (P)",),
        rules=("neutral-to-ground",),
    ),
]
