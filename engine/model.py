"""The records of the kb: one place for every field, its type, its meaning and its default.

`load.py` checks YAML against these records and `dryfloor kb schema` turns them into a JSON schema for editors, so a
field is described here once and nowhere else.
"""

from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta, Struct, field

Hands = Literal["homeowner", "technician"]
Role = Literal["homeowner", "desk", "technician"]
Trade = Literal["anyone", "technician", "plumber", "electrician"]
Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Side = Literal["below", "above"]
# Where one stands in a walk round the machine, and the stages of an installation, both in their order.
Spot = Literal["front", "below", "back", "wall", "house", "place", "run"]
Stage = Literal["before", "door", "hook-up", "first-run", "leaving"]
Grade = Literal["P", "S", "M", "C", "D", "judgement"]
Basis = Literal["judgement", "counted", "source"]
Authority = Literal["code", "manual", "practice"]
CauseKind = Literal["install", "site", "use", "machine", "normal"]
CheckKind = Literal["ask", "look", "measure", "try"]
Measure = Literal[
    "length",
    "slope",
    "flow",
    "volume",
    "pressure",
    "temperature",
    "voltage",
    "current",
    "time",
    "age",
    "turns",
    "count",
    "mass",
    "area",
    "rise",
    "state",
]

Id = Annotated[
    str, Meta(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", description="a plain slug that names a state, never a fix")
]
Text = Annotated[str, Meta(min_length=1, description="plain text for a person")]
Quantity = Annotated[str, Meta(min_length=1, description="a value in trade notation with its unit, e.g. 39 in, 17 gpm")]
Word = Annotated[str, Meta(min_length=1, description="a strength word of scales.yaml, e.g. very likely")]
Rare = Annotated[float, Meta(gt=0, lt=1000, description="of 1000, neither none nor all")]
Chance = Annotated[float, Meta(gt=0, lt=1, description="a chance; 0 and 1 are none")]
When = Annotated[
    dict[str, str | list[str]],
    Meta(description="fact id -> the option (or options) for which this holds; several facts must all hold"),
]


class Record(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Base of every kb record: immutable, no unknown field passes."""


class Number(Record, frozen=True, kw_only=True):
    """A number with what it rests on."""

    n: Annotated[float, Meta(description="the number")]
    basis: Annotated[Basis, Meta(description="judgement: the author's; counted: from n_of cases; source: cited")]
    n_of: Annotated[int | None, Meta(description="with basis counted: out of how many")] = None
    source: Annotated[str | None, Meta(description="with basis source: id in sources.yaml")] = None


class Cite(Record, frozen=True, kw_only=True):
    """A source and where in it."""

    source: Annotated[str, Meta(description="id in sources.yaml")]
    at: Annotated[str | None, Meta(description="section, table or page")] = None
    grade: Annotated[
        Grade | None, Meta(description="grade of this very value where it is weaker than its source's")
    ] = None


class Voices(Record, frozen=True, kw_only=True):
    """One question in three voices."""

    homeowner: Annotated[str | None, Meta(description="plain words, no jargon, no blame")] = None
    desk: Annotated[str | None, Meta(description="what the desk says to the caller, read aloud as it stands")] = None
    technician: Annotated[str | None, Meta(description="terse, with tool and datum")] = None


class Minutes(Record, frozen=True, kw_only=True):
    """Minutes by whose hands do it; hands that are missing can't do it at all."""

    homeowner: Annotated[float, Meta(gt=0)] | None = None
    technician: Annotated[float, Meta(gt=0)] | None = None


class Source(Record, frozen=True, kw_only=True):
    """A cited work, or the name of a kind of knowledge."""

    title: Text
    id: Id
    grade: Annotated[
        Grade,
        Meta(
            description="P seen in the publisher's text, S quoted by someone else, M from memory, "
            "C common practice, D derived here"
        ),
    ]
    note: str | None = None
    url: str | None = None


class Picture(Record, frozen=True, kw_only=True):
    """A drawing of `engine/pictures`: a scene, what is marked in it, and how it stands, or how it stands right and wrong."""

    scene: Annotated[str, Meta(description="name of a scene; dryfloor kb picture lists them")]
    marks: Annotated[
        list[str], Meta(description="what is measured or looked at in it; the first takes the rule's limit")
    ] = field(default_factory=list)
    state: Annotated[str | None, Meta(description="how it stands; absent: the scene's usual state")] = None
    right: Annotated[str | None, Meta(description="the state on the left, in place of `state`")] = None
    wrong: Annotated[str | None, Meta(description="the state on the right, beside `right`")] = None
    sizes: Annotated[
        dict[str, "Take"],
        Meta(description="further sizes of the scene: a check's reading or a datum of the machine sheet"),
    ] = field(default_factory=dict)


class StepPicture(Picture, frozen=True, kw_only=True):
    """A drawing beside one step of a remedy."""

    step: Annotated[int, Meta(gt=0, description="number of the step that it stands beside")] = 1
    rule: Annotated[
        str | None,
        Meta(description="rule whose limit the first mark takes; absent: that of the rule that the cause breaks"),
    ] = None


class AtOnce(Record, frozen=True, kw_only=True):
    """A danger that is under way once somebody says so: nothing is asked before they are told what to do."""

    says: Annotated[
        str, Meta(min_length=5, description="what somebody says of it, short: a button of the page's start")
    ]
    first: Annotated[str, Meta(min_length=5, description="the first words that they are told")]
    turn: Annotated[
        int, Meta(ge=1, description="which button of the page's start comes first: 1 before 2, then by id")
    ] = 1


class Gate(Record, frozen=True, kw_only=True):
    """What must be cleared by one safe word before anything goes on."""

    ask: Voices
    word: Annotated[str, Meta(min_length=3, description="the one word that clears it; everything else stops")]
    do_now: Annotated[list[str], Meta(min_length=1, description="what to do at once, in order")]
    call: Annotated[str, Meta(description="whom to call")]
    asks_danger: Annotated[
        bool, Meta(description="it asks whether the danger is there, so that a bare yes is not safe; else a bare no is")
    ] = False
    at_once: AtOnce | None = None
    formerly: Annotated[
        list[str],
        Meta(description="safe words of earlier versions: case files with them still open, nobody can type them"),
    ] = field(default_factory=list)


class Hazard(Record, frozen=True, kw_only=True):
    """Something that can hurt a person or property, with its note and perhaps a gate."""

    title: Text
    id: Id
    signal: Annotated[Signal, Meta(description="signal word after ANSI Z535.4")]
    says: Annotated[str, Meta(min_length=20, description="what can happen and what to do about it, at the step")]
    never: Annotated[list[Hands], Meta(description="hands that are never led into this hazard")] = field(
        default_factory=list
    )
    gate: Gate | None = None
    people: Annotated[int, Meta(ge=1, le=9, description="how many people a step with it takes")] = 1
    arises_at: Annotated[
        list[Text],
        Meta(description="how words of a remedy's step begin at which it arises: it is told again at the first"),
    ] = field(default_factory=list)
    when: When = field(default_factory=dict)
    hear: Annotated[list[str], Meta(description="words of a person that make this gate come first")] = field(
        default_factory=list
    )
    danger: Annotated[
        str | None,
        Meta(description="what it can do to somebody, in one short sentence: why a machine is not run"),
    ] = None
    shut_off: Annotated[
        Literal["power", "water"] | None,
        Meta(description="what is off until it is mended: power (its breaker, then the taps) or water (the taps)"),
    ] = None
    sources: list[Cite] = field(default_factory=list)
    picture: Picture | None = None


class Tells(Record, frozen=True, kw_only=True):
    """What a complaint says by itself, so that nobody is asked for it."""

    facts: Annotated[dict[str, str], Meta(description="fact -> the option that holds where this is complained of")] = (
        field(default_factory=dict)
    )
    answers: Annotated[
        dict[str, str], Meta(description="check -> the answer that says the same again; it weighs nothing of its own")
    ] = field(default_factory=dict)


class Complaint(Record, frozen=True, kw_only=True):
    """What a person complains of."""

    title: Text
    id: Id
    says: Annotated[str, Meta(description="in a few plain words, shown for confirmation")]
    hear: Annotated[list[str], Meta(min_length=5, description="ways that people say it")]
    gates: Annotated[list[str], Meta(description="hazards to clear before the first question")] = field(
        default_factory=list
    )
    meanwhile: Annotated[
        str, Meta(description="whether to run it until somebody comes, and what not to do, in one or two sentences")
    ] = ""
    unlisted_per_1000: Annotated[
        Number, Meta(description="of 1000 callbacks, how many complain of this for a cause not listed")
    ]
    tells: Annotated[Tells, Meta(description="what is known once this is complained of, and is not asked")] = field(
        default_factory=Tells
    )
    otherwise_by: Annotated[
        Literal["technician", "plumber", "electrician"],
        Meta(description="whose work it mostly is where nothing listed explains it"),
    ] = "technician"


class Option(Record, frozen=True, kw_only=True):
    """One possible value of a fact."""

    says: Text
    share_per_1000: Annotated[float, Meta(gt=0, lt=1000, description="how usual it is (basis: scales.yaml)")]
    unknown: Annotated[
        bool, Meta(description="nobody knows it; a code's rule that hangs on this fact is then advice")
    ] = False
    local: Annotated[
        bool,
        Meta(
            description="a code of one place or country: on a reading of which its rules say nothing, it keeps no other from binding"
        ),
    ] = False
    hear: list[str] = field(default_factory=list)
    pen: Annotated[list[str], Meta(description="what an installer writes for it on a sheet, beside its own words")] = (
        field(default_factory=list)
    )
    watch: Annotated[
        Number | None,
        Meta(description="a fault that comes and goes: washes to watch after its proof before the case may close"),
    ] = None


class Fact(Record, frozen=True, kw_only=True):
    """A circumstance that is not a fault: drain kind, floor, onset, what was tried."""

    title: Text
    id: Id
    ask: Voices
    options: Annotated[dict[str, Option], Meta(min_length=2)]
    minutes: Annotated[Minutes, Meta(description="time to answer")]
    when: When = field(default_factory=dict)
    unless: Annotated[list["Unless"], Meta(description="what makes the question senseless: it is not asked then")] = (
        field(default_factory=list)
    )


class Neighbour(Record, frozen=True, kw_only=True):
    """Another rule on the same thing, and how the two differ."""

    rule: Id
    differs: Annotated[str, Meta(description="what differs: datum, edition, limit")]
    same_reading_if: Annotated[
        str | None, Meta(description="condition under which one reading can be held against both; absent: never")
    ] = None


class Take(Record, frozen=True, kw_only=True):
    """Where a working's input comes from: a check's reading, else the machine's own data, else a stated value."""

    check: Annotated[str | None, Meta(description="a measuring check whose reading is taken")] = None
    data: Annotated[str | None, Meta(description="a datum of the machine sheet, e.g. pump-rate")] = None
    value: Annotated[str | None, Meta(description="in trade notation, where neither is there")] = None
    give_or_take: Annotated[str | None, Meta(description="half-width of data or value")] = None
    basis: Annotated[str | None, Meta(description="with value: what it rests on (judgement, C, S ...)")] = None


class Model(Record, frozen=True, kw_only=True):
    """The physics behind a rule or a reading: a working of `engine/workings`, and where its inputs come from."""

    working: Annotated[str, Meta(description="name of a working; dryfloor reckon lists them")]
    gives: Annotated[str | None, Meta(description="for rules: the output that the limits speak of")] = None
    takes: dict[str, Take] = field(default_factory=dict)
    at_least: Annotated[
        str | None, Meta(description="for rules: the input that the output must reach, in place of the rule's own min")
    ] = None
    assumes: Annotated[str | None, Meta(description="what must hold for the result, said in front of it: 'if ...'")] = (
        None
    )
    assumes_site: Annotated[
        bool,
        Meta(description="what it assumes is a fact of the site: a survey says it only beside a reading that feeds it"),
    ] = False
    instead_of: Annotated[
        dict[str, Side],
        Meta(
            description="rule -> side: a stand-in for this one, whose own reading says nothing once this is worked out"
        ),
    ] = field(default_factory=dict)
    kept_counts: Annotated[
        list[str],
        Meta(description="of the rules in `instead_of`, those whose reading still counts where it keeps its limit"),
    ] = field(default_factory=list)


class RuleDanger(Record, frozen=True, kw_only=True):
    """What a break of a rule can do by itself, and from where on: a machine with it is not run before it is mended."""

    hazard: Annotated[Id, Meta(description="the hazard, which says its danger in plain words")]
    below: Annotated[
        Quantity | None, Meta(description="only a reading this far down; outside the rule's own limit")
    ] = None
    above: Annotated[Quantity | None, Meta(description="only a reading this far up; neither: any break")] = None
    output: Annotated[
        str | None, Meta(description="an output of the working by which its checks say what a reading amounts to")
    ] = None
    at_least: Annotated[float | None, Meta(description="with output: from this value on, in its unit")] = None
    may_run: Annotated[bool, Meta(description="it hurts somebody, but not by the machine's run")] = False
    because: Annotated[str | None, Meta(description="why from there on, with the grade of its value")] = None


class PlainWords(Record, frozen=True, kw_only=True):
    """A rule in words of whoever lives there: what is measured or seen, and what must be seen."""

    of: str | None = None
    must: str | None = None


class RuleMend(Record, frozen=True, kw_only=True):
    """How a rule is kept again where no cause's remedy says so: what is done, and whose work it is."""

    title: Text
    by: Trade
    steps: list[str] = field(default_factory=list)
    side: Annotated[Side | None, Meta(description="only of a reading on this side; else of any break")] = None
    before_likely: Annotated[
        bool,
        Meta(
            description="it comes before the remedy of a cause that is only likely behind the break: a soft floor is no springy one"
        ),
    ] = False


class Rule(Record, frozen=True, kw_only=True):
    """A measurable installation rule."""

    title: Text
    id: Id
    measures: Measure
    of: Annotated[str, Meta(description="what is measured and from which datum")]
    min: Quantity | None = None
    max: Quantity | None = None
    must: Annotated[str | None, Meta(description="with measures: state, what must be seen")] = None
    plain: Annotated[
        PlainWords | None,
        Meta(description="the same for homeowner and desk, where `of` or `must` has a trade's words or numbers"),
    ] = None
    plausible: Annotated[str | None, Meta(description="'6 in to 120 in': where a true value can lie")] = None
    size_below: Annotated[
        Quantity | None, Meta(description="the next size under min that is made: no true value lies between")
    ] = None
    otherwise_per_1000: Annotated[
        Rare | dict[str, Rare] | None,
        Meta(
            description="how often it is broken with no listed cause (basis: scales.yaml); a mapping by side, or one number shared by its sides"
        ),
    ] = None
    below: str | None = None
    above: str | None = None
    broken: Annotated[str | None, Meta(description="with measures: state, what follows when it is broken")] = None
    authority: Authority
    edition: Annotated[str | None, Meta(description="with authority code: which code and edition")] = None
    guarded: Annotated[bool, Meta(description="a hazard rule: accepted only a whole U inside the limit")] = False
    danger: Annotated[
        RuleDanger | None, Meta(description="what a break can do by itself: the machine is not run before it is mended")
    ] = None
    why_no_danger: Annotated[
        str | None, Meta(description="with guarded: why a break may be run with until its mend")
    ] = None
    mends: Annotated[
        list[RuleMend], Meta(description="who keeps it again, and how, where no remedy of a cause says so")
    ] = field(default_factory=list)
    practice_ids: Annotated[list[str], Meta(description="cp-NN of the common-practice sheet that this rule states")] = (
        field(default_factory=list)
    )
    neighbours: list[Neighbour] = field(default_factory=list)
    replaces: Annotated[
        list[str],
        Meta(description="rules that do not judge a finished installation where this one's `when` is known to hold"),
    ] = field(default_factory=list)
    stand_in: Annotated[
        Side | None,
        Meta(description="side on which it only stands in for what is worked out or watched; alone it convicts nobody"),
    ] = None
    model: Annotated[
        Model | None, Meta(description="the physics that works this rule's value out from other readings")
    ] = None
    sources: Annotated[list[Cite], Meta(min_length=1)]
    when: When = field(default_factory=dict)
    picture: Annotated[Picture | None, Meta(description="also shown with checks and remedies of it that have none")] = (
        None
    )


class Sign(Record, frozen=True, kw_only=True):
    """What happens at a machine: causes show it, and answers of several checks may report it."""

    title: Text
    id: Id
    leak_per_1000: Annotated[
        Rare,
        Meta(description="how often it is there with no listed cause; nobody's error is in it (basis: scales.yaml)"),
    ]
    kind_of: Annotated[
        str | list[str],
        Meta(description="the coarser sign (or signs) that this is a kind of, by where, when or how: it implies them"),
    ] = field(default_factory=list)

    @property
    def coarser(self) -> list[str]:
        """The signs that this one is a kind of."""
        return [self.kind_of] if isinstance(self.kind_of, str) else self.kind_of


class Answer(Record, frozen=True, kw_only=True):
    """One answer of a check; most telling first, the normal one last."""

    says: Text
    leak_per_1000: Annotated[float, Meta(gt=0, lt=1000, description="how often seen with no listed cause")] | None = (
        None
    )
    sign: Annotated[
        str | None, Meta(description="the sign that this answer reports, in place of a leak of its own")
    ] = None
    raises: Annotated[str | None, Meta(description="hazard whose gate comes next when this is answered")] = None
    keeps: Annotated[
        bool, Meta(description="a telling answer by which the check's own rule is kept: no break on a survey")
    ] = False
    hear: Annotated[
        list[str], Meta(description="words in a story that give this answer beforehand, to be confirmed")
    ] = field(default_factory=list)
    pen: Annotated[list[str], Meta(description="what an installer writes for it on a sheet, beside its own words")] = (
        field(default_factory=list)
    )


class OnlyIf(Record, frozen=True, kw_only=True):
    """An observation that must stand before this check or remedy is offered; it is asked first if missing."""

    check: str
    answer: str | None = None
    side: Side | None = None


class Unless(Record, frozen=True, kw_only=True):
    """What makes a question senseless, all of it together; what was seen counts until something is mended."""

    complaints: Annotated[list[str], Meta(description="nothing but these is complained of")] = field(
        default_factory=list
    )
    facts: When = field(default_factory=dict)
    answers: Annotated[dict[str, str], Meta(description="check -> the answer that was given")] = field(
        default_factory=dict
    )


class OnSheet(Record, frozen=True, kw_only=True):
    """A check as a line of a survey sheet: where one stands for it, when it is due, and whether nobody leaves without it."""

    at: Annotated[Spot, Meta(description="where one stands for it in one walk round the machine")]
    stage: Annotated[Stage, Meta(description="the first stage of an installation at which it can be seen")] = "hook-up"
    until: Annotated[
        Stage | None,
        Meta(description="the last stage at which it is asked for, where it was due before the machine came"),
    ] = None
    must_see: Annotated[
        str | None, Meta(description="why nobody leaves without it; a sheet without it is not finished")
    ] = None
    instead: Annotated[
        list[str], Meta(description="with must_see: checks any of which, seen by whoever is there, does in its place")
    ] = field(default_factory=list)
    same_as: Annotated[
        dict[str, dict[str, str]],
        Meta(
            description="answer -> {check: answer}: what it is where it is counted or seen on a sheet, not told from memory"
        ),
    ] = field(default_factory=dict)
    again_after: Annotated[
        list[str] | None,
        Meta(
            description="of a run that is watched: the families of faults (folders of causes/) whose mends can change it; else any mend can"
        ),
    ] = None
    by_itself: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="of a technician's minutes, those that run by themselves: no hands"),
    ] = None


