"""The desk: not there without its token; answers in any order, the hand-over card, and kept cases with it."""

import re

import pytest

from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, at_a_stop, clear_gates

TOKEN = "quiet-otter-under-the-sink"
INSIDE = (
    "/desk",
    "/desk?complaint=walks",
    "/desk/cases",
    "/desk/hand-over?complaint=walks",
    "/desk/cases/A2C3F4",
    "/desk/keep",
)


@pytest.fixture
def desk(serve):
    """A visitor who came in by the door."""
    return Visitor(serve()).go("/door").type("token", TOKEN)


@pytest.mark.parametrize("url", INSIDE)
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE", "OPTIONS", "HEAD"])
def test_without_the_token_the_desk_is_not_there(serve, url, method):
    client = serve()
    got, nothing = client.request(method, url), client.request(method, "/nowhere/at/all")
    assert got.status_code == 404
    if method == "GET":
        assert got.text == nothing.text
    client.cookies.set("desk", "9999999999.0000", path="/desk")
    assert client.request(method, url).status_code == 404


def test_a_server_without_a_token_has_no_door(serve):
    client = serve(token="")
    assert client.get("/door").status_code == 404
    assert client.get("/desk").status_code == 404


def test_a_pass_is_the_desks_alone_and_ends_with_the_shift(serve, clock):
    client = serve()
    made = client.post("/door", data={"token": TOKEN}, follow_redirects=False)
    cookie = made.headers["set-cookie"]
    assert all(x in cookie for x in ("HttpOnly", "Path=/desk", "SameSite=strict"))
    assert client.get("/desk").status_code == 200
    clock.now += 13 * 3600
    assert client.get("/desk").status_code == 404


def test_a_form_of_another_site_is_refused(serve):
    client = serve()
    client.post("/door", data={"token": TOKEN})
    for head in ({"sec-fetch-site": "cross-site"}, {"origin": "https://elsewhere.example"}):
        assert client.post("/desk?complaint=walks", headers=head, data={"said": "x"}).status_code == 403
    assert (
        client.post("/desk?complaint=walks", headers={"sec-fetch-site": "same-origin"}, data={"said": "x"}).status_code
        == 200
    )


def test_answers_come_in_any_order(desk):
    clear_gates(desk.go("/desk?complaint=siphons"))
    desk.send(desk.form("open"), {"open": "standpipe-height"})
    clear_gates(desk)
    assert "broom" in desk.reader.h1 or "top" in desk.reader.h1
    desk.type("said", "31 in")
    assert "check=standpipe-height:31+in" in desk.url
    assert "ask=" not in desk.url
    assert "85 in 100" in desk.text or "Standpipe too low" in desk.text
    assert "speaks for it" in desk.text


def test_a_number_is_an_answer(desk):
    clear_gates(desk.go("/desk?complaint=slow-fill"))
    first = next(c for c in desk.choices if c not in ("skip", "can't"))
    assert f":{first}" in desk.type("said", "1").url


def test_what_the_caller_says_later_is_heard_and_confirmed(desk):
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("said", "and the pipes bang when it fills")
    assert "Confirm with the caller" in desk.text
    desk.press("That is right: go on")
    assert "complaint=water-hammer" in desk.url


def test_kept_calls_are_found_gone_on_with_handed_on_and_forgotten(desk):
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("reference", "Alder Lane 4")
    url = desk.url
    assert "/desk/cases/" in url
    desk.type("said", "note the shed is in the yard")
    desk.press("skip")
    desk.go("/desk/cases?text=alder+yard")
    assert "Alder Lane 4" in desk.text
    assert "open" in desk.text
    desk.go("/desk/cases?text=birch")
    assert "No case fits" in desk.text
    desk.go(url.partition("?")[0] + "/hand-over")
    assert "the shed is in the yard" in desk.text
    for _ in range(60):
        clear_gates(desk.go(url))
        if "skip" not in desk.choices:
            break
        desk.press("skip")
    desk.press("Handed on: close it here")
    assert "waiting" in desk.text
    desk.go(url).press("Forget this case for good")
    desk.press("Yes, forget it for good")
    assert "No case fits" in desk.text
    assert desk.go(url).response.status_code == 404


def test_a_homeowners_address_opens_at_the_desk_in_the_desks_voice(desk, kb):
    desk.go("/desk?complaint=walks&fact=dryer-beside:gas-dryer")
    assert kb.hazards["gas-smell"].gate.ask.desk in desk.text


def test_a_stop_is_kept_and_said_on_the_hand_over_card(desk):
    desk.go("/desk?complaint=walks").type("reference", "Birch 7")
    url = desk.url
    desk.press("Not safe, or I am not sure: stop here")
    assert at_a_stop(desk)
    assert "STOPPED here: it was not safe" in desk.go(url + "/hand-over").text
    assert "If all is safe" in desk.go(url).text


def test_a_call_that_was_stopped_is_kept_as_stopped(desk):
    desk.go("/desk?complaint=walks").press("Not safe, or I am not sure: stop here")
    assert at_a_stop(desk)
    desk.type("reference", "Birch 9")
    assert "If all is safe" in desk.text
    assert "STOPPED here: it was not safe" in desk.go(desk.url + "/hand-over").text


def focused(visitor):
    """The tags that have the focus when the page opens."""
    return re.findall(r"<(\w+)[^>]*\bautofocus\b", visitor.page)


def test_the_focus_is_where_the_next_key_goes(desk):
    for url in ("/desk", "/desk?complaint=siphons", "/desk?heard=walks", "/desk/cases"):
        assert len(focused(desk.go(url))) == 1, url
    clear_gates(desk.go("/desk?complaint=slow-fill"))
    assert focused(desk) == ["input"]
    assert 'id="words"' not in desk.page  # one box hears an answer and anything else
    clear_gates(desk.go("/desk?complaint=siphons&ask=standpipe-height"))
    assert re.search(r'<input id="said"[^>]*autofocus', desk.page)
    assert "Keys, with your browser" in desk.text


