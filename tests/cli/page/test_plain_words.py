"""Nothing on a page reads like the terminal or the kb's files: no id, no command, no option, on any page that can be reached."""

import re

import pytest
from msgspec import Struct

from dryfloor.cli.page.answers.worded import BY_STORE, for_page
from dryfloor.engine.errors import Problem
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor, clear_gates, gate_word

COMMAND = re.compile(
    r"\bdryfloor (?:show|cases|resume|walk|note|export|forget|advise|kb|close)\b|--[a-z]|type its (?:number|id|words)|\bhelp lists\b"
    r"|\b(?:write|use) (?:the id|answer:|value:|is:|one of these after)|\bits id\b|\bthe id\b|\bYAML\b|\bkb\b|\bevents?\b|C0\d\d|P0\d\d|J0\d\d"
)  # fmt: skip


def texts(value):
    """All prose of the kb: what stands there as people read it."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list | tuple):
        for one in value:
            yield from texts(one)
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            if name != "id":
                yield from texts(getattr(value, name))


@pytest.fixture(scope="module")
def ids(kb):
    """The ids that are no words: with a dash, and in no sentence of the kb."""
    tables = (kb.complaints, kb.facts, kb.checks, kb.hazards, kb.causes, kb.rules, kb.parts, kb.machines)
    named = {i for table in tables for i in table}
    named |= {o for f in kb.facts.values() for o in f.options} | {a for c in kb.checks.values() for a in c.answers}
    prose = "\n".join(t for table in tables for t in texts([*table.values()]) if " " in t).lower()
    spoken = set(re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", prose))
    found = {i for i in named if "-" in i} - spoken
    assert len(found) > 500
    return found


def plain(visit, ids, where):
    """Hold a page to plain words."""
    said = visit.text
    assert not COMMAND.search(said), (where, COMMAND.search(said), said[:300])
    found = {w for w in re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", said.lower()) if w in ids}
    assert not found, (where, found)


ODD = ["", "help", "?", "list", "why", "back", "99", "0", "-1", "note it rattles", "also", "words", "parsecs", "31", "31 parsecs"]  # fmt: skip


def crawl(visit, ids, kb, every, base="/case"):
    """Go to each complaint and question, type what does not fit, and hold every page on the way to plain words."""
    seen = 0
    for complaint in [*kb.complaints][::every]:
        plain(visit.go(f"{base}?complaint={complaint}"), ids, complaint)
        plain(clear_gates(visit), ids, complaint)
    named = [*kb.checks, *kb.facts][::every]
    for n, name in enumerate(named):
        visit.go(f"{base}?complaint=siphons&ask={name}")
        if gate_word(visit):
            plain(visit.type("said", "help"), ids, ("gate", name))
            visit.go(f"{base}?complaint=siphons&ask={name}")
            clear_gates(visit)
        plain(visit, ids, name)
        for typed in ODD[n % 4 :: 4]:
            there = visit.url
            if any("said" in f.names for f in visit.reader.forms):
                plain(visit.type("said", typed), ids, (name, typed))
                seen += visit.response.status_code == 422
            visit.go(there)
    return seen


def test_some_pages_speak_plainly(serve, kb, ids):
    assert crawl(Visitor(serve()), ids, kb, 9) > 20


@pytest.mark.slow
def test_every_page_speaks_plainly(serve, kb, ids):
    assert crawl(Visitor(serve()), ids, kb, 1) > 200


@pytest.mark.slow
def test_the_desk_s_pages_speak_plainly(serve, kb, ids):
    client = serve()
    client.post("/door", data={"token": TOKEN})
    assert crawl(Visitor(client), ids, kb, 5, "/desk") > 40


@pytest.mark.slow
def test_every_remedy_and_end_speaks_plainly(serve, kb, ids):
    visit = Visitor(serve())
    for cause in kb.causes.values():
        shown = cause.shows[0].complaint if cause.shows else next(iter(kb.complaints))
        found = cause.defines
        at = f"&check={found.check}:{found.answer}" if found and found.check and found.answer else ""
        plain(clear_gates(visit.go(f"/case?complaint={shown}{at}")), ids, cause.id)
        for tail in ("tell", "report"):
            plain(visit.go(f"/case/{tail}?complaint={shown}{at}"), ids, (cause.id, tail))


@pytest.mark.parametrize(
    "address",
    [
        "/case?complaint=walkss", "/case?complain=walks", "/case?fact=drain:pipe", "/case?fact=drian:tub", "/case?check=rocks-by-hand:rockz",
        "/case?check=standpipe-height:tall", "/case?check=standpipe-height:", "/case?check=standpipe-high:31+in", "/case?proof=spin-stays-put:walked",
        "/case?remedy=foot-unloaded:done&proof=pump-out-clear:x", "/case?ask=standpipe-high", "/case?stop=gas-smel", "/case?heard=walkz",
        "/case?also=rocks-by-hand:x", "/case?also=drain:x", "/case?cant=standpipe-high", "/case?still=walkz", "/case?machine=meadow", "/case?trial=x",
        "/case?x=1", "/case?hazard=wet-floor", "/nowhere", "/kept/guess", "/desk/cases/A2C3F4", "/case?fact=%ff", "/case?" + "complaint=walks&" * 300,
        "/case?complaint=siphons&check=standpipe-height:31", "/case?complaint=siphons&check=hose-sealed:x&check=hose-depth:4+gal",
    ],
)  # fmt: skip
def test_an_address_made_by_hand_is_refused_in_plain_words(shared, ids, address):
    visit = Visitor(shared).go(address)
    assert visit.response.status_code in (200, 404, 422)
    plain(visit, ids, address)
    if visit.response.status_code == 422:
        assert visit.reader.h1


def test_what_the_store_says_is_said_in_plain_words(ids):
    for code in BY_STORE:
        told = for_page(
            Problem(code=code, message="dryfloor --store standpipe-height", expected="x", mend="dryfloor show")
        )
        text = f"{told.message} {told.expected} {told.nearest} {told.mend}"
        assert not COMMAND.search(text)
    assert for_page(Problem(code="P024", message="x", mend="y")).message == "x"
