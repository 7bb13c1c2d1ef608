"""What wirings show: the table written out by hand from the reference rows (S, D), and that nothing is left out."""

from itertools import product

import pytest

from dryfloor.engine.physics.power import wiring

IDS = {fault.id for fault in wiring.WIRINGS}


HOT_IN_GROUND_OR_NEUTRAL = {"hot-ground-reversed", "neutral-hole-on-hot", "moved-round-hot-to-ground"}
VOLTS = {"h": 1, "k": -1, "n": 0, "g": 0}


def mistakes(joined):
    """How many holes are wrong; wires that changed places are one mistake. Written apart from the engine's enumeration."""
    wrong = sum(wire != right for wire, right in zip(joined, "hng", strict=True))
    return min(wrong, 1) if sorted(joined) == sorted("hng") else wrong


def ids(pattern, load="unknown", loz=False):
    return {fault.id for fault in wiring.fitting(pattern, load, loz)}


@pytest.mark.parametrize(
    ("pattern", "load", "loz", "expected"),
    [
        (
            "LLZ",
            "unknown",
            False,
            {
                "correct",
                "neutral-ground-swapped",
                "bootleg-ground",
                "neutral-hole-on-ground",
                "reversed-bootleg-ground",
            },
        ),
        ("LFF", "none", False, {"open-ground", "reversed-open-ground"}),
        ("LZZ", "none", True, {"open-ground", "reversed-open-ground"}),
        ("FLF", "none", False, {"open-neutral"}),
        ("ZLZ", "none", True, {"open-neutral"}),
        ("ZLL", "unknown", False, {"open-neutral", *HOT_IN_GROUND_OR_NEUTRAL}),
        ("ZLL", "here", False, {"open-neutral", *HOT_IN_GROUND_OR_NEUTRAL}),
        ("ZLL", "elsewhere", False, {"open-neutral", *HOT_IN_GROUND_OR_NEUTRAL}),
        ("ZLL", "none", False, HOT_IN_GROUND_OR_NEUTRAL),
        ("ZZZ", "none", False, {"open-hot", "open-neutral-and-ground", "hot-hole-on-neutral", "hot-hole-on-ground"}),
        ("LZL", "unknown", False, {"hot-neutral-reversed", "ground-hole-on-hot", "moved-round-hot-to-neutral"}),
        ("LHL", "unknown", False, {"supply-too-high", "ground-hole-on-other-hot"}),
        ("FFZ", "none", False, {"open-neutral-and-ground", "supply-too-low"}),
        ("FFZ", "here", True, {"weak-hot", "supply-too-low"}),
        ("ZFF", "here", False, {"open-neutral-and-ground"}),
        ("LLF", "here", True, {"weak-neutral"}),
        ("FLF", "elsewhere", False, {"open-neutral", "weak-neutral"}),
        ("LLF", "none", False, {"open-ground", "reversed-open-ground", "open-neutral"}),  # a wire floats near earth
        ("FLL", "none", False, {"open-neutral"}),
        ("HLL", "none", False, {"supply-too-high", "neutral-hole-on-other-hot"}),
        ("HHZ", "none", False, {"supply-too-high"}),
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


def test_every_single_mistake_at_three_wires_is_listed():
    joined = ["".join(wires) for wires in product("hkng-", repeat=3)]
    one = {j for j in joined if mistakes(j) == 1} - {"kng"}  # a hot hole on another hot wire is as good as right
    listed = [fault.joined for fault in wiring.WIRINGS]
    assert len(one) == 16
    assert one <= set(listed)
    assert len(listed) == len(set(listed))
    assert set(listed) - one == {"hng", "nhh", "nh-", "h--"}


@pytest.mark.parametrize("pattern", ["".join(letters) for letters in product("ZLH", repeat=3)])
def test_what_fits_a_pattern_is_just_what_potentials_give(pattern):
    """D: of the wirings in which nothing floats, those whose potential differences are the pattern's, and no other."""
    whole = {fault.id: fault.joined for fault in wiring.WIRINGS if "-" not in fault.joined}
    expected = set()
    for name, joined in whole.items():
        hot, neutral, ground = (VOLTS[wire] for wire in joined)
        if "".join("ZLH"[abs(v)] for v in (hot - neutral, hot - ground, neutral - ground)) == pattern:
            expected.add(name)
    assert ids(pattern, "none") & set(whole) == expected


@pytest.mark.parametrize("pattern", ["LLZ", "LZL", "ZLL", "ZZZ"])
def test_no_three_readings_prove_that_metal_is_not_live(pattern):
    """D: holes are compared with each other; hot for neutral everywhere reads the same."""
    shows = [
        j for j in product("hng", repeat=3) if "".join(map("".join, wiring.classes("".join(j), False, True))) == pattern
    ]
    assert any(j[2] == "h" for j in shows)
    assert any(j[2] != "h" for j in shows)


def test_readings_that_no_single_supply_can_give_fit_nothing():
    assert ids("LLL") == set()
    assert ids("ZZL") == set()


def test_ids_are_unique_and_live_metal_is_said():
    assert len(IDS) == len(wiring.WIRINGS)
    for fault in wiring.WIRINGS:
        assert ("live" in fault.says) == (fault.joined[2] in "hk") == fault.live_metal


def test_impossible_inputs_are_refused():
    with pytest.raises(ValueError, match="expected three letters out of Z, F, L, H"):
        wiring.fitting("LLX")
    with pytest.raises(ValueError, match="expected one of none, here, elsewhere, unknown"):
        wiring.fitting("LLZ", "some")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="joined: found 'hn', expected three letters out of h k n g -"):
        wiring.classes("hn", tied=False, loz=False)
