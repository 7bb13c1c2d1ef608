"""What all faces of one server share: the workers, the signer of its notes, the store, the desk's sign-in, the templates."""

import asyncio
import hashlib
import secrets
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple, TypeVar
from urllib.parse import parse_qsl

import jinja2
from msgspec import structs
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ... import __version__
from ...engine import model
from ...engine.advise import PROVED
from ...engine.case.events import Event
from ...engine.case.rows import leading
from ...engine.case.state import fold
from ...engine.case.status import standing
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.sanitize import typed_line, visible
from ...engine.measurement.retelling import retold
from ..store.database.place import ServerPlace
from . import photograph, presenters
from .answers import address as addresses
from .answers import own_words
from .answers.ended import SharedEnds
from .answers.forms import led_here, page_at, stop_at, take, unsafe, went_on
from .answers.hearing import families
from .answers.late import late
from .answers.looked import Looked, read, write
from .answers.own_words import OwnWords
from .answers.place import CaseLocation
from .answers.signing import Cleared, Signer
from .answers.taken import Form, Page, TakenForm, fields, one
from .answers.units import here, metric
from .answers.worded import PASSING, for_page
from .answers.workers import Workers
from .caller import Network
from .contact import Contact
from .middleware import BODY, Rate

T = TypeVar("T")
CACHE = "private, no-cache"  # kept by the browser so that its back works, and asked for again otherwise
FIELDS = 100
PHOTOS_EACH, PHOTOS_TOGETHER = 30, 300  # photos sent from one address and from all, in as long
KEPT_EACH, KEPT_TOGETHER, KEPT_S = 20, 200, 600.0  # cases kept from one address and from all, in so long a time [s]
MOST_KEPT = 10_000  # cases with a link that a server keeps unless told otherwise
CONNECTIONS = 4  # to a store on a server, of one server of the page
MOST_EVENTS = 400  # of a kept case, as of one that a program sends


class Keeping:
    """The store behind threads of its own, so that a slow disk holds up nobody's page.

    A file is written by one at a time anyhow. On a server each thread has a connection, so that whoever waits for a case, or for the
    list of all, holds up nobody else.

    Parameters
    ----------
    path : Path or ServerPlace
        Where the store is.

    Raises
    ------
    InvalidInputError
        Where it can't be opened.
    """

    def __init__(self, path: Path | ServerPlace) -> None:
        from ..store.lines import Lines

        count = CONNECTIONS if isinstance(path, ServerPlace) else 1
        self.lines = Lines()
        self.path = path
        self.thread = ThreadPoolExecutor(count, thread_name_prefix="store")
        self.own = threading.local()
        self.opened: list[Any] = []
        self.store: Any = self.thread.submit(self._mine).result()

    def _mine(self) -> Any:
        """Return the store of this thread."""
        from ..store.store import Store

        found = getattr(self.own, "store", None)
        if found is None:
            found = self.own.store = Store.open(self.path, lines=self.lines)
            self.opened.append(found)
        return found

    async def __call__(self, work: Callable[[Any], T]) -> T:
        """Return what some work on the store gives.

        Raises
        ------
        InvalidInputError
            As the store does; without the place of its file.
        """
        try:
            return await asyncio.get_running_loop().run_in_executor(self.thread, lambda: work(self._mine()))
        except InvalidInputError as refused:
            raise InvalidInputError([structs.replace(p, file="") for p in refused.problems]) from None

    def close(self) -> None:
        """Close the store once all work on it is done."""
        if isinstance(self.path, Path):  # SQLite wants it closed by the thread that opened it
            self.thread.submit(self.store.close).result()
        self.thread.shutdown()
        if not isinstance(self.path, Path):
            for store in self.opened:
                store.close()


