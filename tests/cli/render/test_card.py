"""Cards, gates, stops, readings and endings as lines of text."""

import re
import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.render import advice as ending
from dryfloor.cli.render import card as render
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.advice import Advice, Belief, Card, Choice, Finding, HandOn, Measured, Note, WorkedOut
from dryfloor.engine.language.sanitize import visible

NOTES = [
    Note(
        signal="WARNING",
        title="Hot water",
        says="Wash water can scald. Let it cool before you drain it.",
        hazard="hot-water",
    ),
    Note(signal="CAUTION", title="Sharp edges", says="Sheet metal cuts. Wear gloves.", hazard="sharp-edges"),
]
CARD = Card(
    kind="check",
    id="pipe",
    title="Height of the pipe",
    meta="measure, 4 min, tape measure",
    question="How high is the open top of the pipe above what the washer stands on?",
    how="Measure straight down from the pipe's open top to what the feet stand on.",
    rule=[
        "open top, above the feet: 39 in to 96 in",
        "common practice",
        "beside it one: 24 in",
        "beside it two: 18 in",
    ],
    notes=NOTES,
    why="if it is under 39 in (8 in 10), a pipe that is too low would explain it 9 in 10",
    choices=[Choice(id="low", says="below the mark"), Choice(id="high", says="above the mark")],
)
READING = Measured(
    check="pipe",
    title="Height of the pipe",
    said="31 in (79 cm)",
    rule="height",
    verdict="broken",
    side="below",
    conformity=0.0,
    value=0.79,
    low=0.99,
    high=2.44,
    first=0.15,
    last=3.0,
    text="below common practice by 8 in (20 cm)",
    whose="common practice",
    limits="39 in (99 cm) to 96 in (244 cm)",
    neighbours=["within the town's code (24 in to 48 in), if it stands on the floor"],
)


def advice(**more):
    """An Advice with nothing in it but what a test says."""
    empty = dict.fromkeys(("next", "card", "finding", "hand_on"))
    lists = {
        k: []
        for k in (
            "complaints",
            "heard",
            "hazards",
            "beliefs",
            "prices",
            "readings",
            "worked_out",
            "unchecked",
            "notices",
        )
    }
    return Advice(
        **{
            "status": "open",
            "role": "homeowner",
            "hands": "homeowner",
            "facts": {},
            "unknown": 0.1,
            "residual": 0.0,
            **empty,
            **lists,
            **more,
        }
    )


def test_a_card_says_all_of_it_in_order():
    text = "\n".join(render.card(Layout(80), CARD, 3))
    parts = [
        "3  Height of the pipe",
        "measure, 4 min",
        "How high",
        "how ",
        "WARNING",
        "CAUTION",
        "rule ",
        "Beside it one",
        "why now",
        "1  below",
        "2  above",
    ]
    places = [text.index(p) for p in parts]
    assert places == sorted(places)


@pytest.mark.parametrize("width", [20, 40, 59, 60, 80, 100])
def test_no_line_is_longer_than_the_screen(width):
    layout = Layout(width)
    lines = [*render.card(layout, CARD, 12, True), *ending.reading(layout, READING)]
    assert max(map(len, lines)) <= width


@pytest.mark.parametrize("height", range(24, 10, -1))
def test_a_low_screen_drops_the_least_needed_and_never_a_safety_note_or_an_answer(height):
    pages = render.pages(Layout(80, height=height), CARD, 3, True)
    text = " ".join(" ".join(line for page in pages for line in page).split())
    for needed in (
        "Wash water can scald. Let it cool before you drain it.",
        "Sheet metal cuts. Wear gloves.",
        "How high",
        "Measure straight",
        "1 below",
        "2 above",
    ):
        assert needed in text
    if "Beside it one" not in text:
        assert "Beside it two" not in text


