"""Which choice of a card some typed words mean: its number, its id, its start, or words that stand in it and in no other."""

import re

from ..advice import Card, Choice
from ..errors import Problem, nearest

WORD = re.compile(r"[^\W_]+")
NOT = re.compile(
    r"\b(?:no|not|none|nothing|never|nobody|nowhere|neither|nor|without|cannot)\b"
    r"|\b(?:is|are|was|were|do|does|did|has|have|had|ca|wo|would|could|should)n'?t\b"
)
# Words that carry no answer, and words that would fit more than one; alone they choose nothing.
EMPTY = frozenset(
    WORD.findall(
        "a an and apart are as at be been by can did do does for from had has have i in is it its just me my of on or "
        "s see so t than that the their them then there these they think this those to was we were what when where "
        "which with would yes you your"
    )
)
VAGUE = frozenset(
    WORD.findall(
        "all any bit bad better fine good left little lot more much normal off okay ok one only other out right "
        "some sort still thing too up very well wrong"
    )
)
ALIKE = 83.0  # one slip in a word of five letters [0 to 100]
BARE = {
    **dict.fromkeys(("no", "n", "nope"), re.compile(r"(no|none|nothing|nobody|never)\b")),
    **dict.fromkeys(("yes", "y", "yep", "yeah"), re.compile(r"yes\b")),
}


def pick(card: Card, low: str) -> tuple[str | None, Problem | None]:
    """Return the choice that typed words mean, or a question back.

    Its number, its id, its start, or words that stand in it and in no other. Likeness of the whole is not enough: "it
    is dry" is like "it is out", and "not taped" is like "taped".

    Parameters
    ----------
    card : Card
    low : str
        What was typed, in small letters.

    Examples
    --------
    >>> c = Card(kind="check", id="x", title="", choices=[Choice(id="taped", says="taped round"), Choice(id="loose", says="a gap")])
    >>> pick(c, "it's taped")[0], pick(c, "not taped")[0], pick(c, "2")[0]
    ('taped', None, 'loose')
    """
    choices = card.choices
    exact = [c.id for c in choices if low in (c.id, c.says.lower())]
    if exact:
        return exact[0], None
    if low.isdecimal():
        n = int(low)
        if 1 <= n <= len(choices):
            return choices[n - 1].id, None
        return None, Problem(
            code="A002",
            message=f"there is no choice {low[:20]}",
            expected=f"1 to {len(choices)}",
            mend="type its number or its words",
        )
    found = _starting(choices, low) or _worded(choices, low)
    if len(found) == 1:
        return found[0], None
    says = {c.says.lower(): c.id for c in choices}
    near = nearest(low, says) or nearest(low, says.values())
    return None, Problem(
        code="A003",
        message=f"'{low[:60]}' could mean more than one of these" if found else f"'{low[:60]}' is none of these",
        expected="one of " + ", ".join(c.id for c in choices),
        nearest=near,
        mend="type its number or its words; where none fits, type none of these, and then your own words",
    )


def _starting(choices: list[Choice], low: str) -> list[str]:
    """Return the choices that begin with what was typed; a bare no or yes begins only an answer that says so."""
    if low in BARE:
        return [c.id for c in choices if BARE[low].match(c.says.lower())]
    if len(low) < 3 or low == "not" or not (set(telling(low)) - VAGUE or NOT.search(low)):
        return []
    return [c.id for c in choices if c.says.lower().startswith(low) or c.id.startswith(low.replace(" ", "-"))]


def _worded(choices: list[Choice], low: str) -> list[str]:
    """Return the choices that hold every telling word that was typed; words with a "not" among them are asked back."""
    typed = telling(low)
    if NOT.search(low) or not set(typed) - VAGUE:
        return []
    from rapidfuzz import fuzz

    def same(w: str, x: str) -> bool:
        return w == x

    def alike(w: str, x: str) -> bool:
        return w == x or (len(w) > 3 and fuzz.ratio(w, x) > ALIKE)

    for match in (same, alike):
        found, agree = set(), set()
        for c in choices:
            for text in (c.says.lower(), c.id.replace("-", " ")):
                words = telling(text)
                if all(any(match(w, x) for x in words) for w in typed):
                    found.add(c.id)
                    if not NOT.search(text) and 2 * len(set(typed) - VAGUE) >= len(set(words) - VAGUE):
                        agree.add(c.id)
        # Two that hold the words leave it open, and so does one that holds them beside a "not" or in passing.
        if found:
            return sorted(found if len(found) > 1 else agree)
    return []


def telling(text: str) -> list[str]:
    """Return the words of a text that may choose an answer, in their order."""
    return [w for w in WORD.findall(NOT.sub(" ", text)) if w not in EMPTY]
