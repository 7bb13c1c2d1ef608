"""Words of one's own where no answer fits, and what a case turned out to be: in the forms of one browser until "Keep this".

An address carries no words, and no log sees them. Of a case that is not kept they stand, sealed, in the hidden field of each form, and in a
cookie of that one browser for the way from one address to the next; after an hour they are gone. Each belongs to the case as it was
when it was said: who goes back behind it doesn't have it, and another case doesn't either. Of a kept case they are notes in the store.
"""

import zlib
from collections.abc import Sequence

import msgspec
from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response

from ....engine.case.events import Event
from .looked import mark_of
from .signing import CLEARED_S, Signer

COOKIE = "own-words"
FIELD = "so-far"  # of a form
MOST_LETTERS = 300  # of one text
LONGEST = 3_800  # of all of them, sealed; a cookie may have 4 kB [letters]


class OwnText(Struct, frozen=True, array_like=True):
    """One text: the mark of the case when it was said, how many events it had, and the event that it will be once it is kept."""

    mark: bytes
    upto: int
    event: Event


class OwnWords(Struct, frozen=True):
    """All that somebody said in words of their own in one browser, oldest first.

    Parameters
    ----------
    texts : tuple of OwnText
    fresh : bool
        Something was added that the browser does not have yet.
    """

    texts: tuple[OwnText, ...] = ()
    fresh: bool = False

    def at(self, events: Sequence[Event]) -> list[OwnText]:
        """Return what belongs to a case as it is now."""
        marks: dict[int, bytes] = {}
        out = []
        for text in self.texts:
            if text.upto > len(events):
                continue
            if text.upto not in marks:
                marks[text.upto] = mark_of(events[: text.upto], "")
            if marks[text.upto] == text.mark:
                out.append(text)
        return out

    def plus(self, event: Event, events: Sequence[Event]) -> "OwnWords":
        """Return the same with one more said at a case; what it turned out to be takes the place of what was said of that before."""
        kept = self.texts
        if event.turned_out is not None:
            old = [t for t in self.at(events) if t.event.turned_out is not None]
            kept = tuple(t for t in kept if t not in old)
        return OwnWords((*kept, OwnText(mark_of(events, ""), len(events), event)), True)

    def moved(self, before: Sequence[Event], after: Sequence[Event]) -> "OwnWords":
        """Return the same once an earlier answer was changed: what was said stays said."""
        held = self.at(before)
        kept = [t for t in self.texts if t not in held]
        upto = [min(t.upto, len(after)) for t in held]
        again = [OwnText(mark_of(after[:n], ""), n, t.event) for n, t in zip(upto, held, strict=True)]
        return OwnWords((*kept, *again), bool(again))

    def without(self, events: Sequence[Event]) -> "OwnWords":
        """Return what belongs to other cases: those of this one are kept by now."""
        held = self.at(events)
        return OwnWords(tuple(t for t in self.texts if t not in held), bool(held))

    def within(self, events: Sequence[Event], gated: Sequence[Event] | None = None) -> list[Event]:
        """Return a case with what was said at its places.

        Parameters
        ----------
        events : sequence of Event
            The case without gates.
        gated : sequence of Event, optional
            The same case with gates that were cleared in it.
        """
        held, out, n = self.at(events), list[Event](), 0
        for event in [*(events if gated is None else gated), None]:
            if event is None or event.cleared is None:
                out += [t.event for t in held if t.upto == n]
            if event is not None:
                out.append(event)
                n += event.cleared is None
        return out

    def sealed(self, signer: Signer, events: Sequence[Event] | None = None) -> str:
        """Return all of it, or what belongs to one case, as a sealed text; an empty one where there is nothing."""
        texts = self.texts if events is None else tuple(self.at(events))
        return signer.sealed(COOKIE, zlib.compress(msgspec.msgpack.encode(texts), 9)) if texts else ""

    def fits(self, signer: Signer, events: Sequence[Event]) -> "OwnWords | None":
        """Return what a browser can hold of it: what belongs to other cases goes first; None where that is not enough."""
        texts = list(self.texts)
        while len(OwnWords(tuple(texts)).sealed(signer)) > LONGEST:
            held = OwnWords(tuple(texts)).at(events)
            other = next((t for t in texts if t not in held), None)
            if other is None:
                return None
            texts.remove(other)
        return OwnWords(tuple(texts), self.fresh)


def opened(signer: Signer, text: str) -> OwnWords:
    """Return what a sealed text holds, nothing where the seal is not ours."""
    payload = signer.opened(COOKIE, text[: 2 * LONGEST]) if text else b""
    if not payload:
        return OwnWords()
    return OwnWords(msgspec.msgpack.decode(zlib.decompress(payload), type=tuple[OwnText, ...]))


def read(signer: Signer, request: Request) -> OwnWords:
    """Return what a browser holds."""
    return opened(signer, request.cookies.get(COOKIE, ""))


def with_form(signer: Signer, words: OwnWords, text: str) -> OwnWords:
    """Return what a browser holds with what stands in the hidden field of its form: not every browser keeps cookies."""
    more = [t for t in opened(signer, text).texts if t not in words.texts]
    return OwnWords((*words.texts, *more), words.fresh)


def write(signer: Signer, response: Response, words: OwnWords, secure: bool) -> None:
    """Let a browser hold it for an hour; nothing is held where there is nothing."""
    value = words.sealed(signer)
    if value:
        response.set_cookie(COOKIE, value, max_age=int(CLEARED_S), httponly=True, secure=secure, samesite="lax")
    else:
        response.delete_cookie(COOKIE)
