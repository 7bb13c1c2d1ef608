"""The report: what was wrong and how sure, on what it rests, in two versions; the case's own numbers, and no others."""

import re

import msgspec
import pytest

from dryfloor.cli.render.report_html import page
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.wording import in_100
from dryfloor.engine.case.events import Event
from dryfloor.engine.reports.handover import handover
from dryfloor.engine.reports.report import READERS, SURE, report, sure
from tests.support.telling import HANDED_OVER, HOSTILE, MENDED, NASTY, STOPPED, of_trial


@pytest.mark.parametrize(
    ("events", "verdict"),
    [
        (MENDED, "Found, mended and seen to work"),
        (HANDED_OVER, "Most likely found, not mended yet"),
        ([*HANDED_OVER, Event(closed="handed-on")], "Most likely found, not mended yet; handed on"),
        ([*HANDED_OVER, Event(closed="given-up")], "Most likely found, not mended yet; given up"),
        ([*HANDED_OVER, Event(closed="not-a-fault")], "Not a fault"),
        (STOPPED, "Stopped for safety"),
        ([Event(complaints=["siphons"])], "Not found yet"),
        ([Event(role="desk")], "Not found yet"),
        (MENDED[:-1], "Not found yet"),
        ([*MENDED[:-1], Event(still=[])], "The trouble is gone"),
    ],
)
def test_the_verdict_says_how_it_stands(kb, events, verdict):
    assert report(kb, events).verdict == verdict


def test_one_of_two_complaints_mended(kb):
    two = [MENDED[0], Event(complaints=["walks", "siphons"]), *MENDED[2:], Event(still=["siphons"])]
    made = report(kb, two)
    assert made.verdict == "One thing is mended, something is left"
    assert [t.endswith("(gone now).") for t in made.complaint] == [True, False]


def test_how_sure_is_the_exact_chance_before_the_fix(kb, mended):
    p = next(b.p for b in advise(kb, MENDED[:12]).beliefs if b.cause == "foot-unloaded")
    assert f"({in_100(p)})" in mended["homeowner"].summary[1]
    assert "after the fix it was seen to work" in mended["homeowner"].summary[1]
    assert in_100(p) in mended["technician"].summary[1]


def test_words_for_a_chance_go_with_it():
    floors = [least for least, _ in SURE]
    assert floors == sorted(floors, reverse=True)
    assert [sure(p).split(" (")[0] for p in (0.99, 0.85, 0.7, 0.5, 0.1)] == [word for _, word in SURE]


def test_hazards_as_they_stood_and_those_of_the_fix_to_come(kb, open_case, mended):
    made = open_case["homeowner"]
    states = {h.title: h.state for h in made.hazards}
    assert states["Water near electricity"].startswith("this was clear")
    assert states["Hot water"] == "bears on the fix"
    assert "bears on the fix" not in {h.state for h in mended["homeowner"].hazards}
    assert report(kb, STOPPED).hazards[0].state.startswith("this was not safe")


def test_what_comes_next_is_asked_in_the_readers_voice(kb, open_case):
    gate = kb.hazards["water-running"].gate
    assert open_case["homeowner"].now[0].startswith(gate.ask.homeowner)
    assert open_case["technician"].now[0].startswith(gate.ask.technician)
    assert open_case["technician"].next == []  # nothing comes before it is safe
    clear = [e for e in HANDED_OVER if not e.value and not e.heard] + [Event(complaints=["siphons"])]
    check = kb.checks[advise(kb, clear).next.id]
    assert report(kb, clear).next == [f"{check.title}. {check.ask.homeowner}"]
    assert report(kb, clear, "technician").next == [f"{check.title}. {check.ask.technician}"]
    stopped = kb.hazards["water-near-electricity"].gate
    assert report(kb, STOPPED).now == [*stopped.do_now, f"Call: {stopped.call}"]
    assert (report(kb, MENDED).now, report(kb, MENDED).next) == ([], [])


def test_the_plumbers_work_comes_with_what_to_do_until_then(kb):
    clear = [*HANDED_OVER, Event(cleared="water-running")]
    while (step := advise(kb, clear).next) and step.kind in ("check", "fact"):
        clear.append(Event(cant=step.id))
    hand_on = advise(kb, clear).hand_on
    assert report(kb, clear).next == [hand_on.text, *hand_on.looked, *(f"Until then: {u}" for u in hand_on.until)]
    assert "licensed plumber" in hand_on.text
    assert len(hand_on.until) == 2  # what the remedy says, and whom a tenant asks