class Check(Record, frozen=True, kw_only=True):
    """A question, a look, a measurement or a trial."""

    title: Text
    id: Id
    kind: CheckKind
    rule: str | None = None
    why_no_rule: str | None = None
    ask: Voices
    how: Annotated[str, Meta(min_length=10, description="how to do it, so that a homeowner could follow")]
    how_technician: str | None = None
    tools: list[str] = field(default_factory=list)
    give_or_take: Annotated[
        str | dict[str, str] | None, Meta(description="half-width of the reading; a mapping by hands where they differ")
    ] = None
    minutes: Minutes
    hazards: list[str] = field(default_factory=list)
    why_no_hazard: str | None = None
    answers: dict[str, Answer] = field(default_factory=dict)
    when: When = field(default_factory=dict)
    only_if: Annotated[
        list[OnlyIf], Meta(description="what must have been seen before anybody does this; asked first if missing")
    ] = field(default_factory=list)
    unless: Annotated[list[Unless], Meta(description="what makes the question senseless: it is not asked then")] = (
        field(default_factory=list)
    )
    means: Annotated[list[Model], Meta(description="what a reading amounts to, shown beside it")] = field(
        default_factory=list
    )
    only_proof: Annotated[bool, Meta(description="asked only to prove a remedy, never to find a cause")] = False
    lasts: Annotated[
        str | None,
        Meta(description="why what was right at the installation still is: a callback does not ask it again"),
    ] = None
    repeats: Annotated[
        list[str] | None,
        Meta(description="of a proof, the complaints whose condition it repeats; else those of what was mended"),
    ] = None
    on_sheet: Annotated[
        OnSheet | None, Meta(description="its line on a survey sheet; else by the place of its rule")
    ] = None
    beside: Annotated[
        dict[str, str],
        Meta(description="another check that most of the same causes show by -> what this one tells beside it"),
    ] = field(default_factory=dict)
    heard_with: Annotated[list[str], Meta(description="complaints beside which its answers are heard in a story")] = (
        field(default_factory=list)
    )
    picture: Picture | None = None
    why_no_picture: Annotated[str | None, Meta(description="why a drawing would help nobody; at most one in ten")] = (
        None
    )

    def wrong(self, said: str) -> bool:
        """Return whether an answer says that a finished installation is not as it must be: no measurement, no normal one, none that keeps."""
        return said in self.answers and said != [*self.answers][-1] and not self.answers[said].keeps


