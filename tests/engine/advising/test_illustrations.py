"""The kb's pictures: each can be drawn with its limits, is found by its id, and is drawn to a case's readings."""

import re

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.illustrations import (
    drawn,
    everything,
    figures_of,
    limit_words,
    of_check,
    of_remedy,
    record_of,
    shown_by,
)
from dryfloor.engine.case.events import Event
from dryfloor.engine.measurement.formatting import READER
from dryfloor.engine.pictures.picture import laid_out
from tests.engine.pictures.test_picture import sound


@pytest.fixture(params=["both", "si-first"])
def reader(request):
    """Whose units come first."""
    token = READER.set(request.param)
    yield request.param
    READER.reset(token)


@pytest.mark.slow
def test_each_picture_of_the_kb_keeps_its_words_apart_and_inside(kb, reader):
    for name, shown in everything(kb).items():
        record = record_of(kb, name)
        figures = figures_of(kb, shown, record)
        state = "" if record.right else record.state or ""
        sound(
            laid_out(
                record.scene,
                record.marks,
                state=state,
                right=record.right or "",
                wrong=record.wrong or "",
                figures=figures,
            )
        )


def test_each_is_found_by_its_id(kb):
    found = everything(kb)
    assert len(found) > 300
    assert {name: shown_by(kb, name) for name in found} == found
    assert shown_by(kb, "rule-nothing") is None
    assert shown_by(kb, "remedy-nothing-1") is None


def test_steps_have_their_pictures(kb):
    for cause in kb.causes.values():
        assert all(0 <= i.step <= len(cause.remedy.steps) for i in of_remedy(kb, cause))


def test_a_reading_is_drawn_and_a_finding_shows_why(kb):
    events = [Event(role="technician"), Event(complaints=["siphons"]), Event(check="standpipe-height", value="31 in")]
    advice = advise(kb, events)
    shown = of_check(kb, kb.checks["standpipe-height"])[0]
    svg = drawn(kb, shown, advice.readings)
    assert "31 in" in svg
    assert "at least 39 in" in " ".join(re.findall(r">([^<]+)</text>", svg))


def test_limits_in_few_words(kb, reader):
    rules = [r for r in kb.rules.values() if r.min or r.max]
    assert limit_words(kb.rules["standpipe-height"]) == ("39 to 96 in" if reader == "both" else "99 to 244 cm")
    assert limit_words(kb.rules["heater-hot-enough"]) == ("at least 110 F" if reader == "both" else "at least 43 °C")
    assert all(limit_words(r) for r in rules)
    assert max(len(limit_words(r)) for r in rules) < 32


def test_a_kb_that_names_no_scene_shows_nothing_and_breaks_nothing(kb):
    import msgspec

    rule = kb.rules["standpipe-height"]
    bad = msgspec.structs.replace(rule, picture=msgspec.structs.replace(rule.picture, scene="nowhere"))
    spoiled = msgspec.structs.replace(kb, rules={**kb.rules, rule.id: bad})
    assert drawn(spoiled, shown_by(spoiled, "rule-standpipe-height")) == ""


@pytest.mark.parametrize(
    ("rule", "seconds", "gallons_a_minute"),
    [("cold-hose-flow", 20, 2.9), ("cold-hose-flow-europe", 45, 5 / 3.785411784)],
)
def test_a_flow_taken_with_bucket_and_clock_has_its_limit_in_seconds(kb, rule, seconds, gallons_a_minute):
    """Gallon of 231 cubic inches, 3.785411784 L (exact): a second more than is said would be too little water."""
    svg = drawn(kb, everything(kb)[f"rule-{rule}"])
    assert f"at most {seconds} s" in " ".join(re.findall(r"<text[^>]*>([^<]*)", svg))
    assert 60 / (seconds + 1) < gallons_a_minute <= 60 / seconds


def test_the_mark_on_the_bucket_is_in_the_readers_units(kb):
    for who, mark in (("both", "1 gal"), ("si-first", "3.8 L")):
        token = READER.set(who)
        words = re.findall(r"<text[^>]*>([^<]*)", drawn(kb, everything(kb)["rule-cold-hose-flow"]))
        READER.reset(token)
        assert mark in words
