"""One episode at a made-up installation: the moves, what they cost, the gates in front of them, and what the installation answers.

The site answers by the ledger's own net, which is what is true there, whatever anybody believes of it.
"""

from collections.abc import Iterable

from msgspec import Struct, field

from .. import model
from ..advice import Frozen
from ..advising import gates as safety
from ..diagnosis.network import Network
from ..knowledge.graph import sides
from ..model import holds
from ..planning import actions, roles
from .world import Installation

LAST = "specialist"


class Move(Frozen, frozen=True, kw_only=True):
    """One thing that was asked or done, what came of it, and its price [minutes of the hands, homeowner minutes]."""

    role: str
    kind: str
    id: str
    title: str
    said: str
    minutes: float
    cost: float


class Outcome(Struct, kw_only=True):
    """How it went at one site: the moves, their sums, and whose work ended it.

    `found` are the causes that were mended because somebody came to them, `botched` those that somebody came to and whose
    fix failed, `left` all that the last in the chain had to mend; `solved` says whether the complaint ended before that.
    """

    role: str
    complaints: list[str]
    causes: list[str]
    origins: list[str]
    facts: dict[str, str] = field(default_factory=dict)
    moves: list[Move] = field(default_factory=list)
    minutes: float = 0.0
    cost: float = 0.0
    call_outs: int = 0
    found: list[str] = field(default_factory=list)
    botched: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    solved: bool = False
    by: str = ""
    believed: str = ""
    p: float = 0.0