class Likelier(Record, frozen=True, kw_only=True):
    """A circumstance that makes a cause more or less frequent."""

    when: When
    times: Annotated[Number, Meta(description="factor on per_1000")]


class Break(Record, frozen=True, kw_only=True):
    """The rule that a cause breaks, and on which side."""

    rule: Id
    side: Annotated[Side | None, Meta(description="for rules with numbers; absent for state rules")] = None
    strength: Word | Number | None = None


class Shows(Record, frozen=True, kw_only=True):
    """How a cause shows: a complaint, a sign, an answer to a check, or a broken rule's side."""

    complaint: str | None = None
    sign: str | None = None
    check: str | None = None
    answer: str | None = None
    rule: str | None = None
    side: Side | None = None
    strength: Word | Number


class Defines(Record, frozen=True, kw_only=True):
    """The observation that *is* the cause: made with able hands, its denial rules the cause out. Or why there is none."""

    check: str | None = None
    answer: str | None = None
    also: Annotated[list[str], Meta(description="answers of the same check that show it as well")] = field(
        default_factory=list
    )
    rule: str | None = None
    side: Side | None = None
    why_hidden: Annotated[str | None, Meta(description="why nobody can look: inside the machine, in a wall")] = None


class Mistaken(Record, frozen=True, kw_only=True):
    """What looks the same, and what tells them apart."""

    cause: str | None = None
    healthy: Annotated[str | None, Meta(description="a healthy behaviour that looks the same")] = None
    tell: Annotated[str, Meta(min_length=10)]


