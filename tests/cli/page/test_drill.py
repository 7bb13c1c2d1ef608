"""The drill on the page, by somebody whose browser runs no script: the same rounds as in the terminal, and nothing of them kept."""

import json
import warnings

import pytest

from dryfloor.cli.page.app import application
from dryfloor.cli.page.context import Context
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import policies
from dryfloor.engine.drill.debrief import debrief
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.sealing import seal
from dryfloor.engine.exercises.site import exercise
from tests.support.forms import Visitor

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the test client is about to move to another package
    from starlette.testclient import TestClient

FAULT = Order(seed=3, fault="standpipe-too-low")


@pytest.fixture(scope="module")
def classroom(kb):
    """A client of a site with a drill."""
    with TestClient(application(Context(kb, lessons=True))) as client:
        yield client


@pytest.fixture
def pupil(kb, classroom):
    """A pupil at the door of a place whose pipe is too low."""
    return Visitor(classroom).go(f"/drill?code={seal(kb, FAULT)}")


def test_a_round_from_the_door_to_the_debrief(pupil):
    assert "Drains itself dry while it soaks." in pupil.text
    assert "too low" not in pupil.page.lower()
    pupil.type("safe", "floor and plug dry")
    assert "Asked and looked: dry." in pupil.text
    pupil.type("words", "how high is the standpipe")
    assert "27 in, give or take 1/8 in." in pupil.text
    form = pupil.form("wrong")
    more = {
        "wrong": "pipe too low",
        "rule": "standpipe height",
        "limit": "39 in",
        "datum": "top over the feet",
        "by": "plumber",
        "sentence": "Too short.",
    }
    pupil.send(form, more, next(b for b in form.buttons if b[1] == "verdict"))
    assert pupil.reader.h1.startswith("Score 1.0")
    assert "The truth: Standpipe too low" in pupil.text
    assert "limit: right 39 in" in pupil.text
    assert "Our way" in pupil.text


def test_the_codes_that_bind_at_the_house_are_said_on_the_page(pupil):
    assert "Plumbing code in force: " in pupil.text
    assert "Electrical code in force: " in pupil.text


def test_the_score_is_that_of_the_same_moves_anywhere(kb, classroom):
    network = network_of(kb)
    made = exercise(network, FAULT)
    game = Round(network, made)
    for act in policies.ours(network, made).acts:
        game.do(act)
    acts = json.dumps([{"kind": a.kind, "id": a.id, "by": a.by, "rule": a.rule} for a in game.acts])
    page = Visitor(classroom).take(classroom.post("/drill", data={"code": seal(kb, FAULT), "acts": acts}))
    assert page.reader.h1 == "Score 1.00"
    assert debrief(network, made, game).score == 1


def test_a_step_over_an_open_gate_ends_the_round(pupil):
    pupil.type("words", "standpipe height")
    assert pupil.reader.h1 == "Score -2.00"
    assert "floor of the scale" in pupil.text
    assert "Safe is: dry." in pupil.text


def test_a_mend_over_an_open_gate_ends_the_round_and_the_form_asks_for_it(pupil):
    form = pupil.form("wrong")
    button = next(b for b in form.buttons if b[1] == "verdict")
    more = {"wrong": "standpipe too low", "by": "plumber"}
    pupil.send(form, more | {"sure": "floor and plug dry"}, button)
    assert pupil.reader.h1.startswith("Score 0.")
    assert "A guess when it was said: standpipe too low." in pupil.text


def test_a_mend_that_nothing_was_made_sure_of_for_ends_the_round(pupil):
    form = pupil.form("wrong")
    button = next(b for b in form.buttons if b[1] == "verdict")
    pupil.send(form, {"wrong": "standpipe too low", "by": "plumber"}, button)
    assert pupil.reader.h1 == "Score -2.00"


def test_words_for_a_danger_that_were_not_understood_end_no_round(kb, classroom):
    order = Order(seed=22, fault="house-pressure-high")
    pupil = Visitor(classroom).go(f"/drill?code={seal(kb, order)}")
    for words in ("water stopped", "floor and plug dry", "hose depressurized"):
        pupil.type("safe", words)
    pupil.type("words", "static pressure")
    assert "Before that: you began to make sure of something." in pupil.text
    pupil.type("words", "static pressure")
    assert "before its danger was cleared" in pupil.text