class Context:
    """One server.

    Parameters
    ----------
    kb : KB
    signer : Signer
    keeping : Keeping, optional
        Where kept cases go; none: nothing can be kept.
    token : str
        The desk's token; empty: there is no desk.
    units : str
        Whose units pages show to whoever has not chosen.
    proxies : list of Network
        Who is believed about the caller behind them.
    most_kept : int
        How many cases may have a link.
    lessons : bool
        Whether there is a drill.
    contact : Contact
        Whom the firm names to be called.
    technician : str
        The technicians' token; empty: they have no door.
    """

    def __init__(
        self,
        kb: model.KB,
        signer: Signer | None = None,
        keeping: Keeping | None = None,
        token: str = "",
        units: str = "both",
        proxies: Sequence[Network] = (),
        most_kept: int = MOST_KEPT,
        lessons: bool = False,
        contact: Contact | None = None,
        technician: str = "",
    ) -> None:
        from .auth import Auth

        self.kb = kb
        self.signer = signer or Signer()
        self.keeping = keeping
        self.proxies = list(proxies)
        self.most_kept = most_kept
        self.lessons = lessons
        self.contact = contact or Contact()
        self.kept_rate = Rate(KEPT_EACH, KEPT_TOGETHER, KEPT_S)
        self.photo_rate = Rate(PHOTOS_EACH, PHOTOS_TOGETHER, KEPT_S)
        self.darkroom = ThreadPoolExecutor(1, thread_name_prefix="photo")  # one at a time: each may take 100 MB
        self.units = units
        self.workers = Workers(kb)
        self.auth = Auth(token, self.signer.clock) if token else None
        self.technician = Auth(technician, self.signer.clock, "technician") if technician else None
        doors = [door for door in (self.auth, self.technician) if door is not None]
        self.ends = SharedEnds(keeping, self.signer, doors)
        self.templates = jinja2.Environment(
            loader=jinja2.FileSystemLoader(Path(__file__).parent / "templates"),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
        )
        self.templates.filters |= presenters.FILTERS | {"retold": retold}
        self.templates.globals |= {
            "version": __version__,
            "keeps": keeping is not None,
            "has_desk": bool(token),
            "keeps_photos": keeping is not None and photograph.is_there(),
            "late": None,
            "here": here,
            "metric": metric,
        }

    def browser(self, request: Request) -> "Browser":
        """Return what is known of the browser that sent a request."""
        words = own_words.read(self.signer, request)
        return Browser(read(self.signer, request), request.url.scheme == "https", words)

    def html(self, template: str, status: int = 200, **values: Any) -> Response:
        """Return a page."""
        text = visible(self.templates.get_template(template).render(**values))
        return HTMLResponse(text, status, {"cache-control": CACHE})

    def close(self) -> None:
        """End the threads and close the store."""
        self.ends.stop()
        self.workers.close()
        self.darkroom.shutdown(wait=False, cancel_futures=True)
        if self.keeping:
            self.keeping.close()


class Browser(NamedTuple):
    """Whoever asks: what was cleared there, whether it came by TLS, and what was said there in words that nothing else holds."""

    looked: Looked
    secure: bool
    words: OwnWords = OwnWords()


def with_words(context: Context, request: Request, form: Form) -> Browser:
    """Return what is known of the browser that sent a form, with the words that wait in it."""
    browser = context.browser(request)
    return browser._replace(words=own_words.with_form(context.signer, browser.words, one(form, own_words.FIELD)))


def to_keep(context: Context, place: CaseLocation, browser: Browser) -> list[Event]:
    """Return the events of a case that is to be kept, with what was said in words of one's own at its places."""
    from ...engine.case.case_file import event_problems

    return [e for e in browser.words.within(place.events) if not event_problems(context.kb, e)]


def begun(store: Any, form: Form, reference: str = "") -> tuple[str, bool]:
    """Return the case that a form begins, and whether it was there already: the same form sent twice begins one."""
    once = one(form, "once")[:64]
    source = f"form {hashlib.sha256(once.encode('utf-8', 'replace')).hexdigest()[:24]}" if once else ""
    found: str | None = store.carried(source) if source else None
    return (found, True) if found else (store.begin(reference, journal=source), False)


