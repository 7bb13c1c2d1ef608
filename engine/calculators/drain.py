"""Workings of the drain: what a standpipe with its trap and arm passes, how fast a tub fills, what a branch and a stack carry."""

from ..physics.drain.air_gap import vent_distance
from ..physics.drain.full_bore import full_bore_flow, head_loss, run_head, standpipe_run
from ..physics.drain.sloping_drain import drain_flow, drain_speed, partial_multipliers
from ..physics.drain.stack import stack_capacity, terminal_length
from ..physics.drain.standpipe import tub_fill_time
from ..physics.drain.standpipe_filling import standpipe_filling_time
from .calculator import Calculator, Input, Output, show

HOSE_OUTSIDE_m = 0.0286  # 1 1/8 in, judgement
# What the overflow model itself may be off by, as a standard share. Three parts, each even over its band: the trap's bends, -5 to +17 in 100
# over 0.5 to 1.9 speed heads (D); walls from smooth to 1 mm rough, 0 to -22 (D); air that the hose's jet carries down, 0 to -20 (judgement).
# Their standard uncertainties make 11 in 100, and their middles lie 15 below the smooth, airless figure, which is given as an upper bound and
# not corrected: together 0.19. Lint is left out: it is the input `blocked`, whose give or take is carried through, and would count twice here.
OVERFLOW_SPREAD = 0.2
ENERGY = "energy equation with Darcy friction (D, derived here); trap loss judgement within a derived band"
PUMP = Input(name="pump", measures="flow", says="what the washer's pump sends", default="17 gpm",
             basis="C, common practice; other figures are 7 to 10 gpm (S) and 15 to 20 gpm (M, from memory, unverified)")  # fmt: skip


def _overflow(v: dict[str, float]) -> dict[str, float | None]:
    run = standpipe_run(v["above_weir"], v["bore"], v["arm"], v["trap_bore"], blocked_share=v["blocked"])
    head = run_head(v["above_weir"], v["arm"], v["trap_bore"], v["slope"])
    passes = full_bore_flow(head, run)
    seconds = standpipe_filling_time(
        v["pump"],
        v["above_weir"],
        v["bore"],
        v["arm"],
        v["trap_bore"],
        v["slope"],
        v["blocked"],
        HOSE_OUTSIDE_m,
        v["insertion"],
    )
    return {
        "passes": passes,
        "closed_at": _closed_at(v, head),
        "margin": passes - v["pump"],
        "overflows_in": None if seconds == float("inf") else seconds,
    }


def _closed_at(v: dict[str, float], head: float) -> float:
    """Return the share of trap and arm that lint must close before they pass no more than the pump sends; 0 where clean ones don't."""
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = (low + high) / 2
        run = standpipe_run(v["above_weir"], v["bore"], v["arm"], v["trap_bore"], blocked_share=middle)
        # They pass more than the pump sends just where its flow doesn't use the head up; asking that solves for no flow.
        low, high = (middle, high) if head_loss(v["pump"], run) < head else (low, middle)
    return low


def _overflow_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    passes, seconds = out["passes"] or 0.0, out["overflows_in"]
    clean = f"with {100 * v['blocked']:.0f} in 100 of the trap closed by lint" if v["blocked"] else "if they are clean"
    wide = ", taken as wide as the pipe," if v["trap_bore"] == v["bore"] else ""
    said = [
        f"behind this {show(v['bore'], 'length')} standpipe the trap and arm{wide} pass at most {show(passes, 'flow')} at the head there is, {clean}; "
        f"the pump sends about {show(v['pump'], 'flow')}"
    ]
    if seconds is None:
        margin = passes - v["pump"]
        worth = OVERFLOW_SPREAD * passes
        said.append(
            f"that leaves a margin of {show(margin, 'flow')}, which is less than this estimate is worth ({show(worth, 'flow')} either way): it may keep up or run over"
            if margin < worth
            else f"that leaves a margin of {show(passes - v['pump'], 'flow')}: by this they keep up until {100 * (out['closed_at'] or 0):.0f} in 100 of trap and arm are "
            "closed, sooner with rough walls or much air in the water"
        )
    else:
        said.append(
            f"from the trap's weir it fills to the top in {show(seconds, 'time')} or less, as ever more runs off below, then it runs over"
        )
    return said


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
    half = drain_flow(v["bore"], v["slope"], 0.5, v["n"])
    return {
        "half_full": half,
        "at_depth": half * partial_multipliers(v["depth"]).flow,
        "full": drain_flow(v["bore"], v["slope"], 1.0, v["n"]),
        "speed": drain_speed(v["bore"], v["slope"], 0.5, v["n"]),
    }


def _slope_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    speed = (out["speed"] or 0.0) / 0.3048
    said = [
        f"a {show(v['bore'], 'length')} branch at {show(v['slope'], 'slope')} carries {show(out['half_full'], 'flow')} half full, {show(out['at_depth'], 'flow')} at "
        f"{100 * v['depth']:.0f} in 100 of its depth and twice the half-full figure full; half full is a design figure, and a short surge fills the pipe further: a margin, not a fault"
    ]
    if speed < 2:
        said.append(f"it runs at {speed:.1f} ft/s half full, below the 2 ft/s that scours lint along")
    return said


