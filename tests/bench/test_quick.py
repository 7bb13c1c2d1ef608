"""What of the bench's timings can be tested without a clock: walks, what is typed, the terminal, and what is said of aims."""

import os
import sys

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.case.interpret import interpret
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge.graph import relevant
from dryfloor.engine.simulation.world import installation_with
from tests.bench import processes, quick, timing, walks
from tests.support.places import ROOT

ENVIRON = {"PATH": os.environ["PATH"], "TERM": "xterm"}


def walked(kb, role="technician", complaint="walks"):
    network = network_of(kb)
    installation = installation_with(network, relevant(network.graph, [complaint])[:1], complaint)
    return walks.walk(kb, role, complaint, installation)


def test_a_walk_is_a_case_and_ends(kb):
    done = walked(kb)
    assert [p for e in done.events for p in event_problems(kb, e)] == []
    assert 1 < len(done.times) < walks.MOST_STEPS
    step = advise(kb, done.events).next
    assert step is None or step.kind in ("hand-on", "stop")


def test_what_is_typed_says_the_event_at_its_card(kb):
    """The lines fed to the real program are understood as the events of the walk that they stand for."""
    events = walked(kb).events
    for n in range(2, len(events)):
        advice = advise(kb, events[:n])
        assert advice.card is not None
        said = interpret(kb, advice.card, walks.typed(kb, events[n]), advice.next.proof).event
        assert said is not None
        assert {**structs(said), "word": None} == {**structs(events[n]), "word": None}


def structs(event):
    return {name: getattr(event, name) for name in event.__struct_fields__}


def test_a_program_on_a_terminal_is_timed_to_each_text(tmp_path):
    command = [sys.executable, "-c", "print('one'); input('two> ')"]
    first, second = processes.until(command, ["one", "two>"], ENVIRON, tmp_path)
    assert 0 < first <= second


def test_a_key_is_typed_at_the_last_text_and_timed_to_its_echo(tmp_path):
    command = [sys.executable, "-c", "print('q'); input('two> '); import time; time.sleep(60)"]
    times = processes.until(command, ["q", "two>"], ENVIRON, tmp_path, "q")
    assert len(times) == 3
    assert 0 < times[0] <= times[1] <= times[2] < 60


def test_a_program_that_ends_too_early_is_said_with_its_words(tmp_path):
    with pytest.raises(OSError, match="went wrong"):
        processes.until([sys.executable, "-c", "print('went wrong')"], ["never"], ENVIRON, tmp_path)


@pytest.mark.slow
def test_a_real_walk_takes_every_line(kb, kept_kb, tmp_path):
    """The program itself, from this clone: each line is taken at its own prompt, and its memory is read."""
    from dryfloor.engine.case.case_file import dump, load_case

    events = walked(kb).events[:6]
    root = str(ROOT)
    environ = ENVIRON | {"HOME": str(tmp_path), "PYTHONPATH": root, "DRYFLOOR_CACHE_DIR": str(kept_kb)}
    where = processes.Installed(tmp_path, sys.executable, None, environ, [])
    talk = processes.talk(where, dump(events[:2]), [walks.typed(kb, e) for e in events[2:]])
    assert talk.taken == len(talk.times) == 4
    assert 20 < talk.memory < 2000
    kept = [e for e in load_case(kb, str(tmp_path / "case.yaml")) if not e.resumed]
    lasting = [e for e in events if not e.cleared]  # a cleared gate is in no file
    assert [structs(e) for e in kept[: len(lasting)]] == [structs(e) for e in lasting]


def test_an_aim_is_said_to_be_met_or_missed_with_its_figure():
    part = quick.Part()
    part.aim("as few as", 3.0, 4.0, " x")
    part.aim("as many as", 3.0, 4.0, " x", most=False)
    assert part.notes == ["as few as: 3 x; aim at most 4 x: met.", "as many as: 3 x; aim at least 4 x: MISSED."]
    assert part.data == {"as few as": 3.0, "as many as": 3.0}


def test_figures_of_some_times():
    times = [n / 1000 for n in range(1, 101)]
    assert timing.cells(times[::-1]) == ["51.0 ms", "100 ms", "100 ms", "100"]
    assert timing.figures(times)["worst"] == 0.1
