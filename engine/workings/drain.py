"""Workings of the drain: what a standpipe with its trap and arm passes, whether a hose siphons, how fast a tub fills, what drips come to."""

from ..physics.full_bore import full_bore_flow, run_head, standpipe_run
from ..physics.leak_rate import drip_volume_per_day, hole_volume_per_day
from ..physics.siphon import hose_end_height, siphon_flow, siphon_head, siphon_outlet
from ..physics.sloping_drain import drain_flow, drain_speed
from ..physics.stack import stack_capacity
from ..physics.standpipe import standpipe_volume, time_to_overflow, tub_fill_time
from .records import Input, Output, Working, show

HOSE_OUTSIDE_m = 0.0286  # 1 1/8 in, judgement
ENERGY = "energy equation with Darcy friction (D, derived here); trap loss judgement within a derived band"
PUMP = Input(name="pump", measures="flow", says="what the washer's pump sends", default="17 gpm",
             basis="C, common practice; other figures are 7 to 10 gpm (S) and 15 to 20 gpm (M, from memory, unverified)")  # fmt: skip


def _overflow(v: dict[str, float]) -> dict[str, float | None]:
    run = standpipe_run(v["above_weir"], v["bore"], v["arm"], v["trap_bore"], blocked_share=v["blocked"])
    head = run_head(v["above_weir"], v["arm"], v["trap_bore"], v["slope"])
    passes = full_bore_flow(head, run)
    volume = standpipe_volume(v["above_weir"], v["bore"], HOSE_OUTSIDE_m, min(v["insertion"], v["above_weir"]))
    seconds = time_to_overflow(volume, v["pump"], passes)
    return {
        "passes": passes,
        "margin": passes - v["pump"],
        "overflows_in": None if seconds == float("inf") else seconds,
    }


def _overflow_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    passes, seconds = out["passes"] or 0.0, out["overflows_in"]
    clean = f"with {100 * v['blocked']:.0f} in 100 of the trap closed by lint" if v["blocked"] else "if they are clean"
    said = [
        f"behind this {show(v['bore'], 'length')} standpipe the trap and arm pass at most {show(passes, 'flow')} at the head there is, {clean}; "
        f"the pump sends about {show(v['pump'], 'flow')}"
    ]
    if seconds is None:
        said.append(
            f"that leaves a margin of {show(passes - v['pump'], 'flow')}, less if lint has narrowed trap or arm further"
        )
    else:
        said.append(f"the pipe holds the difference for {show(seconds, 'time')}, then it runs over")
    return said


def _siphon(v: dict[str, float]) -> dict[str, float | None]:
    end = hose_end_height(v["standpipe"], v["insertion"])
    outlet = siphon_outlet(end, v["weir"], v["sealed"] >= 0.5)
    head = siphon_head(v["water_line"], outlet)
    return {
        "above": outlet - v["water_line"],
        "flow": siphon_flow(head, v["hose_bore"], v["hose"]) if head > 0 else 0.0,
    }


def _siphon_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    above = out["above"] or 0.0
    line = show(v["water_line"], "length")
    if above >= 0:
        return [
            f"the hose end hangs {show(above, 'length')} above this machine's highest water line ({line}): it can't siphon"
        ]
    return [
        f"the outlet lies {show(-above, 'length')} below this machine's highest water line ({line}): once the drain has run it can go on "
        f"siphoning, at most {show(out['flow'], 'flow')}"
    ]


def _tub(v: dict[str, float]) -> dict[str, float | None]:
    seconds = tub_fill_time(v["volume"], v["pump"], v["outlet"])
    return {"full_in": None if seconds == float("inf") else seconds}


def _tub_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    if out["full_in"] is None:
        return [f"the outlet carries off what the pump sends, so a {show(v['volume'], 'volume')} tub does not fill up"]
    return [
        f"a {show(v['volume'], 'volume')} tub is full in {show(out['full_in'], 'time')} when the pump sends {show(v['pump'], 'flow')} and {show(v['outlet'], 'flow')} run off"
    ]


def _slope(v: dict[str, float]) -> dict[str, float | None]:
    return {
        "half_full": drain_flow(v["bore"], v["slope"], 0.5, v["n"]),
        "full": drain_flow(v["bore"], v["slope"], 1.0, v["n"]),
        "speed": drain_speed(v["bore"], v["slope"], 0.5, v["n"]),
    }


