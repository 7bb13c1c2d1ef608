"""What is wrong with a person's file or answer: where, what was expected, the nearest match, how to mend it."""

from collections.abc import Iterable
from difflib import SequenceMatcher

from msgspec import Struct, structs

# Of many problems so many are shown, and of what a person wrote so many letters round the fault [-].
MOST_SHOWN, EXCERPT = 20, 200
# The letters of each other field: an answer of MOST_SHOWN problems stays below 256 kB however they are written [-].
FIELDS = {"message": 400, "expected": 600, "nearest": 100, "mend": 300, "file": 300}
# A known word is offered where it is at least so like what was written, 0 to 1 (judgement) [-].
ALIKE = 0.55


class Problem(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One mistake, placed and explained; `shown` is its line, or where that is long the part round the column."""

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
            column = self.column - _begins(self.column)
            start = max(0, column - 60)
            line = self.shown if len(self.shown) <= EXCERPT else excerpt(self.shown, self.column)
            shown = line[start : start + 100].replace("\t", " ")
            out += [head + shown, " " * (len(head) + column - 1 - start) + "^"]
        out += [
            f"  {name}: {text}"
            for name, text in (("expected", self.expected), ("nearest", self.nearest), ("mend", self.mend))
            if text
        ]
        return out


class InvalidInputError(Exception):
    """Input that can't be used, with the problems found in it; `kb` where it is the kb and not a person's file.

    `more` counts problems beside these that were found and not kept.
    """

    def __init__(self, problems: Iterable[Problem], kb: bool = False, more: int = 0) -> None:
        self.problems = list(problems)
        self.kb = kb
        self.more = more
        super().__init__("\n".join(line for p in self.problems for line in p.lines()))


def shown_problems(problems: Iterable[Problem], more: int = 0) -> list[Problem]:
    """Return the first problems as they are shown, each cut to an excerpt, and one that says how many more there are.

    Parameters
    ----------
    problems : iterable of Problem
    more : int
        How many were counted and not kept [-].

    Examples
    --------
    >>> [p.message for p in shown_problems([Problem(code="C012", message="x" * 999)] * 25)][-1]
    'and 5 more'
    """
    every = list(problems)
    out = [_cut(p) for p in every[:MOST_SHOWN]]
    more += len(every) - len(out)
    if more > 0:
        out.append(Problem(code="U007", message=f"and {more:,} more", mend="mend these first, then look again"))
    return out


def _cut(problem: Problem) -> Problem:
    """Return a problem whose texts are no longer than can be read, its line cut round the fault."""
    change = {n: cut(getattr(problem, n), most) for n, most in FIELDS.items() if len(getattr(problem, n)) > most}
    if len(problem.shown) > EXCERPT:
        change["shown"] = excerpt(problem.shown, problem.column)
    return structs.replace(problem, **change) if change else problem


def cut(text: str, most: int) -> str:
    """Return a text of at most so many letters, its middle left out where it is longer.

    Examples
    --------
    >>> cut("abcdefghijkl", 9)
    'abc … jkl'
    """
    if len(text) <= most:
        return text
    kept = most - 3
    return f"{text[: (kept + 1) // 2]} … {text[len(text) - kept // 2 :]}"


def excerpt(line: str, column: int) -> str:
    """Return at most EXCERPT letters of a line round a column, counted from 1; a short line is kept whole.

    Examples
    --------
    >>> excerpt("role: dsk", 7)
    'role: dsk'
    >>> excerpt("x" * 5000 + "y" + "z" * 5000, 5001).count("x")
    100
    """
    start = _begins(column)
    return line[start : start + EXCERPT]


def _begins(column: int) -> int:
    """Return how many letters of a line its excerpt leaves out before a column: it follows from the column alone."""
    return 0 if column <= EXCERPT else column - 1 - EXCERPT // 2


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word closest to `word`, or an empty string: what `difflib.get_close_matches` gives for one word.

    A longest common subsequence is no shorter than difflib's blocks, so its ratio, which is quick, says which few words are worth
    comparing: a large kb knows thousands, and one file that is missing leaves hundreds of unknown names.

    Examples
    --------
    >>> nearest("siphon", ["siphons", "walks"])
    'siphons'
    """
    if len(word) > EXCERPT:  # no slip of the pen
        return ""
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
