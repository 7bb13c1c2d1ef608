"""What a walk starts from: a new case, one of the store, or a case file; and what is said where nothing can be kept."""

import argparse
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from ...engine import model
from ...engine.advise import advise
from ...engine.case.case_file import take_up
from ...engine.case.events import Event
from ...engine.errors import InvalidInputError, Problem
from ...engine.knowledge.cache import key_of
from ...engine.knowledge.folder import home
from ..store.event_log import UNKEPT, EventLog
from ..store.opening import open_store
from ..store.store import CaseLine, Store
from ..terminal.env import Env
from ..terminal.layout import Layout
from .differences import differences, summary
from .offer import Opening

if TYPE_CHECKING:
    from ..store.glance import Offer


class Session:
    """What a walk starts from: the store, the case in it, the log that keeps it.

    Parameters
    ----------
    args : Namespace
        Of `walk` or `resume`.
    env : Env
    kb : KB
    opening : Opening, optional
        What was offered; the store is opened where it is not yet.
    case : str, optional
        The case that was asked for.

    Raises
    ------
    InvalidInputError
        Where a case was asked for that can't be had.
    """

    def __init__(
        self, args: argparse.Namespace, env: Env, kb: model.KB, opening: Opening | None, case: str | None
    ) -> None:

        self.args, self.env, self.kb = args, env, kb
        self.places: list[int] = []
        self.lines: list[str] = []
        self.line: CaseLine | None = None
        self.seen: tuple[int, str] | None = None
        self.stamp = stamp_of(args)
        self.earlier: str | None = None
        self.store = opening.store if opening and opening.store else self._open(opening, case)
        self.case = self.store.known(case) if self.store and case else None
        self.offered = opening.case if opening else None
        if args.after:
            if self.store is None:
                raise InvalidInputError([_no_store(args.after)])
            self.earlier = self.store.known(args.after)
            # The same washer: whoever looks for its reference finds both.
            args.reference = args.reference or self.store.line(self.earlier).reference
        self.log = EventLog(None) if self.case else self._fresh()

    def _open(self, opening: Opening | None, case: str | None) -> Store | None:
        """Return the store; where it can't be used the walk goes on unkept, unless a case of it was asked for."""
        problem = opening.problem if opening else None
        if problem is None:
            try:
                return open_store(self.args, self.env)
            except InvalidInputError as refused:
                if case or self.args.after:
                    raise
                problem = refused.problems[0]

        for line in [*problem.lines(), UNKEPT.partition(";")[0] + "."]:
            self.env.say(line, err=True)
        return None

    @property
    def events(self) -> list[Event]:
        """What is known of the case so far."""
        return self.log.events

    def _fresh(self, source: str = "", case: str | None = None) -> EventLog:
        return EventLog(
            self.store, case, reference=self.args.reference or "", earlier=self.earlier, kb=self.stamp, source=source
        )

    def answered(self, yes: bool, words: bool, first: str) -> None:
        """Do what was answered to an offer; words stand for a new case, and leave the old one to be offered again."""
        offered, store = self.offered, self.store
        assert offered is not None
        if yes and offered.state != "closed":
            if self._got(offered):
                return
        elif yes:
            self.earlier = offered.id
        elif store and not words and offered.state == "open":
            with suppress(InvalidInputError):
                store.decline(offered.id)
        self.log = self._fresh()
        if not words:
            self.env.say(first, self.args.json)

    def _got(self, offered: "CaseLine | Offer") -> bool:
        """Take up what was offered; where it can't be had any more, say why, and return False: a new case it is.

        Between the offer and the answer there may be minutes, and other windows.
        """
        if self.store is None:
            self._say(f"Case {offered.id} can't be gone on with while the store can't be used; this is a new case.")
            return False
        self.case = offered.id
        try:
            self.take_up(offered.state)
        except InvalidInputError as refused:
            self.case, self.line, self.seen = None, None, None
            self.log, self.places, self.lines = EventLog(None), [], []
            with suppress(InvalidInputError):
                self.store.release(offered.id)
            for line in refused.problems[0].lines():
                self._say(line)
            self._say("This is a new case.")
            return False
        return True

    def _say(self, text: str) -> None:
        for line in Layout(self.env.width).wrap(text):
            self.env.say(line, err=True)

    def take_up(self, state: str | None = None) -> None:
        """Take the case up: what of it this kb understands, in these hands.

        Parameters
        ----------
        state : str, optional
            How it stood when it was offered.

        Raises
        ------
        InvalidInputError
            Where it is in other hands, stands otherwise by now, or can't be read.
        """
        store, case = self.store, self.case
        assert store is not None
        assert case is not None
        # In hand first: what is read then stays so.
        store.hold(case)
        kept = store.events(case)
        self.line = store.line(case)
        if state not in (None, self.line.state):
            raise InvalidInputError([_changed(self.line)])
        for damage in self.line.damage:
            self._say(damage)
        events, self.places, self.lines = take_up(self.kb, kept)
        self.log = EventLog(store, case, events, self.places, len(kept))
        if store.stamped(case) not in ("", self.stamp):
            self.seen = store.seen(case)
            self.lines.insert(0, "The kb has changed since this case was last gone on with.")

    def from_file(self, loaded: list[Event]) -> None:
        """Go on with a case file, which is one case of the store however often it is taken up."""
        source = str(Path(self.args.case).resolve())
        try:
            case = self.store.carried(source) if self.store and loaded else None
            self.log = self._fresh(source, case)
            self.log.adopt(loaded)
        except InvalidInputError as refused:
            self.log.events = loaded
            if refused.problems[0].code == "J011":
                raise
            for line in refused.problems[0].lines():
                self.env.say(line, err=True)

    def what_differs(self, kb: model.KB) -> list[str]:
        """Return what the kb of today no longer knows of the case, and what it thinks differently of the rest; it is stamped as seen.

        Parameters
        ----------
        kb : KB
            With the case's machine sheet.
        """
        more: list[str] = []
        if self.seen:
            more = differences(kb, self.events, self.places, self.seen)
        store, case = self.log.store, self.case
        if store and case and store.stamped(case) != self.stamp:
            with suppress(InvalidInputError), store.together():
                store.stamp(case, self.stamp)
                store.saw(case, len(store.events(case)), summary(advise(kb, self.events)))
        if not self.lines:
            return []
        if not more and len(self.lines) == 1:
            more = ["Every answer stands, and the advice is the same."]
        return [*self.lines, *more]

    def close(self) -> None:
        """Put down what was taken in hand."""
        self.log.close()
        if self.store:
            self.store.close()


def stamp_of(args: argparse.Namespace) -> str:
    """Return the stamp of the kb: a hash of its content."""
    try:
        return key_of(Path(args.kb) if args.kb else home())
    except OSError:
        return ""


def _changed(line: CaseLine) -> Problem:
    became = {
        "closed": "was closed",
        "waiting": "was handed on",
        "on-trial": "went on trial",
        "open": "was opened again",
        "damaged": "was found damaged",
    }
    return Problem(
        code="J013" if line.damage else "J016",
        message=f"case {line.id} {became[line.state]} since it was offered",
        mend=f"dryfloor show {line.id} reads it, dryfloor resume {line.id} goes on with it",
    )


def _no_store(case: str) -> Problem:
    return Problem(
        code="J014", message=f"there is no case '{case}'; the store can't be used", mend="mend the store first"
    )
