"""A round: what moves cost, the gates in front of them, and what comes of a verdict."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.order import Order
from dryfloor.engine.drill.round import SOUND, Act, Round, leaving
from dryfloor.engine.drill.site import exercise
from dryfloor.engine.knowledge.graph import answer_node
from dryfloor.engine.planning import roles


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
    assert game.do(Act(kind="fact", id="drain")).kind == "seen"
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


def test_minutes_are_those_of_the_kb_and_run_out(kb):
    game = safe(begun(kb, minutes=2.0), "water-near-electricity")
    game.do(Act(kind="check", id="standpipe-height"))
    assert game.looked == pytest.approx(roles.GATE_MINUTES + kb.checks["standpipe-height"].minutes.technician)
    told = game.do(Act(kind="check", id="hose-depth"))
    assert told.kind == "no-time"
    assert "you have 0.8 left" in told.text
    assert game.do(Act(kind="verdict", id="standpipe-too-low", by="plumber")).kind == "mended"


def test_what_makes_no_sense_costs_nothing_and_what_is_not_there_tells_why(kb):
    game = safe(begun(kb), "water-near-electricity")
    before = game.looked
    assert game.do(Act(kind="check", id="tub-rim-height")).text == "Not here. Kind of drain: in an upright pipe."
    assert game.looked == pytest.approx(before + 0.1)
    assert game.do(Act(kind="fact", id="drain")).kind == "again"
    game.do(Act(kind="check", id="standpipe-height"))
    again = game.looked
    assert game.do(Act(kind="check", id="standpipe-height")).kind == "again"
    assert game.looked == again


def test_a_reading_has_its_give_or_take(kb):
    told = safe(begun(kb), "water-near-electricity").do(Act(kind="check", id="standpipe-height"))
    assert told.text == "27 in, give or take 1/8 in"
    assert [n.signal for n in told.notes] == ["WARNING"]


def test_the_right_verdict_ends_it_and_a_wrong_one_costs_and_goes_on(kb):
    look = Act(kind="check", id="standpipe-height")
    game = safe(begun(kb), "water-near-electricity")
    game.do(look)
    asked = game.episode.outcome.cost
    told = game.do(Act(kind="verdict", id="hose-sealed-in-pipe"))
    assert (told.kind, game.ended) == ("still-there", "")
    wasted = game.episode.outcome.cost - asked
    assert wasted > 0
    assert game.do(Act(kind="verdict", id="standpipe-too-low", by="plumber")).kind == "mended"
    right = safe(begun(kb), "water-near-electricity")
    right.do(look)
    right.do(Act(kind="verdict", id="standpipe-too-low", by="plumber"))
    assert game.cost() == pytest.approx(right.cost() + wasted)


def test_a_mend_over_an_open_gate_ends_the_round_as_a_step_does(kb):
    for by in ("", "technician", "plumber"):
        game = begun(kb)
        told = game.do(Act(kind="verdict", id="standpipe-too-low", by=by))
        assert (told.kind, game.ended, game.breach) == ("gate", "gate", "water-near-electricity")
        assert game.standing  # nothing was mended


def test_what_a_mend_itself_asks_for_is_asked_of_the_hands_that_do_it(kb):
    own = [
        (c.id, h)
        for c in kb.causes.values()
        for h in c.remedy.hazards
        if c.kind != "normal"
        and c.remedy.by in ("anyone", "technician")
        and kb.hazards[h].gate
        and not kb.hazards[h].when
    ]
    assert own
    for fault, hazard in own[:6]:
        game = begun(kb, fault=fault)
        act = Act(kind="verdict", id=fault, by=game.right_by(fault))
        assert hazard in game.mend_gates(act)
        safe(game, *(g for g in game.mend_gates(act) if g != hazard))
        assert game.do(act).kind == "gate"
        assert game.breach == hazard
        assert mended(begun(kb, fault=fault), fault, by=act.by).kind == "mended"


def test_a_verdict_clears_no_gate_for_the_pupil(kb):
    fault = "restraints-left-in"
    games = [begun(kb, fault=fault, faults=2, seed=n) for n in range(4)]
    for game in games:
        mended(game, fault, by=game.right_by(fault))
    game = next(g for g in games if not g.ended)
    assert game.episode.cleared <= {a.id for a in game.acts if a.kind == "safe"}


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


def test_a_trade_that_is_not_needed_costs_its_fee_and_one_that_is_can_not_be_spared(kb):
    def cost(fault, by):
        game = begun(kb, fault=fault)
        safe(game, *(h.id for h in kb.hazards.values() if h.gate))  # the same for all
        mended(game, fault, by=by)
        assert game.ended == "solved"
        return game.cost()

    own, trade = cost("foot-unloaded", "technician"), roles.trade_card(kb, "plumber")
    assert cost("foot-unloaded", "anyone") == own
    minutes = kb.causes["foot-unloaded"].remedy.minutes
    assert cost("foot-unloaded", "plumber") - own == pytest.approx(trade.fee.n + minutes * (trade.per_minute.n - 1.5))
    assert cost("standpipe-too-low", "technician") > cost("standpipe-too-low", "plumber")
    assert cost("standpipe-too-low", "electrician") > cost("standpipe-too-low", "plumber")


def test_what_no_gate_hangs_on_can_be_made_safe_too(kb):
    told = begun(kb).do(Act(kind="safe", id="unplug-first"))
    assert (told.kind, told.minutes) == ("safe", roles.GATE_MINUTES)


def test_sound_is_a_verdict_that_is_right_at_a_sound_place_alone(kb):
    game = begun(kb, fault="soft-thud-of-valves")
    assert game.do(Act(kind="verdict", id=SOUND)).kind == "mended"
    assert game.guesses[0][0] == SOUND
    network = network_of(kb)
    for seed in range(12):
        sound = Round(network, exercise(network, Order(seed=seed, faults=0)))
        assert sound.do(Act(kind="verdict", id=SOUND)).kind == "mended"
    wrong = begun(kb)
    assert wrong.do(Act(kind="verdict", id=SOUND)).kind == "left"
    assert wrong.ended == "false-sound"
    assert wrong.cost() == leaving(wrong.network, wrong.exercise)


def test_two_faults_end_with_the_second(kb):
    game = begun(kb, fault="foot-unloaded", faults=2)
    first, second = game.exercise.truth
    mended(game, first, by=game.right_by(first))
    assert game.ended == ""
    mended(game, second, by=game.right_by(second))
    assert game.ended == "solved"


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
