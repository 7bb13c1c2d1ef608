"""Which faults can be in one house at once: their circumstances, what is seen of them, and how far a washing gets with each.

Two complaints are told of one machine. One that is dead does not walk, and one that keeps its water does not spin; what is told of a
second fault must be possible beside the first.
"""

from collections.abc import Iterable
from enum import IntEnum
from functools import lru_cache

from msgspec import Struct

from .. import model
from ..diagnosis.network import Network
from ..knowledge import graph
from ..language.tokens import clauses
from . import built
from .defining import surely_shown


class Stage(IntEnum):
    """How far a washing gets; a DRY one starts, and no water comes."""

    DEAD = 0
    LIT = 1
    DRY = 2
    FILLS = 3
    WASHES = 4
    EMPTIES = 5
    SPINS = 6


class Reach(Struct, frozen=True):
    """How far a washing must get for a complaint to be heard, and how far it gets at most where it is.

    `stays`: what is complained of is there while nothing runs, too; water that stays in the drum says not that it would start again.
    """

    least: Stage
    most: Stage = Stage.SPINS
    stays: bool = False


# By complaint; of one that is not here nothing is known, and it goes with all (judgement).
REACH = {
    "no-power": Reach(Stage.DEAD, Stage.DEAD),
    "freeze-damage": Reach(Stage.DEAD, Stage.DRY),
    "slow-fill": Reach(Stage.DRY, Stage.FILLS),
    "leaking-coupling": Reach(Stage.FILLS, stays=True),
    "water-hammer": Reach(Stage.FILLS),
    "siphons": Reach(Stage.FILLS, Stage.WASHES),
    "wrong-temperature": Reach(Stage.WASHES),
    "suds-or-smell": Reach(Stage.WASHES, stays=True),
    "water-on-floor": Reach(Stage.WASHES, stays=True),
    "lights-dim": Reach(Stage.WASHES),
    "no-drain": Reach(Stage.WASHES, Stage.WASHES, stays=True),
    "standpipe-overflow": Reach(Stage.EMPTIES),
    "walks": Reach(Stage.SPINS),
    "noisy": Reach(Stage.SPINS),
    "spin-wet": Reach(Stage.SPINS),
}
# Says no more than that a new machine does something odd: what else its cause shows says how far it gets.
VAGUE = ("first-run",)
# What is said of the water in the drum and can't be so both times.
OPPOSED = (("siphons", "no-drain"),)
# What is seen of a fault, and how far a washing gets then, whatever is complained of.
SEEN_TO_STOP = {
    ("washer-shows-life", "no-life"): Stage.DEAD,
    ("outlet-gives-power", "outlet-dead"): Stage.DEAD,
    ("outlet-readings", "hn-dead"): Stage.DEAD,
    ("outlet-readings", "open-neutral"): Stage.DEAD,
    ("outlet-readings", "all-dead"): Stage.DEAD,
    ("device-tripped", "button-out"): Stage.DEAD,
    ("device-tripped", "tripped"): Stage.DEAD,
    ("control-supply", "cord-or-filter"): Stage.DEAD,
    ("control-supply", "control-dead"): Stage.DEAD,
    ("drain-restarted", "wont-start"): Stage.LIT,
    ("odd-at-start", "keys-dead"): Stage.LIT,
    ("odd-at-start", "counts-hours"): Stage.LIT,
    ("key-lock-sign", "lit"): Stage.LIT,
    ("delay-sign", "counting"): Stage.LIT,
    ("demo-sign", "demo"): Stage.LIT,
    ("washer-taps-turned", "both-closed"): Stage.DRY,
    ("leak-valve-seen", "shut"): Stage.DRY,
    ("tap-dry-after-frost", "none-at-both"): Stage.DRY,
    ("fill-missed-since-frost", "no-water"): Stage.DRY,
    ("fill-stream", "none"): Stage.DRY,
    ("odd-at-start", "no-water"): Stage.DRY,
    ("bucket-flow", "none"): Stage.WASHES,
    ("last-spin", "stands-still"): Stage.EMPTIES,
    ("drive-sound", "hums-still"): Stage.EMPTIES,
    ("lid-latched", "ajar"): Stage.WASHES,
    ("lid-latched", "no-click"): Stage.WASHES,
}
# Signs that light up: a washer that shows one is not dead.
SIGNS_LIT = [("key-lock-sign", "lit"), ("delay-sign", "counting"), ("demo-sign", "demo")]
# Words that deny a stage where a "not" or a "no" goes before them: what does not spin is not heard to walk in the spin.
DENIED = {
    "poweron": Stage.LIT, "light": Stage.LIT, "power": Stage.LIT, "start": Stage.DRY, "run": Stage.DRY, "work": Stage.DRY,
    "fil": Stage.FILLS, "water": Stage.FILLS, "wash": Stage.WASHES, "agitat": Stage.WASHES, "drain": Stage.EMPTIES, "empt": Stage.EMPTIES,
    "spin": Stage.SPINS, "turn": Stage.SPINS, "mov": Stage.SPINS, "finish": Stage.SPINS, "end": Stage.SPINS,
}  # fmt: skip
CEASED = {
    "stop",
    "quit",
    "skip",
    "forget",
    "refus",
    "fail",
    "ceas",
    "give",
    "gav",
    "dead",
    "still",
}  # the same without a "not"
NEARLY = 0.85  # what a cause shows so often is as good as always seen (judgement) [prob]
# Only one fill hose is on: nothing that takes two can be seen beside it.
ONE_HOSE = ("spare-outlet-open", "open")
TWO_HOSES = ("hoses-crossed", "inlet-hose-warms", "slow-on-which", "hot-tap-glass", "hot-hose-gpm", "hot-hose-probe")


