"""No filled line is dropped without a word: it is judged, it is a proof, or it is named with what is asked in its place."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.practice import replacing, serves
from dryfloor.engine.survey.seen import proved
from tests.support.installations import sound
from tests.support.leads import no_leads  # noqa: F401  (of every survey here)

FRONT = {"drain": "standpipe", "machine": "front-loader"}
EUROPE = {"drain": "standpipe", "supply-system": "eu-230"}


def test_a_filled_line_that_judges_nothing_is_named_with_what_is_asked_there(kb):
    done = survey(kb, FilledSheet("x", EUROPE, {"outlet-voltage": "230 V", "tub-volume": "20 gal"}, None, "technician"))
    found = {u.check: u for u in done.unjudged}
    assert found["outlet-voltage"].instead_ids == ["socket-voltage"]
    assert "230 V" in found["outlet-voltage"].why
    assert "kind of drain" in found["tub-volume"].why


def test_a_pipe_that_is_not_there_is_named_and_judges_no_hose(kb):
    """Its height could stand for the hose end's, which nobody measured: a line that counts for nothing would be all that is left of it."""
    sheet = FilledSheet(
        "x", {"drain": "tub", "supply-system": "us-120"}, {"standpipe-height": "40 in"}, None, "technician"
    )
    done = survey(kb, sheet)
    assert [u.check for u in done.unjudged] == ["standpipe-height"]
    assert not [x.rule for x in done.lines if x.check == "standpipe-height"]


@pytest.mark.parametrize(
    "facts",
    [
        EUROPE,
        *(
            pytest.param(f, marks=pytest.mark.slow)
            for f in (FRONT, {"drain": "tub"}, {"drain": "floor-drain", "plumbing-code": "upc"})
        ),
    ],
)
def test_every_filled_line_is_judged_or_proved_or_named(kb, facts):
    """Whatever is on a sheet, at any site: nothing is dropped."""
    filled = sound(kb, "sound")
    filled = replace(filled, facts={**filled.facts, **facts})
    done = survey(kb, filled)
    told = {x.check for x in done.lines} | {p.check for p in done.proofs} | {u.check for u in done.unjudged}
    judged_by = {x.rule: x.check for x in done.lines if x.check}
    replaced = replacing(kb, filled.facts)
    for name in set(filled.readings) - told:
        # Two lines of one rule: the other one speaks, and both were held against it.
        rule = serves(kb, kb.checks[name], filled.facts, replaced)
        assert judged_by[rule.id] != name
    assert done.unjudged or not facts
    assert not {u.check for u in done.unjudged} & set(judged_by.values())


def test_a_proof_passes_by_its_normal_answer_or_a_reading_that_is_kept(kb):
    def of(**readings):
        sheet = FilledSheet("x", {}, {k.replace("_", "-"): v for k, v in readings.items()}, None, "technician")
        return [(p.check, p.passed) for p in proved(kb, sheet)]

    assert of(spin_stays_put="stayed", fill_and_watch="drops") == [("spin-stays-put", True), ("fill-and-watch", False)]
    assert of(pump_out_time="1 min", standpipe_height="42 in") == [("pump-out-time", True)]
    assert of(pump_out_time="9 min") == [("pump-out-time", False)]
