"""The store is lost for a while: nobody is told wrongly that something is kept or not, and what to do at a danger is said all the same."""

import html
import re

import pytest

from dryfloor.cli.store.database.errors import in_doubt, server_problem, unkept
from dryfloor.cli.store.database.place import ServerPlace
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor, clear_gates

PLACE = ServerPlace("postgresql://desk@db.example/shop")


class Outage:
    """Stands before a site's store, or between it and what it calls; `of` are the names of the calls that are refused, None: all."""

    def __init__(self, client, problem=None):
        self.keeping = client.context.keeping
        self.problem = problem or server_problem(PLACE, Exception())
        self.down = False
        self.after = None  # so many calls are served first
        client.context.keeping = self

    async def __call__(self, work):
        if self.after is not None:
            self.after -= 1
            self.down = self.after < 0
        if self.down:
            raise InvalidInputError([self.problem])
        return await self.keeping(work)

    def only(self, monkeypatch, *names):
        """Refuse these calls of the store alone, each time."""

        def refuse(*_, **__):
            raise InvalidInputError([self.problem])

        for name in names:
            monkeypatch.setattr(self.keeping.store, name, refuse)

    def __getattr__(self, name):
        return getattr(self.keeping, name)


@pytest.fixture
def client(serve):
    return serve()


@pytest.fixture
def desk(client):
    """Somebody at the desk before a kept case, past its gates."""
    visitor = Visitor(client)
    visitor.go("/door").type("token", TOKEN)
    visitor.go("/desk?complaint=walks").type("reference", "Alder 4")
    return clear_gates(visitor)


def events(client):
    keeping = getattr(client.context.keeping, "keeping", client.context.keeping)
    return keeping.thread.submit(lambda: keeping.store.events(keeping.store.find()[0].id)).result()


def test_what_can_not_be_read_is_said_as_what_passes(client, desk):
    lost = Outage(client)
    lost.down = True
    for url in (desk.url, "/desk/cases", "/desk/queue"):
        page = desk.go(url)
        assert (page.response.status_code, page.response.headers["retry-after"]) == (503, "3")
        assert "can't be reached just now" in page.text.lower()
        assert not any(
            word in page.text
            for word in ("postgresql", "PostgreSQL", "db.example", "address can't be used", "nothing of this was kept")
        )
    lost.down = False
    assert desk.go("/desk/queue").response.status_code == 200


def test_from_what_could_not_be_had_one_link_leads_back(client, desk):
    lost, case = Outage(client), desk.url.partition("?")[0].rpartition("/")[2]
    form = desk.form("note-words")
    for url, again in (("/desk/cases?text=<a>", "/desk/cases?text="), (desk.url, f"/desk/cases/{case}")):
        lost.down = True
        page = desk.go(url)
        link = html.unescape(re.search(r'class="button" href="([^"]*)">Open it again', page.page)[1])
        assert link.startswith(again)
        lost.down = False
        assert desk.go(link).response.status_code == 200
    lost.down = True
    desk.send(form, {"note-words": "rings back"})
    assert f'href="/desk/cases/{case}"' in desk.page
    assert "nothing of this was kept" in desk.text


@pytest.mark.parametrize(
    ("problem", "says"),
    [
        (server_problem(PLACE, Exception()), "nothing of this was kept"),
        (in_doubt(PLACE), "it is not known whether this was kept"),
        (unkept("x", "the disk is full"), "can't keep anything just now, nor this"),
    ],
)
def test_an_answer_that_is_not_kept_comes_back_with_the_question(client, desk, monkeypatch, problem, says):
    before, lost = events(client), Outage(client, problem)
    asked, said = desk.reader.h1, desk.choices[0]
    with monkeypatch.context() as patch:
        lost.only(patch, "add")
        desk.press(said)
        assert desk.response.status_code == 503
        assert says in desk.text.lower()
        assert "You typed:" in desk.text
        assert desk.reader.h1 == asked
        assert events(client) == before
    desk.press(said)
    assert len(events(client)) == len(before) + 1