def test_the_order_of_what_goes():
    told = {
        "hint": "or: why",
        "two": "Beside it two",
        "one": "Beside it one",
        "why": "why now",
        "whose": "Common practice",
        "rule": "39 in to 96 in",
    }
    gone = []
    for height in range(30, 7, -1):
        text = "\n".join(line for page in render.pages(Layout(80, height=height), CARD, 3, True) for line in page)
        gone += [name for name, words in told.items() if words not in text and name not in gone]
    assert gone == list(told)[: len(gone)]
    assert len(gone) >= 4


def test_notes_that_crowd_a_card_stand_on_a_page_before_it():
    crowd = [
        Note(
            signal="WARNING",
            title=str(n),
            says=f"Danger number {n} " + "that is told at some length here " * 4,
            hazard=str(n),
        )
        for n in range(6)
    ]
    crowded = Card(
        kind="remedy",
        id="x",
        title="Mend it",
        steps=["Do this with both hands, slowly. " * 4] * 5,
        notes=crowd,
        choices=[Choice(id="done", says="done")],
    )
    pages = render.pages(Layout(80), crowded)
    assert len(pages) == 2
    assert all(len(page) <= 23 for page in pages)
    assert sum("WARNING" in line for line in pages[0]) == 6
    assert "Before you start:" in pages[0]
    assert not any("WARNING" in line for line in pages[1])


def test_a_gate_names_its_word_and_what_stops():
    card = Card(
        kind="gate",
        id="gas",
        title="Gas",
        notes=NOTES[:1],
        question="Is there any smell of gas?",
        word="none",
        why="safety comes first",
    )
    text = "\n".join(render.card(Layout(80), card))
    assert text.startswith("BEFORE ANYTHING ELSE")
    assert "type the word none" in text
    assert "If not, or in doubt, type not safe" in text
    assert "if it is so" not in text  # "none, if it is so" would mean the opposite of the question


def test_a_stop_says_what_to_do_whom_to_call_and_how_to_come_back():
    card = Card(
        kind="stop",
        id="gas",
        title="Smell of gas",
        notes=NOTES[:1],
        do_now=["Everybody out now.", "Call from outside."],
        call="The gas utility.",
        word="none",
    )
    kept, lost = (" ".join(render.stop(Layout(80), card, kept)) for kept in (True, False))
    for text in (kept, lost):
        assert re.search(
            r"STOP  Smell of gas.*1  Everybody out now\..*2  Call from outside\..*call +The gas utility\.", text
        )
        assert "the word is none" in text
    assert "Your case is kept" in kept
    assert "kept" not in lost


@pytest.mark.parametrize("style", ["DANGER", "WARNING", "CAUTION", "NOTICE", "strong", "dim"])
def test_colour_adds_no_word_and_takes_none(style):
    plain, painted = Layout(80), Layout(80, colour=True)
    assert re.sub(r"\x1b\[[0-9;]*m", "", painted.paint("words", style)) == plain.paint("words", style) == "words"
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in render.card(painted, CARD, 3, True)]
    assert bare == render.card(plain, CARD, 3, True)


def test_a_number_line_shows_where_the_reading_lies():
    for value, order in ((0.5, "#|="), (1.7, "|#|"), (2.8, "=|#")):
        row = ending.number_line(
            READING.__class__(**{f: getattr(READING, f) for f in READING.__struct_fields__} | {"value": value}), 60
        )[0].strip()
        assert len(row) == 60
        inner = row[1:-1]
        at, low, high = inner.index("#"), inner.index("|"), inner.rindex("|")
        assert {"#|=": at < low, "|#|": low < at < high, "=|#": at > high}[order], row


@pytest.mark.parametrize(("low", "high"), [(None, 1.0), (1.0, None), (1.0, 1.0)])
def test_a_number_line_with_one_limit_or_a_point(low, high):
    fields = {f: getattr(READING, f) for f in READING.__struct_fields__}
    for value in (0.2, 1.0, 2.9):
        rows = ending.number_line(Measured(**fields | {"low": low, "high": high, "value": value}), 40)
        assert rows[0].count("#") == 1
        assert len(rows[0].strip()) == 40


