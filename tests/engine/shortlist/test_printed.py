"""A sheet for minutes or a stage: it can be filled in and read back, and what was filled before goes on with it."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.paper.filled_sheet import FilledSheet, taken_on, text_of
from dryfloor.engine.shortlist.choice import SheetLines
from dryfloor.engine.shortlist.printed import due_lines, printed
from dryfloor.engine.shortlist.round import in_order
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.must_see import STAGES, asked_again, missing, without
from tests.engine.paper.test_sheet_reading import parsed
from tests.support.installations import normal
from tests.support.leads import no_leads  # noqa: F401  (of every survey here)

SITE = {"drain": "standpipe", "supply-system": "us-120", "dryer-beside": "no-dryer", "machine": "top-loader"}


def fill(kb, text, names):
    """Return a printed sheet with normal values in some lines."""
    for name in names:
        assert text.count(f"\n  {name}:\n") == 1, name
        text = text.replace(f"\n  {name}:\n", f'\n  {name}: "{normal(kb, kb.checks[name])}"\n')
    return text


@pytest.mark.parametrize("width", [39, 79])
def test_a_sheet_for_ten_minutes_filled_with_usual_values_is_finished(kb, width):
    filled = FilledSheet("Survey", SITE, {}, None, "technician")
    choice = SheetLines(network_of(kb), "technician", SITE).choose(10)
    text = printed(kb, filled, in_order(kb, [kb.checks[n] for n in choice.lines]), choice=choice, width=width)
    assert [x for x in text.splitlines() if len(x) > width] == []
    assert len(text.splitlines()) < (320 if width == 39 else 160)
    back = parsed(kb, fill(kb, text, choice.lines))
    assert back.facts == SITE
    done = survey(kb, back)
    assert done.missing == []
    assert done.counts["broken"] == 0


def test_a_sheet_goes_on_from_stage_to_stage_until_it_is_finished(kb):
    filled = FilledSheet("Fen Lane 2", SITE, {}, None, "homeowner")
    for stage in STAGES:
        filled = taken_on(filled, "homeowner" if stage == "before" else "technician")
        more = asked_again(kb, filled)  # what was told on the phone is looked at
        left = without(filled, more)
        lines = due_lines(
            kb, SheetLines(network_of(kb), left.hands, left.facts, stage, left.readings).of_worth(), left, stage
        )
        assert lines, stage
        before = dict(filled.readings)
        filled = parsed(kb, fill(kb, printed(kb, filled, lines, stage=stage, once_more=more), [c.id for c in lines]))
        assert before.keys() <= filled.readings.keys()
        assert missing(kb, filled, stage) == []
    assert filled.hands == "technician"
    assert filled.told == ()  # all that a caller said was looked at or measured by whoever came
    done = survey(kb, filled)
    assert (done.missing, done.counts["broken"], done.failed) == ([], 0, False)
    assert parsed(kb, text_of(filled)) == replace(filled, read_as={})


MAIN = (
    "standpipe-height",
    "outlet-distance",
    "outlet-holes",
    "taps-reachable",
    "breaker-number",
    "floor-soft",
)


@pytest.mark.parametrize("stage", ["door", "hook-up", "leaving"])
def test_what_a_place_measures_is_asked_at_every_stage_until_somebody_measured_it_there(kb, stage):
    """A caller's word is none of the installer's own: drain height, outlet, taps and floor are asked again, with what was told."""
    site = {**SITE, "floor": "wood-joists"}
    empty = FilledSheet("x", site, {}, None, "technician")
    every = SheetLines(network_of(kb), "technician", site, stage).of_worth()
    due_here = {c.id for c in due_lines(kb, every, empty, stage)}
    assert set(MAIN) <= due_here
    assert ("way-in" in due_here) == (stage == "door")  # later it is through
    told = replace(empty, readings={"standpipe-height": "42 in"}, told=("standpipe-height",))
    more = asked_again(kb, told)
    lines = due_lines(kb, every, without(told, more), stage)
    text = printed(kb, told, lines, stage=stage, once_more=more)
    assert "\n  standpipe-height:\n" in text
    assert 'told by the customer as "42 in"; measure it here' in " ".join(text.replace("#", " ").split())
    assert (
        parsed(kb, text.replace("\n  floor-soft:\n", "\n  floor-soft: sound\n")).by("standpipe-height") == "homeowner"
    )
    mine = parsed(kb, text.replace("\n  standpipe-height:\n", "\n  standpipe-height: 44 in\n"))
    assert (mine.told, mine.readings["standpipe-height"]) == ((), "44 in")
    assert "standpipe-height" not in {c.id for c in due_lines(kb, every, mine, stage)}


def test_the_desk_reads_aloud_what_a_caller_is_asked(kb):
    filled = FilledSheet("Survey", {}, {}, None, "homeowner")
    lines = due_lines(kb, SheetLines(network_of(kb), "homeowner", {}, "before").of_worth(), filled, "before")
    tidy = " ".join(printed(kb, filled, lines, role="desk", stage="before").replace("#", " ").split())
    for check in lines:
        assert " ".join(kb.checks[check.id].ask.desk.split()) in tidy
    for name in ("way-in", "standpipe-height", "outlet-holes", "taps-reachable", "floor-soft"):
        assert name in {c.id for c in lines}
    for fact in ("drain", "place", "dryer-beside", "floor"):
        assert " ".join(kb.facts[fact].ask.desk.split()) in tidy
    assert "code" not in " ".join(kb.facts[f].id for f in kb.facts if f"{f}:" in tidy)


def test_the_machines_sheet_says_how_many_restraints_were_fitted(kb):
    filled = FilledSheet("Survey", SITE, {}, None, "technician")
    own = replace(kb, data={"restraints": "4"})
    assert "4 were fitted" in printed(own, filled, [kb.checks["restraints-counted"]], stage="door")
    assert "machine's sheet: " not in printed(kb, filled, [kb.checks["restraints-counted"]], stage="door")


def test_a_line_that_hangs_on_a_fact_says_on_which(kb):
    filled = FilledSheet("Survey", {}, {}, None, "technician")
    text = printed(kb, filled, [kb.checks["siphon-break-fitted"]], stage="hook-up")
    assert "only where kind of drain: in a drain in the floor" in text
    known = replace(filled, facts={"drain": "floor-drain"})
    assert "only where" not in printed(kb, known, [kb.checks["siphon-break-fitted"]], stage="hook-up")


def test_what_a_customer_read_keeps_a_customers_give_or_take(kb):
    sheet = FilledSheet("x", {**SITE}, {"gap-behind": "2 11/16 in"}, None, "technician")
    assert survey(kb, sheet).failed
    assert not survey(kb, replace(sheet, told=("gap-behind",))).failed


def test_what_was_not_understood_and_what_was_noted_go_on_to_the_next_sheet(kb):
    filled = parsed(
        kb,
        "facts: {drain: standpipe}\nreadings: {hose-sealed: heaps, shelf: 4 in, drip-rate: dry}\nnotes: [the key is next door]\n",
    )
    text = printed(kb, filled, [kb.checks["hose-sealed"]], stage="hook-up")
    assert 'written there, and not understood: "heaps"' in text
    again = parsed(kb, text)
    assert again.notes == ("the key is next door", "shelf: 4 in")
    assert again.stage == "hook-up"
