"""`dryfloor learn`: closed cases into a shop's own kb folder, once it is seen that later cases are told better with it."""

from __future__ import annotations

import argparse
import hashlib
import os
import tempfile
import time
from pathlib import Path

from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout
from .closed import Taught

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    from ...engine import model
    from ...engine.inference.potentials import Array
    from ...engine.learning.certainty import Foretold
    from ...engine.learning.em import Learned
    from ...engine.learning.lessons import CaseLesson
    from ...engine.learning.passing import Mapping, Spool, SpoolPart
    from ...engine.learning.promises import KeptPromises

# How often somebody who waits is told how far it is, and how often a pass is kept [s].
TELL, KEEP = 5.0, 20.0
CASES, CHECKPOINT = "cases", "pass.npz"


def run(args: argparse.Namespace, env: Env) -> Result:
    """Learn, look at later cases, and write the folder where it is worth it."""
    from ...engine.learning.passing import Spool
    from ..arguments import UsageError
    from ..inputs import load

    if not 1 <= args.workers <= 256:
        raise UsageError(f"--workers is {args.workers}, expected 1 to 256\ntry: dryfloor learn --help")
    out = Path(args.out) if args.out else None
    if out:
        _demand_free(out, args.kb)
    kb = load(args, env)
    work = out.with_name(out.name + ".part") if out else None
    with tempfile.TemporaryDirectory() as beside:
        place = work or Path(beside)
        try:
            place.mkdir(parents=True, exist_ok=True)
        except (OSError, ValueError) as error:
            raise _unwritable(place, error) from error
        taught = Taught(kb, args, env)
        spool = Spool(place / CASES)
        spool.write(_reading(env, taught.lessons()))
        taught.demand_own()
        if not spool.cases:
            _clear(place)
            return _nothing(env, taught)
        return _learned(args, env, kb, taught, spool, out)


def _learned(
    args: argparse.Namespace, env: Env, kb: model.KB, taught: Taught, spool: Spool, out: Path | None
) -> Result:
    from ...engine.diagnosis.network import Network, network_of
    from ...engine.knowledge.folder import SHIPPED
    from ...engine.learning.backtest import EARLIER, Backtest, Comparing
    from ...engine.learning.numbers import with_numbers
    from ...engine.learning.overlay import names_of, writable, written
    from ...engine.learning.passing import summed
    from ...engine.learning.promises import KeptPromises, held_to_promises
    from ...engine.learning.replay import chosen, replayed
    from ..render.learned import learned_lines

    mapping = _mapping(args)
    cut = int(EARLIER * spool.cases)
    earlier, later = spool.part(0, cut), spool.part(cut)
    early = _em(env, kb, earlier, mapping, "the earlier cases")
    then = held_to_promises(kb, early.numbers, writable(early))
    told = _telling(env, "the later cases, as judged and as learned", later.pieces)
    test = Backtest.of(cut, summed(Comparing(kb, then.numbers), later, mapping, told=told))
    whole = _em(env, kb, spool.part(), mapping, "all cases", early.vector)
    cases = writable(whole)
    kept = held_to_promises(kb, whole.numbers, cases) if test.better else KeptPromises({}, {}, [])
    moved = written(kb, whole.parameters, kept.numbers if test.better else whole.numbers, kept.cases or cases)
    again = chosen(later)
    truth = Network(with_numbers(kb, whole.numbers))
    replay = replayed(truth, network_of(kb), Network(with_numbers(kb, then.numbers)), again)
    data = {
        "cases": spool.cases,
        "left_out": taught.left_out | {k: v for k, v in whole.counts.left_out.items() if v},
        "known": taught.known,
        "passes": len(whole.objective),
        "test": test,
        "better": test.better,
        "replayed": replay,
        "to_come": _to_come(kb, whole, spool.part(), mapping),
        "moved": moved,
        "held": [{"key": [*k], "names": names_of(kb, k)} for k in kept.held],
        "unseen": _unseen(kb, whole),
        "as_judged": AS_JUDGED,
        "passed_over": taught.often_passed_over(),
        "out": str(out) if out and test.better else None,
    }
    if test.better and out:
        _write_folder(out, kb, kept, os.path.relpath(args.kb, out) if args.kb else SHIPPED)
    if args.report:
        from ..render.learned_page import page

        write_file(Path(args.report), page(kb, data))
    if out:
        _clear(spool.path.parent)
    layout = Layout(env.width, env.colour)
    return Result(
        command="learn",
        status="learned" if test.better else "not-better",
        exit=Exit.DONE if test.better else Exit.NOTHING,
        data=data,
        lines=learned_lines(layout, kb, data),
    )


