"""Workings of the cold: how long until ice, what ice does, how strong antifreeze must be, which alert speaks."""

from ..physics.cold.antifreeze import dilute, freezing_point, share_needed, volume_to_pour
from ..physics.cold.freezing import freezing, ice_volume
from ..physics.cold.frost_alert import cold_alerts
from ..physics.cold.pipe_frost import film_resistance, pipe_time_to_zero, shell_resistance
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]


def _finite(seconds: float) -> float | None:
    return None if seconds == float("inf") else seconds


def _freeze(v: Values) -> Given:
    found = freezing(v["water"] * 1000, v["area"], v["film"], v["start"], v["air"])
    return {"to_zero": _finite(found.to_zero_s), "total": _finite(found.total_s)}


def _freeze_says(v: Values, out: Given) -> list[str]:
    if out["to_zero"] is None:
        return [f"at {show(v['air'], 'temperature')} it never freezes"]
    return [
        f"the first ice can form after about {show(out['to_zero'], 'time')}; frozen through after some {show(out['total'], 'time')}",
        "warn by the first time: ice that blocks a passage traps water, and trapped water splits a pump or valve before all is ice",
    ]


def _pipe(v: Values) -> Given:
    covered = v["outside"] + 2 * v["insulation"]
    resistance = film_resistance(covered, v["film"])
    if v["insulation"] > 0:
        resistance += shell_resistance(v["outside"], covered, v["conductivity"])
    return {"to_zero": _finite(pipe_time_to_zero(v["bore"], resistance, v["start"], v["air"]))}


def _pipe_says(v: Values, out: Given) -> list[str]:
    if out["to_zero"] is None:
        return [
            f"at {show(v['air'], 'temperature')} a pipe with still water does not freeze; wind and a colder wall behind it can still do it"
        ]
    return [
        f"still water in this pipe is down to freezing in about {show(out['to_zero'], 'time')} at {show(v['air'], 'temperature')}, give or take half: "
        "insulation delays that and does not prevent it, and wind through a gap makes it quicker"
    ]


def _ice(v: Values) -> Given:
    return {"ice": ice_volume(v["water"])}


def _ice_says(v: Values, out: Given) -> list[str]:
    return [f"{show(v['water'], 'volume')} of water becomes {show(out['ice'], 'volume')} of ice, 9 in 100 more"]


def _antifreeze(v: Values) -> Given:
    mixed = dilute(v["share"], v["poured"], v["water"])
    needed = share_needed(v["lowest"])
    pour = volume_to_pour(needed, v["share"], v["water"]) if needed < v["share"] else None
    return {"mixed": mixed, "freezes_at": freezing_point(mixed), "needed": needed, "pour": pour}


def _pour_says(v: Values, out: Given) -> str:
    if out["pour"] is None:
        return "no amount of this bottle gets there: take a stronger one, or drain the machine dry"
    return f"onto {show(v['water'], 'volume')} of water that takes {show(out['pour'], 'volume')} of this bottle, mixed through by a short run; how much water is left is seldom known, so take more"


def _antifreeze_says(v: Values, out: Given) -> list[str]:
    short = (out["mixed"] or 0) < (out["needed"] or 0)
    return [
        f"mixed with the water left inside it is {100 * (out['mixed'] or 0):.0f} in 100 and starts to freeze at {show(out['freezes_at'], 'temperature')}; "
        f"{show(v['lowest'], 'temperature')} asks for {100 * (out['needed'] or 0):.0f} in 100: {'too weak' if short else 'strong enough against freezing'}",
        _pour_says(v, out),
        "propylene glycol, never ethylene glycol (poison)",
    ]


def _alerts(v: Values) -> Given:
    return {"alerts": float(sum(bool(a.on) for a in cold_alerts(v["outdoor"], v["room"])))}


def _alerts_says(v: Values, out: Given) -> list[str]:
    return [
        f"{a.datum}: {'ALERT' if a.on else 'no alert'} (limit {show(a.limit_C, 'temperature')}, {a.whose}). {a.note}"
        for a in cold_alerts(v["outdoor"], v["room"])
    ]


