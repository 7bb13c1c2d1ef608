"""A round is a fold over its moves: the same moves are the same round, and what is no move is refused."""

import pytest

from dryfloor.engine.drill.moves import Act
from tests.support.drills import begun


def test_the_same_moves_are_the_same_round(kb):
    acts = [Act(kind="safe", id="water-near-electricity"), Act(kind="check", id="standpipe-height"), Act(kind="leave")]
    one, other = begun(kb), begun(kb)
    assert [one.do(a) for a in acts] == [other.do(a) for a in acts]
    assert one.cost() == other.cost()


@pytest.mark.parametrize(
    "act",
    [Act(kind="check", id="nope"), Act(kind="safe", id="nope"), Act(kind="verdict", id="x"), Act(kind="fact")],
)
def test_an_id_that_is_not_of_the_kb_is_refused_and_not_counted(kb, act):
    game = begun(kb)
    with pytest.raises(ValueError, match="no "):
        game.do(act)
    assert game.acts == []