def _reading(env: Env, lessons: Iterator[CaseLesson]) -> Iterator[CaseLesson]:
    """Yield lessons; told how many were read so far: how many there are is not known before."""
    told = time.monotonic()
    for n, lesson in enumerate(lessons, 1):
        if time.monotonic() - told >= TELL:
            told = time.monotonic()
            env.say(f"read: {n} closed cases so far", True)
        yield lesson


def _telling(env: Env, what: str, pieces: int) -> Callable[[int, object], None]:
    """Return what tells how far one look at all cases is, and how long it still takes."""
    begun = told = time.monotonic()

    def tell(upto: int, _: object) -> None:
        nonlocal told
        now = time.monotonic()
        if now - told >= TELL:
            told = now
            env.say(
                f"{what}: {100 * upto / pieces:.0f} in 100, {(now - begun) * (pieces - upto) / upto:.0f} s left", True
            )

    return tell


def _unseen(kb: model.KB, whole: Learned) -> list[str]:
    """Return the causes of which hardly a case is expected so far, though what they show is complained of: those that might matter first."""
    from ...engine.learning.overlay import bearing

    asked = {c for complaints in whole.seen.asked for c in complaints.split("+")}
    rare = [k[1] for k, n in bearing(whole).items() if k[0] == "rate" and n < 1]
    own = [c for c in rare if any(s.complaint in asked for s in kb.causes[c].shows)]
    return sorted(own, key=lambda c: (-whole.parameters.judged["rate", c], c))


# Of each complaint that came this often it is told what the next cases will be [cases]; of how many, and what is told at least [of them].
TOLD_FROM, TO_COME, TOLD = 10, 100, 2.0


def _to_come(kb: model.KB, learned: Learned, part: SpoolPart, mapping: Mapping[Any]) -> list[Foretold]:
    """Return what is expected of the next cases of each complaint that came often enough, with how sure that is."""
    from ...engine.learning.certainty import DRAWS, drawn, foretold, weighed

    asked = learned.seen.asked
    complaints = sorted(c for c, n in asked.items() if n >= TOLD_FROM and c in kb.complaints)
    if not complaints:
        return []
    parameters = learned.parameters
    draws = drawn(parameters, learned.prior, learned.vector, *weighed(kb, learned, part, mapping), DRAWS)
    return [f for f in foretold(kb, map(parameters.numbers, draws), complaints, TO_COME) if f.mean >= TOLD]


AS_JUDGED = [
    "How strongly causes show as complaints, and how often anything is wrong at all: nobody rings whose machine is well, so cases can't part these from rates.",
    "What defines a cause, what circumstances do to its rate, minutes, prices and whose work it is.",
]


def _mapping(args: argparse.Namespace) -> Mapping[Any]:
    from ...engine.learning.passing import at_home, by_processes, by_scheduler

    if not args.scheduler:
        return by_processes(args.workers) if args.workers > 1 else at_home

    try:
        return by_scheduler(args.scheduler)
    except ImportError as error:
        raise _no_scheduler(
            "the packages for a scheduler are not installed",
            "pip install 'dryfloor[cluster]', or leave --scheduler out",
        ) from error
    except (OSError, ValueError, TypeError) as error:
        raise _no_scheduler(
            f"no scheduler answers at '{args.scheduler}'", "name one that is at work, such as tcp://10.0.0.7:8786"
        ) from error


def _no_scheduler(message: str, mend: str) -> Exception:
    from ...engine.errors import InvalidInputError, Problem

    return InvalidInputError([Problem(code="L003", message=message, expected="a Dask scheduler's address", mend=mend)])


# Of very many cases so many chunks, spread over all, are learned from first: from there few passes over all of them are left to do.
SAMPLE = 10