@pytest.mark.parametrize(
    ("said", "ask"),
    [
        ("standpipe-height", "standpipe-height"),
        ("Standpipe height", "standpipe-height"),
        ("pipe heigh", "standpipe-height"),
    ],
)
def test_what_was_told_already_is_found_by_part_of_its_name(desk, said, ask):
    clear_gates(desk.go("/desk?complaint=siphons"))
    assert "<datalist" in desk.page
    desk.type("open", said)
    assert f"ask={ask}" in desk.url
    clear_gates(desk.go("/desk?complaint=siphons")).type("open", "hose")
    assert desk.response.status_code == 422
    assert "questions:" in desk.text
    assert "no question is called" in clear_gates(desk.go("/desk?complaint=siphons")).type("open", "zebra").text.lower()


def test_reference_and_notes_can_be_changed(desk):
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("reference", "Alder 4")
    desk.type("reference", "Alder 14")
    assert "Alder 14" in desk.text
    desk.type("note-words", "the key is with the naybor")
    assert "naybor" in desk.page
    form = next(f for f in desk.reader.forms if "at-note" in f.names)
    desk.send(form, {"note-words": "the key is with the neighbor"})
    assert "naybor" not in desk.page
    assert "the key is with the neighbor" in desk.page
    desk.go(desk.url.partition("?")[0] + "/hand-over")
    assert "the key is with the neighbor" in desk.text
    assert "naybor" not in desk.text


def test_a_case_is_found_by_its_complaint_and_without_accents(desk, kb):
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("reference", "Frau M\u00fcller, Caf\u00e9")
    word = kb.complaints["slow-fill"].says.split()[-1]
    for text in ("muller", "MU\u0308LLER cafe", f"caf\u00e9 {word}", kb.complaints["slow-fill"].title.split()[0]):
        assert "ller" in desk.go("/desk/cases").type("text", text).text, text
        assert "No case fits" not in desk.text, text
    assert "No case fits" in desk.type("text", "muller zebra").text
    assert "UTC" not in desk.text or "(UTC)" in desk.text


def test_the_list_says_what_the_page_says(desk):
    clear_gates(
        desk.go("/desk?complaint=walks&fact=rhythm:every-time&check=rocks-by-hand:rocks&remedy=foot-unloaded:done")
    )
    desk.type("reference", "Birch 3")
    clear_gates(desk)
    desk.press("stayed")
    assert "Solved" in desk.reader.h1
    assert "Birch 3: closed" in desk.text
    assert "closed" in desk.go("/desk/cases?text=birch").text.partition("Birch 3")[2][:20]


def test_a_case_that_is_solved_on_the_page_is_told_at_the_installation_before_it(serve, tmp_path):
    """As in the terminal, and of that installation alone."""
    from dryfloor.cli.store.store import Store
    from dryfloor.engine.case.installed import Left, installation, surveyed

    path = tmp_path / "cases.db"
    left = Left("rocks-by-hand", "All four feet bear", "it rocks. Screw out the foot that lifts, by whoever installs")
    with Store.open(path) as store:
        put, other = store.begin("Birch 4"), store.begin("Birch 5")
        for case in (put, other):
            for event in installation(
                None, {}, {"rocks-by-hand": "rocks"}, [], [], "technician", "broken", to_mend=[left]
            ):
                store.add(case, event)
        after = store.begin("Birch 4, callback", earlier=put)
        for event in (
            Event(role="desk"),
            Event(complaints=["walks"]),
            Event(fact="rhythm", is_="every-time"),
            Event(check="rocks-by-hand", answer="rocks"),
            Event(remedy="foot-unloaded", did="done"),
        ):
            store.add(after, event)
    desk = Visitor(serve(path=path)).go("/door").type("token", TOKEN).go(f"/desk/cases/{after}")
    clear_gates(desk)
    with Store.open(path) as store:
        assert surveyed(store.events(put)).to_mend == [left]
    desk.press("stayed")
    assert "Solved" in desk.reader.h1
    with Store.open(path) as store:
        found = surveyed(store.events(put))
        assert (found.to_mend, [x.check for x in found.mended]) == ([], ["rocks-by-hand"])
        assert f"mended by case {after}" in found.mended[0].text
        assert [e.closed for e in store.events(put)][-1] == "installed"
        assert surveyed(store.events(other)).to_mend == [left]


def test_the_technician_has_a_door_and_a_voice(kb):
    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context
    from tests.cli.page.conftest import TestClient

    other = "slow-heron-behind-the-dryer"
    with TestClient(application(Context(kb, token=TOKEN, technician=other))) as both:
        assert Visitor(both, {}).go("/technician").response.status_code == 404
        tech = Visitor(both, {}).go("/door").type("token", other)
        assert tech.url.endswith("/technician")
        assert tech.go("/desk").response.status_code == 404
        clear_gates(tech.go("/technician?complaint=siphons"))
        tech.go("/technician?complaint=walks&fact=dryer-beside:gas-dryer")
        assert kb.hazards["gas-smell"].gate.ask.technician in tech.text
        clear_gates(tech)
        assert "caller" not in tech.text.lower()
        assert "a call" not in tech.page.partition("</title>")[0].lower()
        clear_gates(tech)
        assert tech.page.index('id="said"') < tech.page.index('class="choices"')  # the box stands above the answers
        desk = Visitor(both, {}).go("/door").type("token", TOKEN)
        assert desk.url.endswith("/desk")
        assert desk.go("/technician").response.status_code == 404
