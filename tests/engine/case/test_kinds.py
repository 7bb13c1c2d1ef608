"""The kinds of events: every field of the records leads one, or goes with one that does."""

import msgspec
import pytest

from dryfloor.engine.case.events import COMPANIONS, Event
from dryfloor.engine.case.rows import LEADING, LISTS, RowEvent, decode_row, leading

FIELDS = {f.name for f in msgspec.structs.fields(Event)}


def test_every_field_leads_or_goes_with_one_that_does():
    assert len(set(LEADING)) == len(LEADING)
    assert set(LEADING) | {name for goes in COMPANIONS.values() for name in goes} == FIELDS - {
        "at"
    }  # a time goes with all


@pytest.mark.parametrize("name", LEADING)
def test_the_field_that_leads_names_the_kind_with_the_records_and_without(name):
    value = {"role": "desk", "resumed": True}.get(name, ["a"] if name in LISTS else "a")
    event = msgspec.convert({name: value}, Event)
    assert leading(event) == leading(decode_row({name: value})) == name
    with_all = {n: ["a"] for n in COMPANIONS.get(name, ())} | {name: value}
    assert leading(RowEvent(with_all)) == name


def test_hands_alone_are_a_kind_of_their_own():
    assert leading(Event(hands="technician")) == leading(decode_row({"hands": "technician"})) == "hands"
