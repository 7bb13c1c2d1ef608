"""How a cleared gate lives: in a signed, short-lived note inside the page's own form, never in an address and never in a cookie.

A gate is answered by POST, and the page that follows carries the note in a hidden field, so that the next answer takes it along.
Whoever opens the address anew (a bookmark, a message, another browser) has no note and is asked again. The note names the
hazards that were cleared and how far the case had come by then; its seal covers those events, so that it fits no other case.
"""

import base64
import hashlib
import hmac
import secrets
import time
from collections.abc import Callable, Sequence

import msgspec
from msgspec import Struct

from ...engine.case.events import Event

CLEARED_S = 60 * 60.0  # a cleared gate counts for so long; then it is asked again [s]
ANSWER_S = 15 * 60.0  # a gate's question may be answered for so long [s]


class Cleared(Struct, frozen=True):
    """One gate that was cleared: the hazard, the number of events before it, and when it was asked [s]."""

    hazard: str
    after: int
    at: float


class Signer:
    """Signs and opens notes.

    Parameters
    ----------
    key : bytes, optional
        The same for every server behind one balancer; made afresh unless given, and then a restart asks the gates again.
    clock : callable
        Seconds since the epoch.

    Examples
    --------
    >>> seal = Signer(b"k", lambda: 0.0)
    >>> note = seal.clear([], "gas-smell", [Event(role="homeowner")], seal.asked("gas-smell", [Event(role="homeowner")]))
    >>> [c.hazard for c in seal.cleared(note, [Event(role="homeowner")])], seal.cleared(note, [Event(role="desk")])
    (['gas-smell'], [])
    """

    def __init__(self, key: bytes | None = None, clock: Callable[[], float] = time.time) -> None:
        self.key = key or secrets.token_bytes(32)
        self.clock = clock

    def asked(self, hazard: str, events: Sequence[Event]) -> str:
        """Return the note of a gate's question: an old page that is sent again does not answer it."""
        return self._sign("asked", Cleared(hazard, len(events), self.clock()), events)

    def clear(self, so_far: Sequence[Cleared], hazard: str, events: Sequence[Event], asked: str) -> str:
        """Return the note after a gate was cleared, or an empty text where its question is too old or of another case."""
        try:
            made = msgspec.json.decode(self._open("asked", asked, events), type=Cleared)
        except msgspec.MsgspecError:
            return ""
        if made.hazard != hazard or made.after != len(events) or not 0 <= self.clock() - made.at <= ANSWER_S:
            return ""
        # It counts from when it was asked, so that sending the page again gains no time.
        return self._sign("cleared", [*so_far, made], events)

    def cleared(self, note: str, events: Sequence[Event]) -> list[Cleared]:
        """Return the gates that a note clears in a case: none where it is forged, too old or of another case."""
        try:
            found = msgspec.json.decode(self._payload(note), type=list[Cleared])
        except msgspec.MsgspecError:
            return []
        upto = max((c.after for c in found), default=0)
        if upto > len(events) or not self._fits("cleared", note, events[:upto]):
            return []
        now = self.clock()
        return [c for c in found if 0 <= now - c.at <= CLEARED_S]

    def _sign(self, kind: str, what: object, events: Sequence[Event]) -> str:
        payload = msgspec.json.encode(what)
        return base64.urlsafe_b64encode(payload).decode() + "." + self._mac(kind, payload, events)

    def _mac(self, kind: str, payload: bytes, events: Sequence[Event]) -> str:
        told = msgspec.json.encode([kind, base64.b64encode(payload).decode(), list(events)])
        return hmac.new(self.key, told, hashlib.sha256).hexdigest()

    def _payload(self, note: str) -> bytes:
        try:
            return base64.urlsafe_b64decode(note.partition(".")[0].encode("ascii"))
        except ValueError:
            return b""

    def _fits(self, kind: str, note: str, events: Sequence[Event]) -> bool:
        wanted = self._mac(kind, self._payload(note), events)
        return hmac.compare_digest(wanted.encode(), note.partition(".")[2].encode("utf-8", "replace"))

    def _open(self, kind: str, note: str, events: Sequence[Event]) -> bytes:
        return self._payload(note) if self._fits(kind, note, events) else b""


def with_cleared(events: Sequence[Event], cleared: Sequence[Cleared]) -> list[Event]:
    """Return the case with each cleared gate at its place; what raises the hazard later asks it again.

    Examples
    --------
    >>> with_cleared([Event(complaints=["walks"])], [Cleared("walking-machine", 1, 0.0)])[1].cleared
    'walking-machine'
    """
    out: list[Event] = []
    for n in range(len(events) + 1):
        out += [Event(cleared=c.hazard) for c in cleared if c.after == n]
        out += events[n : n + 1]
    return out
