"""For other programs: the command line's envelopes over HTTP, and their description, generated from the records."""

from typing import Any, Literal

import msgspec
from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response

from ... import __version__
from ...engine.advice import Advice
from ...engine.case.case_file import parse_case
from ...engine.case.events import Event
from ...engine.case.told import listened
from ...engine.errors import InvalidInputError, Problem
from ...engine.knowledge.strict_yaml import Longest
from ...engine.language.sanitize import escaped
from ...engine.model import Hands, Role
from ..result import Exit, Result, advised, envelope, heard
from .context import Context
from .middleware import BODY

KINDS = ("application/json", "application/yaml", "application/x-yaml", "text/yaml")
WORDS_MOST = 2000  # letters, as many as the command line reads
EVENTS_MOST = 400
ANSWER, TIMES = 256 * 1024, 16  # the most that is answered [bytes], unless this many times what was sent is more
# Counted while a body is read, before anything is made of it.
LONGEST = Longest(
    EVENTS_MOST,
    Problem(
        code="P050",
        message="the case is too long",
        expected=f"at most {EVENTS_MOST} events",
        mend="leave out what was changed later",
    ),
)


class EventList(Struct, forbid_unknown_fields=True):
    """A case as the list of what happened."""

    events: list[Event]


class ShortCase(Struct, forbid_unknown_fields=True, omit_defaults=True):
    """The short form of a case without remedies."""

    role: Role | None = None
    hands: Hands | None = None
    say: str | None = None
    complaints: list[str] | None = None
    facts: dict[str, str] | None = None
    answers: dict[str, str] | None = None
    cleared: list[str] | None = None
    machine: str | None = None


class Words(Struct, forbid_unknown_fields=True):
    """What a person says."""

    words: str


class HeardOne(Struct):
    """A complaint that was heard; likely ones are shown as heard, the others offered."""

    complaint: str
    score: float
    phrase: str
    likely: bool
    chance: str


class HeardFact(Struct):
    """A circumstance that was heard."""

    fact: str
    is_: str = msgspec.field(name="is")
    phrase: str = ""


class HeardHazard(Struct):
    """A danger that was heard."""

    hazard: str
    phrase: str


class HeardReading(Struct):
    """A number with its unit, and the check that it is a reading of."""

    check: str
    value: str


class HeardAll(Struct):
    """All that was heard, or the reason why nothing fits."""

    complaints: list[HeardOne]
    facts: list[HeardFact]
    hazards: list[HeardHazard]
    readings: list[HeardReading]
    reason: str | None
    order: list[str]


class Nothing(Struct):
    """No data: the errors say why."""


class Envelope(Struct):
    """What every answer has in common with the command line's."""

    dryfloor: str
    command: str
    status: str
    exit: int


class AdviceEnvelope(Envelope):
    """Advice on a case."""

    data: Advice
    errors: list[Problem]


class HeardEnvelope(Envelope):
    """What was heard in some words."""

    data: HeardAll
    errors: list[Problem]


class ErrorEnvelope(Envelope):
    """Why a request can't be followed."""

    data: Nothing
    errors: list[Problem]


class Health(Struct):
    """Alive, and with which kb."""

    status: Literal["ok"]
    dryfloor: str


class Api:
    """The routes for other programs."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.described = msgspec.json.encode(description())

    async def advise(self, request: Request) -> Response:
        """The advice on a case file, in either form."""
        raw = await body(request)
        if request.headers.get("content-type", KINDS[0]).partition(";")[0].strip().lower() == KINDS[0]:
            raw = plain_json(raw)
        events = await self.context.workers.run(lambda: parse_case(self.context.kb, raw, "<body>", LONGEST))
        if len(events) > EVENTS_MOST:
            raise InvalidInputError([LONGEST.refusal])
        advice = await self.context.workers.advice(events, "both")
        return answer(200, advised(advice), len(raw))

    async def hear(self, request: Request) -> Response:
        """What is heard in some words."""
        raw = await body(request)
        try:
            said = msgspec.json.decode(raw, type=Words).words
        except (msgspec.MsgspecError, UnicodeDecodeError) as error:
            problem = Problem(
                code="P051",
                message=f"the words can't be read: {error}",
                expected='{"words": "what a person says"}',
                mend="send that",
            )
            raise InvalidInputError([problem]) from None
        if len(said) > WORDS_MOST:
            problem = Problem(
                code="P052",
                message="too many words",
                expected=f"at most {WORDS_MOST} letters",
                mend="send what matters",
            )
            raise InvalidInputError([problem])
        found, values = await self.context.workers.run(lambda: listened(self.context.kb, said))
        return answer(200, heard(found, readings=values), len(raw))

    async def openapi(self, _: Request) -> Response:
        """The description."""
        return Response(self.described, 200, {"content-type": "application/json"})

    async def health(self, _: Request) -> Response:
        """Whether this server can serve."""
        return Response(
            msgspec.json.encode(Health("ok", __version__)),
            200,
            {"content-type": "application/json", "cache-control": "no-store"},
        )


def plain_json(raw: bytes) -> bytes:
    """Return JSON as the reader of case files takes it: in one line, what YAML refuses escaped.

    Examples
    --------
    >>> plain_json(b'{\\t"role": "desk"}')
    b'{"role":"desk"}'
    """
    try:
        text = msgspec.json.format(raw, indent=-1).decode()
        msgspec.json.decode(raw)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        problem = Problem(
            code="P054",
            message=f"the body is no JSON: {error}",
            expected="a case file as JSON",
            mend="send the case as in README.md",
        )
        raise InvalidInputError([problem]) from None
    return escaped(text).encode()


async def body(request: Request) -> bytes:
    """Return the body of a request of a kind that can be read.

    Raises
    ------
    WrongKind
        If it says that it is something else.
    """
    kind = request.headers.get("content-type", "application/json").partition(";")[0].strip().lower()
    wanted = KINDS if request.url.path == "/advise" else KINDS[:1]
    if kind not in wanted:
        raise WrongKind(", ".join(wanted))
    return await request.body()


class WrongKind(Exception):
    """A body of a kind that can't be read; its text names those that can."""


