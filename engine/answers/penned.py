"""What a pen wrote on a sheet: an answer by its words, its letter, a count or an ok, read as one of the kb's; or a question back."""

import re
from collections.abc import Iterable
from typing import NamedTuple

from .. import model
from ..advice import Card, Choice
from ..errors import Problem, nearest
from .asides import NOT, low, passes, without_not, without_remark
from .picking import VAGUE, pick, telling

# As it must be: the last answer of a look.
YES_OR_NO = {
    **dict.fromkeys(("y", "yep", "yup", "yeah", "yes"), "yes"),
    **dict.fromkeys(("n", "nope", "nah", "no"), "no"),
}
RIGHT = ("ok", "okay", "o.k.", "good", "fine", "pass", "passed", "\u2713", "\u2714")
LETTERS = "abcdefghijklmnopqrstuvwxyz"
COUNTS = re.compile(r"^(\d{1,3})\s*(?:/|of|out of)\s*(\d{1,3})(?:\s+(?:out|removed|in the bag|counted))?$")
COUNT = re.compile(r"\d{1,3}\s*(?:/|of|out of)\s*\d{1,3}")  # anywhere in a remark
ALL_OF = re.compile(r"^all (\d{1,3})(?: of them)?(?: bolts| rods)?(?: are| came| is)?(?: out| removed| counted)?$")
WORD, LITTLE = re.compile(r"[a-z0-9]+"), 3  # words of so many letters carry nothing by themselves
ALL, FEWER = "N of N", "M of N"  # in `pen`: a count that is whole, and one that is not
PART = re.compile(r"\s*[;,]\s*|\s+or\s+")  # between what an answer lists, any of which makes it so
TOGETHER = re.compile(r"\band\b|\bbut\b|\bthough\b")  # an answer with one of these is all of it, or not at all
OPENS = re.compile(r"^(?:it is|it's|its|it|they are|they're|is|are|all is|all|a|an|the|one is|one)\s+")
SIDES = 2  # answers of which denying one is saying the other
STRONGER = re.compile(
    r"\b(?:still|bone|all|completely|totally|perfectly|really|very|nice and|now)\b"
)  # an answer is the same without
SHORT_NOT = re.compile(r"\b(is|are|was|were|do|does|did|has|have|had|would|could|should)n'?t\b")
UN = ("un", "non-", "non", "dis", "in", "im")  # before a word: its opposite


MARK = re.compile(
    r"^(?P<head>[a-z]|ok|okay|o\.k|yes|yep|yup|yeah|no|nope|nah)(?P<sign>\s*[,;):.\u2013\u2014-]+\s*|\s+)(?P<rest>\S.*)$"
)
BARE = frozenset(("yes", "no", "none", "ok", "one", "both", "all"))  # say nothing of which answer without a question
IDLE = frozenset(WORD.findall("both all one the and for are not with into out its has was"))  # tell nothing
LIKE = 0.7  # how like two words are of which one is a slip for the other
COUNTER = (
    ("open", "closed"),
    ("open", "shut"),
    ("on", "off"),
    ("in", "out"),
    ("hot", "cold"),
    ("up", "down"),
    ("wet", "dry"),
)
LONG = 7  # letters of a word in which one may be wrong: in a shorter one it makes another word, tapped of taped
VOWEL = re.compile(r"[aeiou]")
UNSURE = re.compile(
    r"\b(?:but|except|maybe|perhaps|probably|possibly|guess|think|should|might|could|supposed|said|told|was|were|used to|"
    r"removed|replaced|gone|instead|unplugged|before|yesterday|tomorrow|later|nearly|almost)\b"
)
# Words that say where or that it is, and nothing of how it is.
WHERE = frozenset(
    WORD.findall(
        "it is its are they them of in on at to by the a an this that there here behind beside under over near machine washer wall and "
        "with now today checked seen all both each every wide"
    )
)
# A word that names an option and may as well say where another one stands: alone amid others it is not read.
PLACES = frozenset(WORD.findall("floor door lid top wall box sink pipe tub basement upstairs house kitchen garage"))


