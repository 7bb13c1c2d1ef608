"""A line says declined: the mend or the look is the customer's choice, and what can hurt is nobody's."""

import pytest
from msgspec.structs import replace

from dryfloor.cli.commands.survey import exit_of, status
from dryfloor.cli.render.acceptance import page
from dryfloor.cli.result import Exit
from dryfloor.engine.paper.filled_sheet import text_of
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.customer import customer
from dryfloor.engine.survey.declined import STAYS
from tests.engine.paper.test_sheet_reading import parsed
from tests.support.installations import sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)


def with_lines(kb, **lines):
    """Return the survey of a sound installation with some lines written otherwise, as its sheet is read."""
    filled = sound(kb, "sound")
    said = {**filled.readings, **{k.replace("_", "-"): v for k, v in lines.items()}}
    text = text_of(replace(filled, readings=said))
    return survey(kb, parsed(kb, text))


def test_a_trades_mend_that_hurts_nobody_can_be_declined_and_keeps_nobody_there(kb):
    done = with_lines(kb, standpipe_height="31 in, declined")
    (found,) = done.findings
    assert (found.mend.by, found.declined) == ("plumber", True)
    assert (done.counts["broken"], done.failed, status(done), exit_of(done)) == (1, False, "declined", Exit.DONE)
    (told,) = done.declined
    assert (told.kind, told.check) == ("mend", "standpipe-height")
    mine = customer(kb, done)
    assert mine.to_do == []
    assert "31 in" in mine.declined[0]
    assert "within a year" in mine.declined[0]
    html = page(kb, done)
    first, firm = html.split('<section class="firm"')
    assert "Declined by the customer" in first
    assert "declined by the customer" in firm


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ({"outlet_holes": "two-slots, declined"}, "shock"),
        ({"ground_fault_device": "no-test-button, declined"}, "shock"),
        ({"hot_tap_temperature": "150 F declined"}, "scald"),
        ({"things_on_top": "things; declined"}, "whoever installs"),
        ({"outlet_voltage": "112 V, declined"}, "guards against a danger"),
        ({"spin_stays_put": "declined"}, "nobody leaves without it"),
    ],
)
def test_what_can_hurt_and_what_whoever_installs_owes_stays(kb, line, why):
    done = with_lines(kb, **line)
    (told,) = done.declined
    assert told.kind == "stays"
    assert why in told.text
    assert "can't be declined" in told.text
    assert exit_of(done) != Exit.DONE
    assert not any(f.declined for f in done.findings)


def test_a_look_can_be_declined_where_it_must_not_be_seen(kb):
    done = with_lines(kb, trap_vent_seen="declined")
    assert exit_of(done) == Exit.DONE
    assert [(x.kind, x.check) for x in done.declined] == [("look", "trap-vent-seen")]
    assert customer(kb, done).declined == ["Vent of the trap: not looked at"]
    assert STAYS not in page(kb, done)


def test_a_sheet_says_declined_as_it_was_read(kb):
    sheet = parsed(
        kb, "facts: {drain: standpipe}\nreadings:\n  standpipe-height: 31 in, declined\n  hose-sealed: Declined\n"
    )
    assert (sheet.readings, sheet.declined) == ({"standpipe-height": "31 in"}, ("standpipe-height", "hose-sealed"))
    assert parsed(kb, text_of(sheet)) == sheet
    cut = parsed(kb, "readings: {standpipe-height: 31 in, declined, hose-sealed: loose}\n")
    assert (cut.readings["standpipe-height"], cut.declined) == ("31 in", ("standpipe-height",))
    wrong = parsed(kb, "readings: {hose-seald: declined, standpipe-height: 40 in}\n")
    assert [(u.problem.code, u.problem.nearest) for u in wrong.unread] == [("S003", "hose-sealed")]
    assert wrong.declined == ()


def test_a_declined_mend_is_declined_for_all_that_it_would_put_right(kb):
    """The pipe's own height and the hose end that the physics puts under the water line are one job of one plumber."""
    from dryfloor.engine.paper.filled_sheet import FilledSheet, with_machine
    from dryfloor.engine.survey.assess import survey

    said = {"standpipe-height": "31 in", "hose-depth": "5 in"}
    facts = {"drain": "standpipe"}
    filled = FilledSheet("s", facts, said, "meadow-top-loader", "technician", declined=("standpipe-height",))
    own, filled = with_machine(kb, filled, None)
    found = survey(own, filled).findings
    assert {f.rules[0]: f.declined for f in found if f.mend.cause == "standpipe-too-low"} == {
        "standpipe-height": True, "hose-end-above-water-line": True
    }  # fmt: skip
