"""The case file that a walk goes on with: found wanting before the first question, written whole after every answer."""

import os
import stat
from contextlib import suppress
from pathlib import Path

from ...engine.errors import InvalidInputError, Problem


class CaseKeep:
    """Writes a case file whole or not at all.

    Parameters
    ----------
    path : Path
        The file; it need not exist yet.
    mend : str
        What a person can do where it can't be written.

    Raises
    ------
    InvalidInputError
        If a file can't be written there, before anybody was asked anything.
    """

    def __init__(self, path: Path, mend: str = "name another file after --case") -> None:
        self.path = path
        self.mend = mend
        try:
            target = path.resolve()
            what = _unfit(target)
        except (OSError, RuntimeError) as error:  # a name that is too long, links that lead in a circle
            what = getattr(error, "strerror", None) or "its links lead in a circle"
        if what:
            raise InvalidInputError([self._problem(what)])
        if not os.access(target.parent, os.W_OK) or (target.exists() and not os.access(target, os.W_OK)):
            raise InvalidInputError([self._problem("permission denied")])

    def _problem(self, why: str) -> Problem:
        return Problem(
            code="J002",
            file=str(self.path),
            message=f"the case can't be written there: {why}",
            expected="a file in a folder that you may write to",
            mend=self.mend,
        )

    def write(self, text: str) -> None:
        """Put text in place of the file.

        Raises
        ------
        InvalidInputError
            If it can't be written; the file is then what it was before.
        """
        target = self.path.resolve()
        temp = target.with_name(f".{target.name}.{os.getpid()}")
        try:
            with open(temp, "w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            os.replace(temp, target)
        except OSError as error:
            with suppress(OSError):
                temp.unlink(missing_ok=True)
            raise InvalidInputError([self._problem(error.strerror or str(error))]) from error


def _unfit(target: Path) -> str:
    """Return why a case file can't stand there, or an empty text."""
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return "" if target.parent.is_dir() else "its folder does not exist"
    if stat.S_ISDIR(mode):
        return "is a folder"
    return "" if stat.S_ISREG(mode) else "it is a pipe or a device, not a file"