async def form_of(request: Request) -> Form:
    """Return the fields of a form.

    Raises
    ------
    InvalidInputError
        If the body is no form.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    raw = await request.body()
    if raw and kind != "application/x-www-form-urlencoded":
        raise InvalidInputError(
            [Problem(code="P030", message="that was not sent by a form of this page", mend="go back and try again")]
        )
    try:
        pairs = parse_qsl(raw.decode("ascii"), keep_blank_values=True, max_num_fields=FIELDS, errors="replace")
    except ValueError:
        raise InvalidInputError(
            [Problem(code="P031", message="the form can't be read", mend="go back and try again")]
        ) from None
    return fields(pairs)


def moved(url: str) -> Response:
    """Send the browser on to an address, which can be opened anew, gone back to and come back to."""
    return RedirectResponse(url, 303, {"cache-control": "no-store"})


def onward(context: Context, browser: Browser, place: CaseLocation, cleared: Sequence[Cleared]) -> Response:
    """Send the browser on to a place of a case, with the gates that are clear there and the words that wait there.

    A browser without cookies sends its form along, for the note of its gates and those words are in there.
    """
    url = place.url()
    if carried(browser, place, cleared) and not browser.looked.there:
        return RedirectResponse(url, 307, {"cache-control": "no-store"})
    made = moved(url)
    if browser.words.fresh:
        own_words.write(context.signer, made, browser.words, browser.secure)
    if cleared:
        looked = browser.looked.led_to(place.events, place.name, cleared, context.signer.clock())
        write(context.signer, made, looked, browser.secure)
    return made


def carried(browser: Browser, place: CaseLocation, cleared: Sequence[Cleared]) -> bool:
    """Return whether a browser must bring something along to a place, that its address does not say."""
    return bool(cleared) or (place.kept is None and bool(browser.words.at(place.events)))


async def opened(context: Context, browser: Browser, place: CaseLocation) -> Page:
    """Return the page of an address that was opened: its gates are clear where this browser cleared them within the hour."""
    page = await _opened(context, browser, place)
    if place.kept is not None and page.advice.status in PROVED:
        # A server may have been lost between the proof and the end.
        last = await settle(context, place)
        if last:
            kept = (*place.kept, Event(closed=page.advice.status))
            page = await _opened(context, browser, structs.replace(place, kept=kept, last=last))
    return structs.replace(page, own=browser.words)


async def _opened(context: Context, browser: Browser, place: CaseLocation) -> Page:
    signer = context.signer
    if place.address.stop:
        return await stop_at(context.workers, signer, place, place.address.stop)
    clear = signer.counted(browser.looked.cleared(place.events, place.name))
    return await page_at(context.workers, signer, place, {"note": [signer.renewed(clear, place.events, place.name)]})


def remembering(context: Context, browser: Browser, page: Page, made: Response) -> Response:
    """Return a page; where a gate or new words of one's own stand on it, the browser is made to remember that it was looked at."""
    gate = page.card is not None and page.card.kind == "gate"
    if (gate or page.own.fresh) and not browser.looked.there:
        write(context.signer, made, Looked(), browser.secure)
    if page.own.fresh:
        own_words.write(context.signer, made, page.own, browser.secure)
    return made


async def keep(context: Context, place: CaseLocation, taken: TakenForm) -> None:
    """Keep what was said in the store: all of it or nothing, and only where nobody wrote since the form was made."""
    assert context.keeping is not None

    # That something is not safe counts whatever was said since the form was made.
    danger = all(leading(e) in ("stopped", "hazard", "note") for e in taken.events)

    if len(place.kept or ()) + len(taken.events) > MOST_EVENTS and not danger:
        mend = "begin another case for what is new, or tell it to whoever comes"
        message = f"this case has {MOST_EVENTS} answers, as many as one may have here"
        raise InvalidInputError([Problem(code="P043", message=message, mend=mend)])

    def write(store: Any) -> None:
        with store.together():
            if not danger:
                store.unmoved(place.case, place.last)
            if place.role_missing():
                store.add(place.case, place.events[-1])
            for event in taken.events:
                if taken.instead_of is not None:
                    store.put(place.case, place.kept_at(place.events[taken.instead_of]), event)
                else:
                    store.add(place.case, event)

    await context.keeping(write)


async def settle(context: Context, place: CaseLocation) -> int:
    """Keep that a case is at its end once its proof passed, so that a list says what its page says; return the number of that row, else 0."""
    assert context.keeping is not None
    how = await context.workers.closed(place.events)
    if how in PROVED and standing(place.kept or ()).closed != how:
        # What was said is kept already, and said to be so: this is tried again whenever the case is opened.
        with suppress(InvalidInputError):
            return await context.keeping(lambda store: _close(context.kb, store, place, how))
    return 0


