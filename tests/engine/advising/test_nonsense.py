"""Nothing is asked that what was said makes senseless, wherever a walk goes on from there."""

import pytest
import yaml

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from tests.households.player import sound
from tests.support.places import ROOT
from tests.support.shipped import shipped

KB = shipped()
LINES = yaml.safe_load((ROOT / "tests/nonsense.yaml").read_text("utf-8"))
CARDS = 6
QUICK = 3  # parts of eight in the quick run


def begun(line, role):
    """The case of a line; where it names no complaint, the first that a cause of its question shows."""
    said = line["said"]
    complaints = said.get("complaints") or ["water-on-floor"]
    events = [Event(role=role), Event(complaints=complaints)]
    events += [Event(cleared=h) for h, r in KB.hazards.items() if r.gate]
    events += [Event(fact=f, is_=o) for f, o in said.get("facts", {}).items()]
    for check, answer in said.get("answers", {}).items():
        measured = KB.checks[check].kind == "measure"
        events.append(Event(check=check, value=answer) if measured else Event(check=check, answer=answer))
    return events


def offered(events):
    """All questions that may come next."""
    problem = Analysis(network_of(KB), fold(KB, events)).decision_problem
    return {t.id.partition(":")[2] for t in problem.tests}


def test_there_are_many_of_every_complaint():
    assert len(LINES) >= 80
    assert {c for line in LINES for c in line["said"].get("complaints", [])} == {*KB.complaints}
    assert {n for line in LINES for n in line["never"]} <= {*KB.checks, *KB.facts}
    assert all(len(line["because"]) > 15 for line in LINES)


@pytest.mark.parametrize("role", ["homeowner", pytest.param("technician", marks=pytest.mark.slow)])
@pytest.mark.parametrize("part", [p if p < QUICK else pytest.param(p, marks=pytest.mark.slow) for p in range(8)])
def test_none_of_it_may_come_next(part, role):
    wrong = []
    for line in LINES[part::8]:
        silly = offered(begun(line, role)) & {*line["never"]}
        wrong += [(line["said"], sorted(silly))] if silly else []
    assert wrong == []


@pytest.mark.parametrize("part", [p if p < 1 else pytest.param(p, marks=pytest.mark.slow) for p in range(16)])
def test_none_of_it_comes_on_the_way(part):
    """Some cards further on, all else being sound: a look that another waits for is no way round it."""
    for line in LINES[part::16]:
        events = begun(line, "homeowner")
        for _ in range(CARDS):
            step = advise(KB, events).next
            if step is None or step.kind not in ("fact", "check", "gate") or step.id == "complaint":
                break
            assert step.id not in line["never"], line["said"]
            if step.kind == "gate":
                events.append(Event(cleared=step.id))
            elif step.kind == "fact":
                events.append(Event(skip=step.id))
            elif KB.checks[step.id].kind == "measure":
                events.append(Event(check=step.id, value=sound(KB, step.id)))
            else:
                events.append(Event(check=step.id, answer=sound(KB, step.id)))


def test_a_mend_makes_what_was_senseless_worth_asking_again():
    dead = [Event(role="homeowner"), Event(complaints=["no-power"]), Event(check="washer-shows-life", answer="no-life")]
    network = network_of(KB)
    from dryfloor.engine.planning.roles import senseless

    assert senseless(network, fold(KB, dead), KB.checks["key-lock-sign"])
    mended = [*dead, Event(remedy="upstream-device-off", did="done")]
    assert not senseless(network, fold(KB, mended), KB.checks["key-lock-sign"])
    also_noisy = [*dead, Event(complaints=["noisy"])]
    assert not senseless(network, fold(KB, also_noisy), KB.checks["noise-kind"])
