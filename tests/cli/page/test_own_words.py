"""None of these, in words of one's own: at every question; a note of no weight, in no address and no log, stored by "Keep this" alone."""

import logging
import urllib.parse

import pytest

from dryfloor.cli.page.answers.own_words import LONGEST, OwnWords
from dryfloor.cli.page.answers.signing import Signer
from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, clear_gates, gate_word
from tests.support.shipped import shipped

KB = shipped()
WORDS = "qoxi the lid was painted green by my uncle"
COMPLAINTS = sorted(KB.complaints)


def asked(name):
    """Return the address of a question, in a case that may ask it."""
    shown = [s.complaint for c in KB.causes.values() for s in c.shows if s.complaint]
    return f"/case?complaint={shown[0]}&ask={name}"


def rows(client):
    """Return the events of the one case that is kept."""
    store = client.context.keeping
    (line,) = store.thread.submit(store.store.find).result()
    return store.thread.submit(store.store.events, line.id).result()


def nowhere(visit, caplog):
    """Nothing of the words stands in the address, in where the browser was sent, or in what is logged."""
    told = [visit.url, *(str(r.url) for r in visit.response.history)]
    told += [r.headers.get("location", "") for r in visit.response.history]
    assert not any("qoxi" in urllib.parse.unquote_plus(t) for t in told)
    assert "qoxi" not in caplog.text


def without_cookies(client, method, url, more):
    """Follow redirects as a browser that keeps no cookies."""
    for _ in range(5):
        client.cookies.clear()
        made = client.request(method, url, follow_redirects=False, **more)
        if "location" not in made.headers:
            return made
        url, method = made.headers["location"], method if made.status_code == 307 else "GET"
        more = more if made.status_code == 307 else {}
    raise AssertionError("no end of redirects")


def crawl(visit, names):
    """Open each question, and return those that offer no words of one's own."""
    without = []
    for name in names:
        visit.go(asked(name))
        if visit.response.status_code != 200:
            continue
        if not any("own" in f.names for f in visit.reader.forms):
            without.append(name)
        if gate_word(visit):
            clear_gates(visit)
            if not any("own" in f.names for f in visit.reader.forms):
                without.append(name)
    return without


def test_a_seventh_of_the_questions_and_every_gate_and_list_offer_it(visit):
    assert crawl(visit, [*sorted(KB.checks)[::7], *sorted(KB.facts)[::7]]) == []
    gates = [f"/case?complaint=walks&hazard={h.id}" for h in KB.hazards.values() if h.gate]
    lists = ["/", "/case?ask=family", "/case?maybe=walks&maybe=noisy", "/case?heard=walks"]
    for url in [*gates, *lists]:
        visit.go(url)
        assert any("own" in f.names for f in visit.reader.forms), url


@pytest.mark.slow
def test_every_check_and_fact_offers_it(visit):
    assert crawl(visit, [*sorted(KB.checks), *sorted(KB.facts)]) == []


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_words_leave_the_question_and_weigh_nothing(visit, caplog, complaint):
    caplog.set_level(logging.DEBUG)
    clear_gates(visit.go(f"/case?complaint={complaint}"))
    before = visit.reader.h1
    visit.type("own", WORDS)
    assert visit.response.status_code == 200
    assert "Noted in your words" in visit.text
    assert "qoxi" in visit.text
    assert visit.reader.h1 != before
    nowhere(visit, caplog)
    with_words = visit.reader.h1
    bare = clear_gates(Visitor(visit.client, {}).go(visit.url))
    assert bare.reader.h1 == with_words
    assert "qoxi" not in bare.text


def test_they_wait_through_answers_and_are_stored_when_the_case_is_kept(serve, caplog):
    visit = Visitor(serve())
    clear_gates(visit.go("/case?complaint=slow-fill"))
    visit.type("own", WORDS)
    visit.press("skip")
    visit.press("skip")
    assert "qoxi" in visit.text
    visit.go(visit.url)
    assert "qoxi" in visit.text
    visit.press("Keep this")
    events = rows(visit.client)
    notes = [e.note for e in events if e.note]
    assert len(notes) == 1
    assert "qoxi" in notes[0]
    at = next(n for n, e in enumerate(events) if e.note)
    assert events[at - 1].cant
    assert events[-1].skip
    assert "qoxi" in visit.text
    nowhere(visit, caplog)
    clear_gates(visit).type("own", WORDS + " again")
    assert [e.note for e in rows(visit.client) if e.note][-1].endswith("again")


def test_they_wait_without_cookies_too(serve):
    """The form carries them from page to page."""
    client = serve()
    visit = Visitor(client)
    visit.ask = lambda method, url, **more: without_cookies(client, method, url, more)
    clear_gates(visit.go("/case?complaint=siphons"))
    for step in ("own", "skip", "can't"):
        visit.type("own", WORDS) if step == "own" else visit.press(step)
        assert visit.response.status_code == 200
        assert visit.text.count("qoxi") >= 1
        assert visit.url.count("cant=") + visit.url.count("skip=") == ["own", "skip", "can't"].index(step) + 1
        assert "qoxi" not in visit.url
    visit.press("Keep this")
    assert any("qoxi" in (e.note or "") for e in rows(client))


