"""Moves: what the page's form carries is the move that was made."""

import msgspec

from dryfloor.engine.drill.moves import Act


def test_a_move_goes_through_a_form_and_back():
    acts = [Act(kind="check", id="hose-depth"), Act(kind="verdict", id="sound", sentence='All "is" <well>.')]
    sent = msgspec.json.encode(acts)
    assert msgspec.json.decode(sent, type=list[Act]) == acts
    assert b"limit" not in sent  # what was not said takes no room
