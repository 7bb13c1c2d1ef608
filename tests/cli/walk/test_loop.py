"""Whole walks, from words to an end, and what can be said beside an answer."""

import re

import pytest

from dryfloor.cli.result import Exit
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.asker import ScriptedAsker
from dryfloor.cli.walk.anything import heard_at
from dryfloor.cli.walk.loop import Walk
from dryfloor.engine.advice import Card, Choice
from dryfloor.engine.case.clearance import kept_of
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from dryfloor.engine.case.state import fold
from dryfloor.engine.case.told import told
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.errors import InvalidInputError, Problem
from dryfloor.engine.knowledge.graph import answer_node
from dryfloor.engine.language.matching import AnswerMatch, Heard, Match
from dryfloor.engine.survey.blank_sheet import line_card
from tests.support.person import Person, hold, kept, log_at, quiet_env

ROLES = ("homeowner", "desk", "technician")
WALKS = "it hops about when it spins"
SIPHONS = "it siphons"


def shown(kb, cause, **more):
    """What a person sees where a cause is at work: of each check the answer that it shows by most, itself or by a sign."""
    links = network_of(kb).shown
    seen = {}
    for check in kb.checks.values():
        by = {a: links.get(answer_node(check.id, a), {}).get(cause, 0.0) for a in check.answers}
        if by and max(by.values()) > 0:
            seen[check.id] = max(by, key=lambda a: by[a])
    return seen | more


def titles(out):
    """The titles of the numbered cards on screen."""
    return re.findall(r"^\d+  (\S.*?)(?:  |$)", out, re.M)


@pytest.mark.parametrize("role", ROLES)
def test_walks_from_words_to_proof(kb, role):
    truth = shown(kb, "foot-unloaded", onset="new", **{"dryer-beside": "electric-dryer", "foot-gap": "3 mm"})
    person = Person(truth, ["foot-unloaded"])
    result, walk, out = hold(kb, role, WALKS, person)
    assert (result.status, result.exit) == ("solved", Exit.DONE), person.asked
    assert result.data.finding.cause == "foot-unloaded"
    assert person.flushed == sum(a.startswith("gate:") for a in person.asked)
    for part in ("I hear:", "BEFORE ANYTHING ELSE", "FOUND", "MEND", "PROVE IT", "PROVED"):
        assert part in out
    assert [out.index(p) for p in ("FOUND", "MEND", "PROVE IT", "PROVED")] == sorted(
        out.index(p) for p in ("FOUND", "MEND", "PROVE IT", "PROVED")
    )
    assert walk.events[-1].closed == "solved"


@pytest.mark.parametrize("role", ROLES)
def test_siphons_from_words_to_proof(kb, role):
    truth = shown(kb, "hose-sealed-in-pipe", drain="standpipe", **{"hose-sealed": "taped", "standpipe-height": "42 in"})
    person = Person(truth, ["hose-sealed-in-pipe"])
    result, _, out = hold(kb, role, SIPHONS, person)
    assert (result.status, result.exit) == ("solved", Exit.DONE), person.asked
    assert result.data.finding.cause == "hose-sealed-in-pipe"
    assert "PROVED" in out


@pytest.mark.parametrize("role", ROLES)
def test_siphons_ends_with_a_plumber_where_pipe_must_be_cut(kb, role):
    truth = shown(kb, "standpipe-too-low", drain="standpipe", **{"standpipe-height": "31 in", "hose-sealed": "loose"})
    result, walk, out = hold(kb, role, SIPHONS, Person(truth, []))
    assert (result.status, result.exit) == ("handed-on", Exit.DONE)
    assert result.data.hand_on.to == "plumber"
    assert "below common practice by 8 in" in out
    assert "against the rules" not in out
    for part in ("NEXT", "Book a licensed plumber", "meantime", "Tell them", "bring"):
        assert part in out
    assert walk.events[-1].closed == "handed-on"


def test_a_case_that_was_handed_on_and_then_solved_is_closed_as_solved(kb, tmp_path):
    path = tmp_path / "c.db"
    truth = shown(kb, "foot-unloaded", onset="new", **{"dryer-beside": "electric-dryer", "foot-gap": "3 mm"})
    begun = [
        Event(role="desk"),
        Event(heard=WALKS, complaints=["walks"]),
        Event(closed="handed-on", why="x"),
        Event(role="technician"),
    ]
    result, walk, _ = hold(kb, "technician", None, Person(truth, ["foot-unloaded"]), begun, path=path)
    assert result.status == "solved"
    assert walk.events[-1].closed == "solved"
    with Store.open(path) as store:
        assert [(c.state, c.closed) for c in store.find()] == [("closed", "solved")]


