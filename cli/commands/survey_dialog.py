"""A survey by asking, line by line in the order of a walk round the machine; what was entered is kept at every step."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..terminal.asker import PlainAsker, Quit
from ..terminal.env import Env
from ..terminal.layout import Layout
from ..terminal.yes_no import agreed

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.advice import Card
    from ...engine.case.events import Event
    from ...engine.errors import Problem
    from ...engine.paper.filled_sheet import FilledSheet

OPENING = (
    "Enter, skip or can't leaves a line out; back goes one line back; stop ends the survey with what there is. "
    "declined, alone or behind a reading, is for what the customer does not want looked at or mended."
)
CARE = "Water near the outlet, a smell of gas, live parts: stop, leave it alone, and call the trade. Local code and the manual govern."
SKIPS = ("", "skip", "can't", "cant", "can't tell", "don't know")


def _free(folder: Path) -> Path:
    """Return a file of a folder that is not there yet: no survey writes over another."""
    number = 1
    while (folder / f"survey-{number}.yaml").exists():
        number += 1
    return folder / f"survey-{number}.yaml"


class Back(Exception):
    """The person wants the line before."""


class Asking:
    """One survey by asking.

    Parameters
    ----------
    env : Env
    kb : KB
        With a machine sheet applied where one was named.
    role, hands : str
        Who asks, and whose hands are at the machine.
    err : bool
        Write to stderr, so that stdout stays data.
    start : FilledSheet
        What is known beforehand: the machine and its facts, or a sheet that is gone on with.
    stage : str, optional
        Only lines of this stage, and what must be seen by then.
    minutes : float, optional
        Minutes of hands; what must be seen first, then the next best line while there is time.
    """

    def __init__(
        self,
        env: Env,
        kb: "model.KB",
        role: "model.Role",
        hands: "model.Hands",
        err: bool,
        start: "FilledSheet",
        stage: "model.Stage | None" = None,
        minutes: float | None = None,
    ) -> None:
        self.env, self.kb, self.role, self.hands, self.err = env, kb, role, hands, err
        self.stage, self.minutes = stage, minutes
        self.title, self.told, self.declined, self.notes = start.title, start.told, start.declined, start.notes
        self.machine, self.unread, self.rough = start.machine, start.unread, start.rough
        self.facts = dict(start.facts)
        self.given = frozenset(start.facts)
        self.readings: dict[str, str] = dict(start.readings)
        from ...engine.survey.must_see import again, asked_again

        # What was only told, or run before the mends, is seen once more; the few minutes are not spent on what was measured.
        self.once_more = again(kb, start) if minutes is not None else asked_again(kb, start)
        self.seen_before = frozenset(start.readings) - frozenset(self.once_more)
        self.gains: dict[str, float] = {}
        self.waits: list[str] = []
        self.asker = PlainAsker(env, err=err)
        self.warned: set[str] = set()
        self.path = _free(env.data_dir / "surveys")

    def run(self) -> "FilledSheet":
        """Return the sheet that was filled by asking."""
        for text in (OPENING, CARE):
            self._say(self._pen.wrap(text))
        if self.minutes is not None:
            self._say(self._pen.wrap(self._plan()))
        self._say(self._waiting())  # a sheet that is gone on with may say so already
        try:
            self._walk(self._facts_left)
            self._walk(self._checks_left)
        except Quit:
            pass
        finally:
            # After Ctrl-C too: nothing that was entered is lost.
            self._say(self._waiting())
            if self.readings or self.notes:
                self._say(["", f"What was entered is kept: dryfloor survey {self.path}", ""])
        return self._filled()

    @property
    def _pen(self) -> Layout:
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    def _filled(self) -> "FilledSheet":
        from ...engine.paper.filled_sheet import FilledSheet

        return FilledSheet(
            self.title,
            self.facts,
            self.readings,
            self.machine,
            self.hands,
            self.told,
            self.declined,
            {},
            self.notes,
            tuple(u for u in self.unread if u.name not in {*self.facts, *self.readings, *self.declined}),
            self.rough,
            self.stage,
        )

    def _say(self, lines: list[str]) -> None:
        for line in lines:
            self.env.say(line, err=self.err)

    def _facts_left(self, done: list[str]) -> "list[model.Fact | model.Check]":
        from ...engine.model import holds
        from ...engine.shortlist.printed import deciding
        from ...engine.survey.areas import asked_facts, beforehand

        if self.stage == "before":
            facts = beforehand(self.kb)
        elif self.stage or self.minutes is not None:
            facts = deciding(self.kb, self._lines(done))
        else:
            facts = asked_facts(self.kb)
        return [f for f in facts if f.id not in self.given and holds(f.when, self.facts)]

    def _checks_left(self, done: "list[str] | None" = None) -> "list[model.Fact | model.Check]":
        from ...engine.shortlist.round import spot_of
        from ...engine.survey.stops import may_go_on, stops

        ahead = [c for c in self._lines(done or []) if c.id not in self.seen_before]
        found = stops(self.kb, self._filled())
        if not found:
            return list(ahead)
        # What must not be run is mended first; where it can hurt, nobody opens a tap or lays a hand on it meanwhile.
        self.waits = [c.id for c in ahead if spot_of(self.kb, c) == "run" or not may_go_on(self.kb, c, found)]
        return [c for c in ahead if c.id not in self.waits]

    def _lines(self, done: list[str]) -> "list[model.Check]":
        """Return the lines to ask from here: all of them, those of a stage, or what fits into the minutes that are left."""
        from ...engine.shortlist.printed import due_lines
        from ...engine.shortlist.round import in_order
        from ...engine.survey.blank_sheet import blank_lines

        if self.minutes is None and self.stage is None:
            return list(blank_lines(self.kb, self.hands, self.facts))
        sheet = self._sheet(done)
        if self.minutes is None:
            return due_lines(self.kb, sheet.of_worth(), self._blank_of(done), self.stage)
        choice = sheet.choose(self.minutes - self._spent(done))
        must = in_order(self.kb, [self.kb.checks[n] for n in choice.must])
        self.gains = sheet.gains(choice)
        # What must be seen comes first, in one walk; then, line by line, the best that still fits.
        return [*must, *(self.kb.checks[n] for n in choice.lines if n not in choice.must)]

    def _blank_of(self, done: list[str]) -> "FilledSheet":
        """Return the sheet without what was answered just now: it is on the list until it is passed."""
        from msgspec import structs

        kept = {n: said for n, said in self.readings.items() if n in self.seen_before and n not in done}
        return structs.replace(self._filled(), readings=kept)

    def _sheet(self, done: list[str]) -> Any:
        from msgspec import structs

        from .survey_sheet import chosen

        filled = self._filled()
        left = {n: said for n, said in filled.readings.items() if n in self.seen_before or n in done}
        skipped = frozenset(n for n in done if n not in filled.readings)
        return chosen(self.kb, structs.replace(filled, readings=left), self.stage, skipped)

    def _spent(self, done: list[str]) -> float:
        from ...engine.survey.must_see import hand_minutes

        return sum(
            hand_minutes(self.kb.checks[n], self.hands) for n in done if n in self.kb.checks and n in self.readings
        )

    def _plan(self) -> str:
        from ...engine.shortlist.printed import covered

        return " ".join(covered(self._sheet([]).choose(self.minutes or 0.0)))

    def _walk(self, left: Any) -> None:
        """Ask one after another; an answer can change what is asked later, never what was passed."""
        done: list[str] = []
        while True:
            ahead = [x for x in left(done) if x.id not in done]
            if not ahead:
                return
            try:
                self._ask(ahead[0])
                done.append(ahead[0].id)
                self._say(self._on_the_spot(ahead[0].id))
            except Back:
                if done:
                    done.pop()
                else:
                    self._say(self._pen.wrap("This is the first line here.", 3))

    def _waiting(self) -> list[str]:
        """Return that the run waits, and for what."""
        from ...engine.survey.stops import stops

        first = stops(self.kb, self._filled())
        if not first:
            return []
        titles = "; ".join(c.title for c in first)
        return [
            "",
            *self._pen.wrap(
                f"DON'T RUN IT YET. Mend first: {titles}. Then go on with the run: dryfloor survey SHEET --ask"
            ),
        ]

    def _on_the_spot(self, name: str) -> list[str]:
        """Return that the run is off, as soon as an answer says so."""
        from ...engine.survey.stops import stops

        found = [s for s in stops(self.kb, self._filled()) if s.check == name]
        return (
            [
                "",
                *(
                    x
                    for s in found
                    for x in self._pen.wrap(f"DON'T RUN IT YET. {s.danger} {s.act if s.danger else ''}".rstrip())
                ),
            ]
            if found
            else []
        )

    def _ask(self, record: Any) -> None:
        from ...engine.language.sanitize import typed_line
        from ...engine.paper.sheet_reading import declines
        from ..render.card import card as draw

        card = self._card(record)
        self._say(["", *draw(self._pen, card)])
        offered = ""  # a value that was offered: a yes takes it
        while True:
            typed = typed_line(self.asker.ask("> "))
            if offered and agreed(typed):
                typed = offered
            offered = ""
            low = typed.lower()
            if low == "stop":
                raise Quit
            if low == "back":
                raise Back
            if low in SKIPS:
                if record.id not in self.once_more:
                    self._values(card).pop(record.id, None)
                self.declined = tuple(n for n in self.declined if n != record.id)
            else:
                text, declined = declines(typed) if card.kind != "fact" else (typed, False)
                said, problem = self._read(card, text) if text else ("", None)
                if problem:
                    offered = problem.nearest if card.measures and problem.nearest in problem.message else ""
                    heard = self._heard(card, typed)
                    if heard is None:
                        self._say(self._problem(card, problem))
                    if not heard:
                        continue
                elif text:
                    self._values(card)[record.id] = said
                self.declined = tuple(n for n in self.declined if n != record.id) + ((record.id,) if declined else ())
                if declined and not text and record.on_sheet and record.on_sheet.must_see:
                    self._say(
                        self._pen.wrap("Nobody leaves without it, so it can't be declined: it stays to be seen.", 3)
                    )
                self.told = tuple(n for n in self.told if n != record.id)
            self._keep()
            return

    def _heard(self, card: "Card", typed: str) -> bool | None:
        """Hear a sentence that does not answer a line by itself: what it says is shown, and entered by one key.

        True where the line was answered, False where the sentence told of something else, None where nothing was heard.
        """
        from ...engine.case.events import Event
        from ...engine.case.told import NOTED, Mention, told
        from ...engine.language.foreign import english_only

        known = [Event(role=self.role), *(Event(fact=f, is_=o) for f, o in self.facts.items())]
        said = told(self.kb, known, typed, card)
        for name in said.hazards:
            hazard = self.kb.hazards[name]
            gate = hazard.gate
            self._say(self._pen.wrap(f"That may be a danger, and comes first: {hazard.title.lower()}.", 3))
            for step in gate.do_now if gate else []:
                self._say(self._pen.wrap(step, 6, "   -"))
            self._say(self._pen.wrap(f"call: {gate.call}" if gate else "", 3))
        found = [Mention(self._said_of(said.answer), said.answer)] if said.answer else []
        found += [o for o in said.offers if o.event.fact or self._on_sheet(o.event.check)]
        if found:
            self._say(self._pen.wrap(f"I hear: {'; '.join(o.says for o in found)}. Keep it? (y, n)", 3))
            if self._yes():
                for o in found:
                    if o.event.fact:
                        self.facts[o.event.fact] = o.event.is_ or ""
                    elif o.event.check:
                        self.readings[o.event.check] = o.event.answer or o.event.value or ""
                self._keep()
                if said.answer is None:
                    self._say(self._pen.wrap("Entered; the line stays.", 3))
                return said.answer is not None
        foreign = english_only(typed)
        if foreign:
            self._say(self._pen.wrap(foreign, 3))
        if found or said.hazards or said.offers or len(typed.split()) >= NOTED:
            self.notes = (*self.notes, typed)
            self._keep()
            self._say(self._pen.wrap("These words are kept as a note; the line stays.", 3))
        return False if found or said.hazards or said.offers or foreign else None

    def _yes(self) -> bool:
        from ...engine.language.sanitize import typed_line

        while True:
            low = typed_line(self.asker.ask("> ")).lower().rstrip(".!")
            if low == "stop":
                raise Quit
            said = agreed(low)
            if said is not None:
                return said
            self._say(self._pen.wrap("Type y to enter it, or n to leave it out.", 3))

    def _said_of(self, event: "Event") -> str:
        from ...engine.case.told import mentioned

        if event.fact:
            return self.kb.facts[event.fact].options[event.is_ or ""].says
        if event.value:
            return mentioned(self.kb, event).says
        return self.kb.checks[event.check or ""].answers[event.answer or ""].says

    def _on_sheet(self, check: str | None) -> bool:
        return bool(check and self.kb.checks[check].on_sheet)

    def _values(self, card: "Card") -> dict[str, str]:
        return self.facts if card.kind == "fact" else self.readings

    def _card(self, record: Any) -> "Card":
        from msgspec import structs

        from ...engine.survey.blank_sheet import line_card

        card = line_card(self.kb, record.id, self.role, self.hands, self.facts)
        # A note that was read once is called to mind by its signal word and title.
        notes = [structs.replace(n, says=n.title + ".") if n.hazard in self.warned else n for n in card.notes]
        self.warned |= {n.hazard for n in card.notes}
        return structs.replace(card, notes=notes, why=self._why(record))

    def _why(self, record: Any) -> str:
        """Return why a line comes now: nobody leaves without it, or what it prevents beside what was seen."""
        if record.id in self.once_more:
            return self.once_more[record.id]
        line = getattr(record, "on_sheet", None)
        if line and line.must_see:
            either = f", or without {' or '.join(line.instead)}" if line.instead else ""
            return f"nobody leaves without it{either}: {line.must_see}"
        if record.id not in self.gains:
            return ""
        return f"the next best line: it covers {100 * self.gains[record.id]:.1f} in 100 more of the preventable callback cost"

    def _read(self, card: "Card", typed: str) -> "tuple[str, Problem | None]":
        from ...engine.answers.penned import looked, option
        from ...engine.answers.picking import pick
        from ...engine.errors import Problem
        from ...engine.paper.penned_reading import measured
        from ...engine.paper.sheet_reading import fitted

        self.rough = tuple(n for n in self.rough if n != card.id)
        if card.measures:
            value = measured(self.kb, self.kb.checks[card.id], typed, self.facts)
            if isinstance(value, Problem):
                return typed, value
            self._read_as(typed, f"{value.value}, more or less" if value.rough else value.value, value.remark)
            self.rough += (card.id,) if value.rough else ()
            return value.value, None
        chosen, problem = pick(card, typed.lower())
        if chosen is None:
            # What an installer would write on the sheet is taken here, too.
            if card.kind == "fact":
                chosen, _ = option(self.kb.facts[card.id], typed)
            else:
                read, _ = looked(self.kb.checks[card.id], typed, fitted(self.kb, self.machine))
                if read:
                    chosen = read.answer
                    self._read_as(typed, self.kb.checks[card.id].answers[chosen].says, read.remark)
        return chosen or "", None if chosen else problem

    def _read_as(self, typed: str, meant: str, remark: str) -> None:
        """Say how a line was read that does not stand as it was typed; the remark behind it is kept as a note."""
        if typed != meant:
            self._say(self._pen.wrap(f"Read as {meant}.", 3))
        if remark:
            self.notes = (*self.notes, typed)

    def _problem(self, card: "Card", problem: "Problem") -> list[str]:
        said = problem.message.removeprefix(f"'{card.id}': ")
        more = () if card.measures else (problem.expected, problem.mend)
        return [line for text in (said, *more) if text for line in self._pen.wrap(text[0].upper() + text[1:], 3)]

    def _keep(self) -> None:
        """Write the sheet so far; where that can't be done the survey goes on."""
        from ...engine.paper.filled_sheet import text_of

        try:
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.path.write_text(text_of(self._filled()), encoding="utf-8")
        except OSError:
            return
