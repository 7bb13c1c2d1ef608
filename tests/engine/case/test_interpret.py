"""What a typed line means at a card: an event, a command, or a question back; never a guess, never an exception."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from dryfloor.engine.advice import Card, Choice
from dryfloor.engine.answers.picking import pick
from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import COMMANDS, interpret
from dryfloor.engine.language.sanitize import typed_line
from tests.support.shipped import shipped

KB = shipped()


def check_card(name):
    """Return the card of a check of the shipped kb."""
    check = KB.checks[name]
    measures = KB.rules[check.rule].measures if check.kind == "measure" else ""
    return Card(
        kind="check",
        id=name,
        title=check.title,
        measures=measures,
        example="39 1/2 in" if measures else "",
        choices=[Choice(id=a, says=x.says) for a, x in check.answers.items()],
    )


def gate_card(name):
    """Return the card of a gate."""
    return Card(kind="gate", id=name, title="", word=KB.hazards[name].gate.word)


LOOKS = [check_card(c.id) for c in KB.checks.values() if c.kind != "measure"]
FACTS = [
    Card(kind="fact", id=f.id, title="", choices=[Choice(id=o, says=x.says) for o, x in f.options.items()])
    for f in KB.facts.values()
]
MEASURES = [check_card(c.id) for c in KB.checks.values() if c.kind == "measure"]
GATES = [gate_card(h.id) for h in KB.hazards.values() if h.gate]
REMEDIES = [
    Card(
        kind="remedy",
        id=c,
        title="",
        choices=[Choice(id="done", says="done"), Choice(id="could-not", says="could not be done")],
    )
    for c in list(KB.causes)[:5]
]
STILL = Card(
    kind="fact",
    id="still-there",
    title="",
    choices=[
        Choice(id="walks", says="it shakes"),
        Choice(id="siphons", says="it runs off"),
        Choice(id="none", says="none of them"),
    ],
)
ALL = [*LOOKS, *FACTS, *MEASURES, *GATES, *REMEDIES, STILL]
HOSE = Card(
    kind="check",
    id="hose-sealed",
    title="",
    choices=[
        Choice(id="taped", says="taped or plugged round the hose"),
        Choice(id="tight", says="a tight fit, no tape"),
        Choice(id="loose", says="you can see a gap all round"),
    ],
)


def meant(card, typed):
    """Return the id that a line picked, or None."""
    event = interpret(KB, card, typed).event
    return None if event is None else event.answer or event.is_ or event.did


@pytest.mark.parametrize("card", [*LOOKS, *FACTS, *REMEDIES], ids=lambda c: c.id)
def test_number_id_and_words_of_every_choice_mean_it(card):
    for n, choice in enumerate(card.choices, 1):
        says = choice.says
        for typed in (choice.id, choice.id.upper(), says, f"  {says.upper()}. ", f"\t{says}\x1b"):
            assert meant(card, typed) == choice.id, typed
        if not any(c.says.lower() == str(n) for c in card.choices):
            assert meant(card, str(n)) == choice.id


@pytest.mark.parametrize(
    ("typed", "chosen"),
    [
        ("taped", "taped"),
        ("tap", "taped"),
        ("taped or", "taped"),
        ("it's taped", "taped"),
        ("it is tapped", "taped"),
        ("plugged", None),
        ("a tight fit", "tight"),
        ("the fit is tight", "tight"),
        ("gap", "loose"),
        ("I can see a gap", "loose"),
        ("3", "loose"),
        ("loose!", "loose"),
        ("not taped", None),
        ("isn't taped", None),
        ("no tape round it", None),
        ("never plugged", None),
        ("without a gap", None),
        ("t", None),
        ("ta", None),
        ("", None),
        ("   ", None),
        ("...", None),
        ("hose", None),
        ("it is fine", None),
        ("0", None),
        ("4", None),
        ("-1", None),
        ("12", None),
        ("²", None),
        ("①", None),
        ("1.0", None),
        ("one of them", None),
        ("yes", None),
        ("y", None),
        ("no", None),
        ("nothing", None),
        ("tape", "taped"),
        ("round", None),
        ("see", None),
    ],
)
def test_close_words_are_taken_only_when_they_fit_one_choice(typed, chosen):
    reply = interpret(KB, HOSE, typed)
    assert (reply.event.answer if reply.event else None) == chosen, reply
    if chosen is None:
        assert reply.back is not None
        assert reply.back.mend


@pytest.mark.parametrize("card", [*LOOKS, *FACTS], ids=lambda c: c.id)
def test_a_turned_answer_is_never_taken_for_its_contrary(card):
    """With "not" before any answer's own words, that answer is never what is recorded."""
    for choice in card.choices:
        for words in (choice.id.replace("-", " "), choice.says):
            for turned in (f"not {words}", f"it is not {words}", f"isn't {words}", f"never {words}"):
                assert meant(card, turned) != choice.id, turned


