"""Working of the pipe to the washer: what friction and height leave of the standing pressure while it fills."""

from ..physics.friction import darcy_head_loss, hazen_williams_head_loss, pressure_of_head
from ..physics.supply.flow import water_column
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]


def _pipe(v: Values) -> Given:
    by_table = pressure_of_head(hazen_williams_head_loss(v["flow"], v["bore"], v["length"], v["smoothness"]))
    by_wall = pressure_of_head(darcy_head_loss(v["flow"], v["bore"], v["length"]))
    rise = pressure_of_head(v["rise"])
    return {
        "friction": max(by_table, by_wall),
        "height": rise,
        "left": v["standing"] - max(by_table, by_wall) - rise,
        "holds_up": water_column(v["standing"]),
    }


def _pipe_says(v: Values, out: Given) -> list[str]:
    left = out["left"] or 0.0
    if left <= 0:
        said = (
            f"{show(v['standing'], 'pressure')} can't drive {show(v['flow'], 'flow')} through this pipe: less will run"
        )
    else:
        said = (
            f"at {show(v['flow'], 'flow')} the pipe takes {show(out['friction'], 'pressure')} and the height {show(out['height'], 'pressure')}: about {show(left, 'pressure')} "
            "should be left at the tap. Much less than that points to a half-closed valve, a clogged screen or a tired regulator"
        )
    return [
        said,
        f"standing, {show(v['standing'], 'pressure')} hold up {show(out['holds_up'], 'length')} of water; each 10 ft of height costs 4 psi (30 kPa)",
    ]


WORKINGS = [
    Calculator(
        name="pipe-pressure",
        title="Pressure that is left at the washer's tap while it fills",
        area="supply",
        inputs=(
            Input(name="standing", measures="pressure", says="nothing running, where the pipe begins"),
            Input(name="flow", measures="flow", says="flow while it fills", default="5 gpm", basis="judgement"),
            Input(
                name="bore",
                measures="length",
                says="inside diameter of the pipe",
                default="0.545 in",
                basis="M: 1/2 in copper type L",
            ),
            Input(
                name="length",
                measures="length",
                says="pipe from there to the washer's tap",
                default="40 ft",
                basis="judgement",
            ),
            Input(
                name="rise",
                measures="length",
                says="the tap above that place; negative: below it",
                default="0 ft",
                basis="same storey",
            ),
            Input(
                name="smoothness",
                measures="number",
                says="Hazen-Williams C: 150 new plastic, 130 or so older pipe",
                default="130",
                basis="judgement; tables take 132 to 150 (S, P)",
            ),
        ),
        outputs=(
            Output(
                name="friction",
                measures="pressure",
                says="lost to the pipe's wall",
                spread=0.2,
                spread_basis="methods and printed tables lie up to 25 in 100 apart",
            ),
            Output(name="height", measures="pressure", says="lost to height"),
            Output(name="left", measures="pressure", says="left at the tap, flowing", bound="upper"),
            Output(name="holds_up", measures="length", says="height of water that the standing pressure holds up"),
        ),
        run=_pipe,
        says=_pipe_says,
        sources=(
            "Hazen-Williams as in Illinois 77-906 (P) and Darcy with Colebrook's factor (D): the larger of the two",
            "1 psi is 2.31 ft of water (D)",
        ),
        rules=("washer-flowing-pressure", "house-pressure", "cold-hose-flow", "hot-hose-flow", "fill-taps-open"),
    ),
]
