"""Which faults can be in one house at once: their circumstances, what is seen of them, and how far a washing gets with each.

Two complaints are told of one machine. One that is dead does not walk, and one that keeps its water does not spin; what is told of a
second fault must be possible beside the first.
"""

from enum import IntEnum

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
    """How far a washing must get for a complaint to be heard, and how far it gets at most where it is."""

    least: Stage
    most: Stage = Stage.SPINS


# By complaint; of one that is not here nothing is known, and it goes with all (judgement).
REACH = {
    "no-power": Reach(Stage.DEAD, Stage.DEAD),
    "freeze-damage": Reach(Stage.DEAD, Stage.DRY),
    "slow-fill": Reach(Stage.DRY, Stage.FILLS),
    "leaking-coupling": Reach(Stage.FILLS),
    "water-hammer": Reach(Stage.FILLS),
    "siphons": Reach(Stage.FILLS, Stage.WASHES),
    "wrong-temperature": Reach(Stage.WASHES),
    "suds-or-smell": Reach(Stage.WASHES),
    "water-on-floor": Reach(Stage.WASHES),
    "lights-dim": Reach(Stage.WASHES),
    "no-drain": Reach(Stage.WASHES, Stage.WASHES),
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
    ("key-lock-sign", "lit"): Stage.LIT,
    ("delay-sign", "counting"): Stage.LIT,
    ("demo-sign", "demo"): Stage.LIT,
    ("washer-taps-turned", "both-closed"): Stage.DRY,
    ("leak-valve-seen", "shut"): Stage.DRY,
    ("tap-dry-after-frost", "none-at-both"): Stage.DRY,
    ("lid-latched", "ajar"): Stage.WASHES,
    ("lid-latched", "no-click"): Stage.WASHES,
}
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
    """Return whether two faults can be in one house, whatever is complained of.

    Their circumstances must meet, neither may make the other's unbelievable, what defines them must be to be seen both times, and they
    must not break one rule: nobody could tell them apart.

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
    dead, lit = Stage.DEAD, Stage.LIT
    if {dead, lit} <= {*_stops(network, one), *_stops(network, other)}:
        return False  # a sign is lit, and nothing is
    if _two_hoses_and_one(network, one, other) or _two_hoses_and_one(network, other, one):
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
    out = {}
    for node in surely_shown(network, cause.id):
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
    return Reach(own.least, min([own.most, *stops]))


def _stops(network: Network, cause: model.Cause) -> list[Stage]:
    """Return how far a washing gets by what is always, or nearly always, seen of a cause."""
    checks, sure = network.kb.checks, surely_shown(network, cause.id)
    known = {look: s for look, s in SEEN_TO_STOP.items() if look[0] in checks and look[1] in checks[look[0]].answers}
    nodes = {graph.answer_node(*look): stage for look, stage in known.items()}
    return [s for n, s in nodes.items() if n in sure or network.links(n, "technician").get(cause.id, 0.0) >= NEARLY]
