"""The desk's page: the same stream on one wider page, answers in any order, the hand-over card, and kept cases."""

from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ...engine.case.clearance import kept_of
from ...engine.case.events import Event
from ...engine.case.state import fold
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.sanitize import typed_line
from . import presenters
from .answers import address
from .answers.forms import page_at
from .answers.place import CaseLocation
from .answers.signing import with_cleared
from .answers.taken import Page, one
from .auth import Auth
from .caller import check_origin
from .context import Browser, Context, answered, common, form_of, kept_place, moved, onward, opened, remembering
from .homeowner import Forgotten, ending

SHOWN_BELIEFS = 8
MOST_CASES = 100


class Desk:
    """The routes of the desk's face; without a pass none of them exists.

    Parameters
    ----------
    context : Context
    auth : Auth
    """

    def __init__(self, context: Context, auth: Auth) -> None:
        self.context, self.auth = context, auth

    def routes(self) -> list[Route]:
        """Return the desk's addresses."""
        both = ["GET", "POST"]
        inside = [
            ("/desk", self.case, both),
            ("/desk/keep", self.keep, ["POST"]),
            ("/desk/hand-over", self.hand_over, ["GET"]),
            ("/desk/leave", self.leave, ["POST"]),
            ("/desk/cases", self.cases, ["GET"]),
            ("/desk/forget-unopened", self.forget_unopened, ["POST"]),
            ("/desk/cases/{case}", self.kept, both),
            ("/desk/cases/{case}/hand-over", self.kept_hand_over, ["GET"]),
            ("/desk/cases/{case}/handed-on", self.handed_on, ["POST"]),
            ("/desk/cases/{case}/forget", self.forget, both),
        ]
        return [
            Route("/door", self.enter, methods=both),
            *(Route(path, self._inside(what, methods), methods=ALL) for path, what, methods in inside),
        ]

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

    async def enter(self, request: Request) -> Response:
        """The door: the token in a form, and a pass in return."""
        problem, status, wait = None, 200, 0
        if request.method == "POST":
            check_origin(request)
            tried = self.auth.tried(request, one(await form_of(request), "token").strip())
            if tried is None:
                made = moved("/desk")
                self.auth.admit(made, request.url.scheme == "https")
                return made
            wait, status = tried, 429 if tried else 422
            mend = "type it anew, or ask whoever keeps this server"
            problem = Problem(code="P062", message="that is not the desk's token", mend=mend)
            if wait:
                mend = f"wait {wait} s before you guess again; the right one opens at once"
                problem = Problem(code="P061", message="too many wrong tokens", mend=mend)
        made = self.context.html("door.html", status, problem=problem)
        if wait:
            made.headers["retry-after"] = str(wait)
        return made

    async def leave(self, request: Request) -> Response:
        """Sign out: the pass of this browser ends."""
        made = moved("/door")
        self.auth.leave(request, made, request.url.scheme == "https")
        return made

    def _place(self, request: Request) -> CaseLocation:
        return CaseLocation(base="/desk", role="desk", address=address.read(self.context.kb, query(request)))

    async def _kept(self, request: Request) -> CaseLocation:
        if self.context.keeping is None:
            raise Forgotten
        name = request.path_params["case"]
        try:
            case = await self.context.keeping(lambda store: store.known(name))
        except InvalidInputError:
            raise Forgotten from None
        return await kept_place(self.context, f"/desk/cases/{case}", "desk", case, query(request))

    async def _show(self, browser: Browser, page: Page, status: int = 200) -> Response:
        context = self.context
        values = common(context, page)
        weights = await context.workers.weights(page.events) if page.advice.complaints else []
        line = None
        if page.place.kept is not None and context.keeping is not None:
            line = await context.keeping(lambda store: store.line(page.place.case))
        more = {
            "face": "desk",
            "explained": presenters.explained(context.kb, page.advice),
            "weights": weights[:SHOWN_BELIEFS],
            "questions": presenters.open_questions(context.kb, fold(context.kb, page.events))
            if page.advice.complaints
            else [],
            "line": line,
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
        return await self._answered(request, await self._kept(request), lambda: self._kept(request))

    async def keep(self, request: Request) -> Response:
        """Keep a call under a reference that the shop finds it by."""
        context, place = self.context, self._place(request)
        if context.keeping is None or not place.address.events:
            raise InvalidInputError(
                [Problem(code="P040", message="there is nothing to keep here", mend="answer a question first")]
            )
        form = await form_of(request)
        page = await page_at(context.workers, context.signer, place, form)
        reference = typed_line(one(form, "reference"))[:80]
        # A call that was stopped is kept as stopped.
        stopped = [Event(stopped=place.address.stop)] if place.address.stop else []

        def write(store: Any) -> str:
            with store.together():
                case: str = store.begin(reference)
                for event in [*place.events, *stopped]:
                    store.add(case, event)
            return case

        case = await context.keeping(write)
        now = await kept_place(context, f"/desk/cases/{case}", "desk", case, "")
        return onward(context, context.browser(request), now, page.cleared)

    async def cases(self, request: Request) -> Response:
        """The kept cases, the last touched first."""
        text = typed_line(request.query_params.get("text", ""))[:80]
        state = request.query_params.get("state", "")
        wanted = state if state in ("open", "waiting", "on-trial", "closed") else None
        keeping = self.context.keeping
        lines = (
            await keeping(lambda store: store.find(text=text or None, state=wanted, most=MOST_CASES)) if keeping else []
        )
        unopened = await keeping(lambda store: len(store.unopened(0))) if keeping else 0
        return self.context.html(
            "cases.html",
            lines=lines,
            text=text,
            state=wanted or "",
            kb=self.context.kb,
            most=MOST_CASES,
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
        return moved(f"/desk/cases?removed={removed}")

    async def hand_over(self, request: Request) -> Response:
        """The hand-over card of a call."""
        place = self._place(request)
        clear = self.context.signer.counted(self.context.browser(request).looked.cleared(place.events, place.name))
        stopped = [Event(stopped=place.address.stop)] if place.address.stop else []
        return await self._card(place, [*with_cleared(place.events, clear), *stopped])

    async def kept_hand_over(self, request: Request) -> Response:
        """The hand-over card of a kept case."""
        place = await self._kept(request)
        # What was cleared once is clear no more; a stop stands until somebody takes the case up again.
        return await self._card(place, kept_of(place.kept or ()))

    async def _card(self, place: CaseLocation, events: list[Event]) -> Response:
        card = await self.context.workers.handover(events)
        return self.context.html("handover.html", card=card, case=place.case, back=place.url())

    async def handed_on(self, request: Request) -> Response:
        """Close a kept case as handed on."""
        place = await self._kept(request)
        assert self.context.keeping is not None
        await self.context.keeping(lambda store: store.add(place.case, Event(closed="handed-on"), after=place.last))
        return moved(f"/desk/cases?state=waiting#{quote(place.case)}")

    async def forget(self, request: Request) -> Response:
        """Ask once more, and remove a kept case for good."""
        place = await self._kept(request)
        if request.method != "POST":
            return self.context.html("forget.html", place=place)
        assert self.context.keeping is not None
        await self.context.keeping(lambda store: store.forget(place.case))
        return moved("/desk/cases")


ALL = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"]


def query(request: Request) -> str:
    """Return the query of a request as it came."""
    raw: bytes = request.scope["query_string"]
    return raw.decode("latin-1")
