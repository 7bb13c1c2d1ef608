"""A person's words made comparable: clauses of stemmed tokens, each with its polarity, and what the clause talks about.

Nothing here knows the kb; `hear.py` does the matching. The word lists are kept short on purpose: how people say a thing
belongs in the kb's `hear` phrases, and only the glue of the language stands here.
"""

import re
import unicodedata
from functools import lru_cache
from typing import Literal, NamedTuple

HEARD_MAX = 4000  # characters; a story is told by then, and the work stays bounded
TOKENS_MAX = 400
CLAUSES_MAX = 60
SUBJECT_WORDS = 80  # words of a clause that are looked at for what it talks about
SCOPE = 3  # tokens after a "not" that it turns round

Subject = Literal["washer", "other", "unsaid"]


class Token(NamedTuple):
    """One word that carries meaning.

    Parameters
    ----------
    form
        as it was said, lower case
    stem
        its stem, for comparing
    negated
        True inside the reach of a "not", "no", "never" or "without"
    """

    form: str
    stem: str
    negated: bool


class Clause(NamedTuple):
    """A stretch of a story that says one thing.

    Parameters
    ----------
    tokens
        words that carry meaning, in order
    subject
        what it talks about: the washer, another thing, or nothing named
    other
        the name of that other thing, or ""
    article
        True where its first token follows an article or a "my": then that token names a thing
    """

    tokens: tuple[Token, ...]
    subject: Subject
    other: str
    article: bool


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


_STOP = _set(
    "a an the my our your his her their its it i we you he she they me us them him this that these those is are was"
    " were be been being am do does did have has had having will would can could should may might just really very so"
    " such some any of to and or as at by for with if then than s m re ve ll d t there here what why how which who"
    " thing thingy stuff like please hi hello hey thanks thank kind sort bit lot quite pretty seem seems think guess"
    " know problem trouble issue"
)
_WASHED = r"clothes|laundry|wash|washing|towels|sheets|jeans|shirts|load"
_SPLIT = re.compile(
    r"[.;:!?,\n()\"]+|\s-+\s|\b(?:and|but|then|also|plus|because|however|although|so|though)\b"
    rf"|\b(?:since|as)\b(?= (?:(?:the|my|our|all) )*(?:{_WASHED})\b)"
)
_ELSEWHERE = re.compile(  # but "water comes up in the shower" is a drain that backs up
    r"^(?!.*\b(?:it|backs?|up|gurgles?)\b).*\b(?:in|at|on) (?:the|my|our) (shower|bathroom|bedroom|bath|road|street|yard|garden|lawn|attic|office|car)\b"
)
_LAUNDRY = re.compile(rf"(?:(?:the|my|our|all|whole|these) )*(?:{_WASHED})\b")
_NEGATORS = _set("not no never nobody without nothing none neither nor hardly barely")
_SUBORDINATE = _set("since after when whenever while until before where")
_CONTRACTED = re.compile(r"\b(?:(?:wo|do|does|did|is|ca|could|would|was|are|were|has|have|had|ai|should)n'?t|cannot)\b")
_WORD = re.compile(r"[a-z]+|\d+")
_IRREGULAR = {
    "ran": "run", "running": "run", "froze": "freez", "frozen": "freez", "spun": "spin", "shook": "shak",
    "shaken": "shak", "came": "com", "went": "go", "goes": "go", "going": "go", "gone": "go", "stood": "stand",
    "fell": "fal", "blew": "blow", "feet": "foot", "sat": "sit", "kept": "keep", "thru": "through", "accross": "across",
    "broke": "break", "broken": "break", "machine": "washer", "machines": "washer", "shrunk": "shrink", "shrank": "shrink",
    "blown": "blow", "wrung": "wring", "died": "dead", "dies": "dead", "louder": "loud",
    "wetter": "wet", "slower": "slow", "colder": "cold", "hotter": "hot", "dimmer": "dim", "dimming": "dim",
    "dimmed": "dim", "tripping": "trip", "tripped": "trip", "smelly": "smel", "foamy": "foam", "sudsy": "foam",
    "noisier": "nois", "noisy": "nois", "spinning": "spin", "humming": "hum", "lite": "light", "lites": "light",
    "drane": "drain", "dranes": "drain", "draning": "drain",
}  # fmt: skip
_SAME = {  # words that name one thing in a laundry room; symptoms stay apart, since they tell complaints apart
    "clothes": "clothing garments towels sheets jeans shirts blankets trousers pants jumpers linens linen bedding duvet",
    "display": "screen readout",
    "soak": "sopping drenched soggy sodden waterlogged",
    "noise": "sound racket din",
    "basement": "cellar",
    "faucet": "tap spigot",
    "light": "lamp bulb",
    "foam": "suds bubble froth lather",
    "smell": "stink reek odor odour stench pong whiff stank",
    "outlet": "socket receptacle",
    "power": "electricity juice current",
    "strange": "odd weird funny peculiar",
    "mold": "mould mildew",
    "gasket": "seal",
    "lukewarm": "tepid",
}
_SAID_AS = [
    (re.compile(r"\b(?:clothes|laundry|washing|wash)\s*-?\s*machines?\b|\bclothes washers?\b"), "washer"),
    (re.compile(r"\b(front|top)\s*-?\s*load(?:er|ers|ing)?\b"), r"\1loader"),
    (re.compile(r"\b(?:second|third|upper|2nd|3rd) floor\b"), "upstairs"),
    (re.compile(r"\b(?:not|never) (?:stop|quit)(?:s|ped)?(?= \w+ing\b)"), "keeps"),  # "won't stop leaking" is leaking
    (re.compile(r"\b(?:com|turn|switch|power)(?:e|es|s|ed|ing)? (?:back )?on\b"), "poweron"),
    (
        re.compile(r"\bnot (?:even )?start(?: up)?(?=\s*$|\s*[.,;:!?]| since| after| at all| any| and| but)"),
        "not poweron",
    ),
    (re.compile(r"\b(?:push|hit|press)(?:es|s|ed|ing)?(?: the)? start\b(?: button| key)?"), "press start"),
    (re.compile(r"\b(?:not|never) (?:even )?(?:when|while|during)\b[^.,;:!?]*"), ","),  # says when it does not happen
    (re.compile(r"\bno idea\b|\bnot (?:sure|certain)\b|\bno matter\b|\bnot only\b|\bnot? problems?\b"), ","),
]
_PLACED = _set("beside besides stacked top adjacent")
_ARTICLES = _set("a an the my our your his her their")
_WASHER = _set("washer washers loader frontloader toploader laundry")
_OTHER = _set(
    "dishwasher toilet dryer drier oven stove cooker fridge refrigerator freezer car truck bus bike shower bathtub bath"
    " microwave kettle phone computer laptop printer tv television roof gutter radiator boiler furnace thermostat"
    " conditioner ac disposal dog cat baby kid sprinkler wiper humidifier dehumidifier jacuzzi aquarium driveway vacuum"
    " fan radio stereo grill blender mixer toaster boat motorcycle mower lawnmower blower chainsaw generator drone elevator piano guitar headphones mattress sofa"
)
_OTHER_PAIRS = _set(
    "street-lights car-lights street-light kitchen-faucet kitchen-tap kitchen-sink bathroom-faucet bathroom-sink garden-hose fish-tank ice-maker hot-tub"
    " water-heater heat-pump sump-pump pool-pump pond-pump fountain-pump swimming-pool coffee-machine coffee-maker sewing-machine dish-washer"
    " dishwashing-machine water-bottle garage-door bathroom-ceiling wiper-washer windshield-washer pressure-washer car-wash"
)
_SIDES = _set("top front back side bottom left right inside outside underneath out end corner edge")
_BESIDE = _set(
    "in into on onto to at by beside besides near under over behind next with from against above below off through"
    " like toward towards between and hear watch"
)