class Instead(Record, frozen=True, kw_only=True):
    """Whose work a remedy is where circumstances take it out of the usual hands."""

    when: Annotated[When, Meta(min_length=1)]
    by: Trade


class Remedy(Record, frozen=True, kw_only=True):
    """What mends a cause, who may do it, and what it takes."""

    title: Text
    only_if: OnlyIf | None = None
    cures: Word | Number
    steps: Annotated[list[str], Meta(min_length=1)]
    by: Trade
    by_where: Annotated[
        list[Instead],
        Meta(description="by whom instead where facts say so; those facts are asked before it is offered"),
    ] = field(default_factory=list)
    else_by: Annotated[
        Literal["technician", "plumber", "electrician"] | None,
        Meta(description="whose work it is where those hands could not do it; a technician's unless said"),
    ] = None
    call: Annotated[
        Literal["utility"] | None, Meta(description="whom to call before any trade, where it is not the house's own")
    ] = None
    minutes: Annotated[float, Meta(gt=0)]
    people: Annotated[int, Meta(ge=1, le=9, description="how many it takes, where none of its hazards says so")] = 1
    parts: list[str] = field(default_factory=list)
    hazards: list[str] = field(default_factory=list)
    hazards_at: Annotated[
        dict[str, int],
        Meta(description="hazard -> the step at which it is met first, from 1, where no word of the steps finds it"),
    ] = field(default_factory=dict)
    why_no_hazard: str | None = None
    pictures: Annotated[list[StepPicture], Meta(description="drawings beside its steps")] = field(default_factory=list)
    why_no_picture: Annotated[str | None, Meta(description="why a drawing would help nobody; at most one in ten")] = (
        None
    )


