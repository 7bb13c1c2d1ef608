"""The customer's page: done, to be done and by whom, the bolts, the habits, what is healthy, whom to call."""

from msgspec.structs import replace

from dryfloor.engine.knowledge.machine_sheet import apply_sheet
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.customer import customer
from tests.support.installations import sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)


def test_a_sound_installation_leaves_nothing_to_do(kb):
    found = customer(kb, survey(kb, sound(kb, "sound-front")))
    assert (found.to_do, found.not_seen) == ([], [])
    assert found.verdict == "Nothing that was looked at is broken."
    assert "Drain hose hooked and tied: held in a hook or tied" in found.done
    assert not any("sealed into" in text or "(" in text.partition(":")[0] for text in found.done)
    assert any("Spin stays put" in text for text in found.done)
    assert found.bolts.endswith("for the next move:")
    assert any("taps" in text for text in found.habits)
    assert any("dose by the packet" in text.lower() for text in found.habits)


def test_what_is_left_is_told_with_who_does_it_and_what_it_leads_to(kb):
    filled = sound(kb, "sound")
    readings = {**filled.readings, "restraints-left": "bolts-or-rods", "standpipe-height": "31 in"}
    found = customer(kb, survey(kb, replace(filled, readings=readings)))
    assert [t.by for t in found.to_do] == ["whoever installs", "a licensed plumber"]
    assert "it walks or shakes 98 in 100" in found.to_do[0].why
    assert found.bolts.startswith("Shipping restraints: not all out")
    assert found.verdict.startswith("DON'T RUN IT. 2 things are to be done")


def test_only_what_must_be_seen_is_named_as_not_seen(kb):
    done = survey(kb, FilledSheet("x", {"drain": "tub"}, {"tub-volume": "22 gal"}, None, "technician"))
    found = customer(kb, done)
    assert found.not_seen == [m.title for m in done.missing]
    assert len(found.not_seen) < 15


def test_what_is_healthy_is_the_kbs_own_and_fits_the_machine(kb):
    front = customer(kb, survey(kb, sound(kb, "sound-front"))).noises
    says = {c.says: c for c in kb.causes.values() if c.kind == "normal"}
    assert front
    assert all(text in says for text in front)
    top = customer(kb, survey(kb, sound(kb, "sound"))).noises
    assert not any(says[text].when.get("machine") == "front-loader" for text in top)


def test_what_one_mend_puts_right_is_told_once(kb):
    own = apply_sheet(kb, kb.machines["meadow-top-loader"])
    readings = {"standpipe-height": "31 in", "hose-depth": "5 in"}
    sheet = FilledSheet("x", {"drain": "standpipe"}, readings, "meadow-top-loader", "technician")
    done = survey(own, sheet)
    assert [f.mend.cause for f in done.findings] == ["standpipe-too-low"] * 2
    assert len(customer(own, done).to_do) == 1
    assert customer(own, done).verdict.startswith("1 thing is to be done")


def changed(kb, told=(), **readings):
    """Return the customer's page of a sound installation with some readings changed."""
    filled = sound(kb, "sound")
    said = {**filled.readings, **{k.replace("_", "-"): v for k, v in readings.items()}}
    return customer(kb, survey(kb, replace(filled, readings=said, told=told)))


def test_a_machine_that_can_hurt_is_not_to_be_run_and_nothing_beside_it_says_otherwise(kb):
    found = changed(kb, outlet_holes="ground-defeated")
    assert found.verdict.startswith("DON'T RUN IT.")
    assert found.stop[0].startswith(
        "Don't run it until a licensed electrician has put this right: Grounding kind of outlet:"
    )
    assert "a shock that kills" in found.stop[0]
    assert any("breaker" in text for text in found.stop[1:])
    (left,) = [t for t in found.to_do if "round pin" in t.what]
    assert left.why == "It can give a shock that kills"
    assert not left.may_decline
    assert not any("First run" in text for text in found.habits)
    assert found.noises == []
    assert not any("Spin stays put" in text for text in found.done)


def test_scald_is_told_and_can_not_be_declined(kb):
    (left,) = changed(kb, hot_tap_temperature="155 F").to_do
    assert "It can scald" in left.why
    assert not left.may_decline


def test_only_a_trades_work_that_hurts_nobody_can_be_declined(kb):
    found = {t.by: t.may_decline for t in changed(kb, standpipe_height="31 in", rocks_by_hand="rocks").to_do}
    assert found == {"a licensed plumber": True, "whoever installs": False}


def test_what_was_told_is_no_thing_seen(kb):
    found = changed(kb, told=("outlet-holes",))
    assert any("three holes" in text for text in found.told)
    assert not any("three holes" in text for text in found.done)
    assert "Holes of the outlet" in found.not_seen


def test_the_first_run_is_not_asked_for_once_it_was_made(kb):
    assert not any("First run" in text for text in changed(kb).habits)
    bare = customer(kb, survey(kb, FilledSheet("x", {"drain": "tub"}, {"tub-volume": "22 gal"}, None, "technician")))
    assert any("First run" in text and "half the usual dose" in text for text in bare.habits)


def test_nobody_is_told_to_close_a_tap_that_was_found_stuck(kb):
    said = {
        "taps-reachable": "stuck",
        "fill-hose-bulge": "bulge",
        "standpipe-height": "31 in",
        "restraints-counted": "all-out",
    }
    stuck = survey(kb, FilledSheet("x", {"drain": "standpipe"}, said, None, "technician"))
    page = customer(kb, stuck)
    every = [*page.stop, *page.habits, *page.call, *(t.what for t in page.to_do)]
    steps = [step for f in stuck.findings for step in f.mend.steps]
    assert not [t for t in every + steps if "close both taps" in t.lower() or "close its taps" in t.lower()]
    assert sum("close the house's main valve" in t for t in every) >= 4
    free = customer(
        kb, survey(kb, FilledSheet("x", {"drain": "standpipe"}, {**said, "taps-reachable": "free"}, None, "technician"))
    )
    assert free.habits[0] == "Away for more than a day: close both taps."
    assert free.call[0].startswith(
        "Water that does not stop: close both taps of the washer, then the house's main valve."
    )
