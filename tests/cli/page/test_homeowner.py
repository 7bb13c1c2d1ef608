"""The homeowner's pages: one question a page, what was typed comes back, answers can be changed, and the end says whose work it is."""

import re

import pytest

from dryfloor.cli.page.answers.address import Address, query
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, clear_gates, gate_word

LOW = "/case?complaint=siphons&fact=drain:standpipe&check=standpipe-height:31+in&check=hose-sealed:loose&check=hose-depth:5+in"


def skip_to_the_end(visitor, most=60):
    for _ in range(most):
        clear_gates(visitor)
        if "skip" not in visitor.choices:
            return visitor
        visitor.press("skip")
    raise AssertionError("no end")


def test_words_are_confirmed_and_then_dropped(visit):
    visit.go("/").type("words", "my washer hops about upstairs")
    assert "I hear" in visit.text
    assert "heard=walks" in visit.url
    visit.press("That is right: go on")
    assert "complaint=walks" in visit.url
    for word in ("hops", "upstairs", "heard"):
        assert word not in visit.url


def test_words_that_fit_nothing_come_back_with_a_reason(visit):
    visit.go("/").type("words", "my <b>dryer</b> won't heat & hums")
    assert visit.response.status_code == 422
    assert "That sounds like a dryer" in visit.text
    assert "my &lt;b&gt;dryer&lt;/b&gt; won&#39;t heat &amp; hums" in visit.page
    assert "<b>dryer" not in visit.page


def test_a_wrong_reading_comes_back_with_what_was_typed_and_why(visit):
    clear_gates(visit.go("/case?complaint=siphons&fact=drain:standpipe&ask=standpipe-height"))
    visit.type("said", '31"<script>')
    assert visit.response.status_code == 422
    assert "<script>" not in visit.page
    assert 'value="31&#34;&lt;script&gt;"' in visit.page
    assert visit.type("said", "31").response.status_code == 422
    assert "31 in" in visit.text or "unit" in visit.text
    visit.type("said", "31 in")
    assert "check=standpipe-height:31+in" in visit.url
    assert "below common practice by 8 in" in visit.text


def test_every_answer_can_be_changed_and_the_change_is_said(visit):
    clear_gates(visit.go("/case?complaint=slow-fill&fact=onset:new"))
    visit.press("change: When it began")
    assert "ask=onset" in visit.url
    visit.press("suddenly")
    assert visit.url.endswith("fact=onset:new&fact=onset:suddenly")
    assert (
        "When it began: was 'since it was newly installed'; it is now 'suddenly, after it had worked well'."
        in visit.text
    )


def test_an_answer_from_before_a_remedy_is_changed_in_its_place(visit):
    url = "/case?complaint=walks&check=rocks-by-hand:rocks&remedy=foot-unloaded:done&ask=rocks-by-hand"
    clear_gates(visit.go(url))
    visit.press("it stands firm on all corners")
    assert re.search(r"complaint=walks&check=rocks-by-hand:(?!rocks)[a-z-]+&remedy=foot-unloaded:done$", visit.url)


def test_skip_and_can_not_tell_are_always_there(visit):
    clear_gates(visit.go("/case?complaint=no-drain"))
    for _ in range(8):
        assert {"skip", "can't"} <= set(visit.choices)
        visit.press("skip")
        clear_gates(visit)


def test_the_end_says_the_finding_its_number_line_and_whose_work_it_is(visit, kb):
    skip_to_the_end(visit.go(LOW))
    assert visit.reader.h1 == "Book a licensed plumber or drain service."
    assert "It explains what you see" in visit.text
    assert 'role="img"' in visit.page
    head, _, tail = visit.text.partition("You may do this yourself")
    mine, _, theirs = tail.partition("Leave this to the trade")
    assert "Until they come" in head
    assert "Raise the standpipe" in theirs.partition("What to say")[0]
    assert "Raise the standpipe" not in mine
    assert "Found: standpipe too low" in theirs


SLOW = pytest.mark.slow


@pytest.mark.parametrize(
    "complaint", ["walks", pytest.param("no-power", marks=SLOW), pytest.param("water-hammer", marks=SLOW)]
)
def test_every_remedy_at_an_end_is_under_whoever_may_do_it(visit, kb, complaint):
    skip_to_the_end(visit.go(f"/case?complaint={complaint}"))
    mine, _, theirs = visit.text.partition("You may do this yourself")[2].partition("Leave this to the trade")
    for cause in kb.causes.values():
        if f"{cause.remedy.title}. It mends" in mine:
            assert cause.remedy.by == "anyone"
        if f"{cause.remedy.title}. Work for" in theirs:
            barred = any("homeowner" in kb.hazards[h].never for h in cause.remedy.hazards)
            # What nobody could tell counts as if it were so: it takes the work out of the usual hands.
            assert cause.remedy.by != "anyone" or cause.remedy.by_where or barred


