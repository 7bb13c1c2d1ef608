"""Rounds of a drill, begun and played for tests."""

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise


def begun(kb, **order):
    network = network_of(kb)
    return Round(network, exercise(network, Order(**{"seed": 3, "fault": "standpipe-too-low"} | order)))


def safe(game, *gates):
    for gate in gates:
        game.do(Act(kind="safe", id=gate))
    return game


def mended(game, fault, **more):
    """Do all that the mend of a fault waits for, and give the verdict."""
    act = Act(kind="verdict", id=fault, **more)
    safe(game, *game.mend_gates(act))
    return game.do(act)
