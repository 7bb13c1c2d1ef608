"""Several servers before one database: whichever answers, a desk, a kept case, a link and a cleared gate are the same."""

import itertools
import threading

import httpx
import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from tests.cli.page.conftest import TOKEN
from tests.cli.store.conftest import cluster, database, server  # noqa: F401
from tests.support.forms import Visitor, clear_gates, gate_word


class Turns:
    """Gives each request of a browser to the next of some servers."""

    def __init__(self, clients):
        self.clients = clients
        self.turn = itertools.cycle(clients)
        self.cookies = httpx.Cookies()

    def request(self, method, url, **more):
        """Send a request, and follow where it leads by turns."""
        for _ in range(9):
            client = next(self.turn)
            client.cookies = self.cookies
            made = client.request(method, url, follow_redirects=False, **more)
            self.cookies = client.cookies
            if not made.has_redirect_location:
                return made
            url = made.headers["location"]
            if made.status_code != 307:
                method, more = "GET", {}
        raise AssertionError("it leads round in circles")


@pytest.fixture
def sites(serve, server):  # noqa: F811
    """Three servers with one key on one database."""
    return [serve(path=server) for _ in range(3)]


@pytest.fixture
def browser(sites):
    """A browser behind a balancer."""
    return Visitor(Turns(sites))


def test_a_desk_goes_on_whichever_server_answers(browser, server):  # noqa: F811
    desk = browser.go("/door").type("token", TOKEN)
    desk.go("/desk?complaint=walks").type("reference", "Alder 4")
    case = desk.url.rpartition("/")[2].partition("?")[0]
    clear_gates(desk)
    for _ in range(5):
        assert gate_word(desk) is None  # what was cleared once is clear on all of them
        desk.press(desk.choices[0])
        assert desk.response.status_code == 200
        clear_gates(desk)
    desk.send(next(f for f in desk.reader.forms if "note-words" in f.names), {"note-words": "rings back"})
    desk.send(
        next(f for f in desk.reader.forms if "ring-back" in f.names), {"who": "ann", "ring-back": "2099-01-02 10:00"}
    )
    assert "Alder 4" in desk.go("/desk/queue").text
    assert "ann" in desk.text
    assert case in desk.go("/desk/cases").text
    with Store.open(server) as store:
        events = store.events(case)
        assert sum(bool(e.check or e.fact or e.cant or e.remedy or e.proof) for e in events) == 5
        assert [e.note for e in events if e.note] == ["rings back"]
        assert store.queued(case).who == "ann"


def test_a_link_leads_to_its_case_on_every_server_until_it_is_forgotten_on_one(browser, sites):
    home = browser.take(browser.ask("POST", "/keep?complaint=walks"))
    url = home.url.partition("?")[0]
    clear_gates(home)
    home.press(home.choices[0])
    links = [client.get(url).status_code for client in sites]
    assert links == [200, 200, 200]
    browser.take(browser.ask("POST", f"{url}/forget"))
    assert [client.get(url).status_code for client in sites] == [404, 404, 404]


def test_a_gate_of_an_address_is_clear_on_every_server(browser):
    home = clear_gates(browser.go("/case?complaint=walks"))
    for _ in range(4):
        assert gate_word(home.go(home.url)) is None


def test_of_two_that_answer_one_question_at_once_one_is_told_that_the_case_went_on(server):  # noqa: F811
    """Both have seen the same page: neither answer is added behind the other unseen."""
    with Store.open(server) as store:
        case = store.begin()
        store.add(case, Event(complaints=["walks"]))
    for turn in range(10):
        start, codes = threading.Barrier(2), []

        def answer(name, start=start, codes=codes, turn=turn):
            with Store.open(server) as mine:
                seen = mine.last(case)
                start.wait()
                try:
                    with mine.together():
                        mine.unmoved(case, seen)
                        mine.add(case, Event(note=f"{turn} {name}"))
                    codes.append("kept")
                except InvalidInputError as refused:
                    codes.append(refused.problems[0].code)

        threads = [threading.Thread(target=answer, args=(name,)) for name in "ab"]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(codes) == ["J016", "kept"]