def _slope_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    speed = (out["speed"] or 0.0) / 0.3048
    said = [
        f"a {show(v['bore'], 'length')} branch at {show(v['slope'], 'slope')} carries {show(out['half_full'], 'flow')} half full, twice that full; "
        "half full is a design figure, and a short surge fills the pipe further: a margin, not a fault"
    ]
    if speed < 2:
        said.append(f"it runs at {speed:.1f} ft/s half full, below the 2 ft/s that scours lint along")
    return said


def _stack(v: dict[str, float]) -> dict[str, float | None]:
    return {"quarter": stack_capacity(v["bore"], 0.25), "seven_24": stack_capacity(v["bore"], 7 / 24)}


def _stack_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"a {show(v['bore'], 'length')} stack is reckoned at {show(out['quarter'], 'flow')} a quarter full: a design limit for long stacks, no measure of what "
        "a full standpipe passes, and no guarantee either"
    ]


def _drips(v: dict[str, float]) -> dict[str, float | None]:
    return {"per_day": drip_volume_per_day(v["drips"] / 60, v["drop"])}


def _drips_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"{v['drips']:.0f} drips a minute come to about {show(out['per_day'], 'volume')} a day; a drop is 0.25 to 0.36 mL, so this may be off by a third"
    ]


def _hole(v: dict[str, float]) -> dict[str, float | None]:
    return {"per_day": hole_volume_per_day(v["hole"], v["pressure"])}


def _hole_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"a {show(v['hole'], 'length')} hole at {show(v['pressure'], 'pressure')} lets out about {show(out['per_day'], 'volume')} a day"
    ]