class Read(NamedTuple):
    """An answer that was read: which, and the remark behind it that was let go."""

    answer: str
    remark: str = ""


def lettered(choices: dict[str, str]) -> str:
    """Return answers as a sheet prints them: each with the letter that stands for it.

    Examples
    --------
    >>> lettered({"rocks": "it rocks", "firm": "it stands firm"})
    'a) it rocks | b) it stands firm'
    """
    return " | ".join(f"{letter}) {says}" for letter, says in zip(LETTERS, choices.values(), strict=False))


def typed_at(record: model.Check | model.Fact, text: str) -> tuple[str | None, bool]:
    """Return the answer or option that a line typed at a card names by the words that a sheet takes, and whether it surely does.

    No letters and no bare ok: a card numbers its choices, and an ok may mean that it was read. Words that are only heard as an answer in a story,
    and those that deny one of more than two, are to be asked about.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> typed_at(kb.checks["rocks-by-hand"], "still rocks"), typed_at(kb.checks["drain-hose-in-hook"], "zip tied still")
    (('rocks', True), ('held', True))
    """
    some = record.answers if isinstance(record, model.Check) else record.options
    heard = {low(h) for x in some.values() for h in x.hear if h not in x.pen}
    words = low(text)
    for line in dict.fromkeys((words, _steady(words))):
        head = without_remark(line)[0]
        if len(head) < LITTLE or head in RIGHT or head in YES_OR_NO or not set(telling(head)) - VAGUE:
            continue
        found = answer(record, line)[0] if isinstance(record, model.Check) else option(record, line)[0]
        if found:
            return found, line not in heard and head not in heard and not (NOT.search(line) and len(some) > SIDES)
    return None, False


def _steady(words: str) -> str:
    """Return words without what only makes them stronger, where nothing in them is denied."""
    return words if NOT.search(words) else " ".join(STRONGER.sub(" ", words).split())


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
    read, problem = looked(check, text, fitted)
    return (read.answer if read else None), problem


def looked(check: model.Check, text: str, fitted: int | None = None) -> tuple[Read | None, Problem | None]:
    """Return which answer of a look was written with the remark behind it, or what is wrong with it.

    A remark is let go where it takes nothing back and names no other answer. A denied answer is read as the other of two, never as itself.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> checks = load_kb().checks
    >>> looked(checks["drip-rate"], "dry (checked twice)")[0], looked(checks["drip-rate"], "dry, but the hot one drips")[0]
    (Read(answer='dry', remark='checked twice'), None)
    >>> looked(checks["hoses-crossed"], "not crossed")[0].answer
    'matched'
    """
    pens = {a: [*x.pen, *x.hear] for a, x in check.answers.items()}
    says = {a: x.says for a, x in check.answers.items()}
    right = [*says][-1]
    words = low(text)
    counted = _counted(pens, words, fitted)
    if isinstance(counted, Problem):
        return None, counted
    found = counted or _meant(says, pens, words, right)
    if found:
        return Read(found), None
    head, remark = without_remark(words)
    if remark and passes(remark) and not _named(says, pens, remark):
        counted = _counted(pens, head, fitted)
        found = (counted if isinstance(counted, str) else None) or _meant(says, pens, head, right)
        if found and not _gainsaid(says, pens, Read(found, remark), fitted):
            return Read(found, remark), None
    if remark and _meant(says, pens, remark, "") and _meant(says, pens, head, "") == _meant(says, pens, remark, ""):
        return Read(str(_meant(says, pens, head, "")), remark), None  # said twice, in other words
    read = _marked(says, pens, words, right) or _amid(says, pens, words, right) or _slip(says, pens, words)
    if read and not _gainsaid(says, pens, read, fitted):
        return read, None
    return None, _problem("C021", f"'{check.id}' has no answer '{text}'", text, says, pens, True)


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
    pens = {o: [*x.pen, *x.hear] for o, x in fact.options.items()}
    words = low(text)
    found = _meant(says, pens, words, "")
    if not found:
        head, remark = without_remark(words)
        if remark and passes(remark) and not _named(says, pens, remark):
            found = _meant(says, pens, head, "")
            found = None if found and _gainsaid(says, pens, Read(found, remark), None) else found
    if not found:
        read = _marked(says, pens, words, "") or _amid(says, pens, words, "") or _slip(says, pens, words)
        found = read.answer if read and not _gainsaid(says, pens, read, None) else None
    if found:
        return found, None
    return None, _problem("C013", f"'{fact.id}' has no option '{text}'", text, says, pens, False)


