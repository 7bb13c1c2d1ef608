"""Cases in a file, one a line, to be carried where no network is: each line carries its own checksum, so that a cut or damaged one is told.

The first line says what the file is; a link to a case is in none of them, for a link is a key.
"""

from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from ...engine.errors import InvalidInputError, Problem
from .carrying import CaseRecord
from .database.checksums import LAST_MS, checksum

FORM = "dryfloor cases"
VERSION = 1
ID_LETTERS = 6


class Line(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A case with the checksum of all that is in it."""

    case: msgspec.Raw
    sum: int


def lines(records: Iterable[CaseRecord]) -> Iterator[str]:
    """Yield the lines of a file of cases.

    Parameters
    ----------
    records : iterable of CaseRecord
    """
    yield msgspec.json.encode({"file": FORM, "version": VERSION}).decode()
    for record in records:
        raw = msgspec.json.encode(record)
        yield msgspec.json.encode(Line(msgspec.Raw(raw), checksum(raw))).decode()


def records(raw: Iterable[bytes], name: str) -> Iterator[CaseRecord | Problem]:
    """Yield the cases of a file, and in their place what is wrong with a line.

    Parameters
    ----------
    raw : iterable of bytes
        Its lines.
    name : str
        What to call it.

    Raises
    ------
    InvalidInputError
        Where it is no such file, or of a newer version.
    """
    rest = iter(raw)
    first = _json(next(rest, b""))
    if not isinstance(first, dict) or first.get("file") != FORM:
        raise InvalidInputError(
            [
                Problem(
                    code="J025",
                    file=name,
                    line=1,
                    column=1,
                    message="this is no file of kept cases",
                    expected="what dryfloor export --all wrote",
                    mend="one case in a case file is taken up with: dryfloor walk --case FILE",
                )
            ]
        )
    if first.get("version") != VERSION:
        raise InvalidInputError(
            [
                Problem(
                    code="J012",
                    file=name,
                    line=1,
                    column=1,
                    message=f"these cases were written by another dryfloor (its version is {first.get('version')}, this one reads {VERSION})",
                    expected="a dryfloor as new as the file",
                    mend="install the newer dryfloor; the file is left as it is",
                )
            ]
        )
    for number, text in enumerate(rest, 2):
        if text.strip():
            yield _record(text, name, number)


def _record(text: bytes, name: str, number: int) -> CaseRecord | Problem:
    try:
        line = msgspec.json.decode(text, type=Line)
        whole = line.sum == checksum(bytes(line.case))
        found = msgspec.json.decode(line.case, type=CaseRecord) if whole else None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        found = None
    if found is None or not _fit(found):
        return Problem(
            code="J026",
            file=name,
            line=number,
            column=1,
            message="this case is cut off or damaged, and is left out",
            expected="the line as it was written",
            mend="export it again where it came from; all other cases of the file are taken in",
        )
    return found


def _fit(record: CaseRecord) -> bool:
    """Return whether a store could have written it."""
    ids = [record.id, *([record.earlier] if record.earlier else [])]
    return (
        all(len(x) == ID_LETTERS and x.isascii() and x.isalnum() and x == x.upper() for x in ids)
        and all(0 <= at <= LAST_MS for at in (record.began, record.touched))
        and all(at is None or 0 <= at <= LAST_MS for at in (*record.times, *(m[0] for m in record.marks)))
        and record.declined in (0, 1)
        and not any(
            "\x00" in text
            for text in (
                record.reference,
                record.kb,
                record.journal,
                record.shown,
                *record.bodies,
                *(m[1] for m in record.marks),
            )
        )
    )


def _json(raw: bytes) -> Any:
    try:
        return msgspec.json.decode(raw)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return None