def test_a_reading_tells_its_limits_and_what_stands_beside_it():
    text = " ".join(" ".join(ending.reading(Layout(80), READING)).split())
    assert "31 in (79 cm), below common practice by 8 in (20 cm)." in text
    assert "= 39 in (99 cm) to 96 in (244 cm)" in text
    assert "beside Within the town's code" in text


def test_an_ending_tells_finding_rule_doubt_and_hand_over():
    found = Finding(
        cause="low",
        title="Pipe too low",
        says="",
        kind="site",
        p=0.9,
        rule="height",
        rule_text="Height: 39 in",
        mistaken_for=[],
        text="Pipe too low. It explains what you see 90 in 100.",
    )
    beliefs = [
        Belief(cause=c, title=t, kind="site", p=p, present=p, breaks=None)
        for c, t, p in (("low", "Pipe too low", 0.9), ("taped", "Hose taped in", 0.06), ("worn", "Pump worn", 0.004))
    ]
    booked = HandOn(
        to="plumber",
        fee=120,
        text="Book a licensed plumber.",
        looked=["Looked at and in order: hose depth."],
        until=["stay with the washer while it drains."],
        tell=["What is wrong: it siphons."],
        bring=["pipe"],
    )
    text = " ".join(
        " ".join(
            ending.ending(
                Layout(80),
                advice(finding=found, beliefs=beliefs, hand_on=booked, readings=[READING], unchecked=["hose-depth"]),
            )
        ).split()
    )
    assert "FOUND Pipe too low. It explains what you see 90 in 100." in text
    assert "or else hose taped in 6 in 100" in text
    assert "pump worn" not in text.lower()
    assert text.count("31 in (79 cm), below") == 1
    assert "beside" not in text  # said when the reading was taken
    assert (
        "NEXT Book a licensed plumber. Looked at and in order: hose depth. meantime Stay with the washer while it drains."
        in text
    )
    assert "bring pipe" in text
    assert "not seen hose depth" in text


def test_a_normal_finding_is_never_called_a_fault():
    found = Finding(
        cause="n",
        title="Shudder",
        says="",
        kind="normal",
        p=0.9,
        rule=None,
        rule_text="healthy behaviour",
        mistaken_for=["Bolts left in: it grows with speed"],
        text="This is normal: it shudders.",
    )
    text = " ".join(ending.ending(Layout(80), advice(finding=found)))
    assert "NORMAL" in text
    assert "FOUND" not in text
    assert "unless" in text


def test_advice_as_text_names_the_unknown_and_what_was_worked_out():
    worked = WorkedOut(
        rule="height",
        title="Height",
        working="w",
        text="Height: 8 in too low",
        verdict="broken",
        side="below",
        conformity=0.0,
        says=["it siphons"],
    )
    text = " ".join(
        " ".join(
            ending.advice(
                Layout(80),
                advice(
                    complaints=["siphons"],
                    beliefs=[Belief(cause="low", title="Pipe too low", kind="site", p=0.9, present=0.9, breaks=None)],
                    worked_out=[worked],
                ),
            )
        ).split()
    )
    assert "90 % Pipe too low" in text
    assert "10 % something this kb does not know" in text
    assert "Height: 8 in too low. that is it siphons" in text


def test_words_longer_than_the_screen_are_broken_not_pushed_out():
    assert all(len(line) <= 20 for line in Layout(20).labelled("rule", "x" * 90))
    assert all(len(line) <= 20 for line in Layout(20).wrap("y" * 90, 6, "   12"))


@given(st.text(max_size=30) | st.text(alphabet="ab \t-\n\u2028", max_size=30), st.integers(1, 30))
def test_a_text_that_fits_its_line_is_laid_out_as_the_library_lays_it_out(text, width):
    first, *rest = textwrap.wrap(visible(text), width) or [""]
    assert Layout(width).wrap(text) == [first.rstrip(), *rest]
