"""A cause's lines from answers to the signs that those answers report: the script's part of moving a kb folder over."""

import re

from msgspec import Struct

from .. import model
from .graph import strength

SLUG = "[a-z0-9-]+"
ANSWER = re.compile(rf"^(\s*- )\{{check: ({SLUG}), answer: ({SLUG}), strength: (.+)\}}(\s*(?:#.*)?)$")
SIGN = re.compile(rf"^(\s*- )\{{sign: ({SLUG}), strength: (.+)\}}(\s*(?:#.*)?)$")
NUMBER = re.compile(r"^\{n: ([0-9.]+),")


class Moved(Struct, frozen=True):
    """What became of one file: its new text, how many lines name a sign now, and how many were one with another."""

    text: str
    named: int = 0
    merged: int = 0


def moved(kb: model.KB, text: str) -> Moved:
    """Return a cause's file with its answers that report a sign named as that sign, each sign once with its greatest strength.

    Parameters
    ----------
    kb : KB
        Whose checks say which answer reports which sign.
    text : str
        The file. Lines that are written otherwise than `- {check: id, answer: id, strength: ...}` stay: they are read as
        showing the sign as well.

    Examples
    --------
    >>> from .load import load_kb
    >>> moved(load_kb(), "shows:\\n  - {complaint: walks, strength: likely}\\n").named
    0
    """
    place: dict[str, int] = {}
    lines: list[str] = []
    named = merged = 0
    for line in text.split("\n"):
        found, given = ANSWER.match(line), SIGN.match(line)
        sign = _reported(kb, found[2], found[3]) if found else given[2] if given else None
        if sign is None:
            lines.append(line)
            continue
        mark, said, rest = (
            (found[1], found[4], found[5]) if found else (given[1], given[3], given[4]) if given else ("", "", "")
        )
        named += bool(found)
        if sign not in place:
            place[sign] = len(lines)
            lines.append(f"{mark}{{sign: {sign}, strength: {said}}}{rest}")
            continue
        merged += 1
        other = SIGN.match(lines[place[sign]])
        if other and _value(kb, said) > _value(kb, other[3]):
            lines[place[sign]] = f"{mark}{{sign: {sign}, strength: {said}}}{rest}"
    return Moved("\n".join(lines), named, merged)


def _reported(kb: model.KB, check: str, answer: str) -> str | None:
    """Return the sign that an answer reports, or None where it reports none, or there is no such answer."""
    record = kb.checks.get(check)
    return record.answers[answer].sign if record and answer in record.answers else None


def _value(kb: model.KB, said: str) -> float:
    number = NUMBER.match(said)
    return float(number[1]) if number else strength(kb, said)
