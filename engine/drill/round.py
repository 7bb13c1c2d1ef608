"""A round of a drill: the moves of whoever looks for the fault, what each costs, and what comes of it.

A round is a fold over its moves, as a case is over its events: the same exercise and the same moves are the same round. Our own
policy goes through the same door and pays the same prices.
"""

from typing import Literal

from .. import model
from ..advice import Frozen, Note
from ..advising import gates as safety
from ..advising.analysis import Analysis
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.network import Network
from ..errors import cut
from ..knowledge import graph
from ..measurement import formatting, quantity
from ..measurement.readings import half_width, reading
from ..model import holds
from ..planning import roles
from ..simulation.episode import Episode
from .site import Exercise, given, surely_shown

MoveKind = Literal["fact", "check", "safe", "verdict", "leave"]
SOUND = "sound"  # the verdict that nothing is wrong
MOST_MOVES = 200
TRADES: tuple[str, ...] = ("anyone", "technician", "plumber", "electrician")
GRAVE = ("DANGER", "WARNING")  # cautions without a gate that are named in the debrief where nobody saw to them
GUESS = 0.2  # of a callback, that naming what is not known costs beside its mend (judgement) [-]
UNSTOPPED = 2.0  # times what a callback costs, where a danger was not found or not said (judgement) [-]
LONGEST = 300  # letters of a sentence that is typed [-]


class Act(Frozen, frozen=True, kw_only=True, omit_defaults=True):
    """One move: a fact or a check by its id, a gate that is named safe, a verdict with all that goes with it, or leaving.

    Of a verdict: `id` is a cause or `sound`, `by` who is to mend, `rule` the broken rule or `none`, `limit` and `datum` as they were
    typed, `mend` and `sentence` free words.
    """

    kind: MoveKind
    id: str = ""
    by: str = ""
    rule: str = ""
    limit: str = ""
    datum: str = ""
    mend: str = ""
    sentence: str = ""


class Brought(Frozen, frozen=True, kw_only=True):
    """What a move brought: `kind` says which of these it is; minutes are those that it took [min].

    seen: an answer of the place; safe: a gate is cleared; unsafe: it is not safe, stop; not-yet, not-here, not-yours, senseless, no-time, again: nothing was done, for the
    reason in `text`; gate: the round is over; mended, still-there, left: what came of a verdict.
    """

    kind: str
    title: str
    text: str
    minutes: float = 0.0
    notes: tuple[Note, ...] = ()


