"""Case files: YAML or the short mapping -> checked events, every mistake placed and explained."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
from msgspec import structs

from .. import model
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..knowledge.decode import BAD, convert
from ..knowledge.strict_yaml import Longest, Node, Sheet, from_bytes, read
from ..language.sanitize import escaped
from .clearance import without_clearances
from .events import CLOSED, COMPANIONS, DID, FOUND_BY, LEFT, TRIAL, Event
from .rows import LEADING
from .short_form import short_events
from .state import MOST_EVENTS, State, step, too_long
from .validation import answer_problems, fact_problems, unknown

# A longer case is refused while it is read.
LONGEST = Longest(MOST_EVENTS, too_long(MOST_EVENTS))


def load_case(kb: model.KB, path: Path | str) -> list[Event]:
    """Return the events of a case file.

    Parameters
    ----------
    kb : KB
    path : Path or str

    Raises
    ------
    InvalidInputError
        With every problem of the file.
    """
    return case_of(kb, read(path, longest=LONGEST))


def parse_case(kb: model.KB, raw: bytes, name: str = "<stdin>", longest: Longest = LONGEST) -> list[Event]:
    """Return the events of a case read from a pipe.

    Parameters
    ----------
    kb : KB
    raw : bytes
    name : str
        What to call it in messages.
    longest : Longest
        The most events that are read, and what is said of more; counted before anything is made of them.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> parse_case(load_kb(), b"role: desk\\ncomplaints: [walks]\\n")[1].complaints
    ['walks']
    """
    return case_of(kb, from_bytes(raw, name, longest))


def case_of(kb: model.KB, sheet: Sheet) -> list[Event]:
    """Return the events of a parsed case file, in either form."""
    if sheet.problems or sheet.root is None:
        raise InvalidInputError(sheet.problems)
    root = sheet.root
    if not isinstance(root.value, dict):
        sheet.problem(
            "C001",
            "a case file is a mapping",
            root,
            expected="events:, or role, say, complaints, facts, answers",
            mend="see 'The case file' in README.md",
        )
        raise InvalidInputError(sheet.problems)
    if "events" in root.value:
        for key in root.value:
            if key != "events":
                sheet.problem(
                    "C002",
                    f"'{key}' stands beside events",
                    root.keys[key],
                    expected="events alone",
                    mend="put it into the list as an event",
                )
        pairs = _listed(sheet, root.value["events"])
    else:
        pairs = short_events(sheet, root, kb)
    for event, node in pairs:
        _check(sheet, kb, event, node)
    _proofs(sheet, kb, pairs)
    if not sheet.problems:
        _closings(sheet, kb, pairs)
    if sheet.problems:
        raise InvalidInputError(sheet.problems, more=sheet.more)
    return [event for event, _ in pairs]


def _listed(sheet: Sheet, node: Node) -> list[tuple[Event, Node]]:
    if not isinstance(node.value, list):
        sheet.problem(
            "C003", "'events' is not a list", node, expected="a list of events", mend="put '- ' before each event"
        )
        return []
    out = []
    for child in node.value:
        event = convert(sheet, child, Event, "event")
        if event is not BAD:
            out.append((event, child))
    return out


def _check(sheet: Sheet, kb: model.KB, event: Event, node: Node) -> None:
    for problem in event_problems(kb, event):
        sheet.problem(
            problem.code, problem.message, node, expected=problem.expected, nearest=problem.nearest, mend=problem.mend
        )


def _proofs(sheet: Sheet, kb: model.KB, pairs: list[tuple[Event, Node]]) -> None:
    """Check that every proof stands after the remedy that it proves."""
    for i, found in proof_problems(kb, [event for event, _ in pairs]):
        sheet.problem(found.code, found.message, pairs[i][1], expected=found.expected, mend=found.mend)


def proof_problems(kb: model.KB, events: list[Event]) -> list[tuple[int, Problem]]:
    """Return where a proof does not stand after the remedy that it proves: the event's place in the list, and what is wrong.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> proof_problems(load_kb(), [Event(proof="spin-stays-put", answer="walked")])[0][1].code
    'C025'
    """
    out = []
    done = None
    for i, event in enumerate(events):
        if event.remedy in kb.causes and (event.did or "done") == "done":
            done = event.remedy
        if event.proof in kb.checks and done is None:
            out.append(
                (
                    i,
                    Problem(
                        code="C025",
                        message=f"the proof '{event.proof}' stands before any remedy that was done",
                        expected="remedy: before it",
                        mend="put the remedy first, or write check: instead of proof:",
                    ),
                )
            )
        elif event.proof in kb.checks and done and kb.causes[done].proof.check != event.proof:
            out.append(
                (
                    i,
                    Problem(
                        code="C026",
                        message=f"'{event.proof}' does not prove '{done}'",
                        expected=f"proof: {kb.causes[done].proof.check}",
                        mend="write that proof, or check: if it was seen beside it",
                    ),
                )
            )
    return out


def _closings(sheet: Sheet, kb: model.KB, pairs: list[tuple[Event, Node]]) -> None:
    """Check that a case is said to be solved only where its proof, or a trial that stayed quiet, solved it."""
    if all(event.closed != "solved" for event, _ in pairs):
        return
    state = State()
    for event, node in pairs:
        before, state = state.closed, structs.replace(step(kb, state, event), notices=())
        if event.closed == "solved" and before != "solved":
            sheet.problem(
                "C018",
                "the case is closed as solved, and no proof before it passed",
                node,
                expected="proof: with what must be seen, after the remedy",
                mend="put the proof before it, or close it as reported-solved, handed-on, given-up or not-a-fault with why:",
            )


def event_problems(kb: model.KB, event: Event) -> list[Problem]:
    """Return what is wrong with one event: its shape, unknown ids (nearest named), readings that can't be used.

    Parameters
    ----------
    kb : KB
    event : Event
    """
    leads = [n for n in LEADING if getattr(event, n) is not None]
    fields = [n for n in event.__struct_fields__ if getattr(event, n) is not None and n != "at"]
    if "complaints" in leads and ("heard" in leads or "trial" in leads):
        leads.remove("complaints")
    if not leads and fields == ["hands"]:
        return []
    if len(leads) != 1:
        return [
            Problem(
                code="C010",
                message=f"an event with {' and '.join(leads) or 'nothing that says what it is'}",
                expected="exactly one of " + ", ".join(LEADING),
                mend="split it into one event each",
            )
        ]
    lead = leads[0]
    stray = [n for n in fields if n != lead and n not in COMPANIONS.get(lead, ())]
    if stray:
        return [
            Problem(
                code="C011",
                message=f"'{stray[0].rstrip('_')}' does not belong to '{lead}'",
                expected=", ".join(n.rstrip("_") for n in COMPANIONS.get(lead, ())) or "nothing beside it",
                mend="drop it",
            )
        ]
    return [*_time(event), *_ids(kb, event, lead)]


def _time(event: Event) -> list[Problem]:
    """Return what is wrong with when an event is said to have been."""
    if event.at is None or is_time(event.at):
        return []
    return [
        Problem(
            code="C036",
            message=f"'{event.at}' is no time",
            expected="a time such as 2026-03-09T14:05:00Z",
            mend="write day, time and Z for UTC, or leave at: out",
        )
    ]


def is_time(text: str) -> bool:
    """Return whether a text is a time with its zone.

    Examples
    --------
    >>> is_time("2026-03-09T14:05:00Z"), is_time("2026-03-09T14:05"), is_time("at four")
    (True, False, False)
    """
    from datetime import datetime

    try:
        return len(text) <= 40 and datetime.fromisoformat(text).utcoffset() is not None
    except ValueError:
        return False


def _ids(kb: model.KB, event: Event, lead: str) -> list[Problem]:
    tables: dict[str, tuple[str, Any]] = {
        "fact": ("fact", kb.facts),
        "hazard": ("hazard", [h for h, r in kb.hazards.items() if r.gate]),
        "cleared": ("hazard", [h for h, r in kb.hazards.items() if r.gate]),
        "stopped": ("hazard", [h for h, r in kb.hazards.items() if r.gate]),
        "check": ("check", kb.checks),
        "proof": ("check", kb.checks),
        "earlier": ("check", kb.checks),
        "remedy": ("cause", kb.causes),
    }
    out = [
        unknown("complaint", c, kb.complaints)
        for c in [*(event.complaints or []), *(event.still or [])]
        if c not in kb.complaints
    ]
    if lead in tables and getattr(event, lead) not in tables[lead][1]:
        return [*out, unknown(tables[lead][0], getattr(event, lead), tables[lead][1])]
    if lead in ("cant", "skip"):
        name = getattr(event, lead)
        # All names are put together for the message alone: this is asked at every step, of kbs of any size.
        lead_in, _, cause = name.rpartition(":")
        known_cause = lead_in == "remedy" and cause in kb.causes
        if not (known_cause or name in kb.checks or name in kb.facts or name == "still-there"):
            known = [*kb.checks, *kb.facts, "still-there", *(f"remedy:{c}" for c in kb.causes)]
            out.append(unknown("check or fact", name, known))
    if lead == "fact" and event.fact in kb.facts:
        out += fact_problems(kb, event.fact or "", event.is_ or "")
    if lead == "cleared" and event.word is not None:
        gate = kb.hazards[event.cleared or ""].gate
        from .validation import is_word

        if gate and not is_word(gate, event.word) and event.word not in gate.formerly:
            out.append(
                Problem(
                    code="C014",
                    message=f"'{event.word}' does not clear '{event.cleared}'",
                    expected=f"the word '{gate.word}'",
                    mend="if it is not so, write stopped: instead of cleared:",
                )
            )
    if lead in ("check", "proof", "earlier"):
        out += answer_problems(kb, getattr(event, lead), event.answer, event.value)
    if lead == "remedy" and (event.did or "done") not in DID:
        out.append(
            Problem(
                code="C015",
                message=f"unknown '{event.did}' after did",
                expected=one_of(DID),
                nearest=nearest(event.did or "", DID),
                mend="write done or could-not",
            )
        )
    if lead == "closed" and event.closed not in CLOSED:
        out.append(
            Problem(
                code="C016",
                message=f"a case is not closed as '{event.closed}'",
                expected=one_of(CLOSED),
                nearest=nearest(event.closed or "", CLOSED),
                mend="use one of them",
            )
        )
    if lead == "earlier" and event.why not in (None, *LEFT):
        out.append(
            Problem(
                code="C019",
                message=f"unknown '{event.why}' beside an earlier reading",
                expected=one_of(LEFT),
                nearest=nearest(event.why or "", LEFT),
                mend="write left or declined of a break that was not mended, told of what a customer said, or nothing",
            )
        )
    if lead == "trial" and event.trial not in TRIAL:
        out.append(
            Problem(
                code="C017",
                message=f"a trial does not end as '{event.trial}'",
                expected=one_of(TRIAL),
                nearest=nearest(event.trial or "", TRIAL),
                mend="write stayed-away or came-back",
            )
        )
    if lead == "turned_out":
        out += _outcome(kb, event)
    if lead == "machine" and event.machine not in kb.machines:
        out.append(unknown("machine sheet", event.machine or "", kb.machines))
    return out


def _outcome(kb: model.KB, event: Event) -> list[Problem]:
    """Return what is wrong with the telling of what a case turned out to be."""
    out = []
    if not (event.turned_out or "").strip():
        out.append(
            Problem(
                code="C010",
                message="turned_out says nothing",
                expected="what it was, in words",
                mend="write what was found, and cause: beside it where one fits",
            )
        )
    if event.cause is not None and event.cause not in kb.causes:
        out.append(unknown("cause", event.cause, kb.causes))
    if event.by is not None and event.by not in FOUND_BY:
        out.append(
            Problem(
                code="C035",
                message=f"unknown '{event.by}' after by",
                expected=one_of(FOUND_BY),
                nearest=nearest(event.by, FOUND_BY),
                mend="name whose hands found it, or leave by: out for those at the machine",
            )
        )
    if event.date is not None and not _is_day(event.date):
        out.append(
            Problem(
                code="C027",
                message=f"'{event.date}' is no day",
                expected="a day such as 2026-03-09",
                mend="write year, month and day, or leave date: out",
            )
        )
    return out


def _is_day(text: str) -> bool:
    from datetime import date

    try:
        return len(text) == 10 and date.fromisoformat(text) is not None
    except ValueError:
        return False


def dump(events: list[Event]) -> str:
    """Return events as the text of a case file.

    Examples
    --------
    >>> print(dump([Event(role="desk"), Event(fact="drain", is_="tub")]), end="")
    events:
      - {"role":"desk"}
      - {"fact":"drain","is":"tub"}
    """
    # JSON flow mappings are YAML, and keep any text a person typed without surprises, once what YAML refuses is escaped.
    lines = (escaped(msgspec.json.encode(e).decode()) for e in events)
    return ("events:\n" + "".join(f"  - {line}\n" for line in lines)) if events else "events: []\n"


def take_up(kb: model.KB, events: list[Event]) -> tuple[list[Event], list[int], list[str]]:
    """Return the events that this kb still understands, where each stands among all, and what is left out and why.

    What was cleared in an earlier run does not count, and is not said: its gate is asked again.

    Parameters
    ----------
    kb : KB
    events : list of Event
        As they are kept, perhaps by an older kb; they stay kept.
    """
    good, places, lines = [], [], []
    for place, event in enumerate(without_clearances(events)):
        if event is None:
            continue
        problems = event_problems(kb, event)
        if problems:
            lines.append(f"Left out, because the kb has changed: {problems[0].message}.")
        else:
            good.append(event)
            places.append(place)
    return good, places, lines
