"""The web application: which address is served by whom, and what is said where something can't be served."""

import contextlib
import hashlib
import re
from collections.abc import AsyncIterator, Awaitable, Callable
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from ...engine.errors import InvalidInputError, Problem, shown_problems
from ...engine.measurement.formatting import READER
from . import api as programs
from .answers.units import Units
from .answers.worded import PASSING, for_page
from .answers.workers import ANSWER_S, Busy
from .api import Api, WrongKind
from .caller import Forwarded, check_origin
from .context import KEPT_S, Context
from .desk import Desk, Door
from .homeowner import Forgotten, Homeowner
from .middleware import Guard, TooLarge, TooMany, TooSlow
from .photos import Photos

# Of a request that is refused; all others are 422.
STATUS = {"J016": 409, "P042": 507, "P060": 403, **dict.fromkeys(PASSING, 503)}
PROGRAMS = ("/advise", "/hear", "/openapi.json", "/health")
TITLES = {
    400: "That can't be read",
    403: "Not from there",
    404: "No such page",
    405: "Not that way",
    408: "That took too long",
    409: "The case went on somewhere else",
    413: "Too much at once",
    415: "Not that kind",
    422: "That address can't be used",
    429: "Too many at once",
    500: "A fault in dryfloor itself",
    503: "Too busy just now",
    507: "No room for more",
}
AGAIN_S = 3.0  # whoever the store could not serve tries again after so long [s]
KEEPING = "The kept cases can't be had just now"
SAYS = {
    403: "This was not sent by a page of this server.",
    404: "There is nothing at this address. A kept case that was forgotten leaves nothing behind.",
    405: "This address is not asked that way.",
    408: "The request did not arrive in time. Try again.",
    413: "What was sent is larger than anything this page needs.",
    429: "Wait ten minutes, then try again.",
    500: "It is noted for whoever keeps this server. Your case is still in its address: go back, or open it again.",
    503: "Try again in a few seconds. Your case is still in its address.",
}


class Styled:
    """The one style sheet, kept by browsers for good under a name that changes with it."""

    def __init__(self) -> None:
        self.text = files(__package__).joinpath("page.css").read_bytes()
        self.path = f"/page-{hashlib.blake2b(self.text, digest_size=6).hexdigest()}.css"

    async def serve(self, _: Request) -> Response:
        """Return the sheet."""
        return Response(
            self.text,
            200,
            {"content-type": "text/css; charset=utf-8", "cache-control": "public, max-age=31536000, immutable"},
        )


