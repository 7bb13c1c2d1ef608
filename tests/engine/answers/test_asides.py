"""What a pen adds to an answer: held against lines written down as installers write them."""

import pytest

from dryfloor.engine.answers.asides import passes, says_nothing, unhedged, without_not, without_remark


@pytest.mark.parametrize("said", ["?", "n/a", "N.A.", "-", "\u2014", "not checked", "Don't know", "skip", "unknown"])
def test_a_line_that_says_nothing(said):
    assert says_nothing(said)


@pytest.mark.parametrize("said", ["no", "none", "0", "ok", "not tied", "nothing"])
def test_a_no_is_an_answer(said):
    assert not says_nothing(said)


@pytest.mark.parametrize(
    "said",
    [
        "but the left one weeps",
        "not the hot side",
        "I think",
        "customer says",
        "needs a new washer",
        "slight drip",
        "?",
    ],
)
def test_what_takes_an_answer_back_is_no_remark(said):
    assert not passes(said)


@pytest.mark.parametrize(
    "said", ["checked twice", "see photo", "both sides", "measured from slab", "by hand", "new house"]
)
def test_a_remark_that_takes_nothing_back_is_let_go(said):
    assert passes(said)


def test_hedges_and_nots():
    assert [
        unhedged(t)[1]
        for t in ("about 4 ft", "approx. 4 ft", "~4", "4 ft or so", "4 ft?", "around 31 in", "4 ft", "level")
    ] == [True] * 6 + [False] * 2
    assert without_not("isn't crossed") == "crossed"
    assert without_remark("ok - both of them") == ("ok", "both of them")
