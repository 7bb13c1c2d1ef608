"""What a pen adds to an answer: a sign that nothing was seen, a remark behind it, a hedge before it, a not."""

import re

# A line with one of these is as good as empty: nobody looked, or nobody knows.
NOTHING = frozenset(
    (
        "?", "??", "???", "-", "--", "---", "–", "—", ".", "/", "n/a", "na", "n.a", "not applicable", "does not apply", "dk", "don't know",
        "dont know", "do not know", "doesn't know", "does not know", "not known", "unknown", "no idea", "not sure", "unsure", "can't tell",
        "cant tell", "cannot tell", "could not tell", "couldn't tell", "can't say", "can't see", "cant see", "cannot see", "could not see",
        "couldn't see", "not checked", "not seen", "not measured", "not looked at", "not looked", "not tested", "not done", "not yet",
        "did not look", "didn't look", "did not check", "didn't check", "did not measure", "didn't measure", "not asked", "skip", "skipped",
        "tbd", "to do", "todo", "later",
    )
)  # fmt: skip
NOT = re.compile(
    r"\b(?:not|no|none|nothing|never|nobody|neither|nor|without|cannot|non|hardly|barely)\b"
    r"|\b(?:is|are|was|were|do|does|did|has|have|had|ca|wo|would|could|should)n'?t\b"
)
# What turns an answer round, or takes some of it back; with one of these behind it, it is not read without it.
TURNS = re.compile(
    r"\b(?:but|except|apart|although|though|however|unless|until|yet|still|almost|nearly|only|one|other|rather|instead|then|was|were|"
    r"maybe|perhaps|probably|possibly|guess|think|thinks|believe|seems?|should|might|could|supposed|says?|said|told|claims?|"
    r"needs?|fix|fixed|mend|mended|replace|replaced|repair|redo|later|tomorrow|sometimes|slight|slightly|bit|little|some|"
    r"leak\w*|drip\w*|weep\w*|wet|damp|crack\w*|split|burst|bulg\w*|loose|broken|bad|wrong|worn|missing|fail\w*|danger\w*|unsafe|burn\w*|"
    r"smell\w*|smok\w*|spark\w*|shock\w*|tingl\w*|rust\w*|rott\w*|rot|soft|short|stuck|stiff|kink\w*|trip\w*|melt\w*|brown\w*)\b"
)
CUT = re.compile(r"\s*[(\[,;]\s*|\s+[-\u2013\u2014]+\s+|\.\s+|:\s+")  # behind these a remark begins
HEDGE = re.compile(
    r"(?:about|approx(?:imately|\.)?|around|roughly|circa|ca\.?|some|say|maybe|~|\u2248)\s*(?=[\d.\u00bc-\u00be\u2150-\u215e])",
    re.I,
)
OR_SO = re.compile(
    r"[\s,]*\b(?:or so|or thereabouts|more or less|roughly|approx(?:imately)?\.?|ish|about)$|(?<=\d)[- ]?ish$|\s*\?$",
    re.I,
)
# A bound is no reading: over 4 ft may be 5.
BOUND = re.compile(
    r"\b(?:at least|at most|less than|more than|over|under|below|above|up to|max\w*|min(?:imum)?(?!\w)|no more|no less|beyond|past|nearly|almost)\b|[<>\u2264\u2265]",
    re.I,
)


def low(text: str) -> str:
    """Return a text in small letters, one blank between its words, without a full stop at its end.

    Examples
    --------
    >>> low("  It  Rocks. ")
    'it rocks'
    """
    return " ".join(text.lower().replace("\u2019", "'").strip().rstrip(".!").split())


def says_nothing(text: str) -> bool:
    """Return whether a line says no more than that nobody looked, or that nobody knows.

    Examples
    --------
    >>> [says_nothing(t) for t in ("?", "n/a", "-", "Not checked.", "dry", "no")]
    [True, True, True, True, False, False]
    """
    return low(text) in NOTHING or text.strip() in NOTHING


def without_remark(text: str) -> tuple[str, str]:
    """Return an answer and the remark behind it, cut at the first sign that parts them; no remark where there is no such sign.

    Examples
    --------
    >>> without_remark("dry (checked twice)"), without_remark("31 in, measured from slab"), without_remark("dry")
    (('dry', 'checked twice'), ('31 in', 'measured from slab'), ('dry', ''))
    """
    found = CUT.search(text)
    if not found or not text[: found.start()].strip():
        return text, ""
    return text[: found.start()].strip(), text[found.end() :].strip().rstrip(")]").strip()


def passes(remark: str) -> bool:
    """Return whether a remark takes nothing back of the answer before it.

    Examples
    --------
    >>> [passes(t) for t in ("checked twice", "but the hot one drips", "not the left one", "I think", "see photo")]
    [True, False, False, False, True]
    """
    return not (NOT.search(low(remark)) or TURNS.search(low(remark)) or "?" in remark)


def without_not(text: str) -> str | None:
    """Return what a text denies, or None where it denies nothing.

    Examples
    --------
    >>> without_not("not crossed"), without_not("it doesn't rock"), without_not("crossed")
    ('crossed', 'it rock', None)
    """
    if not NOT.search(text):
        return None
    return " ".join(NOT.sub(" ", text, count=1).split())


def unhedged(text: str) -> tuple[str, bool]:
    """Return a reading without the word that it is only about so much, and whether such a word is there.

    Examples
    --------
    >>> unhedged("about 4 ft"), unhedged("~4 ft"), unhedged("31 in or so"), unhedged("31 in")
    (('4 ft', True), ('4 ft', True), ('31 in', True), ('31 in', False))
    """
    bare = (
        OR_SO.sub("", HEDGE.sub("", text.strip(), count=1)).strip()
        if HEDGE.match(text.strip())
        else OR_SO.sub("", text.strip()).strip()
    )
    return (bare, True) if bare and bare != text.strip() else (text, False)