def test_a_failed_proof_goes_on_with_what_is_left(kb):
    truth = shown(kb, "foot-unloaded", onset="new", **{"dryer-beside": "electric-dryer", "foot-gap": "3 mm"})
    person = Person(truth, [], {kb.causes["foot-unloaded"].proof.check: "walked"})
    check = kb.checks[kb.causes["foot-unloaded"].proof.check]
    person.proofs = {check.id: next(a for a in check.answers if a != kb.causes["foot-unloaded"].proof.passes)}
    person.causes = ["foot-unloaded"]
    result, walk, _ = hold(kb, "technician", WALKS, person)
    after = person.asked[person.asked.index(f"check:{check.id}") + 1 :]
    assert after
    assert "remedy:foot-unloaded" not in after
    assert result.status == "handed-on"
    assert [t.passed for t in fold(kb, walk.events).remedies if t.cause == "foot-unloaded"] == [False]


def test_this_is_normal_ends_as_no_fault(kb):
    person = Person(
        shown(kb, "shudder-at-spin-start", onset="always", **{"dryer-beside": "electric-dryer"}),
        ["shudder-at-spin-start"],
    )
    result, _, out = hold(kb, "homeowner", "it shudders and shakes when it starts to spin", person)
    assert (result.status, result.exit) == ("solved", Exit.DONE), person.asked
    assert "NORMAL" in out
    assert "HOW TO TELL" in out
    assert "FOUND" not in out
    assert "yes, that is how it is" in out
    assert "It is as it should be" in out


def test_not_safe_at_a_gate_stops_with_5_and_keeps_the_case(kb, tmp_path):
    path = tmp_path / "cases.db"
    result, _, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", "it is not safe here"]), path=path)
    assert (result.status, result.exit) == ("stopped", Exit.SAFETY)
    assert "STOP  Smell of gas" in out
    assert "Your case is kept" in out
    assert [e.stopped for e in kept(path) if e.stopped] == ["gas-smell"]


@pytest.mark.parametrize("typed", ["why", "skip", "help", "no", "none at all", "1"])
def test_nothing_but_the_word_passes_a_gate_and_it_is_asked_again(kb, typed):
    result, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", typed]))
    assert result.exit == Exit.NOTHING
    assert not any(e.cleared or e.stopped for e in walk.events)
    assert typed in ("why", "help") or f"'{typed}' neither clears this" in out


@pytest.mark.parametrize("typed", ["stop", "not safe", "I am not sure", "not none", "yes"])
def test_its_own_not_safe_stops_at_a_gate(kb, typed):
    result, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", typed]))
    assert result.exit == Exit.SAFETY
    assert [e.stopped for e in walk.events if e.stopped] == [
        next(h.id for h in kb.hazards.values() if f"STOP  {h.title}" in out)
    ]


def test_words_at_a_gate_raise_a_danger_and_never_clear_one(kb):
    """Gas is said at the gate of something else: its own gate comes first now; said at its own gate, it stops there."""
    _, walk, _ = hold(kb, "homeowner", "the washer does not drain", ScriptedAsker(["yes", "I smell gas"]))
    assert [e.hazard for e in walk.events if e.hazard] == ["gas-smell"]
    assert not any(e.cleared or e.stopped for e in walk.events)
    result, walk, _ = hold(
        kb, "homeowner", "the washer does not drain", ScriptedAsker(["yes", "I smell gas", "I smell gas"])
    )
    assert [e.stopped for e in walk.events if e.stopped] == ["gas-smell"]
    assert result.exit == Exit.SAFETY


def test_an_empty_line_at_a_gate_is_asked_again_and_does_not_pass(kb):
    result, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", "", "  "]))
    assert result.exit == Exit.NOTHING
    assert not any(e.cleared or e.stopped for e in walk.events)
    assert out.count("Nothing was typed") == 2


SCRIPT = ["yes", "none", "stopped", "1", "2", "2"]


@pytest.mark.parametrize("after", range(len(SCRIPT) + 1))
def test_ctrl_c_at_every_prompt_is_130_and_loses_nothing(kb, tmp_path, after):
    path = tmp_path / "cases.db"
    result, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker([*SCRIPT[:after], KeyboardInterrupt()]), path=path)
    assert (result.status, result.exit) == ("interrupted", Exit.INTERRUPTED)
    assert kept(path) == (kept_of(walk.events) if after else [])  # where nothing was said there is no case
    assert "Interrupted" in out
    assert ("The case is kept" in out) == (after > 0)


def test_the_end_of_input_at_every_prompt_leaves_with_1(kb):
    for after in range(len(SCRIPT) + 1):
        result, _, out = hold(kb, "homeowner", WALKS, ScriptedAsker(SCRIPT[:after]))
        assert result.exit == Exit.NOTHING
        assert "Left here" in out


def at_card(kb, *lines, role="homeowner", path=None):
    """A walk that has passed the gates of `walks`, then these lines."""
    events = [
        Event(role=role),
        Event(heard=WALKS, complaints=["walks"]),
        Event(fact="dryer-beside", is_="electric-dryer"),
        Event(cleared="gas-smell", word="none"),
        Event(cleared="walking-machine", word="stopped"),
    ]
    env = quiet_env()
    walk = Walk(env, ScriptedAsker(list(lines)), kb, log_at(path))
    for event in events:
        walk.record(event)
    return walk.run(), walk, env.stdout.getvalue()


