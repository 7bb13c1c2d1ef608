"""Every card of the shipped kb, in every voice, fits the screen that people have."""

import re

import msgspec
import pytest

from dryfloor.cli.render import card as render
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.advice import Step
from dryfloor.engine.advising import cards
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.measurement.readings import limits, reading
from dryfloor.engine.planning import roles

ROLES = ("homeowner", "desk", "technician")
ROWS = 23  # of 24, the last being the prompt's


def longest_why(kb):
    """A reason as long as the kb can make one: the longest answer and the longest title."""
    says = max((a.says for c in kb.checks.values() for a in c.answers.values()), key=len)
    title = max((c.title for c in kb.causes.values()), key=len)
    return f'if "{says}", it is almost surely this: {title.lower()} (under 1 in 100 so far)'


@pytest.fixture(scope="module")
def deck(kb):
    """Return (role, name, card) of every check, fact, gate, stop, remedy and hand-over."""
    network, why, out = network_of(kb), longest_why(kb), []
    for role in ROLES:
        state = fold(kb, [Event(role=role)])
        analysis = Analysis(network, state)

        def made(kind, name, title, minutes=1.0, cause=None, why=why, state=state, analysis=analysis, role=role):
            step = Step(kind=kind, id=name, title=title, why=why, minutes=minutes, cost=1, cause=cause)
            out.append((role, f"{kind} {name}", cards.card(network, state, analysis, step, None)))

        for c in kb.checks.values():
            made("check", c.id, c.title, roles.minutes_of(c.minutes, state.hands) or 22.5)
        for f in kb.facts.values():
            made("fact", f.id, f.title)
        for h in kb.hazards.values():
            if h.gate:
                made("gate", h.id, h.title, why="safety comes before the question")
                made("stop", h.id, h.title)
        for c in kb.causes.values():
            made("remedy", c.id, c.remedy.title, c.remedy.minutes, c.id)
    return out


@pytest.fixture(scope="module")
def faces(deck):
    """The deck without cards that are the same for another role: they are shown alike."""
    return list({msgspec.json.encode(card): (role, name, card) for role, name, card in deck}.values())


def test_the_deck_is_whole(kb, deck):
    gates = sum(h.gate is not None for h in kb.hazards.values())
    assert len(deck) == 3 * (len(kb.checks) + len(kb.facts) + 2 * gates + len(kb.causes))


@pytest.mark.parametrize("number", [0, 9, 99])
def test_every_page_fits_80_by_24_with_the_prompt(faces, number):
    wrong = []
    for role, name, card in faces:
        for page in render.pages(Layout(80), card, number, True):
            if len(page) > ROWS or max(map(len, page)) > 80:
                wrong.append(f"{role} {name}: {len(page)} lines, {max(map(len, page))} columns")
    assert not wrong


@pytest.mark.parametrize("width", [20, 40])
def test_no_line_is_longer_than_a_narrow_screen(faces, width):
    wrong = [
        f"{role} {name}: {line!r}"
        for role, name, card in faces
        for line in render.card(Layout(width), card, 12, True)
        if len(line) > width
    ]
    assert not wrong


@pytest.mark.parametrize("width", [40, 80])
def test_no_card_loses_a_safety_note_a_question_a_way_or_an_answer(faces, width):
    for role, name, card in faces:
        text = " ".join(" ".join(line for page in render.pages(Layout(width), card, 12, True) for line in page).split())
        kept = [n.says for n in card.notes if card.kind != "stop"] + [
            n.signal for n in card.notes if card.kind != "stop"
        ]
        kept += [
            card.question,
            card.how,
            *card.steps,
            *card.do_now * (card.kind == "stop"),
            card.example,
            *(c.says for c in card.choices),
        ]
        for words in kept:
            # A word may be cut at the end of a line, at a hyphen of its own.
            assert "".join(words.split()) in "".join(text.split()), (role, name, words)


def test_at_80_columns_a_check_keeps_its_rule(deck):
    """The rule goes last: where it would, the safety notes get a page of their own."""
    for role, name, card in deck:
        if card.kind == "check" and card.rule:
            text = "".join("".join(line for page in render.pages(Layout(80), card, 12) for line in page).split())
            assert "".join(card.rule[0].split())[1:] in text, (role, name)


def test_the_example_of_a_reading_can_be_typed_and_gives_no_answer_away(kb, deck):
    """Each of its ways is read where it is asked and is near what is asked for; none of them is the limit itself."""
    examples = {name.partition(" ")[2]: c.example for role, name, c in deck if role == "technician" and c.example}
    assert {c.id for c in kb.checks.values() if c.kind == "measure"} == set(examples)
    for check, example in examples.items():
        marks = [v for v in limits(kb.rules[kb.checks[check].rule]) if v is not None]
        for written in re.split(r", or | or |, ", example):
            value = reading(kb, check, written, "technician").value
            assert value not in marks, check
            if kb.rules[kb.checks[check].rule].measures != "temperature":
                assert max(marks) / 10 < value < 10 * max(marks), (check, written)


def test_whoever_mends_it_reads_what_to_ask_for_at_the_counter(kb, deck):
    """Size, thread or what to take along, beside each part that somebody buys for themselves; a technician knows."""
    bought = {p for c in kb.causes.values() if c.remedy.by == "anyone" for p in c.remedy.parts}
    assert [p for p in sorted(bought) if not kb.parts[p].ask_for] == []
    told = {role: c.parts for role, name, c in deck if name == "remedy arrester-missing"}
    assert told["technician"] == ["2 x water hammer arrester with hose thread"]
    assert "3/4-11.5 NH" in told["homeowner"][0]
    assert "ASSE 1010" in told["homeowner"][0]
