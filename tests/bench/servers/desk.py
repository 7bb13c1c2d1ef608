"""One desk: a browser without script and whoever sits before it, with a journal of their own of what they were told.

What is said is known by what its row in the store will name, so that the journal can be held against the store (`verdict.py`).
"""

import asyncio
import html
import random
import re
import time
import urllib.parse

from msgspec import Struct

FORM = re.compile(r"<form\b([^>]*)>(.*?)</form>", re.S)
TAG = re.compile(r"<(input|button)\b([^>]*)>")
ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
LIKE = re.compile(r'id="like">Such as ([^<]+)<')
KEPT = re.compile(r"^/desk/cases/([A-Z0-9]{6})")
AGAIN_S = 1.0  # whoever was told to try again waits so long [s]
PATIENCE_S = 120.0  # nobody tries longer [s]


class Said(Struct):
    """One thing that a desk said of a case: what its row names, how often it was sent, and what became of it."""

    case: str
    names: str
    sent: int = 0
    state: str = "unknown"  # kept, refused or unknown: as the desk was told last
    ever: bool = False  # whether it was told once that it is kept
    told: str = ""  # the words in which it was refused


class Times(Struct):
    """How long the desks waited [s], by what for."""

    answer: list[float] = []  # the form and the page after it
    form: list[float] = []
    page: list[float] = []
    again: list[float] = []  # from the first refusal until it went on


