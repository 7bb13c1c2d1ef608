"""Looks of an attempt: facts, checks and readings, what each takes, and why one is not done."""

from collections.abc import Collection

from .. import model
from ..advising import gates as safety
from ..case.events import Event
from ..measurement import formatting, quantity
from ..measurement.readings import half_width
from ..model import holds
from ..planning import roles
from .gates import Gates
from .moves import Brought

FOOT = 0.3048  # [m]


class Looking(Gates):
    """An attempt in which somebody looks."""

    def telling(self) -> frozenset[str]:
        """Return the checks that tell of what they complain of and make sense now; those that others name as well come after them."""
        checks = self.network.checks_for(sorted(self.explaining()))
        return frozenset(c for c in checks if not roles.senseless(self.network, self.state, self.kb.checks[c]))

    def explaining(self) -> frozenset[str]:
        """Return the causes that may bring about what they complain of."""
        return frozenset(c for complaint in self.standing for c in self.network.shown[f"complaint:{complaint}"])

    def senseless(self) -> frozenset[str]:
        """Return the checks that make no sense after what was said and seen."""
        checks = self.kb.checks.values()
        return frozenset(c.id for c in checks if roles.senseless(self.network, self.state, c))

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

    def asked_back(self, name: str, unclear: Collection[str]) -> bool:
        """Return whether a look waits for a word: a gate in front of it is among those that somebody may have meant, and did not choose yet.

        Words that were not understood end no round.

        Parameters
        ----------
        name : str
            Of the look.
        unclear : collection of str
            Hazards that were on offer.
        """
        return self.over_a_gate(name) and bool({*unclear} & {*self.uncleared(self.kb.checks[name])})

    def over_a_gate(self, name: str) -> bool:
        """Return whether a look would be made, and be a step over a gate that nobody cleared: a name that was misheard must not end a round."""
        check = self.kb.checks.get(name)
        return check is not None and self.refused(check) is None and bool(self.uncleared(check))

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
                f"Something else is looked at before it: {first.lower()}."
                if status == "open"
                else f"That makes no sense after what {first.lower()} showed."
            )
            return Brought(kind="not-yet", title=check.title, text=text)
        if roles.senseless(self.network, self.state, check):
            return Brought(
                kind="senseless", title=check.title, text="That makes no sense after what was said and seen."
            )
        return None

    def read_off(self, check: model.Check, said: str) -> str:
        """Return a reading with its give or take, in SI for a reader of SI; the place itself says it in its own units."""
        rule = self.kb.rules[check.rule or ""]
        system = self.exercise.site.units(rule)
        if formatting.READER.get() in ("si", "si-first") and system == "us":
            system = "si"
            said = formatting.show(quantity.parse(said, rule.measures), rule.measures, system)
        width = half_width(self.kb, check, self.episode.hands)
        by = formatting.show_difference(width, rule.measures, system)
        if " ft" in said and rule.measures == "length" and width >= FOOT:
            by = f"{width / FOOT:g} ft"  # a run that is read in feet is not so many inches long, give or take
        return f"{said}, give or take {by}"

    def _no_time(self, title: str, minutes: float) -> Brought:
        text = f"That takes {minutes:g} min, and you have {self.left:g} left. Give your verdict, or look at something shorter."
        return Brought(kind="no-time", title=title, text=text)
