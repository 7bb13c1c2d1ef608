"""What a pen wrote on a sheet: an answer by its words, its letter, a count or an ok, read as one of the kb's; or a question back."""

import re

from .. import model
from ..advice import Card, Choice
from ..errors import Problem, nearest
from .interpret import pick

# As it must be: the last answer of a look.
RIGHT = ("ok", "okay", "o.k.", "good", "fine", "pass", "passed", "\u2713", "\u2714")
LETTERS = "abcdefghijklmnopqrstuvwxyz"
COUNTS = re.compile(r"^(\d{1,3})\s*(?:/|of|out of)\s*(\d{1,3})(?:\s+(?:out|in the bag|counted))?$")
WORD, LITTLE = re.compile(r"[a-z0-9]+"), 3  # words of so many letters carry nothing by themselves
ALL, FEWER = "N of N", "M of N"  # in `pen`: a count that is whole, and one that is not


def lettered(choices: dict[str, str]) -> str:
    """Return answers as a sheet prints them: each with the letter that stands for it.

    Examples
    --------
    >>> lettered({"rocks": "it rocks", "firm": "it stands firm"})
    'a) it rocks | b) it stands firm'
    """
    return " | ".join(f"{letter}) {says}" for letter, says in zip(LETTERS, choices.values(), strict=False))


def answer(check: model.Check, text: str, fitted: int | None = None) -> tuple[str | None, Problem | None]:
    """Return which answer of a look was written, or what is wrong with it.

    Parameters
    ----------
    check : Check
        With answers.
    text : str
        As it stands on the line.
    fitted : int, optional
        How many restraints the machine's own sheet says were fitted: a bare count is held against it.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> checks = load_kb().checks
    >>> [answer(checks["restraints-counted"], t)[0] for t in ("4 of 4", "3/4", "ok", "B")]
    ['all-out', 'never-out', 'all-out', 'all-out']
    >>> answer(checks["drain-hose-in-hook"], "tied")[0], answer(checks["outlet-holes"], "3")[0]
    ('held', 'three-holes')
    >>> answer(checks["rocks-by-hand"], "maybe")[1].code
    'C021'
    """
    pens = {a: [*x.pen, *x.hear] for a, x in check.answers.items()}
    says = {a: x.says for a, x in check.answers.items()}
    low = _low(text)
    counted = _counted(pens, low, fitted)
    if isinstance(counted, Problem):
        return None, counted
    found = counted or _written(says, pens, low)
    if found is None and low in RIGHT:
        found = [*says][-1]
    return (
        (found, None) if found else (None, _problem("C021", f"'{check.id}' has no answer '{text}'", text, says, True))
    )


def option(fact: model.Fact, text: str) -> tuple[str | None, Problem | None]:
    """Return which option of a fact was written, or what is wrong with it.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> facts = load_kb().facts
    >>> option(facts["floor"], "wood")[0], option(facts["dryer-beside"], "Gas dryer")[0], option(facts["supply-system"], "120")[0]
    ('wood-joists', 'gas-dryer', 'us-120')
    """
    says = {o: x.says for o, x in fact.options.items()}
    found = _written(says, {o: [*x.pen, *x.hear] for o, x in fact.options.items()}, _low(text))
    return (
        (found, None) if found else (None, _problem("C013", f"'{fact.id}' has no option '{text}'", text, says, False))
    )


def _low(text: str) -> str:
    return " ".join(text.lower().strip().rstrip(".!").split())


def _counted(pens: dict[str, list[str]], low: str, fitted: int | None) -> str | Problem | None:
    """Return what a count says, where the answers are counts at all."""
    whole = next((a for a, some in pens.items() if ALL in some), None)
    fewer = next((a for a, some in pens.items() if FEWER in some), None)
    of = COUNTS.match(low)
    if whole is None or not (of or low.isdecimal()):
        return None
    out, all_ = (int(of[1]), int(of[2])) if of else (int(low[:3]), fitted)
    if all_ is None or (fitted is not None and all_ != fitted) or out > all_ or not all_:
        said = f"{fitted} were fitted, by the machine's sheet" if fitted else "how many were fitted is not known here"
        n = fitted or 4
        return Problem(
            code="C021",
            message=f"'{low}' counts nothing that can be held against what was fitted: {said}",
            expected=f"how many came out of how many: {n} of {n}",
            mend=f"count both, and write them like {n} of {n}",
        )
    return whole if out == all_ else fewer


def _written(says: dict[str, str], pens: dict[str, list[str]], low: str) -> str | None:
    """Return the answer whose id, letter, words or pen words were written; else the one that the words stand for and no other."""
    for name, text in says.items():
        if low.replace(" ", "-") == name or low in (_low(text), *(_low(p) for p in pens[name])):
            return name
    if len(low.rstrip(")")) == 1 and low[0] in LETTERS:
        return dict(zip(LETTERS, says, strict=False)).get(low[0])
    if not low or low.isdecimal():
        return None  # a bare number is no place in a list that nobody printed
    choices = [Choice(id=a, says=t) for a, t in says.items()]
    found = pick(Card(kind="check", id="", title="", choices=choices), low)[0]
    # On paper nobody is asked back: a word that is only like one of ours is refused with the nearest, not guessed at.
    known = {w for t in (says[found], found) for w in WORD.findall(t.lower())} if found else set()
    return found if all(w in known for w in WORD.findall(low) if len(w) > LITTLE) else None


def _problem(code: str, message: str, text: str, says: dict[str, str], look: bool) -> Problem:
    ok = ", or ok where the last one is so" if look else ""
    return Problem(
        code=code,
        message=message,
        expected=lettered(says),
        nearest=nearest(_low(text), [n.replace("-", " ") for n in says]) or nearest(_low(text), says.values()),
        mend=f"write one of these behind the colon, or its letter{ok}; or leave the line empty",
    )
