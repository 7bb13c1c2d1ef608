"""Kept cases in the open: so many from one address and from all, so many on the server, and a way to clear what nobody opened."""

import pytest

from dryfloor.cli.page import context
from dryfloor.cli.page.middleware import Rate
from dryfloor.cli.store.store import Store
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor, clear_gates
from tests.support.stored import marked

KEEP = "/keep?complaint=slow-fill"


def keep(client, n=1):
    return [client.post(KEEP, follow_redirects=False) for _ in range(n)]


def count(path):
    with Store.open(path, write=False) as store:
        return len(store.find())


def test_one_address_keeps_no_more_than_so_many_at_once(serve, tmp_path):
    client = serve()
    got = keep(client, context.KEPT_EACH + 3)
    assert [g.status_code for g in got] == [303] * context.KEPT_EACH + [429] * 3
    assert got[-1].headers["retry-after"] == "600"
    assert "your case is in its address" in got[-1].text
    assert count(tmp_path / "cases.db") == context.KEPT_EACH


def test_all_together_keep_no_more_than_so_many_at_once(serve):
    client = serve()
    client.context.kept_rate = Rate(1000, 4, 600.0)
    assert [g.status_code for g in keep(client, 6)] == [303] * 4 + [429] * 2


def test_a_server_keeps_no_more_than_it_is_told_to_and_has_room_again_once_some_are_gone(serve, tmp_path):
    client = serve()
    client.context.most_kept = 3
    got = keep(client, 5)
    assert [g.status_code for g in got] == [303] * 3 + [507] * 2
    assert "this server keeps no more than 3 cases" in got[-1].text.lower()
    assert count(tmp_path / "cases.db") == 3
    client.post(got[0].headers["location"] + "/forget")
    assert keep(client)[0].status_code == 303
    # The desk keeps its calls all the same.
    Visitor(client).go("/door").type("token", TOKEN)
    assert client.post("/desk/keep?complaint=walks", data={"reference": "Alder 4"}).status_code == 200


def test_the_desk_clears_what_nobody_opened_and_nothing_else(serve, tmp_path):
    client = serve()
    path = tmp_path / "cases.db"
    store = client.context.keeping.store
    now = [1_000_000.0]
    store._now = lambda: now[0]
    links = [g.headers["location"] for g in keep(client, 6)]
    home, desk = Visitor(client), Visitor(client)
    home.go(links[0])  # at once after it was kept: whoever kept it
    now[0] += 5
    clear_gates(home.go(links[1])).press("skip")
    now[0] += 3600
    home.go(links[2])
    desk.go("/door").type("token", TOKEN)
    clear_gates(desk.go("/desk?complaint=slow-fill")).type("reference", "Alder 4")
    now[0] += 2 * 86400
    later = keep(client)[0].headers["location"]
    desk.go("/desk/cases")
    assert "never opened since: 5" in desk.text
    desk.type("days", "1")
    assert "Removed for good: 4." in desk.text
    with Store.open(path, write=False) as whole:
        assert whole.verify()[2] == []  # what the page wrote of a case still fits its checksum
    assert count(path) == 4
    for link in (links[1], links[2], later):
        assert client.get(link).status_code == 200
    for link in (links[0], *links[3:]):
        assert client.get(link).status_code == 404
    raw = path.read_bytes()
    assert raw.count(b"slow-fill") >= 4
    assert client.post("/desk/forget-unopened", data={"days": "some"}).status_code == 422
    assert client.post("/desk/forget-unopened", data={"days": "0"}).status_code == 200
    assert count(path) == 3


def test_a_case_in_somebodys_hands_is_not_cleared(tmp_path):
    import subprocess
    import sys

    from dryfloor.cli.store.database import lock

    with Store.open(tmp_path / "c.db") as store:
        case = store.begin()
        store.link(case)
        store.sealed(case)
        other = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
        try:
            marked(store, case, lock.host(), other.pid, lock.born(other.pid), lock.boot())
            assert store.held(case)
            assert store.forget_all(store.unopened(0)) == 0
        finally:
            other.kill()
            other.wait()


def test_a_kept_case_takes_no_more_than_so_many_answers(serve, monkeypatch):
    monkeypatch.setattr(context, "MOST_EVENTS", 3)
    visit = Visitor(serve())
    clear_gates(visit.go("/case?complaint=slow-fill&fact=onset:new")).press("Keep this")
    visit.press("skip")
    assert visit.response.status_code == 422
    assert "as many as one may have" in visit.text


@pytest.mark.parametrize("text", ["\\ud83d\\ude00", "😀", "\\ud83d\\ude00 and \\\\ud83d\\\\ude00"])
def test_emoji_as_json_writes_them_are_read(serve, run, tmp_path, text):
    client = serve()
    body = '{"events": [{"role": "desk"}, {"heard": "it hops %", "complaints": ["walks"]}]}'.replace("%", text)
    got = client.post("/advise", content=body.encode(), headers={"content-type": "application/json"})
    assert got.status_code == 200
    assert client.post("/hear", json={"words": "it hops 😀"}).status_code == 200
    path = tmp_path / "case.yaml"
    path.write_text(body)
    done = run("advise", str(path), "--json")
    assert done.code == 0
    assert done.out == got.text
    assert client.post("/advise", content=body.replace("\\ude00", "").encode()).status_code == (
        200 if text == "😀" else 422
    )
