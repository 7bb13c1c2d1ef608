"""The records of workings, and doing one: trade notation in, SI through, sentences out."""

import math
import re
from collections.abc import Callable
from functools import cache
from importlib import import_module

from msgspec import Struct

from ..errors import InvalidInputError, Problem, nearest, one_of

MODULES = (
    "drain",
    "standpipe",
    "hose",
    "supply",
    "pressure",
    "stand",
    "feet",
    "floor",
    "handling",
    "noise",
    "power",
    "circuit",
    "cold",
)
LONG = re.compile(r"\b\d{2,}\.\d+|\b\d{4,}\b")
FRACTION = re.compile(r"\b(\d{2,}) (\d+)/(\d+)")
FEET = 6.1  # from 20 ft on a length is said in whole feet and metres [m]
AMOUNTS = ("volume", "area", "mass")  # of which there is always some where anything is to be worked out
Run = Callable[[dict[str, float]], dict[str, float | None]]


class Input(Struct, frozen=True, kw_only=True):
    """One value that a working takes.

    Parameters
    ----------
    name : str
        Its name, as in `--with name=value`.
    measures : str
        A measure of the kb: length, flow, pressure ...; `number` for a bare number.
    says : str
        What it is, and from which datum.
    default : str, optional
        In trade notation, used where it is not given.
    basis : str
        What the default rests on: a grade with its source, or judgement.
    """

    name: str
    measures: str
    says: str
    default: str | None = None
    basis: str = ""


class Output(Struct, frozen=True, kw_only=True):
    """One value that a working gives; `spread` is the model's own relative standard uncertainty, `bound` upper, lower or empty."""

    name: str
    measures: str
    says: str
    spread: float = 0.0
    spread_basis: str = "judgement"
    bound: str = ""


class Calculator(Struct, frozen=True, kw_only=True):
    """A calculator.

    Parameters
    ----------
    run : callable
        dict of SI inputs -> dict of SI outputs (None where there is no such value); raises ValueError on the impossible.
    says : callable
        (inputs, outputs) -> sentences that a person can use, with what bounds them.
    sources : tuple of str
        Each with its grade.
    """

    name: str
    title: str
    area: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    run: Run
    says: Callable[[dict[str, float], dict[str, float | None]], list[str]]
    sources: tuple[str, ...]
    rules: tuple[str, ...] = ()


class Worked(Struct, frozen=True, kw_only=True):
    """A working that was done: inputs and outputs as SI numbers and as people write them, sentences, sources."""

    name: str
    title: str
    takes: dict[str, float]
    given: dict[str, str]
    gives: dict[str, float | None]
    shown: dict[str, str]
    says: list[str]
    sources: list[str]


@cache
def all_calculators() -> dict[str, Calculator]:
    """Return every working by name.

    Examples
    --------
    >>> all(w.inputs and w.sources for w in all_calculators().values())
    True
    """
    found: dict[str, Calculator] = {}
    for module in MODULES:
        for working in import_module(f".{module}", __package__).WORKINGS:
            found[working.name] = working
    return dict(sorted(found.items()))


def find(name: str) -> Calculator:
    """Return a working by name.

    Raises
    ------
    InvalidInputError
        With the nearest name.
    """
    known = all_calculators()
    if name not in known:
        raise InvalidInputError(
            [
                Problem(
                    code="R001",
                    message=f"unknown working '{name}'",
                    expected=one_of(known, 40),
                    nearest=nearest(name, known),
                    mend="dryfloor reckon lists them all",
                )
            ]
        )
    return known[name]


def read_value(text: str, measures: str) -> float:
    """Return a value in SI from trade notation; `number` takes a bare number.

    Raises
    ------
    quantity.QuantityProblem, ValueError
    """
    from ..measurement import quantity

    if measures != "number":
        return quantity.parse(text, measures)
    value = float(text)
    if not (text.isascii() and math.isfinite(value)) or (value == 0 and "-" in text):
        raise ValueError(text)
    return value


