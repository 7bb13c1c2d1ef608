"""Where the store is, and how the journals of before come into it: each once, none lost, the files left in place renamed."""

from __future__ import annotations

import argparse
from contextlib import suppress
from pathlib import Path

from .env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Literal

    from .store import Store

NAME = "cases.db"
DONE = ".imported"  # what the name of a journal ends in once its case is in the store


def where(args: argparse.Namespace, env: Env) -> Path | Literal[':memory:']:
    """Return the store's file: that of `--store`, else the usual one."""
    named = getattr(args, "store", None)
    if named == ":memory:":
        return ":memory:"
    return Path(named) if named else env.data_dir / NAME


def there(args: argparse.Namespace, env: Env) -> bool:
    """Return whether there is anything to open: a store, or journals of before. Nothing is imported to know that."""
    place = where(args, env)
    if place == ":memory:":
        return False
    return Path(place).exists() or (not args.store and any(_journals(env)))


def settled(args: argparse.Namespace, env: Env) -> Path | None:
    """Return the store's file where there is one, and nothing is to be brought into it first."""
    place = where(args, env)
    if place == ":memory:" or not Path(place).exists() or (not args.store and any(_journals(env))):
        return None
    return Path(place)


def open_store(args: argparse.Namespace, env: Env, *, write: bool = True) -> Store:
    """Return the store, with the journals of before in it where it is the usual one.

    Parameters
    ----------
    args : Namespace
        `--store` counts.
    env : Env
    write : bool
        False where it is only read; a store that is not there is then refused.

    Raises
    ------
    Refused
        As `Store.open`.
    """
    from .store import Store

    place = where(args, env)
    old = [] if getattr(args, "store", None) else _journals(env)
    store = Store.open(place, write=write or bool(old))
    if old:
        try:
            carry_over(store, old)
        except BaseException:
            store.close()
            raise
    return store


def _journals(env: Env) -> list[Path]:
    with suppress(OSError):
        return sorted((env.data_dir / "cases").glob("*.jsonl"))
    return []


def carry_over(store: Store, journals: list[Path]) -> list[str]:
    """Bring journals into the store and return the new cases; one that an older walk still writes is left for the next time.

    Each is brought over in one write under its own name, and its file renamed after that: a kill in between makes no second
    case of it.
    """
    from ..engine.standing import told
    from .journal import hold, read

    out = []
    for path in journals:
        try:
            with open(path, "rb") as file:
                if not hold(file):
                    continue
                events = read(path)
                if told(events) and store.carried(path.name) is None:
                    stat = path.stat()
                    with store.together():
                        case = store.begin(journal=path.name)
                        for event in events:
                            store.add(case, event)
                        store.date(case, int(stat.st_mtime * 1000))
                    out.append(case)
                path.rename(path.with_name(path.name + DONE))
        except OSError:
            continue
    return out


def traces(store_path: Path, data: Path, case: str, journal: str) -> list[Path]:
    """Return the files beside the store that hold a case too: its hand-over, and the journal that it was taken from."""
    from .book import beside

    found = [beside(store_path, case)]
    if journal.endswith(".jsonl"):
        old = data / "cases" / journal
        found += [old, old.with_name(old.name + DONE), old.with_suffix(".yaml"), old.with_suffix(".old")]
    return [path for path in found if path.exists()]