class Proof(Record, frozen=True, kw_only=True):
    """What must be seen before the case may close."""

    check: str
    passes: Annotated[str, Meta(description="the answer that proves it, or 'within' for a measurement")]


class Given(Record, frozen=True, kw_only=True):
    """The input of a case: the short mapping of a case file."""

    role: Role | None = None
    hands: Hands | None = None
    say: str | None = None
    complaints: list[str] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)
    answers: dict[str, str] = field(default_factory=dict)


class Expect(Record, frozen=True, kw_only=True):
    """What a case expects of the advice."""

    top: str | None = None
    at_least: Chance | None = None
    at_most: Chance | None = None
    below: Annotated[str | None, Meta(description="a cause that must come lower than top")] = None
    both: list[str] = field(default_factory=list)
    unknown_at_least: Chance | None = None
    next: Annotated[str | None, Meta(description="id of the step that must come next")] = None


class Trial(Record, frozen=True, kw_only=True):
    """A case kept beside a cause, run by the tests and by `kb check`."""

    name: Text
    given: Given
    expect: Expect


class Cause(Record, frozen=True, kw_only=True):
    """One cause a file: how it shows, the rule it breaks, its remedy, its proof, its cases."""

    title: Text
    says: Annotated[str, Meta(description="one sentence: what is the matter")]
    kind: CauseKind
    when: When = field(default_factory=dict)
    per_1000: Annotated[Number, Meta(description="of 1000 callbacks where `when` holds")]
    likelier: list[Likelier] = field(default_factory=list)
    breaks: Break | None = None
    why_no_rule: str | None = None
    shows: Annotated[list[Shows], Meta(min_length=1)]
    defines: Annotated[
        Defines | None,
        Meta(description="the look that is the cause, by the best hands that can make it; or why_hidden"),
    ] = None
    because: Annotated[
        str | None, Meta(description="why rate and strengths are as they are: mechanism, reading, look-alike")
    ] = None
    mistaken_for: Annotated[list[Mistaken], Meta(min_length=1)]
    remedy: Remedy
    proof: Proof
    cases: Annotated[list[Trial], Meta(min_length=2)]
    sources: list[Cite] = field(default_factory=list)
    id: Annotated[str, Meta(description="its file name; never written inside the file")] = ""