def test_of_several_dangers_the_one_that_was_not_understood_is_asked_back_wherever_it_stands(kb, classroom):
    order = Order(seed=22, fault="house-pressure-high")
    for words in ("hose depressurized; water stopped", "water stopped; hose depressurized"):
        pupil = Visitor(classroom).go(f"/drill?code={seal(kb, order)}")
        pupil.type("safe", words)
        assert "You typed: hose depressurized" in pupil.text
        assert "29.8 min left" in pupil.text  # what was understood is done
        pupil.press("Water kept under pressure")
        assert "Asked and looked: closed." in pupil.text


def test_where_it_is_not_safe_the_page_asks_what_is_to_be_done_now(kb, classroom):
    pupil = Visitor(classroom).go(f"/drill?code={seal(kb, Order(seed=0))}").type("safe", "smell of gas")
    assert "Asked and looked: not so." in pupil.text
    form = pupil.form("now")
    pupil.send(form, {"now": "Out, and call."}, next(b for b in form.buttons if b[1] == "leave"))
    assert pupil.reader.h1.startswith("Score 1.0")
    assert "Not safe here: Smell of gas" in pupil.text


def test_what_can_be_meant_is_chosen_by_a_button(pupil):
    pupil.type("safe", "floor and plug dry").type("words", "kinked drain hose")
    assert pupil.response.status_code == 422
    assert "Which do you mean?" in pupil.text
    pupil.press("check:drain-hose-lie")
    assert pupil.response.status_code == 200
    assert "How the drain hose" in pupil.text or "drain hose" in pupil.text.lower()


@pytest.mark.parametrize("typed", ["yes", "No."])
def test_a_typed_yes_or_no_is_no_name_of_a_look(pupil, typed):
    pupil.type("words", typed)
    assert pupil.response.status_code == 422
    assert "Press the button of the one that you mean" in pupil.text


def test_wrong_words_come_back_with_what_was_typed_and_nothing_of_a_verdict_is_lost(pupil):
    pupil.type("words", "<b>zzqx</b>")
    assert pupil.response.status_code == 422
    assert "&lt;b&gt;zzqx" in pupil.page
    form = pupil.form("wrong")
    more = {"wrong": "pipe height", "rule": "height of the pipe", "limit": "39", "sentence": "It's <too> short."}
    pupil.send(form, more, next(b for b in form.buttons if b[1] == "verdict"))
    assert pupil.response.status_code == 422
    assert 'value="standpipe-too-low"' in pupil.page
    assert 'value="height of the pipe"' in pupil.page
    assert "It&#39;s &lt;too&gt; short." in pupil.page
    form = pupil.form("wrong")
    more |= {"cause": "standpipe-too-low", "rule": "standpipe height"}
    pupil.send(form, more, next(b for b in form.buttons if b[1] == "verdict"))
    assert "39 what?" in pupil.text
    form = pupil.form("wrong")
    pupil.send(form, more | {"limit": "39 in"}, next(b for b in form.buttons if b[1] == "verdict"))
    assert pupil.reader.h1.startswith("Score")


def test_a_first_round_teaches_on_the_page_how_it_is_played(classroom):
    pupil = Visitor(classroom).go("/drill?first=1")
    assert "1 of 4, asking" in pupil.text
    pupil.type("words", "standpipe height")
    assert "Not yet: first make sure of this: water near electricity." in pupil.text
    pupil.type("words", "kind of drain").type("safe", "water near electricity").type("words", "standpipe height")
    assert "4 of 4, the verdict" in pupil.text
    assert "at least 39 in" in pupil.text
    form = pupil.form("wrong")
    pupil.send(
        form, {"wrong": "standpipe too low", "by": "plumber"}, next(b for b in form.buttons if b[1] == "verdict")
    )
    assert pupil.reader.h1.startswith("Score 0.9") or pupil.reader.h1.startswith("Score 1.")
    assert "How to read this" in pupil.text
    assert "How to read this" not in Visitor(classroom).go("/drill").text


