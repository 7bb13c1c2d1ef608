"""An installation for a drill: what is at work, facts that fit, what somebody says of it, and how every look would come out.

All of it is drawn from a text seed, so that the same order is the same installation on every machine. Unlike a site of the
simulation, nothing abnormal is seen that no fault at work shows, what defines a fault is seen, readings are such as are built, and a
right mend holds: an exercise must not turn on bad luck.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import sqrt

from .. import model
from ..advice import Frozen
from ..diagnosis.network import Network
from ..errors import InvalidInputError, Problem
from ..knowledge import graph
from ..measurement import formatting
from ..measurement.quantity import QuantityProblem
from ..measurement.readings import reading
from ..model import holds
from ..simulation.world import Installation, usual_facts, written
from . import built
from .defining import surely_shown
from .order import MOST_FAULTS, Order, check_order, family_of
from .telling import words
from .together import SEEN_TO_STOP, Stage, possible, running, tellable, unbelieved

# Of drawn sites so many are sound, and so many have two faults (judgement) [-].
SOUND, TWO = 1 / 6, 1 / 6
TRIES = 60
# Of drawn places where a gate hangs on what they complain of, so many are not safe: there the right thing is to stop (judgement) [-].
UNSAFE = 1 / 8
# What everybody sees who comes in: what stands there, on what and beside what; and by which voltage a house is built, since the codes hang on it.
SEEN = ("machine", "dryer-beside", "raised", "drain", "supply-system")
WHO = (
    "The tenant at Larkfield Road 12", "The owner at Quarry Steps 3", "A father at Mill Race 27", "The caretaker of Heron House",
    "A student at Tannery Yard 8", "The owner at Orchard Bend 41", "A grandmother at Kiln Street 5", "The host of a flat at Ferry Lane 16",
)  # fmt: skip


class SaidWords(Frozen, frozen=True, kw_only=True):
    """One complaint in somebody's words."""

    complaint: str
    words: str


@dataclass(frozen=True)
class Exercise:
    """An installation with who tells of it: the order that it was made by, the site, what was said, and by whom.

    `unsafe` is a hazard whose gate is not safe there, or nothing.
    """

    order: Order
    site: "DrillSite"
    told: tuple[SaidWords, ...]
    teller: str
    unsafe: str = ""

    @property
    def truth(self) -> list[str]:
        """The causes that brought the complaints about, sorted."""
        return sorted({c for own in self.site.origins.values() for c in own})


