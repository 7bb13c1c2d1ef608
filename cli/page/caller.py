"""Who sends a request, and from where: the address behind a trusted proxy, and whether a form comes from a page of this server."""

import ipaddress
from collections.abc import Sequence
from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from ...engine.errors import InvalidInputError, Problem

Network = ipaddress.IPv4Network | ipaddress.IPv6Network
HOUSEHOLD = 64  # bits of an address of version 6 that one household or office shares
MOST_HOPS = 20  # addresses that a header may name


def networks(named: Sequence[str]) -> list[Network]:
    """Return the proxies of `--proxy`.

    Raises
    ------
    InvalidInputError
        If one is no address.

    Examples
    --------
    >>> [str(n) for n in networks(["10.0.0.7", "fd00::/8"])]
    ['10.0.0.7/32', 'fd00::/8']
    """
    out: list[Network] = []
    for text in named:
        try:
            out.append(ipaddress.ip_network(text, strict=False))
        except ValueError:
            problem = Problem(
                code="P076",
                message=f"'{text}' is no address of a proxy",
                expected="an address such as 10.0.0.7, or a network such as 10.0.0.0/24",
                mend="name what connects to this server, by its number",
            )
            raise InvalidInputError([problem]) from None
    return out


class Forwarded:
    """ASGI: takes from a trusted proxy, and from nobody else, who called, over what, and by which name.

    Parameters
    ----------
    app : ASGI application
    proxies : list of Network
    """

    def __init__(self, app: ASGIApp, proxies: Sequence[Network]) -> None:
        self.app, self.proxies = app, proxies

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request as its caller sent it to the proxy."""
        if scope["type"] == "http" and scope.get("client") and self._trusts(scope["client"][0]):
            scope = {**scope, **self._told(scope)}
        await self.app(scope, receive, send)

    def _trusts(self, host: str) -> bool:
        found = _address(host)
        return found is not None and any(found.version == n.version and found in n for n in self.proxies)

    def _told(self, scope: Scope) -> Scope:
        said: dict[bytes, list[str]] = {}
        for name, value in scope["headers"]:
            said.setdefault(name.lower(), []).extend(v.strip() for v in value.decode("latin-1").split(","))
        told: Scope = {"client": (self._behind(scope["client"][0], said.get(b"x-forwarded-for", [])), 0)}
        over = said.get(b"x-forwarded-proto", [""])[-1].lower()
        if over in ("http", "https"):
            told["scheme"] = over
        by = said.get(b"x-forwarded-host", [""])[-1]
        if by:
            kept = [(n, v) for n, v in scope["headers"] if n.lower() != b"host"]
            told["headers"] = [*kept, (b"host", by.encode("latin-1"))]
        return told

    def _behind(self, host: str, hops: list[str]) -> str:
        """Return the last address that no trusted proxy has; each proxy adds at the end whom it was called by."""
        for hop in reversed(hops[-MOST_HOPS:]):
            found = _address(hop)
            if found is None:  # whoever wrote that, nothing before it can be believed
                return host
            host = str(found)
            if not self._trusts(host):
                return host
        return host


def _address(text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    host = text.strip().strip('"')
    if host.startswith("["):
        host = host[1:].partition("]")[0]
    elif host.count(":") == 1:
        host = host.partition(":")[0]
    try:
        found = ipaddress.ip_address(host)
    except ValueError:
        return None
    return getattr(found, "ipv4_mapped", None) or found


def caller(request: Request) -> str:
    """Return who calls, for counting: an address, or the network that a household has of version 6."""
    host = request.client.host if request.client else ""
    found = _address(host)
    if found is None or found.version == 4:
        return host
    return str(ipaddress.ip_network(f"{found}/{HOUSEHOLD}", strict=False))


def check_origin(request: Request) -> None:
    """Refuse a form that no page of this server sent.

    A browser says where a form comes from, by one header or the other; a program that says nothing of it is no browser that
    somebody else's page could use.

    Raises
    ------
    InvalidInputError
    """
    where = request.headers.get("sec-fetch-site")
    if where is not None:
        own = where in ("same-origin", "none")
    else:
        origin = request.headers.get("origin")
        own = origin is None or (
            origin != "null" and urlsplit(origin).netloc.lower() == request.headers.get("host", "").lower()
        )
    if not own:
        problem = Problem(
            code="P060",
            message="this was not sent by a page of this server",
            mend="open its first page, and go on from there",
        )
        raise InvalidInputError([problem])