def _em(
    env: Env,
    kb: model.KB,
    part: SpoolPart,
    mapping: Mapping[Any],
    what: str,
    start: Array | None = None,
    every: int = 1,
) -> Learned:
    """Learn from some cases, from some numbers on; told how far it is, and kept so that it can go on."""
    from ...engine.diagnosis.network import network_of
    from ...engine.learning.checkpoint import Checkpoint
    from ...engine.learning.counts import Counts, Parameters
    from ...engine.learning.em import learn
    from ...engine.learning.passing import Job, summed

    if start is None and every == 1 and part.pieces >= 4 * SAMPLE:
        start = _em(env, kb, part, mapping, f"a sample of {what}", every=part.pieces // SAMPLE).vector
    parameters = Parameters(network_of(kb))
    digest = hashlib.blake2b(digest_size=16)
    for _, chunk in part.chunks(every=every):
        digest.update(chunk)
    digest.update(repr(sorted(parameters.judged.items())).encode())
    # One for each part: what the earlier cases taught is not learned again where it is all cases that were cut off.
    path = part.spool.path.with_name(f"{part.first}-{part.last}-{every}-{CHECKPOINT}")
    checkpoint = Checkpoint(path, digest.hexdigest())
    before = checkpoint.read()
    resumed = [before] if before else []
    clock = time.monotonic
    begun, told, saved = clock(), [clock()], [clock()]
    passes = [0]

    def one_pass(numbers: dict[tuple[str, ...], float]) -> Counts:
        passes[0] += 1
        vector = parameters.vector(numbers)
        kept = resumed.pop()[1:] if resumed else None

        def progress(upto: int, counts: Counts) -> None:
            now = clock()
            if now - told[0] >= TELL:
                told[0] = now
                share = min(upto / part.pieces, 1.0)
                left = (now - begun) / max(passes[0] - 1 + share, 0.01) * (1 - share)
                env.say(f"{what}: pass {passes[0]}, {100 * share:.0f} in 100, {left:.0f} s left of it", True)
            if now - saved[0] >= KEEP:
                saved[0] = now
                checkpoint.keep(vector, upto, counts)

        return summed(Job(kb, numbers), part, mapping, kept, progress, every)

    out = learn(kb, one_pass, start=before[0] if before else start)
    checkpoint.keep(out.vector, 0, Counts.none(parameters))
    return out


def _nothing(env: Env, taught: Taught) -> Result:
    from ..render.learned import left_out_lines

    layout = Layout(env.width, env.colour)
    lines = layout.wrap("No closed case that could be learned from: the numbers stay as they are judged.")
    return Result(
        command="learn",
        status="nothing",
        exit=Exit.NOTHING,
        data={"cases": 0, "left_out": taught.left_out},
        lines=[*lines, *left_out_lines(layout, taught.left_out)],
    )


def _demand_free(out: Path, kb: str | None) -> None:
    """Raise where a folder holds something else than what was learned before, or is the kb that is learned over."""
    from ...engine.errors import InvalidInputError, Problem

    if kb and out.resolve() == Path(kb).resolve():
        raise InvalidInputError(
            [
                Problem(
                    code="L002",
                    file=str(out),
                    message="it is the kb that is learned over: the same cases would count twice",
                    expected="a folder beside the kb",
                    mend="leave --kb out, or name the kb that this folder extends",
                )
            ]
        )
    if out.exists() and (not out.is_dir() or (any(out.iterdir()) and not (out / MARK).exists())):
        raise InvalidInputError(
            [
                Problem(
                    code="L002",
                    file=str(out),
                    message="there is something else there already",
                    expected="a new folder, or one that dryfloor learn wrote",
                    mend="name another folder after -o; it may extend this one by its kb.yaml",
                )
            ]
        )


MARK = "LEARNED.md"


def _write_folder(out: Path, kb: model.KB, kept: KeptPromises, extends: str) -> None:
    """Write the folder beside its place, and put it there once it is whole."""
    import shutil

    from ...engine.learning.overlay import entries
    from ..render.learned import told_in_folder

    new = out.with_name(out.name + ".new")
    try:
        shutil.rmtree(new, ignore_errors=True)
        for name, text in entries(kb, kept.numbers, kept.cases, extends).items():
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            (new / name).write_text(text, encoding="utf-8", newline="\n")
        (new / MARK).write_text(told_in_folder(kept), encoding="utf-8", newline="\n")
        if out.exists():
            shutil.rmtree(out)
        os.replace(new, out)
    except OSError as error:
        raise _unwritable(out, error) from error


def write_file(path: Path, text: str) -> None:
    """Write a file, or say why it can't be written."""
    from ...engine.language.sanitize import visible

    try:
        path.write_text(visible(text), encoding="utf-8", newline="\n")
    except OSError as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError | ValueError) -> Exception:
    from ...engine.errors import InvalidInputError, Problem

    return InvalidInputError(
        [
            Problem(
                code="L004",
                file=str(path),
                message=f"it could not be written: {getattr(error, 'strerror', None) or error}",
                expected="a place that you may write to",
                mend="name another place",
            )
        ]
    )


def _clear(place: Path) -> None:
    import shutil

    shutil.rmtree(place, ignore_errors=True)
