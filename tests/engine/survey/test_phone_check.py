"""A phone check before delivery is told in its own words: what was asked, what is to be put right, what is still to be asked."""

from msgspec.structs import replace

from dryfloor.cli.commands.survey import exit_of, status
from dryfloor.cli.render.acceptance import page
from dryfloor.cli.render.survey import lines
from dryfloor.cli.result import Exit
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.errors import Problem
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.paper.unread import Unread
from dryfloor.engine.shortlist.printed import due_lines
from dryfloor.engine.survey.areas import beforehand
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.blank_sheet import blank_lines
from dryfloor.engine.survey.customer import customer

FACTS = {"drain": "standpipe", "supply-system": "us-120", "dryer-beside": "no-dryer", "machine": "top-loader"}
SAID = {"outlet-holes": "two-slots", "standpipe-height": "42 in", "way-in": "clear"}
PHONE = FilledSheet("Alder Lane 4", FACTS, SAID, None, "homeowner", tuple(SAID))


def test_what_was_asked_and_what_is_still_to_be_asked_make_up_the_whole_phone_sheet(kb):
    done = survey(kb, PHONE, "before").phone
    assert (done.asked, done.wrong) == (3, 1)
    whole = due_lines(kb, blank_lines(kb, "homeowner", FACTS), FilledSheet("x", FACTS, {}, None, "homeowner"), "before")
    facts = {f.id for f in beforehand(kb)} - {*FACTS}
    assert {m.id for m in done.to_ask if not m.fact} == {c.id for c in whole} - {*SAID}
    assert {m.id for m in done.to_ask if m.fact} == facts
    assert survey(kb, PHONE, "door").phone is None


def test_nothing_of_a_phone_check_is_called_measured_seen_or_done(kb):
    done = survey(kb, PHONE, "before")
    screen = " ".join(" ".join(lines(Layout(80), kb, done)).split())
    html = page(kb, done)
    assert "3 things asked, 1 to be put right before the van comes, 2 as it must be" in screen
    assert "TO SETTLE BEFORE DELIVERY" in screen
    assert "STILL TO ASK" in screen
    for text in (screen, html):
        for word in (
            "not measured",
            "Done and seen",
            "Not measured",
            "DON'T RUN IT",
            "Lines left empty",
            "Measured by",
        ):
            assert word not in text, word
    assert "To be put right before the van comes" in html
    assert "Still to be asked" in html
    assert "Seen and right" not in html
    low = survey(kb, replace(PHONE, readings={**SAID, "standpipe-height": "31 in"}), "before")
    assert not any(
        "31 in" in text for text in customer(kb, low).told
    )  # one code's limit is kept, and it is to be mended


def test_a_code_that_nobody_named_is_not_named_for_it(kb):
    stuck = FilledSheet("s", {"supply-system": "us-120"}, {"taps-reachable": "stuck"}, None, "technician")
    found = survey(kb, stuck).findings[0]
    assert found.title == "Access to the taps"
    assert "each code that may be in force there: IRC 2021; IPC 606.3" in found.whose
    named = survey(kb, FilledSheet("s", {"plumbing-code": "irc"}, {"taps-reachable": "stuck"}, None, "technician"))
    assert (named.findings[0].title, named.findings[0].whose) == (
        "Access to the taps (IRC)",
        "IRC 2021, binds where adopted",
    )


def test_a_limit_from_memory_is_shown_where_it_judges(kb):
    here = {"drain": "standpipe", "machine": "front-loader", "supply-system": "us-120"}
    done = survey(kb, FilledSheet("s", here, {"standpipe-height": "34 in"}, None, "technician"))
    text = " ".join(" ".join(lines(Layout(80), kb, done)).split())
    limit = "24 in (61 cm) to 96 in (244 cm)"
    assert (
        f"34 in (86 cm) (by {limit}; front loaders' manuals often allow 24 to 96 in, from memory, unverified)" in text
    )
    customer, firm = page(kb, done).split('<section class="firm"')
    assert f"{limit}; from memory, unverified" in firm
    assert "from memory" not in customer


def test_a_phone_check_says_that_nothing_is_in_the_way(kb):
    """And asks nobody for minutes of work on a machine that is not there."""
    good = replace(PHONE, readings={**SAID, "outlet-holes": "three-holes"})
    screen = " ".join(" ".join(lines(Layout(80), kb, survey(kb, good, "before"))).split())
    assert "BEFORE DELIVERY: NOTHING IN THE WAY SO FAR" in screen
    assert "OF YOUR WORK" not in screen
    bad = " ".join(" ".join(lines(Layout(80), kb, survey(kb, PHONE, "before"))).split())
    assert "NOTHING IN THE WAY" not in bad
    unasked = replace(PHONE, readings={"way-in": "clear"})
    assert "NOTHING IN THE WAY" not in " ".join(lines(Layout(80), kb, survey(kb, unasked, "before")))


def test_before_delivery_nobody_is_told_what_to_do_with_a_washer_until_then(kb):
    low = survey(kb, replace(PHONE, readings={**SAID, "standpipe-height": "31 in"}), "before")
    assert any(s.startswith("Until then") for f in low.findings for s in f.mend.steps)
    assert "Until then" not in " ".join(lines(Layout(80), kb, low)).replace(
        "Is a washer in use there now? Until then", ""
    )


def test_a_sheet_of_a_stage_is_judged_by_the_lines_of_that_stage(kb):
    door = survey(kb, FilledSheet("x", FACTS, {"basket-packing-left": "clear"}, None, "technician"), "door")
    assert "Spin stays put" not in door.stage_left
    assert "Way in" in door.stage_left
    assert survey(kb, FilledSheet("x", FACTS, SAID, None, "technician")).stage_left == []


def test_lines_that_nobody_understood_keep_a_phone_check_from_being_settled(kb):
    """And the headline says how many, for what stands there may be in the way."""
    good = replace(PHONE, readings={**SAID, "outlet-holes": "three-holes"})
    problem = Problem(code="C021", message="?", expected="", mend="")
    lost = Unread(name="way-in", title="Way in", said="wibble", problem=problem, block="readings")
    done = survey(kb, replace(good, unread=(lost,)), "before")
    screen = " ".join(" ".join(lines(Layout(80), kb, done)).split())
    assert "NOTHING IN THE WAY" not in screen
    assert "BEFORE DELIVERY: NOT SETTLED, 1 LINE NOT UNDERSTOOD" in screen
    assert (status(done), exit_of(done)) == ("not-finished", Exit.UNFINISHED)
