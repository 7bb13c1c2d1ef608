"""Gates of an attempt: what must be made sure of before a step that can hurt, and what comes of a step over an open one."""

from .. import model
from ..case.events import Event
from ..exercises.at_the_door import told_of
from ..model import holds
from ..planning import roles
from .attempt import Attempt
from .moves import Brought

GRAVE = ("DANGER", "WARNING")  # cautions without a gate that are named in the debrief where nobody saw to them


class Gates(Attempt):
    """An attempt with its gates."""

    def uncleared(self, check: model.Check) -> list[str]:
        """Return the gates that stand before a check and that nobody cleared: a question hurts nobody, all else waits for each open gate."""
        return [] if check.kind == "ask" else self.episode.open_gates(check.hazards)

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
        """End the round: a step that can hurt was begun before its danger was cleared."""
        hazard = self.kb.hazards[name]
        gate = hazard.gate
        assert gate is not None
        self.ended, self.breach = "gate", name
        asked = roles.voice(gate.ask, self.order.role, self.episode.hands)
        seen = " ".join(self._told_of(name))
        text = f"{hazard.says} To be seen before: {seen or 'nothing more than the step itself.'}"
        text += f" To be cleared first: {hazard.title.lower()}. {asked} Safe is: {gate.word}."
        if name == self.exercise.unsafe:
            text += " Here it was not so."
        return Brought(
            kind="gate", title=f"{title} was begun before its danger was cleared: {hazard.title.lower()}", text=text
        )

    def _told_of(self, name: str) -> list[str]:
        """Return what told of a gate: an answer of this round that raised it, else what was to be seen at the door or in the step."""
        said = [(self.kb.checks[a.check], a.said) for a in self.state.answers if not a.proof]
        raised = [f"{c.title}: {c.answers[x].says}." for c, x in said if x in c.answers and c.answers[x].raises == name]
        return raised[-1:] or told_of(self.kb, self.exercise, self.standing, name)

    def waiting(self) -> set[str]:
        """Return the gates of what they complain of that nobody cleared, as far as the place is known."""
        known = dict(self.state.facts)
        return {g for g in self._of_complaints() - self.episode.cleared if holds(self.kb.hazards[g].when, known)}

    def _of_complaints(self) -> set[str]:
        return {g for c in self.standing for g in self.kb.complaints[c].gates}