def test_a_fix_that_is_next_comes_with_its_steps(kb):
    taped = [
        *HANDED_OVER[:1],
        Event(complaints=["siphons"]),
        *HANDED_OVER[2:6],
        Event(check="hose-sealed", answer="taped"),
        Event(check="standpipe-height", value="42 in"),
    ]
    made = report(kb, taped)
    remedy = kb.causes["hose-sealed-in-pipe"].remedy
    assert made.next[0].startswith(f"{remedy.title} (")
    assert made.next[1:] == remedy.steps


def test_what_was_not_checked_is_said(kb, open_case):
    assert report(kb, MENDED[:3]).unchecked == ["Nothing that was asked was passed over."]
    assert open_case["homeowner"].unchecked == [f"{kb.checks['hose-depth'].title}: could not be done"]


def test_what_was_ruled_out_is_not_held_up_as_easily_mistaken(kb, open_case):
    tells = [t for t in open_case["homeowner"].others if t.startswith("Easily mistaken")]
    assert len(tells) >= 1
    assert not [t for t in tells if "hose sealed into the pipe" in t]
    unseen = [e for e in HANDED_OVER if e.check != "hose-sealed"]
    assert [t for t in report(kb, unseen).others if t.startswith("Easily mistaken for it: hose sealed into the pipe")]


def test_a_homeowner_reads_no_ids_and_a_technician_does(mended):
    plain_text = msgspec.json.encode(
        mended["homeowner"].rule_text + mended["homeowner"].summary + mended["homeowner"].others
    ).decode()
    assert "all-feet-bear" not in plain_text
    assert any("Id: all-feet-bear." in t for t in mended["technician"].rule_text)


def test_every_sentence_ends_as_one_and_says_nothing_empty(kb):
    for events in (MENDED, HANDED_OVER, STOPPED, [Event(role="desk")], [Event(complaints=["walks"])]):
        for reader in READERS:
            made = report(kb, events, reader)
            for text in [
                *made.summary,
                *made.rule_text,
                *made.closing,
                *made.now,
                *made.next,
                *(x.text for x in made.lines),
            ]:
                assert re.search(r"[.?!:)]$", text), text
                assert "None" not in text
                assert ".." not in text
                assert "  " not in text


def test_no_clock_and_the_same_bytes(kb):
    one = msgspec.json.encode(report(kb, MENDED))
    assert one == msgspec.json.encode(report(msgspec.structs.replace(kb), MENDED))
    assert not re.search(rb"20\d\d-\d\d", one)
    assert report(kb, MENDED, date="May 3").date == "May 3"


def test_hostile_words_stay_text_and_whole(kb):
    made = report(kb, NASTY)
    assert made.words == [HOSTILE[0]]
    assert made.notes[-1] == " ".join(HOSTILE[-1].split())
    text = msgspec.json.encode(made).decode()
    assert not re.search(r"\\u00[01]|\u202e|\u2066|\u200b|\ufeff", text)
    assert "[U+202E]" in text


@pytest.mark.slow
def test_every_cause_of_the_kb_can_be_told(kb):
    """Its first case, mended and proved and before that: sentences end, numbers are chances, nothing is empty."""
    for cause in kb.causes.values():
        begun = of_trial(kb, cause.cases[0])
        proof = kb.checks[cause.proof.check]
        said = cause.proof.passes if proof.kind != "measure" else cause.cases[0].given.answers.get(proof.id)
        whole = [begun]
        if said and proof.kind != "measure":
            whole.append([*begun, Event(remedy=cause.id), Event(proof=proof.id, answer=said)])
        for events in whole:
            for reader in READERS:
                made = report(kb, events, reader)
                for text in [
                    *made.summary,
                    *made.rule_text,
                    *made.closing,
                    *made.now,
                    *made.next,
                    *(x.text for x in made.lines),
                ]:
                    assert re.search(r"[.?!:)\u201d]$", text), (cause.id, text)
                    assert ".." not in text, (cause.id, text)
                    assert "None" not in text, (cause.id, text)
                assert page(made)
            card = handover(kb, events)
            assert all(0 <= r.now <= 1 for r in (*card.ruled_in, *card.possible, *card.ruled_out))
            assert all(0 <= p.chance <= 1 for p in card.bring)


def test_a_customer_reads_no_letters_of_grades(kb):
    events = [
        Event(role="homeowner"),
        Event(complaints=["siphons"]),
        Event(fact="drain", is_="standpipe"),
        Event(check="standpipe-height", value="31 in"),
    ]
    plain, expert = (report(kb, events, reader).sources for reader in ("homeowner", "technician"))
    assert [s.rule for s in plain] == [s.rule for s in expert]
    assert "Common practice of the trade (C, common practice)" in expert[0].text
    assert not [s.text for s in plain if "(C," in s.text or "(S," in s.text or "(M," in s.text or "(D," in s.text]
