"""What a browser has looked at lately: the gates that were cleared there, and the pages that they hold for, in one sealed cookie.

Every answer leads to an address that can be opened anew, so what was cleared must lie somewhere else than in the form. It lies
in the browser itself, for an hour, sealed, and is set where a gate stands and nowhere else: who is given the address has no such
cookie and is asked. Nothing that was said is in it, only marks of the pages that this browser was led to. A browser that keeps no
cookies carries the note of its gates from form to form instead.
"""

import hashlib
import zlib
from collections.abc import Sequence

import msgspec
from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response

from ....engine.case.events import Event
from .signing import CLEARED_S, Cleared, Signer

COOKIE = "looked"
MOST_PAGES, MOST_GATES = 90, 30  # so many are remembered, the last ones; a cookie may have 4 kB
MARK = 6  # of a page [bytes]
LONGEST = 4000  # of a cookie that is looked into [letters]

Gate = tuple[str, int, float, str]


class Reached(Struct, frozen=True, array_like=True):
    """One page: its mark, how many events its case had, and which of the gates were clear on it, a bit each."""

    mark: bytes
    upto: int
    gates: int


class Looked(Struct, frozen=True):
    """What one browser has cleared, and where it holds.

    Parameters
    ----------
    gates : list of Cleared
    pages : list of Reached
        Oldest first.
    there : bool
        The browser keeps cookies: it sent one.
    """

    gates: list[Cleared] = []
    pages: list[Reached] = []
    there: bool = False

    def cleared(self, events: Sequence[Event], name: str = "") -> list[Cleared]:
        """Return the gates that are clear at a page, by what this browser was led to.

        Parameters
        ----------
        events : sequence of Event
        name : str
            The name of a kept case; empty: the address is the case.
        """
        marks = {len(events): mark_of(events, name)}
        for page in reversed(self.pages):
            fits = page.upto <= len(events) if name else page.upto == len(events)
            if not fits:
                continue
            if page.upto not in marks:
                marks[page.upto] = mark_of(events[: page.upto], name)
            if marks[page.upto] == page.mark:
                return self._of(page)
        return []

    def _of(self, page: Reached) -> list[Cleared]:
        return [gate for n, gate in enumerate(self.gates) if page.gates >> n & 1]

    def led_to(self, events: Sequence[Event], name: str, cleared: Sequence[Cleared], now: float) -> "Looked":
        """Return the same with one more page; what no page needs any more, and what is over, is left out.

        What another tab of this browser cleared on the same page stays clear beside what this one did.
        """
        marked = mark_of(events, name)
        own = {g.hazard for g in cleared}
        others = [g for p in self.pages if p.mark == marked for g in self._of(p) if g.hazard not in own]
        cleared = [*cleared, *others]
        wanted = [(p.mark, p.upto, self._of(p)) for p in self.pages]
        wanted = [w for w in wanted if w[0] != marked] + [(marked, len(events), list(cleared))]
        gates: list[Cleared] = []
        pages: list[Reached] = []
        for mark, upto, clear in reversed(wanted[-MOST_PAGES:]):
            good = [g for g in clear if g.at <= now <= g.at + CLEARED_S][-MOST_GATES:]
            fresh = [g for g in good if g not in gates]
            if not good or len(gates) + len(fresh) > MOST_GATES:
                continue
            gates += fresh
            pages.insert(0, Reached(mark, upto, sum(1 << gates.index(g) for g in good)))
        return Looked(gates, pages, self.there)


def mark_of(events: Sequence[Event], name: str) -> bytes:
    """Return the mark of a case as it is: of an address by all that it says, of a kept one by its name, too."""
    told = msgspec.json.encode([name, list(events)])
    return hashlib.blake2b(told, digest_size=MARK).digest()


def read(signer: Signer, request: Request) -> Looked:
    """Return what a browser has looked at, nothing where its cookie is not ours."""
    said = request.cookies.get(COOKIE)
    if said is None:
        return Looked()
    payload = signer.opened(COOKIE, said[:LONGEST])
    if not payload:
        return Looked(there=True)
    gates, pages = msgspec.msgpack.decode(zlib.decompress(payload), type=tuple[list[Gate], list[Reached]])
    return Looked([Cleared(*gate) for gate in gates], pages, there=True)


def write(signer: Signer, response: Response, looked: Looked, secure: bool) -> None:
    """Let a browser remember what it has looked at, for as long as a cleared gate counts."""
    gates = [(g.hazard, g.after, g.at, g.walk) for g in looked.gates]
    value = signer.sealed(COOKIE, zlib.compress(msgspec.msgpack.encode((gates, looked.pages)), 9))
    response.set_cookie(COOKIE, value, max_age=int(CLEARED_S), httponly=True, secure=secure, samesite="lax")
