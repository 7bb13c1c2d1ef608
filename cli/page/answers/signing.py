"""How a cleared gate lives: in a signed, short-lived note of the one browser in which it was cleared, never in an address or a store.

The note stands in a hidden field of each page's form, and for pages that are opened anew in the browser's own cookie (`looked.py`).
Whoever opens the address in another browser, or an hour later, has no note and is asked again. The note names the
hazards that were cleared and how far the case had come by then. Its seal binds it to one case: to the name of a kept one, in
which the last stop counts, else to the whole of what its address says. A stop ends it.
"""

import base64
import hashlib
import hmac
import math
import secrets
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence

import msgspec
from msgspec import Struct

from ....engine.case.events import Event

CLEARED_S = 60 * 60.0  # a cleared gate counts for so long; then it is asked again [s]
ANSWER_S = 15 * 60.0  # a gate's question may be answered for so long [s]
ENDED = 100_000  # walks that were stopped and are remembered


class Cleared(Struct, frozen=True):
    """One gate that was cleared: the hazard, the number of events before it, when it was asked [s], and the walk in which."""

    hazard: str
    after: int
    at: float
    walk: str = ""


class ClearanceNote(Struct, frozen=True):
    """What a note says: how many events the case had, and the gates that were cleared, or the one that is asked."""

    upto: int
    gates: list[Cleared]


