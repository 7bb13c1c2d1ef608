"""The closed cases of a store, or of case files, in the order in which they began; of each what it teaches."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from ..terminal.env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event
    from ...engine.learning.lessons import CaseLesson
    from ..store.store import Store

LATER = "a later visit, counted with the first"
FOREIGN = "of another kb"
# Of so many cases one may name what the kb does not have: a kb changes. More are cases of another one [-].
MOST_FOREIGN = 0.1


# A check is told of that was passed over in so many cases, and so large a share of those in which it was asked [cases, -].
FEWEST_PASSED, SHARE_PASSED = 5, 0.2


class PassedOver(Struct, frozen=True, kw_only=True):
    """A check that nobody could make: in how many cases, of how many in which it was asked."""

    check: str
    title: str
    cases: int
    of: int


class ClosedCase:
    """A case that was kept.

    Parameters
    ----------
    name : str
        Its id, or its file.
    reference : str
        Whatever the shop finds it by.
    touched : str
        When it was last touched (UTC), or an empty text.
    events : list of Event
    store : Store, optional
        Where cases are that came before and after it.
    earlier : str, optional
        The case that it came after.
    """

    def __init__(
        self,
        name: str,
        reference: str,
        touched: str,
        events: list[Event],
        store: Store | None = None,
        earlier: str | None = None,
    ) -> None:
        self.name = name
        self.reference = reference
        self.touched = touched
        self.events = events
        self.store = store
        self.earlier = earlier

    def times(self) -> list[str]:
        """Return when each event was kept (UTC); an empty text where that is not known, and nothing of a case that went on meanwhile."""
        from ...engine.errors import InvalidInputError

        try:
            found = self.store.times(self.name) if self.store else [event.at or "" for event in self.events]
        except InvalidInputError:  # forgotten meanwhile
            return []
        return found if len(found) == len(self.events) else []

    def before(self) -> list[Event] | None:
        """Return the events of the case that it came after; None where there is none."""
        if not self.store or not self.earlier:
            return None
        return _events(self.store, self.earlier)

    def after(self) -> Iterator[list[Event]]:
        """Yield the events of each case that came after it, the last begun first."""
        if self.store:
            for name, _ in sorted(self.store.later(self.name), key=lambda one: one[1], reverse=True):
                found = _events(self.store, name)
                if found is not None:
                    yield found


def _events(store: Store, name: str) -> list[Event] | None:
    """Return the events of a case that is whole; None of one that is damaged or gone."""
    from ...engine.errors import InvalidInputError

    try:
        return None if store.line(name).damage else store.events(name)
    except InvalidInputError:
        return None


def kept(args: argparse.Namespace, env: Env, kb: model.KB) -> Iterator[ClosedCase]:
    """Yield the kept cases one by one, the first begun first; with case files named, these in their order.

    Raises
    ------
    InvalidInputError
        Where the store or a file can't be read.
    """
    if getattr(args, "cases", None):
        from ...engine.case.case_file import load_case

        for name in args.cases:
            for path in sorted(Path(name).glob("*.yaml")) if Path(name).is_dir() else [name]:
                yield ClosedCase(str(path), "", "", load_case(kb, str(path)))
        return
    from ..store.location import there
    from ..store.opening import open_store

    if not (args.store or there(args, env)):
        return
    with open_store(args, env, write=False) as store:
        for line, events in store.in_order():
            if not line.damage:
                yield ClosedCase(line.id, line.reference, line.touched, events, store, line.earlier)


class Taught:
    """What kept cases teach, one after the other, and how many teach nothing, by why.

    Parameters
    ----------
    kb : KB
    args : Namespace
        What names the store, or the case files.
    env : Env

    Notes
    -----
    Cases are read once and none is held: where one is linked to another, that one is read beside it.
    """

    def __init__(self, kb: model.KB, args: argparse.Namespace, env: Env) -> None:
        self.kb = kb
        self.args = args
        self.env = env
        self.left_out: dict[str, int] = {}
        self.count = 0
        self.known = 0
        self.answered: Counter[str] = Counter()
        self.passed_over: Counter[str] = Counter()
        self.foreign: dict[str, int] = {}

    def lessons(self) -> Iterator[CaseLesson]:
        """Yield what each case teaches."""
        from ...engine.learning.lessons import CaseLesson, lesson_of, named

        for case in kept(self.args, self.env, self.kb):
            self.count += 1
            found: CaseLesson | str = lesson_of(self.kb, case.events)
            if isinstance(found, CaseLesson) and found.truth is not None:
                if self._open_before(case):
                    self._leave(LATER)
                    continue
            elif (later := self._proved_after(case)) is not None:
                found = lesson_of(self.kb, case.events, later)
            if isinstance(found, str):
                self._leave(found)
                if found == FOREIGN:
                    for name in named(self.kb, case.events):
                        self.foreign[name] = self.foreign.get(name, 0) + 1
            else:
                self.known += found.truth is not None
                self.answered.update({e.check for e in case.events if e.check})
                self.passed_over.update({e.cant for e in case.events if e.cant})
                yield found

    def _open_before(self, case: ClosedCase) -> bool:
        """Return whether a case came after one whose cause nobody knew: one fault is counted once, there."""
        before = case.before()
        return before is not None and self._truth(before) is None

    def _proved_after(self, case: ClosedCase) -> str | None:
        """Return what the last later visit proved."""
        return next((truth for events in case.after() if (truth := self._truth(events)) is not None), None)

    def _truth(self, events: list[Event]) -> str | None:
        from ...engine.learning.lessons import CaseLesson, lesson_of

        found = lesson_of(self.kb, events)
        return found.truth if isinstance(found, CaseLesson) else None

    def _leave(self, why: str) -> None:
        self.left_out[why] = self.left_out.get(why, 0) + 1

    def often_passed_over(self) -> list[PassedOver]:
        """Return the checks that nobody could make so often that it matters why, most often first."""
        found = [
            PassedOver(check=c, title=self.kb.checks[c].title, cases=n, of=n + self.answered[c])
            for c, n in self.passed_over.items()
            if c in self.kb.checks and n >= FEWEST_PASSED and n >= SHARE_PASSED * (n + self.answered[c])
        ]
        return sorted(found, key=lambda p: (-p.cases, p.check))

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
