"""The first screen of a small phone, measured in the browser: what to do first stands on it whole, for every check, gate and remedy."""

import re

import pytest

from dryfloor.cli.page.answers.address import Address
from dryfloor.cli.page.answers.looked import Looked
from dryfloor.cli.page.answers.place import CaseLocation
from dryfloor.cli.page.answers.taken import Page
from dryfloor.cli.page.context import Browser, Context
from dryfloor.cli.page.homeowner import show
from dryfloor.engine.advice import Step
from dryfloor.engine.advise import advise
from dryfloor.engine.advising import cards
from dryfloor.engine.advising.next_step import gate_step
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import State
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning import roles
from tests.support.chromium import chromium, for_files, open_page, overflow  # noqa: F401

WIDE, HIGH = 320, 568
FULL, FIRST = 4, 3  # so many answers stand whole; of more, the first ones
HOME = State(role="homeowner", hands="homeowner")
SEEN = """() => [...document.querySelectorAll(
    '#question, .choices > button, .act > summary, .steps > li > label, #said, #words, .urgent .button, .choices > .button')]
    .map(e => [e.id || e.parentElement.className + ' ' + e.tagName, e.getBoundingClientRect().bottom + scrollY])"""


def all_cards(kb):
    """Each card that a homeowner may be shown, by what it is."""
    network = network_of(kb)
    for check in kb.checks.values():
        if roles.permitted(kb, check, "homeowner"):
            step = Step(kind="check", id=check.id, title=check.title, why="it tells", minutes=1, cost=1)
            yield f"check {check.id}", cards.check_card(kb, HOME, step)
    for fact in kb.facts.values():
        yield (
            f"fact {fact.id}",
            cards.fact_card(
                kb, HOME, Step(kind="fact", id=fact.id, title=fact.title, why="it tells", minutes=1, cost=1)
            ),
        )
    for hazard in kb.hazards.values():
        if hazard.gate:
            yield (
                f"gate {hazard.id}",
                cards.card(network, HOME, None, gate_step(kb, hazard.id, "safety comes first"), None),
            )
    for cause in kb.causes.values():
        if cause.remedy.by == "anyone" and roles.may_mend(kb, cause.remedy, "homeowner", HOME):
            step = Step(
                kind="remedy", id=cause.id, title=cause.remedy.title, why="it mends", minutes=5, cost=5, cause=cause.id
            )
            yield f"remedy {cause.id}", cards.card(network, HOME, None, step, None)


def wanted(card):
    """How many answers, or steps, must stand whole on the first screen."""
    if card.kind == "gate":
        return 2
    if card.kind == "remedy":
        return 1
    count = len(card.choices)
    return count if count <= FULL else FIRST


def drawn(context, card):
    """The page of a card, its sheet inside."""
    place = CaseLocation(base="/case", role="homeowner", address=Address(events=(Event(complaints=["walks"]),)))
    advice = advise(context.kb, place.events)
    page = Page(place=place, cleared=[], advice=advice, card=card, proof=False)
    return show(context, Browser(Looked(there=True), False), page).body.decode()


@pytest.fixture(scope="module")
def context(kb):
    """A site that only draws."""
    made = Context(kb)
    made.templates.globals["style"] = "/page.css"
    yield made
    made.close()


def screens(kb, context, page, css):
    """Yield each card with the bottoms of what a person looks for [px]."""
    for name, card in all_cards(kb):
        page.set_content(re.sub(r'<link rel="stylesheet"[^>]*>', f"<style>{css}</style>", drawn(context, card)))
        yield name, card, page.evaluate(SEEN)


@pytest.fixture(scope="module")
def css():
    """The sheet."""
    from dryfloor.cli.page.app import Styled

    return Styled().text.decode()


@pytest.mark.slow
def test_what_to_do_first_stands_on_the_first_screen(kb, context, open_page, css):  # noqa: F811
    page = open_page("about:blank", viewport={"width": WIDE, "height": HIGH}, java_script_enabled=True)
    below = {}
    for name, card, found in screens(kb, context, page, css):
        kinds = [f for f in found if f[0] != "question"]
        rows = {
            "gate": [f for f in kinds if f[0].startswith("act")],
            "remedy": [f for f in kinds if f[0].endswith("LABEL")],
        }.get(card.kind, [f for f in kinds if f[0].startswith("choices")])
        first = [f for f in kinds if f[0] == "said"] if card.measures else rows[: wanted(card)]
        assert first, name
        low = max(f[1] for f in first)
        if low > HIGH:
            below[name] = round(low)
        assert overflow(page) == [], name
    assert not below, sorted(below.items(), key=lambda x: -x[1])


@pytest.mark.slow
def test_the_start_has_what_is_dangerous_now_and_the_field_on_the_first_screen(context, open_page, css):  # noqa: F811
    page = open_page("about:blank", viewport={"width": WIDE, "height": HIGH})
    place = CaseLocation(base="/case", role="homeowner", address=Address())
    advice = advise(context.kb, place.events)
    html = show(
        context, Browser(Looked(), False), Page(place=place, cleared=[], advice=advice, card=advice.card, proof=False)
    )
    page.set_content(re.sub(r'<link rel="stylesheet"[^>]*>', f"<style>{css}</style>", html.body.decode()))
    found = page.evaluate(SEEN)
    assert [f[0] for f in found[:6]] == ["question", *["urgent A"] * 4, "words"]
    assert max(f[1] for f in found[:6]) <= HIGH


@pytest.mark.parametrize("kind", ["gate", "check", "remedy"])
def test_what_to_do_first_comes_first_in_the_text(kb, context, kind):
    """The quick twin: the order on the page without a browser."""
    name, card = next((n, c) for n, c in all_cards(kb) if c.kind == kind and c.notes and (kind != "check" or c.choices))
    text = drawn(context, card)
    first = {
        "gate": '<details class="act yes">',
        "remedy": '<ol class="steps">',
        "check": '<form method="post" action="/case?complaint=walks" class="choices"',
    }[kind]
    at = text.index(first)
    assert text.index('id="question"') < at, name
    assert at < text.index(card.notes[0].says[:30].replace("'", "&#39;"))
    assert at < text.index("<footer")
