"""Gates of an attempt: what waits for them, what comes of a step over an open one, and where it is not safe."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round, leaving
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.knowledge.graph import answer_node
from dryfloor.engine.planning import roles
from tests.support.drills import begun, safe


def test_a_dangerous_step_over_an_open_gate_ends_the_round_and_says_why(kb):
    game = begun(kb)
    told = game.do(Act(kind="check", id="standpipe-height"))
    assert (told.kind, game.ended, game.breach) == ("gate", "gate", "water-near-electricity")
    assert "can kill" in told.text
    assert "Safe is: dry." in told.text
    with pytest.raises(ValueError, match="over"):
        game.do(Act(kind="fact", id="drain"))


def test_words_hurt_nobody(kb):
    game = begun(kb)
    assert game.do(Act(kind="fact", id="onset")).kind == "seen"
    asked = next(
        c
        for c in kb.checks.values()
        if c.kind == "ask" and not c.hazards and not c.when and not c.only_if and not c.unless
    )
    assert game.do(Act(kind="check", id=asked.id)).kind == "seen"
    assert game.ended == ""


def test_every_look_that_is_no_question_waits_for_each_gate_of_what_they_complain_of(kb):
    for complaint in kb.complaints.values():
        causes = [c.id for c in kb.causes.values() if [s.complaint for s in c.shows if s.complaint] == [complaint.id]]
        if not causes or not complaint.gates:
            continue
        game = begun(kb, fault=causes[0])
        look = next(
            c
            for c in kb.checks.values()
            if c.kind == "look" and not c.hazards and not c.only_proof and game.refused(c) is None
        )
        for gate in complaint.gates[:-1]:
            safe(game, gate)
        assert set(game.uncleared(look)) <= {complaint.gates[-1]}
        safe(game, complaint.gates[-1])
        assert game.uncleared(look) == []


def test_an_answer_that_raises_a_hazard_opens_its_gate_again(kb):
    check, name, cause = next(
        (c, n, min(network_of(kb).shown[answer_node(c.id, n)]))
        for c in kb.checks.values()
        for n, a in c.answers.items()
        if a.raises and c.kind == "ask" and not c.hazards and network_of(kb).shown.get(answer_node(c.id, n))
    )
    hazard = check.answers[name].raises
    game = begun(kb, fault=cause)
    safe(game, hazard)
    object.__setattr__(game.exercise, "site", _Saying(game.exercise.site, check.id, name))
    try:
        game.do(Act(kind="check", id=check.id))
        assert hazard not in game.episode.cleared
    finally:
        exercise.cache_clear()


class _Saying:
    """A site that answers one check so and no other."""

    def __init__(self, site, check, name):
        self._site, self._check, self._name = site, check, name

    def answer(self, network, check, hands, cured=()):
        return self._name if check.id == self._check else self._site.answer(network, check, hands, cured)

    def __getattr__(self, name):
        return getattr(self._site, name)


def test_cautions_without_a_gate_are_remembered_where_nobody_saw_to_them(kb):
    def lacking(*seen_to):
        game = safe(begun(kb, fault="pump-filter-clogged"), "burning-smell", *seen_to)
        while game.uncleared(kb.checks["pump-filter-content"]):
            safe(game, game.uncleared(kb.checks["pump-filter-content"])[0])
        assert game.do(Act(kind="check", id="pump-filter-content")).kind == "seen"
        return {h for _, own in game.unsecured for h in own}

    assert {"unplug-first", "hot-water"} <= lacking()
    assert not {"unplug-first", "hot-water"} & lacking("unplug-first", "hot-water")


def unsafe_places(kb, seeds=range(60)):
    network = network_of(kb)
    return network, [m for m in (exercise(network, Order(seed=s)) for s in seeds) if m.unsafe]


def test_about_one_place_in_eight_has_a_gate_that_is_not_safe_and_always_the_same(kb):
    _, places = unsafe_places(kb, range(120))
    assert 6 <= len(places) <= 24
    for made in places:
        assert made.unsafe in {g for c in made.site.origins for g in kb.complaints[c].gates}
    exercise.cache_clear()
    assert [m.unsafe for m in unsafe_places(kb, range(120))[1]] == [m.unsafe for m in places]
    assert not begun(kb).exercise.unsafe  # a fault that is asked for is shown


def test_where_it_is_not_safe_to_stop_is_right_and_to_go_on_is_not(kb):
    network, places = unsafe_places(kb)
    for made in places:
        game = Round(network, made)
        told = game.do(Act(kind="safe", id=made.unsafe))
        assert told.kind == "unsafe"
        assert told.text.startswith("Asked and looked: not so.")
        assert made.unsafe not in game.episode.cleared
        game.do(Act(kind="leave", sentence="Everybody out."))
        assert game.ended == "stopped"
        left = Round(network, made)
        left.do(Act(kind="leave"))
        assert left.ended == "left"
        assert game.cost() < left.cost() == leaving(network, made)
        on = Round(network, made)
        safe(on, *(h.id for h in kb.hazards.values() if h.gate))
        assert on.do(Act(kind="verdict", id=made.truth[0])).kind == "gate"
        assert on.breach == made.unsafe


def test_what_no_gate_hangs_on_can_be_made_safe_too(kb):
    told = begun(kb).do(Act(kind="safe", id="unplug-first"))
    assert (told.kind, told.minutes) == ("safe", roles.GATE_MINUTES)