def _meant(says: dict[str, str], pens: dict[str, list[str]], words: str, right: str) -> str | None:
    """Return the answer that words name, the other of two where they deny one, or the right one where they say no more than ok."""
    words = YES_OR_NO.get(words, words)
    return _written(says, pens, words) or _denied(says, pens, words) or (right if right and words in RIGHT else None)


def _terms(says: dict[str, str], pens: dict[str, list[str]], name: str) -> list[str]:
    """Return the words that name one answer: its id, what it says, and the pen's."""
    return [t for t in map(low, (name.replace("-", " "), says[name], *pens[name])) if t and t not in BARE]


def _holds(text: str, term: str) -> bool:
    """Return whether a term stands in a text, word for word."""
    return bool(WORD.findall(term)) and f" {' '.join(WORD.findall(term))} " in f" {' '.join(WORD.findall(text))} "


def _marked(says: dict[str, str], pens: dict[str, list[str]], words: str, right: str) -> Read | None:
    """Return the answer whose letter, or whose ok, yes or no, stands before words that take nothing back and name no other answer.

    With no more than a blank behind them, a and i are words, and a no denies what follows: these are not read so.
    """
    cut = MARK.match(words)
    if not cut:
        return None
    head, remark = cut["head"], cut["rest"].strip().rstrip(")]").strip()
    if cut["sign"].isspace() and (head in ("a", "i") or YES_OR_NO.get(head) == "no"):
        return None
    found = _meant(says, pens, head, right)
    if not found:
        return None
    if _meant(says, pens, remark, "") == found:
        return Read(found, remark)
    own = [t for t in _terms(says, pens, found) if _holds(remark, t)]
    if len(NOT.findall(remark)) > max((len(NOT.findall(t)) for t in own), default=0):
        return None
    left = " ".join(WORD.findall(remark))
    for term in own:  # what the answer says of itself takes nothing back
        left = f" {left} ".replace(f" {' '.join(WORD.findall(term))} ", " ").strip()
    if cut["sign"].isspace() and UNSURE.search(left):
        return None
    others = {n: x for n, x in says.items() if n != found}
    return None if not passes(left) or "?" in remark or _named(others, pens, left) else Read(found, remark)


def _amid(says: dict[str, str], pens: dict[str, list[str]], words: str, right: str) -> Read | None:
    """Return the answer whose own words stand before, behind or amid others, where no other answer is named and nothing denied.

    What is as it must be is read so only where the other words say no more than where it is: a wrong one is rather looked at once more.
    """
    mark = MARK.match(words)
    if mark and mark["head"] not in ("a", "i") and _meant(says, pens, mark["head"], right):
        return None  # a letter that its own words did not bear out
    own = {n: [t for t in _terms(says, pens, n) if len(t) > LITTLE and _holds(words, t)] for n in says}
    named = [n for n in own if own[n]]
    if len(named) != 1:
        return None
    found = named[0]
    longest = max(own[found], key=len)
    term = " ".join(WORD.findall(longest))
    before, _, behind = f" {' '.join(WORD.findall(words))} ".partition(f" {term} ")
    rest = f"{before} {behind}".split()
    if not rest or len(NOT.findall(words)) > len(NOT.findall(longest)) or "?" in words or UNSURE.search(words):
        return None
    listed = [t for n, x in says.items() if n != found for t in _parts(low(x))]
    if any(len(t) >= LITTLE and _holds(" ".join(rest), t) for t in listed):
        return None  # a coin and lint: both
    where = all(w in WHERE for w in rest)
    if found == right and not where:
        return None
    if not right and not where and (" " not in term and ((before.strip() and behind.strip()) or term in PLACES)):
        return None
    return Read(found, " ".join(rest))


