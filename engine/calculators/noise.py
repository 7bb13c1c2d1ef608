"""Working of sound: what a change between two readings at one place is worth."""

from ..physics.stand.noise import PHONE_GIVE_OR_TAKE_dB, add_levels_dB, without_room_dB
from .calculator import Calculator, Input, Output

Values = dict[str, float]
Given = dict[str, float | None]
NEAR = 3.0  # dB between reading and room under which the room speaks as loudly as the machine (D)


def _change(v: Values) -> Given:
    before, after = (without_room_dB(v[k], v["room"]) for k in ("before", "after"))
    return {"change": after - before, "both": add_levels_dB(v["before"], v["after"])}


def _change_says(v: Values, out: Given) -> list[str]:
    change = out["change"] or 0.0
    word = "quieter" if change < 0 else "louder"
    said = [
        f"with the room's own sound taken out it is {abs(change):.0f} dB {word}: "
        + (
            "more than one phone at one place is off by"
            if abs(change) > PHONE_GIVE_OR_TAKE_dB
            else f"within the {PHONE_GIVE_OR_TAKE_dB:.0f} dB that a phone may be off by (from memory, unverified), so no change is shown; listen, and feel the wall"
        ),
        "compare one place, one programme and one load; a level in a room is no measure of a machine. Twice the shaking force is 6 dB more (D)",
    ]
    if min(v["before"], v["after"]) - v["room"] < NEAR:
        said.insert(1, "the room is nearly as loud as the machine: read again when it is quiet")
    return said


WORKINGS = [
    Calculator(
        name="sound-change",
        title="Whether a machine got quieter",
        area="stand",
        inputs=(
            Input(name="before", measures="number", says="level before, dB"),
            Input(name="after", measures="number", says="level after, same place, dB"),
            Input(
                name="room",
                measures="number",
                says="level at that place with the machine still, dB",
                default="40",
                basis="judgement: a quiet room",
            ),
        ),
        outputs=(
            Output(name="change", measures="number", says="change without the room's own sound, dB; minus is quieter"),
            Output(name="both", measures="number", says="two such sounds together, dB"),
        ),
        run=_change,
        says=_change_says,
        sources=(
            "levels add as a hearing-protection guide (S) and a Hong Kong EPD memorandum, T4 (P), have it",
            "phone meters: M, from memory, unverified",
        ),
        rules=("cabinet-clear", "nothing-loose-on-washer", "hoses-hang-free"),
    ),
]