WORKINGS = [
    Working(
        name="standpipe-overflow",
        title="What standpipe, trap and arm pass when they run full",
        area="drain",
        inputs=(
            Input(name="bore", measures="length", says="inside diameter of the standpipe"),
            Input(
                name="above_weir",
                measures="length",
                says="open top of the standpipe above the trap weir",
                default="30 in",
                basis="judgement; codes give 18 to 42 in (S) and 18 to 30 in (P)",
            ),
            Input(
                name="trap_bore",
                measures="length",
                says="inside diameter of trap and arm",
                default="1.61 in",
                basis="judgement: an old 1 1/2 in trap",
            ),
            Input(
                name="arm",
                measures="length",
                says="length of the trap arm, weir to vent or branch",
                default="5 ft",
                basis="UPC table 1002.2, 2 in (S)",
            ),
            Input(
                name="slope",
                measures="slope",
                says="fall of the arm",
                default="1/4 in/ft",
                basis="IPC, IRC and UPC for 2 in (S)",
            ),
            Input(name="insertion", measures="length", says="hose inside the pipe", default="6 in", basis="judgement"),
            Input(
                name="blocked",
                measures="number",
                says="part of trap and arm closed by lint, 0 to 1",
                default="0.3",
                basis="judgement: some lint in every used drain",
            ),
            PUMP,
        ),
        outputs=(
            Output(
                name="passes",
                measures="flow",
                says="full-bore flow through trap and arm at the head there is",
                spread=0.3,
                spread_basis="judgement: trap loss and lint",
                bound="upper",
            ),
            Output(name="margin", measures="flow", says="what is left over the pump's rate; negative: it fills up"),
            Output(name="overflows_in", measures="time", says="how long the pipe holds the difference"),
        ),
        run=_overflow,
        says=_overflow_says,
        sources=(ENERGY,),
        rules=("standpipe-carrying-flow", "standpipe-bore"),
    ),
    Working(
        name="hose-siphon",
        title="Hose end against this machine's highest water line",
        area="drain",
        inputs=(
            Input(name="standpipe", measures="length", says="open top of the standpipe above what the feet stand on"),
            Input(
                name="insertion",
                measures="length",
                says="hose inside the pipe",
                default="6 in",
                basis="judgement; practice is at most 8 in (C)",
            ),
            Input(name="water_line", measures="length", says="highest water line above what the feet stand on"),
            Input(
                name="weir",
                measures="length",
                says="trap weir above what the feet stand on",
                default="12 in",
                basis="UPC 804.1: trap 6 to 18 in above the floor (P), its middle",
            ),
            Input(
                name="sealed",
                measures="number",
                says="1 if the hose is taped or squeezed in, else 0",
                default="0",
                basis="a hose that hangs loose",
            ),
            Input(
                name="hose_bore",
                measures="length",
                says="inside diameter of the drain hose",
                default="7/8 in",
                basis="judgement",
            ),
            Input(name="hose", measures="length", says="length of the drain hose", default="6 ft", basis="judgement"),
        ),
        outputs=(
            Output(name="above", measures="length", says="outlet above the water line; negative: below it"),
            Output(
                name="flow",
                measures="flow",
                says="what a siphon runs at",
                spread=0.3,
                spread_basis="judgement: corrugation, the pump in the way",
                bound="upper",
            ),
        ),
        run=_siphon,
        says=_siphon_says,
        sources=("siphon head by geometry (D); speed by Torricelli with losses (S, textbook)",),
        rules=("hose-end-above-water-line", "standpipe-height", "hose-insertion-depth"),
    ),
    Working(
        name="tub-fill",
        title="How soon a laundry tub is full",
        area="drain",
        inputs=(
            Input(
                name="volume",
                measures="volume",
                says="what the tub holds to its rim",
                default="20 gal",
                basis="C, common practice",
            ),
            PUMP,
            Input(
                name="outlet",
                measures="flow",
                says="what its outlet carries off",
                default="0 gpm",
                basis="a plugged outlet",
            ),
        ),
        outputs=(Output(name="full_in", measures="time", says="time until it runs over"),),
        run=_tub,
        says=_tub_says,
        sources=("volume over flow (D): 20 gal at 17 gpm, plugged, is 71 s",),
        rules=("tub-volume",),
    ),
    Working(
        name="branch-capacity",
        title="What a sloping drain carries (Manning)",
        area="drain",
        inputs=(
            Input(
                name="bore",
                measures="length",
                says="inside diameter of the branch",
                default="2 in",
                basis="IPC 406, UPC T702.1 (S)",
            ),
            Input(
                name="slope", measures="slope", says="its fall", default="1/4 in/ft", basis="IPC, IRC, UPC for 2 in (S)"
            ),
            Input(
                name="n",
                measures="number",
                says="Manning's roughness: 0.015 fairly rough, 0.009 smooth plastic",
                default="0.015",
                basis="NSPC 2009 App. K (P)",
            ),
        ),
        outputs=(
            Output(
                name="half_full",
                measures="flow",
                says="half full, the design depth of branches",
                spread=0.15,
                spread_basis="judgement: roughness",
            ),
            Output(name="full", measures="flow", says="full", spread=0.15, spread_basis="judgement: roughness"),
            Output(name="speed", measures="number", says="speed half full, in m/s"),
        ),
        run=_slope,
        says=_slope_says,
        sources=("Manning; multipliers by depth NSPC 2009 App. K (P)",),
        rules=("drain-slope-2in-ipc",),
    ),
    Working(
        name="stack-capacity",
        title="Design capacity of a stack (Wyly-Eaton)",
        area="drain",
        inputs=(
            Input(name="bore", measures="length", says="inside diameter", default="2 in", basis="C, common practice"),
        ),
        outputs=(
            Output(name="quarter", measures="flow", says="one quarter full", bound="upper"),
            Output(
                name="seven_24",
                measures="flow",
                says="seven twenty-fourths full, as NSPC 2006 table 13.6.1 prints it",
                bound="upper",
            ),
        ),
        run=_stack,
        says=_stack_says,
        sources=("Wyly and Eaton 1961 (M, from memory, unverified), confirmed by NSPC 2006 table 13.6.1 (P)",),
        rules=("standpipe-bore",),
    ),
    Working(
        name="drips",
        title="What drips come to in a day",
        area="drain",
        inputs=(
            Input(name="drips", measures="number", says="drips in a minute"),
            Input(
                name="drop",
                measures="volume",
                says="volume of a drop",
                default="0.333 mL",
                basis="USGS (P); other pages use 0.25 (S) and imply 0.36 mL (S)",
            ),
        ),
        outputs=(
            Output(
                name="per_day",
                measures="volume",
                says="water in a day",
                spread=0.15,
                spread_basis="spread of published drop volumes",
            ),
        ),
        run=_drips,
        says=_drips_says,
        sources=("drops times volume (D), drop USGS (P)",),
        rules=("supply-couplings-dry",),
    ),
    Working(
        name="hole",
        title="What a hole under pressure lets out",
        area="drain",
        inputs=(
            Input(name="hole", measures="length", says="diameter of the hole"),
            Input(
                name="pressure",
                measures="pressure",
                says="pressure behind it",
                default="60 psi",
                basis="judgement: a usual house",
            ),
        ),
        outputs=(
            Output(
                name="per_day",
                measures="volume",
                says="water in a day",
                spread=0.05,
                spread_basis="P: two towns' pages within 3 %",
            ),
        ),
        run=_hole,
        says=_hole_says,
        sources=("sharp-edged orifice, Cd 0.62 (S), against municipal pages (P)",),
        rules=("fill-hose-sound",),
    ),
]
