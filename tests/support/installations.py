"""Sound installations to survey: sheets in tests/sheets, filled up with what the kb asks by now, and readings moved past a limit."""

import math
from typing import NamedTuple

from msgspec.structs import replace

from dryfloor.engine import model
from dryfloor.engine.knowledge.strict_yaml import read
from dryfloor.engine.measurement.quantity import plausible
from dryfloor.engine.measurement.readings import half_width, limits, size_below
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.paper.sheet_reading import sheet_of
from dryfloor.engine.survey.blank_sheet import blank_lines
from dryfloor.engine.survey.practice import replacing, serves
from tests.support.places import SHEETS

NAMES = ("sound", "sound-tub")
USUAL = ("sound", "sound-front", "sound-european")  # a top loader, a front loader, and a site in a 230 V country
# SI units as a person writes them: symbol, and SI to that symbol.
SI = {
    "length": ("m", lambda x: x), "slope": ("%", lambda x: 100 * x), "flow": ("m3/s", lambda x: x), "volume": ("m3", lambda x: x),
    "pressure": ("Pa", lambda x: x), "temperature": ("K", lambda x: x + 273.15), "voltage": ("V", lambda x: x),
    "current": ("A", lambda x: x), "time": ("s", lambda x: x), "age": ("days", lambda x: x / 86400), "turns": ("turns", lambda x: x),
    "mass": ("kg", lambda x: x), "area": ("m2", lambda x: x),
}  # fmt: skip


def written(value: float, measures: str) -> str:
    """Return an SI value as a sheet's text."""
    symbol, of = SI[measures]
    return f"{of(value):.12f} {symbol}"


def sound(kb: model.KB, name: str) -> FilledSheet:
    """Return a sheet of tests/sheets; a line that the kb has gained since is answered as a sound installation would."""
    sheet = sheet_of(kb, read(SHEETS / f"{name}.yaml"))
    missing = {c.id: normal(kb, c) for c in blank_lines(kb, sheet.hands, sheet.facts) if c.id not in sheet.readings}
    return replace(sheet, readings={**sheet.readings, **missing})


def normal(kb: model.KB, check: model.Check) -> str:
    """Return the normal answer of a look, or a reading well inside the limits of a measurement."""
    if check.kind != "measure":
        return list(check.answers)[-1]
    rule = kb.rules[check.rule or ""]
    (low, high), (first, last) = limits(rule), plausible(rule.plausible or "", rule.measures)
    inside = (low if low is not None else max(first, 0.0), high if high is not None else last)
    return written(sum(inside) / 2, rule.measures)


class Move(NamedTuple):
    """A reading moved past one limit by three standard uncertainties."""

    sheet: str
    check: str
    rule: str
    side: str
    said: str


def moves(kb: model.KB, name: str) -> list[Move]:
    """Return every reading of a sound sheet moved past each of its limits, one at a time."""
    filled = sound(kb, name)
    replaced = replacing(kb, filled.facts)
    out = []
    for check in filled.readings:
        rule = serves(kb, kb.checks[check], filled.facts, replaced)
        if kb.checks[check].kind != "measure" or rule is None:
            continue
        u = half_width(kb, kb.checks[check], filled.hands) / math.sqrt(3)
        for side, limit, sign in zip(("below", "above"), limits(rule), (-1, 1), strict=True):
            moved = (limit or 0.0) + sign * 3 * u
            if side == "below" and (made := size_below(rule)) is not None:
                moved = min(moved, made)  # of what comes in sizes none lies between
            if limit is not None and side != rule.stand_in and (moved >= 0 or rule.measures != "length"):
                out.append(Move(name, check, rule.id, side, written(moved, rule.measures)))
    return out
