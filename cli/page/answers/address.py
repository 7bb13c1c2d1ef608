"""A case <-> the address that carries it: ids of complaints, facts, checks and answers, and readings; never words, never a gate.

An address is the case file's list of events as a query: `complaint=walks&fact=floor:wood-joists&check=foot-gap:2+mm&cant=drain`.
What was said in free words travels as the ids that were heard in it, and is confirmed on the next page: `heard` and `maybe` for
complaints, `also` for facts, `hazard` for a danger. `ask` names a question that is answered out of turn or anew, `stop` a danger at
which somebody said that it is not safe: such an address shows what to do now, to whoever opens it.
"""

from collections.abc import Collection
from urllib.parse import parse_qsl, quote_plus

from msgspec import Struct, structs

from ....engine import model
from ....engine.case.case_file import event_problems, proof_problems
from ....engine.case.events import Event
from ....engine.case.rows import leading
from ....engine.case.validation import answer_problems, fact_problems
from ....engine.errors import InvalidInputError, Problem, nearest
from ....engine.language.sanitize import typed_line
from . import worded

MOST_LETTERS = 6000  # of a query; browsers and proxies carry 8000 without trouble
MOST_PAIRS = 200
SAFE = ":,/'"
PAIRED: dict[str, tuple[str, str]] = {
    "fact": ("fact", "is_"),
    "check": ("check", ""),
    "remedy": ("remedy", "did"),
    "proof": ("proof", ""),
}
SINGLE = ("hazard", "cant", "skip", "machine")
FAMILY = "family"  # asked for in place of a question: which family of complaints it is
OFFERS = ("heard", "maybe", "also", "ask", "stop")
KEYS = ("complaint", "still", "trial", *SINGLE, *PAIRED, *OFFERS)


class Address(Struct, frozen=True, kw_only=True):
    """What an address says.

    Parameters
    ----------
    events : tuple of Event
        The case without its role, which is the face's, and without gates, which are asked again.
    heard, maybe : tuple of str
        Complaints heard in words and not yet confirmed: likely ones, and others that may be meant.
    also : tuple of (str, str)
        Facts and answers heard in words, not yet confirmed.
    ask : str
        A check or a fact that is answered out of turn, or anew; empty: whatever comes next.
    stop : str
        A hazard at which it was said that it is not safe; empty: none.
    """

    events: tuple[Event, ...] = ()
    heard: tuple[str, ...] = ()
    maybe: tuple[str, ...] = ()
    also: tuple[tuple[str, str], ...] = ()
    ask: str = ""
    stop: str = ""

    @property
    def offers(self) -> bool:
        """Whether something heard waits to be confirmed."""
        return bool(self.heard or self.maybe or self.also)

    def plus(self, *events: Event) -> "Address":
        """Return the address with more said, back at whatever comes next."""
        return structs.replace(self, events=(*self.events, *events), ask="", stop="")

    def asking(self, name: str) -> "Address":
        """Return the address of another question of the same case."""
        return structs.replace(self, ask=name, heard=(), maybe=(), also=(), stop="")

    def confirmed(self) -> "Address":
        """Return the address without what waits to be confirmed."""
        return structs.replace(self, heard=(), maybe=(), also=(), ask="", stop="")


def carried(event: Event) -> bool:
    """Return whether an address carries an event: gates, words, notes, roles and endings it never does.

    Examples
    --------
    >>> carried(Event(cleared="gas-smell")), carried(Event(fact="drain", is_="tub"))
    (False, True)
    """
    return leading(event) in ("complaints", "still", "trial", *SINGLE, *PAIRED)


def query(address: Address) -> str:
    """Return an address as a query.

    Examples
    --------
    >>> query(Address(events=(Event(complaints=["walks"]), Event(check="foot-gap", value="2 mm"))))
    'complaint=walks&check=foot-gap:2+mm'
    """
    out = [pair for event in address.events if carried(event) for pair in _pairs(event)]
    out += [("heard", c) for c in address.heard] + [("maybe", c) for c in address.maybe]
    out += [("also", f"{f}:{o}") for f, o in address.also]
    if address.ask:
        out.append(("ask", address.ask))
    if address.stop:
        out.append(("stop", address.stop))
    return "&".join(f"{key}={quote_plus(value, SAFE)}" for key, value in out)