def _close(kb: model.KB, store: Any, place: CaseLocation, how: str) -> int:
    """Close a case that was proved; in the same write the installation that it comes after is told, as in the terminal."""
    with store.together():
        store.add(place.case, Event(closed=how), after=place.last)
        last: int = store.last(place.case)
        earlier = store.line(place.case).earlier
        if earlier and how == "solved":
            from ..walk.installed import tell

            tell(kb, store, earlier, place.case, list(place.kept or ()))
    return last


async def kept_place(context: Context, base: str, role: model.Role, case: str, query: str) -> CaseLocation:
    """Return the place of a kept case, with the question and the offers of its address."""
    from ...engine.case.case_file import event_problems
    from ..store.store import Store

    assert context.keeping is not None

    def load(store: Store) -> tuple[list[Any], int, tuple[int, str], list[Any]]:
        return store.events(case), store.last(case), store.stop(case), store.photos(case)

    events, last, (stop, halted), photos = await context.keeping(load)
    address = structs.replace(addresses.read(context.kb, query), events=())
    good = tuple(
        e for e in events if not event_problems(context.kb, e)
    )  # an older kb's ids are passed over, as the walk does
    return CaseLocation(
        base=base,
        role=role,
        address=address,
        kept=good,
        last=last,
        case=case,
        stop=stop,
        halted=halted,
        photos=tuple((p.number, p.kept) for p in photos),
    )


async def answered(
    context: Context,
    browser: Browser,
    place: CaseLocation,
    form: Form,
    show: Callable[..., Response],
    again: Callable[[], Any],
) -> Response:
    """Return the answer to a form: the way to the next page, or the same one with a question back.

    Parameters
    ----------
    context : Context
    browser : Browser
    place : CaseLocation
    form : Form
    show : callable
        Draws a page: (page, status).
    again : callable
        Gives the place anew, after something was kept.
    """
    workers, signer = context.workers, context.signer
    if place.before_stop(one(form, "step")) and place.halted in context.kb.hazards:
        return _stopped(place, place.halted)
    browser = browser._replace(words=own_words.with_form(signer, browser.words, one(form, own_words.FIELD)))
    led = await led_here(workers, signer, place, form)
    if led is not None:
        if led[0].own is not None:
            browser = browser._replace(words=browser.words.plus(led[0].own, place.events))
        return show(structs.replace(await page_at(workers, signer, place, form), own=browser.words), 200)
    page = structs.replace(await page_at(workers, signer, place, form), own=browser.words)
    taken = await take(workers, signer, page, form)
    if taken.turned is not None:
        return show(structs.replace(page, turned=taken.turned), 200)
    if taken.own is not None or taken.instead_of is not None:
        said = _said(browser.words, place, taken).fits(signer, place.events)
        if said is None:
            taken = structs.replace(taken, problem=TOO_MUCH, typed=typed_line(one(form, "own") or one(form, "turned")))
        else:
            browser = browser._replace(words=said)
    if taken.problem is not None:
        return show(structs.replace(page, problem=taken.problem, typed=taken.typed, late=taken.late), taken.status)
    if place.kept is not None and taken.events:
        try:
            await keep(context, place, taken)
        except InvalidInputError as refused:
            if taken.stopped:  # what to do now is said, whether or not it can be kept
                return await _stop(context, place, form, taken)
            if refused.problems[0].code in PASSING:
                problem = for_page(refused.problems[0])
                return show(structs.replace(page, problem=problem, typed=_typed(page, form)), 503)
            now = await again()
            if now.before_stop(one(form, "step")) and now.halted in context.kb.hazards:
                return _stopped(now, now.halted)
            if refused.problems[0].code != "J016":
                raise
            # Somebody wrote between this form's page and now: what was said comes back beside what stands.
            page = await opened(context, browser, now)
            missed = late(context.kb, now, form)
            if missed.problem is None:
                return onward(context, browser, now, page.cleared)
            return show(structs.replace(page, problem=missed.problem, typed=missed.typed, late=missed.late), 409)
    now = place
    if place.kept is not None:
        try:
            now = await again()
        except InvalidInputError as refused:
            if refused.problems[0].code not in PASSING:
                raise  # what was sent is kept: whatever can't be read now is read by the page that it leads to
    if place.kept is not None and taken.events and not taken.stopped and now is not place:
        await settle(context, now)
    if taken.stopped or (taken.address is not None and taken.address.stop):
        return await _stop(context, now, form, taken)
    cleared = signer.cleared(taken.note, place.events, place.name) if taken.note else page.cleared
    if place.kept is None:
        wanted = place.address if taken.note else went_on(place, taken)
    else:
        wanted = taken.address or (now.address.confirmed() if taken.events and not taken.note else now.address)
    stop = wanted.stop if taken.address is not None else ""
    after = structs.replace(now, address=structs.replace(wanted, stop=stop))
    if carried(browser, after, cleared) and not browser.looked.there and after.url() == now.url():
        note = taken.note or page.note
        here = await page_at(workers, signer, now, form | {"note": [note]})
        return show(structs.replace(here, own=browser.words), 200)
    return onward(context, browser, after, cleared)