def answers(walk):
    return [(e.check or e.fact, e.answer or e.value or e.is_) for e in walk.events[5:] if e.check or e.fact]


def test_back_takes_the_last_answer_back_and_asks_it_again(kb, tmp_path):
    path = tmp_path / "c.db"
    _, plain, _ = at_card(kb, "1")
    _, walk, out = at_card(kb, "1", "2", "back", "back", "1", path=path)
    assert walk.events == plain.events
    assert kept(path) == kept_of(walk.events)
    first, second, _, third, fourth, fifth = titles(out)
    assert (third, fourth, fifth) == (second, first, second)
    assert out.count("Taken back:") == 2


def test_back_to_before_the_first_word_asks_what_is_wrong(kb):
    """The words at the gates go with it: they are asked for again."""
    _, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", "none", "stopped", "back"]))
    assert "Taken back: what was heard." in out
    assert "What is wrong?" in out
    assert walk.events == [Event(role="homeowner")]


def test_change_replaces_an_earlier_answer_and_says_so(kb):
    _, walk, out = at_card(kb, "1", "2", "change 2", "2")
    state = fold(kb, walk.events)
    changed = answers(walk)[0][0]
    options = list(kb.facts[changed].options) if changed in kb.facts else list(kb.checks[changed].answers)
    said = dict(state.facts).get(changed) or next(a.said for a in state.answers if a.check == changed)
    assert said == options[1]
    assert "So far:" in out
    assert state.notices


def test_change_by_its_words_and_leaving_it_as_it_was(kb):
    _, walk, out = at_card(kb, "1", "change dryer near", "back", "change 99", "change", "1", "skip")
    assert answers(walk) == answers(at_card(kb, "1")[1])
    assert out.count("Left as it was.") == 2
    assert "no choice 99" in out
    assert "Change which?" in out


def test_change_of_an_answer_before_a_remedy_stays_before_it(kb, tmp_path):
    path = tmp_path / "c.db"
    events = [
        Event(role="technician"), Event(heard=WALKS, complaints=["walks"]), Event(cleared="gas-smell", word="none"),
        Event(cleared="walking-machine", word="stopped"), Event(cleared="machine-tipping", word="none"), Event(check="rocks-by-hand", answer="rocks"),
        Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer=next(iter(kb.checks["spin-stays-put"].answers))),
    ]  # fmt: skip
    walk = Walk(quiet_env(), ScriptedAsker(["change rocks", "firm"]), kb, log_at(path))
    for event in events:
        walk.record(event)
    walk.run()
    assert [e.answer for e in walk.events if e.check == "rocks-by-hand"] == ["firm"]
    assert walk.events[5].answer == "firm"
    assert kept(path) == kept_of(walk.events)


def test_also_hears_one_more_complaint_in_mid_walk(kb):
    _, walk, _ = at_card(kb, "also the drain hose drips at the wall tap", "1", "skip")
    assert len(fold(kb, walk.events).complaints) == 2


def test_why_tells_weights_in_words_and_numbers(kb):
    _, _, out = at_card(kb, "1", "1", "1", "why")
    text = " ".join(out.split())
    assert re.search(r"explains it \d+ in 100", text)
    assert "Something this kb does not know:" in text
    assert re.search(r"speaks (for|against) it: (\S+ )?\d+ in 100 without it, (over )?\d+ in 100 with it", text)


def test_notes_are_kept_in_the_case_and_change_no_belief(kb):
    with_note, walk, out = at_card(kb, "note the dog is in the yard", "notes", "note", "", "1")
    without, _, _ = at_card(kb, "1")
    assert [e.note for e in walk.events if e.note] == ["the dog is in the yard"]
    assert "- the dog is in the yard" in out
    assert with_note.data.beliefs == without.data.beliefs


def test_where_no_answer_fits_ones_own_words_are_kept_and_weigh_nothing(kb):
    """The words stand in the notes under the question's title, the question is left, and the belief is that of "can't tell"."""
    said, walk, out = at_card(kb, "words it hops to the left only on Sundays", "stop")
    passed, plain, _ = at_card(kb, "can't tell", "stop")
    title = kb.checks[next(e.cant for e in plain.events if e.cant)].title
    assert [e.note for e in walk.events if e.note] == [f"{title}: it hops to the left only on Sundays"]
    assert [e.cant for e in walk.events if e.cant] == [e.cant for e in plain.events if e.cant]
    assert said.data.beliefs == passed.data.beliefs
    assert "changes no chance" in out
    _, empty, out = at_card(kb, "words", "", "stop")
    assert not [e for e in empty.events if e.note or e.cant]
    assert "No words." in out