class Desk:
    """A desk.

    Parameters
    ----------
    name : str
    balancer : Balancer
    token : str
    complaints : sequence of str
        What calls are about.
    times : Times
        Shared by all desks.
    seed : int
    """

    def __init__(self, name, balancer, token, complaints, times, seed):
        self.name, self.balancer, self.token = name, balancer, token
        self.complaints, self.times = complaints, times
        self.chance = random.Random(seed)
        self.cookies = {}
        self.journal = []
        self.calls = self.notes = 0
        self.case = self.page = ""
        self.gone_on = 0.0
        self.errors = {}

    async def ask(self, method, target, pairs=None):
        """Send a request with this browser's cookies."""
        body = urllib.parse.urlencode(pairs or []).encode()
        reply = await self.balancer.ask(method, target, body, self.cookies)
        self.cookies |= reply.cookies
        return reply

    async def sign_in(self):
        """Open the door."""
        reply = await self.until("POST", "/door", [("token", self.token)])
        assert reply.status == 303, reply.status

    async def until(self, method, target, pairs=None):
        """Ask until something is answered other than that it can't be done just now."""
        end = time.monotonic() + PATIENCE_S
        while True:
            try:
                reply = await self.ask(method, target, pairs)
            except (OSError, TimeoutError) as error:
                self._erred(type(error).__name__)
                if time.monotonic() > end:
                    raise
            else:
                if reply.status not in (500, 502, 503, 504):
                    return reply
                self._erred(f"{reply.status} {wrong(reply.text)[-160:]}")
                assert time.monotonic() < end, (self.name, target, reply.status, wrong(reply.text))
            await asyncio.sleep(AGAIN_S)

    def _erred(self, what):
        self.errors[what] = self.errors.get(what, 0) + 1

    async def begin(self):
        """Take a call and keep it under a reference of its own, which tells whether it was kept once."""
        self.calls += 1
        about = self.chance.choice(self.complaints)
        query = f"complaint={about}"
        page = (await self.until("GET", f"/desk?{query}")).text
        form = next(f for f in forms(page) if f.action.startswith("/desk/keep"))
        said = Said("", f'"{self.name} call {self.calls}"')
        self.journal.append(said)
        pairs = [*form.hidden, ("reference", f"{self.name} call {self.calls}")]
        reply = await self.sent(said, form.action, pairs)
        while reply is None or not KEPT.match(reply.location):  # a call has a case, or it is begun again
            if reply is not None and reply.status not in (500, 502, 503, 504):
                raise AssertionError((reply.status, reply.location, wrong(reply.text)))
            await asyncio.sleep(AGAIN_S)
            reply = await self.sent(said, form.action, pairs)
        self.case = said.case = KEPT.match(reply.location)[1]
        self.page = (await self.until("GET", reply.location)).text

    async def sent(self, said, target, pairs):
        """Send a form and write down what was told of it; None where nobody knows."""
        said.sent += 1
        try:
            reply = await self.ask("POST", target, pairs)
        except (OSError, TimeoutError) as error:
            said.state = "unknown"
            self._erred(type(error).__name__)
            return None
        if reply.status in (303, 307):
            said.state, said.ever = "kept", True
        else:
            said.state, said.told = "refused", wrong(reply.text)
            if reply.status not in (409, 422):
                self._erred(f"{reply.status} {said.told[-160:]}")
        return reply

    async def answer(self):
        """Say one thing on the call that is open, wait for the page after it, and try again as whoever sits there would."""
        form, said = self._meant()
        if form is None:
            await self.begin()
            self.gone_on = time.monotonic()
            return
        self.journal.append(said)
        begun = time.perf_counter()
        reply = await self.sent(said, form.action, form.pairs)
        sent = time.perf_counter() - begun
        failed = None
        while reply is None or reply.status in (500, 502, 503, 504):
            failed = failed or time.perf_counter()
            await asyncio.sleep(AGAIN_S)
            if self.chance.random() < 0.5:  # the same page sent once more, or the case opened anew to see what is there
                reply = await self.sent(said, form.action, form.pairs)
            else:
                self.page = (await self.until("GET", f"/desk/cases/{self.case}")).text
                break
        else:
            if reply.status in (303, 307):
                middle = time.perf_counter()
                self.page = (await self.until("GET", reply.location)).text
                if failed is None:
                    self.times.form.append(sent)
                    self.times.page.append(time.perf_counter() - middle)
                    self.times.answer.append(time.perf_counter() - begun)
            else:
                self.page = (await self.until("GET", f"/desk/cases/{self.case}")).text
        if failed is not None:
            self.times.again.append(time.perf_counter() - failed)
        self.gone_on = time.monotonic()

    def _meant(self):
        """Return the form that is sent next, and what it says; None where this call is over."""
        if self.chance.random() < 0.15:
            self.notes += 1
            note = next((f for f in forms(self.page) if "note-words" in f.names and "at-note" not in f.names), None)
            text = f"{self.name} note {self.notes}"
            if note is not None:
                note.pairs = [*note.hidden, ("note-words", text)]
                return note, Said(self.case, f'"{text}"')
        gate = next((f for f in forms(self.page) if "asked" in f.names and f.buttons), None)
        if gate is not None:
            gate.pairs = [*gate.hidden, ("said", gate.buttons[0])]
            return gate, Said(self.case, "")
        found = [f for f in forms(self.page) if "ask" in dict(f.hidden) and f.buttons and "choices" in f.kind]
        if not found or ('class="first">Prove it' in self.page and self.chance.random() < 0.5):
            return None, None
        form = found[0]
        ask, like = dict(form.hidden)["ask"], LIKE.search(self.page)
        value = (
            html.unescape(like[1]).split(" or ")[0].split(",")[0]
            if like and self.chance.random() < 0.7
            else self.chance.choice(form.buttons)
        )
        form.pairs = [*form.hidden, ("said", value)]
        return form, Said(self.case, f'"{ask}"')


class PageForm:
    """A form of a page: where it goes, its hidden fields, all names, and what its buttons say."""

    def __init__(self, head, inside):
        attributes = dict(ATTRIBUTE.findall(head))
        self.action = html.unescape(attributes.get("action", ""))
        self.kind = attributes.get("class", "")
        self.hidden, self.names, self.buttons, self.pairs = [], set(), [], []
        for tag, rest in TAG.findall(inside):
            a = {k: html.unescape(v) for k, v in ATTRIBUTE.findall(rest)}
            if "name" in a:
                self.names.add(a["name"])
                if tag == "button":
                    self.buttons.append(a.get("value", ""))
                elif a.get("type") == "hidden":
                    self.hidden.append((a["name"], a.get("value", "")))


def forms(page):
    """Return the forms of a page."""
    return [PageForm(*found) for found in FORM.findall(page)]


def wrong(page):
    """Return what a page says went wrong, as text: its alert, else all that it says."""
    alert = re.search(r'role="alert"[^>]*>(.*?)</div>', page, re.S)
    main = alert[1] if alert else page.partition("<main")[2].partition(">")[2].partition("</main")[0]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())[:300]
