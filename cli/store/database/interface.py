"""What the store asks of a database: statements that every one understands, transactions, locks, and who holds a case.

The statements of `store.py`, `replay.py` and `verify.py` are plain SQL with `?` for a value, so that they mean the same in a file and on a server;
what a database says in words of its own stands in its own module (`file.py`, `server.py`).
"""

from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from typing import Any, Protocol

from .errors import StorePlace


class Rows(Protocol):
    """What a statement gave."""

    @property
    def rowcount(self) -> int:
        """How many rows it touched."""
        ...

    def fetchone(self) -> Any:
        """Return the next row, or None."""
        ...

    def fetchall(self) -> list[Any]:
        """Return all rows that are left."""
        ...

    def __iter__(self) -> Iterator[Any]: ...


class Database(Protocol):
    """A place where rows are kept; of one thread."""

    leases: bool  # a mark of who holds a case ends by itself where its holder is gone, wherever that is
    rows_again: str  # the table of rows, as it is read where its index may be damaged
    id_again: str  # a case's id, the same

    @property
    def place(self) -> StorePlace:
        """Where it is."""
        ...

    def execute(self, sql: str, values: Sequence[object] = ()) -> Rows:
        """Do one statement, `?` for each value."""
        ...

    def writing(self) -> AbstractContextManager[None]:
        """One transaction: on disk at its end, or undone."""
        ...

    def reading(self) -> AbstractContextManager[None]:
        """Read everything as of one moment."""
        ...

    def alone(self, case: str) -> None:
        """Keep others from writing to a case until this transaction ends."""
        ...

    def holder(self, case: object) -> Any:
        """Return who holds a case, as `lock.holder`."""
        ...

    def mark(self, case: str, since: int) -> None:
        """Put the mark of this process on a case, since when [ms since 1970, UTC]; a mark that stood there goes."""
        ...

    def unmark(self, case: str) -> bool:
        """Take the mark of this process off a case; return whether there was one."""
        ...

    def settle(self) -> bool:
        """Return whether the transaction of which nobody knew how it ended was kept; False where there was none, or it was undone."""
        ...

    def is_damage(self, error: Exception) -> bool:
        """Return whether an error says that what is kept is damaged, and not that it can't be reached."""
        ...

    def unsound(self) -> list[str]:
        """Return what the database itself finds wrong with what it keeps, in sentences."""
        ...

    def scrub(self) -> None:
        """Leave nothing of removed rows where it is kept."""
        ...

    def hurry(self) -> None:
        """Wait hardly at all for other writers from here on."""
        ...

    def close(self) -> None:
        """End the connection; nothing is raised."""
        ...