class Episode:
    """A site being worked at: who works, what is cured by now, and what was paid; every policy pays the same prices.

    It refuses a step past an open gate: one raised by a complaint or an answer, or met by what is about to be done. A policy
    clears them first, at no price.

    Parameters
    ----------
    network : Network
        What is true at the site: it answers by this network.
    installation : Installation
    role : str
        Who begins.
    cleared : iterable of str
        Gates that this role cleared before, where it goes on with a case.
    """

    def __init__(self, network: Network, installation: Installation, role: str, cleared: Iterable[str] = ()) -> None:
        self.network = network
        self.kb = network.kb
        self.installation = installation
        self.cured: set[str] = set()
        self.came: set[str] = set()  # what a trade was booked for
        self.raised: list[str] = []
        self.take_up(role)
        self.cleared.update(cleared)
        origins = sorted({c for own in installation.origins.values() for c in own})
        self.outcome = Outcome(
            role=role,
            complaints=list(installation.origins),
            causes=sorted(installation.causes),
            origins=origins,
            facts=installation.facts,
        )

    def take_up(self, role: str) -> None:
        """Let a role go on with the site: whoever is new there has not seen that it is safe, so gates are asked again."""
        self.cleared: set[str] = set()
        self.role = role
        self.hands = roles.default_hands(role)
        self.rate = roles.minute_price(self.kb, role, self.hands)

    def pay(self, kind: str, name: str, title: str, said: str, minutes: float, cost: float | None = None) -> None:
        """Enter a move; its cost is that of the minutes of whoever is busy unless said otherwise."""
        cost = minutes * self.rate if cost is None else cost
        move = Move(role=self.role, kind=kind, id=name, title=title, said=said, minutes=minutes, cost=round(cost, 6))
        self.outcome.moves.append(move)
        self.outcome.minutes += minutes
        self.outcome.cost += cost

    def open_gates(self, hazards: Iterable[str] = ()) -> list[str]:
        """Return the gates that nobody has cleared: of answers, of complaints that are still there, of the hazards of a next step."""
        kb = self.kb
        gates = [g for name in self.left() for g in kb.complaints[name].gates]
        names = dict.fromkeys([*self.raised, *sorted(gates, key=lambda g: safety.RANK[kb.hazards[g].signal]), *hazards])
        closed = [n for n in names if n not in self.cleared and kb.hazards[n].gate]
        return [n for n in closed if holds(kb.hazards[n].when, self.installation.facts)]

    def clear(self, name: str) -> None:
        """Have the safe word of a gate said."""
        gate = self.kb.hazards[name].gate
        self.pay("gate", name, self.kb.hazards[name].title, gate.word if gate else "", 0.0)
        self.cleared.add(name)

    def clear_all(self, hazards: Iterable[str] = ()) -> None:
        """Have the safe words of all open gates said, and of those that a next step meets."""
        for name in self.open_gates(hazards):
            self.clear(name)

    def _pass(self, hazards: Iterable[str] = ()) -> None:
        if found := self.open_gates(hazards):
            raise ValueError(f"a step past the open gate '{found[0]}'; clear it first")

    def left(self) -> list[str]:
        """Return the complaints that are still there."""
        return [c for c in self.installation.origins if self.installation.stands(c, self.cured)]

    def ask(self, check: model.Check) -> str:
        """Do a check, pay for it and return what it came out as.

        Raises
        ------
        ValueError
            Past an open gate, as in all that is done here.
        """
        self._pass(check.hazards)
        said = self.installation.answer(self.network, check, self.hands, self.cured)
        answer = check.answers.get(said)
        minutes = roles.check_minutes(check, self.hands)
        self.pay("check", check.id, check.title, answer.says if answer else said, minutes)
        if answer and answer.raises:
            # It was cleared before this was seen; now it must be cleared again.
            self.raised.append(answer.raises)
            self.cleared.discard(answer.raises)
        return said

    def told(self, fact: str) -> str:
        """Ask for a fact, pay for it and return its option."""
        self._pass()
        record, option = self.kb.facts[fact], self.installation.facts[fact]
        minutes = roles.fact_minutes(record, self.hands)
        self.pay("fact", fact, record.title, record.options[option].says, minutes)
        return option

    def mend(self, cause_id: str, booked: str | None = None) -> None:
        """Have the remedy of a cause done by these hands or by the trade that it needs, and pay for it.

        Parameters
        ----------
        cause_id : str
        booked : str, optional
            The trade that is booked for it even though these hands may do it: they could not, or it didn't help.
        """
        kb, remedy = self.kb, self.kb.causes[cause_id].remedy
        parts = sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
        if booked is None and roles.may_mend(kb, remedy, self.hands):
            self._pass(remedy.hazards)
            kind, said, cost = "remedy", "done", remedy.minutes * self.rate + parts
        else:
            self._pass()
            trade = roles.trade_card(kb, booked or remedy.by)
            kind, said = "book", f"by the {trade.id}"
            cost = trade.fee.n + remedy.minutes * trade.per_minute.n + parts
            self.outcome.call_outs += 1
            self.came.add(cause_id)
        if cause_id in self.installation.causes:
            if self.installation.works(kb, cause_id):
                self.cured.add(cause_id)
            else:
                self.outcome.botched.append(cause_id)
        self.pay(kind, cause_id, remedy.title, said, remedy.minutes, cost)

    def proof_of(self, cause_id: str) -> model.Check | None:
        """Return the proof of a remedy, or None where these hands may not do it and say what is left instead."""
        check = self.kb.checks[self.kb.causes[cause_id].proof.check]
        return check if roles.permitted(self.kb, check, self.hands) else None

    def prove(self, cause_id: str) -> str:
        """Do the proof of a remedy, pay for it, and return what it shows: what passes where that cause's complaint is gone."""
        proof = self.kb.causes[cause_id].proof
        check = self.kb.checks[proof.check]
        self._pass(check.hazards)
        shown = {s.complaint for s in self.kb.causes[cause_id].shows}
        passed = not any(c in shown or len(self.installation.origins) == 1 for c in self.left())
        minutes = roles.check_minutes(check, self.hands)
        self.pay("proof", check.id, check.title, "seen to work" if passed else "no better", minutes)
        if check.kind != "measure":
            said = proof.passes if passed else next(a for a in check.answers if a != proof.passes)
        else:
            rule = self.kb.rules[check.rule or ""]
            said = self.installation.reads(self.kb, check, "within" if passed else sides(rule)[0])
        answer = check.answers.get(said)
        if answer and answer.raises:
            self.raised.append(answer.raises)
        return said

    def still(self) -> list[str]:
        """Have it said which complaints are left, and pay for that."""
        self._pass()
        self.pay("fact", "still-there", "What is left", ", ".join(self.left()), roles.SPOKEN_MINUTES)
        return self.left()

    def call(self, role: str) -> None:
        """Hand on to the next role, who must come."""
        self._pass()
        fee = roles.role_card(self.kb, self.role).hand_on_fee.n
        self.pay("hand-on", role, f"Hand on to the {role}", "", 0.0, fee)
        self.outcome.call_outs += 1
        self.take_up(role)

    def last_resort(self) -> None:
        """Let the last in the chain come and mend whatever is left."""
        self._pass()
        fee = roles.role_card(self.kb, "technician").hand_on_fee.n
        rate = roles.trade_card(self.kb, LAST).per_minute.n
        left = {c for name in self.left() for c in self.installation.origins[name]} - self.cured
        minutes, more = 0.0, 0.0
        for cause_id in sorted(left):
            remedy = self.kb.causes[cause_id].remedy
            minutes += remedy.minutes
            more += sum(self.kb.parts[p].price.n for p in remedy.parts) * self.kb.roles.price_unit.n
            if remedy.by in ("plumber", "electrician"):
                more += roles.trade_card(self.kb, remedy.by).fee.n
        if any(not self.installation.origins[name] for name in self.left()):
            minutes += actions.UNLISTED_MINUTES
        said = ", ".join(sorted(left)) or "something that is not listed"
        self.pay("hand-on", LAST, f"Hand on to the {LAST}", said, minutes, fee + minutes * rate + more)
        self.outcome.call_outs += 1
        self.outcome.left = sorted(left)
        self.outcome.by = LAST

    def close(self) -> Outcome:
        """Return how it went."""
        outcome = self.outcome
        outcome.found = sorted(c for c in outcome.origins if c in self.cured)
        outcome.botched = sorted({*outcome.botched} & {*outcome.origins} - self.cured)
        outcome.solved = not self.left()
        outcome.by = outcome.by or (self.role if outcome.solved else "")
        outcome.minutes, outcome.cost = round(outcome.minutes, 6), round(outcome.cost, 6)
        return outcome
