"""The queue at the desk: the calls that wait and why, the next one in one key, and who has a call, when to ring back, what it waits for."""

from datetime import UTC, datetime
from typing import Any

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from ...engine.advice import Advice
from ...engine.case.queue_marks import MOST, WAITS, Queued, QueueMark
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.sanitize import typed_line
from ...engine.reports.queue import QueuePlace, in_order, place
from ..store.waiting import known_calls, next_free, time_meant, waiting
from .answers.taken import one
from .context import Context, form_of, moved
from .homeowner import Forgotten

COOKIE = "mark"  # the mark that whoever sits at this browser goes by
A_SHIFT_S = 12 * 3600


class DeskQueue:
    """The queue of a desk.

    Parameters
    ----------
    context : Context
    base : str
        The address of the desk.
    kept : callable
        Gives the place of the kept case that a request names.
    """

    def __init__(self, context: Context, base: str, kept: Any) -> None:
        self.context, self.base, self.kept = context, base, kept
        self.advised: dict[str, tuple[bytes, Advice | None]] = {}  # of the calls that wait, by their events

    def inside(self) -> list[tuple[str, Any, list[str]]]:
        """Return its addresses, behind the desk's door."""
        return [
            (f"{self.base}/queue", self.show, ["GET"]),
            (f"{self.base}/queue/next", self.next, ["POST"]),
            (f"{self.base}/cases/{{case}}/queue", self.mark, ["POST"]),
        ]

    async def _places(self) -> list[QueuePlace]:
        if self.context.keeping is None:
            raise Forgotten
        kb, now = self.context.kb, datetime.now(UTC)
        calls = known_calls(kb, await self.context.keeping(waiting))
        self.advised = {c.case: self.advised[c.case] for c in calls if c.case in self.advised}
        out = []
        for call in calls:
            said = msgspec.json.encode(call.events)
            before = self.advised.get(call.case)
            if before is None or before[0] != said:  # of a call that did not go on nothing is worked out anew
                try:
                    before = said, await self.context.workers.advice(call.events)
                except InvalidInputError:
                    before = said, None
                self.advised[call.case] = before
            out.append(place(kb, call, now, before[1]))
        return in_order(out)

    async def show(self, request: Request) -> Response:
        """The calls that wait, in their order."""
        return self._page(request, await self._places())

    def _page(self, request: Request, places: list[QueuePlace], problem: Problem | None = None) -> Response:
        status = 422 if problem else 200
        return self.context.html(
            "queue.html",
            status,
            base=self.base,
            places=places,
            kb=self.context.kb,
            mark=mark_in(request),
            most=MOST,
            problem=problem,
            none_left=request.query_params.get("none") == "1",
        )

    async def next(self, request: Request) -> Response:
        """Take the first call that nobody has and go on with it."""
        mark = typed_line(one(await form_of(request), "mark"))[:MOST] or mark_in(request)
        places = await self._places()
        if not mark:
            text = "nobody is named who takes the call"
            mend = "type the mark that you go by, such as ann"
            return self._page(request, places, Problem(code="P047", message=text, mend=mend))
        assert self.context.keeping is not None
        taken = await self.context.keeping(lambda store: next_free(store, places, mark))
        made = moved(f"{self.base}/cases/{taken.case}" if taken else f"{self.base}/queue?none=1")
        secure = request.url.scheme == "https"
        # As letters that any header can carry.
        made.set_cookie(
            COOKIE, mark.encode().hex(), A_SHIFT_S, path=self.base, secure=secure, httponly=True, samesite="strict"
        )
        return made

    async def mark(self, request: Request) -> Response:
        """Say who has a case, when to ring back, what it waits for, and whether it is needed soon."""
        here = await self.kept(request)
        assert self.context.keeping is not None
        form = await form_of(request)
        who = typed_line(one(form, "who"))[:MOST]
        typed, waits = typed_line(one(form, "ring-back"))[:40], one(form, "waits")
        seen = typed_line(one(form, "seen"))[:40]  # what stood there when the form was made

        def write(store: Any) -> None:
            now: Queued = store.queued(here.case)
            at = now.ring_back if typed and typed == seen else time_meant(typed) if typed else ""
            mark = QueueMark(
                has=who if who != now.who else None,
                ring_back=at if at != now.ring_back else None,
                waits=waits if waits in ("", *WAITS) and waits != now.waits else None,
                soon=bool(one(form, "soon")) if bool(one(form, "soon")) != now.soon else None,
                by=mark_in(request),
            )
            with store.together():
                if mark.has and now.who:  # whoever edits it sees who had it
                    store.queue(here.case, QueueMark(has="", by=mark.by))
                store.queue(here.case, mark)

        await self.context.keeping(write)
        return moved(here.url())


def mark_in(request: Request) -> str:
    """Return the mark that whoever sits at this browser goes by, or an empty text."""
    try:
        return typed_line(bytes.fromhex(request.cookies.get(COOKIE, "")[: 8 * MOST]).decode())[:MOST]
    except ValueError:
        return ""
