"""The queue at the desk's page: the next call in one step, marks edited on the case's page, and what is refused."""

import re

import pytest

from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import QueueMark
from tests.support.forms import Visitor
from tests.support.stored import marked

TOKEN = "quiet-otter-under-the-sink"


@pytest.fixture
def client(serve):
    """A client inside the desk's door."""
    made = serve()
    Visitor(made).go("/door").type("token", TOKEN)
    return made


def put(client, *events, reference=""):
    keeping = client.context.keeping

    def write(store):
        case = store.begin(reference)
        for event in (Event(role="desk"), *events):
            store.add(case, event)
        return case

    return keeping.thread.submit(write, keeping.store).result()


def stands(client, case):
    keeping = client.context.keeping
    return keeping.thread.submit(lambda: keeping.store.queued(case)).result()


SLOW = Event(heard="Mrs. Doe says it fills slowly", complaints=["slow-fill"])


def test_the_queue_is_in_order_with_why_and_no_words_of_the_caller(client):
    slow = put(client, SLOW, reference="Alder 4")
    stopped = put(client, Event(complaints=["no-drain"]), Event(stopped="burning-smell"))
    page = client.get("/desk/queue").text
    assert re.findall(r'<tr id="(\w+)">', page) == [stopped, slow]
    assert "Stopped for safety" in page
    assert "Doe" not in page
    assert 'accesskey="x"' in page
    assert "<script" not in page


def test_the_next_call_is_taken_in_one_step_once_the_mark_is_known(client):
    first, second = put(client, Event(complaints=["no-drain"]), Event(stopped="burning-smell")), put(client, SLOW)
    refused = client.post("/desk/queue/next", data={})
    assert (refused.status_code, "Nobody is named" in refused.text) == (422, True)
    got = client.post("/desk/queue/next", data={"mark": "ann"}, follow_redirects=False)
    assert got.headers["location"] == f"/desk/cases/{first}"
    assert all(x in got.headers["set-cookie"] for x in ("HttpOnly", "Path=/desk", "SameSite=strict"))
    assert client.post("/desk/queue/next", follow_redirects=False).headers["location"] == f"/desk/cases/{second}"
    assert (stands(client, first).who, stands(client, second).who) == ("ann", "ann")
    assert "No call waits that can" in client.post("/desk/queue/next").text


def test_the_next_call_passes_over_what_waits_and_what_is_open_in_a_window(client):
    part, later, walked, free = (put(client, SLOW, reference=f"Alder {n}") for n in range(4))
    keeping = client.context.keeping

    def mark():
        keeping.store.queue(part, QueueMark(waits="part"))
        keeping.store.queue(later, QueueMark(ring_back="2099-01-02T10:00:00Z"))
        marked(keeping.store, walked, "attic", 12, "1", "another")

    keeping.thread.submit(mark).result()
    got = client.post("/desk/queue/next", data={"mark": "ann"}, follow_redirects=False)
    assert got.headers["location"] == f"/desk/cases/{free}"
    assert "No call waits that can" in client.post("/desk/queue/next").text
    assert [stands(client, case).who for case in (part, later, walked, free)] == ["", "", "", "ann"]


def test_owner_and_ring_back_are_edited_on_the_page_of_the_case(client):
    case = put(client, SLOW)
    url = f"/desk/cases/{case}/queue"
    form = {"who": "bob", "ring-back": "2099-01-02 10:00", "waits": "part", "soon": "1", "seen": ""}
    page = client.post(url, data=form).text
    assert 'value="bob"' in page
    assert 'value="2099-01-02 10:00"' in page
    found = stands(client, case)
    assert (found.who, found.waits, found.soon) == ("bob", "part", True)
    kept = client.context.keeping
    count = len(kept.thread.submit(lambda: kept.store.record(case)).result().marks)
    client.post(url, data={**form, "seen": "2099-01-02 10:00", "who": "cy"})
    assert (stands(client, case).who, stands(client, case).ring_back) == ("cy", found.ring_back)
    assert len(kept.thread.submit(lambda: kept.store.record(case)).result().marks) == count + 2
    client.post(url, data={"who": "", "ring-back": "", "waits": ""})
    assert stands(client, case) == type(found)()
    assert client.post(url, data={"ring-back": "soon"}).status_code == 422
    client.post(url, data={"waits": "godot", "who": "x" * 300})
    assert (stands(client, case).waits, len(stands(client, case).who)) == ("", 20)


@pytest.mark.parametrize("cookie", ["zz", "ff", "6", "00" * 500, "1b5b324a"])
def test_a_mark_in_a_cookie_that_somebody_made_up_does_no_harm(client, cookie):
    put(client, SLOW)
    client.cookies.set("mark", cookie, path="/desk")
    got = client.get("/desk/queue")
    assert got.status_code == 200
    assert "\x1b" not in got.text


@pytest.mark.parametrize(
    ("method", "url"), [("GET", "/desk/queue"), ("POST", "/desk/queue/next"), ("POST", "/desk/cases/A2C3F4/queue")]
)
def test_without_the_token_there_is_no_queue(serve, method, url):
    assert serve().request(method, url).status_code == 404


def test_a_desk_without_a_store_has_no_queue(serve):
    made = serve(store=False)
    Visitor(made).go("/door").type("token", TOKEN)
    assert made.get("/desk/queue").status_code == 404


def test_of_many_calls_only_those_that_went_on_are_thought_about_again(client, monkeypatch):
    """More calls than a server remembers advice of: each look at the queue would else work all of them out anew."""
    monkeypatch.setattr("dryfloor.cli.page.answers.workers.KEPT", 2)
    cases = [put(client, SLOW, reference=f"Alder {n}") for n in range(6)]
    asked, whole = [], client.context.workers.advice

    async def advice(events, *more):
        asked.append(len(events))
        return await whole(events, *more)

    monkeypatch.setattr(client.context.workers, "advice", advice)
    first = client.get("/desk/queue").text
    assert (len(asked), client.get("/desk/queue").text) == (6, first)
    keeping = client.context.keeping
    keeping.thread.submit(lambda: keeping.store.add(cases[2], Event(stopped="burning-smell"))).result()
    keeping.thread.submit(lambda: keeping.store.forget(cases[4])).result()
    found = re.findall(r'<tr id="(\w+)">', client.get("/desk/queue").text)
    assert (found[0], cases[4] in found, len(found), len(asked)) == (cases[2], False, 5, 7)
