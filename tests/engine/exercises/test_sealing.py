"""Codes: they stand for one order, show nothing of it, and notice a slip."""

import itertools

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.exercises.order import MOST_SEED, Order, families
from dryfloor.engine.exercises.sealing import opened, seal
from tests.support.shipped import shipped

KB = shipped()
FAULTS = sorted(c.id for c in KB.causes.values() if c.kind != "normal")
ORDERS = st.builds(
    Order,
    seed=st.integers(0, MOST_SEED),
    fault=st.sampled_from(["", *FAULTS]),
    role=st.sampled_from(["homeowner", "desk", "technician"]),
    minutes=st.integers(10, 2400).map(lambda n: n / 10),
    faults=st.sampled_from([None, 1, 2]),
)


@given(ORDERS)
def test_a_code_opens_to_its_order(order):
    code = seal(KB, order)
    assert opened(KB, code) == (order, True)
    assert opened(KB, code.lower().replace("-", " ")) == (order, True)


@given(ORDERS, st.integers(0, 23), st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"))
def test_a_slip_is_noticed(order, at, letter):
    text = seal(KB, order).replace("-", "")
    slipped = text[:at] + letter + text[at + 1 :]
    if slipped != text and at != 23:  # the last letter has bits to spare, which say nothing
        with pytest.raises(InvalidInputError):
            opened(KB, slipped)


def test_a_code_shows_neither_the_fault_nor_that_one_was_named():
    codes = {seal(KB, Order(seed=1, fault=f)) for f in FAULTS} | {seal(KB, Order(seed=1))}
    assert len(codes) == len(FAULTS) + 1
    assert len({len(c) for c in codes}) == 1
    # Two codes of one seed with two faults have no more letters in common than any two: 1 in 32.
    pairs = [
        (seal(KB, Order(seed=1, fault=a)), seal(KB, Order(seed=1, fault=b))) for a, b in itertools.pairwise(FAULTS)
    ]
    alike = sum(x == y != "-" for one, other in pairs for x, y in zip(one, other, strict=True))
    assert alike / (24 * len(pairs)) < 0.08
    # Neighbouring seeds begin unlike each other: nothing can be read off.
    assert len({seal(KB, Order(seed=s))[:4] for s in range(30)}) > 25


def test_families_are_kept():
    for family in families(KB):
        assert opened(KB, seal(KB, Order(seed=2, family=family)))[0].family == family


@pytest.mark.parametrize("code", ["", "ABCD", "----", "é" * 24, "A" * 24, "A" * 25, "0" * 24, "\x00" * 24])
def test_what_is_no_code_is_refused(code):
    with pytest.raises(InvalidInputError) as refused:
        opened(KB, code)
    assert refused.value.problems[0].code == "D003"


def test_another_kb_is_noticed():
    code = seal(KB, Order(seed=1, fault="foot-unloaded"))
    other = msgspec.structs.replace(KB, rules={k: v for k, v in KB.rules.items() if k != "standpipe-bore"})
    assert opened(other, code)[1] is False
    without = msgspec.structs.replace(KB, causes={k: v for k, v in KB.causes.items() if k != "foot-unloaded"})
    with pytest.raises(InvalidInputError) as refused:
        opened(without, code)
    assert refused.value.problems[0].code == "D004"
