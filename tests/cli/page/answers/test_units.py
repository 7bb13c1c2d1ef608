"""Whose units a page shows: chosen on it, remembered in a sealed cookie that says nothing else, and back where one was."""

import re

import pytest

from dryfloor.cli.page.answers.signing import Signer
from dryfloor.cli.page.answers.units import COOKIE, back_to
from tests.support.forms import Visitor, clear_gates

CASE = "/case?complaint=siphons&fact=drain:standpipe&fact=machine:top-loader"
HEIGHT = CASE + "&ask=standpipe-height"


@pytest.fixture
def home(serve):
    client = serve(store=False)
    return Visitor(client, type(client.cookies)())


def test_cm_come_first_where_they_were_chosen_and_in_where_nothing_was(home):
    clear_gates(home.go(HEIGHT))
    assert "Such as 39 1/2 in, 3 ft 4 in, or 100 cm" in home.text
    home.press("cm, L, °C")
    assert home.url.endswith(HEIGHT)
    assert "Such as 100 cm, 39 1/2 in, or 3 ft 4 in" in home.text
    home.type("said", "31 in")
    assert "Standpipe height : 78.7 cm (31 in), below common practice by 20.3 cm (8 in)." in home.text
    home.go(HEIGHT)
    assert 'value="si" aria-describedby="first" aria-current="true"' in home.page
    home.press("in, gal, °F")
    assert "Such as 39 1/2 in" in home.text


def test_prose_pictures_and_questions_back_follow(home):
    home.go("/case?complaint=siphons&ask=hose-depth").press("cm, L, °C")
    clear_gates(home.go("/case?complaint=siphons&ask=tub-outlet"))
    assert "7.6 L (2 gal)" in home.text
    clear_gates(home.go(HEIGHT)).type("said", "31")
    assert "31 what? Do you mean 31 cm, or 31 in?" in home.text
    assert re.search(">(99 to )?244 cm<", home.page)  # a label may take two lines
    assert "limit 99 to 244 cm." in home.text
    assert "39 to 96 in" not in home.text.partition("Why this limit")[0]


def test_a_unit_that_can_not_be_true_is_not_offered(home):
    home.go(HEIGHT)
    clear_gates(home)
    home.type("said", "1000")
    assert "1000 in?" not in home.text
    assert "1000 ft" not in home.text
    assert "1000 mm" in home.text


def test_the_choice_is_sealed_and_says_nothing_of_whoever_made_it(serve):
    one, two = (serve(store=False) for _ in range(2))
    got = [c.post("/units", data={"first": "si", "to": "/"}, follow_redirects=False) for c in (one, two)]
    assert len({g.headers["set-cookie"] for g in got}) == 1
    assert got[0].headers["set-cookie"].startswith(f"{COOKIE}=")
    assert "HttpOnly" in got[0].headers["set-cookie"]
    forged = Signer(b"x" * 32).sealed(COOKIE, b"si")
    for value in (forged, "c2k=.x", "\u00e9", "x" * 9000):
        page = one.get(HEIGHT, headers={"cookie": f"{COOKIE}={value}".encode()})
        assert 'value="us" aria-describedby="first" aria-current="true"' in page.text
    assert "set-cookie" not in one.post("/units", data={"first": "stone", "to": "/"}, follow_redirects=False).headers


@pytest.mark.parametrize("to", ["//elsewhere.example", "https://elsewhere.example/", "/\\elsewhere.example", "/a\nb", "", "x", "/" * 9000, "/\u00e9", "http://[", "/case"])  # fmt: skip
def test_nobody_is_led_elsewhere(serve, to):
    client = serve(store=False)  # the choice stays in its cookies
    made = client.post("/units", data={"first": "si", "to": to}, follow_redirects=False)
    assert made.headers["location"] == ("/case" if to == "/case" else "/")
    assert back_to(to) == made.headers["location"]
    assert (
        client.post("/units", data={"first": "si"}, headers={"origin": "https://elsewhere.example"}).status_code == 403
    )


def test_other_programs_get_both_whatever_a_browser_chose(home):
    home.go("/").press("cm, L, °C")
    body = '{"role": "homeowner", "complaints": ["siphons"], "answers": {"standpipe-height": "31 in"}}'
    told = home.ask("POST", "/advise", content=body, headers={"content-type": "application/json"}).text
    assert "31 in (79 cm)" in told
    assert "78.7 cm (31 in)" not in told


def test_after_an_answer_that_is_asked_back_the_choice_leads_to_the_same_question(home):
    clear_gates(home.go(HEIGHT)).type("said", "tall")
    assert home.response.status_code == 422
    home.press("cm, L, °C")
    assert (home.response.status_code, home.url.endswith(HEIGHT)) == (200, True)
