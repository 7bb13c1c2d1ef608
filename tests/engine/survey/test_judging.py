"""How a reading of a finished installation is accepted: simple acceptance on the kept side, a guard band for hazards."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.measurement.conformity import judge
from dryfloor.engine.survey.judging import accepted
from dryfloor.engine.survey.lines import ORDER


@given(st.floats(0.1, 100), st.floats(0.001, 0.5), st.lists(st.floats(-3, 3), min_size=2, max_size=8))
def test_a_reading_that_moves_inward_is_never_judged_worse(limit, part, steps):
    width = limit * part
    for guarded in (False, True):
        seen = [
            ORDER[accepted(judge(limit, None, limit + s * width, width, guarded), guarded, limit).state]
            for s in sorted(steps)
        ]
        assert seen == sorted(seen)


@given(st.floats(0.1, 100), st.floats(0.001, 0.5), st.floats(0, 3))
def test_on_the_limit_and_inside_it_a_reading_is_within(limit, part, inside):
    width = limit * part
    for low, high, y in ((limit, None, limit + inside * width), (None, limit, limit - inside * width)):
        assert accepted(judge(low, high, y, width), False, limit).state == "within"


@pytest.mark.parametrize(("y", "state"), [(1.0, "within"), (0.99, "too-close"), (0.9, "broken")])
def test_outside_by_less_than_its_give_or_take_it_is_too_close(y, state):
    assert accepted(judge(1.0, None, y, 0.05), False, 1.0).state == state
    assert accepted(judge(None, 1.0, 2 - y, 0.05), False, 1.0).state == state
