"""Checksums: any change of a few bytes in a row, of its kind or its order is told, and what is whole is never doubted."""

import zlib

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.store.database.checksums import chain, checksum, seal, sound, text
from dryfloor.cli.store.store import Store
from tests.support.stored import EVENTS

values = st.one_of(st.text(), st.integers(-(2**63), 2**63 - 1), st.none(), st.binary(), st.floats(allow_nan=False))
bodies = st.lists(st.text(max_size=8), max_size=8)


def rows(said):
    """Rows of a case as they are written, and the checksum of the last."""
    out, last = [], 0
    for body in said:
        out.append((last, "K7M3R4", body, checksum(last, "K7M3R4", body)))
        last = out[-1][3]
    return out, last


def test_it_is_the_crc_of_the_standard_library_over_each_value_with_its_kind_and_length():
    assert checksum("né", 7) == zlib.crc32(b"str 3 n\xc3\xa9int 1 7")


@given(st.lists(values, max_size=5), values)
def test_a_row_of_another_value_has_another_checksum(row, other):
    kept = (*row, checksum(*row))
    assert sound(kept)
    assert sound((*row, other, kept[-1])) is False
    for at, value in enumerate(row):
        if type(value) is not type(other) or value != other:
            assert not sound((*row[:at], other, *row[at + 1 :], kept[-1]))


@given(st.binary(min_size=1, max_size=60), st.data())
def test_up_to_four_bytes_in_a_row_that_changed_are_always_told(raw, data):
    """The property for which CRC-32 is known: every burst of at most 32 bits (from memory, unverified)."""
    at = data.draw(st.integers(0, len(raw) - 1))
    width = min(4, len(raw) - at)
    new = data.draw(st.binary(min_size=width, max_size=width))
    changed = raw[:at] + new + raw[at + width :]
    assert sound((changed, checksum(raw))) == (changed == raw)


@given(bodies)
def test_a_whole_chain_is_good(said):
    found = chain(*rows(said))
    assert [(row.body, row.good) for row in found] == [(body, True) for body in said]


@given(bodies.filter(bool), st.data())
def test_a_row_that_is_gone_or_out_of_its_place_is_told(said, data):
    whole, last = rows(said)
    at = data.draw(st.integers(0, len(whole) - 1))
    without = chain(whole[:at] + whole[at + 1 :], last)
    assert [row.body for row in without if not row.good] == [None]
    assert [row.body for row in without if row.good] == said[:at] + said[at + 1 :]
    if at:
        moved = [*whole[: at - 1], whole[at], whole[at - 1], *whole[at + 1 :]]
        assert not all(row.good for row in chain(moved, last))


@given(bodies.filter(bool), st.data(), st.integers(0, 3))
def test_one_damaged_row_takes_no_other_with_it(said, data, column):
    whole, last = rows(said)
    at = data.draw(st.integers(0, len(whole) - 1))
    row = list(whole[at])
    row[column] = row[column] + 1 if isinstance(row[column], int) else row[column] + "x"
    found = chain([*whole[:at], tuple(row), *whole[at + 1 :]], last)
    assert [r.good for r in found] == [n != at for n in range(len(said))]


def test_bytes_that_are_no_text_stay_bytes():
    assert (text(b"\xc3\xa9"), text(b"\xff")) == ("é", b"\xff")


def test_sealing_a_store_that_is_whole_changes_nothing():
    with Store.open(":memory:") as store:
        for name in ("Alder 4", ""):
            # As a version wrote it that knew of no times.
            case = store.begin(name)
            for event in EVENTS:
                store._row(case, msgspec.json.encode(event).decode(), None)
            store.link(case)
            store.hold(case)
        before = [*store._db._db.iterdump()]
        assert store.verify() == (2, 2 * len(EVENTS), [])
        seal(store._db)
        assert [*store._db._db.iterdump()] == before
