"""An attempt: what is known at the door, and what is left of its minutes."""

import pytest

from dryfloor.engine.drill.moves import Act
from tests.support.drills import begun


def test_at_the_door_the_role_the_complaints_and_what_is_told_are_known_and_nothing_is_paid(kb):
    game = begun(kb)
    assert game.standing == ["siphons"]
    seen = {"machine", "dryer-beside", "raised", "drain"}
    assert {*dict(game.state.facts)} == {*seen, "supply-system", "plumbing-code", "code-edition", "building-code"}
    assert (game.looked, game.left, game.ended) == (0.0, 30.0, "")


def test_what_is_left_is_what_was_not_looked_and_never_less_than_nothing(kb):
    game = begun(kb, minutes=1.0)
    for fact in ("floor", "place", "tenure", "onset", "recent-frost", "rhythm", "water-source"):
        game.do(Act(kind="fact", id=fact))
        assert game.left == pytest.approx(max(0.0, 1.0 - game.looked))
    assert game.left < 0.3
    assert game.looked <= 1.0
