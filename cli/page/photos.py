"""Photos on the page: taken in beside a kept case, shown to whoever has the case, and removed; never under a name of the sender's."""

import asyncio
from collections.abc import Awaitable, Callable

from starlette.datastructures import Headers, UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request
from starlette.responses import Response

from ...engine.errors import InvalidInputError, Problem
from . import photograph
from .answers.place import CaseLocation
from .caller import caller
from .context import Context, moved
from .middleware import PHOTO, TooMany

Endpoint = Callable[[Request], Awaitable[Response]]
Named = Callable[[Request], Awaitable[CaseLocation]]
SHOWN = {"cache-control": "private, no-store", "content-disposition": "inline"}


class InMemory(MultiPartParser):
    """Reads a form with a file; nothing of it is put on a disk, for what was sent still says where it was taken."""

    spool_max_size = PHOTO


class Photos:
    """The routes of a kept case's photos, for one face.

    Parameters
    ----------
    context : Context
    named : callable
        Gives the kept case of a request; raises where there is none, or whoever asks may not see it.
    """

    def __init__(self, context: Context, named: Named) -> None:
        self.context, self.named = context, named

    def inside(self, base: str) -> list[tuple[str, Endpoint, list[str]]]:
        """Return the addresses below that of a kept case: each with what serves it, and how it may be asked."""
        return [
            (f"{base}/photos", self.add, ["POST"]),
            (f"{base}/photos/{{number:int}}", self.show, ["GET"]),
            (f"{base}/photos/{{number:int}}/small", self.small, ["GET"]),
            (f"{base}/photos/{{number:int}}/remove", self.remove, ["POST"]),
        ]

    async def add(self, request: Request) -> Response:
        """Take in a photo: read, drawn anew, and only then kept."""
        context, place = self.context, await self.named(request)
        if not context.photo_rate.allows(caller(request)):
            mend = "wait ten minutes, then add it again"
            raise TooMany(Problem(code="P081", message="many photos were sent just now", mend=mend))
        try:
            raw = await _file(request)
            drawing = asyncio.get_running_loop().run_in_executor(context.darkroom, photograph.cleaned, raw)
            body, small = await drawing
            assert context.keeping is not None
            await context.keeping(lambda store: store.photograph(place.case, body, small))
        except InvalidInputError as refused:
            if any(not p.code.startswith(("P08", "J02")) for p in refused.problems):
                raise
            back = f"{place.url()}#photos"
            title = "This photo is not kept"
            return context.html("message.html", 422, title=title, lines=[], problems=refused.problems, back=back)
        return moved(f"{place.url()}#photos")

    async def show(self, request: Request) -> Response:
        """A photo."""
        return await self._shown(request, 0)

    async def small(self, request: Request) -> Response:
        """A photo in the small."""
        return await self._shown(request, 1)

    async def _shown(self, request: Request, which: int) -> Response:
        place, number = await self.named(request), request.path_params["number"]
        assert self.context.keeping is not None
        found = await self.context.keeping(lambda store: store.photo(place.case, number)) if number < 2**63 else None
        if found is None:
            return Response("There is no such photo.", 404, {"cache-control": "no-store"}, "text/plain")
        return Response(found[which], 200, SHOWN, "image/jpeg")

    async def remove(self, request: Request) -> Response:
        """Remove a photo for good."""
        place, number = await self.named(request), request.path_params["number"]
        assert self.context.keeping is not None
        if number < 2**63:
            await self.context.keeping(lambda store: store.remove_photo(place.case, number))
        return moved(f"{place.url()}#photos")


async def _file(request: Request) -> bytes:
    """Return the one file of a form.

    Raises
    ------
    InvalidInputError
        If the form has none, or can't be read.
    """
    try:
        parser = InMemory(Headers(scope=request.scope), request.stream(), max_files=1, max_fields=4)
        form = await parser.parse()
    except (MultiPartException, KeyError, AttributeError, ValueError):
        raise InvalidInputError(
            [Problem(code="P082", message="that was not sent by this page's form", mend="go back and try again")]
        ) from None
    sent = form.get("photo")
    if not isinstance(sent, UploadFile):
        return b""
    try:
        return await sent.read()
    finally:
        await form.close()
