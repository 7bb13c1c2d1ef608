"""Where the store is, and how the journals of before come into it: each once, none lost, the files left in place renamed."""

from __future__ import annotations

import argparse
import os
import stat
from contextlib import suppress
from pathlib import Path

from ..terminal.env import Env
from .database.place import ServerPlace, server_place

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Literal

NAME = "cases.db"
DONE = ".imported"  # what the name of a journal ends in once its case is in the store


def where(args: argparse.Namespace, env: Env) -> Path | ServerPlace | Literal[":memory:"]:
    """Return the store's place: that of `--store`, else the usual file."""
    named = getattr(args, "store", None)
    if named == ":memory:":
        return ":memory:"
    if server := server_place(named):
        return server
    if named:
        _check(named)
    return Path(named) if named else env.data_dir / NAME


def _check(named: str) -> None:
    """Refuse what can never hold a store: to open a pipe would wait for whoever never comes."""
    try:
        mode = os.stat(named).st_mode
    except (FileNotFoundError, NotADirectoryError):
        return
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
    else:
        if stat.S_ISREG(mode) or stat.S_ISDIR(mode):
            return
        why = "it is a pipe or a device, not a file"
    from ...engine.errors import InvalidInputError, Problem

    message = f"no store can be there: {why}"
    raise InvalidInputError([Problem(code="J022", file=named, message=message, mend="name a file after --store")])


def there(args: argparse.Namespace, env: Env) -> bool:
    """Return whether there is anything to open: a store, or journals of before. Nothing is imported to know that."""
    place = where(args, env)
    if place == ":memory:" or isinstance(place, ServerPlace):
        return place != ":memory:"
    return Path(place).exists() or (not args.store and any(_journals(env)))


def settled(args: argparse.Namespace, env: Env) -> Path | None:
    """Return the store's file where there is one, and nothing is to be brought into it first."""
    place = where(args, env)
    if (
        place == ":memory:"
        or isinstance(place, ServerPlace)
        or not Path(place).exists()
        or (not args.store and any(_journals(env)))
    ):
        return None
    return Path(place)


def _journals(env: Env) -> list[Path]:
    with suppress(OSError):
        return sorted((env.data_dir / "cases").glob("*.jsonl"))
    return []


def traces(store_path: Path, data: Path, case: str, journal: str) -> list[Path]:
    """Return the files beside the store that hold a case too: its hand-over, and the journal that it was taken from."""
    found = [beside(store_path, case)]
    if journal.endswith(".jsonl"):
        old = data / "cases" / journal
        found += [old, old.with_name(old.name + DONE), old.with_suffix(".yaml"), old.with_suffix(".old")]
    return [path for path in found if path.exists()]


def beside(store: Path, case: str) -> Path:
    """Return the hand-over file of a case, beside its store."""
    return store.with_name(f"{case}.yaml")
