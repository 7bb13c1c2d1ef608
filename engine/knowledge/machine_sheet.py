"""Machine sheets: one model's own limits, set in place of ours, and said to be the maker's."""

import math
import os
from pathlib import Path

import msgspec

from .. import model
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..measurement import parsing, quantity
from ..measurement.quantity import ends_of, value_of
from .decode import BAD, record
from .strict_yaml import at_path, read

# What a sheet may add, its measure, and where a true value can lie (judgement, wide).
DATA = {
    "foot-thread": ("length", "0.5 mm to 4 mm"),
    "mass": ("mass", "60 lb to 600 lb"),
    "pump-rate": ("flow", "2 gpm to 40 gpm"),
    "restraints": ("number", "0 to 12"),
    "spin-speed": ("number", "200 to 2000"),
    "water-line": ("length", "3 in to 60 in"),
}


def load_sheet(kb: model.KB, path: Path | str) -> model.Machine:
    """Return a machine sheet from a file, or one of the kb's own by its id.

    Parameters
    ----------
    kb : KB
    path : Path or str
        A YAML file, or the id of a sheet in kb/machines.

    Raises
    ------
    InvalidInputError
        With every problem of the file.
    """
    if str(path) in kb.machines and not os.path.exists(path):
        return kb.machines[str(path)]
    sheet = read(path)
    if not os.path.exists(path):  # a name that no file can have is none
        # Whoever writes the kind of machine where its sheet belongs is told which sheets there are.
        raise InvalidInputError(
            msgspec.structs.replace(
                p,
                message=f"there is no machine sheet '{path}'",
                expected=f"a file, or one of {', '.join(kb.machines)}",
                nearest=p.nearest or nearest(str(path), kb.machines),
                mend="leave it empty where the machine has no sheet; what kind it is stands under facts:",
            )
            for p in sheet.problems
        )
    if sheet.problems or sheet.root is None:
        raise InvalidInputError(sheet.problems)
    found = record(sheet, sheet.root, model.Machine)
    if found is BAD:
        raise InvalidInputError(sheet.problems)
    machine: model.Machine = found
    for i, limit in enumerate(machine.limits):
        place = at_path(sheet.root, ("limits", i, "rule"))
        rule = kb.rules.get(limit.rule)
        if rule is None:
            sheet.problem(
                "M001",
                f"unknown rule '{limit.rule}'",
                place,
                expected=one_of(kb.rules),
                nearest=nearest(limit.rule, kb.rules),
                mend="use the id of a rule in the kb",
            )
            continue
        for name, text in (("min", limit.min), ("max", limit.max)):
            if text is None:
                continue
            try:
                quantity.parse(text, rule.measures)
            except parsing.QuantityProblem as problem:
                sheet.problem(
                    "M002",
                    f"'{text}' is no {rule.measures}",
                    at_path(sheet.root, ("limits", i, name)),
                    expected=problem.expected,
                    nearest=problem.nearest,
                    mend=problem.mend,
                )
        said = misfit(rule, limit)
        if said:
            sheet.problem(
                "M004",
                f"the limit on '{rule.id}': {said}",
                place,
                expected="min below max, both within what can be true",
                mend="read the maker's sheet again; check the datum and the unit",
            )
    for fact, option in machine.facts.items():
        if fact not in kb.facts or option not in kb.facts[fact].options:
            known = kb.facts[fact].options if fact in kb.facts else kb.facts
            sheet.problem(
                "M003",
                f"unknown {'option' if fact in kb.facts else 'fact'} '{option if fact in kb.facts else fact}'",
                at_path(sheet.root, ("facts", fact)),
                expected=one_of(known),
                nearest=nearest(option if fact in kb.facts else fact, known),
                mend="correct it",
            )
    for p in data_problems(machine):
        sheet.problem(
            "M005",
            p.message,
            at_path(sheet.root, ("data", p.shown)),
            expected=p.expected,
            nearest=p.nearest,
            mend=p.mend,
        )
    if sheet.problems:
        raise InvalidInputError(sheet.problems)
    return machine


