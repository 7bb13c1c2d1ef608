"""The homeowner's pages: one question a page, and an end that says what is theirs to do and what to tell whoever is booked."""

import re
from contextlib import suppress
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from ...engine.case.state import fold
from ...engine.errors import InvalidInputError, Problem
from . import presenters, sheets
from .answers import address
from .answers.address import Address
from .answers.forms import page_at
from .answers.place import CaseLocation
from .answers.taken import Page, one
from .answers.units import back_to, choose
from .caller import caller
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
from .middleware import TooMany

TEMPLATES = {"gate": "gate.html", "stop": "stop.html", "hand-on": "end.html"}


def query_of(request: Request) -> str:
    """Return the query of a request as it came, without what only a report is asked."""
    raw: bytes = request.scope["query_string"]
    return re.sub(r"(?:^|&)for=(?:homeowner|technician)(?=&|$)", "", raw.decode("latin-1"))


def place_of(request: Request, context: Context) -> CaseLocation:
    """Return the place that an address names."""
    return CaseLocation(
        base="/case",
        role="homeowner",
        address=address.read(context.kb, query_of(request)),
    )


def show(context: Context, browser: Browser, page: Page, status: int = 200) -> Response:
    """Return the page of a case: the gate, what was heard, the next card, or the end."""
    return remembering(context, browser, page, _drawn(context, page, status))


def _drawn(context: Context, page: Page, status: int) -> Response:
    values = common(context, page) | {"face": "homeowner", "others": presenters.others(page.advice)}
    card, offers = page.card, page.place.address.offers
    if page.place.address.ask == address.FAMILY and not (card and card.kind in ("gate", "stop")):
        return context.html("family.html", status, **values)
    if card is not None and card.kind in ("gate", "stop"):
        return context.html(TEMPLATES[card.kind], status, **values)
    if offers:
        return context.html("confirm.html", status, **values)
    if card is not None and card.id == "complaint":
        choices = presenters.by_frequency(context.kb, card.choices)
        now = presenters.urgent(context.kb, page.place)
        return context.html("start.html", status, **values, choices=choices, urgent=now)
    if card is None or card.kind == "hand-on":
        return context.html("end.html", status, **(values | ending(context, page)))
    return context.html("card.html", status, **values)


def ending(context: Context, page: Page) -> dict[str, Any]:
    """Return what an end shows beside the advice."""
    may, helped, may_not = presenters.yours(context.kb, page.advice, fold(context.kb, page.events))
    return {
        "others": presenters.others(page.advice),
        "may": may,
        "helped": helped,
        "may_not": may_not,
        "until": presenters.until(context.kb, page.advice),
        "tell": presenters.tell(page.advice),
    }


