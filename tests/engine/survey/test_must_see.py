"""Nobody leaves without what must be seen: each such line removed keeps a sheet from being finished."""

import pytest
from msgspec.structs import replace

from dryfloor.cli.commands.survey import exit_of
from dryfloor.cli.result import Exit
from dryfloor.engine.knowledge.strict_yaml import read
from dryfloor.engine.model import holds
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.paper.sheet_reading import sheet_of
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.must_see import STAGES, again, asked_again, due, hand_minutes, missing, must_see, without
from tests.support.installations import USUAL, sound
from tests.support.leads import no_leads  # noqa: F401  (of every survey here)
from tests.support.places import SHEETS


@pytest.mark.parametrize("name", [*USUAL, "sound-tub"])
def test_every_line_that_must_be_seen_is_missed_when_it_is_removed(kb, name):
    filled = sheet_of(kb, read(SHEETS / f"{name}.yaml"))
    assert missing(kb, filled) == []
    here = [c.id for c in must_see(kb, filled.hands) if holds(c.when, filled.facts)]
    assert len(here) >= 10
    for line in here:
        left = without(filled, [line, *kb.checks[line].on_sheet.instead])
        assert [m.id for m in missing(kb, left)] == [line]


def test_a_fact_that_decides_what_must_be_seen_is_asked_for(kb):
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    for fact in ("drain", "supply-system", "dryer-beside"):
        left = {k: v for k, v in filled.facts.items() if k != fact}
        found = missing(kb, replace(filled, facts=left))
        assert [(m.id, m.fact) for m in found] == [(fact, True)]


def test_what_must_be_seen_is_what_the_trade_asks(kb):
    """What an installer never leaves without: bolts counted, hook and tie, seal, couplings dry, taps open, rocking, a stacked dryer, ground, no extension, fill, drain, spin."""
    marked = {c.id for c in must_see(kb, "technician")}
    assert marked == {
        "restraints-counted", "drain-hose-in-hook", "hose-sealed", "siphon-break-fitted", "drip-rate", "washer-taps-turned",
        "rocks-by-hand", "dryer-held", "outlet-holes", "socket-earth", "extension-cord-used", "fill-and-watch", "full-drain-stays-in",
        "spin-stays-put",
    }  # fmt: skip
    assert all(c.on_sheet.must_see for c in must_see(kb, "technician"))


def test_a_stage_asks_no_more_than_can_be_seen_by_then(kb):
    nothing = FilledSheet(
        "x", {"drain": "standpipe", "supply-system": "us-120", "dryer-beside": "no-dryer"}, {}, None, "technician"
    )
    counts = [len(missing(kb, nothing, stage)) for stage in STAGES]
    assert counts == sorted(counts)
    assert counts[0] == 1
    assert missing(kb, nothing, STAGES[-1]) == missing(kb, nothing)
    assert due(None) == STAGES


def test_hands_are_free_while_it_runs_by_itself(kb):
    for check in kb.checks.values():
        if check.on_sheet and check.on_sheet.by_itself:
            for hands in ("homeowner", "technician"):
                whole = getattr(check.minutes, hands)
                if whole is not None:
                    assert 0 < hand_minutes(check, hands) < whole
        elif check.minutes.technician:
            assert hand_minutes(check, "technician") == check.minutes.technician


def test_what_a_customer_only_told_is_still_to_be_seen(kb):
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    told = replace(filled, told=("outlet-holes", "gap-behind"))
    assert [m.id for m in missing(kb, told)] == ["outlet-holes"]
    assert missing(kb, told)[0].why.startswith('told by the customer as "three holes')
    assert list(again(kb, told)) == ["outlet-holes"]
    left = without(told, again(kb, told))
    assert (left.told, "outlet-holes" in left.readings) == (("gap-behind",), False)


def test_a_run_before_the_mends_is_still_to_be_made(kb):
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    broken = replace(filled, readings={**filled.readings, "rocks-by-hand": "rocks"})
    assert [m.id for m in missing(kb, broken)] == ["spin-stays-put"]


