"""The records of advice: what is believed, what is dangerous, what to do next and why, as data for any face."""

from typing import Literal

from msgspec import UNSET, Struct, UnsetType, field

StepKind = Literal["gate", "fact", "check", "remedy", "hand-on", "stop"]


class Frozen(Struct, frozen=True, kw_only=True):
    """Base of the records of advice."""


class Belief(Frozen, frozen=True, kw_only=True):
    """One cause: `p` that it explains the complaint, `present` that it is at work at all, and the rule it breaks."""

    cause: str
    title: str
    kind: str
    p: float
    present: float
    breaks: str | None


class Step(Frozen, frozen=True, kw_only=True):
    """What to do next; minutes are those of whose hands do it, cost is in homeowner minutes."""

    kind: StepKind
    id: str
    title: str
    why: str
    minutes: float
    cost: float
    proof: bool = False
    cause: str | None = None
    guards: str | None = (
        None  # at a gate that is only a condition of the step behind it: that step, as `check:id` or `remedy:id`
    )


class Note(Frozen, frozen=True, kw_only=True):
    """A safety note with its signal word, and the step of a remedy at which it is told again (from 1; 0: of the whole)."""

    signal: str
    title: str
    says: str
    hazard: str
    step: int = 0


class Choice(Frozen, frozen=True, kw_only=True):
    """One answer that can be given: its id and what it says."""

    id: str
    says: str


class Illustration(Frozen, frozen=True, kw_only=True):
    """A picture by its id; `step` is the step of a remedy that it stands beside, 0 for the whole, `rule` whose limit is drawn."""

    id: str
    title: str
    rule: str | None = None
    step: int = 0


class Card(Frozen, frozen=True, kw_only=True):
    """Everything that a person is shown for one step."""

    kind: StepKind
    id: str
    title: str
    meta: str = ""
    question: str = ""
    how: str = ""
    rule: list[str] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    why: str = ""
    choices: list[Choice] = field(default_factory=list)
    measures: str = ""
    example: str = ""
    word: str = ""
    steps: list[str] = field(default_factory=list)
    by: str = ""
    parts: list[str] = field(default_factory=list)
    do_now: list[str] = field(default_factory=list)
    call: str = ""
    also: list[str] = field(default_factory=list)
    then: str = ""
    guards: str = ""
    where: str = ""
    pictures: list[Illustration] = field(default_factory=list)


class Measured(Frozen, frozen=True, kw_only=True):
    """A reading against its rule, with a number line's ends [SI] and the texts a person reads."""

    check: str
    title: str
    said: str
    rule: str
    verdict: str
    side: str | None
    conformity: float
    value: float
    low: float | None
    high: float | None
    first: float
    last: float
    text: str
    whose: str
    limits: str = ""
    neighbours: list[str] = field(default_factory=list)
    means: list[str] = field(default_factory=list)


class WorkedOut(Frozen, frozen=True, kw_only=True):
    """What the physics makes of several readings, held against the rule that it bears on."""

    rule: str
    title: str
    working: str
    text: str
    verdict: str
    side: str | None
    conformity: float
    says: list[str]


class HazardState(Frozen, frozen=True, kw_only=True):
    """A hazard with a gate in this case."""

    id: str
    title: str
    signal: str
    state: Literal["open", "cleared", "stopped"]


class HeardComplaint(Frozen, frozen=True, kw_only=True):
    """A complaint heard in free words that nobody confirmed."""

    complaint: str
    score: float
    phrase: str


class Price(Frozen, frozen=True, kw_only=True):
    """A way to go on and what it is expected to cost until it is mended [homeowner minutes]."""

    kind: str
    id: str
    price: float


class Finding(Frozen, frozen=True, kw_only=True):
    """What was wrong, how sure, the rule it breaks and the readings that bear on it."""

    cause: str
    title: str
    says: str
    kind: str
    p: float
    rule: str | None
    rule_text: str
    mistaken_for: list[str]
    text: str
    pictures: list[Illustration] = field(default_factory=list)


class HandOn(Frozen, frozen=True, kw_only=True):
    """Handing on: to whom, how far the search has come, what to do until they come, and what to tell them."""

    to: str
    fee: float
    text: str
    looked: list[str]
    until: list[str]
    tell: list[str]
    bring: list[str]


class TurnedOut(Frozen, frozen=True, kw_only=True):
    """What a case turned out to be, as it was told after its end: words, the cause of the kb if one fits, by whose hands, on which day.

    `before` is what was said of it earlier, in order, where somebody knew better since: it stands, and decides nothing.
    """

    words: str
    cause: str | None
    by: str
    date: str
    text: str
    before: list[str] | UnsetType = UNSET


class Advice(Frozen, frozen=True, kw_only=True):
    """All of it: the answer of `advise(kb, case)`."""

    status: str
    role: str
    hands: str
    complaints: list[str]
    heard: list[HeardComplaint]
    facts: dict[str, str]
    hazards: list[HazardState]
    beliefs: list[Belief]
    unknown: float
    next: Step | None
    card: Card | None
    finding_cause: str | None = field(default=None, name="finding")
    finding: Finding | None = field(name="found")
    hand_on: HandOn | None
    prices: list[Price]
    readings: list[Measured]
    worked_out: list[WorkedOut]
    unchecked: list[str]
    notices: list[str]
    residual: float
    # Left out of a case of which nobody said so: its advice is the same to the byte as before there was such a thing.
    turned_out: TurnedOut | UnsetType = UNSET

    @property
    def move(self) -> tuple[Step, Card] | None:
        """The next step with its card; None where nothing is left to do."""
        return (self.next, self.card) if self.next is not None and self.card is not None else None


DIGITS = 9
