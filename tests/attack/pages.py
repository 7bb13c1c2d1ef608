"""The page attacked: several people at once on the same kept cases and addresses, with forms of any age, of any other page, and spoiled.

What must hold, whatever they do: no fault, no traceback, nothing raw, no cleared gate in the store, no step behind a gate that this
person has not cleared on this very page's way, and nothing kept from a page that was open before a stop.

By hand, for so many seconds from a seed on: `python -m tests.attack.pages 600 1`.
"""

import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.support.forms import Visitor, gate_word
from tests.support.raw import NASTY, raw

BEGIN = ("siphons", "walks", "slow-fill", "no-power", "leaks-while-filling")
WORDS = (
    "I smell gas now",
    "sparks at the plug",
    "the pipes bang when it fills",
    "it hops",
    NASTY,
    "x" * 3000,
    "no smell of gas",
    "",
)
SAID = (
    "skip",
    "can't",
    "1",
    "2",
    "31 in",
    "yes",
    "no",
    "why",
    "note the dog",
    "also it walks",
    NASTY,
    "-0 in",
    "3²in",
    "dry",
    "none",
    "stopped",
)


class Person:
    """Somebody with pages of several ages, who sends any of them again."""

    def __init__(self, client):
        self.visitor = Visitor(client)
        self.pages = []

    def look(self, visitor):
        """Remember the page that came, and whether the case had been stopped when it was made."""
        self.pages = [*self.pages[-5:], (visitor.url, visitor.reader)]


class Attack:
    """One server, its people, and what must hold.

    Parameters
    ----------
    client : TestClient
        Of an application with a store and a desk; `faults` collects what it reports.
    rows : callable
        Gives the events of every kept case by its id.
    """

    def __init__(self, client, rows, seed, people=4):
        self.client, self.rows = client, rows
        self.rng = random.Random(seed)
        self.people = [Person(client) for _ in range(people)]
        self.links = []
        self.counts = Counter()

    def step(self):
        """Let somebody do something, and hold what came of it against what must hold."""
        rng = self.rng
        person = rng.choice(self.people)
        visitor = person.visitor
        before = self.rows()
        act = rng.choice(
            (self.open, self.answer, self.answer, self.answer, self.again, self.again, self.spoiled, self.keep)
        )
        act(person)
        self.counts[act.__name__] += 1
        after = self.rows()
        if visitor.page is not None:
            assert visitor.response.status_code < 500 or visitor.response.status_code == 507, (
                visitor.url,
                self.client.faults,
            )
            assert "Traceback" not in visitor.page
            assert raw(visitor.page) == []
            self.counts[visitor.response.status_code] += 1
            person.look(visitor)
        assert not self.client.faults
        for case, events in after.items():
            assert not [e for e in events if e.cleared], case
            assert events[: len(before.get(case, []))] == before.get(case, []) or act == self.answer
        return before, after

    def open(self, person):
        """Open an address, or a link that somebody gave."""
        if self.links and self.rng.random() < 0.6:
            person.visitor.go(self.rng.choice(self.links))
            return
        person.visitor.go(f"/case?complaint={self.rng.choice(BEGIN)}")

    def keep(self, person):
        """Keep a case under a link, and give the link to all."""
        if len(self.links) > 3:
            self.open(person)
            return
        person.visitor.take(self.client.post(f"/keep?complaint={self.rng.choice(BEGIN)}"))
        if person.visitor.response.status_code == 200:
            self.links.append(person.visitor.url.partition("?")[0])

    def answer(self, person):
        """Send a form of the page in front."""
        if person.visitor.reader is None or not person.visitor.reader.forms:
            self.open(person)
            return
        self._send(person)

    def again(self, person):
        """Send a form of an earlier page."""
        if not person.pages:
            self.open(person)
            return
        person.visitor.url, person.visitor.reader = self.rng.choice(person.pages)
        if person.visitor.reader.forms:
            self._send(person)

    def spoiled(self, person):
        """Send a form to another page's address, with fields of others, or with bytes changed."""
        pages = [page for other in self.people for page in other.pages if page[1].forms]
        if len(pages) < 2:
            self.open(person)
            return
        (url, _), (_, reader) = self.rng.sample(pages, 2)
        fields = dict(self.rng.choice(reader.forms).fields)
        for name in list(fields):
            if self.rng.random() < 0.2:
                at = self.rng.randrange(len(fields[name]) + 1)
                fields[name] = fields[name][:at] + chr(self.rng.randrange(1, 0x2FF)) + fields[name][at + 1 :]
        person.visitor.take(self.client.post(url, data=fields | {"said": self.rng.choice(SAID)}))

    def _send(self, person):
        form = self.rng.choice(person.visitor.reader.forms)
        if "forget" in form.action and self.rng.random() < 0.9:
            return
        button = self.rng.choice(form.buttons) if form.buttons and self.rng.random() < 0.6 else None
        more = {}
        word = gate_word(person.visitor)
        for name in form.names & {"said", "words", "reference"}:
            more[name] = self.rng.choice(WORDS if name == "words" else SAID)
            if name == "said" and word and self.rng.random() < 0.8:
                more[name] = word
        person.visitor.send(form, more if not (button and button[0] in more) else {}, button)


