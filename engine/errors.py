"""What is wrong with a person's file or answer: where, what was expected, the nearest match, how to mend it."""

from collections.abc import Iterable
from difflib import SequenceMatcher

from msgspec import Struct

# A known word is offered where it is at least so like what was written, 0 to 1 (judgement) [-].
ALIKE = 0.55


class Problem(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One mistake, placed and explained."""

    code: str
    message: str
    file: str = ""
    line: int = 0
    column: int = 0
    shown: str = ""
    expected: str = ""
    nearest: str = ""
    mend: str = ""

    def lines(self) -> list[str]:
        """Return the problem as lines for a person, the faulty line with a caret under it.

        Examples
        --------
        >>> print("\\n".join(Problem(code="K002", message="unknown rule 'hight'", mend="correct the id").lines()))
        K002 unknown rule 'hight'
          mend: correct the id
        """
        place = f"{self.file}:{self.line}:{self.column} " if self.line else (f"{self.file} " if self.file else "")
        out = [f"{place}{self.code} {self.message}"]
        if self.shown and self.line:
            head = f"  {self.line} | "
            # Keep the caret on the screen for very long lines, and under its letter where there are tabs.
            start = max(0, self.column - 60)
            shown = self.shown[start : start + 100].replace("\t", " ")
            out += [head + shown, " " * (len(head) + self.column - 1 - start) + "^"]
        out += [
            f"  {name}: {text}"
            for name, text in (("expected", self.expected), ("nearest", self.nearest), ("mend", self.mend))
            if text
        ]
        return out


class InvalidInputError(Exception):
    """Input that can't be used, with every problem found in it; `kb` where it is the kb and not a person's file."""

    def __init__(self, problems: Iterable[Problem], kb: bool = False) -> None:
        self.problems = list(problems)
        self.kb = kb
        super().__init__("\n".join(line for p in self.problems for line in p.lines()))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word closest to `word`, or an empty string: what `difflib.get_close_matches` gives for one word.

    A longest common subsequence is no shorter than difflib's blocks, so its ratio, which is quick, says which few words are worth
    comparing: a large kb knows thousands, and one file that is missing leaves hundreds of unknown names.

    Examples
    --------
    >>> nearest("siphon", ["siphons", "walks"])
    'siphons'
    """
    from rapidfuzz import fuzz, process

    blocks = SequenceMatcher()
    blocks.set_seq2(word)
    best = (ALIKE, "")
    for name, most, _ in process.extract(
        word, list(known), scorer=fuzz.ratio, score_cutoff=100 * ALIKE - 1e-6, limit=None
    ):
        if most / 100 < best[0] - 1e-9:
            break
        blocks.set_seq1(name)
        best = max(best, (blocks.ratio(), name))
    return best[1]


def one_of(known: Iterable[str], most: int = 12) -> str:
    """Return 'one of a, b, c', cut short where the list is long.

    Examples
    --------
    >>> one_of(["b", "a"])
    'one of a, b'
    """
    names = sorted(known)
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return "one of " + ", ".join(names[:most]) + more


def in_order(problems: list[Problem]) -> list[Problem]:
    """Return problems sorted by file, line, column and code, each once."""
    return sorted(set(problems), key=lambda p: (p.file, p.line, p.column, p.code, p.message))
