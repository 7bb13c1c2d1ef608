"""What a request may be: its size and time, how often a sign-in is tried, and the headers of every answer."""

import asyncio
import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, NamedTuple

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol

from .answers.workers import Busy

BODY = 64 * 1024  # of a request [bytes]
BODY_S = 10.0  # a body arrives within this time [s]
PHOTO = 11 * 1024 * 1024  # of a request with a photo in it [bytes]
PHOTO_S = 90.0  # it arrives within this time, over a cellar's mobile line [s]
PHOTOS = 4  # so many of them are taken in at once
HEAD_S = 10.0  # a request's head arrives within this time [s]
HEADERS = {
    "content-security-policy": "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    # The case is in the address: no other site is told where somebody came from.
    # To this server itself it is said: a browser that is told never to say it sends forms without an origin, too.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
    "x-robots-tag": "noindex, nofollow",
}


OVER_TLS = {"strict-transport-security": "max-age=31536000"}


class TooLarge(Exception):
    """A body beyond the limit."""


class TooSlow(Exception):
    """A body that does not arrive."""


class TooMany(Exception):
    """More than one caller may have, or all together; its argument is the problem that says so."""


class BodyLimit(NamedTuple):
    """Of a request's body: its size [bytes], the time within which it arrives [s], and what is raised beyond."""

    size: int
    within_s: float
    beyond: type[Exception]


class Guard:
    """ASGI: every answer gets the headers; a body is held to its size and time; a fault is answered without a word of it.

    Parameters
    ----------
    app : ASGI application
    faulty : callable
        Gives the answer to a request that met a fault.
    """

    def __init__(self, app: ASGIApp, faulty: Callable[[Request, Exception], Response]) -> None:
        self.app, self.faulty = app, faulty
        self.photos = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request within the limits."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        # No more of the large ones at once than memory has room for: another is held to the size of any other request.
        photo = scope["method"] == "POST" and scope["path"].endswith("/photos")
        taken = photo and self.photos < PHOTOS
        limit = BodyLimit(PHOTO, PHOTO_S, TooLarge) if taken else BodyLimit(BODY, BODY_S, Busy if photo else TooLarge)
        self.photos += taken
        try:
            await self._held(scope, receive, send, limit)
        finally:
            self.photos -= taken

    async def _held(self, scope: Scope, receive: Receive, send: Send, limit: "BodyLimit") -> None:
        left = limit.size
        until = time.monotonic() + limit.within_s
        whole = begun = gone = False
        came: asyncio.Queue[Message] = asyncio.Queue()

        async def held() -> Message:
            nonlocal left, whole
            if whole:
                return await came.get()
            try:
                message = await asyncio.wait_for(came.get(), max(0.0, until - time.monotonic()))
            except TimeoutError:
                raise TooSlow from None
            if message["type"] == "http.request":
                left -= len(message.get("body", b""))
                whole = not message.get("more_body", False)
                if left < 0:
                    raise limit.beyond
            return message

        async def headed(message: Message) -> None:
            nonlocal begun
            begun = True
            if message["type"] == "http.response.start":
                there = {name.lower() for name, _ in message["headers"]}
                more = HEADERS | (OVER_TLS if scope.get("scheme") == "https" else {})
                message["headers"] = [
                    *message["headers"],
                    *((n.encode(), v.encode()) for n, v in more.items() if n.encode() not in there),
                ]
            await send(message)

        served = asyncio.ensure_future(self.app(scope, held, headed))

        async def watched() -> None:
            """Take in what comes; who hung up before anything was answered is not worked for any more."""
            nonlocal gone
            size = 0
            while size <= limit.size:
                message = await receive()
                size += len(message.get("body", b""))
                came.put_nowait(message)
                if message["type"] == "http.disconnect":
                    if not begun:
                        gone = True
                        served.cancel()
                    return

        watching = asyncio.ensure_future(watched())
        try:
            await served
        except asyncio.CancelledError:
            if not gone:
                raise
        except Exception as error:  # the last net: who asked sees that there was a fault, and no more
            made = self.faulty(Request(scope), error)
            if not begun:
                await made(scope, receive, headed)
        finally:
            watching.cancel()


class Rate:
    """So many tries in so long a time, by each caller and by all together.

    Parameters
    ----------
    each, together : int
        Tries within the window.
    window_s : float
        [s]
    clock : callable

    Examples
    --------
    >>> rate = Rate(2, 3, 60.0, lambda: 0.0)
    >>> [rate.allows("a"), rate.allows("a"), rate.allows("a"), rate.allows("b"), rate.allows("c")]
    [True, True, False, True, False]
    """

    CALLERS = 1000

    def __init__(self, each: int, together: int, window_s: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.each, self.together, self.window_s, self.clock = each, together, window_s, clock
        self.tries: OrderedDict[str, list[float]] = OrderedDict()
        self.all: list[float] = []

    def allows(self, caller: str) -> bool:
        """Count a try, and return whether it is within the limits; one that is not allowed is not counted."""
        now = self.clock()
        self.all = [t for t in self.all if now - t < self.window_s]
        mine = [t for t in self.tries.get(caller, []) if now - t < self.window_s]
        allowed = len(mine) < self.each and len(self.all) < self.together
        if allowed:
            mine.append(now)
            self.all.append(now)
        self.tries[caller] = mine
        self.tries.move_to_end(caller)
        if len(self.tries) > self.CALLERS:
            self.tries.popitem(last=False)
        return allowed


class Timed(H11Protocol):
    """A connection whose request head does not arrive in time is closed; the server itself limits only idle ones."""

    _head: Any = None

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for the first head."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Wait no more once a head is whole."""
        super().data_received(data)
        if self._busy():
            self._stop()
        elif self._head is None:
            self._wait()

    def on_response_complete(self) -> None:
        """Wait for the next head, part of which may be here already."""
        super().on_response_complete()
        if not self._busy() and self._head is None:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._stop()
        super().connection_lost(exc)

    def _busy(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    def _wait(self) -> None:
        self._head = self.loop.call_later(HEAD_S, self._late)

    def _stop(self) -> None:
        if self._head is not None:
            self._head.cancel()
            self._head = None

    def _late(self) -> None:
        self._head = None
        if not self._busy() and self.transport is not None and not self.transport.is_closing():
            self.transport.close()
