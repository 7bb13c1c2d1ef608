"""`dryfloor drill`: an installation to be found out, its answer, or the code that stands for it."""

from __future__ import annotations

import argparse
import contextvars
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..inputs import load
from ..result import Exit, Result
from ..terminal.env import Env, one_thread
from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.diagnosis.network import Network
    from ...engine.drill.debrief import Debrief
    from ...engine.drill.round import Round
    from ...engine.exercises.order import Order
    from ...engine.exercises.site import Exercise
    from ..terminal.asker import Asker

EXITS = {"solved": Exit.DONE, "stopped": Exit.DONE, "gate": Exit.SAFETY}


def run(args: argparse.Namespace, env: Env) -> Result:
    """Play a round, print the code of an installation, or show the answer of one."""
    one_thread()
    from ...engine.diagnosis.network import network_of
    from ...engine.drill.first_round import first_order
    from ...engine.drill.repetition import Deck, next_order
    from ...engine.exercises.sealing import seal
    from ...engine.exercises.site import exercise
    from .keeping import deck_path, read_deck

    _check(args)
    kb = load(args, env)
    network = network_of(kb)
    if args.summary:
        from .summing import summary

        return summary(env, network, Path(args.summary))
    order = first_order(kb) if args.first else _order(args, env, kb)
    path = deck_path(env, args.deck)
    own = args.seed is None and not args.open and not args.first
    deck = read_deck(env, path) if own or not args.sealed else Deck()
    if own:
        order = next_order(kb, deck, order)
    made = exercise(network, order)
    code = seal(kb, order)
    if args.sealed and not args.open:
        text = [code, f"Play it: dryfloor drill --open {code}", f"Its answer: dryfloor drill --open {code} --answer"]
        return Result(command="drill", status="sealed", data={"code": code, "minutes": order.minutes}, lines=text)
    if args.answer:
        from ...engine.drill.debrief import debrief
        from ..render.drill import debriefed

        done = debrief(network, made, None)
        lines = debriefed(Layout(env.width, env.colour), done, code)[1:]
        return Result(command="drill", status="answer", data=_data(made, code, done), lines=lines)
    return _played(args, env, network, made, code, path)


def asker_of(args: argparse.Namespace, env: Env) -> Asker:
    """Return who asks: with line editing at a full terminal, else line by line."""
    if args.plain or args.json or not env.interactive:
        from ..terminal.asker import PlainAsker

        return PlainAsker(env, err=args.json)
    from ..terminal.prompt import PromptAsker

    return PromptAsker()


def _check(args: argparse.Namespace) -> None:
    from ..arguments import UsageError

    given = [n for n in ("fault", "family", "faults", "seed") if getattr(args, n) not in (None, "")]
    more = ("role", "minutes", "class_file", "sealed", "open", "answer")
    beside = [*given, *(n for n in more if getattr(args, n) not in (None, "", False))]
    name = beside[0].removesuffix("_file") if beside else ""
    if args.first and (name or args.summary):
        raise UsageError(
            f"--first is always the same round; leave --{name or 'summary'} out\ntry: dryfloor drill --help"
        )
    if args.summary and name:
        raise UsageError(f"--summary plays no round; leave --{name} out\ntry: dryfloor drill --help")
    if args.open and given:
        raise UsageError(f"--open has an installation of its own; leave --{given[0]} out\ntry: dryfloor drill --help")
    if args.answer and not (args.open or args.seed is not None):
        raise UsageError(
            "--answer shows that of a code or a seed: give --open CODE or --seed N\ntry: dryfloor drill --help"
        )
    if args.answer and args.sealed:
        raise UsageError("--answer and --sealed exclude each other\ntry: dryfloor drill --help")


def _order(args: argparse.Namespace, env: Env, kb: model.KB) -> Order:
    """Return the order of the arguments, checked; that of a code where one is opened."""
    from msgspec import structs

    from ...engine.exercises.order import MINUTES, Order, check_order
    from ...engine.exercises.sealing import opened

    if args.open:
        order, same = opened(kb, args.open)
        if not same:
            env.say("That code was made with another kb: the installation may be another one.", err=True)
        return check_order(
            kb,
            structs.replace(
                order, minutes=order.minutes if args.minutes is None else args.minutes, role=args.role or order.role
            ),
        )
    return check_order(
        kb,
        Order(
            seed=args.seed or 0,
            fault=args.fault or "",
            family=args.family or "",
            role=args.role or "technician",
            minutes=MINUTES if args.minutes is None else args.minutes,
            faults=args.faults,
        ),
    )