@pytest.mark.parametrize("word", ["can't", "can't tell", "don't know", "skip"])
def test_cannot_and_skip_change_no_belief_and_are_not_asked_again(kb, word):
    result, _, out = at_card(kb, word)
    first = at_card(kb)[0]
    assert [(b.cause, b.p) for b in result.data.beliefs] == [(b.cause, b.p) for b in first.data.beliefs]
    assert titles(out)[0] != titles(out)[1]


def test_help_list_and_enter_show_and_record_nothing(kb):
    _, walk, out = at_card(kb, "help", "list", "")
    assert answers(walk) == []
    assert "take the last answer back" in out
    assert titles(out)[0] == titles(out)[1]


def test_what_is_no_answer_gets_a_question_back_and_loses_none(kb):
    _, walk, out = at_card(kb, "1", "purple", "77", "\x1b[2J\x07", "x" * 30000, "1")
    assert len(answers(walk)) == 2
    assert "'purple' is none of these." in out
    assert "There is no choice 77." in out
    assert "\x1b" not in out


def test_a_reading_gets_its_verdict_at_once_and_a_bad_one_a_question(kb):
    events = [
        Event(role="technician"),
        Event(heard=SIPHONS, complaints=["siphons"]),
        Event(fact="drain", is_="standpipe"),
        Event(check="hose-sealed", answer="loose"),
        Event(check="runs-off-while-filling", answer="runs"),
    ]
    person = Person({}, [])
    env = quiet_env()
    walk = Walk(env, person, kb, log_at(None))
    person.walk = walk
    typed = iter(["39", "39 ft", "31 psi", "half a bubble", "31 in"])
    truth = person.truth = {}

    class Height(dict):
        def __contains__(self, key):
            return key == "standpipe-height"

        def __getitem__(self, key):
            return next(typed, "stop")

    person.truth = Height(truth)
    for event in events:
        walk.record(event)
    walk.run()
    out = env.stdout.getvalue()
    assert [e.value for e in walk.events if e.value] == ["31 in"]
    assert out.count("?") > 5
    assert re.search(r"Standpipe height: 31 in \(79 cm\), below common practice by 8 in \(20 cm\)\.\n +\|-+#", out)


def broken(monkeypatch, until):
    """Let every write to the store be refused until so many were tried."""
    tried = []
    real = Store._append

    def append(*args):
        tried.append(1)
        if len(tried) <= until:
            raise InvalidInputError([Problem(code="J001", message="cases can't be kept there: the disk is full")])
        real(*args)

    monkeypatch.setattr(Store, "_append", append)


def test_a_store_that_fails_is_said_once_and_the_walk_goes_on(kb, tmp_path, monkeypatch):
    broken(monkeypatch, 999)
    _, walk, out = at_card(kb, "1", "2", "back", path=tmp_path / "c.db")
    assert out.count("it is not kept") == out.count("disk is full") == 1
    assert "It could not be kept." in out
    assert answers(walk)
    assert kept(tmp_path / "c.db") == []


@pytest.mark.parametrize("until", [1, 2, 3, 5])
def test_what_could_not_be_kept_is_kept_with_the_next_answer_that_can(kb, tmp_path, monkeypatch, until):
    broken(monkeypatch, until)
    _, walk, out = at_card(kb, "1", "2", "back", "1", "2", path=tmp_path / "c.db")
    assert out.count("it is not kept") == out.count("It is kept again") == 1
    assert kept(tmp_path / "c.db") == kept_of(walk.events)
    assert "The case is kept" in out


def test_a_resize_counts_from_the_next_card_on(kb):
    env = quiet_env(80)
    asker = ScriptedAsker([])
    lines = iter(["1", "1"])

    def ask(prompt, words=()):
        env.environ["COLUMNS"] = "40"
        return next(lines, "stop")

    asker.ask = ask
    walk = Walk(env, asker, kb, log_at(None))
    for event in (
        Event(role="homeowner"),
        Event(heard=WALKS, complaints=["walks"]),
        Event(fact="dryer-beside", is_="no-dryer"),
        Event(cleared="gas-smell", word="none"),
        Event(cleared="walking-machine", word="stopped"),
    ):
        walk.record(event)
    walk.run()
    cards = env.stdout.getvalue().split("\n\n")
    assert max(map(len, cards[0].splitlines())) > 40
    assert max(len(line) for text in cards[1:] for line in text.splitlines()) <= 40


# hearing


def heard(kb, words, *lines):
    _, walk, out = hold(kb, "homeowner", words, ScriptedAsker([*lines]))
    return walk.events[1:], out


def test_hearing_yes_takes_the_likely_ones(kb):
    events, out = heard(kb, WALKS, "yes")
    assert events[0].complaints == ["walks"]
    assert "I hear:" in out