RUNS = {"f": "fill-and-watch", "d": "full-drain-stays-in", "s": "spin-stays-put"}


@pytest.mark.parametrize(
    ("line", "said", "wanted"),
    [
        ("outlet-holes", "two-slots", ""),  # an electrician's outlet changes no water and no floor
        ("extension-cord-used", "cord", ""),
        ("drip-rate", "dripping", "f"),  # taps are closed and opened again
        ("washer-taps-turned", "part-closed", "f"),
        ("fill-hose-bulge", "bulge", "f"),
        ("hose-sealed", "taped", "fd"),  # the hose in the pipe
        ("drain-hose-in-hook", "slipped", "fd"),
        ("rocks-by-hand", "rocks", "s"),
        ("restraints-counted", "never-out", "s"),
    ],
)
def test_a_run_is_wanted_again_only_where_the_mend_could_have_changed_it(kb, line, said, wanted):
    """By what a mend touches, as an installer would say it: water in, drain, stand, or the plug alone."""
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    broken = replace(filled, readings={**filled.readings, line: said})
    assert {n for n in again(kb, broken) if n in RUNS.values()} == {RUNS[key] for key in wanted}


def test_the_depth_of_the_hose_does_in_the_place_of_its_seal(kb):
    """The trade asks for hose depth or seal: either is a look into the pipe's mouth."""
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    here = without(filled, ["hose-sealed", "hose-depth"])
    assert [m.id for m in missing(kb, here)] == ["hose-sealed"]
    for line in ("hose-sealed", "hose-depth"):
        one = replace(here, readings={**here.readings, line: filled.readings[line]})
        assert missing(kb, one) == []
        told = replace(one, told=(line,))
        assert [m.id for m in missing(kb, told)] == ["hose-sealed"]
        assert line in again(kb, told)
    both = replace(filled, told=("hose-sealed",))
    assert (missing(kb, both), again(kb, both)) == ([], {})


def test_what_was_measured_on_the_phone_is_measured_again_and_then_no_more(kb):
    filled = sheet_of(kb, read(SHEETS / "sound.yaml"))
    told = replace(filled, told=("standpipe-height", "hose-depth", "gap-behind"))
    assert asked_again(kb, told) == {"standpipe-height": 'told by the customer as "42 in"; measure it here'}
    assert missing(kb, told) == []


def sheets(kb):
    """Return sound sheets that between them have every line that must be seen."""
    usual = [sound(kb, name) for name in (*USUAL, "sound-tub")]
    floor = replace(usual[0], facts={**usual[0].facts, "drain": "floor-drain"})
    stacked = replace(usual[0], facts={**usual[0].facts, "dryer-beside": "stacked-electric-dryer"})
    return [
        *usual,
        replace(floor, readings={**floor.readings, "siphon-break-fitted": "level"}),
        replace(stacked, readings={**stacked.readings, "dryer-held": "held"}),
    ]


def lacking(kb):
    """Return each of these sheets without one of its lines that must be seen, and that line."""
    return [
        (check.id, without(filled, [check.id, *check.on_sheet.instead]))
        for filled in sheets(kb)
        for check in must_see(kb, filled.hands)
        if holds(check.when, filled.facts)
    ]


def test_every_line_that_must_be_seen_is_taken_from_some_sheet_and_missed_there(kb):
    found = lacking(kb)
    assert {line for line, _ in found} == {c.id for c in must_see(kb, "technician")}
    for line, left in found:
        assert [m.id for m in missing(kb, left)] == [line]


@pytest.mark.slow
def test_without_any_line_that_must_be_seen_a_survey_never_ends_with_0(kb):
    assert [exit_of(survey(kb, filled)) for filled in sheets(kb)] == [Exit.DONE] * len(sheets(kb))
    for line, left in lacking(kb):
        assert exit_of(survey(kb, left)) == Exit.UNFINISHED, line