@pytest.mark.parametrize(
    "typed",
    [
        "it is fine",
        "fine",
        "ok",
        "good",
        "i think so",
        "maybe",
        "sometimes",
        "a little",
        "some",
        "all of it",
        "the other one",
        "still",
        "it is",
        "hm",
        "well",
        "not really",
        "not",
        "?!",
        "what do you mean",
    ],
)
def test_words_that_say_nothing_choose_nothing(typed):
    for card in [*LOOKS, *FACTS]:
        if typed not in {c.says.lower() for c in card.choices} | {c.id for c in card.choices}:
            assert meant(card, typed) is None, (card.id, typed, meant(card, typed))


def test_a_bare_no_takes_only_an_answer_that_begins_with_it():
    for card in [*LOOKS, *FACTS]:
        for typed, begins in (
            ("no", ("no", "none", "nothing", "nobody", "never")),
            ("n", ("no", "none", "nothing", "nobody", "never")),
            ("yes", ("yes",)),
            ("y", ("yes",)),
        ):
            chosen = meant(card, typed)
            if chosen is not None and chosen != typed:
                says = next(c.says for c in card.choices if c.id == chosen).lower()
                assert re.match(r"[a-z]+", says).group() in begins, (card.id, typed, says)


def test_what_fits_two_is_asked_back_with_the_choices():
    card = Card(
        kind="check",
        id="x",
        title="",
        choices=[Choice(id="wet-left", says="wet on the left"), Choice(id="wet-right", says="wet on the right")],
    )
    for typed in ("wet", "it is wet"):
        reply = interpret(KB, card, typed)
        assert "more than one" in reply.back.message
        assert "wet-left, wet-right" in reply.back.expected
    assert meant(card, "on the right") is None or meant(card, "on the right") == "wet-right"
    near = interpret(KB, card, "wet on the rihgt")
    assert near.event is not None or near.back.nearest


@pytest.mark.parametrize("card", [HOSE, FACTS[0], MEASURES[0], REMEDIES[0]], ids=["check", "fact", "measure", "remedy"])
@pytest.mark.parametrize("typed", sorted(COMMANDS))
def test_commands_are_commands_in_any_case_and_with_a_dot(card, typed):
    for line in (typed, typed.upper(), f" {typed}. "):
        assert interpret(KB, card, line).command == COMMANDS[typed]
    assert interpret(KB, card, typed.replace("'", "’")).command == COMMANDS[typed]


def test_commands_with_words_keep_the_words_as_typed():
    assert (
        interpret(KB, HOSE, "note The Valve is NEW").command,
        interpret(KB, HOSE, "note The Valve is NEW").words,
    ) == ("note", "The Valve is NEW")
    assert interpret(KB, HOSE, "also it drips").words == "it drips"
    assert interpret(KB, HOSE, "change").command == "change"
    assert interpret(KB, HOSE, "change 2").words == "2"
    assert interpret(KB, HOSE, "notes").command == "notes"


def test_a_choice_that_is_called_like_a_command_is_the_choice():
    card = Card(
        kind="check",
        id="x",
        title="",
        choices=[Choice(id="stop", says="it does stop"), Choice(id="goes-on", says="it goes on")],
    )
    assert meant(card, "stop") == "stop"


