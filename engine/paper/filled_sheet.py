"""Survey sheets that were filled in, beside a machine's own sheet, and written again."""

import json

from msgspec import Struct, structs

from .. import model
from ..errors import InvalidInputError, Problem
from ..knowledge.machine_sheet import apply_sheet, load_sheet
from .unread import Unread


class FilledSheet(Struct, frozen=True):
    """A survey sheet as it was read.

    `told` are the readings that a customer made, on the phone or at the door. `declined` are lines that the customer declined: of one with
    a reading its mend, of one without the look. `read_as` has of lines that a pen wrote what stood there, and how it was read. `notes` are words that
    fit no line.
    `unread` are lines that were not understood: they count as not measured. `rough` are readings that are only about so much: read with a
    customer's give or take. `stage` is how far the installation has come, where the sheet says so.
    """

    title: str
    facts: dict[str, str]
    readings: dict[str, str]
    machine: str | None
    hands: model.Hands
    told: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    read_as: dict[str, tuple[str, str]] = {}
    notes: tuple[str, ...] = ()
    unread: tuple[Unread, ...] = ()
    rough: tuple[str, ...] = ()
    stage: model.Stage | None = None

    def by(self, name: str) -> model.Hands:
        """Return whose hands made a reading, or those with whose give or take it was made."""
        return "homeowner" if name in self.told or name in self.rough else self.hands


def with_machine(kb: model.KB, filled: FilledSheet, named: str | None) -> tuple[model.KB, FilledSheet]:
    """Return the kb with the limits and data of the machine that was named, else of the sheet's own, and the sheet with its facts.

    Raises
    ------
    InvalidInputError
        If there is no such machine sheet as was named, or a fact of the survey contradicts it. A name on the sheet that no machine sheet has
        is a line that was not understood.
    """
    machine = named or filled.machine
    if not machine:
        return kb, filled
    try:
        sheet = load_sheet(kb, machine)
    except InvalidInputError as error:
        if named or machine in kb.machines or "/" in machine or machine.endswith((".yaml", ".yml")):
            raise
        problem = structs.replace(
            error.problems[0],
            mend="judged without one: leave it empty where there is none, and say what kind it is under facts:",
        )
        line = Unread(name="machine", title="Machine sheet", said=machine, problem=problem)
        return kb, structs.replace(filled, unread=(*filled.unread, line))
    problems = [
        Problem(
            code="S007",
            message=f"the survey says {fact}: {filled.facts[fact]}, the machine sheet '{sheet.id}' says {option}",
            expected="one of the two",
            mend="name the right machine sheet, or correct the fact",
        )
        for fact, option in sheet.facts.items()
        if filled.facts.get(fact, option) != option
    ]
    if problems:
        raise InvalidInputError(problems)
    return apply_sheet(kb, sheet), structs.replace(filled, machine=sheet.id, facts={**sheet.facts, **filled.facts})


def taken_on(filled: FilledSheet, hands: model.Hands) -> FilledSheet:
    """Return a sheet as it goes on in some hands: what a customer read before stays theirs, with a customer's give or take.

    Examples
    --------
    >>> phone = FilledSheet("x", {}, {"standpipe-height": "42 in"}, None, "homeowner")
    >>> on = taken_on(phone, "technician")
    >>> on.hands, on.by("standpipe-height"), on.by("hose-depth")
    ('technician', 'homeowner', 'technician')
    """
    if filled.hands == hands or hands == "homeowner":
        return filled
    return structs.replace(filled, hands=hands, told=tuple(filled.readings))


def written(filled: FilledSheet, name: str) -> str:
    """Return what a line of a sheet says, with the word that it was declined.

    Examples
    --------
    >>> sheet = FilledSheet("x", {}, {"standpipe-height": "31 in"}, None, "technician", (), ("standpipe-height", "gap-behind"))
    >>> written(sheet, "standpipe-height"), written(sheet, "gap-behind")
    ('31 in, declined', 'declined')
    """
    said = filled.readings.get(name, "")
    said = f"about {said}" if name in filled.rough else said
    return ", ".join(t for t in (said, "declined" if name in filled.declined else "") if t)


def text_of(filled: FilledSheet) -> str:
    """Return a filled sheet as YAML that `sheet_of` reads back.

    Examples
    --------
    >>> print(text_of(FilledSheet("Alder Lane 4", {"drain": "tub"}, {"tub-rim-height": '39 1/2"'}, None, "technician")), end="")
    title: "Alder Lane 4"
    hands: technician
    facts:
      drain: "tub"
    readings:
      tub-rim-height: "39 1/2\\""
    """
    out = [f"title: {json.dumps(filled.title)}"]
    if filled.machine:
        out.append(f"machine: {json.dumps(filled.machine)}")
    out += [f"hands: {filled.hands}"]
    if filled.stage:
        out.append(f"stage: {filled.stage}")
    if filled.told:
        out.append(f"told: [{', '.join(filled.told)}]")
    lines = {
        n: written(filled, n) for n in [*filled.readings, *(n for n in filled.declined if n not in filled.readings)]
    }
    # What was not understood stands there as it was, for whoever mends it.
    facts = {**{u.name: u.said for u in filled.unread if u.block == "facts"}, **filled.facts}
    lines = {**{u.name: u.said for u in filled.unread if u.block == "readings"}, **lines}
    for name, values in (("facts", facts), ("readings", lines)):
        if values:
            out += [f"{name}:", *(f"  {k}: {json.dumps(v)}" for k, v in values.items())]
    if filled.notes:
        out += ["notes:", *(f"  - {json.dumps(text)}" for text in filled.notes)]
    return "\n".join(out) + "\n"