class Decoy(Record, frozen=True, kw_only=True):
    """A healthy installation that somebody complains about; every permitted check is normal."""

    name: Text
    complaint: str
    role: Role
    facts: dict[str, str] = field(default_factory=dict)


class RoleCard(Record, frozen=True, kw_only=True):
    """Who asks: what a minute costs, what the hands may do, and handing on."""

    title: Text
    id: Role
    per_minute: Annotated[Number, Meta(description="cost of one minute, in homeowner minutes")]
    default_hands: Hands
    may: list[Trade]
    hand_on_to: Annotated[Literal["technician", "specialist"], Meta(description="who comes next")]
    hand_on_fee: Annotated[Number, Meta(description="what handing on costs before the next role starts")]
    gross_error_per_1000: Annotated[Number, Meta(description="how often these hands report something quite wrong")]


class TradeCard(Record, frozen=True, kw_only=True):
    """A licensed trade that a remedy may need."""

    title: Text
    id: Annotated[str, Meta(pattern="^(technician|plumber|electrician|specialist)$")]
    fee: Annotated[Number, Meta(description="call-out, in homeowner minutes")]
    per_minute: Number


class Rates(Record, frozen=True, kw_only=True):
    """How far a report goes."""

    hit: Annotated[Number, Meta(description="how often it catches what is there")]
    false_alarm: Annotated[Number, Meta(description="how often it says so where nothing is caught")]