def test_hearing_yes_leaves_out_what_is_only_offered(kb, monkeypatch):
    found = Heard([Match("walks", 96.0, "it shakes"), Match("no-drain", 41.0, "it stays full")], [], [], None)
    monkeypatch.setattr("dryfloor.cli.walk.intake.listened", lambda kb, text: (found, []))
    words = "it stays full and shakes"
    yes, out = heard(kb, words, "yes")
    assert yes[0].complaints == ["walks"]
    assert out.index("I hear:") < out.index("Or is it:") < out.index("2  water stays")
    both, _ = heard(kb, words, "1 2")
    assert both[0].complaints == ["walks", "no-drain"]


def test_hearing_numbers_pick_among_several(kb):
    events, _ = heard(kb, "it walks and it does not drain", "2 and 1")
    assert len(events[0].complaints) == 2
    events, out = heard(kb, "it walks and it does not drain", "9", "2")
    assert len(events[0].complaints) == 1
    assert "The numbers go from 1 to" in out


@pytest.mark.parametrize("no", ["no", "change", "back"])
def test_hearing_other_words_after_no(kb, no):
    events, _ = heard(kb, WALKS, no, "it siphons", "yes")
    assert events[0].heard == "it siphons"
    assert events[0].complaints == ["siphons"]


def test_hearing_other_words_in_place_of_yes(kb):
    events, _ = heard(kb, WALKS, "no it does not drain", "1")
    assert events[0].heard == "no it does not drain"
    assert events[0].complaints == ["no-drain"]


def test_hearing_nothing_asks_for_the_family_first_and_takes_a_number(kb):
    events, out = heard(kb, "the moon is made of cheese", "9", "2", "1")
    assert out.index("Is it about:") < out.index("Is it one of these?")
    assert "The numbers go from 1 to 4" in out
    assert "the breaker" not in out
    assert events[0].complaints[0] in ("walks", "noisy", "water-hammer", "first-run")


def test_none_of_the_families_offers_all_that_are_left(kb):
    events, out = heard(kb, "the moon is made of cheese", "2", "none", "1")
    assert all(c.says.split(",")[0] in out for c in kb.complaints.values())
    assert events[0].complaints[0] not in ("walks", "noisy", "water-hammer", "first-run")
    events, _ = heard(kb, "the moon is made of cheese", "it siphons", "yes")
    assert events[0].complaints == ["siphons"]


def test_three_are_offered_where_none_is_likely_and_none_of_these_narrows(kb, monkeypatch):
    found = Heard(
        [Match(c, 30.0 - n, "x") for n, c in enumerate(("walks", "no-drain", "noisy", "siphons"))],
        [],
        [],
        None,
        order=[
            "walks",
            "no-drain",
            "noisy",
            "siphons",
            *(c for c in kb.complaints if c not in ("walks", "no-drain", "noisy", "siphons")),
        ],
    )
    monkeypatch.setattr("dryfloor.cli.walk.intake.listened", lambda kb, text: (found, []))
    events, out = heard(kb, "it is not right", "none", "1", "1")
    first, _, rest = out.partition("Is it about:")
    assert "   3" in first
    assert "   4" not in first
    assert events[0].complaints == ["siphons"]
    assert kb.complaints["walks"].says not in rest


def test_none_at_every_list_goes_back_to_the_words_and_keeps_them(kb):
    words = "the moon is made of cheese"
    result, walk, out = hold(kb, "homeowner", words, ScriptedAsker(["none", "none", WALKS, "yes", "stop"]))
    assert "technician" in out
    assert [e.note for e in walk.events if e.note] == [words]
    assert [e.complaints for e in walk.events if e.complaints] == [["walks"]]
    assert result.status != "no-complaint"


def test_facts_stand_in_the_same_confirmation_and_a_key_strikes_one_out(kb):
    words = "it hops about, brand new front loader, every load"
    yes, out = heard(kb, words, "yes")
    some, struck = heard(kb, words, "yes -a -c")
    none, _ = heard(kb, words, "-a -b -c", "yes")
    assert out.count("(yes") == 1
    assert out.index("I hear:") < out.index("And with it:") < out.index("-a to strike a out")
    assert [e.fact for e in yes if e.fact] == ["machine", "onset", "rhythm"]
    assert [e.fact for e in some if e.fact] == ["onset"]
    assert "Struck out:" in struck
    assert not [e for e in none if e.fact]
    assert [e.complaints for e in none if e.complaints] == [e.complaints for e in yes if e.complaints]


def test_an_answer_that_was_heard_is_confirmed_and_not_asked_again(kb):
    words = "there is water on the floor, only when it drains"
    yes, out = heard(kb, words, "1")
    no, _ = heard(kb, words, "1 -a")
    assert "when the water shows: while it pumps the water out" in out
    assert [(e.check, e.answer) for e in yes if e.check] == [("when-water-shows", "draining")]
    assert not [e for e in no if e.check]