WORKINGS = [
    Calculator(
        name="freezing-time",
        title="How long water left inside takes to freeze",
        area="cold",
        inputs=(
            Input(
                name="water", measures="volume", says="water left in pump and sump", default="0.5 L", basis="judgement"
            ),
            Input(name="area", measures="area", says="its surface", default="400 cm2", basis="judgement"),
            Input(
                name="film", measures="number", says="heat transfer, W/m2K", default="8", basis="judgement: still air"
            ),
            Input(name="start", measures="temperature", says="at the start", default="68 F", basis="judgement"),
            Input(name="air", measures="temperature", says="air around it"),
        ),
        outputs=(
            Output(name="to_zero", measures="time", says="until the first ice", spread=0.4, spread_basis="judgement"),
            Output(name="total", measures="time", says="until frozen through", spread=0.4, spread_basis="judgement"),
        ),
        run=_freeze,
        says=_freeze_says,
        sources=("lumped cooling (S, Cengel ch. 4) and energy balance (D), latent heat 333.4 kJ/kg (D, IAPWS)",),
        rules=("room-above-freezing", "drained-before-cold"),
    ),
    Calculator(
        name="pipe-freezing",
        title="How soon still water in a supply pipe is down to freezing",
        area="cold",
        inputs=(
            Input(name="air", measures="temperature", says="air round the pipe"),
            Input(
                name="bore",
                measures="length",
                says="inside diameter",
                default="0.545 in",
                basis="M: 1/2 in copper type L",
            ),
            Input(
                name="outside",
                measures="length",
                says="outside diameter",
                default="0.625 in",
                basis="M: 1/2 in copper type L",
            ),
            Input(
                name="insulation",
                measures="length",
                says="thickness of its insulation; 0 in for a bare pipe",
                default="0 in",
                basis="a bare pipe",
            ),
            Input(
                name="conductivity",
                measures="number",
                says="of the insulation, W/mK",
                default="0.043",
                basis="S: foam, k 0.30 Btu in/h ft2 F",
            ),
            Input(
                name="film",
                measures="number",
                says="heat transfer at the surface, W/m2K",
                default="10",
                basis="judgement: still air",
            ),
            Input(name="start", measures="temperature", says="water at the start", default="50 F", basis="judgement"),
        ),
        outputs=(
            Output(
                name="to_zero",
                measures="time",
                says="until the water is at its freezing point",
                spread=0.5,
                spread_basis="judgement: film and wind",
            ),
        ),
        run=_pipe,
        says=_pipe_says,
        sources=(
            "ASHRAE Fundamentals 2009 ch. 23 eq. 1, as quoted (S); film after Cengel ch. 3 (M, from memory, unverified)",
        ),
        rules=("supply-pipe-frost-alert", "taps-give-water"),
    ),
    Calculator(
        name="ice-expansion",
        title="What freezing does to the volume",
        area="cold",
        inputs=(Input(name="water", measures="volume", says="water at 0 C"),),
        outputs=(Output(name="ice", measures="volume", says="as ice"),),
        run=_ice,
        says=_ice_says,
        sources=("IAPWS: +9.07 % (D)",),
        rules=("drained-before-cold",),
    ),
    Calculator(
        name="antifreeze",
        title="Antifreeze after the water inside has thinned it",
        area="cold",
        inputs=(
            Input(
                name="share",
                measures="number",
                says="share by volume in the bottle, 0 to 1",
                default="0.5",
                basis="judgement: read the label",
            ),
            Input(name="poured", measures="volume", says="poured in", default="1 qt", basis="judgement"),
            Input(name="water", measures="volume", says="water left inside", default="0.5 L", basis="judgement"),
            Input(name="lowest", measures="temperature", says="coldest it will get"),
        ),
        outputs=(
            Output(name="mixed", measures="number", says="share after mixing"),
            Output(name="freezes_at", measures="temperature", says="where it starts to freeze", spread=0.0),
            Output(name="needed", measures="number", says="share that the cold asks for"),
            Output(
                name="pour",
                measures="volume",
                says="of this bottle onto that water, for the coldest it will get",
                bound="lower",
            ),
        ),
        run=_antifreeze,
        says=_antifreeze_says,
        sources=("Lange's Handbook 15th ed. table 5.13, propylene glycol (P)",),
        rules=("antifreeze-strength",),
    ),
    Calculator(
        name="frost-alerts",
        title="Which frost alert speaks",
        area="cold",
        inputs=(
            Input(name="outdoor", measures="temperature", says="outdoor air"),
            Input(name="room", measures="temperature", says="air where the machine stands"),
        ),
        outputs=(Output(name="alerts", measures="number", says="how many speak"),),
        run=_alerts,
        says=_alerts_says,
        sources=("supply pipe 20 F, Gordon 1996 (figure S); machine 32 F common practice (C)",),
        rules=("room-above-freezing", "supply-pipe-frost-alert"),
    ),
]