class RatesByKind(Record, frozen=True, kw_only=True):
    """How far the reports of some hands go, by how they came by them."""

    ask: Annotated[Rates, Meta(description="said from memory")]
    look: Annotated[Rates, Meta(description="looked at now")]
    try_: Annotated[Rates, Meta(description="tried now")] = field(name="try")


class Reports(Record, frozen=True, kw_only=True):
    """How far reports go, by whose they are; a reading has `give_or_take` and `gross_error_per_1000` instead."""

    homeowner: RatesByKind
    technician: RatesByKind


class Judgement(Record, frozen=True, kw_only=True):
    """What a judgement is worth beside counted cases: so many cases of the rarer way that it can come out.

    Seen so often, what was judged and what was counted weigh the same. One such case is a give or take of 1 in the log-odds of what is rare, and of 1.4
    where both ways are as likely (D: one over the root of cases x p x (1 - p)).
    """

    rates: Annotated[Number, Meta(description="of causes, and of complaints with no listed cause")]
    strengths: Annotated[Number, Meta(description="how surely a cause shows by what is seen")]
    leaks: Annotated[Number, Meta(description="how often something is seen with no listed cause")]
    shares: Annotated[Number, Meta(description="how usual each option of a fact is")]
    cures: Annotated[Number, Meta(description="how often a remedy cures")]
    reports: Annotated[Number, Meta(description="how far reports go")]


class WaitingCosts(Record, frozen=True, kw_only=True):
    """What waiting costs a call in the queue beside its callback, in homeowner minutes; by it the queue is in order."""

    soon: Annotated[Number, Meta(description="once, where somebody said that it is needed soon")]
    water: Annotated[Number, Meta(description="once, where water may be coming, or something froze")]
    a_day: Annotated[Number, Meta(description="for each day that it has waited")]
    most_days: Annotated[Number, Meta(description="no more days than these are counted")]


class Roles(Record, frozen=True, kw_only=True):
    """roles.yaml: who asks and who may be called."""

    roles: list[RoleCard]
    trades: list[TradeCard]
    price_unit: Annotated[Number, Meta(description="homeowner minutes for one price unit of parts.yaml")]
    second_visit: Annotated[
        Number | None,
        Meta(
            description="what coming a second time for want of a part costs, in homeowner minutes; else a technician's fee"
        ),
    ] = None
    per_card: Annotated[
        Number | None,
        Meta(
            description="the head that one more question takes, in minutes of whoever answers, beside its own; else none"
        ),
    ] = None
    patience: Annotated[
        Number | None,
        Meta(
            description="after so many questions the next takes twice the head, after twice as many five times; else always the same"
        ),
    ] = None
    in_vain: Annotated[
        Number | None,
        Meta(
            description="what a fix that changes nothing costs beyond its own minutes, in homeowner minutes; else nothing"
        ),
    ] = None
    reports: Annotated[
        Reports | None,
        Meta(
            description="how far a report of a sign goes, by hands and kind of check; else as gross_error_per_1000 says"
        ),
    ] = None
    waiting: Annotated[
        WaitingCosts | None,
        Meta(description="what waiting costs a call in the queue beside its callback; else nothing is added"),
    ] = None
    judgement: Annotated[
        Judgement | None,
        Meta(description="what the judgement is worth beside a shop's own cases, when these are learned from"),
    ] = None


class Part(Record, frozen=True, kw_only=True):
    """A part that a remedy needs."""

    title: Text
    id: Id
    price: Number
    ask_for: Annotated[
        str,
        Meta(description="what to ask for at a shop's counter, for whoever mends it themselves: size, thread, length"),
    ] = ""
    carry: Annotated[Number | None, Meta(description="what carrying it on a van costs a visit, in price units")] = None


class Scales(Record, frozen=True, kw_only=True):
    """scales.yaml: what strength words mean, and the bases of numbers that carry none of their own."""

    scale: Text
    source: Id
    words: dict[str, float]
    breaks_strength: Number
    episode_rate: Annotated[
        Number, Meta(description="chance that any listed cause is at work, before anything is known")
    ]
    defines_strength: Annotated[
        Number | None,
        Meta(description="how surely a cause shows by what defines it, to able hands; else as its link says"),
    ] = None
    another_name: Annotated[
        Number | None,
        Meta(
            description="beside a complaint that a cause shows, chance that its people name the trouble by another, too; else none"
        ),
    ] = None
    changed_since: Annotated[
        Number | None,
        Meta(description="chance that what was seen at an installation, and can change, is otherwise at a callback"),
    ] = None
    bases: Annotated[dict[str, str], Meta(description="field -> basis of bare numbers in that field")]