def test_an_answer_goes_with_the_complaint_that_is_confirmed(kb, monkeypatch):
    matches = [Match("walks", 90.0, "it walks"), Match("water-on-floor", 80.0, "it leaks")]
    found = Heard(matches, [], [], None, [AnswerMatch("when-water-shows", "spinning", "when it spins")])
    monkeypatch.setattr("dryfloor.cli.walk.intake.listened", lambda kb, text: (found, []))
    one, _ = heard(kb, "it walks and leaks when it spins", "1")
    both, offered = heard(kb, "it walks and leaks when it spins", "yes")
    assert not [e for e in one if e.check]
    assert [e.answer for e in both if e.check] == ["spinning"]
    assert "And with it" in offered


def test_a_complaint_of_one_sentence_is_offered_with_that_sentence(kb, monkeypatch):
    matches = [Match("walks", 90.0, "it walks"), Match("noisy", 50.0, "it screams", "then it screams like a train")]
    monkeypatch.setattr("dryfloor.cli.walk.intake.listened", lambda kb, text: (Heard(matches, [], [], None), []))
    _, out = heard(kb, "it walks. then it screams like a train", "1")
    assert '("then it screams like a train")' in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ("it stops and says no water", "slow-fill"),
        ('the display shows "door"', "first-run"),
        ("heater", "wrong-temperature"),
    ],
)
def test_plain_words_on_a_display_are_heard_as_what_they_mean(kb, words, complaint):
    events, out = heard(kb, words, "1")
    assert events[0].complaints == [complaint]
    assert "I hear:" in out


def test_a_code_is_to_be_read_from_the_manual_and_none_is_guessed(kb):
    _, out = heard(kb, "it shows E18 and stops", "stop")
    assert "the manual of this machine" in " ".join(out.split())


# anything at a card


def test_an_answer_in_own_words_is_recorded_by_one_key(kb):
    _, walk, out = at_card(kb, "we got this brand new front loader last week", "y", "stop")
    assert "I hear:" in out
    assert {e.fact: e.is_ for e in walk.events if e.fact}["onset"] == "new"


def test_another_complaint_at_a_card_is_kept_and_the_question_stays(kb):
    _, walk, out = at_card(kb, "there is a puddle under the washer", "y", "1", "stop")
    assert [e.complaints for e in walk.events if e.complaints][1:] == [["water-on-floor"]]
    assert "The question stays." in out
    assert len(answers(walk)) == 1


def test_a_reading_of_another_check_is_taken_with_its_unit(kb):
    _, walk, _ = at_card(kb, "the standpipe is 31 in high", "y", "stop")
    assert [(e.check, e.value) for e in walk.events if e.value] == [("standpipe-height", "31 in")]


def test_a_danger_at_a_card_raises_its_gate_before_the_question(kb):
    _, walk, out = at_card(kb, "now there is smoke and it smells burnt")
    assert "burning-smell" in [e.hazard for e in walk.events if e.hazard]
    assert "comes first" in out


def test_what_was_not_understood_is_a_note_and_said_so_and_other_words_are_taken_in_place_of_yes(kb):
    words = "my aunt sends her regards from Ohio"
    _, walk, out = at_card(kb, words, "there is a puddle under the washer", "my aunt sends her love as well", "stop")
    assert [e.note for e in walk.events if e.note] == [words, "my aunt sends her love as well"]
    assert out.count("kept as a note") == 2
    assert not [e.complaints for e in walk.events if e.complaints][1:]


def test_words_that_raise_nothing_at_a_gate_are_a_note_and_clear_nothing(kb):
    _, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", "my aunt sends her regards from Ohio"]))
    assert [e.note for e in walk.events if e.note] == ["my aunt sends her regards from Ohio"]
    assert not any(e.cleared or e.stopped for e in walk.events)
    assert "they don't clear this" in out


def test_words_in_another_language_are_answered_in_it_at_every_kind_of_prompt(kb):
    spanish = "la lavadora no saca el agua y sale por el suelo"
    _, first = heard(kb, spanish, "stop")
    assert "Por ahora solo entiendo inglés. English only so far." in first
    assert "I hear:" not in first
    _, walk, out = at_card(kb, spanish, "stop")
    assert "Por ahora solo entiendo inglés." in out
    assert [e.note for e in walk.events if e.note] == [spanish]
    _, walk, out = hold(kb, "homeowner", WALKS, ScriptedAsker(["yes", spanish]))
    assert "Por ahora solo entiendo inglés." in out
    assert not any(e.cleared for e in walk.events)


def test_a_note_is_heard_too_and_recorded_once(kb):
    text = "the standpipe is 31 in high"
    _, walk, out = at_card(kb, f"note {text}", "y", "stop")
    assert [e.note for e in walk.events if e.note] == [text]
    assert [(e.check, e.value) for e in walk.events if e.value] == [("standpipe-height", "31 in")]
    assert out.count("I hear:") == 1
    _, walk, _ = at_card(kb, f"note {text}", "n", "stop")
    assert [e.note for e in walk.events if e.note] == [text]
    assert not [e for e in walk.events if e.value]