def test_whoever_reloads_or_comes_again_is_where_they_were(classroom, pupil):
    pupil.type("safe", "floor and plug dry").type("words", "how high is the standpipe")
    assert pupil.response.history[-1].status_code == 303
    again = Visitor(classroom).go(pupil.url)
    assert again.text == pupil.text
    assert "28.8 min left" in again.text
    pupil.press("Leave it to others")
    assert Visitor(classroom).go(pupil.url).reader.h1 == pupil.reader.h1


@pytest.mark.parametrize("acts", ["{", '[{"kind":"check","id":"nope"}]', "%00", "[1]"])
def test_an_address_that_was_tampered_with_begins_anew(kb, classroom, acts):
    page = Visitor(classroom).go(f"/drill?code={seal(kb, FAULT)}&acts={acts}")
    assert page.response.status_code == 422
    assert page.form("seed")


def test_a_round_that_is_too_long_for_an_address_goes_on_without_it(kb, classroom):
    acts = json.dumps([fact_of(n) for n in range(150)])
    answer = classroom.post(
        "/drill", data={"code": seal(kb, FAULT), "acts": acts, "words": "kind of floor"}, follow_redirects=False
    )
    assert answer.status_code == 200
    assert "min left" in answer.text


def test_leaving_it_is_0(pupil):
    pupil.press("Leave it to others")
    assert pupil.reader.h1 == "Score 0.00"


def test_a_number_is_the_same_place_for_all_and_stands_in_no_address(kb, classroom):
    one, other = Visitor(classroom).go("/drill?seed=7"), Visitor(classroom).go("/drill?seed=7")
    assert one.text == other.text
    assert one.url == other.url
    assert one.url.endswith(f"/drill?code={seal(kb, Order(seed=7))}")
    assert Visitor(classroom).go("/drill").type("seed", "7").url == one.url


@pytest.mark.parametrize(
    "query",
    ["seed=x", "seed=-1", "seed=99999999999999", "seed=4294967296", "code=ABCD", "code=%00", "seed=7&minutes=0"],
)
def test_an_address_that_can_not_be_used_says_why(classroom, query):
    page = Visitor(classroom).go(f"/drill?{query}")
    assert page.response.status_code == 422
    assert page.form("seed")


@pytest.mark.parametrize(
    "acts",
    [
        "{",
        "[1]",
        '[{"kind":"check","id":"nope"}]',
        '[{"kind":"jump"}]',
        '[{"kind":"safe","id":"nope"}]',
        '[{"kind":"leave"},{"kind":"leave"}]',
        "\x00",
    ],
)
def test_a_form_that_was_tampered_with_is_refused_without_a_fault(kb, classroom, acts):
    answer = classroom.post("/drill", data={"code": seal(kb, FAULT), "acts": acts})
    assert answer.status_code == 422
    assert "be read" in answer.text
    assert "Traceback" not in answer.text
    assert (
        classroom.post("/drill", data={"code": seal(kb, FAULT), "acts": "[]", "pick": "verdict:x"}).status_code == 422
    )


def test_a_round_has_an_end_however_long_it_is(kb, classroom):
    acts = json.dumps([{"kind": "fact", "id": "drain"}] * 5000)
    answer = classroom.post("/drill", data={"code": seal(kb, FAULT), "acts": acts[:60_000].rpartition("}")[0] + "}]"})
    assert answer.status_code in (200, 413, 422)
    assert (
        classroom.post(
            "/drill", data={"code": seal(kb, FAULT), "acts": json.dumps([fact_of(n) for n in range(200)])}
        ).status_code
        == 200
    )


def fact_of(n):
    return {"kind": "fact", "id": "drain" if n % 2 else "floor"}


def test_without_the_class_there_is_no_drill(shared):
    assert shared.get("/drill").status_code == 404


def test_another_site_can_not_send_its_forms(kb, classroom):
    answer = classroom.post(
        "/drill", data={"code": seal(kb, FAULT), "acts": "[]"}, headers={"origin": "https://elsewhere.example"}
    )
    assert answer.status_code == 403
