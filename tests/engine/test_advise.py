"""What the envelope of a case says, from words to a case that is closed; the same to the byte in any process."""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import msgspec
import pytest

from dryfloor.engine.advise import advise, advise_state, card_of
from dryfloor.engine.case.case_file import parse_case
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.language.matching import hear
from tests.support.places import ROOT

HOME = ROOT
CASES = {
    "words": b'{role: desk, say: "it hops about upstairs since we moved house"}',
    "nothing heard": b'{role: homeowner, say: "which one should I buy"}',
    "short": b"{role: technician, complaints: [siphons], facts: {drain: standpipe}, answers: {standpipe-height: 31 in},"
    b" cleared: [water-near-electricity]}",
    "two complaints": b"{role: homeowner, complaints: [walks, water-on-floor]}",
    "mended in vain": b"events: [{role: technician}, {complaints: [walks]}, {cleared: walking-machine}, {cleared: gas-smell},"
    b" {remedy: foot-unloaded, did: done}, {proof: spin-stays-put, answer: walked}]",
}


def cleared(kb, *events: Event) -> list[Event]:
    """A technician's case with every gate cleared; `events` come after the gates."""
    gates = [Event(cleared=h) for h, record in kb.hazards.items() if record.gate]
    return [Event(role="technician"), *gates, *events]


def command(
    case: bytes, folder: Path, seed: str, argv: Sequence[str] = ("-m", "dryfloor", "advise", "-", "--json")
) -> bytes:
    """The standard output of `advise - --json` in a process of its own."""
    folders = {"DRYFLOOR_CACHE_DIR": str(folder), "DRYFLOOR_DATA_DIR": str(folder), "PYTHONHASHSEED": seed}
    done = subprocess.run([sys.executable, *argv], input=case, cwd=HOME,
                          env=os.environ | folders, capture_output=True, check=False, timeout=120)  # fmt: skip
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


EACH = """
import io, json, sys
from dryfloor.cli.main import main
from dryfloor.cli.terminal.env import Env
told = []
for case in json.load(sys.stdin):
    out = io.StringIO()
    code = main(["advise", "-", "--json"], Env(stdin=io.StringIO(case), stdout=out))
    assert code == 0, code
    told.append(out.getvalue())
json.dump(told, sys.stdout)
"""


@pytest.fixture(scope="module")
def said_by(kept_kb):
    """What all cases are told by two processes with other string hashes: case -> text, for each process."""

    def told(seed):
        typed = json.dumps([case.decode() for case in CASES.values()]).encode()
        return dict(zip(CASES, json.loads(command(typed, kept_kb, seed, ["-c", EACH])), strict=True))

    return [told("0"), told("4242")]


@pytest.mark.parametrize("name", CASES)
def test_two_processes_say_the_same_to_the_byte(said_by, name: str) -> None:
    one, other = said_by
    assert one[name] == other[name]


def test_the_envelope(kept_kb, said_by, kb) -> None:
    whole = command(CASES["short"], kept_kb, "1")
    assert whole.decode() == said_by[0]["short"]
    said = json.loads(whole)
    assert (said["command"], said["exit"], said["errors"]) == ("advise", 0, [])
    data = said["data"]
    assert data["complaints"] == ["siphons"]
    assert {"cause", "p", "present", "breaks"} <= set(data["beliefs"][0])
    assert {"kind", "id", "why", "minutes"} <= set(data["next"])
    assert data["next"]["kind"] in ("gate", "fact", "check", "remedy", "hand-on", "stop")
    assert [h["id"] for h in data["hazards"]] == ["water-near-electricity"]
    assert 0 <= data["unknown"] <= 1
    first = data["beliefs"][0]
    assert first["cause"] == "standpipe-too-low"
    assert first["breaks"] == "standpipe-height"
    assert data["finding"] is None or data["finding"] in kb.causes


def test_beliefs_run_from_the_best_explanation_down(kb) -> None:
    for case in CASES.values():
        beliefs = advise(kb, parse_case(kb, case)).beliefs
        assert [b.cause for b in beliefs] == [
            b.cause for b in sorted(beliefs, key=lambda b: (-b.p, -b.present, b.cause))
        ]
        assert len({b.cause for b in beliefs}) == len(beliefs)
        for b in beliefs:
            broken = kb.causes[b.cause].breaks
            assert b.breaks == (broken.rule if broken else None)


def test_every_cause_of_the_complaint_is_believed_and_no_other(kb) -> None:
    for name in kb.complaints:
        wanted = {c.id for c in kb.causes.values() if any(s.complaint == name for s in c.shows)}
        assert {b.cause for b in advise(kb, [Event(role="desk"), Event(complaints=[name])]).beliefs} == wanted


def test_words_are_heard_and_used_and_come_back_unconfirmed(kb) -> None:
    words = "it hops about upstairs when it spins"
    advice = advise(kb, [Event(role="desk"), Event(heard=words)])
    likely = [m for m in hear(words, kb).complaints if m.likely]
    assert [(h.complaint, h.score) for h in advice.heard] == [(m.complaint, m.score) for m in likely]
    assert advice.complaints == [m.complaint for m in likely]
    assert "walks" in advice.complaints
    confirmed = advise(kb, [Event(role="desk"), Event(heard=words, complaints=advice.complaints)])
    assert confirmed.heard == []
    assert confirmed.complaints == advice.complaints
    assert confirmed.beliefs == advice.beliefs