def test_a_mend_and_its_proof_close_the_case(visit):
    clear_gates(
        visit.go("/case?complaint=walks&fact=rhythm:every-time&check=rocks-by-hand:rocks&remedy=foot-unloaded:done")
    )
    assert "Prove it" in visit.text
    visit.press("it spun fast to the end, the foot is at the tape")
    assert visit.reader.h1 == "Mended, and seen to work"


def test_kept_cases_go_on_at_their_link_until_they_are_forgotten(serve):
    client = serve()
    visit = Visitor(client)
    clear_gates(visit.go("/case?complaint=slow-fill&fact=onset:new")).press("Keep this")
    link = visit.url
    assert "/kept/" in link
    assert len(link.rpartition("/")[2]) >= 32
    visit.press("skip")
    assert visit.url == link
    assert "1 passed over" in visit.text
    visit.press("change: When it began")
    visit.press("suddenly")
    again = Visitor(client).go(link)
    assert "suddenly, after it had worked well" in again.text
    visit.press("Forget it for good")
    assert visit.reader.h1 == "Forget this case for good?"
    assert Visitor(client, {}).go(link).response.status_code == 200
    visit.press("Yes, forget it for good")
    assert visit.reader.h1 == "Forgotten"
    assert Visitor(client).go(link).response.status_code == 404
    assert client.context.keeping.thread.submit(client.context.keeping.store.find).result() == []


def test_a_kept_case_asks_its_gates_of_whoever_opens_it(visit):
    clear_gates(visit.go("/case?complaint=siphons"))
    visit.press("Keep this")
    link = visit.url
    visit.type("said", "dry")
    assert "If all is safe" not in visit.text
    visit.press("skip")
    assert "If all is safe" not in visit.text
    assert "If all is safe" not in visit.go(link).text
    assert "If all is safe" in Visitor(visit.client, {}).go(link).text


def test_two_who_answer_one_kept_case_lose_nothing(serve):
    client = serve()
    a, b = Visitor(client), Visitor(client)
    clear_gates(a.go("/case?complaint=slow-fill")).press("Keep this")
    b.go(a.url)
    a.press("skip")
    answered = b.choices[0]
    b.press(answered)  # made before the other answer: it answers nothing, and both are shown
    assert b.response.status_code == 409
    assert "went on since this page was made" in b.text
    assert b.reader.h1 == a.reader.h1
    b.press("Record it all the same")
    assert b.response.status_code == 200
    assert "passed over" not in b.text
    b.go(b.url)
    assert "went on" not in b.text


def test_nothing_is_kept_without_a_store(serve):
    visit = Visitor(serve(store=False))
    clear_gates(visit.go("/case?complaint=slow-fill"))
    assert "Keep this" not in visit.text
    assert visit.client.post("/keep?complaint=slow-fill").status_code == 422
    assert visit.go("/kept/abc").response.status_code == 404


@pytest.mark.parametrize("url", ["/", "/case?complaint=walks", LOW, "/case?heard=walks", "/nowhere"])
def test_pages_hold_no_script_no_style_of_their_own_no_cookie_and_nothing_from_elsewhere(shared, url):
    visit = Visitor(shared).go(url)
    assert "<script" not in visit.page
    # Where a gate stands the browser is made to remember that it was looked at: no page's script and no other site reads it.
    set_cookie = visit.response.headers.get("set-cookie", "looked=; httponly; samesite=lax; max-age=3600").lower()
    assert ("set-cookie" in visit.response.headers) <= (gate_word(visit) is not None)
    assert all(x in set_cookie for x in ("looked=", "httponly", "samesite=lax", "max-age=3600"))
    assert not [x for x in visit.reader.asked if x[1] in ("style", "onclick") or "//" in x[2]]
    assert visit.response.headers["content-security-policy"].startswith("default-src 'none'")
    assert visit.response.headers["referrer-policy"] == "same-origin"


def test_the_page_of_a_case_shows_the_card_of_advise(visit, kb):
    events = [Event(complaints=["slow-fill"])]
    card = advise(kb, [Event(role="homeowner"), *events]).card
    visit.go("/case?" + query(Address(events=tuple(events))))
    assert visit.reader.h1.strip() == (card.question or card.title)


def test_the_dangers_stand_also_where_words_fitted_nothing(kb, visit):
    """Who says a shock in words that are not understood still has the button that tells what to do."""
    visit.go("/").type("words", "mir hat die Maschine einen Schlag gegeben")
    assert "That fits none" in visit.text or "English only so far" in visit.text
    for hazard in kb.hazards.values():
        if hazard.gate and hazard.gate.at_once:
            assert hazard.gate.at_once.says in visit.text