def _stack(v: dict[str, float]) -> dict[str, float | None]:
    most = stack_capacity(v["bore"], 7 / 24)
    return {"quarter": stack_capacity(v["bore"], 0.25), "seven_24": most, "fall": terminal_length(most, v["bore"])}


def _stack_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"a {show(v['bore'], 'length')} stack is reckoned at {show(out['quarter'], 'flow')} a quarter full: a design limit for long stacks, no measure of what "
        "a full standpipe passes, and no guarantee either",
        f"the falling sheet needs {show(out['fall'], 'length')} to reach its speed (from memory, unverified); most standpipes are shorter, so the figure is an upper bound for them",
    ]


def _arm(v: dict[str, float]) -> dict[str, float | None]:
    longest = vent_distance(v["bore"], v["slope"])
    return {"longest": longest, "spare": longest - v["arm"]}


def _arm_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    spare = out["spare"] or 0.0
    where = f"{show(spare, 'length')} to spare" if spare >= 0 else f"{show(-spare, 'length')} too far"
    return [
        f"at {show(v['slope'], 'slope')} a {show(v['bore'], 'length')} arm falls by its own bore in {show(out['longest'], 'length')}: the vent has {where}, "
        "and past that it can pull the trap's seal. UPC's table is shorter, 5 ft at 2 in (S), and rules where it is adopted"
    ]


WORKINGS = [
    Calculator(
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
                spread=OVERFLOW_SPREAD,
                spread_basis="judgement: bends of the trap, rough walls, air in the water; lint is an input of its own",
                bound="upper",
            ),
            Output(
                name="closed_at",
                measures="number",
                says="share closed by lint at which they pass just what the pump sends",
                bound="upper",
            ),
            Output(name="margin", measures="flow", says="what is left over the pump's rate; negative: it fills up"),
            Output(
                name="overflows_in",
                measures="time",
                says="how long it fills before it runs over, outflow growing with the water in it",
                bound="upper",
            ),
        ),
        run=_overflow,
        says=_overflow_says,
        sources=(ENERGY,),
        rules=(
            "standpipe-height-ipc",
            "standpipe-height-upc-trap",
            "standpipe-with-tray-ipc",
            "standpipe-carrying-flow",
            "standpipe-passes-pump-flow",
            "standpipe-bore",
            "trap-size-ipc",
            "trap-size-upc",
        ),
    ),
    Calculator(
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
    Calculator(
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
            Input(
                name="depth",
                measures="number",
                says="water's depth over the bore, 0 to 1",
                default="0.75",
                basis="judgement: a short surge",
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
            Output(
                name="at_depth",
                measures="flow",
                says="at the depth that was given",
                spread=0.15,
                spread_basis="judgement: roughness",
            ),
            Output(name="full", measures="flow", says="full", spread=0.15, spread_basis="judgement: roughness"),
            Output(name="speed", measures="number", says="speed half full, in m/s"),
        ),
        run=_slope,
        says=_slope_says,
        sources=("Manning; multipliers by depth NSPC 2009 App. K (P)",),
        rules=(
            "drain-slope-2in-ipc",
            "drain-slope-2in-irc",
            "drain-slope-2in-upc",
            "drain-slope-3in-ipc",
            "drain-slope-3in-irc",
            "drain-slope-3in-upc",
            "washer-branch-ipc",
            "standpipe-carrying-flow",
        ),
    ),
    Calculator(
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
            Output(
                name="fall",
                measures="length",
                says="fall in which the sheet at 7/24 reaches its speed (M, from memory, unverified)",
            ),
        ),
        run=_stack,
        says=_stack_says,
        sources=("Wyly and Eaton 1961 (M, from memory, unverified), confirmed by NSPC 2006 table 13.6.1 (P)",),
        rules=("standpipe-bore",),
    ),
    Calculator(
        name="trap-arm",
        title="How far from the trap its vent may be",
        area="drain",
        inputs=(
            Input(name="arm", measures="length", says="along the arm, trap weir to vent"),
            Input(
                name="bore",
                measures="length",
                says="nominal size of the arm",
                default="2 in",
                basis="IPC 406, UPC T702.1 (S)",
            ),
            Input(
                name="slope", measures="slope", says="its fall", default="1/4 in/ft", basis="IPC, IRC, UPC for 2 in (S)"
            ),
        ),
        outputs=(
            Output(name="longest", measures="length", says="run in which the arm falls by its bore"),
            Output(name="spare", measures="length", says="what is left of it; negative: too far"),
        ),
        run=_arm,
        says=_arm_says,
        sources=("geometry (D); it equals IPC T909.1 at 1/4 in/ft: 5, 6, 8, 12, 16 ft (S)",),
        rules=(
            "trap-arm-length-ipc-1-1-2in",
            "trap-arm-length-ipc-2in",
            "trap-arm-length-ipc-3in",
            "trap-arm-length-upc-1-1-2in",
            "trap-arm-length-upc-2in",
            "trap-arm-length-upc-3in",
            "trap-vented",
        ),
    ),
]
