"""Gates: they are asked before anything else, asked again of every opened address, and no note fits another case or another hour."""

import base64

import pytest

from dryfloor.cli.page import signing
from dryfloor.cli.page.signing import Cleared, Signer, with_cleared
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from tests.support.forms import Visitor, clear_gates, gate_word

WALKS = [Event(role="homeowner"), Event(complaints=["walks"])]


def cleared(signer, events=WALKS, hazard="walking-machine"):
    return signer.clear([], hazard, events, signer.asked(hazard, events))


def test_a_note_clears_its_gate_in_what_goes_on_from_its_case_and_in_no_other(clock):
    signer = Signer(b"k", clock)
    note = cleared(signer)
    more = [*WALKS, Event(fact="floor", is_="concrete")]
    other = [Event(role="homeowner"), Event(complaints=["siphons"])]
    assert [c.hazard for c in signer.cleared(note, more)] == ["walking-machine"]
    for foreign in (other, [Event(role="desk"), *WALKS[1:]], WALKS[:1], []):
        assert signer.cleared(note, foreign) == []


def test_notes_end_and_sending_a_page_again_gains_no_time(clock):
    signer = Signer(b"k", clock)
    asked = signer.asked("walking-machine", WALKS)
    clock.now += signing.ANSWER_S - 1
    note = signer.clear([], "walking-machine", WALKS, asked)
    clock.now += 2
    assert signer.clear([], "walking-machine", WALKS, asked) == ""
    clock.now += signing.CLEARED_S - signing.ANSWER_S - 2
    assert signer.cleared(note, WALKS)
    clock.now += 2
    assert signer.cleared(note, WALKS) == []


@pytest.mark.parametrize("spoil", ["", ".", "x", "é.é", "AAAA.AAAA", "kind", "key", "payload", "mac", "asked"])
def test_a_forged_note_clears_nothing(clock, spoil):
    signer = Signer(b"k", clock)
    note = cleared(signer)
    body, _, mac = note.partition(".")
    wrong = {
        "key": cleared(Signer(b"other", clock)),
        "payload": base64.urlsafe_b64encode(
            base64.urlsafe_b64decode(body).replace(b"walking-machine", b"gas-smell")
        ).decode()
        + "."
        + mac,
        "mac": body + "." + "0" * 64,
        "asked": signer.asked("walking-machine", WALKS),
        "kind": signer.asked("walking-machine", WALKS),
    }.get(spoil, spoil)
    assert signer.cleared(wrong, WALKS) == []
    assert (
        spoil == "asked" or signer.clear([], "walking-machine", WALKS, note if spoil == "kind" else "x." + wrong) == ""
    )


def test_what_raises_a_hazard_after_it_was_cleared_asks_it_again(kb):
    raising = next((c.id, a, r.raises) for c in kb.checks.values() for a, r in c.answers.items() if r.raises)
    check, answer, hazard = raising
    events = with_cleared([*WALKS, Event(check=check, answer=answer)], [Cleared(hazard, 2, 0.0)])
    assert hazard not in fold(kb, events).cleared
    assert hazard in fold(kb, events[:-1]).cleared


def test_a_reopened_address_asks_its_gate_again(visit):
    visit.go("/case?complaint=siphons").type("said", "dry")
    assert gate_word(visit) is None
    assert "note=" not in visit.url
    assert "cleared" not in visit.url
    assert gate_word(visit.go(visit.url)) == "dry"


def test_any_other_word_stops_and_says_what_to_do(visit, kb):
    gate = kb.hazards["water-near-electricity"].gate
    for said in ("not dry", "yes", "no, not safe"):
        visit.go("/case?complaint=siphons").type("said", said)
        assert "Stop." in visit.reader.h1
        assert all(d in visit.text for d in gate.do_now)
        assert gate.call in visit.text
    assert gate_word(visit.go("/case?complaint=siphons").type("said", "")) == "dry"


def test_a_danger_in_the_words_comes_before_what_is_wrong_and_lives_on_in_the_address(visit):
    visit.go("/").type("words", "sparks from the outlet, water near the plug, and it will not drain")
    assert gate_word(visit)
    assert "hazard=" in visit.url
    assert "sparks" not in visit.url
    clear_gates(visit)
    assert "Did I hear that right?" in visit.reader.h1


def test_a_note_of_one_server_counts_on_another_one_with_its_key_only(serve):
    first, second, stranger = (Visitor(serve(store=False, key=k)) for k in (b"k" * 32, b"k" * 32, b"s" * 32))
    first.go("/case?complaint=siphons").type("said", "dry")
    for other, wanted in ((second, None), (stranger, "dry")):
        other.go("/case?complaint=siphons")
        other.reader = first.reader
        other.press("can't")
        assert gate_word(other) == wanted


def test_an_old_form_answers_nothing(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    form, first = visit.form("said"), visit.url
    visit.press("skip")
    after = visit.url
    visit.send(form, {"said": "skip", "step": "0" * 12})
    assert visit.url == first
    assert after != first
