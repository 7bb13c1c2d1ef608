"""What wirings show: the table written out by hand from the reference rows (S, D), and that nothing is left out."""

from itertools import product

import pytest

from dryfloor.engine.physics.power import wiring

IDS = {fault.id for fault in wiring.WIRINGS}


def ids(pattern, load="unknown", loz=False):
    return {fault.id for fault in wiring.fitting(pattern, load, loz)}


@pytest.mark.parametrize(
    ("pattern", "load", "loz", "expected"),
    [
        ("LLZ", "unknown", False, {"correct", "neutral-ground-swapped", "bootleg-ground", "reversed-bootleg-ground"}),
        ("LFF", "none", False, {"open-ground", "reversed-open-ground"}),
        ("LZZ", "none", True, {"open-ground", "reversed-open-ground"}),
        ("FLF", "none", False, {"open-neutral"}),
        ("ZLZ", "none", True, {"open-neutral"}),
        ("ZLL", "unknown", False, {"open-neutral", "hot-ground-reversed"}),
        ("ZLL", "here", False, {"open-neutral", "hot-ground-reversed"}),
        ("ZLL", "elsewhere", False, {"open-neutral", "hot-ground-reversed"}),
        ("ZLL", "none", False, {"hot-ground-reversed"}),
        ("ZZZ", "none", False, {"open-hot", "open-neutral-and-ground"}),
        ("LZL", "unknown", False, {"hot-neutral-reversed"}),
        ("FFZ", "none", False, {"open-neutral-and-ground", "supply-too-low"}),
        ("FFZ", "here", True, {"weak-hot", "supply-too-low"}),
        ("ZFF", "here", False, {"open-neutral-and-ground"}),
        ("LLF", "here", True, {"weak-neutral"}),
        ("FLF", "elsewhere", False, {"open-neutral", "weak-neutral"}),
        ("LLF", "none", False, {"open-ground", "reversed-open-ground", "open-neutral"}),  # a wire floats near earth
        ("FLL", "none", False, {"open-neutral"}),
        ("HLL", "none", False, {"supply-too-high"}),
    ],
)
def test_patterns(pattern, load, loz, expected):
    assert ids(pattern, load, loz) == expected


def test_the_likelier_comes_first():
    assert wiring.fitting("ZLL")[0].id == "open-neutral"  # pages call it far likelier (S)
    assert wiring.fitting("LLZ")[0].id == "correct"


def test_every_wiring_is_found_by_what_it_shows():
    for fault in wiring.WIRINGS:
        for tied, loz in product((False, True), (False, True)):
            for letters in product(*wiring.classes(fault.joined, tied, loz)):
                assert fault.id in ids("".join(letters), "here" if tied else "none", loz), (fault.id, letters)


def test_readings_that_no_single_supply_can_give_fit_nothing():
    assert ids("LLL") == set()
    assert ids("ZZL") == set()


def test_ids_are_unique_and_live_metal_is_said():
    assert len(IDS) == len(wiring.WIRINGS)
    for fault in wiring.WIRINGS:
        assert ("live" in fault.says) == (fault.joined[2] == "h")


def test_impossible_inputs_are_refused():
    with pytest.raises(ValueError, match="expected three letters out of Z, F, L, H"):
        wiring.fitting("LLX")
    with pytest.raises(ValueError, match="expected one of none, here, elsewhere, unknown"):
        wiring.fitting("LLZ", "some")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="joined: found 'hn'"):
        wiring.classes("hn", tied=False, loz=False)
