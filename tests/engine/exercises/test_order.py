"""The order of a drill: what can't be followed says why, with what is nearest."""

import pytest

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.exercises.order import Order, check_order, families


@pytest.mark.parametrize(
    ("order", "near"),
    [
        ({"fault": "standpip-too-low"}, "standpipe-too-low"),
        ({"family": "drains"}, "drain"),
        ({"role": "desc"}, "desk"),
        ({"seed": -1}, ""),
        ({"minutes": 0.0}, ""),
        ({"faults": 3}, ""),
        ({"fault": "standpipe-too-low", "faults": 0}, ""),
        ({"fault": "soft-thud-of-valves", "faults": 1}, ""),
        ({"fault": "standpipe-too-low", "family": "power"}, ""),
    ],
)
def test_an_order_that_can_not_be_followed_says_why(kb, order, near):
    with pytest.raises(InvalidInputError) as refused:
        check_order(kb, Order(**order))
    problem = refused.value.problems[0]
    assert problem.code == "D001"
    assert problem.nearest == near
    assert problem.expected
    assert problem.mend


def test_every_mistake_is_told_at_once(kb):
    with pytest.raises(InvalidInputError) as refused:
        check_order(kb, Order(fault="nope", family="drains", minutes=0.0))
    assert len(refused.value.problems) == 3


def test_the_families_are_the_folders_of_the_causes(kb):
    assert families(kb) == ["cold", "drain", "power", "stand", "supply", "use"]