def stopped_page_goes_on(attack):
    """Return what was kept from pages that were open before a stop: for every kept case, each open page is sent once after a stop."""
    kept = []
    for link in attack.links:
        open_pages = []
        for person in attack.people:
            visitor = person.visitor.go(link)
            for _ in range(4):
                word = gate_word(visitor)
                if word is None:
                    break
                visitor.type("said", word)
            if visitor.response.status_code == 200 and visitor.reader.forms:
                open_pages.append((visitor.url, visitor.reader, person))
        stopper = Visitor(attack.client).go(link)
        if stopper.response.status_code != 200 or not any("words" in f.names for f in stopper.reader.forms):
            continue
        stopper.type("words", "I smell gas now")
        if gate_word(stopper) is None:
            continue
        stopper.press("no, not safe")
        before = attack.rows()
        for url, reader, person in open_pages:
            for form in reader.forms:
                if "forget" in form.action:
                    continue
                person.visitor.url, person.visitor.reader = url, reader
                button = form.buttons[0] if form.buttons else None
                person.visitor.send(form, {}, button)
                attack.counts["after a stop"] += 1
                if "Stop. " not in person.visitor.text:
                    kept.append((link, person.visitor.text[:200]))
        if attack.rows() != before:
            kept.append((link, "rows"))
    return kept


def served(kb, folder):
    """A client of a server with a store, and a function that reads all rows of it."""
    import warnings

    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context, Keeping
    from dryfloor.cli.page.middleware import Rate

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from starlette.testclient import TestClient

    context = Context(kb, None, Keeping(Path(folder) / "cases.db"), "quiet-otter-under-the-sink")
    context.kept_rate = Rate(10**6, 10**6, 1.0)
    faults = []
    client = TestClient(application(context, faults.append), raise_server_exceptions=False)
    client.faults = faults
    store = context.keeping.store

    def rows():
        return context.keeping.thread.submit(lambda: {c.id: store.events(c.id) for c in store.find()}).result()

    return client, rows


def attacked(kb, seed, steps):
    """Attack a server of its own; return what was counted."""
    with tempfile.TemporaryDirectory() as folder:
        client, rows = served(kb, folder)
        with client:
            attack = Attack(client, rows, seed)
            for _ in range(steps):
                attack.step()
            assert stopped_page_goes_on(attack) == []
            return attack.counts


if __name__ == "__main__":
    from dryfloor.engine.knowledge.load import load_kb

    until, total, seed, shipped = time.time() + float(sys.argv[1]), Counter(), 1000 * int(sys.argv[2]), load_kb()
    while time.time() < until:
        total += attacked(shipped, seed, 60)
        seed += 1
    print(json.dumps({"ends": {str(k): n for k, n in total.most_common()}}))