def _slip(says: dict[str, str], pens: dict[str, list[str]], words: str) -> Read | None:
    """Return the answer that is one letter, a joined word or an abbreviation away, where no other is."""
    near = {n for n in says if any(_near(words, t) for t in _not_opposite(words, _terms(says, pens, n)))}
    return Read(near.pop()) if len(near) == 1 else None


def _near(words: str, term: str) -> bool:
    """Return whether a text is a term but for a letter, a blank or a missing vowel."""
    from rapidfuzz.distance import Levenshtein

    a, b = WORD.findall(words.replace("'", "")), WORD.findall(term.replace("'", ""))
    one, other = "".join(a), "".join(b)
    if len(one) > LITTLE and one == other:
        return True
    if len(a) == len(b) == 1 and len(one) >= LITTLE and one[0] == other[0] and VOWEL.sub("", one) == one:
        return len(other) > len(one) and VOWEL.sub("", other) == one
    off = [(x, y) for x, y in zip(a, b, strict=True) if x != y] if len(a) == len(b) else []
    return (
        len(off) == 1
        and min(map(len, off[0])) >= LONG
        and off[0][0][0] == off[0][1][0]
        and Levenshtein.distance(*off[0]) == 1
    )


def _denied(says: dict[str, str], pens: dict[str, list[str]], words: str) -> str | None:
    """Return the other of two answers where one is denied by its name; a denied part of an answer says nothing of its other parts."""
    rest = without_not(words)
    if rest is None or len(says) != 2 or NOT.search(rest):
        return None
    rest = _plain(rest)
    named = [
        n
        for n in says
        if any(
            rest in (t, t.removesuffix("s"))
            for t in map(_plain, (n.replace("-", " "), low(says[n]), *map(low, pens[n])))
        )
    ]
    return next((n for n in says if n not in named), None) if len(named) == 1 else None


def _plain(text: str) -> str:
    """Return words without those before them that say nothing: it is, a, the."""
    while (found := OPENS.match(text)) and text[found.end() :]:
        text = text[found.end() :]
    return text


def _full(text: str) -> str:
    """Return words with a short not written in full: didn't and didnt are one."""
    return SHORT_NOT.sub(r"\1 not", text)


def _parts(text: str) -> list[str]:
    """Return what an answer lists with an or, any of which makes it so; nothing of one that is so only with all its parts."""
    return [] if TOGETHER.search(text) or not re.search(r"\bor\b", text) else [_plain(t) for t in PART.split(text) if t]


def _named(says: dict[str, str], pens: dict[str, list[str]], remark: str) -> bool:
    """Return whether a remark names an answer, or what one lists: then it is no remark."""
    rest = f" {' '.join(WORD.findall(remark))} "
    every = {low(t) for n in says for t in (n.replace("-", " "), says[n], *pens[n], *_parts(low(says[n])))} - {
        "no",
        "yes",
        "none",
    }
    return any(f" {' '.join(WORD.findall(t))} " in rest for t in every if t and not t.isdecimal())


def _gainsaid(says: dict[str, str], pens: dict[str, list[str]], read: Read, fitted: int | None) -> bool:
    """Return whether the remark behind an answer is another answer by itself, or counts to one."""
    counts = [_counted(pens, m, fitted) for m in COUNT.findall(read.remark)]
    others = [c for c in (*counts, _meant(says, pens, read.remark, "")) if isinstance(c, str)]
    return any(c != read.answer for c in others)


