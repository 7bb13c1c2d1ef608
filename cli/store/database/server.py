"""A store on a PostgreSQL server: what it alone says, leases with a heartbeat, and a connection that is made again.

What a transaction wrote is on the server's disk when it ends (`synchronous_commit`), as far as the server itself writes through (`fsync`). Where
the connection is lost while it ends, the server is asked what became of it, by its number (`txid_status`); where it can't be asked, that is said.
Whoever writes to a case holds its row until then, so that desks wait for each other on one case and nowhere else. A mark of who holds a case is
a lease: its holder renews it from a thread of its own, and `LEASE_S` after the last beat it holds nothing.

The tables are those of `schema.py`, in a schema of their own, so that a database may hold other things. psycopg is imported here alone.
"""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from ....engine.errors import InvalidInputError, Problem
from . import checksums, lock, schema
from .errors import InDoubtError, newer
from .place import ServerPlace

if TYPE_CHECKING:
    import psycopg

LEASE_S = 60.0  # a case is free so long after its holder's last beat [s]
BEAT_S = 15.0  # three beats may be lost before that [s]
CONNECT_S = 5  # as long as a writer waits for another one in a file [s]
SLOW_S, REST_S = 0.5, 1.0  # once a connection took so long to fail, the next calls fail at once for so long [s]
SETTLE_S = 2.0  # so long it is asked what became of a transaction whose end nobody heard [s]
SESSION = (
    "SET search_path TO dryfloor",
    "SET synchronous_commit TO on",
    "SET client_encoding TO 'UTF8'",
    f"SET lock_timeout TO {CONNECT_S * 1000}",
    "SET statement_timeout TO 30000",
    "SET idle_in_transaction_session_timeout TO 60000",
    "SET timezone TO 'UTC'",
)
MISSING = "a store on a server needs a package that is not installed"
TABLES = ("cases", "rows", "remarks", "links", "holds", "chores", "photos", "marks", "ended")