class Round:
    """One round.

    Parameters
    ----------
    network : Network
    exercise : Exercise
    knowing : bool
        Played by whoever knows what is at work: nothing is a guess.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.drill.order import Order
    >>> from dryfloor.engine.drill.site import exercise
    >>> network = network_of(load_kb())
    >>> game = Round(network, exercise(network, Order(seed=7, fault="standpipe-too-low")))
    >>> game.do(Act(kind="check", id="standpipe-height")).kind
    'gate'
    >>> game.ended
    'gate'
    """

    def __init__(self, network: Network, exercise: Exercise, knowing: bool = False) -> None:
        self.network, self.kb, self.exercise = network, network.kb, exercise
        self.order = exercise.order
        self.episode = Episode(network, exercise.site, self.order.role)
        self.acts: list[Act] = []
        self.answers: list[Brought] = []
        self.events: list[Event] = []
        self.looked = 0.0
        self.ended = ""
        self.breach = ""
        self.knowing = knowing
        self.guesses: list[tuple[str, float]] = []  # what was named, with its chance by what was seen until then [prob]
        self.unsafe = ""  # a gate that was asked for, and is not safe
        self.secured: set[str] = set()  # cautions without a gate that were seen to
        self.unsecured: list[tuple[str, list[str]]] = []  # steps, and the cautions that were not seen to before them
        self.state = State()
        self._note(Event(role=self.order.role), Event(complaints=list(exercise.site.origins)))
        for fact in given(self.kb, exercise.site.facts):
            self._note(Event(fact=fact, is_=exercise.site.facts[fact]))
        self.states: list[State] = [self.state]

    @property
    def left(self) -> float:
        """Minutes that are left for looking [min]."""
        return max(0.0, round(self.order.minutes - self.looked, 6))

    @property
    def standing(self) -> list[str]:
        """The complaints that are still there."""
        return self.episode.left()

    def do(self, act: Act) -> Brought:
        """Do a move and return what it brought.

        Raises
        ------
        ValueError
            Once the round is over, after MOST_MOVES, or for an id that is not of the kb.
        """
        if self.ended or len(self.acts) >= MOST_MOVES:
            raise ValueError("the round is over")
        answer = self._do(act)
        self.acts.append(act)
        self.answers.append(answer)
        self.states.append(self.state)
        return answer

    def _do(self, act: Act) -> Brought:
        kb = self.kb
        known = {"fact": {*kb.facts}, "check": {*kb.checks}, "safe": {*kb.hazards}, "verdict": {*kb.causes, SOUND}}
        if act.kind in known and act.id not in known[act.kind]:
            raise ValueError(f"no {act.kind} '{cut(act.id, 40)}' in the kb")
        if act.kind == "fact":
            return self._fact(act.id)
        if act.kind == "check":
            return self._check(kb.checks[act.id])
        if act.kind == "safe":
            return self._safe(act.id)
        if act.kind == "verdict":
            cleared, raised = set(self.episode.cleared), list(self.episode.raised)
            answer = self._verdict(act)
            # Whoever mended saw to their own gates: those in front of the pupil are as they were.
            self.episode.cleared, self.episode.raised = cleared, raised
            return answer
        if self.unsafe:
            return self._leave("You stop there, and that is right: it is not safe.", "stopped")
        return self._leave("You leave it to others.")

    def _note(self, *events: Event) -> None:
        for event in events:
            self.events.append(event)
            self.state = step(self.kb, self.state, event)

    def _pay(self, kind: str, name: str, title: str, said: str, minutes: float) -> None:
        self.looked = round(self.looked + minutes, 6)
        self.episode.pay(kind, name, title, said, minutes)

    # --- looking ------------------------------------------------------------------------------------------------------

    def _fact(self, name: str) -> Brought:
        fact = self.kb.facts[name]
        said = fact.options[self.exercise.site.facts[name]].says
        if name in dict(self.state.facts):
            return Brought(kind="again", title=fact.title, text=f"You know that: {said}.")
        minutes = roles.fact_minutes(fact, self.episode.hands)
        if minutes > self.left:
            return self._no_time(fact.title, minutes)
        self._pay("fact", name, fact.title, said, minutes)
        self._note(Event(fact=name, is_=self.exercise.site.facts[name]))
        return Brought(kind="seen", title=fact.title, text=said, minutes=minutes)

    def _check(self, check: model.Check) -> Brought:
        refused = self.refused(check)
        if refused:
            self._seen_on_the_way(check)
            return refused
        minutes = roles.check_minutes(check, self.episode.hands)
        if minutes > self.left:
            return self._no_time(check.title, minutes)
        closed = self.uncleared(check)
        if closed:
            return self._breach(check.title, closed[0])
        if check.kind != "ask":
            self._see_to(check.title, check.hazards)
        cured = self.episode.cured
        said = self.exercise.site.answer(self.network, check, self.episode.hands, cured)
        answer = check.answers.get(said)
        self._pay("check", check.id, check.title, answer.says if answer else said, minutes)
        if answer and answer.raises:
            # It was cleared before this was seen; now it must be cleared again.
            self.episode.raised.append(answer.raises)
            self.episode.cleared.discard(answer.raises)
        value, chosen = (said, None) if check.kind == "measure" else (None, said)
        self._note(Event(check=check.id, answer=chosen, value=value))
        text = answer.says if answer else self.read_off(check, said)
        notes = tuple(safety.notes(self.kb, self.state, check.hazards))
        return Brought(kind="seen", title=check.title, text=text, minutes=minutes, notes=notes)

    def _seen_on_the_way(self, check: model.Check) -> None:
        """Pay for the circumstance that keeps a check from being done here, and know it from now on."""
        facts, known = self.exercise.site.facts, dict(self.state.facts)
        for fact in check.when:
            if fact not in known and not holds({fact: check.when[fact]}, facts):
                record = self.kb.facts[fact]
                minutes = min(self.left, roles.fact_minutes(record, self.episode.hands))
                self._pay("fact", fact, record.title, record.options[facts[fact]].says, minutes)
                self._note(Event(fact=fact, is_=facts[fact]))
                return

    def refused(self, check: model.Check) -> Brought | None:
        """Return why a check is not done here at all; None where it can be."""
        kb, facts = self.kb, self.exercise.site.facts
        hands = self.episode.hands
        if not holds(check.when, facts):
            fact = next(f for f in check.when if not holds({f: check.when[f]}, facts))
            said = kb.facts[fact].options[facts[fact]].says
            return Brought(kind="not-here", title=check.title, text=f"Not here. {kb.facts[fact].title}: {said}.")
        if not roles.permitted(kb, check, hands):
            return Brought(
                kind="not-yours", title=check.title, text=f"Not with the hands of a {hands}: it takes others."
            )
        before = [a for a in self.state.answers if a.check == check.id and a.epoch == self.state.epoch and not a.proof]
        if before:
            own = before[-1].said
            said = check.answers[own].says if check.kind != "measure" else self.read_off(check, own)
            return Brought(kind="again", title=check.title, text=f"You saw that: {said}.")
        status, only = roles.waits_for(self.network, self.state, check)
        if status != "met" and only is not None:
            first = kb.checks[only.check].title
            text = (
                f"First: {first.lower()}."
                if status == "open"
                else f"That makes no sense after what {first.lower()} showed."
            )
            return Brought(kind="not-yet", title=check.title, text=text)
        if roles.senseless(self.network, self.state, check):
            return Brought(
                kind="senseless", title=check.title, text="That makes no sense after what was said and seen."
            )
        return None

    def uncleared(self, check: model.Check) -> list[str]:
        """Return the gates that stand before a check and that nobody cleared: words alone hurt nobody, all else waits for each open gate."""
        if check.kind != "ask":
            return self.episode.open_gates(check.hazards)
        own = [h for h in check.hazards if self.kb.hazards[h].gate and h not in self.episode.cleared]
        return [h for h in own if holds(self.kb.hazards[h].when, self.exercise.site.facts)]

    def read_off(self, check: model.Check, said: str) -> str:
        """Return a reading with its give or take, in SI for a reader of SI; the place itself says it in its own units."""
        rule = self.kb.rules[check.rule or ""]
        system = self.exercise.site.units(rule)
        if formatting.READER.get() in ("si", "si-first") and system == "us":
            system = "si"
            said = formatting.show(quantity.parse(said, rule.measures), rule.measures, system)
        width = half_width(self.kb, check, self.episode.hands)
        return f"{said}, give or take {formatting.show_difference(width, rule.measures, system)}"

    def _no_time(self, title: str, minutes: float) -> Brought:
        text = f"That takes {minutes:g} min, and you have {self.left:g} left. Give your verdict, or look at something shorter."
        return Brought(kind="no-time", title=title, text=text)

    def _safe(self, name: str) -> Brought:
        hazard = self.kb.hazards[name]
        gate = hazard.gate
        minutes = min(roles.GATE_MINUTES, self.left)
        if gate is None:
            if name in self.secured:
                return Brought(kind="again", title=hazard.title, text="You saw to that.")
            self.secured.add(name)
            self._pay("gate", name, hazard.title, "done", minutes)
            return Brought(kind="safe", title=hazard.title, text="Done, as it should be.", minutes=minutes)
        if name == self.unsafe:
            return Brought(kind="again", title=hazard.title, text="You asked that: not so.")
        if name in self.episode.cleared:
            return Brought(kind="again", title=hazard.title, text=f"You made sure of that: {gate.word}.")
        if name == self.exercise.unsafe:
            self._pay("gate", name, hazard.title, "not so", minutes)
            self.unsafe = name
            text = f"Asked and looked: not so. Safe would be: {gate.word}."
            return Brought(kind="unsafe", title=hazard.title, text=text, minutes=minutes)
        self._pay("gate", name, hazard.title, gate.word, minutes)
        self.episode.cleared.add(name)
        self._note(Event(cleared=name, word=gate.word))
        return Brought(kind="safe", title=hazard.title, text=f"Asked and looked: {gate.word}.", minutes=minutes)

    def _see_to(self, title: str, hazards: list[str]) -> None:
        """Remember the cautions of a step on which no gate hangs and which nobody saw to; the debrief names them."""
        grave = [h for h in hazards if not self.kb.hazards[h].gate and self.kb.hazards[h].signal in GRAVE]
        lacking = [
            h for h in grave if h not in self.secured and holds(self.kb.hazards[h].when, self.exercise.site.facts)
        ]
        if lacking:
            self.unsecured.append((title, lacking))

    def _breach(self, title: str, name: str) -> Brought:
        """End the round: a step that can hurt was begun over an open gate."""
        hazard = self.kb.hazards[name]
        gate = hazard.gate
        assert gate is not None
        self.ended, self.breach = "gate", name
        asked = roles.voice(gate.ask, self.order.role, self.episode.hands)
        why = "what they complain of" if name in self._of_complaints() else "this step, or what was seen before it,"
        text = f"{hazard.says} Because of {why} it had to be asked first: {asked} Safe is: {gate.word}."
        if name == self.exercise.unsafe:
            text += " Here it was not so."
        return Brought(kind="gate", title=f"{title} was begun over an open gate: {hazard.title.lower()}", text=text)

    def _of_complaints(self) -> set[str]:
        return {g for c in self.standing for g in self.kb.complaints[c].gates}

    # --- the verdict --------------------------------------------------------------------------------------------------

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
            "Mended, and its proof shows it." if episode.left() != before else "Done, and its proof shows no change."
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
        kb = self.kb
        wanted = {node for c in self._meant_by(act) for node in surely_shown(self.network, c)}
        for answer in self.state.answers:
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

    # --- what it came to ----------------------------------------------------------------------------------------------

    def cost(self) -> float:
        """Return what the round came to, with what others must still do where it was not mended [homeowner minutes]."""
        others = 0.0
        if self.episode.left():
            others = leaving(self.network, self.exercise, self.episode.cured)
            if self.ended == "stopped":
                others /= UNSTOPPED
        return round(self.episode.outcome.cost + others, 6)

    def named(self) -> list[str]:
        """Return the causes that were named in verdicts, in order."""
        return [a.id for a in self.acts if a.kind == "verdict"]


def leaving(network: Network, exercise: Exercise, cured: set[str] | frozenset[str] = frozenset()) -> float:
    """Return what the callback costs if it is left to whoever comes last and mends whatever is left [homeowner minutes].

    A healthy behaviour that nobody explains costs that visit, too: they ring again. Where a gate is not safe and nobody says so, it costs
    UNSTOPPED times as much: the danger goes on, and whoever comes is sent into it.
    """
    episode = Episode(network, exercise.site, exercise.order.role)
    episode.cured = set(cured)
    episode.clear_all()
    episode.last_resort()
    return episode.outcome.cost * (UNSTOPPED if exercise.unsafe else 1.0)
