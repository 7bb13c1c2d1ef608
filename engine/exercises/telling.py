"""How somebody says what they complain of: a phrase of the kb that fits the place, is of the right side, and gives no fault away."""

from functools import lru_cache

from ..diagnosis.network import Network
from ..language.matching import hear
from ..language.tokens import clauses
from ..language.word_pieces import piece_table
from ..simulation.world import Installation
from .claims import borne_out
from .together import Stage, denies, reach

# A word that so many of a complaint's phrases have tells of the complaint and not of a cause (judgement) [-].
COMMON = 0.06
LEAST_PHRASES = 8  # to be drawn from
# Words that say what is the matter, whatever the cause is called; and words that say of a place what need not be so.
NAMING = "clogged blocked plugged kinked cracked worn broken burst torn loose stuck defective bulge gasket rubber swapped reversed backwards"
SAYS_OF_PLACE = {
    "drain": {"pipe": "standpipe", "standpipe": "standpipe", "sink": "tub", "tub": "tub"},
    "machine": {"lid": "top-loader", "door": "front-loader", "porthole": "front-loader"},
    "onset": {"new": "new"},
}
# A complaint that has two sides: which is meant goes by what the matter is called; and words that say more than they may.
FOAM = ("foam", "suds", "soap", "bubble", "froth", "dose", "detergent", "powder", "residue")
SMELL = ("smell", "stink", "stench", "musty", "mold", "mildew", "sour", "whiff", "odor")
TWO_SIDED = {"suds-or-smell": (FOAM, SMELL)}
ONE_SIDED = ("cold", "hot", "warm", "scald", "boil", "steam", "cook", "shr")
SAYS_TOO_MUCH = {"wrong-temperature": ONE_SIDED}
DRAINS = ("standpipe-overflow", "siphons", "no-drain")  # complaints in which a pipe or a sink is that of the drain


def words(network: Network, site: Installation, complaint: str) -> str:
    """Return how somebody says a complaint: a phrase of the kb that fits what brings it about, names no fault, and denies nothing else that is told.

    Parameters
    ----------
    network : Network
    site : DrillSite
    complaint : str
    """
    kb = network.kb
    record = kb.complaints[complaint]
    others = [(c, told) for told, own in site.origins.items() if told != complaint for c in own]
    beside = max((reach(network, kb.causes[c], told).least for c, told in others), default=Stage.DEAD)
    # However usual a word is for a complaint: of the faults at work none of their own is said, but for what the complaint is called by.
    away = {s for c in site.causes for s in _stems(kb.causes[c].title)} - _stems(record.title)
    nearest_first = _fitting(network, complaint, tuple(sorted(site.origins[complaint])))
    near = max(LEAST_PHRASES, len(nearest_first) // 3)
    drawn = sorted(nearest_first[:near], key=lambda p: site.draw(f"said|{complaint}|{p}"))
    for phrase in [*drawn, *nearest_first[near:]]:
        heard = hear(phrase, kb)
        named = [m.complaint for m in heard.complaints if m.likely][:1]
        facts = all(site.facts.get(f.fact) == f.option for f in heard.facts) and _in_place(site, complaint, phrase)
        denied = denies(phrase)
        if (denied is not None and denied <= beside) or _stems(phrase) & away:
            continue
        meant = named == [complaint] and facts and not heard.hazards and not heard.answers
        if meant and borne_out(network, site, complaint, phrase):
            return phrase
    return record.says


def _stems(text: str) -> set[str]:
    return {t.stem for c in clauses(text) for t in c.tokens}


def _on_its_side(complaint: str, phrase: str, matter: str) -> bool:
    """Return whether a phrase tells of that side of a complaint which the matter has, and no more than it may.

    Examples
    --------
    >>> _on_its_side("suds-or-smell", "a lot of foam", "Too much detergent")
    True
    >>> _on_its_side("suds-or-smell", "a lot of foam", "Trap dried out")
    False
    """

    def has(text: str, words: tuple[str, ...]) -> bool:
        return any(w in text.lower() for w in words)

    if has(phrase, SAYS_TOO_MUCH.get(complaint, ())):
        return False
    if complaint not in TWO_SIDED:
        return True
    first, second = TWO_SIDED[complaint]
    return has(phrase, first if has(matter, first) and not has(matter, second) else second)


@lru_cache(1024)
def _fitting(network: Network, complaint: str, causes: tuple[str, ...]) -> tuple[str, ...]:
    """Return the phrases, nearest in meaning to the complaint and to what is the matter first: a foot that lifts makes no motor whine."""
    kb = network.kb
    matter = " ".join(f"{kb.causes[c].title} {kb.causes[c].says}" for c in causes)
    phrases = tuple(p for p in _neutral(network, complaint) if _on_its_side(complaint, p, matter))
    table = piece_table()
    at = [table.vector(p) for p in phrases]
    wholes = [sum(at[1:], at[0]), *(table.vector(kb.causes[c].says) for c in causes)] if at else []
    near = {
        p: round(sum(float(own @ v) / (float(v @ v) ** 0.5 or 1.0) for v in wholes), 3)
        for p, own in zip(phrases, at, strict=True)
    }
    # Whole numbers behind them, and rounded: the same order everywhere.
    return tuple(sorted(phrases, key=lambda p: (-near[p], p)))


def _in_place(site: Installation, complaint: str, phrase: str) -> bool:
    """Return whether what a phrase says of the place is so."""
    said = {w.strip(",.") for w in phrase.lower().split()}
    return all(
        site.facts.get(fact) == option
        for fact, means in SAYS_OF_PLACE.items()
        for word, option in means.items()
        if word in said and (fact != "drain" or complaint in DRAINS)
    )


@lru_cache(256)
def _neutral(network: Network, complaint: str) -> tuple[str, ...]:
    """Return the phrases of a complaint that give neither a cause, nor a fact, away."""
    kb = network.kb
    stems = {p: _stems(p) for p in dict.fromkeys(kb.complaints[complaint].hear)}
    count: dict[str, int] = {}
    for own in stems.values():
        for s in own:
            count[s] = count.get(s, 0) + 1
    common = {s for s, n in count.items() if n >= COMMON * len(stems)}
    telling: set[str] = set()
    for cause in network.shown[f"complaint:{complaint}"]:
        telling |= {t.stem for c in clauses(f"{kb.causes[cause].title}. {cause.replace('-', ' ')}") for t in c.tokens}
    for fact in kb.facts.values():
        for option in fact.options.values():
            for phrase in option.hear:
                telling |= {t.stem for c in clauses(phrase) for t in c.tokens}
    telling -= common
    telling |= {t.stem for c in clauses(NAMING) for t in c.tokens}
    return tuple(p for p, own in stems.items() if not own & telling)