def data_problems(machine: model.Machine) -> list[Problem]:
    """Return what is wrong with the data that a machine sheet adds; `shown` names the datum.

    Examples
    --------
    >>> [p.nearest for p in data_problems(model.Machine(title="x", id="x", data={"pump-rates": "9 gpm"}))]
    ['pump-rate']
    """
    out = []
    for name, text in machine.data.items():
        if name not in DATA:
            out.append(
                Problem(code="M005", shown=name, message=f"unknown datum '{name}'", expected=one_of(DATA), nearest=nearest(name, DATA),
                        mend="correct the name; a limit belongs under limits:")
            )  # fmt: skip
            continue
        measures, span = DATA[name]
        try:
            value = float(text) if measures == "number" else quantity.parse(text, measures)
            low, high = (
                (float(x) for x in span.split(" to ")) if measures == "number" else quantity.plausible(span, measures)
            )
        except parsing.QuantityProblem as problem:
            out.append(
                Problem(code="M005", shown=name, message=f"{name}: '{text}' is no {measures}", expected=problem.expected,
                        nearest=problem.nearest, mend=problem.mend)
            )  # fmt: skip
        except ValueError:
            out.append(
                Problem(code="M005", shown=name, message=f"{name}: '{text}' is no bare number", expected="turns a minute, such as 1200",
                        mend="write it without a unit")
            )  # fmt: skip
        else:
            if not low <= value <= high:
                out.append(
                    Problem(code="M005", shown=name, message=f"{name}: {text} is outside what can be true", expected=span,
                            mend="read the maker's sheet again; check the unit")
                )  # fmt: skip
    return out


def misfit(rule: model.Rule, limit: model.Limit) -> str:
    """Return why a machine's limit can't stand in place of a rule's own, or an empty text.

    Parameters
    ----------
    rule : Rule
    limit : Limit

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> misfit(load_kb().rules["standpipe-height"], model.Limit(rule="standpipe-height", max="30 in"))
    'min 39 in is above max 30 in'
    """
    low, high = limit.min or rule.min, limit.max or rule.max
    read = {text: value_of(text, rule.measures) for text in (low, high) if text}
    values = {text: value for text, value in read.items() if isinstance(value, float)}
    ends = ends_of(rule.plausible, rule.measures) if rule.plausible else (-math.inf, math.inf)
    if not isinstance(ends, tuple) or len(values) < len(read):
        return ""  # said where it stands
    if low and high and values[low] > values[high]:
        return f"min {low} is above max {high}"
    out = [text for text in (limit.min, limit.max) if text and not ends[0] <= values[text] <= ends[1]]
    return f"{out[0]} is outside what can be true ({rule.plausible})" if out else ""


def apply_sheet(kb: model.KB, machine: model.Machine) -> model.KB:
    """Return the kb with a machine's own limits in place of ours; where a code sets a limit, both stand.

    Parameters
    ----------
    kb : KB
    machine : Machine

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> sheet = model.Machine(title="one", id="one", limits=[model.Limit(rule="standpipe-height", min="34 in", max="96 in")])
    >>> apply_sheet(load_kb(), sheet).rules["standpipe-height"].authority
    'manual'
    """
    rules = dict(kb.rules)
    limits = {limit.rule: limit for limit in machine.limits}
    for limit in machine.limits:
        old = rules[limit.rule]
        if old.authority == "code":
            # The code binds beside the manual: its limit is not replaced, and `KB.limits` holds the maker's beside it.
            continue
        rules[limit.rule] = msgspec.structs.replace(
            old, min=limit.min or old.min, max=limit.max or old.max, authority="manual"
        )
    return msgspec.structs.replace(
        kb, rules=rules, data={**kb.data, **machine.data}, limits=limits, machines={**kb.machines, machine.id: machine}
    )


def own_rule(kb: model.KB, rule: model.Rule) -> model.Rule | None:
    """Return a code's rule with the machine's own limits, which bind beside the code's, or None where the sheet has none.

    Parameters
    ----------
    kb : KB
        With the machine sheet applied.
    rule : Rule

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> sheet = model.Machine(title="one", id="one", limits=[model.Limit(rule="house-pressure", max="100 psi")])
    >>> kb = apply_sheet(load_kb(), sheet)
    >>> kb.rules["house-pressure"].max, own_rule(kb, kb.rules["house-pressure"]).max
    ('80 psi', '100 psi')
    """
    own = kb.limits.get(rule.id)
    if own is None or rule.authority != "code" or not (own.min or own.max):
        return None
    return msgspec.structs.replace(rule, min=own.min, max=own.max, authority="manual", edition=None)
