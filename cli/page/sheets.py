"""The way out of a case: what to tell the repairer, to be called, sent, shown as a code or printed; and the report for either reader."""

import base64
import hashlib
import re
from datetime import date
from urllib.parse import quote

from markupsafe import Markup
from msgspec import structs
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ...engine.case.events import Event
from ...engine.reports.report import READERS
from .answers import address, own_words
from .answers.place import CaseLocation
from .answers.signing import with_cleared
from .context import CACHE, Context

# A denser code is hard to scan from a screen; a longer address is sent as a link, or the case is kept first [letters].
CODE_MOST = 900
SMALL = 2  # of a code's module [px]


def seen_by(context: Context, request: Request, place: CaseLocation) -> list[Event]:
    """Return the events of a case with the gates that this browser has cleared, the words that wait in it, and a stop that its address says."""
    clear = context.signer.counted(context.browser(request).looked.cleared(place.events, place.name))
    stopped = [Event(stopped=place.address.stop)] if place.address.stop else []
    seen = with_cleared(place.events, clear)
    words = own_words.read(context.signer, request) if place.kept is None else own_words.OwnWords()
    return [*words.within(place.events, seen), *stopped]


def link_of(request: Request, place: CaseLocation) -> str:
    """Return the whole address on which whoever gets it goes on with a case, in the homeowner's voice; empty where there is none."""
    bare = structs.replace(place.address.confirmed(), stop="")
    if place.kept is not None and place.role != "homeowner":
        return ""
    path = place.base if place.kept is not None else "/case"
    said = address.query(bare) if place.kept is None else ""
    return str(request.url.replace(path=path, query=said, fragment=""))


def code_of(link: str) -> Markup:
    """Return a link as a QR code (ISO/IEC 18004), drawn as inline SVG; empty where it would be too dense.

    Examples
    --------
    >>> code_of("https://example.com/case")[:4], code_of("x" * 2000)
    (Markup('<svg'), Markup(''))
    """
    if not link or len(link) > CODE_MOST:
        return Markup("")
    import segno

    drawn = segno.make(link, error="l", micro=False)
    svg = drawn.svg_inline(
        scale=SMALL, border=4, svgclass="code", lineclass=None, light="#fff", dark="#000", omitsize=True
    )
    # Its text is made of digits and names of shapes alone.
    return Markup(svg.replace("<svg ", '<svg role="img" aria-label="The link of this case, as a code to scan" ', 1))


async def told(context: Context, request: Request, place: CaseLocation) -> Response:
    """What to tell the repairer: ten lines, whom to call, and the ways to send them; one page on paper."""
    short = await context.workers.short_handover(seen_by(context, request, place))
    link, contact = link_of(request, place), context.contact
    subject = short.title if not place.case else f"{short.title}: case {place.case}"
    body = f"{short.text}\n{link}\n" if link else f"{short.text}\n"
    return context.html(
        "tell.html",
        told=short,
        place=place,
        link=link,
        code=code_of(link),
        contact=contact,
        mail=contact.mail(subject, body),
        sms=f"sms:?&body={quote(short.text[:600])}",
        report=f"{place.base}/report",
        query=place.url(place.address.confirmed()).partition("?")[2],
    )


async def report(context: Context, request: Request, place: CaseLocation) -> Response:
    """The report of a case for a homeowner or a technician, as one page that needs nothing else."""
    wanted = request.query_params.get("for")
    reader = next((r for r in READERS if r == wanted), READERS[0])
    made = await context.workers.report(seen_by(context, request, place), reader, date.today().isoformat())
    from ..render.report_html import page

    text = page(made)
    styles = " ".join(
        f"'sha256-{base64.b64encode(hashlib.sha256(s.encode()).digest()).decode()}'"
        for s in re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    )
    # Its own sheet stands inside it; nothing else may, and nothing is fetched.
    policy = f"default-src 'none'; style-src {styles}; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
    return HTMLResponse(text, 200, {"cache-control": CACHE, "content-security-policy": policy})
