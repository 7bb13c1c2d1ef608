"""The desk's page and the technician's: the same stream on one wider page, answers in any order, the hand-over card, and kept cases."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ...engine import model
from ...engine.case.clearance import kept_of
from ...engine.case.events import Event
from ...engine.case.queue_marks import Queued
from ...engine.case.state import fold
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.sanitize import typed_line
from ..store.waiting import local
from . import presenters, sheets
from .answers import address
from .answers.finding import STATES, finder, tables, wanted
from .answers.forms import page_at
from .answers.place import CaseLocation
from .answers.taken import Page, one
from .auth import Auth
from .caller import check_origin
from .context import (
    Browser,
    Context,
    answered,
    begun,
    common,
    form_of,
    kept_place,
    moved,
    onward,
    opened,
    remembering,
    to_keep,
    unread,
    with_words,
)
from .homeowner import Forgotten, ending, query_of
from .photos import Photos
from .queue import DeskQueue

SHOWN_BELIEFS = 8
MOST_CASES = 100
NOTE_MOST = 500


class Door:
    """The one door: a token in a form, and the pass of its role in return.

    Parameters
    ----------
    context : Context
    doors : list of Auth
    """

    def __init__(self, context: Context, doors: Sequence[Auth]) -> None:
        self.context, self.doors = context, list(doors)

    async def enter(self, request: Request) -> Response:
        """The door: the token in a form, and a pass in return."""
        problem, status, wait = None, 200, 0
        if request.method == "POST":
            check_origin(request)
            token = one(await form_of(request), "token").strip()
            opened_by = next((auth for auth in self.doors if auth.fits(token)), None)
            if opened_by is not None:
                made = moved(opened_by.path)
                opened_by.admit(made, request.url.scheme == "https")
                return made
            tried = self.doors[0].tried(request, token) or 0
            wait, status = tried, 429 if tried else 422
            mend = "type it anew, or ask whoever keeps this server"
            problem = Problem(code="P062", message="that token opens nothing here", mend=mend)
            if wait:
                mend = f"wait {wait} s before you guess again; the right one opens at once"
                problem = Problem(code="P061", message="too many wrong tokens", mend=mend)
        made = self.context.html("door.html", status, problem=problem)
        if wait:
            made.headers["retry-after"] = str(wait)
        return made


class Desk:
    """The routes of the face of a role behind a door; without a pass none of them exists.

    Parameters
    ----------
    context : Context
    auth : Auth
    role : str
        In whose voice it asks: "desk", or "technician".
    """

    def __init__(self, context: Context, auth: Auth, role: model.Role = "desk") -> None:
        self.context, self.auth, self.role = context, auth, role
        self.base = f"/{role}"

    def routes(self) -> list[Route]:
        """Return the desk's addresses."""
        both = ["GET", "POST"]
        inside: list[tuple[str, Any, list[str]]] = [
            (f"{self.base}", self.case, both),
            (f"{self.base}/keep", self.keep, ["POST"]),
            (f"{self.base}/hand-over", self.hand_over, ["GET"]),
            (f"{self.base}/tell", self.tell, ["GET"]),
            (f"{self.base}/report", self.report, ["GET"]),
            (f"{self.base}/cases/{{case}}/tell", self.tell, ["GET"]),
            (f"{self.base}/cases/{{case}}/report", self.report, ["GET"]),
            (f"{self.base}/leave", self.leave, ["POST"]),
            (f"{self.base}/cases", self.cases, ["GET"]),
            (f"{self.base}/forget-unopened", self.forget_unopened, ["POST"]),
            (f"{self.base}/cases/{{case}}", self.kept, both),
            (f"{self.base}/cases/{{case}}/hand-over", self.kept_hand_over, ["GET"]),
            (f"{self.base}/cases/{{case}}/reference", self.refer, ["POST"]),
            (f"{self.base}/cases/{{case}}/note", self.note, ["POST"]),
            (f"{self.base}/cases/{{case}}/handed-on", self.handed_on, ["POST"]),
            (f"{self.base}/cases/{{case}}/forget", self.forget, both),
            *DeskQueue(self.context, self.base, self._kept).inside(),
            *Photos(self.context, self._kept).inside(f"{self.base}/cases/{{case}}"),
        ]
        return [Route(path, self._inside(what, methods), methods=ALL) for path, what, methods in inside]

    def _inside(self, what: Any, methods: list[str]) -> Any:
        async def serve(request: Request) -> Response:
            if not self.auth.opens(request):
                raise Forgotten
            if request.method not in methods and request.method != "HEAD":
                raise Forgotten
            if request.method == "POST":
                check_origin(request)
            made: Response = await what(request)
            return made

        return serve

    async def leave(self, request: Request) -> Response:
        """Sign out: the pass of this browser ends."""
        made = moved("/door")
        ended = self.auth.leave(request, made, request.url.scheme == "https")
        if ended is not None:
            await self.context.ends.given_back(self.auth, *ended)
        return made

    def _place(self, request: Request) -> CaseLocation:
        return CaseLocation(base=self.base, role=self.role, address=address.read(self.context.kb, query_of(request)))

    async def _kept(self, request: Request) -> CaseLocation:
        if self.context.keeping is None:
            raise Forgotten
        name = request.path_params["case"]
        try:
            case = await self.context.keeping(lambda store: store.known(name))
        except InvalidInputError as refused:
            if refused.problems[0].code != "J014":
                raise
            raise Forgotten from None
        return await kept_place(self.context, f"{self.base}/cases/{case}", self.role, case, query_of(request))

    async def _show(self, browser: Browser, page: Page, status: int = 200) -> Response:
        context = self.context
        values = common(context, page)
        weights = await context.workers.weights(page.events) if page.advice.complaints else []
        line, stands = None, Queued()
        if page.place.kept is not None and page.place.case and context.keeping is not None:
            try:
                line, stands = await context.keeping(
                    lambda store: (store.line(page.place.case), store.queued(page.place.case))
                )
            except InvalidInputError:
                if not page.stop:  # what to do now needs nothing of what is kept
                    raise
        more = {
            "face": self.role,
            "explained": presenters.explained(context.kb, page.advice),
            "weights": weights[:SHOWN_BELIEFS],
            "questions": presenters.open_questions(context.kb, fold(context.kb, page.events))
            if page.advice.complaints
            else [],
            "line": line,
            "stands": stands,
            "rings": local(stands.ring_back) if stands.ring_back else "",
            "notes": [(n, e.note) for n, e in enumerate(page.place.kept or ()) if e.note is not None],
        }
        made = context.html("desk.html", status, **values, **more, **ending(context, page))
        return remembering(context, browser, page, made)

    async def _answered(self, request: Request, place: CaseLocation, again: Any) -> Response:
        context, browser = self.context, self.context.browser(request)
        if request.method != "POST":
            return await self._show(browser, await opened(context, browser, place))
        drawn: list[tuple[Page, int]] = []

        def show(page: Page, status: int) -> Response:
            drawn.append((page, status))
            return Response()

        made = await answered(context, browser, place, await form_of(request), show, again)
        return await self._show(browser, *drawn[-1]) if drawn else made

    async def case(self, request: Request) -> Response:
        """The page of a call."""
        place = self._place(request)

        async def again() -> CaseLocation:
            return place

        return await self._answered(request, place, again)

    async def kept(self, request: Request) -> Response:
        """The page of a kept case."""
        try:
            place = await self._kept(request)
        except InvalidInputError as refused:
            name, here = request.path_params["case"][:20], address.read(self.context.kb, query_of(request))
            blind = CaseLocation(base=f"{self.base}/cases/{quote(name)}", role=self.role, address=here, kept=())

            async def drawn(page: Page) -> Response:
                return await self._show(self.context.browser(request), page, 503)

            return await unread(self.context, blind, request, refused, drawn)
        return await self._answered(request, place, lambda: self._kept(request))

    async def keep(self, request: Request) -> Response:
        """Keep a call under a reference that the shop finds it by."""
        context, place = self.context, self._place(request)
        form = await form_of(request)
        browser = with_words(context, request, form)
        if context.keeping is None or not (place.address.events or browser.words.at(place.events)):
            raise InvalidInputError(
                [Problem(code="P040", message="there is nothing to keep here", mend="answer a question first")]
            )
        page = await page_at(context.workers, context.signer, place, form)
        reference = typed_line(one(form, "reference"))[:80]
        # A call that was stopped is kept as stopped.
        stopped = [Event(stopped=place.address.stop)] if place.address.stop else []

        def write(store: Any) -> str:
            with store.together():
                case, there = begun(store, form, reference)
                for event in () if there else [*to_keep(context, place, browser), *stopped]:
                    store.add(case, event)
            return case

        case = await context.keeping(write)
        now = await kept_place(context, f"{self.base}/cases/{case}", self.role, case, "")
        return onward(context, browser._replace(words=browser.words.without(place.events)), now, page.cleared)

    async def cases(self, request: Request) -> Response:
        """The kept cases that fit what is asked, the last touched first."""
        kb, keeping = self.context.kb, self.context.keeping
        said = wanted(kb, request.query_params)
        lines = await keeping(finder(kb, said, MOST_CASES)) if keeping and said.problem is None else []
        unopened = await keeping(lambda store: len(store.unopened(0))) if keeping else 0
        return self.context.html(
            "cases.html",
            422 if said.problem else 200,
            base=self.base,
            lines=lines,
            asked=said.asked,
            more=said.more,
            problem=said.problem,
            states=STATES,
            tables={what: sorted({r.title for r in table.values()}) for what, table in tables(kb).items()},
            kb=kb,
            most=MOST_CASES,
            zone=presenters.zone(),
            unopened=unopened,
            removed=request.query_params.get("removed", "")[:9],
        )

    async def forget_unopened(self, request: Request) -> Response:
        """Remove for good what was kept by a link that nobody has opened since."""
        days = one(await form_of(request), "days").strip()
        if not (days.isascii() and days.isdigit() and len(days) < 5):
            problem = Problem(code="P044", message=f"'{days[:20]}' is no number of days", mend="type 0 or more")
            raise InvalidInputError([problem])
        if self.context.keeping is None:
            raise Forgotten
        removed = await self.context.keeping(lambda store: store.forget_all(store.unopened(float(days))))
        return moved(f"{self.base}/cases?removed={removed}")

    async def _named(self, request: Request) -> CaseLocation:
        return await self._kept(request) if "case" in request.path_params else self._place(request)

    async def tell(self, request: Request) -> Response:
        """What to tell the repairer from here."""
        return await sheets.told(self.context, request, await self._named(request))

    async def report(self, request: Request) -> Response:
        """The report on the case."""
        return await sheets.report(self.context, request, await self._named(request))

    async def hand_over(self, request: Request) -> Response:
        """The hand-over card of a call."""
        place = self._place(request)
        return await self._card(place, sheets.seen_by(self.context, request, place))

    async def kept_hand_over(self, request: Request) -> Response:
        """The hand-over card of a kept case."""
        place = await self._kept(request)
        # What was cleared once is clear no more; a stop stands until somebody takes the case up again.
        return await self._card(place, kept_of(place.kept or ()))

    async def _card(self, place: CaseLocation, events: list[Event]) -> Response:
        card = await self.context.workers.handover(events)
        return self.context.html("handover.html", card=card, case=place.case, back=place.url(), place=place)

    async def refer(self, request: Request) -> Response:
        """Give a kept case another reference."""
        place = await self._kept(request)
        assert self.context.keeping is not None
        reference = typed_line(one(await form_of(request), "reference"))[:80]
        await self.context.keeping(lambda store: store.refer(place.case, reference))
        return moved(place.url())

    async def note(self, request: Request) -> Response:
        """Add a note to a kept case, or write another in the place of one; an empty one stays as it was."""
        place = await self._kept(request)
        assert self.context.keeping is not None
        assert place.kept is not None
        form = await form_of(request)
        words, at = typed_line(one(form, "note-words"))[:NOTE_MOST], one(form, "at-note")
        notes = [n for n, e in enumerate(place.kept) if e.note is not None]
        if words and at.isascii() and at.isdigit() and len(at) < 6 and int(at) in notes:
            await self.context.keeping(
                lambda store: store.put(place.case, int(at), Event(note=words), after=place.last)
            )
        elif words:
            since = one(form, "since")
            seen = int(since) if since.isascii() and since.isdigit() and len(since) < 19 else None
            await self.context.keeping(lambda store: store.note(place.case, words, since=seen))
        return moved(place.url())

    async def handed_on(self, request: Request) -> Response:
        """Close a kept case as handed on."""
        place = await self._kept(request)
        assert self.context.keeping is not None
        await self.context.keeping(lambda store: store.add(place.case, Event(closed="handed-on"), after=place.last))
        return moved(f"{self.base}/cases?state=waiting#{quote(place.case)}")

    async def forget(self, request: Request) -> Response:
        """Ask once more, and remove a kept case for good."""
        place = await self._kept(request)
        if request.method != "POST":
            return self.context.html("forget.html", place=place)
        assert self.context.keeping is not None
        await self.context.keeping(lambda store: store.forget(place.case))
        return moved(f"{self.base}/cases")


ALL = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"]