def test_an_answer_that_was_kept_is_never_said_not_to_be(client, desk):
    """The store is lost right after each call in turn: what is sent on was kept, what is refused was not."""
    lost, outcomes = Outage(client), set()
    for served in range(12):
        here = desk.go(desk.url.partition("?")[0])
        if not here.choices:
            break
        before = len(events(client))
        form = next(f for f in here.reader.forms if any(b[0] == "said" for b in f.buttons))
        pairs = dict(form.fields) | {"said": here.choices[-1]}
        lost.after = served
        got = client.post(form.action, data=pairs, follow_redirects=False)
        lost.after, lost.down = None, False
        kept = len(events(client)) > before
        assert (got.status_code == 303) == kept, (served, got.status_code, before)
        outcomes.add(kept)
    assert outcomes == {True, False}


def test_a_danger_is_answered_while_the_store_is_lost(client):
    desk, lost = Visitor(client), Outage(client)
    desk.go("/door").type("token", TOKEN)
    desk.go("/desk?complaint=walks").type("reference", "Alder 4")
    lost.down = True
    desk.press("no, not safe")
    assert "Do this now" in desk.text
    assert desk.response.status_code == 503
    lost.down = False
    home = Visitor(client)
    home.take(client.post("/keep?complaint=walks"))
    lost.down = True
    home.press("no, not safe")
    assert "Do this now" in home.text


def test_a_note_that_is_sent_twice_is_one_note_and_said_again_later_two(client, desk):
    form = next(f for f in desk.reader.forms if "note-words" in f.names and "at-note" not in f.names)
    for _ in range(2):
        desk.send(form, {"note-words": "rings back"})
    assert [e.note for e in events(client) if e.note] == ["rings back"]
    desk.send(
        next(f for f in desk.reader.forms if "note-words" in f.names and "at-note" not in f.names),
        {"note-words": "rings back"},
    )
    assert [e.note for e in events(client) if e.note] == ["rings back"] * 2


def test_a_proof_whose_end_was_lost_is_closed_once_when_the_case_is_opened(client):
    desk = Visitor(client)
    desk.go("/door").type("token", TOKEN)
    keeping = client.context.keeping

    def write():
        case = keeping.store.begin("Alder 4")
        for event in (
            *(Event(role="desk"), Event(complaints=["water-on-floor"])),
            *(Event(remedy="coupling-not-tight", did="done"), Event(proof="dry-paper-ten-minutes", answer="dry")),
        ):
            keeping.store.add(case, event)
        return case

    case = keeping.thread.submit(write).result()
    for _ in range(2):
        assert "Solved" in desk.go(f"/desk/cases/{case}").text
        assert [e.closed for e in events(client) if e.closed] == ["solved"]
        last = keeping.thread.submit(lambda: keeping.store.last(case)).result()
        # What is said on this very page is not said too late.
        assert {dict(f.fields)["step"].partition("-")[0] for f in desk.reader.forms if "step" in f.names} == {str(last)}


def test_a_proof_that_is_kept_is_not_refused_where_its_end_can_not_be_kept_yet(client, monkeypatch):
    desk, keeping = Visitor(client), client.context.keeping
    desk.go("/door").type("token", TOKEN)
    desk.go("/desk?complaint=water-on-floor").type("reference", "Alder 4")
    case = desk.url.rpartition("/")[2].partition("?")[0]
    keeping.thread.submit(lambda: keeping.store.add(case, Event(remedy="coupling-not-tight", did="done"))).result()
    clear_gates(desk.go(f"/desk/cases/{case}"))
    whole = Store.add

    def add(self, case, event, **more):
        if event.closed:
            raise InvalidInputError([server_problem(PLACE, Exception())])
        whole(self, case, event, **more)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "add", add)
        desk.press("dry")
        assert desk.response.status_code == 200
    assert events(client)[-1].proof == "dry-paper-ten-minutes"
    desk.go(f"/desk/cases/{case}")
    assert events(client)[-1].closed == "solved"
