"""What a customer declined, by the sheet: a mend, a look, or what nobody may decline."""

from typing import Literal

from msgspec import Struct

from .. import model
from ..paper.filled_sheet import FilledSheet
from .findings import Defect


class Declined(Struct, frozen=True, kw_only=True):
    """A line that says declined: a `mend` that is not made, a `look` that is not taken, or what `stays` to be done all the same, and why."""

    check: str
    title: str
    said: str
    kind: Literal["mend", "look", "stays"]
    text: str


STAYS = "it can't be declined and stays to be done"


def declined(kb: model.KB, filled: FilledSheet, found: list[Defect]) -> list[Declined]:
    """Return what the lines of a sheet that say declined come to, in the order of the sheet.

    Parameters
    ----------
    kb : KB
    filled : FilledSheet
    found : list of Defect
        What is broken on it.
    """
    return [_of(kb, filled, name, next((f for f in found if f.check == name), None)) for name in filled.declined]


def _of(kb: model.KB, filled: FilledSheet, name: str, found: Defect | None) -> Declined:
    check = kb.checks[name]
    said = found.said if found else filled.readings.get(name, "")
    said = check.answers[said].says if said in check.answers else said
    kind: Literal["mend", "look", "stays"] = "stays"
    if found and found.declined:
        kind, text = "mend", f"{said}. {found.mend.title}, by {found.mend.by_text}"
    elif found and found.meanwhile:
        text = f"{said}. A limit that guards against a danger is not kept: {STAYS}"
    elif found and found.danger:
        text = f"{said}. {found.danger} {STAYS[0].upper()}{STAYS[1:]}"
    elif found:
        text = f"{said}. It is for {found.mend.by_text} to put right: {STAYS}"
    elif name in filled.readings:
        kind, text = "look", said
    elif check.on_sheet and check.on_sheet.must_see:
        text = "nobody leaves without it, so it can't be declined"
    else:
        kind, text = "look", "not looked at"
    return Declined(check=name, title=check.title, said=said, kind=kind, text=text)