@pytest.mark.parametrize("card", GATES, ids=lambda c: c.id)
def test_only_the_one_word_clears_a_gate(card):
    word = card.word
    for typed in (word, word.upper(), f"  {word}.", f'"{word}"'):
        assert interpret(KB, card, typed).event == Event(cleared=card.id, word=word)
    for typed in (
        "yes",
        "y",
        "ok",
        "1",
        "no",
        f"not {word}",
        f"{word} now",
        word[:-1],
        f"{word}x",
        f"is it {word}?",
        "skip",
        "back",
        "why",
        "can't",
        "help",
        f"{word} {word}",
        f"un{word}",
    ):
        event = interpret(KB, card, typed).event
        assert event is None or event == Event(stopped=card.id), typed
    assert interpret(KB, card, "  ").event is None  # an empty line is no answer
    assert interpret(KB, card, "  ").back.expected.startswith(f"the word '{word}'")


@pytest.mark.parametrize("card", GATES, ids=lambda c: c.id)
def test_only_not_safe_ends_a_walk_at_a_gate(card):
    """A bare no to "is there any smell of gas?" means that all is well, to "has it stopped?" that it is not; neither word ever clears a gate."""
    danger = KB.hazards[card.id].gate.asks_danger
    for typed in (
        *(("yes", "Yes.", "yep") if danger else ("no", "No!", "nope")),
        "not safe",
        "No, not safe",
        "it isn't safe",
        "unsafe",
        "I'm not sure",
        "unsure",
        "dangerous",
        "stop",
        f"not {card.word}",
    ):
        assert interpret(KB, card, typed).event == Event(stopped=card.id), typed
    for typed in ("no" if danger else "yes", "ok", "1", "skip", "there is no smell", "stopped up", f"{card.word}?!x"):
        reply = interpret(KB, card, typed)
        assert (reply.event, reply.command, reply.back and reply.back.code) == (None, "", "A005"), typed
        assert typed in reply.back.message
        assert card.word in reply.back.expected
        assert "not safe" in reply.back.expected
    for typed, command in (("why", "why"), ("help", "help"), ("?", "help"), ("back", "back"), ("undo", "back")):
        assert interpret(KB, card, typed).command == command


def test_a_gate_that_asks_for_the_danger_says_so_by_its_question():
    """Read off the questions themselves: what asks "is there any" has none, or not, as its safe answer."""
    for hazard in KB.hazards.values():
        if hazard.gate:
            asked = f"{hazard.gate.ask.homeowner} {hazard.gate.ask.desk}".lower()
            assert hazard.gate.asks_danger == ("say none" in asked or "say safe" in asked), hazard.id


def test_a_reading_is_kept_as_it_was_said():
    height = check_card("standpipe-height")
    for typed in ('39 1/2"', "39.5 in", "3' 3 1/2\"", "1 m", "100 cm"):
        assert interpret(KB, height, typed).event == Event(check="standpipe-height", value=typed)
    assert interpret(KB, height, "31 in", proof=True).event == Event(proof="standpipe-height", value="31 in")


@pytest.mark.parametrize(
    "typed", ["39", "39 ft", "-5 in", "31 psi", "1/2 bubble", "about so", "31 in or 32 in", "none"]
)
def test_a_reading_that_cannot_be_used_is_asked_back(typed):
    reply = interpret(KB, check_card("standpipe-height"), typed)
    assert reply.event is None
    assert reply.back.code == "C023"
    assert reply.back.mend


def test_a_wrong_unit_names_the_likely_one():
    assert interpret(KB, check_card("standpipe-height"), "39 ft").back.nearest == "39 in"