def _typed(page: Page, form: Form) -> str:
    """Return what a form says, as its reader said it."""
    said = typed_line(next((one(form, name) for name in ("said", "words", "own", "turned") if one(form, name)), ""))
    return next((c.says for c in (page.card.choices if page.card else ()) if c.id == said), said)


async def unread(
    context: Context, place: CaseLocation, request: Request, refused: InvalidInputError, show: Callable[..., Any]
) -> Response:
    """Return what is said where a kept case can't be read just now: at a stop, or in answer to a form that says that it is not safe, what to do now.

    Parameters
    ----------
    context : Context
    place : CaseLocation
        The case by its name, without what is kept of it.
    request : Request
    refused : InvalidInputError
        Why it can't be read.
    show : callable
        Draws a page.

    Raises
    ------
    InvalidInputError
        As `refused`, where nothing is said to be unsafe.
    """
    if refused.problems[0].code not in PASSING:
        raise refused
    if request.method == "POST":
        taken = await unsafe(context.workers, place, await form_of(request))
        if taken.stopped or (taken.address is not None and taken.address.stop):
            return await _stop(context, place, {}, taken)
    elif place.address.stop:
        made: Response = await show(await stop_at(context.workers, context.signer, place, place.address.stop))
        return made
    raise refused


TOO_MUCH = Problem(
    code="P046",
    message="more words of your own than can wait in a page",
    mend="say it shorter, or keep the case first: a kept case has room for all of it",
)


def _said(words: OwnWords, place: CaseLocation, taken: TakenForm) -> OwnWords:
    """Return what is said in words of one's own once a form was taken: at the place to which it leads."""
    if place.kept is not None:
        return words
    after = [place.events[0], *went_on(place, taken).events]
    if taken.own is not None:
        return words.plus(taken.own, after)
    return words.moved(place.events, after)


async def _stop(context: Context, place: CaseLocation, form: Form, taken: TakenForm) -> Response:
    """Send the browser to the stop that this form said; its own notes end with it, on every server."""
    await context.ends.walks(context.signer.stop(one(form, "note"), one(form, "asked"), place.events, place.name))
    if taken.address is not None:  # said in words: what else was heard in them waits behind the stop
        return moved(place.url(taken.address))
    return _stopped(place, taken.events[0].stopped or "")


def _stopped(place: CaseLocation, hazard: str) -> Response:
    return moved(place.url(structs.replace(place.address.confirmed(), stop=hazard)))


def common(context: Context, page: Page) -> dict[str, Any]:
    """Return what the templates of every page of a case need."""
    place, card = page.place, page.card
    events = page.events
    gate = card is not None and card.kind == "gate"
    state = fold(context.kb, events)
    return {
        "place": place,
        "note": page.note,
        "page": page,
        "advice": page.advice,
        "card": card,
        "problem": page.problem,
        "typed": page.typed,
        "late": page.late,
        "asked": context.signer.asked(card.id, place.events, place.name, page.cleared) if gate and card else "",
        "said": presenters.said(context.kb, place, page.own),
        "once": secrets.token_urlsafe(9),
        "so_far": page.own.sealed(context.signer, place.events) if place.kept is None else "",
        "own_said": presenters.own_said(context.kb, place, page.own),
        "own_most": own_words.MOST_LETTERS,
        "reading": presenters.last_reading(page.advice, events),
        "notices": presenters.fresh_notices(context.kb, page.advice, events),
        "drawn": presenters.drawer(context.kb, page.advice, events),
        "kb": context.kb,
        "families": families(context.kb, place) if place.address.ask == addresses.FAMILY or page.problem else [],
        "state": state,
        "seen": presenters.seen(state, events),
        "body_most": BODY,
    }