def _pairs(event: Event) -> list[tuple[str, str]]:
    lead = leading(event)
    if lead == "complaints":
        return [("complaint", c) for c in event.complaints or []]
    if lead == "still":
        return [("still", ",".join(event.still or []))]
    if lead == "trial":
        return [("trial", ":".join([event.trial or "", *([",".join(event.complaints)] if event.complaints else [])]))]
    if lead in SINGLE:
        return [(lead, getattr(event, lead))]
    name, field = PAIRED[lead]
    said = getattr(event, field) if field else event.answer or event.value
    return [(lead, f"{getattr(event, name)}:{said or 'done'}")]


def read(kb: model.KB, text: str) -> Address:
    """Return what an address says.

    Parameters
    ----------
    kb : KB
    text : str
        The query of an address, from anywhere: it is checked as a case file is.

    Raises
    ------
    InvalidInputError
        With every problem of the address.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> read(load_kb(), "complaint=walks&check=foot-gap:2+mm").events[1].value
    '2 mm'
    """
    if len(text) > MOST_LETTERS:
        raise InvalidInputError(
            [Problem(code="P001", message="the address is too long", mend="begin the case anew, or keep it")]
        )
    try:
        pairs = parse_qsl(text, keep_blank_values=True, errors="strict", max_num_fields=MOST_PAIRS)
    except ValueError:
        raise InvalidInputError(
            [Problem(code="P002", message="the address can't be read", mend="copy it whole, or begin the case anew")]
        ) from None
    problems: list[Problem] = []
    events: list[Event] = []
    offers: dict[str, list[str]] = {name: [] for name in OFFERS}
    for key, value in pairs:
        said = typed_line(value)[:200]
        if key not in KEYS:
            problems.append(worded.unknown(kb, "P003", ""))
        elif key in OFFERS:
            problems += _offer_problems(kb, key, said)
            offers[key].append(said)
        else:
            event = _event(kb, key, said)
            problems += [worded.of_address(kb, event, p) for p in event_problems(kb, event)]
            events.append(event)
    if not problems:
        problems = [worded.of_address(kb, events[n], problem) for n, problem in proof_problems(kb, events)]
    if problems:
        raise InvalidInputError(problems)
    also = {f: o for f, _, o in (a.partition(":") for a in offers["also"])}
    return Address(
        events=tuple(events),
        heard=tuple(dict.fromkeys(offers["heard"])),
        maybe=tuple(dict.fromkeys(offers["maybe"])),
        also=tuple(also.items()),
        ask=offers["ask"][-1] if offers["ask"] else "",
        stop=offers["stop"][-1] if offers["stop"] else "",
    )


def _offer_problems(kb: model.KB, key: str, said: str) -> list[Problem]:
    if key in ("heard", "maybe"):
        return _known(kb, said, kb.complaints)
    if key == "stop":
        return _known(kb, said, [h.id for h in kb.hazards.values() if h.gate])
    if key == "also":
        name, _, option = said.partition(":")
        if name in kb.checks:
            measured = kb.checks[name].kind == "measure"
            event = Event(check=name)
            found = answer_problems(kb, name, None if measured else option, option if measured else None)
        else:
            event, found = Event(fact=name), fact_problems(kb, name, option)
        return [worded.of_address(kb, event, p) for p in found]
    return [] if said == FAMILY else _known(kb, said, [*kb.facts, *kb.checks])


def _known(kb: model.KB, said: str, known: Collection[str]) -> list[Problem]:
    return [] if said in known else [worded.unknown(kb, "P003", nearest(said, known))]


def _event(kb: model.KB, key: str, said: str) -> Event:
    if key == "complaint":
        return Event(complaints=[said])
    if key == "still":
        return Event(still=[s for s in said.split(",") if s])
    if key in SINGLE:
        return Event(**{key: said})  # type: ignore[arg-type]
    name, _, value = said.partition(":")
    if key == "trial":
        return Event(trial=name, complaints=[s for s in value.split(",") if s] or None)
    lead, field = PAIRED[key]
    if not field:
        measured = name in kb.checks and kb.checks[name].kind == "measure"
        field = "value" if measured else "answer"
    return Event(**{lead: name, field: value})  # type: ignore[arg-type]
