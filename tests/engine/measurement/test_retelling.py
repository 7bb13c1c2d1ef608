"""Prose for a reader of SI: every value of the kb's own texts against pint, names of sizes left alone, and nothing told twice."""

import re
from fractions import Fraction

import pytest
from msgspec import Struct

from dryfloor.engine.measurement import retelling
from dryfloor.engine.measurement.formatting import READER
from dryfloor.engine.measurement.retelling import for_reader, retold
from tests.support.pint_units import registry

OURS = {
    "in": "inch", "ft": "foot", "gal": "gallon", "gallons": "gallon", "gpm": "gallon/minute", "psi": "psi", "lb": "pound", "sq in": "inch**2",
    "sq ft": "foot**2", "fl oz": "floz", "tbsp": "tablespoon", "inch": "inch", "inches": "inch", "feet": "foot", "foot": "foot", "in/ft": "inch/foot",
    "°F": "degF", "F": "degF", "°C": "degC", "cm": "cm", "mm": "mm", "m": "m", "L": "L", "mL": "mL", "L/min": "L/min", "kPa": "kPa", "kg": "kg", "cm2": "cm**2",
    "m2": "m**2", "mm/m": "mm/m", "gallons an hour": "gallon/hour", "pounds": "pound", "g": "g",
}  # fmt: skip


@pytest.fixture
def reader():
    """A function that says whose units come first, for this test alone."""
    token = READER.set("both")
    yield READER.set
    READER.reset(token)


def prose(value, path=()):
    """All texts of a record with where they stand."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, list | tuple):
        for one in value:
            yield from prose(one, path)
    elif isinstance(value, dict):
        for one in value.values():
            yield from prose(one, path)
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            yield from prose(getattr(value, name), (*path, name))


def amount(number):
    found = float(sum(Fraction(part.replace(",", "")) for part in number.removeprefix("-").split()))
    return -found if number.startswith("-") else found


def test_each_value_of_the_kb_is_what_pint_makes_of_it(kb, reader):
    reader("si-first")
    told = 0
    for records in (kb.checks, kb.causes, kb.hazards, kb.facts, kb.rules, kb.parts):
        for path, text in (found for record in records.values() for found in prose(record)):
            if {"cases", "hear", "give_or_take"} & {*path}:
                continue
            for match in retelling._VALUE.finditer(text):
                got = retelling._told(match)
                if got == match.group() or match["run"]:
                    continue
                si, symbol = re.match(r"(.*?) ([^\d\s]\S*) \(", got).groups()
                numbers = re.findall(r"-?[\d.]+", si.replace("-", " ") if match["to"] == "-" else si)
                for ours, theirs in zip(numbers, [n for n in (match["low"], match["value"]) if n], strict=True):
                    value = registry().Quantity(amount(theirs), OURS[match["unit"]]).to(OURS[symbol]).magnitude
                    assert float(ours) == pytest.approx(value, rel=0.02, abs=0.06 if abs(value) < 10 else 0.5), (
                        text,
                        got,
                    )
                    told += 1
    assert told > 100


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("It explains what you see 99 in 100.", ""),
        ("A 2 in pipe with a 1 1/2 in trap, 3/4 in hose thread, 1/2 in copper", ""),
        ("99 cm (39 in), 39 in (99 cm), 80 psi (5.5 bar)", ""),
        ("24 x 20 x 14 in", ""),
        ("IPC Table 909.1 (906.1 in older editions), 2 in the pipe, 3 in each", ""),
        ("0 feet if it hasn't moved", ""),
        ("at most 8 in down", "at most 20 cm (8 in) down"),
        ("39 to 96 in above", "99 to 244 cm (39 to 96 in) above"),
        ("3 to 4 in", "7.6 to 10 cm (3 to 4 in)"),
        ("110 °F or more", "43 °C (110 °F) or more"),
        ("like 1/4 in then 1/8 in over 2 ft;", "like 10 mm/m then 5.2 mm/m (1/4 in then 1/8 in over 2 ft);"),
        ("40 % -5 F, 30 % 9 F, below 32 F", "40 % -21 °C (-5 F), 30 % -13 °C (9 F), below 0 °C (32 F)"),
        ("about 15 gal.", "about 57 L (15 gal)."),
        ("a 10-foot cord", "a 3.05 m (10-foot) cord"),
    ],
)
def test_what_is_a_value_and_what_is_not(reader, text, si):
    reader("si-first")
    assert retold(text) == (si or text)
    assert retold(retold(text)) == retold(text)
    reader("si")
    if si:
        assert "(" not in retold(text)
    for usual in ("both", "us"):
        reader(usual)
        assert retold(text) == text


class Told(Struct, frozen=True):
    id: str
    said: str
    text: str
    notes: list[str]
    more: "list[Told]"
    count: int = 3


def test_what_was_typed_stays_as_it_was(reader):
    inner = Told("8 in", "8 in", "at 8 in", [], [])
    record = Told("8 in", "8 in", "at 8 in", ["8 in"], [inner])
    assert for_reader(record) is record
    reader("si-first")
    made = for_reader(record)
    assert (made.id, made.said, made.notes, made.count) == ("8 in", "8 in", ["8 in"], 3)
    assert (made.text, made.more[0].text, made.more[0].said) == ("at 20 cm (8 in)", "at 20 cm (8 in)", "8 in")
