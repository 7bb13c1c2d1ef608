"""Whose units a browser is shown: what its reader chose, in a sealed cookie that is the same for all who chose so; else the server's."""

from contextvars import ContextVar
from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from ....engine.measurement.formatting import READER
from .signing import Signer

COOKIE = "units"
CHOICES = {"us": "both", "si": "si-first"}  # what a reader may choose, and whose units then come first
CHOSEN_S = 180 * 86_400  # a choice is remembered for so long [s]
LONGEST = 8000  # of an address that is gone back to [letters]
HERE: ContextVar[str] = ContextVar("here", default="")


class Units:
    """ASGI: each request is answered in the units of its own reader.

    Parameters
    ----------
    app : ASGI application
    signer : Signer
    usual : str
        Whose units come first where nothing was chosen, as `formatting.READER` has it.
    """

    def __init__(self, app: ASGIApp, signer: Signer, usual: str) -> None:
        self.app, self.signer, self.usual = app, signer, usual

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] == "http":
            request = Request(scope)
            chosen = self.signer.opened(COOKIE, request.cookies.get(COOKIE, "")[:200]).decode("ascii", "replace")
            READER.set(CHOICES.get(chosen, self.usual))
            query = request.url.query
            HERE.set(request.url.path + (f"?{query}" if query else "") if request.method == "GET" else "")
        await self.app(scope, receive, send)


def choose(signer: Signer, response: Response, chosen: str, secure: bool) -> None:
    """Let a browser remember whose units come first."""
    if chosen in CHOICES:
        value = signer.sealed(COOKIE, chosen.encode())
        response.set_cookie(COOKIE, value, max_age=CHOSEN_S, httponly=True, secure=secure, samesite="lax")


def here() -> str:
    """Return the address of the page under way, where it can be opened anew."""
    return HERE.get()


def metric() -> bool:
    """Return whether the reader of the page under way has SI first."""
    return READER.get() in ("si", "si-first")


def back_to(address: str) -> str:
    """Return an address of this server that a browser may be led back to; of anything else its first page.

    Examples
    --------
    >>> back_to("/case?complaint=walks"), back_to("//elsewhere.example/"), back_to("https://elsewhere.example")
    ('/case?complaint=walks', '/', '/')
    """
    try:
        parts = urlsplit(address)
    except ValueError:
        return "/"
    good = address.isascii() and address.isprintable() and len(address) <= LONGEST and "\\" not in address
    inside = address.startswith("/") and not address.startswith("//") and not (parts.scheme or parts.netloc)
    return address if good and inside else "/"