@dataclass(frozen=True)
class DrillSite(Installation):
    """A made-up place at which nothing is left to bad luck."""

    def works(self, kb: model.KB, cause: str) -> bool:
        """Return whether the right mend cures: here it does."""
        return True

    def fires(self, network: Network, node: str, cured: Iterable[str], hands: str) -> bool:
        """Return whether a finding is seen: what defines a fault at work always is, what else it shows by its strength.

        A sign is there or not, whoever reports it and however often: reports of one sign agree.
        """
        at_work = self.causes - set(cured)
        links = network.links(node, hands)
        if any(c in at_work and node in surely_shown(network, c) for c in links):
            return True
        if node in network.sign_at:
            own = [(k, c, s) for k in network.reporting[node] for c, s in network.signs[k].items() if c in at_work]
            return any(self.draw(f"{c}|sign:{k}") < s for k, c, s in own)
        return any(self.draw(f"{c}|{node}") < s for c, s in links.items() if c in at_work)

    def part(self, network: Network, rule_id: str, hands: str, cured: Iterable[str]) -> str:
        """Return where a reading lies: below, within or above the limits of a rule."""
        rule = network.kb.rules.get(rule_id)
        if rule is None:
            return "within"
        found = (s for s in graph.sides(rule) if self.fires(network, graph.side_node(rule_id, s), cured, hands))
        return built.implied(rule_id, next(found, "within"), lambda r: self.part(network, r, hands, cured))

    def answer(self, network: Network, check: model.Check, hands: str, cured: Iterable[str] = ()) -> str:
        """Return what a check comes out as: the id of an answer, or a reading such as one is built.

        Parameters
        ----------
        network : Network
        check : Check
        hands : str
            Whose hands; they cap what is told and looked at.
        cured : iterable of str
            Causes that were mended before.
        """
        cured = frozenset(cured)
        if check.kind != "measure":
            *names, normal = check.answers
            at_work = self.causes - cured
            gets = _gets(network, tuple(self.origins.items()))
            # What defines a fault comes before what it shows now and then; what is complained of is not denied.
            sure = [a for a in names if self._sure(network, check, a, at_work)]
            names = [*sure, *(a for a in names if a not in sure and SEEN_TO_STOP.get((check.id, a), gets) >= gets)]
            return next((a for a in names if self.fires(network, graph.answer_node(check.id, a), cured, hands)), normal)
        part = self.part(network, check.rule or "", hands, cured)
        return self._read(network, check, part, hands, cured)

    @staticmethod
    def _sure(network: Network, check: model.Check, answer: str, at_work: frozenset[str]) -> bool:
        return any(graph.answer_node(check.id, answer) in surely_shown(network, c) for c in at_work)

    def reads(self, kb: model.KB, check: model.Check, part: str) -> str:
        """Return a reading of a proof, as it is built within or beyond the limits."""
        rule = kb.rules[check.rule or ""]
        found = built.value(rule, part, self.draw, self.facts, lambda _: "within")
        return self._said(kb, check, part, found) or super().reads(kb, check, part)

    def _read(self, network: Network, check: model.Check, part: str, hands: str, cured: frozenset[str]) -> str:
        rule = network.kb.rules[check.rule or ""]

        def part_of(other: str) -> str:
            return self.part(network, other, hands, cured)

        found = built.value(rule, part, self.draw, self.facts, part_of)
        return self._said(network.kb, check, part, found) or super().reads(network.kb, check, part)

    def _said(self, kb: model.KB, check: model.Check, part: str, found: float | str | None) -> str:
        """Return a value as it is read off, where it lies clear of the limits on the side that it should."""
        if found is None:
            return ""
        rule = kb.rules[check.rule or ""]
        said = found if isinstance(found, str) else self._off(found, rule)
        try:
            verdict = reading(kb, check.id, said, "technician").verdict
        except QuantityProblem:
            return ""
        return said if (verdict.side or "within") == part and verdict.state != "too-close" else ""

    def _off(self, value: float, rule: model.Rule) -> str:
        if self.units(rule) == "si" and rule.measures != "count":
            return formatting.show(value, rule.measures, "si")
        return written(value, rule.measures)

    def units(self, rule: model.Rule) -> formatting.Shown:
        """Return in which units a reading for a rule is said here: those of the house, and of a limit that is set in millimetres."""
        metric = self.facts.get("supply-system") == "eu-230" or "mm" in f"{rule.min} {rule.max}"
        return "si" if metric else "us"


@lru_cache(1024)
def _gets(network: Network, origins: tuple[tuple[str, frozenset[str]], ...]) -> Stage:
    """Return how far a washing gets at a place, so that no look denies what is complained of: a washer that walks shows signs of life."""
    return running(network, dict(origins))


@lru_cache(256)
def exercise(network: Network, order: Order) -> Exercise:
    """Return the installation of an order, with what is said of it.

    Parameters
    ----------
    network : Network
    order : Order

    Raises
    ------
    InvalidInputError
        If the order can't be followed.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> made = exercise(network_of(load_kb()), Order(seed=7, fault="standpipe-too-low"))
    >>> made.truth, made.site.facts["drain"]
    (['standpipe-too-low'], 'standpipe')
    """
    kb = network.kb
    check_order(kb, order)
    for n in range(TRIES):
        text = f"drill|{order.seed}|{order.fault}|{order.family}|{order.faults}|{n}"
        dice = Installation(text, {}, frozenset(), {})
        causes = _causes(network, order, dice)
        if not causes:
            continue
        site = site_of(network, text, causes)
        if site is None:
            continue
        told = tuple(SaidWords(complaint=c, words=words(network, site, c)) for c in site.origins)
        teller = WHO[int(dice.draw("who") * len(WHO))]
        return Exercise(order, site, told, teller, "" if order.fault else _unsafe(network, site, dice))
    raise InvalidInputError(
        [
            Problem(
                code="D002",
                message="no installation can be made by this order",
                expected="faults that can be at one place together",
                mend="choose another --seed, or fewer --faults",
            )
        ]
    )