def stem(word: str) -> str:
    """Cut plural and verb endings off a word, so that its forms compare equal; the result need not be a word.

    Parameters
    ----------
    word
        lower-case letters or digits

    Returns
    -------
    str
        the stem

    Examples
    --------
    >>> [stem(w) for w in ("leaks", "leaking", "leaky", "leaked")]
    ['leak', 'leak', 'leak', 'leak']
    >>> stem("froze") == stem("freezing") == stem("frozen")
    True
    >>> stem("empties") == stem("emptying") == stem("empty")
    True
    """
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    root = _cut(word)
    return _SAME_STEM.get(root, root)


def _cut(word: str) -> str:
    if len(word) < 4:
        return word
    if len(word) > 5 and word.endswith("ly"):
        word = word[:-2]
    if word.endswith("ies"):
        word = word[:-3] + "y"
    elif word.endswith(("shes", "ches", "xes", "sses", "zes")):
        word = word[:-2]
    elif word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    for ending in ("ing", "ed"):
        root = word[: -len(ending)]
        if word.endswith(ending) and len(root) >= 3 and any(v in root for v in "aeiouy"):
            word = root
            break
    if len(word) > 4 and word.endswith("y"):
        word = word[:-1]
    if len(word) > 3 and word.endswith("e"):
        word = word[:-1]
    if len(word) > 3 and word[-1] == word[-2]:
        word = word[:-1]
    return word


_SAME_STEM = {_cut(w): _cut(head) for head, others in _SAME.items() for w in others.split()}

LIGHT = frozenset(
    map(
        stem,
        _set(
            "too even again ever since yet still now today yesterday about let get got gotten when while whenever where new brand"
            " garage porch shed cabin barn trailer camper cottage upstairs basement"
            " always sometimes go come put keep one time start washer wash loader in on"
        ),
    )
)  # stems that say how, when, where or which machine; they help to tell phrases apart and weigh little


