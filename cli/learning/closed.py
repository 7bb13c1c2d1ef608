"""The closed cases of a store, or of case files, in the order in which they began; of each what it teaches."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from ..terminal.env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event
    from ...engine.learning.lessons import CaseLesson

LATER = "a later visit, counted with the first"
FOREIGN = "of another kb"
# Of so many cases one may name what the kb does not have: a kb changes. More are cases of another one [-].
MOST_FOREIGN = 0.1


class ClosedCase:
    """A case that was kept.

    Parameters
    ----------
    name : str
        Its id, or its file.
    reference : str
        Whatever the shop finds it by.
    began : str
        When it began (UTC), or an empty text.
    touched : str
        When it was last touched (UTC), or an empty text.
    earlier : str, optional
        The case that it came after.
    events : list of Event
    """

    def __init__(
        self, name: str, reference: str, began: str, touched: str, earlier: str | None, events: list[Event]
    ) -> None:
        self.name = name
        self.reference = reference
        self.began = began
        self.touched = touched
        self.earlier = earlier
        self.events = events


def kept(args: argparse.Namespace, env: Env, kb: model.KB) -> Iterator[ClosedCase]:
    """Yield the kept cases, the first begun first; with case files named, these in their order.

    Raises
    ------
    InvalidInputError
        Where the store or a file can't be read.
    """
    if getattr(args, "cases", None):
        from ...engine.case.case_file import load_case

        for name in args.cases:
            for path in sorted(Path(name).glob("*.yaml")) if Path(name).is_dir() else [name]:
                yield ClosedCase(str(path), "", "", "", None, load_case(kb, str(path)))
        return
    from ..store.location import there
    from ..store.opening import open_store

    if not (args.store or there(args, env)):
        return
    with open_store(args, env, write=False) as store:
        lines = sorted(store.find(), key=lambda line: (line.began, line.id))
        for line in lines:
            if not line.damage:
                yield ClosedCase(line.id, line.reference, line.began, line.touched, line.earlier, store.events(line.id))


class Taught:
    """What kept cases teach, one after the other, and how many teach nothing, by why.

    Parameters
    ----------
    kb : KB
    cases : iterable of ClosedCase
        Read twice: once for what later visits proved.
    """

    def __init__(self, kb: model.KB, args: argparse.Namespace, env: Env) -> None:
        self.kb = kb
        self.args = args
        self.env = env
        self.left_out: dict[str, int] = {}
        self.count = 0
        self.foreign: dict[str, int] = {}

    def lessons(self) -> Iterator[CaseLesson]:
        """Yield what each case teaches."""
        from ...engine.learning.lessons import lesson_of, named

        proved, counted_with = self._later()
        for case in kept(self.args, self.env, self.kb):
            self.count += 1
            if case.name in counted_with:
                self._leave(LATER)
                continue
            found = lesson_of(self.kb, case.events, proved.get(case.name))
            if isinstance(found, str):
                self._leave(found)
                if found == FOREIGN:
                    for name in named(self.kb, case.events):
                        self.foreign[name] = self.foreign.get(name, 0) + 1
            else:
                yield found

    def _leave(self, why: str) -> None:
        self.left_out[why] = self.left_out.get(why, 0) + 1

    def _later(self) -> tuple[dict[str, str], set[str]]:
        """Return what a later visit proved of a case that was not solved, and the visits that did: one fault is counted once."""
        from ...engine.learning.lessons import CaseLesson, lesson_of

        after: dict[str, tuple[str, str]] = {}
        open_ends: set[str] = set()
        for case in kept(self.args, self.env, self.kb):
            found = lesson_of(self.kb, case.events)
            truth = found.truth if isinstance(found, CaseLesson) else None
            if truth is None:
                open_ends.add(case.name)
            elif case.earlier in open_ends:
                after[case.earlier or ""] = (truth, case.name)
        return {a: truth for a, (truth, _) in after.items()}, {b for _, b in after.values()}

    def demand_own(self) -> None:
        """Raise where the cases are of another kb.

        Raises
        ------
        InvalidInputError
            L001, with what they name, and what of this kb comes nearest.
        """
        from ...engine.errors import InvalidInputError, Problem, nearest

        wrong = self.left_out.get(FOREIGN, 0)
        if not wrong or wrong <= MOST_FOREIGN * self.count:
            return
        kb = self.kb
        known = [*kb.causes, *kb.checks, *kb.facts, *kb.complaints]
        often = sorted(self.foreign, key=lambda n: (-self.foreign[n], n))[:3]
        raise InvalidInputError(
            [
                Problem(
                    code="L001",
                    message=f"{wrong} of {self.count} cases are of another kb: they name {', '.join(often) or 'causes'}",
                    expected="cases that were walked with this kb, or with one that adds to it",
                    nearest=nearest(often[0], known) if often else "",
                    mend="name the kb that they were walked with after --kb",
                )
            ]
        )