def application(context: Context, fault: Callable[[Exception], None] | None = None) -> Starlette:
    """Return the application of a site.

    Parameters
    ----------
    context : Context
    fault : callable, optional
        Told of a fault of dryfloor itself; the person sees no more than that there was one.
    """
    owner, programs_, style = Homeowner(context), Api(context), Styled()
    context.templates.globals["style"] = style.path
    both = ["GET", "POST"]
    routes = [
        Route("/", owner.start),
        Route("/case", _own(owner.case), methods=both),
        Route("/case/tell", owner.tell),
        Route("/case/report", owner.report),
        Route("/kept/{token}/tell", owner.tell),
        Route("/kept/{token}/report", owner.report),
        Route("/keep", _own(owner.keep), methods=["POST"]),
        Route("/kept/{token}", _own(owner.kept), methods=both),
        Route("/kept/{token}/forget", _own(owner.forget), methods=both),
        *(
            Route(path, _own(serve), methods=methods)
            for path, serve, methods in Photos(context, owner.named).inside("/kept/{token}")
        ),
        Route("/forgotten", owner.forgotten),
        Route("/units", _own(owner.units), methods=["POST"]),
        Route("/advise", programs_.advise, methods=["POST"]),
        Route("/hear", programs_.hear, methods=["POST"]),
        Route("/openapi.json", programs_.openapi),
        Route("/pictures/{name}.svg", _picture(context)),
        Route("/health", programs_.health),
        Route(style.path, style.serve),
        Route("/robots.txt", _robots),
        Route("/favicon.ico", _no_icon),
    ]
    if context.lessons:
        from .drill import Drill

        drill = Drill(context)
        routes += [Route("/drill", drill.start), Route("/drill", _own(drill.play), methods=["POST"])]
    doors = [auth for auth in (context.auth, context.technician) if auth is not None]
    if doors:
        routes.append(Route("/door", Door(context, doors).enter, methods=both))
    if context.auth is not None:
        routes += Desk(context, context.auth).routes()
    if context.technician is not None:
        routes += Desk(context, context.technician, "technician").routes()

    @contextlib.asynccontextmanager
    async def alive(_: Starlette) -> AsyncIterator[None]:
        await context.ends.begin()
        try:
            yield
        finally:
            context.close()

    def said(
        status: int, problems: Callable[[Any], list[Problem]] = lambda _: []
    ) -> Callable[[Request, Exception], Awaitable[Response]]:
        async def handle(request: Request, error: Exception) -> Response:
            return failure(context, request, status, problems(error))

        return handle

    async def http(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        made = failure(context, request, error.status_code, [])
        made.headers.update(error.headers or {})
        return made

    async def refused(request: Request, error: Exception) -> Response:
        assert isinstance(error, InvalidInputError)
        status = next((STATUS[p.code] for p in error.problems if p.code in STATUS), 422)
        return failure(context, request, status, error.problems, error.more)

    async def gone(_: Request, __: Exception) -> Response:
        return Response(status_code=400)

    handlers: dict[Any, Any] = {
        HTTPException: http,
        InvalidInputError: refused,
        Busy: said(503),
        TooLarge: said(413),
        TooSlow: said(408),
        Forgotten: said(404),
        TooMany: said(429, lambda e: list(e.args)),
        ClientDisconnect: gone,
        WrongKind: said(
            415,
            lambda e: [
                Problem(
                    code="P053",
                    message="the body is of another kind",
                    expected=str(e),
                    mend="say what it is in Content-Type",
                )
            ],
        ),
    }

    def faulty(request: Request, error: Exception) -> Response:
        if fault is not None:
            fault(error)
        return failure(context, request, 500, [])

    return Starlette(
        routes=routes,
        middleware=[
            Middleware(Forwarded, proxies=context.proxies),
            Middleware(Guard, faulty=faulty),
            Middleware(Units, signer=context.signer, usual=context.units),
        ],
        exception_handlers=handlers,
        lifespan=alive,
    )


Endpoint = Callable[[Request], Awaitable[Response]]


def _own(serve: Endpoint) -> Endpoint:
    """Return what serves a page's forms, for forms of this server's own pages alone."""

    async def served(request: Request) -> Response:
        if request.method == "POST":
            check_origin(request)
        return await serve(request)

    return served


def _picture(context: Context) -> Endpoint:
    """Return what serves a picture of the kb by its id."""

    async def served(request: Request) -> Response:
        from ...engine.advising.illustrations import drawn, shown_by

        READER.set("both")  # one picture for all, for it is kept on the way
        shown = shown_by(context.kb, request.path_params["name"])
        if shown is None:
            raise HTTPException(404)
        headers = {"cache-control": "public, max-age=3600"}
        return Response(drawn(context.kb, shown), 200, headers, "image/svg+xml")

    return served


def failure(context: Context, request: Request, status: int, problems: list[Problem], more: int = 0) -> Response:
    """Return why something can't be served: an envelope for programs, a page for people; neither a path nor a traceback."""
    title = KEEPING if any(p.code in PASSING for p in problems) else TITLES.get(status, "That can't be served")
    path = request.url.path
    if path in PROGRAMS or request.headers.get("authorization"):
        code = {404: "no-such-address", 500: "fault", 503: "busy"}.get(status, "refused")
        told = problems or [Problem(code=f"P{status}", message=title[0].lower() + title[1:], mend=SAYS.get(status, ""))]
        made = programs.refusal(status, path, code, told, more)
    else:
        made = context.html(
            "message.html",
            status,
            title=title,
            lines=[SAYS[status]] if status in SAYS and not problems else [],
            problems=shown_problems([for_page(p, request.method != "POST") for p in problems], more),
            again=_again(request) if title == KEEPING else "",
        )
        made.headers["cache-control"] = "no-store"
    if status in (429, 503):
        seconds = KEPT_S if status == 429 else AGAIN_S if title == KEEPING else ANSWER_S
        made.headers["retry-after"] = str(int(seconds))
    return made


def _again(request: Request) -> str:
    """Return where what could not be had just now is opened again: the page itself, or the kept case that a form was sent to."""
    path, query = request.url.path, request.scope["query_string"].decode("latin-1")
    if request.method in ("GET", "HEAD"):
        return f"{path}?{query}" if query else path
    case = re.match(r"/(?:(?:desk|technician)/cases/[A-Za-z0-9]{1,12}|kept/[\w-]{1,64})(?=/|$)", path)
    return case[0] if case else ""


async def _no_icon(_: Request) -> Response:
    return Response(status_code=204, headers={"cache-control": "public, max-age=86400"})


async def _robots(_: Request) -> Response:
    return PlainTextResponse("User-agent: *\nDisallow: /\n")