def answer(status: int, result: Result, asked: int = 0) -> Response:
    """Return the command line's envelope.

    Parameters
    ----------
    status : int
    result : Result
    asked : int
        What was sent [bytes]; an answer is never larger than ANSWER, or TIMES as large as that.

    Raises
    ------
    InvalidInputError
        If it would be.
    """
    text = (envelope(result) + "\n").encode()
    if len(text) > max(ANSWER, TIMES * asked):
        problem = Problem(
            code="P055",
            message="the answer would be too large",
            expected=f"at most {ANSWER // 1024} kB, or {TIMES} times what was sent",
            mend="leave out what was changed later",
        )
        raise InvalidInputError([problem])
    return Response(text, status, {"content-type": "application/json", "cache-control": "no-store"})


def refusal(status: int, path: str, code: str, problems: list[Problem], more: int = 0) -> Response:
    """Return the envelope of a request that can't be followed; `more` counts problems that were not kept."""
    return answer(
        status, Result(command=path.strip("/")[:40], status=code, exit=Exit.USAGE, errors=problems, more=more)
    )


def description() -> dict[str, Any]:
    """Return the OpenAPI description; everything in it that says what is sent comes from the records."""
    records = (EventList, ShortCase, Words, AdviceEnvelope, HeardEnvelope, ErrorEnvelope, Health)
    names, schemas = msgspec.json.schema_components(records, ref_template="#/components/schemas/{name}")
    of = dict(zip((r.__name__ for r in records), names, strict=True))

    def sent(schema: Any) -> dict[str, Any]:
        return {"application/json": {"schema": schema}}

    def errors(*codes: int) -> dict[str, Any]:
        says = {
            400: "The request can't be read.",
            405: "Another method is wanted.",
            408: "The body did not arrive in time.",
            413: f"The body is larger than {BODY} bytes.",
            415: "The body is of a kind that can't be read.",
            422: "What was sent can't be used: each error says what was found, what was expected, and how to mend it.",
            503: "Too much is waiting; try again after the seconds that Retry-After names.",
        }
        return {str(c): {"description": says[c], "content": sent(of["ErrorEnvelope"])} for c in codes}

    def post(summary: str, request: Any, reply: Any) -> dict[str, Any]:
        return {
            "post": {
                "summary": summary,
                "operationId": summary.split()[0].lower(),
                "requestBody": {"required": True, "content": sent(request)},
                "responses": {"200": {"description": "The envelope.", "content": sent(reply)}}
                | errors(400, 408, 413, 415, 422, 503),
            }
        }

    return {
        "openapi": "3.1.0",
        "info": {
            "title": "dryfloor",
            "version": __version__,
            "license": {"name": "MIT", "identifier": "MIT"},
            "description": "From a washing machine's symptom to the installation rule that was broken. The same case gives the same bytes as the command line. "
            "Advice replaces neither local code, nor the machine's manual, nor a licensed trade.",
        },
        "paths": {
            "/advise": post(
                "Advise on a case, in either form", {"anyOf": [of["EventList"], of["ShortCase"]]}, of["AdviceEnvelope"]
            ),
            "/hear": post("Hear complaints, facts and hazards in free words", of["Words"], of["HeardEnvelope"]),
            "/health": {
                "get": {
                    "summary": "Whether this server can serve",
                    "operationId": "health",
                    "responses": {"200": {"description": "It can.", "content": sent(of["Health"])}},
                }
            },
        },
        "components": {"schemas": schemas},
    }
