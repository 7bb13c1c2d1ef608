"""The desk: not there without its token; answers in any order, the hand-over card, and kept cases with it."""

import pytest

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
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("words", "and the pipes bang when it fills")
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