def given(kb: model.KB, facts: dict[str, str]) -> list[str]:
    """Return the facts that a pupil has without asking: what everybody sees, and which codes bind at the house.

    Codes are told because the debrief judges by them. A code is a fact that can be unknown to everybody.

    Parameters
    ----------
    kb : KB
    facts : dict
        Of the site: fact -> option.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> given(load_kb(), {"machine": "top-loader", "supply-system": "eu-230", "code-edition": "iec-60364"})
    ['machine', 'supply-system', 'code-edition']
    """
    codes = [f.id for f in kb.facts.values() if any(o.unknown for o in f.options.values())]
    return [f for f in (*SEEN, *sorted(codes)) if f in kb.facts and f in facts and holds(kb.facts[f].when, facts)]


def house(kb: model.KB, facts: dict[str, str]) -> list[tuple[str, str]]:
    """Return what is told of the house before the first look, as title and words: what everybody sees, its voltage, the codes that bind there."""
    told = [kb.facts[f] for f in given(kb, facts) if f != "machine"]
    return [(f.title, f.options[facts[f.id]].says) for f in told]


def _unsafe(network: Network, site: DrillSite, dice: Installation) -> str:
    """Return a gate of what they complain of that is not safe here; of most places, and of sound ones, none."""
    kb = network.kb
    if dice.draw("unsafe") >= UNSAFE or any(kb.causes[c].kind == "normal" for c in site.causes):
        return ""
    gates = sorted({g for c in site.origins for g in kb.complaints[c].gates if holds(kb.hazards[g].when, site.facts)})
    return gates[int(dice.draw("unsafe gate") * len(gates))] if gates else ""


def _causes(network: Network, order: Order, dice: Installation) -> list[str]:
    """Return what is at work: the fault that was named, or drawn ones; for a sound site the healthy behaviour that is complained of."""
    kb = network.kb
    count = order.faults
    if count is None:
        at = dice.draw("count")
        count = 0 if at < SOUND else 2 if at >= 1 - TWO else 1
        if order.fault:
            count = 0 if kb.causes[order.fault].kind == "normal" else 1
    own = [c for c in sorted(kb.causes) if not order.family or family_of(kb, c) == order.family]
    sound = [c for c in own if kb.causes[c].kind == "normal"]
    if count == 0 and not sound and not order.fault:
        if order.faults == 0:
            sound = [c for c in sorted(kb.causes) if kb.causes[c].kind == "normal"]
        else:
            count = 1
    pool = sound if count == 0 else [c for c in own if kb.causes[c].kind != "normal"]
    if not pool and not order.fault:
        return []
    out = [order.fault] if order.fault else [_drawn(network, pool, dice, "first")]
    if count == MOST_FAULTS:
        first = kb.causes[out[0]]
        others = [
            c
            for c in sorted(kb.causes)
            if kb.causes[c].kind != "normal" and c != first.id and possible(network, kb.causes[c], first)
        ]
        if not others:
            return []
        out.append(_drawn(network, others, dice, "second"))
    return out


def _drawn(network: Network, pool: list[str], dice: Installation, key: str) -> str:
    """Return a cause drawn by the root of its rate: what is rare comes more often than in the trade, and still more seldom."""
    weights = [sqrt(network.rate[c]) for c in pool]
    mark, total = dice.draw(key) * sum(weights), 0.0
    for cause, weight in zip(pool, weights, strict=True):
        total += weight
        if mark < total:
            return cause
    return pool[-1]