def test_a_danger_in_a_note_or_in_ones_own_words_raises_its_gate(kb):
    for typed in ("note now there is smoke and it smells burnt", "words now there is smoke and it smells burnt"):
        _, walk, out = at_card(kb, typed)
        assert "burning-smell" in [e.hazard for e in walk.events if e.hazard]
        assert "comes first" in out


def test_change_takes_a_sentence_as_the_new_answer_and_another_for_what_it_says(kb):
    _, walk, out = at_card(kb, "change", "there is a puddle under the washer", "y", "stop")
    assert [e.complaints for e in walk.events if e.complaints][1:] == [["water-on-floor"]]
    assert "I hear:" in out
    events = [Event(role="homeowner"), Event(complaints=["walks"]), Event(fact="onset", is_="suddenly")]
    events += [Event(cleared="gas-smell", word="none"), Event(cleared="walking-machine", word="stopped")]
    lines = ["change when it began", "we got this brand new front loader last week", "y", "stop"]
    _, walk, out = hold(kb, "homeowner", None, ScriptedAsker(lines), events=events)
    assert [e.is_ for e in walk.events if e.fact == "onset"][-1] == "new", out


def test_a_sentence_at_the_list_of_what_was_mended_besides_is_heard(kb):
    _, walk, out = at_card(kb, "besides", "there is a puddle under the washer", "y", "stop")
    assert [e.complaints for e in walk.events if e.complaints][1:] == [["water-on-floor"]], out


def test_a_reading_in_a_sentence_answers_the_card_that_asks_for_it(kb):
    card = Card(kind="check", id="standpipe-height", title="", measures="length")
    case = [Event(role="homeowner"), Event(complaints=["siphons"])]
    assert told(kb, case, "I would say about 31 in or so", card).answer == Event(
        check="standpipe-height", value="31 in"
    )
    assert told(kb, case, "it took 20 min, I would say", card).answer is None
    assert told(kb, case, "between 31 in and 33 in I think", card).answer is None


def test_a_sentence_typed_where_a_page_waits_to_be_read_is_heard(kb):
    class Pausing(ScriptedAsker):
        said = "there is a puddle under the washer"

        def pause(self, prompt):
            said, self.said = self.said, ""
            return said

    events = [
        Event(role="technician"),
        Event(complaints=["walks"]),
        Event(fact="onset", is_="new"),
        Event(fact="dryer-beside", is_="no-dryer"),
        Event(check="restraints-left", answer="base-block"),
    ]
    _, walk, out = hold(kb, "technician", None, Pausing(["none", "stopped", "y", "stop"]), events=events)
    assert [e.complaints for e in walk.events if e.complaints] == [["walks"], ["water-on-floor"]], out
    asker = Pausing(["none", "stopped"])
    asker.said = "stop"
    assert "Left here." in hold(kb, "technician", None, asker, events=events)[2]


def test_at_the_desk_a_story_grows_and_is_heard_clause_by_clause(kb):
    lines = ["the standpipe is 31 in high", "and it is a brand new front loader", "yes", "stop"]
    _, walk, out = hold(kb, "desk", "it siphons, the water runs out while it fills", ScriptedAsker(lines))
    assert out.count("I hear:") == 3
    assert "more of the story" in out
    events = {e.check or e.fact: e.value or e.is_ for e in walk.events if e.check or e.fact}
    assert events["standpipe-height"] == "31 in"
    assert events["machine"] == "front-loader"
    assert "siphons" in next(e.complaints for e in walk.events if e.complaints)


def test_for_a_homeowner_and_goes_on_with_the_story_and_other_words_take_its_place(kb):
    _, walk, _ = hold(kb, "homeowner", WALKS, ScriptedAsker(["and it is a front loader", "yes", "stop"]))
    assert [e.complaints for e in walk.events if e.complaints] == [["walks"]]
    assert {e.fact: e.is_ for e in walk.events if e.fact}["machine"] == "front-loader"
    assert next(e.heard for e in walk.events if e.heard) == f"{WALKS}. it is a front loader"


def test_what_was_struck_out_stays_out_while_the_story_grows(kb):
    lines = ["-a", "and there is a puddle under it", "yes", "stop"]
    _, walk, out = hold(kb, "homeowner", "it is a front loader and it hops about when it spins", ScriptedAsker(lines))
    assert "Struck out:" in out
    assert not [e for e in walk.events if e.fact == "machine"]


def test_a_hazard_in_the_words_is_gated_first_and_then_the_complaint_is_asked(kb):
    result, _, out = hold(kb, "homeowner", "I smell gas, and it walks across the room", ScriptedAsker(["none"]))
    assert out.index("BEFORE ANYTHING ELSE") < out.index("I hear:")
    assert result.exit == Exit.NOTHING


