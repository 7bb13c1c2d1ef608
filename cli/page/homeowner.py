"""The homeowner's pages: one question a page, and an end that says what is theirs to do and what to tell whoever is booked."""

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from ...engine.errors import Problem, Refused
from . import address, presenters
from .address import Address
from .context import Site, answered, common, form_of, kept_place, moved
from .forms import Page, one, page_at
from .place import Place

TEMPLATES = {"gate": "gate.html", "stop": "stop.html", "hand-on": "end.html"}


def place_of(request: Request, site: Site) -> Place:
    """Return the place that an address names."""
    return Place(
        base="/case", role="homeowner", address=address.read(site.kb, request.scope["query_string"].decode("latin-1"))
    )


def show(site: Site, page: Page, status: int = 200) -> Response:
    """Return the page of a case: the gate, what was heard, the next card, or the end."""
    values = common(site, page) | {"face": "homeowner"}
    card, offers = page.card, page.place.address.offers
    if card is not None and card.kind in ("gate", "stop"):
        return site.html(TEMPLATES[card.kind], status, **values)
    if offers:
        return site.html("confirm.html", status, **values)
    if card is not None and card.id == "complaint":
        return site.html("start.html", status, **values)
    if card is None or card.kind == "hand-on":
        return site.html("end.html", status, **values, **ending(site, page))
    return site.html("card.html", status, **values, others=presenters.others(page.advice))


def ending(site: Site, page: Page) -> dict[str, Any]:
    """Return what an end shows beside the advice."""
    may, may_not = presenters.yours(site.kb, page.advice)
    return {
        "others": presenters.others(page.advice),
        "may": may,
        "may_not": may_not,
        "until": presenters.until(site.kb, page.advice),
        "tell": presenters.tell(page.advice),
    }


class Homeowner:
    """The routes of the homeowner's face."""

    def __init__(self, site: Site) -> None:
        self.site = site

    async def start(self, request: Request) -> Response:
        """The first page: say what is wrong, or choose."""
        place = Place(base="/case", role="homeowner", address=Address())
        return show(self.site, await page_at(self.site.thinker, self.site.seal, place, ""))

    async def case(self, request: Request) -> Response:
        """The page of an address, or the answer to its form."""
        site, place = self.site, place_of(request, self.site)
        if request.method != "POST":
            return show(site, await page_at(site.thinker, site.seal, place, ""))

        async def again() -> Place:
            return place

        return await answered(site, place, await form_of(request), lambda page, status: show(site, page, status), again)

    async def keep(self, request: Request) -> Response:
        """Keep the case of an address under a link that nobody can guess."""
        site, place = self.site, place_of(request, self.site)
        if site.keeping is None or not place.address.events:
            raise Refused(
                [Problem(code="P040", message="there is nothing to keep here", mend="answer a question first")]
            )
        # What can't be worked out is not kept. A gate that was cleared stays so: the kept case goes on from the same events.
        page = await page_at(site.thinker, site.seal, place, one(await form_of(request), "note"))

        def write(store: Any) -> str:
            with store.together():
                case = store.begin()
                for event in place.events:
                    store.add(case, event)
                token: str = store.link(case)
            return token

        return moved(f"/kept/{await site.keeping(write)}", page.note)

    async def kept(self, request: Request) -> Response:
        """The page of a kept case, or the answer to its form."""
        site = self.site
        place = await self._kept(request)
        if request.method != "POST":
            return show(site, await page_at(site.thinker, site.seal, place, ""))

        async def again() -> Place:
            return await self._kept(request)

        return await answered(site, place, await form_of(request), lambda page, status: show(site, page, status), again)

    async def _kept(self, request: Request) -> Place:
        site, token = self.site, request.path_params["token"]
        case = await site.keeping(lambda store: store.by_link(token)) if site.keeping else None
        if case is None:
            raise Forgotten
        query = request.scope["query_string"].decode("latin-1")
        return await kept_place(site, f"/kept/{token}", "homeowner", case, query)

    async def forget(self, request: Request) -> Response:
        """Remove a kept case for good."""
        site = self.site
        place = await self._kept(request)
        assert site.keeping is not None
        await site.keeping(lambda store: store.forget(place.case))
        return site.html(
            "message.html",
            title="Forgotten",
            lines=["The case is removed for good, and its link leads nowhere now."],
            problems=[],
        )


class Forgotten(Exception):
    """A link to a case that was forgotten, or never was."""