def show(value: float | None, measures: str) -> str:
    """Return a value as people write it, never finer than a working is worth: no decimals or fractions from 10 up, three digits from 1000 up.

    Examples
    --------
    >>> show(0.00198, "flow"), show(4.921, "volume"), show(10.11, "length")
    ('31 gpm (119 L/min)', '1300 gal (4920 L)', '33 ft (10 m)')
    """
    from ..measurement import formatting

    if value is None:
        return "none"
    if measures == "length" and abs(value) >= FEET:
        return f"{value / 0.3048:.0f} ft ({value:.0f} m)"
    return LONG.sub(_rounded, FRACTION.sub(_whole, formatting.show(value, measures)))


def _whole(m: "re.Match[str]") -> str:
    return str(round(int(m.group(1)) + int(m.group(2)) / int(m.group(3))))


def _rounded(m: "re.Match[str]") -> str:
    value = float(m.group(0))
    return f"{round(value, -(len(str(int(value))) - 3)):.0f}" if value >= 1000 else str(round(value))


def show_value(value: float | None, measures: str) -> str:
    """Return a value as people write it.

    Examples
    --------
    >>> show_value(None, "time"), show_value(1335.2, "number")
    ('never', '1340')
    """
    if value is None:
        return "never" if measures == "time" else "none"
    if measures == "number":
        return f"{round(value, -(len(str(int(abs(value)))) - 3)):.0f}" if abs(value) >= 1000 else f"{value:.3g}"
    return show(value, measures)


def work(name: str, given: dict[str, str]) -> Worked:
    """Do a working with inputs in trade notation.

    Parameters
    ----------
    name : str
    given : dict
        Input name -> text; what is missing takes its default.

    Raises
    ------
    InvalidInputError
        Unknown inputs (nearest named), missing ones, values that can't be read or can't be true.
    """
    from ..measurement import parsing

    working = find(name)
    known = {i.name: i for i in working.inputs}
    problems = [
        Problem(
            code="R002",
            message=f"'{name}' takes no '{key}'",
            expected=one_of(known, 20),
            nearest=nearest(key, known),
            mend="correct the name",
        )
        for key in given
        if key not in known
    ]
    values: dict[str, float] = {}
    texts: dict[str, str] = {}
    for i in working.inputs:
        text = given.get(i.name, i.default)
        if text is None:
            problems.append(
                Problem(
                    code="R003",
                    message=f"'{name}' needs {i.name}",
                    expected=f"{i.says} ({i.measures})",
                    mend=f"add --with {i.name}=VALUE",
                )
            )
            continue
        try:
            values[i.name] = read_value(text, i.measures)
            texts[i.name] = text
            if i.measures in AMOUNTS and not values[i.name]:
                problems.append(
                    Problem(
                        code="R004",
                        message=f"{i.name}: '{text}' is nothing at all",
                        expected=f"{i.says} ({i.measures})",
                        mend="give what there is of it",
                    )
                )
        except parsing.QuantityProblem as p:
            problems.append(
                Problem(
                    code="R004",
                    message=f"{i.name}: {p.question or p.found}",
                    expected=p.expected,
                    nearest=p.nearest,
                    mend=p.mend,
                )
            )
        except ValueError:
            problems.append(
                Problem(
                    code="R004",
                    message=f"{i.name}: '{text}' is no number",
                    expected="a bare number such as 0.6",
                    mend="write it in digits",
                )
            )
    if problems:
        raise InvalidInputError(problems)
    try:
        out = working.run(values)
        if not all(math.isfinite(v) for v in out.values() if v is not None):
            raise ValueError("a value grows beyond all bounds")
        says = working.says(values, out)
    except (ValueError, ArithmeticError) as error:
        raise InvalidInputError(
            [
                Problem(
                    code="R005",
                    message=f"this can't be worked out: {error}",
                    mend="check the values against what was measured",
                )
            ]
        ) from error
    shown = {o.name: show_value(out.get(o.name), o.measures) for o in working.outputs}
    return Worked(
        name=name,
        title=working.title,
        takes=values,
        given=texts,
        gives=out,
        shown=shown,
        says=says,
        sources=list(working.sources),
    )