class Limit(Record, frozen=True, kw_only=True):
    """A maker's own limit for one model."""

    rule: Id
    min: Quantity | None = None
    max: Quantity | None = None
    says: str | None = None


class Machine(Record, frozen=True, kw_only=True):
    """A machine sheet: limits and facts that one model's own manual states."""

    title: Text
    id: Id
    facts: dict[str, str] = field(default_factory=dict)
    limits: list[Limit] = field(default_factory=list)
    data: Annotated[
        dict[str, Quantity],
        Meta(
            description="pump-rate (flow), water-line (length), spin-speed (rpm), foot-thread (length a turn), mass, restraints (how many were fitted): what workings take of this model"
        ),
    ] = field(default_factory=dict)


class Overlay(Record, frozen=True, kw_only=True):
    """kb.yaml: what kb a shop's folder adds to, and which of its entries it replaces whole."""

    extends: Annotated[Text, Meta(description="shipped, or the path of a kb folder, seen from this one")]
    replaces: Annotated[
        list[str], Meta(description="ids of entries that are replaced whole; roles and scales name those files")
    ] = field(default_factory=list)


class KB(Record, frozen=True, kw_only=True):
    """The whole knowledge base, each kind keyed by id."""

    complaints: dict[str, Complaint]
    facts: dict[str, Fact]
    hazards: dict[str, Hazard]
    rules: dict[str, Rule]
    checks: dict[str, Check]
    causes: dict[str, Cause]
    parts: dict[str, Part]
    sources: dict[str, Source]
    roles: Roles
    scales: Scales
    decoys: list[Decoy] = field(default_factory=list)
    signs: dict[str, Sign] = field(default_factory=dict)
    machines: dict[str, Machine] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)
    data: dict[str, str] = field(default_factory=dict)
    limits: Annotated[dict[str, Limit], Meta(description="the named machine's own limits, by rule")] = field(
        default_factory=dict
    )


def schema() -> dict[str, object]:
    """Return the JSON schema of every kind of kb file, for editors.

    Returns
    -------
    dict
        JSON Schema 2020-12 with one definition for each record.

    Examples
    --------
    >>> "Rule" in schema()["$defs"]
    True
    """
    kinds = [Complaint, Fact, Hazard, Rule, Sign, Check, Cause, Part, Source, Roles, Scales, Decoy, Machine, Overlay]
    _, defs = msgspec.json.schema_components(kinds, ref_template="#/$defs/{name}")
    # The loader takes a bare number where text is wanted (at: 608.2), so an editor must not call it wrong.
    for each in [*defs.values()]:
        _number_as_text(each)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "dryfloor kb", "$defs": defs}


def _number_as_text(part: object) -> None:
    """Let every text of a schema be a number too, in place."""
    if isinstance(part, dict):
        if part.get("type") == "string":
            part["type"] = ["string", "number"]
        for inner in part.values():
            _number_as_text(inner)
    elif isinstance(part, list):
        for inner in part:
            _number_as_text(inner)


def holds(when: dict[str, Any], facts: dict[str, str]) -> bool:
    """Return whether known facts allow a circumstance: what is not known contradicts nothing.

    Examples
    --------
    >>> holds({"drain": "standpipe"}, {"drain": "tub"}), holds({"drain": "standpipe"}, {})
    (False, True)
    """
    return all(
        fact not in facts or facts[fact] in ([wanted] if isinstance(wanted, str) else wanted)
        for fact, wanted in when.items()
    )


def covered(hazard: Hazard, remedy: Remedy) -> bool:
    """Return whether a remedy goes to a trade wherever a hazard can be there.

    Examples
    --------
    >>> gas = Hazard(title="Gas", id="gas", signal="DANGER", says="It can leak and burn.", when={"dryer": "gas"})
    >>> other = Instead(when={"dryer": ["gas", "any"]}, by="technician")
    >>> mend = Remedy(title="Move it", cures="likely", steps=["Move it."], by="anyone", by_where=[other], minutes=5)
    >>> covered(gas, mend), covered(gas, msgspec.structs.replace(mend, by_where=[]))
    (True, False)
    """

    def options(wanted: str | list[str]) -> set[str]:
        return {wanted} if isinstance(wanted, str) else {*wanted}

    def wide(when: When) -> bool:
        return all(f in hazard.when and options(hazard.when[f]) <= options(o) for f, o in when.items())

    return bool(hazard.when) and any(other.by != "anyone" and wide(other.when) for other in remedy.by_where)