def possible(network: Network, one: model.Cause, other: model.Cause) -> bool:
    """Return whether two faults can be in one house, with one complaint or another.

    Their circumstances must meet, neither may make the other's unbelievable, what defines them must be to be seen both times, something
    must be to be told of both, and they must not break one rule: nobody could tell them apart.

    Examples
    --------
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> network = network_of(kb)
    >>> possible(network, kb.causes["tub-too-small"], kb.causes["standpipe-too-low"])
    False
    >>> possible(network, kb.causes["foot-unloaded"], kb.causes["standpipe-too-low"])
    True
    """
    if one.breaks and other.breaks and one.breaks.rule == other.breaks.rule:
        return False
    seen, beside = _seen(network, one), _seen(network, other)
    if any(beside.get(look, said) != said for look, said in seen.items()):
        return False
    if any(
        Stage.DEAD in _stops(network, a) and _nearly(network, b, SIGNS_LIT) for a, b in ((one, other), (other, one))
    ):
        return False  # a sign is lit, and nothing is
    if _two_hoses_and_one(network, one, other) or _two_hoses_and_one(network, other, one):
        return False
    told = ((a.complaint, b.complaint) for a in one.shows for b in other.shows if a.complaint and b.complaint)
    if not any(tellable(network, (one, a), (other, b)) for a, b in told):
        return False
    mine, theirs = _asked(one, seen), _asked(other, beside)
    if any(not mine[f] & theirs[f] for f in mine.keys() & theirs.keys()):
        return False
    return not (_all_unbelieved(mine, other) or _all_unbelieved(theirs, one))


def tellable(network: Network, one: tuple[model.Cause, str], other: tuple[model.Cause, str]) -> bool:
    """Return whether what is complained of of two faults can be said of one machine.

    Parameters
    ----------
    network : Network
    one, other : tuple
        A cause, and the complaint that it brings about.
    """
    (cause, said), (second, also) = one, other
    if said == also:
        return True
    if (said, also) in OPPOSED or (also, said) in OPPOSED:
        return False
    a, b = reach(network, cause, said), reach(network, second, also)
    return a.least <= b.most and b.least <= a.most


def denies(phrase: str) -> Stage | None:
    """Return the first stage that a phrase says is not reached; None where it denies none.

    Examples
    --------
    >>> denies("the basket does not spin"), denies("water stays in the drum")
    (<Stage.SPINS: 6>, None)
    """
    denied = []
    for clause in clauses(phrase):
        ceased = any(t.stem in CEASED for t in clause.tokens)
        denied += [DENIED[t.stem] for t in clause.tokens if (t.negated or ceased) and t.stem in DENIED]
    return min(denied, default=None)


def running(network: Network, origins: dict[str, frozenset[str]]) -> Stage:
    """Return how far a washing gets there for certain, by what is complained of.

    Parameters
    ----------
    network : Network
    origins : dict
        Complaint -> the causes that bring it about.
    """
    found = [reach(network, network.kb.causes[c], told) for told, own in origins.items() for c in own]
    return max((r.least for r in found if not r.stays), default=Stage.DEAD)