def test_what_was_found_stands_before_the_gate_of_its_mend_once_and_a_condition_not_met_leaves_it(kb):
    """Nobody is there to help tilt it: the mend is left with what to do until then, and the case goes on."""
    events = [
        Event(role="technician"),
        Event(complaints=["walks"]),
        Event(fact="onset", is_="new"),
        Event(fact="dryer-beside", is_="no-dryer"),
        Event(check="restraints-left", answer="base-block"),
    ]
    asker = ScriptedAsker(["none", "stopped", "not safe", "stop"])
    _, walk, out = hold(kb, "technician", None, asker, events=events)
    assert out.index("FOUND") < out.index("BEFORE THIS") < out.index("LEFT")
    assert out.partition("LEFT")[0].count("FOUND") == 1
    assert [e.remedy for e in walk.events if e.did == "could-not"] == ["base-block-left-in"]
    assert not any(e.stopped for e in walk.events)


def test_tell_says_what_to_tell_the_repairer_and_the_walk_goes_on(kb):
    _, _, out = at_card(kb, "tell", "skip", "tell")
    assert out.count("What to tell the repairer (call ") == 2
    assert "meantime" in out
    assert re.search(r"left +\d+ causes? left, about \d+ more questions?", out)


def test_while_water_runs_the_first_words_are_how_to_stop_it(kb):
    _, _, out = hold(kb, "homeowner", "water keeps pouring out and I cannot stop it", ScriptedAsker([]))
    first = out.partition("BEFORE ANYTHING ELSE")[2].split()
    assert first[:6] == ["WARNING", "Stop", "the", "washer", "and", "close"]
    assert "I hear:" not in out.partition("Stop the washer")[0]


def test_a_question_is_numbered_by_what_was_asked_in_this_walk(kb):
    """What was told at the start, or answered in an earlier walk, is none of it; a step back asks under the same number."""
    told_before = "it hops about, front loader, every load"
    lines = ["yes", "none", "stopped", *["can't"] * 2, "back", *["can't"] * 3, "stop"]
    _, walk, out = hold(kb, "technician", told_before, ScriptedAsker(lines))
    assert len([e for e in walk.events if e.fact]) == 2
    assert re.findall(r"^(\d+)  \S", out, re.M) == ["1", "2", "3", "2", "3", "4", "5"]
    again = [*walk.events, Event(resumed=True)]
    _, _, out = hold(kb, "technician", None, ScriptedAsker(["none", "stopped", "can't", "stop"]), again)
    assert re.findall(r"^(\d+)  \S", out, re.M) == ["1", "2"]


def test_a_yes_takes_the_value_that_was_offered(kb):
    """'Do you mean 2 in?' answered with yes is a reading of 2 in."""
    walk = Walk(quiet_env(80), ScriptedAsker(["2 inxh", "yes"]), kb, log_at(None))
    walk.record(Event(role="technician"))
    card = line_card(kb, "standpipe-bore", "technician", "technician", {"drain": "standpipe"})
    walk._answer(card, False, 1)
    assert [(e.check, e.value) for e in walk.events if e.check] == [("standpipe-bore", "2 in")]


def test_a_yes_to_no_offer_is_no_value(kb):
    walk = Walk(quiet_env(80), ScriptedAsker(["yes", "2 in"]), kb, log_at(None))
    walk.record(Event(role="technician"))
    walk._answer(line_card(kb, "standpipe-bore", "technician", "technician", {"drain": "standpipe"}), False, 1)
    assert [e.value for e in walk.events if e.check] == ["2 in"]


# an answer in other words


def test_an_answer_in_other_words_is_asked_about_by_its_number_and_one_key_takes_it(kb):
    card = Card(
        kind="check",
        id="hose-sealed",
        title="",
        choices=[Choice(id=a, says=x.says) for a, x in kb.checks["hose-sealed"].answers.items()],
    )

    def said(typed, *lines):
        """Return what is shown and kept of a line typed at the card, and what comes back."""
        env = quiet_env()
        walk = Walk(env, ScriptedAsker(list(lines)), kb, log_at(None))
        walk.record(Event(role="homeowner"))
        walk.record(Event(heard=SIPHONS, complaints=["siphons"]))
        reply = interpret(kb, card, typed)
        back = walk._do(heard_at(walk, card, typed, False, reply.back, meant=reply.meant))
        return env.stdout.getvalue(), walk.events[2:], back

    out, events, back = said("silicone round the hose", "y")
    assert "Do you mean: 1, taped or plugged round the hose?" in out
    assert [(e.check, e.answer) for e in events] == [("hose-sealed", "taped")]
    assert back is True
    out, events, back = said("silicone round the hose", "n")
    assert (events, back) == ([], False)
    assert "Type its number" in " ".join(out.split())
    assert said("silicone round the hose", "a gap all round")[1:] == ([], "a gap all round")
    # A danger in the same breath comes before the answer.
    out, events, _ = said("duct taped and it smells burnt, there is smoke", "y")
    assert "comes first" in out
    assert events[0].hazard == "burning-smell"
