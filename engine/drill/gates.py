"""Gates of an attempt: what must be made sure of before a step that can hurt, and what comes of a step over an open one."""

from .. import model
from ..case.events import Event
from ..model import holds
from ..planning import roles
from .attempt import Attempt
from .moves import Brought

GRAVE = ("DANGER", "WARNING")  # cautions without a gate that are named in the debrief where nobody saw to them


class Gates(Attempt):
    """An attempt with its gates."""

    def uncleared(self, check: model.Check) -> list[str]:
        """Return the gates that stand before a check and that nobody cleared: words alone hurt nobody, all else waits for each open gate."""
        if check.kind != "ask":
            return self.episode.open_gates(check.hazards)
        own = [h for h in check.hazards if self.kb.hazards[h].gate and h not in self.episode.cleared]
        return [h for h in own if holds(self.kb.hazards[h].when, self.exercise.site.facts)]

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
        why = "what they complain of" if name in self._of_complaints() else "this step, or what was seen before it,"
        text = f"{hazard.says} Because of {why} it had to be asked first: {asked} Safe is: {gate.word}."
        if name == self.exercise.unsafe:
            text += " Here it was not so."
        return Brought(
            kind="gate", title=f"{title} was begun before its danger was cleared: {hazard.title.lower()}", text=text
        )

    def waiting(self) -> set[str]:
        """Return the gates of what they complain of that nobody cleared, as far as the place is known."""
        known = dict(self.state.facts)
        return {g for g in self._of_complaints() - self.episode.cleared if holds(self.kb.hazards[g].when, known)}

    def _of_complaints(self) -> set[str]:
        return {g for c in self.standing for g in self.kb.complaints[c].gates}