def test_each_kind_of_card_gives_its_event():
    assert interpret(KB, HOSE, "taped").event == Event(check="hose-sealed", answer="taped")
    assert interpret(KB, HOSE, "taped", proof=True).event == Event(proof="hose-sealed", answer="taped")
    assert interpret(KB, REMEDIES[0], "done").event == Event(remedy=REMEDIES[0].id, did="done")
    assert interpret(KB, REMEDIES[0], "could not").event == Event(remedy=REMEDIES[0].id, did="could-not")
    assert interpret(KB, STILL, "walks").event == Event(still=["walks"])
    assert interpret(KB, STILL, "none of them").event == Event(still=[])
    drain = next(c for c in FACTS if c.id == "drain")
    assert interpret(KB, drain, drain.choices[0].id).event == Event(fact="drain", is_=drain.choices[0].id)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  it\x1b[2J  hops \n", "it[2J hops"),
        ("a\x00b\x07c", "abc"),
        ("a\u200bb\u202ec", "abc"),
        ("a\tb\r\nc", "a b c"),
        ("\udcff ok", "ok"),
        ("x" * 5000, "x" * 2000),
        ("\n" * 50, ""),
        ("39 1/2”", "39 1/2”"),
    ],
)
def test_control_characters_and_length(typed, kept):
    assert typed_line(typed) == kept


@settings(max_examples=400, deadline=None)
@given(st.text(max_size=80) | st.text("0123456789²①٣ -./'\"", max_size=12), st.sampled_from(ALL), st.booleans())
@example("²", HOSE, False)
@example("9" * 6000, HOSE, False)
@example("9" * 6000, MEASURES[0], False)
@example("\udc80", HOSE, True)
def test_no_line_raises_and_every_event_is_sound(typed, card, proof):
    reply = interpret(KB, card, typed, proof)
    assert (reply.event is not None) + bool(reply.command) + (reply.back is not None) == 1
    if reply.event is not None:
        assert event_problems(KB, reply.event) == []
    if reply.back is not None:
        assert reply.back.message
        assert reply.back.mend
        assert len(reply.back.message) < 1000


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            re.findall(r"\w+", "it is not the no never wet dry leaks loose water yes hose round nothing two")
        ),
        max_size=5,
    ).map(" ".join),
    st.sampled_from([*LOOKS, *FACTS]),
)
def test_a_choice_taken_by_its_words_is_the_only_one_with_them(typed, card):
    chosen, _ = pick(card, typed)
    if chosen is None or typed in (chosen, "no", "yes"):
        return
    choice = next(c for c in card.choices if c.id == chosen)
    words = [
        w
        for w in re.findall(r"[a-z]+", typed)
        if w in ("wet", "dry", "leaks", "loose", "water", "hose", "nothing", "two")
    ]
    for other in card.choices:
        has = [w for w in words if re.search(rf"\b{w}\b", f"{other.says.lower()} {other.id}")]
        if other is not choice and len(has) == len(words) and words:
            assert choice.says.lower().startswith(typed) or choice.id.startswith(typed.replace(" ", "-"))


@pytest.mark.parametrize("typed", ["dry; there is smoke and it smells burnt", "bone dry. I got a shock from it"])
def test_a_danger_beside_an_answer_is_not_swallowed_by_it(typed):
    assert interpret(KB, check_card("drain-hose-joint"), typed).event is None


def test_a_danger_that_no_remark_gives_away_is_asked_about_first():
    card = check_card("rocks-by-hand")
    assert interpret(KB, card, "still rocks, see photo").event is not None
    reply = interpret(KB, card, "still rocks, gas odor in the room")
    assert reply.event is None
    assert reply.meant == Event(check="rocks-by-hand", answer="rocks")


@pytest.mark.parametrize("typed", ["did it", "Done that.", "all done"])
def test_a_step_that_was_done_is_said_so_in_other_words(typed):
    step = Card(
        kind="remedy",
        id="x",
        title="",
        choices=[Choice(id="done", says="done"), Choice(id="could-not", says="could not be done")],
    )
    assert interpret(KB, step, typed).event == Event(remedy="x", did="done")
    other = Card(kind="remedy", id="x", title="", choices=[Choice(id="done", says="yes, that is how it is")])
    assert interpret(KB, other, "did it").event is None
