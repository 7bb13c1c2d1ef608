"""A cause tried on many sites: the counts are those of the games, played one by one."""

from statistics import median

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.simulation import attempts
from dryfloor.engine.simulation.attempts import attempt, found
from dryfloor.engine.simulation.episode import Move, Outcome
from dryfloor.engine.simulation.simulator import play
from dryfloor.engine.simulation.world import installation_with


@pytest.fixture(scope="module")
def network(kb):
    return network_of(kb)


def test_the_counts_are_those_of_the_games(network):
    made = attempt(network, ["hose-sealed-in-pipe"], "homeowner", seed=3, count=8)
    games = [
        play(network, installation_with(network, ["hose-sealed-in-pipe"], None, 3 + i), "homeowner") for i in range(8)
    ]
    good = [g for g in games if "hose-sealed-in-pipe" in (*g.found, *g.botched)]
    assert (made.sites, made.found) == (8, len(good))
    assert made.median_minutes == pytest.approx(median(g.minutes for g in good), abs=0.05)
    assert sum(made.by.values()) == len(good)
    assert made.guessed + sum(made.instead.values()) == 8 - len(good)
    assert made == attempt(network, ["hose-sealed-in-pipe"], "homeowner", seed=3, count=8)


def outcome(**more):
    return Outcome(**{"role": "desk", "complaints": ["x"], "causes": ["a"], "origins": ["a"], **more})


def mends(role, cause, kind="remedy"):
    return Move(role=role, kind=kind, id=cause, title="", said="", minutes=1.0, cost=1.0)


GAMES = [
    outcome(found=["a"], minutes=10.0, believed="a", moves=[mends("desk", "b"), mends("technician", "a")]),
    outcome(botched=["a"], minutes=30.0, believed="c", moves=[mends("desk", "a", "book")]),
    outcome(minutes=99.0, believed="b", moves=[mends("desk", "b"), mends("technician", "b")]),
    outcome(minutes=99.0, believed="a"),
    outcome(minutes=99.0, believed=""),
]


def test_what_was_found_guessed_named_instead_and_mended_in_vain(network, monkeypatch):
    games = iter(GAMES)
    monkeypatch.setattr(attempts, "play", lambda *_: next(games))
    monkeypatch.setattr(attempts, "installation_with", lambda *_: None)
    made = attempt(network, ["a"], "desk", count=5)
    assert [found(g) for g in GAMES] == [True, True, False, False, False]
    assert (made.found, made.median_minutes, made.by) == (2, 20.0, {"desk": 1, "technician": 1})
    assert (made.guessed, made.instead, made.in_vain) == (1, {"b": 1, "nothing": 1}, {"b": 2})


def test_nothing_found_has_no_minutes(network, monkeypatch):
    monkeypatch.setattr(attempts, "play", lambda *_: outcome(believed="b"))
    made = attempt(network, ["standpipe-too-low"], "desk", count=3)
    assert (made.found, made.median_minutes, made.by, made.instead) == (0, None, {}, {"b": 3})


def test_sites_that_can_not_be_are_refused(network):
    with pytest.raises(InvalidInputError):
        attempt(network, ["standpipe-too-low", "tub-rim-too-low"], "desk")