class ServerDatabase:
    """A `Database` on a PostgreSQL server.

    Parameters
    ----------
    place : ServerPlace
    write : bool
        False: nothing is written, and the store must be there.

    Raises
    ------
    InvalidInputError
        Where psycopg is missing, the store is not there to be read, or a newer version wrote it.
    psycopg.Error
        Where the server can't be reached, or refuses.
    """

    leases = True
    rows_again = "rows"
    id_again = "id"

    def __init__(self, place: ServerPlace, write: bool) -> None:
        try:
            import psycopg
        except ImportError as error:
            raise InvalidInputError(
                [Problem(code="J023", message=f"{MISSING} ({error.name})", mend="pip install 'dryfloor[shop]'")]
            ) from None
        self.place = place
        self._write = write
        self._psycopg = psycopg
        self._inside = False
        self._marks: set[str] = set()
        self._heart: Heart | None = None
        self._hurried = False
        self._doubt: int | None = None
        self._refused: tuple[float, Exception] | None = None
        self._me = lock.me()
        self._db = self._connected()
        try:
            self._prepare()
        except BaseException:
            self._db.close()
            raise

    def execute(self, sql: str, values: Sequence[object] = ()) -> "psycopg.Cursor[Any]":
        """Do one statement, `?` for each value; a connection that was lost between transactions is made again.

        Outside a transaction stands only what may be done twice.
        """
        text = sql.replace("%", "%%").replace("?", "%s")
        return self._db.execute(text, values) if self._inside else self._tried(lambda: self._db.execute(text, values))

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction; it is on the server's disk at its end, or nothing of it is."""
        with self._transaction("BEGIN"):
            yield

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Read everything as of one moment."""
        with self._transaction("BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY"):
            yield

    def alone(self, case: str) -> None:
        """Keep others from writing to a case until this transaction ends."""
        self.execute("SELECT 1 FROM cases WHERE id=? FOR UPDATE", (case,))

    def holder(self, case: object) -> Any:
        """Return who holds a case, as `lock.holder`; a lease that ran out holds nothing."""
        fresh = f"SELECT 1 FROM holds WHERE of=? AND seen > clock_timestamp() - interval '{LEASE_S:g} seconds'"
        return lock.holder(self, case) if self.execute(fresh, (case,)).fetchone() else None

    def mark(self, case: str, since: int) -> None:
        """Put the lease of this process on a case, since when [ms since 1970, UTC], and go on renewing it."""
        row = (case, *self._me, since)
        names = ", ".join((*checksums.HOLD, "sum"))
        new = ", ".join(f"{name}=excluded.{name}" for name in (*checksums.HOLD[1:], "sum", "seen"))
        self.execute(
            f"INSERT INTO holds({names}, seen) VALUES(?,?,?,?,?,?,?, clock_timestamp()) ON CONFLICT (of) DO UPDATE SET {new}",
            (*row, checksums.checksum(*row)),
        )
        self._marks.add(case)
        if self._heart is None:
            self._heart = Heart(self._connected, self._me)

    def unmark(self, case: str) -> bool:
        """Take the lease of this process off a case; return whether there was one."""
        sql = "DELETE FROM holds WHERE of=? AND host=? AND process=? AND born=? AND boot=?"
        gone = self.execute(sql, (case, *self._me)).rowcount > 0
        self._marks.discard(case)
        if not self._marks and self._heart is not None:
            self._heart.stop()
            self._heart = None
        return gone

    def settle(self) -> bool:
        """Return whether the transaction of which nobody knew how it ended was kept; False where there was none, or it was undone.

        Raises
        ------
        InDoubtError, psycopg.Error
            Where that is not known still.
        """
        number, until = self._doubt, time.monotonic() + SETTLE_S
        if number is None:
            return False
        while True:
            try:
                found = self._tried(lambda: self._db.execute("SELECT txid_status(%s)", (number,))).fetchone()
            except self._psycopg.Error as error:
                if time.monotonic() > until:
                    raise InDoubtError from error
            else:
                said = found[0] if found else None
                if said in ("committed", "aborted"):
                    self._doubt = None
                    return bool(said == "committed")
                # In progress: the server has not seen yet that nobody is there any more. Of one that is too old it knows nothing.
                if said is None or time.monotonic() > until:
                    raise InDoubtError
            time.sleep(0.05)

    def is_damage(self, error: Exception) -> bool:
        """Return whether an error says that what the server holds is damaged (SQLSTATE class XX)."""
        return (getattr(error, "sqlstate", None) or "").startswith("XX")

    def unsound(self) -> list[str]:
        """Return what of the server's settings does not keep what was confirmed, in sentences."""
        out = []
        for name, what in (("fsync", "writes nothing through"), ("full_page_writes", "can tear a page in a power cut")):
            if self.execute(f"SHOW {name}").fetchone() == ("off",):
                out.append(f"The server {what} ({name} is off): what was confirmed is lost if its machine stops.")
        return out

    def scrub(self) -> None:
        """Make the room of removed rows free for others; the server's log and its backups are its operator's."""
        for table in TABLES:
            self.execute(f"VACUUM {table}")

    def hurry(self) -> None:
        """Wait hardly at all for other writers from here on."""
        self._hurried = True
        with suppress(self._psycopg.Error):
            self._db.execute("SET lock_timeout TO 100")

    def close(self) -> None:
        """Stop the heartbeat and end the connection; nothing is raised."""
        if self._heart is not None:
            self._heart.stop()
        with suppress(self._psycopg.Error):
            self._db.close()

    # inside

    def _connected(self) -> "psycopg.Connection[Any]":
        db = self._psycopg.connect(
            self.place.url,
            autocommit=True,
            connect_timeout=CONNECT_S,
            application_name="dryfloor",
            keepalives_idle=10,
            keepalives_interval=5,
            keepalives_count=3,
            tcp_user_timeout=15_000,
        )
        db.prepare_threshold = None  # a balancer of connections may give each transaction another one
        for sql in SESSION:
            db.execute(sql.encode())
        return db

    def _again(self) -> None:
        if not (self._db.closed or self._db.broken):
            return
        if self._refused is not None and time.monotonic() < self._refused[0]:
            # Whoever comes after one who waited in vain need not wait as long.
            raise self._psycopg.OperationalError(str(self._refused[1]))
        begun = time.monotonic()
        try:
            self._db = self._connected()
        except self._psycopg.Error as error:
            now = time.monotonic()
            self._refused = (now + REST_S, error) if now - begun > SLOW_S else None
            raise
        self._refused = None
        if self._hurried:
            self._db.execute("SET lock_timeout TO 100")

    def _tried(self, work: "Callable[[], psycopg.Cursor[Any]]") -> "psycopg.Cursor[Any]":
        """Do what may be done twice; a connection that turns out to be lost is made again once."""
        self._again()
        try:
            return work()
        except self._psycopg.Error:
            if not self._db.closed:
                raise
            self._again()
            return work()

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[None]:
        self._tried(lambda: self._db.execute(begin.encode()))
        self._inside = True
        try:
            yield
            if begin == "BEGIN":
                self._commit()
            else:
                self._db.execute("ROLLBACK")
        except BaseException:
            with suppress(self._psycopg.Error):
                self._db.execute("ROLLBACK")
            raise
        finally:
            self._inside = False

    def _commit(self) -> None:
        """End a transaction; where the connection is lost meanwhile, find out how it ended."""
        found = self._db.execute("SELECT txid_current_if_assigned()").fetchone()
        try:
            self._db.execute("COMMIT")
        except self._psycopg.Error:
            number = found[0] if found else None
            if number is None or not self._db.closed:
                raise  # nothing was written, or the server says itself that it was undone
            self._doubt = number
            self._inside = False
            if not self.settle():
                raise

    def _prepare(self) -> None:
        """See which version is there, and bring it to this one."""
        version = self._version()
        if version > schema.VERSION:
            raise InvalidInputError([newer(self.place, version)])
        if version == schema.VERSION:
            return
        if not self._write and not version:
            raise FileNotFoundError(2, "there is no such store", str(self.place))
        with self.writing():
            self.execute(
                "SELECT pg_advisory_xact_lock(?)", (schema.MARK,)
            )  # another process may make it at this moment
            version = self._version()
            if version >= schema.VERSION:
                return
            self.execute("CREATE SCHEMA IF NOT EXISTS dryfloor")
            for step in schema.SERVER_STEPS[version:]:
                for sql in step.split(";\n"):
                    if sql.strip():
                        self.execute(sql)
            self.execute("DELETE FROM version")
            self.execute("INSERT INTO version(number) VALUES(?)", (schema.VERSION,))

    def _version(self) -> int:
        # Looked for in the catalogue's rows: a name that was not there is remembered as such until the transaction ends.
        there = "SELECT 1 FROM pg_tables WHERE schemaname='dryfloor' AND tablename='version'"
        if not self.execute(there).fetchone():
            return 0
        found = self.execute("SELECT number FROM version").fetchone()
        return int(found[0]) if found else 0


class Heart:
    """Renews the leases of this process until it is stopped, by a connection of its own; one that is lost is made again at the next beat.

    Parameters
    ----------
    connect : callable
        Gives a connection.
    me : (str, int, str, str)
        As `lock.me`.
    """

    def __init__(self, connect: Any, me: tuple[str, int, str, str]) -> None:
        self._connect = connect
        self._me = me
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._beat, name="leases", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End it."""
        self._end.set()

    def _beat(self) -> None:
        sql = b"UPDATE holds SET seen=clock_timestamp() WHERE host=%s AND process=%s AND born=%s AND boot=%s"
        db: Any = None
        while not self._end.wait(BEAT_S):
            try:
                if db is None or db.closed or db.broken:
                    db = self._connect()
                db.execute(sql, self._me)
            except Exception:
                # Whatever it was, the next beat tries again; a lease that runs out is said where something is to be kept.
                continue
        if db is not None:
            with suppress(Exception):
                db.close()
