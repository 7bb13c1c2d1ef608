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
from tests.support.forms import Visitor, at_a_stop, clear_gates, gate_word


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


def look(site):
    """Let a server look at what the others told; it does so each second by itself."""
    assert site.portal.call(site.context.ends.look)


def test_a_stop_on_one_server_ends_what_was_cleared_on_all(sites):
    first, second, third = sites
    home = clear_gates(Visitor(first, httpx.Cookies()).go("/case?complaint=walks&fact=dryer-beside:gas-dryer"))
    for site in (second, third):
        home.client = site
        assert gate_word(home.go(home.url)) is None  # clear on every server
    before = home.url
    home.client = first
    old = Visitor(third, httpx.Cookies(home.cookies)).go(before)
    card = next(f for f in old.reader.forms if any(b[0] == "said" for b in f.buttons))
    home.send(home.form("said"), {"said": "I smell gas"})
    assert at_a_stop(home)
    look(third)
    assert gate_word(old.go(before)) is not None
    old.send(card, {"said": "skip"})  # a page of before the stop, sent again
    assert gate_word(old) is not None


def test_a_server_that_begins_later_honours_what_was_cleared_and_knows_what_was_stopped(sites, serve, server, clock):  # noqa: F811
    clear = clear_gates(Visitor(sites[0], httpx.Cookies()).go("/case?complaint=walks"))
    stopped = clear_gates(Visitor(sites[1], httpx.Cookies()).go("/case?complaint=walks"))
    url = stopped.url
    stopped.send(stopped.form("said"), {"said": "I smell gas"})
    assert at_a_stop(stopped)
    clock.now += 60
    later = serve(path=server)
    clear.client = stopped.client = later
    assert gate_word(clear.go(clear.url)) is None
    assert gate_word(stopped.go(url)) is not None


def test_signed_out_on_one_server_a_pass_opens_nothing_on_any(sites):
    first, second, _ = sites
    desk = Visitor(first, httpx.Cookies()).go("/door").type("token", TOKEN)
    copied = Visitor(second, httpx.Cookies(desk.cookies))
    assert copied.go("/desk").response.status_code == 200
    desk.press("Sign out")
    look(second)
    assert copied.go("/desk").response.status_code == 404


def test_keep_pressed_twice_keeps_one_case(sites, server):  # noqa: F811
    """The first answer was lost on the way; the same form goes to another server."""
    first, second, _ = sites
    home = clear_gates(Visitor(first, httpx.Cookies()).go("/case?complaint=walks"))
    form = next(f for f in home.reader.forms if f.action.startswith("/keep"))
    urls = []
    for site in (first, second):
        home.client = site
        urls.append(home.send(form).url)
    assert all("/kept/" in url for url in urls)
    assert len(Store.open(server).find()) == 1
    desk = Visitor(first, httpx.Cookies()).go("/door").type("token", TOKEN).go("/desk?complaint=walks")
    form = desk.form("reference")
    urls = []
    for site in (second, first):
        desk.client = site
        urls.append(desk.send(form, {"reference": "Alder 4"}).url)
    assert urls[0].rpartition("/")[2] == urls[1].rpartition("/")[2]
    with Store.open(server) as store:
        assert len(store.find()) == 2
        assert len(store.find(reference="Alder 4")) == 1


class Meanwhile:
    """Stands before a server's store: somebody else writes to the case between what this server reads and what it writes."""

    def __init__(self, site, write):
        self.keeping, self.write, self.calls = site.context.keeping, write, 0
        site.context.keeping = self

    async def __call__(self, work):
        self.calls += 1
        if work.__name__ == "write":
            self.write()
        return await self.keeping(work)

    def __getattr__(self, name):
        return getattr(self.keeping, name)


def test_what_another_server_kept_meanwhile_is_looked_at_before_an_answer_counts(sites, server):  # noqa: F811
    desk = Visitor(sites[0], httpx.Cookies()).go("/door").type("token", TOKEN)
    desk.go("/desk?complaint=walks").type("reference", "Alder 4")
    clear_gates(desk)
    case = desk.url.rpartition("/")[2].partition("?")[0]
    with Store.open(server) as other:
        Meanwhile(sites[0], lambda: other.add(case, Event(note="from the other desk")))
        desk.press(desk.choices[0])
        assert desk.response.status_code == 409
        assert "went on since this page was made" in desk.text
        assert [e.note or e.check or e.fact for e in other.events(case)][-1] == "from the other desk"


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