def _counted(pens: dict[str, list[str]], words: str, fitted: int | None) -> str | Problem | None:
    """Return what a count says, where the answers are counts at all."""
    whole = next((a for a, some in pens.items() if ALL in some), None)
    fewer = next((a for a, some in pens.items() if FEWER in some), None)
    of, every = COUNTS.match(words), ALL_OF.match(words)
    if whole is None or not (of or every or words.isdecimal()):
        return None
    if every and (fitted is None or int(every[1]) == fitted):
        return whole
    out, all_ = (int(of[1]), int(of[2])) if of else (int(every[1] if every else words[:3]), fitted)
    if all_ is None or (fitted is not None and all_ != fitted) or out > all_ or not all_:
        said = f"{fitted} were fitted, by the machine's sheet" if fitted else "how many were fitted is not known here"
        n = fitted or 4
        return Problem(
            code="C021",
            message=f"'{words}' counts nothing that can be held against what was fitted: {said}",
            expected=f"how many came out of how many: {n} of {n}",
            mend=f"count both, and write them like {n} of {n}",
        )
    return whole if out == all_ else fewer


def _written(says: dict[str, str], pens: dict[str, list[str]], words: str) -> str | None:
    """Return the answer whose id, letter, words or pen words were written; else the one that the words stand for and no other."""
    for name, text in says.items():
        if words.replace(" ", "-") == name or _full(words) in (
            _full(low(text)),
            *(_full(low(p)) for p in pens[name]),
        ):
            return name
    if len(words.rstrip(")")) == 1 and words[0] in LETTERS:
        return dict(zip(LETTERS, says, strict=False)).get(words[0])
    if not words or words.isdecimal():
        return None  # a bare number is no place in a list that nobody printed
    listed = [n for n, text in says.items() if _plain(words) in _parts(low(text))]
    if len(listed) == 1:
        return listed[0]
    choices = [Choice(id=a, says=t) for a, t in says.items()]
    found = pick(Card(kind="check", id="", title="", choices=choices), words)[0]
    # On paper nobody is asked back: a word that is only like one of ours is refused with the nearest, not guessed at.
    known = {w for t in (says[found], found) for w in WORD.findall(t.lower())} if found else set()
    return found if all(w in known for w in WORD.findall(words) if len(w) > LITTLE or UNSURE.fullmatch(w)) else None


def _problem(
    code: str, message: str, text: str, says: dict[str, str], pens: dict[str, list[str]], look: bool
) -> Problem:
    ok = ", or ok where the last one is so" if look else ""
    # What says the opposite is never offered as what was meant, however like it looks.
    alike = [n.replace("-", " ") for n in says], [*says.values()], [p for n in says for p in pens[n]]
    near = next((found for some in alike if (found := nearest(low(text), _not_opposite(low(text), some)))), "")
    return Problem(
        code=code,
        message=message,
        expected=lettered(says),
        nearest=near,
        mend=f"write one of these behind the colon, or its letter{ok}; or leave the line empty",
    )


def _not_opposite(words: str, some: Iterable[str]) -> list[str]:
    """Return texts without those that say the opposite of some words: one of the two denies, or begins with un-."""
    denies = bool(NOT.search(words))

    def opposite(text: str) -> bool:
        return any(f" {u}{x}" in f" {y}" for u in UN for x, y in ((text, words), (words, text)))

    return [t for t in some if bool(NOT.search(low(t))) == denies and not opposite(low(t)) and _shares(words, low(t))]


def _shares(words: str, text: str) -> bool:
    """Return whether two texts share a word that tells, or one like it, and neither has the counterpart of the other's."""
    from rapidfuzz.distance import Levenshtein

    one, other = (set(WORD.findall(t.replace("'", ""))) for t in (words, text))
    if any(
        (a in one and b in other and a not in other) or (b in one and a in other and b not in other) for a, b in COUNTER
    ):
        return False
    # Of two things the text says one and of the other another: the words are there, and not together.
    if other < one and not _holds(words, text):
        return False
    telling = (one - IDLE, other - IDLE)
    return any(
        x == y or x in y or y in x or Levenshtein.normalized_similarity(x, y) >= LIKE
        for x in telling[0] for y in telling[1] if min(len(x), len(y)) >= LITTLE
    ) or "".join(WORD.findall(words)) == "".join(WORD.findall(text)) or _near(words, text)  # fmt: skip
