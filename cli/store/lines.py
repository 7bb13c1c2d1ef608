"""What a list shows of cases, remembered as long as they don't change: who opens the list again reads only those that went on.

A case's own row has the checksum of its last row, when it was touched and how many notes wait, so it is another one after every write. What is damaged is
never remembered; damage that comes later is told when the case is opened, or goes on.
"""

import threading
from collections.abc import Iterable
from typing import Any

MOST_LINES = 20_000  # cases that are remembered, some kB each


class Lines:
    """Remembers the lines and events of cases by their rows; of any number of threads.

    Examples
    --------
    >>> lines = Lines(most=2)
    >>> for name in ("a", "b", "c"): lines.put(name, (name, 1), name.upper())
    >>> lines.get("a", ("a", 1)), lines.get("c", ("c", 1)), lines.get("c", ("c", 2))
    ('A', None, None)
    >>> lines.only(["b"]), lines.get("a", ("a", 1)), lines.get("b", ("b", 1))
    (None, None, 'B')
    """

    def __init__(self, most: int = MOST_LINES) -> None:
        self.most = most
        self._known: dict[object, tuple[Any, Any]] = {}
        self._lock = threading.Lock()

    def get(self, name: object, row: Any) -> Any:
        """Return what was put for a case whose row is the same still, or None."""
        with self._lock:
            found = self._known.get(name)
            return found[1] if found is not None and found[0] == row else None

    def put(self, name: object, row: Any, what: Any) -> None:
        """Remember something of a case as long as its row is this one; where there is no more room, what is known already stays."""
        with self._lock:
            if name in self._known or len(self._known) < self.most:
                self._known[name] = (row, what)

    def only(self, names: Iterable[object]) -> None:
        """Forget all cases but these: whatever was said in one that was removed is nowhere any more."""
        there = set(names)
        with self._lock:
            for name in self._known.keys() - there:
                del self._known[name]