class Homeowner:
    """The routes of the homeowner's face."""

    def __init__(self, context: Context) -> None:
        self.context = context

    async def start(self, request: Request) -> Response:
        """The first page: say what is wrong, or choose."""
        return await self._page(request, CaseLocation(base="/case", role="homeowner", address=Address()))

    async def _page(self, request: Request, place: CaseLocation) -> Response:
        browser = self.context.browser(request)
        return show(self.context, browser, await opened(self.context, browser, place))

    async def _answered(self, request: Request, place: CaseLocation, again: Any) -> Response:
        context, browser = self.context, self.context.browser(request)

        def drawn(page: Page, status: int) -> Response:
            return show(context, browser, page, status)

        return await answered(context, browser, place, await form_of(request), drawn, again)

    async def case(self, request: Request) -> Response:
        """The page of an address, or the answer to its form."""
        place = place_of(request, self.context)
        if request.method != "POST":
            return await self._page(request, place)

        async def again() -> CaseLocation:
            return place

        return await self._answered(request, place, again)

    async def keep(self, request: Request) -> Response:
        """Keep the case of an address under a link that nobody can guess."""
        context, place = self.context, place_of(request, self.context)
        form = await form_of(request)
        browser = with_words(context, request, form)
        if context.keeping is None or not (place.address.events or browser.words.at(place.events)):
            raise InvalidInputError(
                [Problem(code="P040", message="there is nothing to keep here", mend="answer a question first")]
            )
        # What can't be worked out is not kept. A gate that was cleared is not kept either: the note goes on with the browser.
        page = await page_at(context.workers, context.signer, place, form)
        said = to_keep(context, place, browser)

        if not context.kept_rate.allows(caller(request)):
            raise TooMany(
                Problem(
                    code="P041",
                    message="many cases were kept just now, from where you are or by others",
                    mend="wait ten minutes, then press it again; meanwhile your case is in its address",
                )
            )

        def write(store: Any) -> tuple[str, str]:
            if store.linked() >= context.most_kept:
                message = f"this server keeps no more than {context.most_kept:,} cases, and has that many"
                mend = "your case is in its address: save that, or print the page; and tell whoever keeps this server"
                raise InvalidInputError([Problem(code="P042", message=message, mend=mend)])
            with store.together():
                case, there = begun(store, form)
                for event in () if there else said:
                    store.add(case, event)
                token: str = store.link(case)
                if not there:
                    store.sealed(case)
            return case, token

        case, token = await context.keeping(write)
        now = await kept_place(context, f"/kept/{token}", "homeowner", case, "")
        return onward(context, browser._replace(words=browser.words.without(place.events)), now, page.cleared)

    async def kept(self, request: Request) -> Response:
        """The page of a kept case, or the answer to its form."""
        try:
            place = await self._kept(request)
        except InvalidInputError as refused:
            here = address.read(self.context.kb, query_of(request))
            base = f"/kept/{request.path_params['token']}"
            blind = CaseLocation(base=base, role="homeowner", address=here, kept=())

            async def drawn(page: Page) -> Response:
                return show(self.context, self.context.browser(request), page, 503)

            return await unread(self.context, blind, request, refused, drawn)
        if request.method != "POST":
            return await self._page(request, place)

        async def again() -> CaseLocation:
            return await self._kept(request)

        return await self._answered(request, place, again)

    async def _kept(self, request: Request) -> CaseLocation:
        context, token = self.context, request.path_params["token"]
        if context.keeping is None:
            raise Forgotten

        def found(store: Any) -> str | None:
            case: str | None = store.by_link(token)
            if case is not None:
                with suppress(InvalidInputError):  # a store that is full or busy is read none the less
                    store.opened(case)
            return case

        case = await context.keeping(found)
        if case is None:
            raise Forgotten
        query = query_of(request)
        return await kept_place(context, f"/kept/{token}", "homeowner", case, query)

    async def named(self, request: Request) -> CaseLocation:
        """Return the place of a kept case by its link, else of the case in the address."""
        return await self._kept(request) if "token" in request.path_params else place_of(request, self.context)

    async def tell(self, request: Request) -> Response:
        """What to tell the repairer from here."""
        return await sheets.told(self.context, request, await self.named(request))

    async def report(self, request: Request) -> Response:
        """The report on the case."""
        return await sheets.report(self.context, request, await self.named(request))

    async def forget(self, request: Request) -> Response:
        """Ask once more, and remove a kept case for good."""
        context = self.context
        place = await self._kept(request)
        if request.method != "POST":
            return context.html("forget.html", place=place)
        assert context.keeping is not None
        await context.keeping(lambda store: store.forget(place.case))
        return moved("/forgotten")

    async def units(self, request: Request) -> Response:
        """Remember whose units a browser's reader wants first, and go back to where it was."""
        form = await form_of(request)
        made = moved(back_to(one(form, "to")))
        choose(self.context.signer, made, one(form, "first"), request.url.scheme == "https")
        return made

    async def forgotten(self, _: Request) -> Response:
        """That a case is gone."""
        lines = ["The case is removed for good, and its link leads nowhere now."]
        return self.context.html("message.html", title="Forgotten", lines=lines, problems=[])


class Forgotten(Exception):
    """A link to a case that was forgotten, or never was."""
