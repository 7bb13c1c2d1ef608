"""Gates: they are asked before anything else, asked again of every opened address, and no note fits another case or another hour."""

import base64

import pytest

from dryfloor.cli.page.answers import signing
from dryfloor.cli.page.answers.signing import Cleared, Signer, with_cleared
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from tests.support.forms import Visitor, at_a_stop, clear_gates, gate_word

WALKS = [Event(role="homeowner"), Event(complaints=["walks"])]


MORE = [*WALKS, Event(fact="floor", is_="concrete")]
LINK = "/case?complaint=siphons"


def cleared(signer, events=WALKS, hazard="walking-machine", name=""):
    return signer.clear([], hazard, events, signer.asked(hazard, events, name), name)


def test_a_note_of_an_address_clears_its_gate_in_that_address_and_in_none_that_begins_alike(clock):
    signer = Signer(b"k", clock)
    note = cleared(signer)
    other = [Event(role="homeowner"), Event(complaints=["siphons"])]
    assert [c.hazard for c in signer.cleared(note, WALKS)] == ["walking-machine"]
    for foreign in (MORE, other, [Event(role="desk"), *WALKS[1:]], WALKS[:1], []):
        assert signer.cleared(note, foreign) == []
    assert signer.cleared(note, WALKS, "K7M3R4 homeowner 0") == []


def test_a_note_of_a_kept_case_clears_its_gate_in_what_is_added_to_that_case(clock):
    signer = Signer(b"k", clock)
    note = cleared(signer, name="K7M3R4 homeowner 0")
    assert [c.hazard for c in signer.cleared(note, MORE, "K7M3R4 homeowner 0")] == ["walking-machine"]
    for name in ("K7M3R4 homeowner 9", "K7M3R4 desk 0", "A2C3F4 homeowner 0", ""):
        assert signer.cleared(note, WALKS, name) == []
    assert signer.cleared(note, [WALKS[0], Event(complaints=["siphons"])], "K7M3R4 homeowner 0") == []


def test_a_stop_ends_what_was_cleared_and_what_was_asked_before_it(clock):
    signer = Signer(b"k", clock)
    asked, other = signer.asked("walking-machine", WALKS), cleared(signer)
    note = signer.clear([], "walking-machine", WALKS, asked)
    second = signer.asked("gas-smell", MORE, so_far=signer.cleared(note, WALKS))
    signer.stop("", second, MORE)
    assert signer.cleared(note, WALKS) == []
    assert signer.clear([], "walking-machine", WALKS, asked) == ""
    assert signer.cleared(other, WALKS)  # somebody else at the same question


def test_more_stops_than_are_remembered_end_every_note_of_before(clock, monkeypatch):
    monkeypatch.setattr(signing, "ENDED", 3)
    signer = Signer(b"k", clock)
    stopped, other = cleared(signer), cleared(signer)
    signer.stop(stopped, "", WALKS)
    for _ in range(3):
        clock.now += 1
        signer.stop("", signer.asked("gas-smell", WALKS), WALKS)
        assert signer.cleared(stopped, WALKS) == []
    assert signer.cleared(other, WALKS) == []
    assert signer.cleared(cleared(signer), WALKS)


def test_what_was_cleared_before_a_server_began_is_asked_again(clock):
    note = cleared(Signer(b"k", clock))
    clock.now += 1
    assert Signer(b"k", clock).cleared(note, WALKS) == []


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


def test_an_address_asks_its_gate_again_in_another_browser_and_after_an_hour(visit, clock):
    visit.go(LINK).type("said", "dry")
    assert gate_word(visit) is None
    assert "note=" not in visit.url
    assert "cleared" not in visit.url
    assert gate_word(visit.go(visit.url)) is None
    assert gate_word(Visitor(visit.client, {}).go(visit.url)) == "dry"
    clock.now += signing.CLEARED_S + 1
    assert gate_word(visit.go(visit.url)) == "dry"


def test_a_browser_that_keeps_no_cookies_takes_the_note_along_and_is_asked_again_by_an_address(serve):
    client = serve()

    class Forgetful(Visitor):
        def take(self, response):
            self.cookies = {}
            return super().take(response)

    visit = Forgetful(client, {})
    visit.ask = lambda method, url, **more: _without_cookies(client, method, url, more)
    visit.go(LINK).type("said", "dry")
    assert gate_word(visit) is None
    visit.press("can't")
    assert gate_word(visit) is None
    assert "cant=" in visit.url
    assert gate_word(visit.go(visit.url)) == "dry"