class Signer:
    """Signs and opens notes.

    Parameters
    ----------
    key : bytes, optional
        The same for every server behind one balancer; made afresh unless given.
    clock : callable
        Seconds since the epoch.

    Examples
    --------
    >>> seal, case = Signer(b"k", lambda: 0.0), [Event(role="homeowner")]
    >>> note = seal.clear([], "gas-smell", case, seal.asked("gas-smell", case))
    >>> [c.hazard for c in seal.cleared(note, case)], seal.cleared(note, [Event(role="desk")])
    (['gas-smell'], [])
    """

    def __init__(self, key: bytes | None = None, clock: Callable[[], float] = time.time) -> None:
        self.key = key or secrets.token_bytes(32)
        self.clock = clock
        # Until it is known which stops there were before this server began, what was cleared before counts no more.
        self.since = clock()
        self.ended: OrderedDict[str, float] = OrderedDict()

    def asked(self, hazard: str, events: Sequence[Event], name: str = "", so_far: Sequence[Cleared] = ()) -> str:
        """Return the note of a gate's question: an old page that is sent again does not answer it.

        Parameters
        ----------
        hazard : str
        events : sequence of Event
            The case.
        name : str
            The name of a kept case; empty: the address is the case.
        so_far : sequence of Cleared
            The gates that are clear.
        """
        walk = so_far[-1].walk if so_far else secrets.token_urlsafe(9)
        return self._sign("asked", [Cleared(hazard, len(events), self.clock(), walk)], events, name)

    def clear(self, so_far: Sequence[Cleared], hazard: str, events: Sequence[Event], asked: str, name: str = "") -> str:
        """Return the note after a gate was cleared, or an empty text where its question is too old or of another case."""
        for made in self._open("asked", asked, events, name):
            if made.hazard == hazard and made.after == len(events) and self._counts(made, ANSWER_S):
                # It counts from when it was asked, so that sending the page again gains no time.
                return self.renewed([*so_far, made], events, name)
        return ""

    def renewed(self, cleared: Sequence[Cleared], events: Sequence[Event], name: str = "") -> str:
        """Return a note of the same gates for the case as it has become; they count no longer for that."""
        return self._sign("cleared", list(cleared), events, name) if cleared else ""

    def cleared(self, note: str, events: Sequence[Event], name: str = "") -> list[Cleared]:
        """Return the gates that a note clears in a case: none where it is forged, too old, stopped or of another case."""
        return [c for c in self._open("cleared", note, events, name) if self._counts(c, CLEARED_S)]

    def stop(self, note: str, asked: str, events: Sequence[Event], name: str = "") -> list[str]:
        """End what was cleared, and what was asked, in the walk of these notes, and return the walks: a page of before the stop clears nothing."""
        now = self.clock()
        gates = (*self._open("cleared", note, events, name), *self._open("asked", asked, events, name))
        walks = list(dict.fromkeys(gate.walk for gate in gates))
        for walk in walks:
            self.over(walk, now)
        return walks

    def knows(self) -> None:
        """Say that every stop of the last hour is known, also those of before this server began."""
        self.since = min(self.since, self.clock() - CLEARED_S)

    def over(self, walk: str, at: float) -> None:
        """Take note that a walk was stopped at some time [s]."""
        now = self.clock()
        self.ended[walk] = at
        self.ended.move_to_end(walk)
        while self.ended and next(iter(self.ended.values())) + CLEARED_S < now:
            self.ended.popitem(last=False)
        while len(self.ended) > ENDED:
            # Which walk it was is forgotten; that what was cleared by then counts no more is not.
            self.since = max(self.since, math.nextafter(self.ended.popitem(last=False)[1], math.inf))

    def counted(self, gates: Sequence[Cleared]) -> list[Cleared]:
        """Return the gates that still count: cleared within the hour, in a walk that was not stopped."""
        return [g for g in gates if self._counts(g, CLEARED_S)]

    def sealed(self, kind: str, payload: bytes) -> str:
        """Return a payload with a seal, to be kept by somebody else."""
        told = base64.urlsafe_b64encode(payload).decode()
        return f"{told}.{self._seal(kind, told)}"

    def opened(self, kind: str, text: str) -> bytes:
        """Return the payload of a sealed text of this kind, nothing where the seal is not ours."""
        told, _, seal = text.partition(".")
        if not hmac.compare_digest(self._seal(kind, told).encode(), seal.encode("utf-8", "replace")):
            return b""
        return base64.urlsafe_b64decode(told)

    def _seal(self, kind: str, told: str) -> str:
        said = f"{kind} {told}".encode("utf-8", "replace")
        return base64.urlsafe_b64encode(hmac.new(self.key, said, hashlib.sha256).digest()[:18]).decode()

    def _counts(self, gate: Cleared, most_s: float) -> bool:
        return gate.walk not in self.ended and self.since <= gate.at <= self.clock() <= gate.at + most_s

    def _sign(self, kind: str, gates: list[Cleared], events: Sequence[Event], name: str) -> str:
        payload = msgspec.json.encode(ClearanceNote(len(events), gates))
        return base64.urlsafe_b64encode(payload).decode() + "." + self._mac(kind, payload, events, name)

    def _mac(self, kind: str, payload: bytes, events: Sequence[Event], name: str) -> str:
        told = msgspec.json.encode([kind, name, base64.b64encode(payload).decode(), list(events)])
        return hmac.new(self.key, told, hashlib.sha256).hexdigest()

    def _open(self, kind: str, note: str, events: Sequence[Event], name: str) -> list[Cleared]:
        said = self._said(note)
        # What was added to a case with a name is added to the same case; an address with more in it is another one.
        fits = said.upto <= len(events) if name else said.upto == len(events)
        if not fits or said.upto < 0:
            return []
        wanted = self._mac(kind, self._payload(note), events[: said.upto], name)
        whole = hmac.compare_digest(wanted.encode(), note.partition(".")[2].encode("utf-8", "replace"))
        return said.gates if whole else []

    def _said(self, note: str) -> ClearanceNote:
        try:
            return msgspec.json.decode(self._payload(note), type=ClearanceNote)
        except msgspec.MsgspecError:
            return ClearanceNote(0, [])

    def _payload(self, note: str) -> bytes:
        try:
            return base64.urlsafe_b64decode(note.partition(".")[0].encode("ascii"))
        except ValueError:
            return b""


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
