"""The commands on kept cases: list, show, resume, note, export, forget, close."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from ..terminal.asker import Quit
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event
    from ...engine.errors import Problem
    from ..result import Result
    from ..store.store import CaseLine, Store

# How a person may close a case: solved is for the proof alone; what the office is told is reported-solved.
ENDS = ("handed-on", "given-up", "not-a-fault", "reported-solved")


def cases(args: argparse.Namespace, env: Env) -> "Result":
    """List the kept cases that fit."""
    from ...engine.case.status import STATES, TURNED_OUT
    from ..inputs import known, load
    from ..result import Exit, Result
    from ..store.case_file import CaseKeep
    from ..store.finding import fitting, since
    from ..store.location import there
    from ..store.store import DAMAGED
    from .finding import csv_of, known_names

    if args.verify:
        return _verify(args, env)
    if args.state:
        known(args.state, (*STATES, DAMAGED), "U030", "state", "name one of them, or leave --state out for all")
    if args.complaint:
        known(args.complaint, load(args, env).complaints, "U021", "complaint", "name a complaint of the kb")
    found: list[CaseLine] = []
    begun = since(args.since)
    by_kb = any((args.text, args.cause, args.rule, args.part, args.who))
    if args.store or there(args, env):
        with _open(args, env, write=False) as store:
            kb = load(args, env) if by_kb else None
            if kb:
                known_names(args, kb)
            found = store.find(
                state=args.state,
                complaint=args.complaint,
                text=args.text,
                older_than_days=args.older,
                newer_than_days=args.newer,
                says={c.id: f"{c.title} {c.says}" for c in kb.complaints.values()} if kb else None,
                since=begun,
                fits=fitting(kb, store, cause=args.cause, rule=args.rule, part=args.part, who=args.who) if kb else None,
            )
            if args.csv:
                sheet = csv_of(found, lambda case: store.queued(case).who)
                CaseKeep(Path(args.csv), "name another file after --csv").write(sheet)
    layout = Layout(env.width, env.colour)
    lines: list[str] = []
    for case in found:
        lines += listed(layout, case)
    if args.csv:
        lines = layout.wrap(f"{len(found)} case{'' if len(found) == 1 else 's'} in {args.csv}.")
    some = (args.state, args.complaint, args.text, args.older, args.newer, args.since)
    asked = by_kb or any(x is not None for x in some)
    if not found:
        lines = layout.wrap("No case fits." if asked else "No case is kept yet. A walk keeps one: dryfloor")
    turned = sum(case.closed == TURNED_OUT for case in found)
    if turned:
        lines += layout.wrap(f"{turned} of {len(found)} turned out to be something else.")
    status = "found" if found else "nothing-fits"
    code = Exit.DONE if found or not asked else Exit.NOTHING
    data = {"cases": found, "turned_out": turned}
    return Result(command="cases", status=status, exit=code, data=data, lines=lines)


def _verify(args: argparse.Namespace, env: Env) -> "Result":
    """Hold every row of the store against its checksum, and say what is damaged."""
    from ..result import Exit, Result
    from ..store.location import there

    count, rows, damage = 0, 0, list[str]()
    if args.store or there(args, env):
        with _open(args, env, write=False) as store:
            count, rows, damage = store.verify()
    layout = Layout(env.width, env.colour)
    lines = [line for text in damage for line in layout.wrap(text, 3, "   -")]
    if damage:
        lines += layout.wrap(
            "The rest is as it was written. dryfloor show CASE shows what is left of a case; a copy of the store from before the damage has all of it."
        )
    else:
        lines = layout.wrap(
            f"{count} case{'' if count == 1 else 's'}, {rows} row{'' if rows == 1 else 's'}: all as they were written."
        )
    data = {"cases": count, "rows": rows, "damage": damage}
    status, code = ("damaged", Exit.USAGE) if damage else ("sound", Exit.DONE)
    return Result(command="cases", status=status, exit=code, data=data, lines=lines)


def listed(layout: Layout, case: "CaseLine") -> list[str]:
    """Return a case as a list shows it."""
    from ..walk.offer import said

    how = f", {case.closed.replace('-', ' ')}" if case.state in ("closed", "open") and case.closed else ""
    head = f"{case.id}  {case.state}{how}  {case.touched[:10]}" + (f"  {case.reference}" if case.reference else "")
    text = [said(case), ", ".join(case.complaints)]
    if case.why:
        text.append(case.why.rstrip("."))
    if case.earlier:
        text.append(f"after {case.earlier}")
    return [
        *(layout.paint(line, "strong") for line in layout.wrap(head)),
        *layout.wrap("; ".join(t for t in text if t) + ".", 3),
        *(line for damage in case.damage for line in layout.wrap(damage, 3)),
    ]


def left_of(layout: Layout, events: "list[Event]") -> list[str]:
    """Return what an installation was left with: what is to mend, to be seen, what was mended since, what was declined."""
    from ...engine.case.installed import surveyed

    found = surveyed(events)
    if found is None:
        return []
    kinds = {"to mend": found.to_mend, "to see": found.to_see, "mended": found.mended, "declined": found.declined}
    return [
        line
        for kind, some in kinds.items()
        for x in some
        for line in layout.labelled(
            kind, f"{x.title}{f': {x.text}' if x.text else ''}", "strong" if kind == "to mend" else ""
        )
    ]


def unspoken(events: "list[Event]") -> "list[Event]":
    """Return the events of a case without the notes of a survey, which `left_of` tells."""
    from ...engine.case.installed import NOTE, surveyed

    return [e for e in events if not NOTE.match(e.note or "")] if surveyed(events) else events


def _open(args: argparse.Namespace, env: Env, *, write: bool) -> "Store":
    from ..store.opening import open_store

    return open_store(args, env, write=write)


def show(args: argparse.Namespace, env: Env) -> "Result":
    """Show a case: what was heard, answered, found, done, noted, and what comes next."""
    from ...engine.advise import advise
    from ...engine.case.case_file import take_up
    from ..inputs import load, with_sheet
    from ..result import Result
    from ..walk import takeover

    kb = load(args, env)
    with _open(args, env, write=False) as store:
        case = store.line(args.case)
        events, places, lines = take_up(kb, store.events(case.id))
        times = store.times(case.id)
        stands = store.queued(case.id)
        later = store.later(case.id)
        photos = len(store.photos(case.id))
    kb, _ = with_sheet(kb, None, events)
    advice = advise(kb, events)
    layout = Layout(env.width, env.colour)
    out = [*listed(layout, case), *(line for text in lines for line in layout.wrap(text))]
    out += left_of(layout, events)
    out += takeover.told(layout, kb, unspoken(events))
    if advice.turned_out:
        out += layout.labelled("outcome", advice.turned_out.text, "strong")
        for before in advice.turned_out.before or ():
            out += layout.labelled("before", before)
    if advice.finding:
        out += layout.labelled("found", advice.finding.text)
    elif advice.beliefs and advice.complaints and not advice.turned_out:
        best = advice.beliefs[0]
        out += layout.labelled("likely", f"{best.title}, {100 * best.p:.0f} in 100.")
    if advice.next and not advice.turned_out:
        out += layout.labelled("next", f"{advice.next.title}.")
    for other, began in later:
        out += layout.labelled("again", f"case {other}, {began[:10]}")
    if photos:
        out += layout.labelled("photos", f"{photos}: dryfloor export {case.id} --photos FOLDER writes them.")
    data = {"case": case, "events": events, "left_out": lines, "later": [other for other, _ in later]}
    data |= {"photos": photos, "advice": advice, "times": [times[n] for n in places], "queue": stands}
    return Result(command="show", status=case.state, data=data, lines=out)


def resume(args: argparse.Namespace, env: Env) -> "Result":
    """Go on with a case: the one that is named, else the last one that is open to this role."""
    from ...engine.errors import InvalidInputError, Problem
    from ..inputs import check_role
    from ..walk.begin import begin

    check_role(args.role)
    with _open(args, env, write=True) as store:
        if args.case:
            case = store.line(args.case)
            _take(store, case.id, args, env)
        else:
            states = ("waiting", "open") if args.role else ("open", "on-trial")
            found = [c for state in states for c in store.find(state=state) if not store.held(c.id)]
            found = [c for c in found if c.closed != "to-mend"]  # an installation is surveyed again, not walked
            if not found:
                more = "; one that was handed on needs --role" if store.find(state="waiting", most=1) else ""
                raise InvalidInputError(
                    [Problem(code="J017", message=f"no case is open{more}", mend="dryfloor cases lists what is kept")]
                )
            case = found[0]
    if case.closed == "to-mend":
        raise InvalidInputError(
            [
                Problem(
                    code="J018",
                    message=f"case {case.id} is an installation; {case.why}",
                    expected="a case of a walk",
                    mend=f"survey it again with --keep and its reference, once it is mended; for a callback: dryfloor walk --after {case.id}",
                )
            ]
        )
    if case.state == "closed":
        raise InvalidInputError(
            [
                Problem(
                    code="J018",
                    message=f"case {case.id} is closed: {(case.closed or '').replace('-', ' ')}",
                    expected="a case that is open, waiting or on trial",
                    mend=f"if the same came back, begin another that points to it: dryfloor walk --after {case.id}",
                )
            ]
        )
    if case.state == "waiting" and not args.role:
        raise InvalidInputError(
            [
                Problem(
                    code="J019",
                    message=f"case {case.id} was handed on and waits for the next person",
                    expected="who that is",
                    mend=f"dryfloor resume {case.id} --role technician",
                )
            ]
        )
    args.say, args.case, args.reference, args.after, args.cleared = None, None, None, None, []
    return begin(args, env, case.id)


def _take(store: "Store", case: str, args: argparse.Namespace, env: Env) -> None:
    """Take a case out of the hands of a process elsewhere, of which nothing tells whether it runs, where a person says so."""
    from ...engine.errors import InvalidInputError

    unknown = store.unknown_holder(case)
    if unknown is None:
        return
    problem = unknown[1]
    if args.take is None and env.interactive:
        text = f"{problem.message[:1].upper()}{problem.message[1:]}. Where nothing runs there any more, type its number to take the case; anything else leaves it."
        for line in Layout(env.width).wrap(text):
            env.say(line, err=True)
        typed = _typed(env).strip()
        args.take = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 20 else None
    if args.take is None:
        raise InvalidInputError([problem])
    store.take(case, args.take)


def note(args: argparse.Namespace, env: Env) -> "Result":
    """Add a free remark to a case."""
    from ...engine.errors import InvalidInputError, Problem
    from ...engine.language.sanitize import typed_line
    from ..result import Result

    words = typed_line(" ".join(args.words))
    if not words:
        raise InvalidInputError(
            [Problem(code="U031", message="the note is empty", mend='write it after the case: "rings back at four"')]
        )
    with _open(args, env, write=True) as store:
        case = store.known(args.case)
        store.note(case, words)
    data = {"case": case, "note": words}
    return Result(command="note", status="noted", data=data, lines=[f"Noted in case {case}."])


def export(args: argparse.Namespace, env: Env) -> "Result":
    """Write a case as a case file, or all cases into one file to be taken in elsewhere."""
    from msgspec.structs import replace

    from ...engine.case.case_file import dump
    from ...engine.case.clearance import kept_of
    from ...engine.errors import InvalidInputError, Problem
    from ..result import Result
    from ..store.case_file import CaseKeep
    from .carry import export_all

    if args.all == bool(args.case):
        raise InvalidInputError(
            [
                Problem(
                    code="U034",
                    message="which case is meant is not clear",
                    expected="one case, or --all",
                    mend="dryfloor cases lists them",
                )
            ]
        )
    with _open(args, env, write=False) as store:
        if args.all:
            return export_all(args, env, store)
        case = store.line(args.case)
        events = store.events(case.id)
        if args.times:
            events = [replace(e, at=at or e.at) for e, at in zip(events, store.times(case.id), strict=True)]
        text = dump(kept_of(events))
        photos = _photos(store, case.id, Path(args.photos)) if args.photos else []
    data: dict[str, object] = {"case": case.id, "photos": [str(path) for path in photos]}
    if not args.out:
        return Result(command="export", status="exported", data=data | {"text": text}, lines=text.splitlines())
    CaseKeep(Path(args.out), "name another file after -o").write(text)
    lines = [f"Case {case.id} is in {args.out}.", *(f"A photo of it is in {path}." for path in photos)]
    return Result(command="export", status="exported", data=data | {"file": args.out}, lines=lines)


def _photos(store: "Store", case: str, folder: Path) -> list[Path]:
    """Write the photos of a case into a folder, and return where they are; what is there already is left as it is."""
    from ...engine.errors import InvalidInputError, Problem

    out: list[Path] = []
    for n, line in enumerate(store.photos(case), 1):
        found = store.photo(case, line.number)
        path = folder / f"{case}-{n}.jpg"
        if found is None:  # damaged: `cases --verify` says so
            continue
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(path, "xb", opener=lambda name, flags: os.open(name, flags, 0o600)) as file:
                file.write(found[0])
        except OSError as error:
            why = "it is there already" if isinstance(error, FileExistsError) else error.strerror or str(error)
            problem = Problem(
                code="J031",
                file=str(path),
                message=f"this photo can't be written: {why}",
                mend="name another folder after --photos",
            )
            raise InvalidInputError([problem]) from error
        out.append(path)
    return out


def forget(args: argparse.Namespace, env: Env) -> "Result":
    """Remove a case for good, with what lies beside the store of it."""
    from ...engine.errors import InvalidInputError, Problem
    from ..result import Exit, Result
    from ..store.database.place import ServerPlace
    from ..store.location import traces
    from ..walk.offer import said

    with _open(args, env, write=True) as store:
        case = store.line(args.case)
        _take(store, case.id, args, env)
        journal = store.journal(case.id)
        if not args.yes:
            text = f"Case {case.id}: {said(case)}. It will be gone for good. Type its id to remove it, anything else leaves it."
            for line in Layout(env.width).wrap(text):
                env.say(line, err=True)
            if _typed(env).upper().replace(" ", "").replace("-", "") != case.id:
                left = Result(
                    command="forget",
                    status="left",
                    exit=Exit.NOTHING,
                    data={"case": case.id},
                    lines=[f"Case {case.id} is left as it is."],
                )
                return left
        beside = traces(store.path, env.data_dir, case.id, journal) if isinstance(store.path, Path) else []
        # The files first: a case that is still listed can be forgotten again, a file that nothing points to can't.
        for path in beside:
            try:
                path.unlink()
            except OSError as error:
                why = error.strerror or str(error)
                raise InvalidInputError(
                    [
                        Problem(
                            code="J020",
                            file=str(path),
                            message=f"this file of the case can't be removed: {why}",
                            mend="remove it yourself, then forget the case again",
                        )
                    ]
                ) from error
        store.forget(case.id)
    lines = [f"Case {case.id} is forgotten."]
    lines += [f"Removed too: {path}" for path in beside]
    if journal and not journal.endswith(".jsonl"):
        lines.append(f"Its case file is yours and is left: {journal}")
    if isinstance(store.path, ServerPlace):
        lines.append("What the server's log and its backups still hold of it is for its operator to remove.")
    data = {"case": case.id, "removed": [str(path) for path in beside]}
    return Result(command="forget", status="forgotten", data=data, lines=lines)


def _typed(env: Env) -> str:
    from ..terminal.asker import PlainAsker

    try:
        return PlainAsker(env, err=True).ask("> ")
    except Quit:
        return ""


def close(args: argparse.Namespace, env: Env) -> "Result":
    """Close a case with a reason; as solved only through its proof."""
    from ...engine.case.events import Event
    from ...engine.errors import InvalidInputError, Problem
    from ..inputs import known, load
    from ..result import Result

    how, why = args.how, " ".join(args.why.split())
    if how == "solved":
        raise InvalidInputError([_unproved(args, env, load(args, env))])
    known(how, ENDS, "U032", "way to close a case", "name one of them")
    if not why:
        raise InvalidInputError(
            [Problem(code="U033", message="a case is not closed without a reason", mend='say it: --why "moved away"')]
        )
    with _open(args, env, write=True) as store:
        case = store.line(args.case)
        if case.state == "closed":
            raise InvalidInputError(
                [
                    Problem(
                        code="J018",
                        message=f"case {case.id} is closed already: {case.closed}",
                        mend=f"dryfloor show {case.id}",
                    )
                ]
            )
        store.add(case.id, Event(closed=how, why=why))
    lines = [f"Case {case.id} is closed: {how.replace('-', ' ')}, {why}."]
    if how == "reported-solved":
        lines = Layout(env.width, env.colour).wrap(
            f"Case {case.id} is closed as reported solved, not seen: {why}. It is kept apart from what a proof closed."
        )
    if how == "handed-on":
        lines = [f"Case {case.id} waits for the next person: dryfloor resume {case.id} --role technician."]
    data = {"case": case.id, "as": how, "why": why}
    return Result(command="close", status=how, data=data, lines=lines)


def _unproved(args: argparse.Namespace, env: Env, kb: "model.KB") -> "Problem":
    """Return why a case is not closed as solved by hand, and what closes it."""
    from ...engine.advise import advise
    from ...engine.case.case_file import take_up
    from ...engine.errors import Problem
    from ..inputs import with_sheet

    with _open(args, env, write=False) as store:
        case = store.line(args.case)
        events: list[Event] = take_up(kb, store.events(case.id))[0]
    kb, _ = with_sheet(kb, None, events)
    step = advise(kb, events).next
    proof = f" ({step.title.lower()})" if step and step.proof else ""
    return Problem(
        code="J021",
        message=f"case {case.id} is not closed as solved by hand: a fix counts only when it is seen to work",
        expected=f"its proof{proof}",
        mend=f"dryfloor resume {case.id} asks for it; or close it as {', '.join(ENDS)}",
    )
