"""What is told at the door: every gate of what they complain of has its sign there, and it says nothing of whether it is safe."""

from dryfloor.engine.case.events import Event
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.at_the_door import BY_A_SINK, at_door, sign, told_of
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise, given
from tests.support.drills import begun, safe


def places(kb, seeds):
    network = network_of(kb)
    return network, [exercise(network, Order(seed=s)) for s in seeds]


def test_every_gate_of_every_complaint_has_a_sign(kb):
    assert [(c.id, g) for c in kb.complaints.values() for g in c.gates if not sign(c.id, g)] == []


def test_every_gate_that_a_check_or_a_mend_meets_is_told_of_by_the_place_or_by_the_step(kb):
    _, made = places(kb, range(12))
    for place in made:
        for hazard in kb.hazards.values():
            met = any(hazard.id in c.hazards for c in kb.checks.values())
            met = met or any(hazard.id in c.remedy.hazards for c in kb.causes.values())
            if hazard.gate and met:
                assert told_of(kb, place, list(place.site.origins), hazard.id), hazard.id


def test_what_anybody_sees_is_told_without_asking_and_costs_nothing(kb):
    network, made = places(kb, range(40))
    for place in made:
        game = Round(network, place)
        told = given(kb, place.site.facts)
        assert {"machine", "dryer-beside", "raised", "drain"} <= {*told}
        assert dict(game.state.facts)["dryer-beside"] == place.site.facts["dryer-beside"]
        assert game.looked == 0
        assert (BY_A_SINK in at_door(kb, place)) == (place.site.facts["drain"] == "tub")


def test_it_says_the_same_whether_it_is_safe_or_not(kb):
    _, made = places(kb, range(60))
    unsafe = [m for m in made if m.unsafe]
    assert unsafe
    for place in unsafe:
        assert any(sign(c, place.unsafe) in at_door(kb, place) for c in place.site.origins)
    same = {tuple(m.site.origins): [t for t in at_door(kb, m) if t != BY_A_SINK] for m in made if not m.unsafe}
    for place in unsafe:
        usual = same.get(tuple(place.site.origins))
        assert usual is None or usual == [t for t in at_door(kb, place) if t != BY_A_SINK]


def test_a_question_never_ends_a_round(kb):
    network, made = places(kb, range(25))
    for place in made:
        for check in kb.checks.values():
            if check.kind == "ask":
                game = Round(network, place)
                game.do(Act(kind="check", id=check.id))
                assert not game.ended, check.id
        game = Round(network, place)
        for fact in kb.facts:
            game.do(Act(kind="fact", id=fact))
        assert not game.ended


def test_who_began_a_dangerous_step_is_told_what_was_to_be_seen_and_what_to_clear(kb):
    told = begun(kb).do(Act(kind="check", id="standpipe-height"))
    assert "To be seen before: Water runs through it and out, and the cord and its outlet are near it." in told.text
    assert "To be cleared first: water near electricity. Dry, all of it:" in told.text
    game = begun(kb, fault="foot-unloaded")
    safe(game, *(g for g in game.uncleared(kb.checks["screens-seen"]) if g != "stored-pressure"))
    told = game.do(Act(kind="check", id="screens-seen"))
    assert "The step opens or strains a hose that stands under the pressure of the house." in told.text


def test_what_an_answer_raised_is_told_as_that_answer(kb):
    check = kb.checks["plug-browned"]
    game = begun(kb, fault="poor-joint-at-outlet")
    safe(game, *game.uncleared(kb.checks["breaker-number"]))
    game._note(Event(check=check.id, answer="browned"))
    game.episode.raised.append("burning-smell")
    game.episode.cleared.discard("burning-smell")
    told = game.do(Act(kind="check", id="breaker-number"))
    assert f"To be seen before: {check.title}: {check.answers['browned'].says}." in told.text


def test_what_is_told_at_the_door_names_no_fault(kb):
    _, made = places(kb, range(120))
    for place in made:
        said = " ".join([*(t.words for t in place.told), *at_door(kb, place)]).lower()
        for cause in place.truth:
            assert kb.causes[cause].title.lower() not in said, place.order