def _without_cookies(client, method, url, more):
    for _ in range(5):
        client.cookies.clear()
        made = client.request(method, url, follow_redirects=False, **more)
        if "location" not in made.headers:
            return made
        url, method = made.headers["location"], method if made.status_code == 307 else "GET"
        more = more if made.status_code == 307 else {}
    raise AssertionError("no end of redirects")


def test_another_word_is_shown_and_asked_about_again(visit):
    for said in ("yes", "it is all fine <b>here</b>"):
        visit.go("/case?complaint=siphons").type("said", said)
        assert gate_word(visit) == "dry"
        assert f"You typed: {said}" in visit.text
        assert visit.url.endswith("/case?complaint=siphons")
    visit.type("said", "dry")
    assert gate_word(visit) is None


def test_a_bare_no_to_is_it_dry_is_not_safe(visit):
    visit.go("/case?complaint=siphons").type("said", "no")
    assert at_a_stop(visit)


def test_words_raise_a_danger_at_the_gate_of_another_and_stop_at_their_own(visit):
    visit.go("/case?complaint=siphons").type("said", "there is a smell of gas")
    assert at_a_stop(visit)
    assert visit.reader.h1 == "Leave now. Smell of gas"
    assert "hazard=gas-smell" in visit.url
    visit.go(visit.url.replace("&stop=gas-smell", "")).type("said", "there is a smell of gas")
    assert at_a_stop(visit)


def test_not_safe_stops_and_says_what_to_do(visit, kb):
    gate = kb.hazards["water-near-electricity"].gate
    for said in ("not dry", "not sure", "no, not safe"):
        visit.go("/case?complaint=siphons").type("said", said)
        assert at_a_stop(visit)
        assert all(d in visit.text for d in gate.do_now)
        assert gate.call in visit.text
    assert gate_word(visit.go("/case?complaint=siphons").type("said", "")) == "dry"


def test_a_danger_in_the_words_comes_before_what_is_wrong_and_lives_on_in_the_address(visit):
    visit.go("/").type("words", "sparks from the outlet, water near the plug, and it will not drain")
    assert at_a_stop(visit)
    assert "hazard=" in visit.url
    assert "sparks" not in visit.url
    visit.go(visit.url.partition("&stop=")[0])
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


def test_the_note_of_one_page_does_not_clear_another_address_that_begins_alike(visit):
    clear_gates(visit.go(LINK))
    form = visit.form("said")
    hidden = dict(form.fields)
    assert hidden["note"]
    for more in ("&fact=onset:new", "&check=hose-sealed:loose"):
        visit.take(visit.client.post(LINK + more, data=hidden))
        assert gate_word(visit) == "dry"
    visit.take(visit.client.post(LINK + "&fact=onset:new", data=hidden | {"said": "nonsense"}))
    assert gate_word(visit) == "dry"
    visit.go(LINK)
    clear_gates(visit).press("can't")
    assert gate_word(visit) is None
    assert "cant=" in visit.url


def test_a_page_of_before_a_stop_goes_no_further(visit):
    """Back to the page before the stop, by the button of the browser."""
    clear_gates(visit.go(LINK))
    before = visit.reader
    visit.type("words", "soapy water is near the plug and the outlet")
    assert gate_word(visit)
    asked = visit.reader
    visit.press("Not safe, or I am not sure: stop here")
    assert at_a_stop(visit)
    visit.url, visit.reader = LINK, before
    assert gate_word(visit.press("can't")) == "dry"
    visit.reader = asked
    visit.type("said", gate_word_of(asked))
    assert visit.response.status_code == 422
    assert "asked too long ago" in visit.text


def gate_word_of(reader):
    return " ".join(" ".join(reader.text).split()).partition("type the word ")[2].split()[0]


def test_an_old_form_answers_nothing(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    form, first = visit.form("said"), visit.url
    visit.press("skip")
    after = visit.url
    visit.send(form, {"said": "skip", "step": "0" * 12})
    assert visit.url == first
    assert after != first


def test_a_condition_of_a_step_that_is_not_met_leaves_it_and_stops_nothing(visit, kb):
    """Taps that don't close are no danger by themselves: what needs them closed is left, and the case goes on."""
    visit.go("/case?complaint=leaking-coupling&fact=onset:suddenly")
    closed = kb.hazards["stored-pressure"].gate.word
    for _ in range(40):
        word = gate_word(visit)
        if word == closed:
            break
        visit.type("said", word) if word else visit.press("skip")
    assert gate_word(visit) == closed
    visit.press("Not so, or I am not sure: leave it")
    assert not at_a_stop(visit)
    assert "cant=" in visit.url
