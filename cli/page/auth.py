"""How the desk signs in: one token, compared in constant time; a signed pass in a cookie that only the desk's addresses see."""

import hashlib
import hmac
import math
import secrets
from collections import OrderedDict
from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import Response

from .caller import caller

PASS_S = 12 * 3600.0  # a shift [s]
FREE = 5  # wrong tokens that anybody may type
MOST_WAIT_S = 900  # however often somebody guessed [s]
QUIET_S = 3600.0  # after so long without a guess it is forgotten [s]
CALLERS = 1000
ENDED = 10_000  # passes that were given back


class Guesses:
    """Wrong tokens, by whoever gave them: each new one waits twice as long as the one before; the same one again is no new guess.

    The right token is no guess: it is never counted, and nobody who has it waits, however often others were wrong.

    Examples
    --------
    >>> guesses = Guesses(lambda: 0.0)
    >>> [guesses.wrong("a", f"guess {n}") for n in range(8)], guesses.wrong("a", "guess 0"), guesses.wrong("b", "guess 9")
    ([0, 0, 0, 0, 0, 1, 2, 4], 4, 0)
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self.clock = clock
        self.by: OrderedDict[str, tuple[int, float, list[bytes]]] = OrderedDict()

    def wrong(self, who: str, token: str) -> int:
        """Count a wrong token, and return how long its sender is told to wait [s]."""
        now = self.clock()
        count, last, seen = self.by.get(who, (0, now, []))
        if now - last > QUIET_S:
            count, seen = 0, []
        digest = hashlib.sha256(token.encode("utf-8", "replace")).digest()
        if digest not in seen:
            count, seen = count + 1, [*seen[-7:], digest]
        self.by[who] = (count, now, seen)
        self.by.move_to_end(who)
        if len(self.by) > CALLERS:
            self.by.popitem(last=False)
        return 0 if count <= FREE else min(MOST_WAIT_S, 2 ** min(20, count - FREE - 1))


class Auth:
    """Lets the desk in.

    Parameters
    ----------
    token : str
        What the desk types once a shift, or a program sends as a bearer token.
    clock : callable
        Seconds since the epoch.
    role : str
        Whose door it opens; the pass is called so, and only the addresses below that name see it.
    """

    def __init__(self, token: str, clock: Callable[[], float], role: str = "desk") -> None:
        self.cookie, self.path = role, f"/{role}"
        self.digest = hashlib.sha256(token.encode()).digest()
        # The pass is signed by the token itself: every server that knows the token honours it, and a new token ends it.
        self.key = hmac.new(token.encode(), f"dryfloor {role} pass".encode(), hashlib.sha256).digest()
        self.clock = clock
        self.guesses = Guesses(clock)
        self.ended: OrderedDict[str, float] = OrderedDict()

    def fits(self, token: str) -> bool:
        """Return whether a token is the desk's, in the same time whatever it is."""
        return hmac.compare_digest(hashlib.sha256(token.encode("utf-8", "replace")).digest(), self.digest)

    def tried(self, request: Request, token: str) -> int | None:
        """Return None where a token is the desk's, else how long whoever sent it is told to wait [s]."""
        return None if self.fits(token) else self.guesses.wrong(caller(request), token)

    def opens(self, request: Request) -> bool:
        """Return whether a request comes from the desk: by its pass, or by the token of a program."""
        scheme, _, said = request.headers.get("authorization", "").partition(" ")
        if scheme.lower() == "bearer":
            return self.tried(request, said.strip()) is None
        return self._pass(request) is not None

    def admit(self, response: Response, secure: bool) -> None:
        """Give the desk its pass."""
        until = f"{int(self.clock() + PASS_S)}-{secrets.token_hex(8)}"
        response.set_cookie(
            self.cookie,
            f"{until}.{self._mac(until)}",
            max_age=math.ceil(PASS_S),
            path=self.path,
            httponly=True,
            secure=secure,
            samesite="strict",
        )

    def leave(self, request: Request, response: Response, secure: bool) -> tuple[str, float] | None:
        """Take the pass back, and return it and when it would have ended: it opens nothing any more, in whatever browser it is."""
        found = self._pass(request)
        if found is not None:
            self.ended[found[0]] = found[1]
        now = self.clock()
        while self.ended and (len(self.ended) > ENDED or next(iter(self.ended.values())) < now):
            self.ended.popitem(last=False)
        response.delete_cookie(self.cookie, path=self.path, httponly=True, secure=secure, samesite="strict")
        return found

    def _pass(self, request: Request) -> tuple[str, float] | None:
        """Return the pass of a request and when it ends; None where it has none that counts."""
        said, _, mac = request.cookies.get(self.cookie, "").partition(".")
        fits = hmac.compare_digest(mac.encode("utf-8", "replace"), self._mac(said).encode())
        until = said.partition("-")[0]
        if not (fits and until.isascii() and until.isdigit()) or said in self.ended or self.clock() >= int(until):
            return None
        return said, float(until)

    def _mac(self, until: str) -> str:
        return hmac.new(self.key, until.encode("utf-8", "replace"), hashlib.sha256).hexdigest()