def site_of(network: Network, text: str, causes: list[str]) -> DrillSite | None:
    """Return the site of some causes, or None where they, their circumstances or what is said of them don't go together.

    Parameters
    ----------
    network : Network
    text : str
        The seed: all is drawn from it.
    causes : list of str
    """
    kb, dice = network.kb, Installation(text, {}, frozenset(), {})
    records = [kb.causes[c] for c in causes]
    origins: dict[str, frozenset[str]] = {}
    told = [(cause, _complaint(network, cause, dice)) for cause in records]
    if not all(tellable(network, one, other) for one, other in combinations(told, 2)):
        return None
    for cause, complaint in told:
        origins[complaint] = origins.get(complaint, frozenset()) | {cause.id}
    facts = _facts(network, text, records, set(origins))
    if built.unfit(facts) or not all(holds(c.when, facts) for c in records):
        return None
    if any((fact, option) in unbelieved(c) for c in records for fact, option in facts.items()):
        return None
    return DrillSite(text, facts, frozenset(causes), dict(sorted(origins.items())))


def _facts(network: Network, text: str, records: list[model.Cause], complaints: set[str]) -> dict[str, str]:
    """Return circumstances that go with the faults at work, with each other, and with what is seen and complained of.

    What a fault asks for stays, and nothing is put under which nobody would believe it; all else gives way.
    """
    kb = network.kb
    facts = usual_facts(network, [c.id for c in records], text)
    barred = {pair for cause in records for pair in unbelieved(cause)}
    kept = {f for cause in records for f in cause.when} | {f for f, _ in barred}

    def allowed(fact: str, option: str) -> bool:
        return (fact, option) not in barred and all(holds(c.when, {fact: option}) for c in records)

    def suits(fact: str, option: str) -> None:
        if fact in kb.facts and option in kb.facts[fact].options and allowed(fact, option):
            facts[fact] = option

    for fact, option in sorted(barred):
        if facts.get(fact) == option:
            usual = sorted(kb.facts[fact].options.items(), key=lambda o: (-o[1].share_per_1000, o[0]))
            suits(fact, next((o for o, _ in usual if allowed(fact, o)), ""))
    suits("supply-system", built.SUPPLY)
    if "first-run" in complaints:
        suits("onset", "new")
    seen = DrillSite(text, facts, frozenset(c.id for c in records), {})
    cold = ("room-above-freezing", "supply-pipe-frost-alert")
    if "freeze-damage" in complaints or any(seen.part(network, r, "technician", ()) == "below" for r in cold):
        suits("recent-frost", "frost")
        kept.add("recent-frost")
    if facts.get("recent-frost") == "frost" and "recent-frost" in kept:
        suits("place", "unheated")
    for (check, answer), (fact, option) in built.HISTORY.items():
        if check in kb.checks and seen.answer(network, kb.checks[check], "technician") == answer:
            suits(fact, option)
    for tried in (f for f in kb.facts.values() if f.id.startswith("tried-")):
        # Nobody has tried anything at a machine that was put in yesterday, nor what has nothing to do with it.
        if facts.get("onset") == "new" or any(u.complaints and complaints <= {*u.complaints} for u in tried.unless):
            suits(tried.id, "not-tried")
    return built.fitted(facts, kept)


def _complaint(network: Network, cause: model.Cause, dice: Installation) -> str:
    """Return what somebody complains of, drawn by how strongly the cause shows it."""
    shown = sorted((s.complaint, graph.strength(network.kb, s.strength)) for s in cause.shows if s.complaint)
    mark, total = dice.draw(f"complaint|{cause.id}") * sum(s for _, s in shown), 0.0
    for complaint, strength in shown:
        total += strength
        if mark < total:
            return complaint
    return shown[-1][0]
