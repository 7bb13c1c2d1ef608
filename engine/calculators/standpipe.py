"""Workings of the standpipe as a thing of heights and gaps: one height over three datums, and the air round the hose in it."""

from ..physics.drain.air_gap import air_gap, hose_end_above_weir, open_area
from ..physics.drain.standpipe import above_feet, above_floor, above_weir, floor_from_feet
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]
INCH = 0.0254
# From the weir or the trap (IPC 802.4.3, S; UPC 804.1, P), from the floor (UPC 804.1, P), from the feet (C) [m].
IPC_WEIR, UPC_WEIR = (18 * INCH, 42 * INCH), (18 * INCH, 30 * INCH)
TIGHT = 0.1  # a ring under a tenth of the bore's area counts as no gap to look through: judgement


def _datum(v: Values) -> Given:
    floor = floor_from_feet(v["above_feet"], v["pedestal"])
    return {"above_floor": floor, "above_weir": above_weir(floor, v["weir"])}


def _band(band: tuple[float, float], v: Values) -> str:
    low, high = (above_feet(above_floor(height, v["weir"]), v["pedestal"]) for height in band)
    return f"{show(low, 'length')} to {show(high, 'length')}"


def _datum_says(v: Values, out: Given) -> list[str]:
    return [
        f"the same top is {show(v['above_feet'], 'length')} above the feet's surface, {show(out['above_floor'], 'length')} above the room's floor "
        f"and {show(out['above_weir'], 'length')} above the trap weir: hold each limit against its own datum",
        f"with the weir at {show(v['weir'], 'length')}, IPC's 18 to 42 in above it (S) are {_band(IPC_WEIR, v)} above the feet's surface, UPC's 18 "
        f"to 30 in (P) are {_band(UPC_WEIR, v)}; practice's 39 to 96 in (C) count from there already",
    ]


def _break(v: Values) -> Given:
    end = hose_end_above_weir(v["above_weir"], v["insertion"])
    ring = open_area(v["bore"], v["hose_outside"])
    return {
        "end": end,
        "gap": air_gap(end, v["above_weir"]),
        "open": ring,
        "open_share": ring / open_area(v["bore"], 0.0),
    }


def _break_says(v: Values, out: Given) -> list[str]:
    end, gap, open_share = out["end"] or 0.0, out["gap"] or 0.0, out["open_share"] or 0.0
    around = (
        "so little counts as sealed: the pipe can pull a siphon down to its trap"
        if open_share < TIGHT
        else "air gets in, as long as nobody tapes or plugs it"
    )
    said = [f"round the hose {100 * open_share:.0f} in 100 of the pipe's bore stay open: {around}"]
    if end <= 0:
        said.append(
            f"the hose end dips {show(-end, 'length')} below the trap weir, into water: no air break at all; draw it up"
        )
    elif gap < 0:
        said.append(
            f"the end hangs {show(end, 'length')} above the trap weir and {show(-gap, 'length')} below the pipe's top: an air break, as IPC 406.2 and "
            "IRC P2718.1 ask (S); an air gap would end above the top, and binds where the local code asks for one"
        )
    return said


WORKINGS = [
    Calculator(
        name="standpipe-datum",
        title="One standpipe height counted from feet, floor and trap weir",
        area="drain",
        inputs=(
            Input(name="above_feet", measures="length", says="open top of the standpipe above what the feet stand on"),
            Input(
                name="pedestal",
                measures="length",
                says="pedestal, platform or pan under the feet",
                default="0 in",
                basis="the washer stands on the room's floor",
            ),
            Input(
                name="weir",
                measures="length",
                says="trap weir above the room's floor",
                default="12 in",
                basis="UPC 804.1: trap 6 to 18 in above the floor (P), its middle",
            ),
        ),
        outputs=(
            Output(name="above_floor", measures="length", says="the top above the room's floor"),
            Output(name="above_weir", measures="length", says="the top above the trap weir"),
        ),
        run=_datum,
        says=_datum_says,
        sources=(
            "geometry (D); UPC 804.1 adds 18 to 30 in to 6 to 18 in (P)",
            "IPC 802.4.3 counts from the trap weir (S)",
        ),
        rules=(
            "standpipe-height",
            "standpipe-height-upc-floor",
            "standpipe-height-upc-trap",
            "standpipe-height-ipc",
            "standpipe-with-tray-ipc",
            "trap-height-upc",
        ),
    ),
    Calculator(
        name="air-break",
        title="The air round and under a hose in a standpipe",
        area="drain",
        inputs=(
            Input(name="insertion", measures="length", says="hose inside the pipe"),
            Input(
                name="bore",
                measures="length",
                says="inside diameter of the standpipe",
                default="2 in",
                basis="C, common practice",
            ),
            Input(
                name="hose_outside",
                measures="length",
                says="outside diameter of the hose",
                default="1 1/8 in",
                basis="judgement",
            ),
            Input(
                name="above_weir",
                measures="length",
                says="open top of the standpipe above the trap weir",
                default="30 in",
                basis="judgement; codes give 18 to 42 in (S) and 18 to 30 in (P)",
            ),
        ),
        outputs=(
            Output(name="end", measures="length", says="hose end above the trap weir; negative: in the trap's water"),
            Output(
                name="gap", measures="length", says="hose end above the pipe's top; negative: below it, an air break"
            ),
            Output(name="open", measures="area", says="ring between hose and pipe"),
            Output(name="open_share", measures="number", says="that ring as a share of the bore"),
        ),
        run=_break,
        says=_break_says,
        sources=("geometry (D); what counts as sealed is judgement", "air break: IPC 406.2 and IRC P2718.1 (S)"),
        rules=("drain-air-break", "hose-insertion-depth", "hose-insertion-depth-shallow", "standpipe-bore"),
    ),
]
