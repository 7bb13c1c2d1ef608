"""The store: all cases, in one SQLite file or on a PostgreSQL server; an answer is on disk, synced, when its call returns.

A case is a list of rows that only grows (`engine/case/rows.py`). One process writes to a case at a time and any number read. A case is in one pair of
hands: a marker names the process that holds it, and one whose process is gone holds nothing. What the two databases do differently is in `file.py` and
`server.py`; `database.py` says what is asked of both.
"""

import hashlib
import secrets
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from typing import Any, Self

import msgspec

from ...engine.case.events import Event
from ...engine.case.queue_marks import Queued, QueueMark, queued
from ...engine.case.rows import leading
from ...engine.case.status import standing
from ...engine.errors import InvalidInputError, Problem, nearest
from . import marks as kept_marks
from . import photos as kept_photos
from .carrying import CaseRecord, Outcome, joined
from .database.checksums import CASE, CASES, LAST, LAST_MS, WAITING, checksum, sound, sound_case
from .database.errors import StorePlace, busy, damaged, headless, leased, translating_errors
from .database.file import FileDatabase
from .database.interface import Database
from .database.lock import can_tell, elsewhere, me
from .database.place import ServerPlace
from .glance import free
from .lines import Lines
from .photos import PhotoLine
from .replay import KeptCase, case_row, read, replay
from .spelling import close, has
from .verify import lost, verified

# Letters and digits take turns, so that no id reads like a word; none looks like another one, none is said like another one.
LETTERS, DIGITS = "ACFHJKMPRTWXY", "23456789"
# Ids asked for at once where all cases are read: each time the whole table is gone through, and an id is small [cases].
PAGE = 20_000


class CaseLine(msgspec.Struct, frozen=True, kw_only=True):
    """What a list shows of a case; times are UTC, `answers` counts checks, facts and proofs, `damage` says what can't be read."""

    id: str
    reference: str
    state: str
    complaints: list[str]
    words: str
    began: str
    touched: str
    answers: int
    earlier: str | None
    closed: str | None = None
    why: str = ""
    role: str = ""
    damage: list[str] = []


