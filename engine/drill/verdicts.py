"""Verdicts of an attempt: the mend and its gates, whose work it is, its proof, and the price of a guess."""

from collections.abc import Iterable

from .. import model
from ..advising.analysis import Analysis
from ..case.events import Event
from ..case.state import State
from ..diagnosis.network import Network
from ..exercises.defining import surely_shown
from ..knowledge import graph
from ..measurement.readings import reading
from ..model import holds
from ..planning import roles
from .gates import Gates
from .moves import SOUND, TRADES, Act, Brought

GUESS = 0.2  # of a callback, that naming what is not known costs beside its mend (judgement) [-]


class Verdicts(Gates):
    """An attempt that ends with a verdict, or with leaving it."""

    def right_by(self, cause_id: str) -> model.Trade:
        """Return whose work the mend of a cause is at this place."""
        remedy = self.kb.causes[cause_id].remedy
        for other in remedy.by_where:
            if holds(other.when, self.exercise.site.facts):
                return other.by
        return remedy.by

    def _by_own_hands(self, act: Act) -> bool:
        named = act.by if act.by in TRADES else self.right_by(act.id)
        return named in roles.ALLOWED[self.episode.hands]

    def mend_gates(self, act: Act) -> list[str]:
        """Return the gates that stand before the mend of a verdict and that nobody cleared.

        Nobody is sent to a place where what they complain of was not asked for; what a mend's own hazards ask, those see to whose hands do
        it. To say that all is well, or that it is healthy behaviour, is words.
        """
        if act.id not in self.kb.causes:
            return []
        cause = self.kb.causes[act.id]
        hazards = cause.remedy.hazards if self._by_own_hands(act) else []
        closed = self.episode.open_gates(hazards)
        return [g for g in closed if g in hazards] if cause.kind == "normal" else closed

    def _verdict(self, act: Act) -> Brought:
        kb, episode = self.kb, self.episode
        closed = self.mend_gates(act)
        if closed:
            return self._breach(kb.causes[act.id].remedy.title, closed[0])
        if act.id == SOUND:
            healthy = [c for c in self.exercise.truth if kb.causes[c].kind == "normal"]
            if not healthy:
                return self._leave(
                    "You tell them that nothing is wrong, and go. They ring again: something is.", "false-sound"
                )
            episode.clear_all()
            self._guess(act)
            for name in healthy:
                episode.mend(name)
                self._note(Event(remedy=name, did="done"))
            return self._came_of("Nothing is wrong, and you can say so.")
        cause = kb.causes[act.id]
        if self._by_own_hands(act):
            self._see_to(cause.remedy.title, cause.remedy.hazards)
        episode.clear_all(cause.remedy.hazards)
        before = episode.left()
        self._guess(act)
        self._mend(act)
        other = cause.kind == "normal" and episode.left() == before
        self._note(Event(remedy=cause.id, did="could-not" if other else "done"))
        if not other:
            proof = episode.proof_of(cause.id)
            if proof:
                episode.clear_all(proof.hazards)
                said = episode.prove(cause.id)
                value, chosen = (said, None) if proof.kind == "measure" else (None, said)
                self._note(Event(proof=proof.id, answer=chosen, value=value))
                if len(before) > 1 and episode.left() != before:
                    self._note(Event(still=episode.still()))
            else:
                episode.clear_all()
                self._note(Event(still=episode.still()))
        if cause.id in self.exercise.site.causes and cause.id not in self.exercise.truth:
            return self._came_of("That was wrong here, too, and is mended; it is not what they complained of.")
        return self._came_of(
            (
                "Right: this is how a healthy one behaves, and the check shows it."
                if cause.kind == "normal"
                else "Mended, and its proof shows it."
            )
            if episode.left() != before
            else "Done, and its proof is as it was: nothing was wrong there, or it was something else."
        )

    def _guess(self, act: Act) -> None:
        """Pay for what is not known of a verdict: the share of its mend, and of coming again, that is for nothing by what was seen so far.

        Right or wrong, a verdict is worth what it was worth when it was given; luck earns nothing. Whoever saw what defines a fault, or its
        broken rule, does not guess.
        """
        if self.knowing or self._seen_itself(act):
            return
        kb, beliefs = self.kb, Analysis(self.network, self.state).beliefs
        wanted = self._meant_by(act)
        p = sum(b.p for b in beliefs if b.cause in wanted)
        p = round(min(1.0, p), 6)
        self.guesses.append((act.id, p))
        price = GUESS * roles.role_card(kb, "technician").hand_on_fee.n
        if act.id in kb.causes:
            price += self._price(act.id)
        self.episode.pay("guess", act.id, "What was not known of it", f"{p:g}", 0.0, (1 - p) * price)

    def _meant_by(self, act: Act) -> set[str]:
        """Return the causes that a verdict says: one, or for a sound machine every healthy behaviour."""
        return {c.id for c in self.kb.causes.values() if c.kind == "normal"} if act.id == SOUND else {act.id}

    def _seen_itself(self, act: Act) -> bool:
        """Return whether what is always seen of a named fault was seen."""
        return seen_itself(self.network, self.state, self._meant_by(act))

    def _price(self, cause_id: str) -> float:
        """Return what a mend costs by whoever's work it is [homeowner minutes]."""
        remedy = self.kb.causes[cause_id].remedy
        if roles.may_mend(self.kb, remedy, self.episode.hands):
            return remedy.minutes * self.episode.rate
        trade = roles.trade_card(self.kb, remedy.by)
        return trade.fee.n + remedy.minutes * trade.per_minute.n

    def _mend(self, act: Act) -> None:
        """Have it mended by who was named, at their price; whose work it is comes in the end in any case."""
        kb, episode = self.kb, self.episode
        remedy = kb.causes[act.id].remedy
        right = self.right_by(act.id)
        own = roles.may_mend(kb, remedy, episode.hands)
        episode.mend(act.id)
        named = act.by if act.by in TRADES else right
        mine = named in roles.ALLOWED[episode.hands]
        if named == right or (mine and own):
            return
        if mine:
            # It is a licensed trade's, and was begun by hands that may not: their minutes were for nothing.
            episode.pay(
                "trade", named, "Work that is not these hands'", "a trade had to come after all", remedy.minutes
            )
            return
        trade = roles.trade_card(kb, named)
        # What the trade costs beyond what these hands would have, or a fee for nothing where it is another trade's.
        more = trade.fee.n + (remedy.minutes * (trade.per_minute.n - episode.rate) if own else 0.0)
        episode.pay("trade", named, f"A {named} who was not needed", "came for it", 0.0, more)

    def _came_of(self, text: str) -> Brought:
        left = self.episode.left()
        if not left:
            self.ended = "solved"
            return Brought(kind="mended", title="Verdict", text=f"{text} Nobody complains any more.")
        still = ", ".join(self.kb.complaints[c].says for c in left)
        return Brought(kind="still-there", title="Verdict", text=f"{text} They still say: {still}. Go on, or leave it.")

    def _leave(self, text: str, how: str = "left") -> Brought:
        self.ended = how
        return Brought(kind="left", title="Stopped" if how == "stopped" else "Left", text=text)


def seen_itself(network: Network, state: State, causes: Iterable[str]) -> bool:
    """Return whether what is always seen of one of some causes was seen: what defines it, or the rule that it breaks.

    Parameters
    ----------
    network : Network
    state : State
    causes : iterable of str
    """
    kb = network.kb
    wanted = {node for c in causes for node in surely_shown(network, c)}
    for answer in state.answers:
        check = kb.checks[answer.check]
        if answer.proof:
            continue
        if check.kind != "measure":
            node = graph.answer_node(check.id, answer.said)
        else:
            verdict = reading(kb, check.id, answer.said, answer.hands).verdict
            node = graph.side_node(check.rule or "", verdict.side) if verdict.side else ""
        if node in wanted:
            return True
    return False