def unbelieved(cause: model.Cause) -> set[tuple[str, str]]:
    """Return the circumstances, as fact and option, under which nobody would believe a cause."""
    out: set[tuple[str, str]] = set()
    for more in cause.likelier:
        if more.times.n <= built.UNBELIEVED and len(more.when) == 1:
            for fact, wanted in more.when.items():
                out |= {(fact, o) for o in _options(wanted)}
    return out


def _options(wanted: str | list[str]) -> set[str]:
    return {wanted} if isinstance(wanted, str) else {*wanted}


def _seen(network: Network, cause: model.Cause) -> dict[str, str]:
    """Return what is always seen of a cause: the answer by check, and the side by rule."""
    return _seen_of(network, cause.id)


@lru_cache(4096)
def _seen_of(network: Network, cause_id: str) -> dict[str, str]:
    out = {}
    for node in surely_shown(network, cause_id):
        kind, name, said = node.split(":")
        out[f"{kind}:{name}"] = said
    return out


def _asked(cause: model.Cause, seen: dict[str, str]) -> dict[str, set[str]]:
    """Return the circumstances that a cause asks for, by fact, with those that what is seen of it says of the past."""
    out = {fact: _options(wanted) for fact, wanted in cause.when.items()}
    for (check, answer), (fact, option) in built.HISTORY.items():
        if seen.get(f"answer:{check}") == answer:
            out[fact] = out.get(fact, {option}) & {option}
    return out


def _all_unbelieved(asked: dict[str, set[str]], cause: model.Cause) -> bool:
    """Return whether a circumstance that is asked for is one under which nobody would believe a cause."""
    barred = unbelieved(cause)
    return any(options <= {o for f, o in barred if f == fact} for fact, options in asked.items())


def _two_hoses_and_one(network: Network, one: model.Cause, other: model.Cause) -> bool:
    check, answer = ONE_HOSE
    if _seen(network, one).get(f"answer:{check}") != answer:
        return False
    rules = {network.kb.checks[c].rule for c in TWO_HOSES if c in network.kb.checks} - {None}
    shown = {s.check for s in other.shows} | ({other.breaks.rule} if other.breaks else set())
    return bool(shown & {*TWO_HOSES, *rules})


def reach(network: Network, cause: model.Cause, complaint: str) -> Reach:
    """Return how far a washing gets with a cause of which this is complained.

    Parameters
    ----------
    network : Network
    cause : Cause
    complaint : str
    """
    return _reach(network, cause.id, complaint)


@lru_cache(4096)
def _reach(network: Network, cause_id: str, complaint: str) -> Reach:
    cause = network.kb.causes[cause_id]
    vague = complaint in VAGUE
    if vague:
        kb = network.kb
        others = [
            (-graph.strength(kb, s.strength), s.complaint)
            for s in cause.shows
            if s.complaint and s.complaint not in VAGUE
        ]
        complaint = min(others)[1] if others else complaint
    own = REACH.get(complaint, Reach(Stage.DEAD))
    stops = _stops(network, cause)
    if vague and stops:
        return Reach(min(stops), min(stops))  # what is seen says it better
    return Reach(own.least, min([own.most, *stops]), own.stays)


def _stops(network: Network, cause: model.Cause) -> list[Stage]:
    """Return how far a washing gets by what is always, or nearly always, seen of a cause."""
    return [SEEN_TO_STOP[look] for look in _nearly(network, cause, SEEN_TO_STOP)]


def _nearly(network: Network, cause: model.Cause, looks: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return those of some looks, as check and answer, that are always, or nearly always, seen of a cause."""
    return _nearly_of(network, cause.id, tuple(looks))


@lru_cache(4096)
def _nearly_of(network: Network, cause_id: str, looks: tuple[tuple[str, str], ...]) -> list[tuple[str, str]]:
    checks, sure = network.kb.checks, surely_shown(network, cause_id)
    out = []
    for look in looks:
        if look[0] in checks and look[1] in checks[look[0]].answers:
            node = graph.answer_node(*look)
            if node in sure or network.links(node, "technician").get(cause_id, 0.0) >= NEARLY:
                out.append(look)
    return out