class Store:
    """All kept cases; `open` makes one. A store is of one thread; each thread opens its own."""

    def __init__(self, db: Database, now: Callable[[], float], lines: Lines | None = None) -> None:
        self.path = db.place
        self._lines = lines
        self._db = db
        self._now = now
        self._within = False
        self._held: set[str] = set()
        self.passed_over: list[str] = []

    @classmethod
    def open(
        cls,
        path: StorePlace,
        *,
        write: bool = True,
        now: Callable[[], float] = time.time,
        lines: Lines | None = None,
    ) -> Self:
        """Return the store of a place; it is made where it is not there, and brought to this version where it is older.

        Parameters
        ----------
        path : Path, ServerPlace or ':memory:'
            `:memory:` keeps nothing beyond this process.
        write : bool
            False: read only; the file must be there.
        now : callable
            The clock [s since 1970, UTC].
        lines : Lines, optional
            Where lists remember what they read, for a process that lists again and again; any number of its stores may share it.

        Raises
        ------
        InvalidInputError
            Where it can't be opened, is locked, is damaged, is no store, or comes from a newer version.
        """
        with translating_errors(path):
            store = cls(_database(path, write), now, lines)
            try:
                if write and store._one("SELECT 1 FROM chores"):
                    # A case was removed, and the process was ended before the log was emptied.
                    with suppress(InvalidInputError):
                        store._scrub()
            except BaseException:
                store._db.close()
                raise
        return store

    def hurry(self) -> None:
        """Wait hardly at all for other writers from here on."""
        self._db.hurry()

    def close(self) -> None:
        """Give back what this process holds, and end the connection."""
        with suppress(InvalidInputError):
            for case in sorted(self._held):
                self.release(case)
        self._db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # writing

    def begin(self, reference: str = "", *, earlier: str | None = None, kb: str = "", journal: str = "") -> str:
        """Begin a case and return its id, easy to read over the phone; the id is no secret.

        Parameters
        ----------
        reference : str
            Whatever the shop finds the case by.
        earlier : str, optional
            The case that this one comes after, by its id.
        kb : str
            The stamp of the kb.
        journal : str
            The name of the journal that it comes from.

        Raises
        ------
        InvalidInputError
            If it can't be kept, or there is no such earlier case.
        """
        with self._writing():
            before = self.known(earlier) if earlier else None
            now = int(self._now() * 1000)
            while True:
                name = "".join(secrets.choice(LETTERS) + secrets.choice(DIGITS) for _ in range(3))
                if not self._one("SELECT 1 FROM cases WHERE id=?", name):
                    break
            row = (name, reference, before, kb, journal, now, now, "", 0, 0, 0)
            self._db.execute(
                f"INSERT INTO cases({', '.join(CASE)}, sum) VALUES({'?,' * len(row)}?)", (*row, checksum(*row))
            )
        return name

    def add(self, case: str, event: Event, *, after: int | None = None) -> None:
        """Keep one event; it is on disk when this returns.

        Parameters
        ----------
        case : str
        event : Event
            Not of a cleared gate: no face keeps that (`engine.case.clearance`), and rows of before that hold one don't count.
        after : int, optional
            What `last` gave when the case was read: refused where somebody wrote since.

        Raises
        ------
        InvalidInputError
            If it can't be kept, there is no such case, or it is in other hands.
        """
        self._append(case, event, after)

    def unmoved(self, case: str, after: int) -> None:
        """See that nobody wrote to a case since `last` gave this number, and keep everybody from doing so until what is written together is.

        Raises
        ------
        InvalidInputError
            J016, where somebody did.
        """
        with self._writing():
            self._unmoved(self._mine(case), after)

    def settle(self) -> bool:
        """Return whether the write of which nobody knew how it ended (U041) was kept; False where there is none, or it was not.

        Raises
        ------
        InvalidInputError
            Where that is not known still.
        """
        with translating_errors(self.path):
            return self._db.settle()

    def undo(self, case: str, count: int, *, after: int | None = None) -> None:
        """Keep that the last `count` events are taken back."""
        self._append(case, {"undo": count}, after)

    def put(self, case: str, at: int, event: Event, *, after: int | None = None) -> None:
        """Keep that another event stands in the place of the one at `at`."""
        self._append(case, {"at": at, "put": event}, after)

    def note(self, case: str, words: str, *, since: int | None = None) -> None:
        """Add a free remark to a case, whoever holds it: it waits beside the rows until they let go, so that none of theirs moves.

        Parameters
        ----------
        case : str
        words : str
        since : int, optional
            What `last` gave when it was written: the same words kept since then are this very remark, sent twice.
        """
        with self._writing():
            name = self.known(case)
            self._db.alone(name)
            row = (name, msgspec.json.encode(Event(note=words)).decode())
            if since is not None and (
                self._one("SELECT 1 FROM rows WHERE of=? AND body=? AND number>?", *row, since)
                or self._one("SELECT 1 FROM remarks WHERE of=? AND body=?", *row)
            ):
                return
            if not elsewhere(self._db.holder(name)):
                self.add(name, Event(note=words))
                return
            waiting = self._whole(name)[WAITING]
            self._db.execute("INSERT INTO remarks(of, body, sum) VALUES(?,?,?)", (*row, checksum(*row)))
            self._set(name, touched=int(self._now() * 1000), waiting=waiting + 1 if isinstance(waiting, int) else 1)

    def queue(self, case: str, mark: QueueMark) -> Queued:
        """Set a mark of the queue beside a case, whoever holds it, and return how it stood in the queue before.

        Parameters
        ----------
        case : str
        mark : QueueMark
            One that says who has the case is set only where nobody else has it.

        Raises
        ------
        InvalidInputError
            If it can't be kept, there is no such case, or somebody else has it (J032).
        """
        with self._writing():
            name = self.known(case)
            self._db.alone(name)
            self._whole(name)
            before = queued(kept_marks.read(self._db, name))
            if mark.has and before.who and before.who != mark.has:
                raise InvalidInputError([taken(name, before.who)])
            now = int(self._now() * 1000)
            kept_marks.add(self._db, name, now, kept_marks.written(mark))
            self._set(name, touched=now)
        return before

    def queued(self, case: str) -> Queued:
        """Return how a case stands in the queue: who has it, when to ring back, what it waits for."""
        with translating_errors(self.path):
            return queued(kept_marks.read(self._db, self.known(case)))

    def photograph(self, case: str, body: bytes, small: bytes) -> int:
        """Keep a photo beside a case, whoever holds it, and return its number.

        Parameters
        ----------
        case : str
        body, small : bytes
            The picture, already without place and device, and a small one for lists.

        Raises
        ------
        InvalidInputError
            If it can't be kept: there is no such case, it has as many as it may have, or the store has.
        """
        with self._writing():
            name = self.known(case)
            self._db.alone(name)
            self._whole(name)
            full = kept_photos.room(self._db, name, len(body) + len(small))
            if full is not None:
                raise InvalidInputError([full])
            now = int(self._now() * 1000)
            number = kept_photos.add(self._db, name, now, body, small)
            self._set(name, touched=now)
        return number

    def remove_photo(self, case: str, number: int) -> bool:
        """Remove a photo for good, as `forget` removes a case; return whether the case had it."""
        with self._writing():
            removed = kept_photos.remove(self._db, self.known(case), number)
            if removed:
                self._db.execute("INSERT INTO chores(name) VALUES(?) ON CONFLICT DO NOTHING", (SCRUB,))
        if removed:
            self._scrub()
        return bool(removed)

    def stamp(self, case: str, kb: str) -> None:
        """Keep the stamp of the kb that a case is gone on with."""
        with self._writing():
            self._set(self._mine(case), kb=kb)

    def date(self, case: str, touched: int) -> None:
        """Say when a case was really last touched [ms since 1970, UTC]; it began no later."""
        with self._writing():
            name = self._mine(case)
            began = self._kept(name, "began")
            self._set(name, touched=touched, began=min(began, touched) if isinstance(began, int) else touched)

    def saw(self, case: str, count: int, shown: str) -> None:
        """Keep what was advised after the first `count` events, to be compared with what another kb says of them."""
        with self._writing():
            text = msgspec.json.encode([count, shown]).decode()
            self._set(self._mine(case), shown=text)

    def decline(self, case: str) -> None:
        """Keep that a case is not to be offered at the start of a walk; it stays open, and in every list."""
        with self._writing():
            self._set(self._mine(case), declined=1)

    def refer(self, case: str, reference: str) -> None:
        """Give a case another reference."""
        with self._writing():
            self._set(self._mine(case), reference=reference)

    def forget(self, case: str) -> None:
        """Remove a case for good: from the tables, the log and the free pages.

        Raises
        ------
        InvalidInputError
            As `add`; also where somebody reads the store so long that the log can't be emptied: the case is then gone from
            every list, and what is left of it in the log goes with the next write.
        """
        with self._writing():
            name = self._mine(case)
            self._remove(name)
        self._held.discard(name)
        self._scrub()

    def _remove(self, name: str) -> int:
        """Remove a case from the tables; return whether it was there, as 1 or 0."""
        self._db.execute("INSERT INTO chores(name) VALUES(?) ON CONFLICT DO NOTHING", (SCRUB,))
        for (later,) in self._db.execute("SELECT id FROM cases WHERE earlier=?", (name,)).fetchall():
            self._set(later, earlier=None)
        kept_photos.remove(self._db, name)
        for table in ("rows", "remarks", "marks"):
            self._db.execute(f"DELETE FROM {table} WHERE of=?", (name,))
        return self._db.execute("DELETE FROM cases WHERE id=?", (name,)).rowcount

    def forget_all(self, cases: list[str]) -> int:
        """Remove many cases for good, in one write; return how many. What is in somebody's hands is left.

        Raises
        ------
        InvalidInputError
            As `forget`.
        """
        removed = 0
        with self._writing():
            for case in cases:
                self._db.alone(case)
                if elsewhere(self._db.holder(case)):
                    continue
                removed += self._remove(case)
                self._held.discard(case)
        if removed:
            self._scrub()
        return removed

    def sealed(self, case: str) -> None:
        """Say that a case is as it was when it was begun: what `unopened` goes by."""
        with self._writing():
            name = self._mine(case)
            self._set(name, touched=self._kept(name, "began"))

    def opened(self, case: str) -> None:
        """Say that somebody came back to a case; at once after it was begun it is still whoever began it."""
        now = int(self._now() * 1000)
        with translating_errors(self.path):
            row = self._one("SELECT 1 FROM cases WHERE id=? AND touched=began AND began<=?", case, now - ANEW_MS)
        if row:
            with self._writing():
                if self._kept(case, "touched") == self._kept(case, "began"):
                    self._set(case, touched=now)

    def unopened(self, older_than_days: float) -> list[str]:
        """Return the cases with a link that nobody touched since they were begun, so many days ago or more."""
        until = int(self._now() * 1000 - older_than_days * 86_400_000)
        sql = "SELECT id FROM cases WHERE touched=began AND began<=? AND id IN (SELECT of FROM links) ORDER BY began"
        with translating_errors(self.path):
            return [str(row[0]) for row in self._db.execute(sql, (until,))]

    def linked(self) -> int:
        """Return how many cases have a link."""
        with translating_errors(self.path):
            return int(self._one("SELECT count(DISTINCT of) FROM links")[0])

    def link(self, case: str) -> str:
        """Return a new secret link to a case; only its digest is kept, so that the store can't give it away."""
        token = secrets.token_urlsafe(24)
        with self._writing():
            row = (_digest(token), self.known(case))
            self._whole(row[1])
            self._db.execute("INSERT INTO links(digest, of, sum) VALUES(?,?,?)", (*row, checksum(*row)))
        return token

    def end(self, mark: str, until: float) -> None:
        """Keep that something that was given out counts no more before its time.

        Parameters
        ----------
        mark : str
            What names it: the walk of a note, a pass.
        until : float
            When it would have ended by itself [s since 1970, UTC]; then this is forgotten.
        """
        with self._writing():
            self._db.execute("DELETE FROM ended WHERE until<?", (int(self._now() * 1000),))
            if self._one("SELECT count(*) FROM ended")[0] < MOST_ENDED:
                sql = "INSERT INTO ended(mark, until) VALUES(?,?) ON CONFLICT DO NOTHING"
                self._db.execute(sql, (mark, int(until * 1000)))

    def ended(self) -> dict[str, float]:
        """Return what counts no more before its time, and when it would have ended by itself [s since 1970, UTC]."""
        with translating_errors(self.path):
            return {str(mark): until / 1000 for mark, until in self._db.execute("SELECT mark, until FROM ended")}

    def unlink(self, case: str) -> None:
        """End all links to a case."""
        with self._writing():
            self._db.execute("DELETE FROM links WHERE of=?", (self.known(case),))

    def adopt(self, record: CaseRecord) -> Outcome:
        """Take in a case from another store, with its id; what this one has of it stays, and what it lacks is added.

        Parameters
        ----------
        record : CaseRecord

        Returns
        -------
        'new', 'same', 'longer', 'shorter' or 'apart'
            What became of it, as `carrying.joined`; 'new' where it was not here.

        Raises
        ------
        InvalidInputError
            As `add`.
        """
        with self._writing():
            row = case_row(self._db, record.id)
            if row is None:
                earlier = record.earlier if record.earlier and case_row(self._db, record.earlier) else None
                kept = (
                    *(record.id, record.reference, earlier, record.kb, record.journal, record.began, record.touched),
                    *(record.shown, record.declined, 0, 0),
                )
                self._db.execute(
                    f"INSERT INTO cases({', '.join(CASE)}, sum) VALUES({'?,' * len(kept)}?)", (*kept, checksum(*kept))
                )
                outcome: Outcome = "new"
                added = record.bodies
            else:
                self._mine(record.id)
                outcome, added = joined(self._record(record.id).bodies, record.bodies)
                if record.earlier and not row[CASE.index("earlier")] and case_row(self._db, record.earlier):
                    self._set(record.id, earlier=record.earlier)
                if added:
                    self._take_in(record.id)
            # Rows that are here as they were there keep the time at which they were kept there.
            times: dict[int, int | None] = {}
            if outcome in ("new", "longer") and added == record.bodies[len(record.bodies) - len(added) :]:
                times = dict(enumerate(record.times[len(record.bodies) - len(added) :]))
            for n, body in enumerate(added):
                self._row(record.id, body, times.get(n))
            there = kept_marks.kept(self._db, record.id)
            for at, mark in record.marks:
                if (at, mark) not in there:
                    kept_marks.add(self._db, record.id, at, mark)
            if added:
                before = row[CASE.index("touched")] if row else 0
                self._set(record.id, touched=max(record.touched, before if isinstance(before, int) else 0))
        return outcome

    def link_digests(self, case: str) -> list[bytes]:
        """Return the digests of a case's links: they lead to it in whatever store they are, and give no link away."""
        with translating_errors(self.path):
            rows = self._db.execute("SELECT digest, of, sum FROM links WHERE of=? ORDER BY digest", (self.known(case),))
            return [row[0] for row in rows.fetchall() if sound(row)]

    def link_by(self, case: str, digests: Iterable[bytes]) -> None:
        """Let links of another store lead to a case here, too."""
        with self._writing():
            name = self.known(case)
            for digest in digests:
                row = (digest, name)
                self._db.execute(
                    "INSERT INTO links(digest, of, sum) VALUES(?,?,?) ON CONFLICT DO NOTHING", (*row, checksum(*row))
                )

    def today(self) -> str:
        """Return the day by the store's clock, UTC."""
        return datetime.fromtimestamp(self._now(), UTC).date().isoformat()

    @contextmanager
    def together(self) -> Iterator[None]:
        """Make one write of all that is written inside: all of it is kept, or nothing."""
        with self._writing():
            yield

    # one pair of hands

    def hold(self, case: str) -> None:
        """Take a case into this process's hands.

        Raises
        ------
        InvalidInputError
            Where another process that is alive holds it.
        """
        with self._writing():
            name = self._mine(case)
            self._whole(name)
            if name not in self._held:
                self._take_in(name)
            self._db.mark(name, int(self._now() * 1000))
        self._held.add(name)

    def release(self, case: str) -> None:
        """Put a case out of this process's hands."""
        with self._writing():
            self._db.alone(case)
            if self._db.unmark(case):
                self._take_in(case)
        self._held.discard(case)

    def held(self, case: str) -> bool:
        """Return whether another process that is alive has the case in its hands."""
        with translating_errors(self.path):
            return elsewhere(self._db.holder(case))

    def unknown_holder(self, case: str) -> tuple[int, Problem] | None:
        """Return the number of a process that holds a case and of which nothing tells whether it is still at work, and that in words."""
        with translating_errors(self.path):
            name = self.known(case)
            found = self._db.holder(name)
            if not elsewhere(found) or self._tells(found):
                return None
            return found[1], self._busy(name, found)

    def take(self, case: str, process: int) -> None:
        """Take a case out of the hands of a process of which nothing tells whether it is still at work; it then can't write in it.

        Parameters
        ----------
        case : str
        process : int
            Its number, so that nobody takes a case out of other hands than those that were seen.

        Raises
        ------
        InvalidInputError
            Where another process has it, or one that is at work on this machine.
        """
        with self._writing():
            name = self.known(case)
            self._db.alone(name)
            found = self._db.holder(name)
            if elsewhere(found) and (self._tells(found) or found[1] != process):
                raise InvalidInputError([self._busy(name, found)])
            self._db.execute("DELETE FROM holds WHERE of=?", (name,))

    # reading

    def events(self, case: str) -> list[Event]:
        """Return the events of a case; a note says where a row is damaged, and `line` tells what stands beside it.

        Raises
        ------
        InvalidInputError
            Where there is no such case, or nothing can be read.
        """
        with translating_errors(self.path), self._reading():
            return read(self._db, self.known(case)).events

    def times(self, case: str) -> list[str]:
        """Return when each event of a case was kept (UTC), in the order of `events`; an empty text where that is not known."""
        with translating_errors(self.path), self._reading():
            return [_utc(at) for at in read(self._db, self.known(case)).times]

    def record(self, case: str) -> CaseRecord:
        """Return a case as it is carried to another store.

        Raises
        ------
        InvalidInputError
            Where there is no such case, or it is damaged: what is damaged is not carried as if it were whole.
        """
        with translating_errors(self.path), self._reading():
            return self._record(self.known(case))

    def _record(self, name: str) -> CaseRecord:
        found = read(self._db, name)
        if found.damage or found.row is None:
            raise InvalidInputError([headless(self.path, name)])
        row = dict(zip(CASE, found.row, strict=False))
        rows = self._db.execute("SELECT body, at FROM rows WHERE of=? ORDER BY number", (name,)).fetchall()
        remarks = self._db.execute("SELECT body FROM remarks WHERE of=? ORDER BY number", (name,)).fetchall()
        same = {
            key: row[key]
            for key in ("id", "reference", "earlier", "kb", "journal", "began", "touched", "shown", "declined")
        }
        times = [at for _, at in rows]
        return CaseRecord(
            **same,
            rows=[body for body, _ in rows],
            times=times if any(times) else [],
            notes=[body for (body,) in remarks],
            marks=kept_marks.kept(self._db, name),
        )

    def last(self, case: str) -> int:
        """Return the number of the last row of a case: it grows with every write."""
        with translating_errors(self.path):
            return self._last(self.known(case))

    def line(self, case: str) -> CaseLine:
        """Return what a list shows of one case."""
        with translating_errors(self.path), self._reading():
            name = self.known(case)
            return _line(name, read(self._db, name))[0]

    def photos(self, case: str) -> list[PhotoLine]:
        """Return the photos of a case, the first kept first."""
        with translating_errors(self.path):
            found = kept_photos.kept(self._db, self.known(case))
        return [PhotoLine(number=number, kept=_utc(at)) for number, at in found]

    def photo(self, case: str, number: int) -> tuple[bytes, bytes] | None:
        """Return a photo of a case and its small one; None where it has none of that number, or it is damaged."""
        with translating_errors(self.path):
            return kept_photos.read(self._db, self.known(case), number)

    def seen(self, case: str) -> tuple[int, str] | None:
        """Return what was advised last: after how many events, and what; None where nothing was."""
        text = self._word(case, "shown")
        with suppress(msgspec.DecodeError):
            return msgspec.json.decode(text, type=tuple[int, str]) if text else None
        return None

    def offered(self) -> CaseLine | None:
        """Return the case that was last touched of those that are open, in nobody's hands, and not declined.

        Damaged ones that would have come before it are named in `passed_over`.
        """
        self.passed_over = []
        with translating_errors(self.path), self._reading():
            for row in free(self._db, self._db.holder):
                line, _ = _line(row[0], read(self._db, row[0]))
                if line.damage:
                    self.passed_over.append(line.id)
                elif line.state == "open":
                    return line
        return None

    def stop(self, case: str) -> tuple[int, str]:
        """Return the number of the last row in which a case was stopped for safety, and the hazard; (0, '') where none is.

        A stop that was taken back since counts too: whatever was shown before it is no longer to be gone on with.
        """
        with translating_errors(self.path):
            sql = "SELECT number, body FROM rows WHERE of=? AND body LIKE '{\"stopped\":%' ORDER BY number DESC LIMIT 1"
            found = self._one(sql, self.known(case))
            if found is None:
                return 0, ""
            events: list[Event] = []
            if not replay(events, found[1]):
                raise InvalidInputError([damaged(self.path, f"case {case}: a row can't be read")])
        return int(found[0]), events[0].stopped or ""

    def stamped(self, case: str) -> str:
        """Return the stamp of the kb that a case was last gone on with."""
        return self._word(case, "kb")

    def journal(self, case: str) -> str:
        """Return the name of the journal that a case was taken from, or an empty string."""
        return self._word(case, "journal")

    def carried(self, journal: str) -> str | None:
        """Return the case that was taken from a journal."""
        with translating_errors(self.path):
            found = self._one("SELECT id FROM cases WHERE journal=?", journal)
        return str(found[0]) if found else None

    def find(
        self,
        *,
        state: str | None = None,
        complaint: str | None = None,
        text: str | None = None,
        older_than_days: float | None = None,
        newer_than_days: float | None = None,
        reference: str | None = None,
        most: int | None = None,
        says: Mapping[str, str] | None = None,
        since: float | None = None,
        fits: Callable[[CaseLine, list[Event]], bool] | None = None,
    ) -> list[CaseLine]:
        """Return the cases that fit all that is asked, the last touched first; behind them those whose reference is spelt a little otherwise.

        Parameters
        ----------
        state : str, optional
            open, waiting, on-trial, closed, damaged.
        complaint : str, optional
            Its id.
        text : str, optional
            Words that all stand in the id, the reference, what was said, or the notes, in any order and case, with or without accents.
        older_than_days, newer_than_days : float, optional
            By when they were last touched [d].
        reference : str, optional
            Exactly this reference.
        most : int, optional
            No more than so many.
        says : mapping of str, optional
            What each complaint is called, so that a case is found by that, too.
        since : float, optional
            Touched then or later [ms since 1970, UTC].
        fits : callable, optional
            Given what a list shows of a case, and its events: whether it is meant.
        """
        wanted: list[str] = ["1=1"]
        values: list[object] = []
        if reference is not None:
            wanted.append("reference=?")
            values.append(reference)
        now = self._now() * 1000
        for asked, days in (("touched<=?", older_than_days), ("touched>=?", newer_than_days)):
            if days is not None:
                wanted.append(asked)
                values.append(now - days * 86_400_000)
        if since is not None:
            wanted.append("touched>=?")
            values.append(since)
        out: list[CaseLine] = []
        alike: list[CaseLine] = []
        with translating_errors(self.path), self._reading():
            sql = f"{CASES} WHERE {' AND '.join(wanted)} ORDER BY touched DESC, id"
            rows = {row[0]: row for row in self._db.execute(sql, values)}
            if len(wanted) == 1:
                rows |= dict.fromkeys(lost(self._db, rows))
                self._only(rows)
            for name, row in rows.items():
                line, events = self._listed(name, row)
                if state not in (None, line.state) or (complaint and complaint not in line.complaints):
                    continue
                if fits is not None and not fits(line, events):
                    continue
                said = _said(line, events, says or {}) if text else []
                if not text or has(text, said):
                    out.append(line)
                elif close(text, said, line.reference):
                    alike.append(line)
                if len(out) == most:
                    break
        return (out + alike)[:most]

    def in_order(self, page: int = PAGE) -> Iterator[tuple[CaseLine, list[Event]]]:
        """Yield every case with its events, the first begun first; however many there are, memory holds a page of their ids.

        Parameters
        ----------
        page : int
            How many ids are asked for at once [-].

        Notes
        -----
        A case is read as of the moment it is yielded; one that begins meanwhile may be among them. One whose whole is lost is not.
        """
        after: tuple[object, object] | None = None
        while True:
            beyond = "WHERE (began, id) > (?, ?)" if after else ""
            with translating_errors(self.path), self._reading():
                found = self._db.execute(
                    f"SELECT began, id FROM cases {beyond} ORDER BY began, id LIMIT ?", (*(after or ()), page)
                ).fetchall()
            for _, name in found:
                with translating_errors(self.path), self._reading():
                    one = _line(name, read(self._db, name))
                yield one
            if len(found) < page:
                return
            after = found[-1]

    def calls(self, states: Iterable[str]) -> list[tuple[CaseLine, list[Event], Queued]]:
        """Return the cases of some states as the queue reads them: what a list shows, the events, and the marks of the queue."""
        wanted, out = {*states}, []
        with translating_errors(self.path), self._reading():
            rows = self._db.execute(f"{CASES} ORDER BY touched DESC, id").fetchall()
            self._only(row[0] for row in rows)
            for row in rows:
                line, events = self._listed(row[0], row)
                if line.state in wanted:
                    out.append((line, events, queued(kept_marks.read(self._db, row[0]))))
        return out

    def later(self, case: str) -> list[tuple[str, str]]:
        """Return the cases that come after one: the id of each and when it began (UTC), the last touched first."""
        with translating_errors(self.path):
            rows = self._db.execute(
                "SELECT id, began FROM cases WHERE earlier=? ORDER BY touched DESC, id", (self.known(case),)
            ).fetchall()
        return [(printable(name), _utc(began)) for name, began in rows]

    def by_link(self, token: str) -> str | None:
        """Return the case of a secret link, or None."""
        with translating_errors(self.path):
            found = self._one("SELECT digest, of, sum FROM links WHERE digest=?", _digest(token))
        # A damaged one might lead to somebody else's case.
        return str(found[1]) if found and sound(found) else None

    def verify(self) -> tuple[int, int, list[str]]:
        """Hold the whole store against its checksums: how many cases and rows it has, and what is damaged, in sentences."""
        with translating_errors(self.path), self._reading():
            return verified(self._db)

    def known(self, case: str) -> str:
        """Return a case's id as the store writes it: any letter case, spaces and dashes do.

        Raises
        ------
        InvalidInputError
            Where there is no such case, with the nearest id.
        """
        with translating_errors(self.path):
            return self._known(case)

    def _known(self, case: str) -> str:
        name = "".join(c for c in case.upper() if c.isalnum())
        if case_row(self._db, name) or self._one("SELECT 1 FROM rows WHERE of=?", name):
            return name
        ids = [printable(row[0]) for row in self._db.execute("SELECT id FROM cases ORDER BY touched DESC")]
        raise InvalidInputError(
            [
                Problem(
                    code="J014",
                    message=f"there is no case '{case}'" + ("" if ids else "; the store is empty"),
                    nearest=nearest(name, ids),
                    mend="dryfloor cases lists them; --store FILE names another store",
                )
            ]
        )

    # inside

    def _listed(self, name: str, row: Any) -> tuple[CaseLine, list[Event]]:
        """Return what a list shows of a case, and its events; as remembered, where its own row is the same still."""
        found: tuple[CaseLine, list[Event]] | None = self._lines.get(name, row) if self._lines and row else None
        if found is None:
            found = _line(name, read(self._db, name))
            if self._lines and row and not found[0].damage:
                self._lines.put(name, row, found)
        return found[0], list(found[1])

    def _only(self, names: Iterable[object]) -> None:
        """Remember nothing of cases that are not there any more."""
        if self._lines:
            self._lines.only(names)

    def _one(self, sql: str, *values: object) -> Any:
        return self._db.execute(sql, values).fetchone()

    def _kept(self, name: str, column: str) -> Any:
        row = case_row(self._db, name)
        return row[CASE.index(column)] if row else None

    def _word(self, case: str, column: str) -> str:
        """Return what is kept of a case as a whole in words; nothing where it is damaged."""
        with translating_errors(self.path):
            row = case_row(self._db, self.known(case))
        return str(row[CASE.index(column)]) if row and sound_case(row) else ""

    def _whole(self, name: str) -> Any:
        """Return what is kept of a case as a whole, for something to be added to it."""
        row = case_row(self._db, name)
        if row is None:
            raise InvalidInputError([headless(self.path, name)])
        return row

    def _set(self, name: str, **changes: object) -> None:
        """Change what is kept of a case as a whole; what was damaged before stays known as damaged."""
        row = self._whole(name)
        new = dict(zip(CASE, row, strict=False)) | changes
        done = self._db.execute(
            f"UPDATE cases SET {', '.join(f'{column}=?' for column in changes)}, sum=? WHERE id=?",
            (*changes.values(), checksum(*new.values()) if sound_case(row) else None, name),
        )
        if done.rowcount != 1:
            raise InvalidInputError([headless(self.path, name)])

    def _last(self, case: str) -> int:
        found = self._one("SELECT max(number) FROM rows WHERE of=?", case)
        return int(found[0] or 0) if found else 0

    def _mine(self, case: str) -> str:
        """Return the id of a case that no other process holds."""
        name = self.known(case)
        self._db.alone(name)
        found = self._db.holder(name)
        if elsewhere(found):
            raise InvalidInputError([self._busy(name, found)])
        return name

    def _append(self, case: str, record: object, after: int | None) -> None:
        body = msgspec.json.encode(record).decode()
        with self._writing():
            name = self._mine(case)
            if after is not None:
                self._unmoved(name, after)
            found = self._db.holder(name)
            if found is None or tuple(found[:4]) != me():
                self._take_in(name)
            self._row(name, body, int(self._now() * 1000))

    def _unmoved(self, name: str, after: int) -> None:
        if self._last(name) == after:
            return
        message = f"case {name} went on somewhere else since it was shown here"
        mend = "look at it again; what was kept there stands"
        raise InvalidInputError([Problem(code="J016", message=message, mend=mend)])

    def _row(self, name: str, body: str, at: int | None) -> None:
        before = self._whole(name)[LAST]
        before = before if isinstance(before, int) else 0
        last = checksum(before, name, body) if at is None else checksum(before, name, body, at)
        self._db.execute(
            "INSERT INTO rows(before, of, body, sum, at) VALUES(?,?,?,?,?)", (before, name, body, last, at)
        )
        self._set(name, touched=int(self._now() * 1000), last=last)

    def _take_in(self, name: str) -> None:
        """Make rows of the notes that were left while somebody else held the case."""
        found = self._db.execute(
            "SELECT number, of, body, sum FROM remarks WHERE of=? ORDER BY number", (name,)
        ).fetchall()
        for number, *row in found:
            if sound(row):
                self._row(name, row[1], int(self._now() * 1000))
                self._db.execute("DELETE FROM remarks WHERE number=?", (number,))
                waiting = self._whole(name)[WAITING]
                self._set(name, waiting=waiting - 1 if isinstance(waiting, int) else 0)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """One transaction, synced at its end; inside another one, a part of it."""
        if self._within:
            yield
            return
        with translating_errors(self.path), self._db.writing():
            self._within = True
            try:
                yield
            finally:
                self._within = False

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Read everything as of one moment."""
        if self._within:
            yield
            return
        with self._db.reading():
            yield

    def _scrub(self) -> None:
        """Leave nothing of what was removed where it is kept; what is left to do until then is known to the next start."""
        with translating_errors(self.path):
            self._db.scrub()
            self._db.execute("DELETE FROM chores WHERE name=?", (SCRUB,))

    def _tells(self, found: Any) -> bool:
        """Return whether it is known if a holder is still at work: a lease says so from anywhere, a mark in a file on its own machine alone."""
        return self._db.leases or can_tell(found[0], found[3])

    def _busy(self, name: str, found: Any) -> Problem:
        machine, process, _, started, since = found
        if self._db.leases:
            return leased(name, machine, process)
        return busy(name, machine, process, started, _utc(since) if since else "")


def _database(place: StorePlace, write: bool) -> Database:
    if isinstance(place, ServerPlace):
        # Without a server nobody waits for its packages.
        from .database.server import ServerDatabase

        return ServerDatabase(place, write)
    return FileDatabase(place, write)


SCRUB = "scrub"
MOST_ENDED = 100_000  # marks of what counts no more; beyond, each server knows its own alone
ANEW_MS = 60_000  # from then on whoever looks at a kept case has come back to it [ms]
DAMAGED = "damaged"  # how a list shows a case whose rows can't be read


def _said(line: CaseLine, events: list[Event], says: Mapping[str, str]) -> list[str]:
    """Return what a case is found by in words."""
    said = [line.id, line.reference, *line.complaints, *(says.get(c, "") for c in line.complaints), line.why]
    return said + [e.heard or e.note or "" for e in events if leading(e) in ("heard", "note")]


def _line(name: str, found: KeptCase) -> tuple[CaseLine, list[Event]]:
    """Return what a list shows of a case that was read, and its events."""
    row = dict(zip(CASE, found.row or (), strict=False))
    s = standing(found.events)
    earlier = row.get("earlier")
    line = CaseLine(
        id=printable(name),
        reference=printable(row.get("reference")),
        state=DAMAGED if found.damage else s.state,
        complaints=[*s.complaints],
        words=s.words,
        began=_utc(row.get("began")),
        touched=_utc(row.get("touched")),
        answers=s.answers,
        earlier=printable(earlier) if earlier else None,
        closed=s.closed,
        why=s.why,
        role=s.role,
        damage=found.damage,
    )
    return line, found.events


def taken(case: str, who: str) -> Problem:
    """Return that somebody else has a case."""
    return Problem(
        code="J032",
        message=f"case {case} is with {who}",
        expected="a case that nobody has",
        mend=f"dryfloor queue --next takes the next one; dryfloor give-back {case} where {who} is done with it",
    )


def printable(value: object) -> str:
    """Return a text of the store; of one that is damaged what can be read."""
    return value.decode("ascii", "replace") if isinstance(value, bytes) else str(value or "")


def _utc(ms: object) -> str:
    """Return a time as ISO 8601; nothing where it is damaged."""
    if not isinstance(ms, int) or not 0 <= ms <= LAST_MS:
        return ""
    return datetime.fromtimestamp(ms / 1000, UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def _digest(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "replace")).digest()