def _played(args: argparse.Namespace, env: Env, network: Network, made: Exercise, code: str, path: Path) -> Result:
    """Hold the round, keep what came of it, and return its debrief."""
    from ...engine.drill import naming
    from ...engine.drill.debrief import debrief, prepare
    from ..render.drill import debriefed, reading
    from .dialog import Dialog

    def beforehand() -> None:
        naming.looks(network.kb, "hose")
        naming.causes(network.kb, "hose")
        prepare(network, made.order)

    # Our own way is worked out while the pupil looks, in the units that the pupil reads.
    context = contextvars.copy_context()
    beside = threading.Thread(target=context.run, args=(beforehand,), daemon=True)
    beside.start()
    dialog = Dialog(env, network, made, asker_of(args, env), args.json)
    try:
        with _hung_up_is_interrupted():
            game = dialog.run()
    except KeyboardInterrupt:
        result = Result(
            command="drill",
            status="interrupted",
            exit=Exit.INTERRUPTED,
            lines=["", "Interrupted; this round counts for nothing."],
        )
        if not args.first:
            _in_class(args, _row(args, dialog.round, code) | {"ended": "interrupted"}, result)
        return result
    beside.join()
    done = debrief(network, made, game)
    result = Result(
        command="drill",
        status=game.ended,
        exit=EXITS.get(game.ended, Exit.NOTHING),
        data=_sealed_data(made, code, done) if args.sealed else _data(made, code, done),
        lines=debriefed(Layout(env.width, env.colour), done, code, args.sealed),
    )
    if args.first:
        result.lines += reading(Layout(env.width, env.colour))
        return result
    return _kept(args, env, path, game, done, code, result)


@contextmanager
def _hung_up_is_interrupted() -> Iterator[None]:
    """Take a closed window or a call to end for an interruption, so that a class's file gets its line."""

    def interrupt(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    ends = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        ends = []  # only the main thread may say what a signal does
    before = [(end, signal.signal(end, interrupt)) for end in ends]
    try:
        yield
    finally:
        for end, handler in before:
            signal.signal(end, handler)


def _kept(
    args: argparse.Namespace, env: Env, path: Path, game: Round, done: Debrief, code: str, result: Result
) -> Result:
    """Keep what was missed in the pupil's deck, and the line of the class; where that can't be done, say so beside the debrief."""
    from ...engine.drill.marks import missed_rules
    from ...engine.drill.repetition import after
    from ...engine.errors import InvalidInputError
    from .keeping import read_deck, write_deck

    missed, right = missed_rules(game)
    # A round that was left at once counts as well: its answer was shown, and the class must know who gave none.
    try:
        write_deck(path, after(read_deck(env, path), missed, right))
    except InvalidInputError as refused:
        result.errors += refused.problems
    first = {m.about: m.right for m in reversed(done.marks)}
    said = {True: "right", False: "wrong", None: ""}
    row = _row(args, game, code) | {
        "score": f"{done.score:.3f}",
        **{name: said[first.get(name)] for name in ("verdict", "rule", "limit", "who")},
        "missed": " ".join(missed),
        "gate": game.breach,
        "ours_missed": " ".join(done.ours_missed),
    }
    _in_class(args, row, result)
    return result


def _row(args: argparse.Namespace, game: Round, code: str) -> dict[str, object]:
    """Return what a class's line says of a round, however far it came."""
    from .keeping import named_pupil

    return {
        "pupil": named_pupil(args.pupil or ""),
        "code": code,
        "seed": game.order.seed,
        "minutes": f"{game.looked:g}",
        "ended": game.ended,
    }


def _in_class(args: argparse.Namespace, row: dict[str, object], result: Result) -> None:
    """Add a line to the class's file, where there is one; that it can't be is said beside the result."""
    from ...engine.errors import InvalidInputError
    from .keeping import add_result

    if not args.class_file:
        return
    try:
        add_result(Path(args.class_file), row)
    except InvalidInputError as refused:
        result.errors += refused.problems
        result.exit = Exit.USAGE


def _data(made: Exercise, code: str, done: Debrief) -> dict[str, object]:
    return {
        "code": code,
        "seed": made.order.seed,
        "minutes": made.order.minutes,
        "role": made.order.role,
        "told": [{"complaint": t.complaint, "words": t.words} for t in made.told],
        "facts": made.site.facts,
        "debrief": done,
    }


def _sealed_data(made: Exercise, code: str, done: Debrief) -> dict[str, object]:
    pupil = done.pupil
    return {
        "code": code,
        "minutes": made.order.minutes,
        "score": done.score,
        "ended": pupil.ended if pupil else "",
        "looked": pupil.minutes if pupil else 0.0,
    }