def test_going_back_takes_them_back_and_a_changed_answer_does_not(visit):
    clear_gates(visit.go("/case?complaint=slow-fill&fact=onset:new"))
    behind = visit.url
    visit.type("own", WORDS)
    assert "qoxi" not in visit.go(behind).text
    visit.type("own", WORDS)
    visit.press("change: When it began")
    visit.press("suddenly")
    assert "suddenly" in visit.text
    assert "qoxi" in visit.text


def test_another_case_in_the_same_browser_does_not_have_them(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    visit.type("own", WORDS)
    assert "qoxi" not in clear_gates(visit.go("/case?complaint=spin-wet")).text


def test_a_danger_in_the_words_comes_first(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    visit.type("own", "I smell gas in the room now")
    assert gate_word(visit) or "Do this now" in visit.text


def test_at_the_list_of_complaints_they_can_be_kept_although_nothing_fits(serve):
    visit = Visitor(serve())
    visit.go("/").type("own", WORDS)
    assert "washer technician is the one to ask" in visit.text
    visit.press("Keep this")
    assert [e.note for e in rows(visit.client) if e.note]


def test_what_was_not_understood_is_kept_by_one_button(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    before = visit.reader.h1
    visit.type("said", "qoxi zulu")
    assert visit.response.status_code == 422
    visit.press("None of these: keep my words and go on")
    assert "qoxi zulu" in visit.text
    assert visit.reader.h1 != before


def test_nothing_typed_and_too_much_are_said(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    visit.type("own", "  ")
    assert "Nothing was typed" in visit.text
    for n in range(60):
        visit.type("own", " ".join(f"{n}w{k * 7919 % 10007}" for k in range(60)))
        if visit.response.status_code == 422:
            break
    assert "keep the case first" in visit.text


def test_what_a_browser_holds_can_not_be_forged_and_fits_a_cookie():
    signer, case = Signer(b"k" * 32), [Event(role="homeowner")]
    words = OwnWords().plus(Event(note="a"), case)
    assert len(words.sealed(signer)) < LONGEST
    from dryfloor.cli.page.answers.own_words import opened

    assert opened(signer, words.sealed(signer)).texts == words.texts
    assert opened(Signer(b"x" * 32), words.sealed(signer)) == OwnWords()
    assert opened(signer, "nonsense") == OwnWords()


def test_what_it_turned_out_to_be_waits_and_is_stored_typed(serve, caplog):
    visit = Visitor(serve())
    visit.go("/case?complaint=walks")
    for _ in range(60):
        clear_gates(visit)
        if any("turned" in f.names for f in visit.reader.forms):
            break
        visit.press("skip")
    visit.type("turned", "qoxi the shipping bolts were still in")
    assert "Which of these is it?" in visit.text
    visit.press("restraints-left-in")
    assert "It turned out to be" in visit.text
    nowhere(visit, caplog)
    visit.press("Keep this")
    said = rows(visit.client)[-1]
    assert (said.turned_out, said.cause) == ("qoxi the shipping bolts were still in", "restraints-left-in")
    assert said.date
    assert visit.reader.h1 == "It turned out to be something else"


@pytest.mark.parametrize("which", ["none", "no-such-cause"])
def test_of_a_kept_case_it_is_an_event_at_once(serve, which):
    visit = Visitor(serve())
    clear_gates(visit.go("/case?complaint=walks")).press("Keep this")
    for _ in range(60):
        clear_gates(visit)
        if any("turned" in f.names for f in visit.reader.forms):
            break
        visit.press("skip")
    visit.type("turned", "qoxi the shipping bolts were still in")
    form = visit.form("which")
    visit.send(form, {"which": which, "by": "plumber"})
    said = rows(visit.client)[-1]
    assert (said.turned_out, said.cause, said.by) == ("qoxi the shipping bolts were still in", None, "plumber")


def test_what_it_turned_out_to_be_is_not_lost_on_a_tab_that_is_behind(serve):
    visit = Visitor(serve())
    clear_gates(visit.go("/case?complaint=walks")).press("Keep this")
    for _ in range(60):
        clear_gates(visit)
        if any("turned" in f.names for f in visit.reader.forms):
            break
        visit.press("skip")
    older = visit.form("turned")
    visit.type("turned", "the shipping bolts were still in")
    visit.send(visit.form("which"), {"which": "none"})
    before = rows(visit.client)
    visit.send(older, {"turned": "the floor gave way"})
    assert "the floor gave way" in visit.text
    assert "so what you said is not recorded" in visit.text
    assert rows(visit.client) == before
    visit.send(older, {"turned": "the shipping bolts were still in"})  # the same form twice
    assert "is not recorded" not in visit.text
    assert rows(visit.client) == before