def casefolded_words(text: str) -> str:
    """Reduce a text to lower-case ASCII with its contractions written out, cut at `HEARD_MAX` characters.

    Parameters
    ----------
    text
        anything a person may type or paste

    Returns
    -------
    str
        letters, digits and the marks that part clauses

    Examples
    --------
    >>> casefolded_words("It WON’T drain")
    'it not drain'
    """
    text = unicodedata.normalize("NFKD", text[:HEARD_MAX]).lower().replace("’", "'").replace("`", "'")
    text = text.replace("\u2018", "'").replace("\u2014", " - ").replace("\u2013", " - ").replace("w/o", "without")
    text = "".join(c for c in text if not unicodedata.combining(c))
    text = "".join(c if c.isascii() and (c.isprintable() or c == "\n") else " " for c in text)
    text = _CONTRACTED.sub("not", text)
    text = re.sub(r"[-/](?=[a-z])", " ", text)
    for said, meant in _SAID_AS:
        text = said.sub(meant, text)
    return text


def _subject(words: list[str], opened: bool) -> tuple[Subject, str]:
    """What a clause talks about: a thing beside, under or against which it happens is not its subject."""
    found: tuple[Subject, str] = "unsaid", ""
    skip = False
    # "a gas dryer sits next to it" says where the dryer is, not what it does
    words = words[:SUBJECT_WORDS]
    whole = " ".join(words)
    placed = not _PLACED.isdisjoint(words) or "next to" in whole
    likened = False
    for at, word in enumerate(words):
        likened = likened or (at > 0 and words[at - 1] in ("it", "like"))
        if skip:
            skip = False
            continue
        pair = "-".join(words[at : at + 2])
        aside = likened or any(w in _BESIDE for w in words[max(0, at - 2) : at])
        # "the screen of my laptop" is about the laptop, "on top of the dryer" is not about the dryer
        near = words[max(0, at - 3) : at]
        aside = aside or ("of" in near[1:] and near[near.index("of", 1) - 1] in _SIDES)
        aside = aside or words[max(0, at - 2) : at] == ["is", "a"]  # "the cellar is a swimming pool"
        if pair in _OTHER_PAIRS:
            skip = True
            if not aside and found[0] == "unsaid":
                found = "other", pair.replace("-", " ")
        elif word in _WASHER and not aside:
            return "washer", ""
        elif (word in _OTHER or word.rstrip("s") in _OTHER) and not aside and not placed and found[0] == "unsaid":
            found = "other", word
    if found[0] == "unsaid" and _LAUNDRY.match(whole):
        return "washer", ""  # "the dryer takes hours, because the clothes are so wet": what is wet came from the washer
    if found[0] == "unsaid" and not opened and (place := _ELSEWHERE.search(whole)):
        return "other", place[1]
    return found


def clauses(text: str) -> list[Clause]:
    """Split a story into clauses of stemmed tokens, and follow what it talks about from one to the next.

    Parameters
    ----------
    text
        a person's words

    Returns
    -------
    list of Clause
        without those that hold no telling word; a clause that names nothing ("it leaks") keeps the subject before it

    Examples
    --------
    >>> [[t.stem for t in c.tokens] for c in clauses("The washer doesn't leak, it shakes")]
    [['washer', 'leak'], ['shak']]
    >>> clauses("The washer doesn't leak")[0].tokens[1].negated
    True
    >>> [c.other for c in clauses("My dishwasher is old. It leaks.")]
    ['dishwasher', 'dishwasher']
    """
    return list(_clauses(text[:HEARD_MAX]))


@lru_cache(maxsize=8)  # a text is cut once for what was learnt and once for phrases
def _clauses(text: str) -> tuple[Clause, ...]:
    out: list[Clause] = []
    subject: Subject = "unsaid"
    other = ""
    left = TOKENS_MAX
    for part in _SPLIT.split(casefolded_words(text)):
        words = _WORD.findall(part)
        named, name = _subject(words, subject != "unsaid")
        if named != "unsaid":
            subject, other = named, name
        elif subject == "other" and not _WASHER.isdisjoint(words):
            subject, other = "washer", ""  # "the sink backs up, and the pipe by the washer runs over"
        tokens: list[Token] = []
        reach = 0
        article = False
        for at, word in enumerate(words):
            if word in _NEGATORS:
                reach = SCOPE
                continue
            if word in _SUBORDINATE:
                reach = 0
            if word not in _STOP and left > 0:
                article = article if tokens else at > 0 and words[at - 1] in _ARTICLES
                tokens.append(Token(word, stem(word), reach > 0))
                reach -= 1
                left -= 1
        if tokens:
            out.append(Clause(tuple(tokens), subject, other, article))
        if len(out) == CLAUSES_MAX:
            break
    return tuple(out)