def test_what_was_confirmed_is_not_overruled_by_words(kb) -> None:
    advice = advise(kb, [Event(role="desk"), Event(heard="it hops about", complaints=["no-drain"])])
    assert advice.complaints == ["no-drain"]
    assert advice.heard == []


def test_words_stand_from_where_they_were_said(kb) -> None:
    """A script that never confirms is led to the same end as a walk that does."""
    mended = [Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer="stayed")]
    heard = advise(kb, cleared(kb, Event(heard="it hops about when it spins"), *mended))
    named = advise(kb, cleared(kb, Event(complaints=heard.complaints), *mended))
    assert heard.status == "solved"
    assert (heard.status, heard.beliefs) == (named.status, named.beliefs)


def test_nothing_heard_asks_what_is_wrong(kb) -> None:
    for events in ([], [Event(role="homeowner")], parse_case(kb, CASES["nothing heard"])):
        advice = advise(kb, events)
        assert (advice.complaints, advice.finding) == ([], None)
        assert advice.next is not None
        assert (advice.next.kind, advice.next.id) == ("fact", "complaint")
        assert advice.card is not None
        assert [c.id for c in advice.card.choices] == list(kb.complaints)


@pytest.mark.parametrize("how", ["solved", "on-trial", "handed-on", "given-up", "not-a-fault", "reported-solved"])
def test_a_closed_case_has_no_next_step(kb, how: str) -> None:
    advice = advise(kb, cleared(kb, Event(complaints=["walks"]), Event(closed=how)))
    assert (advice.status, advice.next, advice.card, advice.hand_on) == (how, None, None, None)
    assert advice.complaints == ["walks"]


def test_a_stop_keeps_the_case(kb) -> None:
    advice = advise(kb, [Event(role="homeowner"), Event(complaints=["walks"]), Event(fact="floor", is_="concrete"),
                         Event(stopped="walking-machine")])  # fmt: skip
    assert advice.status == "stopped"
    assert advice.next is not None
    assert advice.next.kind == "stop"
    assert (advice.complaints, advice.facts) == (["walks"], {"floor": "concrete"})


def test_the_finding_needs_half(kb) -> None:
    """What the issue defines: at a remedy its own cause, at hand-on the best one, each from p of 0.5 on."""
    seen = set()
    for answers in ({}, {"foot-gap": "2 mm"}, {"foot-gap": "2 mm", "rocks-by-hand": "rocks", "restraints-left": "none"},
                    {"restraints-left": "bolts-or-rods"}):  # fmt: skip
        told = [
            Event(check=c, **({"value": a} if kb.checks[c].kind == "measure" else {"answer": a}))
            for c, a in answers.items()
        ]
        # Every question passed over: what is left is a remedy or handing on.
        over = [Event(skip=c) for c in [*kb.checks, *kb.facts] if c not in answers]
        advice = advise(kb, cleared(kb, Event(complaints=["walks"]), *told, *over))
        assert advice.next is not None
        assert advice.next.kind in ("remedy", "hand-on")
        about = advice.next.cause if advice.next.kind == "remedy" else advice.beliefs[0].cause
        p = {b.cause: b.p for b in advice.beliefs}[about]
        assert (advice.finding.cause if advice.finding else None) == (about if p >= 0.5 else None)
        assert advice.finding_cause == (advice.finding.cause if advice.finding else None)
        seen.add(p >= 0.5)
    assert seen == {True, False}


def test_unknown_and_explanations_fill_the_whole(kb) -> None:
    """Either some listed cause explains a single complaint, or none does: the two cannot both be rare."""
    for name in kb.complaints:
        advice = advise(kb, [Event(role="technician"), Event(complaints=[name])])
        assert advice.unknown + sum(b.p for b in advice.beliefs) >= 1 - 1e-6
        assert advice.unknown + max(b.p for b in advice.beliefs) <= 1 + 1e-6


def test_readings_come_back_against_their_rule(kb) -> None:
    (reading,) = advise(kb, parse_case(kb, CASES["short"])).readings
    assert (reading.rule, reading.verdict, reading.side) == ("standpipe-height", "broken", "below")
    assert reading.value == pytest.approx(31 * 0.0254)
    assert reading.low == pytest.approx(39 * 0.0254)


def test_what_was_passed_over_is_listed(kb) -> None:
    advice = advise(
        kb,
        cleared(
            kb, Event(complaints=["walks"]), Event(cant="foot-gap"), Event(skip="floor"), Event(skip="restraints-left")
        ),
    )
    assert advice.unchecked == ["foot-gap", "restraints-left"]


def test_prices_are_sorted_and_hold_the_choice(kb) -> None:
    advice = advise(kb, cleared(kb, Event(complaints=["siphons"])))
    prices = [p.price for p in advice.prices]
    assert prices == sorted(prices)
    assert len({p.id for p in advice.prices}) == len(prices)


def test_a_state_and_its_events_advise_alike(kb) -> None:
    for case in CASES.values():
        events = parse_case(kb, case)
        assert msgspec.json.encode(advise_state(kb, fold(kb, events))) == msgspec.json.encode(advise(kb, events))


def test_an_answer_can_be_asked_anew(kb) -> None:
    events = cleared(
        kb,
        Event(complaints=["walks"]),
        Event(check="restraints-left", answer="none"),
        Event(fact="floor", is_="concrete"),
    )
    for event in events[-2:]:
        card = card_of(kb, events, event)
        assert card.id == (event.check or event.fact)
        assert card.question
        assert event.answer is None or event.answer in {c.id for c in card.choices}
