"""How the desk signs in: one token, compared in constant time; a signed pass in a cookie that only the desk's addresses see."""

import hashlib
import hmac
from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import Response

from .middleware import Rate

COOKIE = "desk"
PASS_S = 12 * 3600.0  # a shift [s]
LEAST_TOKEN = 16  # letters


class Auth:
    """Lets the desk in.

    Parameters
    ----------
    token : str
        What the desk types once a shift, or a program sends as a bearer token.
    clock : callable
        Seconds since the epoch.
    """

    def __init__(self, token: str, clock: Callable[[], float]) -> None:
        self.digest = hashlib.sha256(token.encode()).digest()
        # The pass is signed by the token itself: every server that knows the token honours it, and a new token ends it.
        self.key = hmac.new(token.encode(), b"dryfloor desk pass", hashlib.sha256).digest()
        self.clock = clock
        self.rate = Rate(5, 30, 60.0)

    def fits(self, token: str) -> bool:
        """Return whether a token is the desk's, in the same time whatever it is."""
        return hmac.compare_digest(hashlib.sha256(token.encode("utf-8", "replace")).digest(), self.digest)

    def opens(self, request: Request) -> bool:
        """Return whether a request comes from the desk: by its pass, or by the token of a program."""
        scheme, _, said = request.headers.get("authorization", "").partition(" ")
        if scheme.lower() == "bearer":
            return self.rate.allows(caller(request)) and self.fits(said.strip())
        until, _, mac = request.cookies.get(COOKIE, "").partition(".")
        fits = hmac.compare_digest(mac.encode("utf-8", "replace"), self._mac(until).encode())
        return fits and until.isascii() and until.isdigit() and self.clock() < int(until)

    def admit(self, response: Response, secure: bool) -> None:
        """Give the desk its pass."""
        until = str(int(self.clock() + PASS_S))
        response.set_cookie(
            COOKIE,
            f"{until}.{self._mac(until)}",
            max_age=int(PASS_S),
            path="/desk",
            httponly=True,
            secure=secure,
            samesite="strict",
        )

    def _mac(self, until: str) -> str:
        return hmac.new(self.key, until.encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def caller(request: Request) -> str:
    """Return who calls, by the address of the connection: a header could say anything."""
    return request.client.host if request.client else ""
