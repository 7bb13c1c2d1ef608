"""What is wrong with a fact or an answer to a check, wherever it was written: a case file, a survey sheet, a typed line."""

from collections.abc import Iterable

from .. import model
from ..errors import Problem, nearest, one_of
from ..measurement import formatting, parsing, quantity
from ..measurement.units import BY_EYE, units_of


def unknown(what: str, word: str, known: Iterable[str]) -> Problem:
    """Return the problem of an id that the kb does not have, with the nearest that it has."""
    return Problem(
        code="C012",
        message=f"unknown {what} '{word}'",
        expected=one_of(known),
        nearest=nearest(word, known),
        mend=f"use the id of a {what} in the kb",
    )


def fact_problems(kb: model.KB, name: str, option: str) -> list[Problem]:
    """Return what is wrong with a fact: unknown, or without such an option.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> fact_problems(load_kb(), "drain", "pipe")[0].code
    'C013'
    """
    if name not in kb.facts:
        return [unknown("fact", name, kb.facts)]
    options = kb.facts[name].options
    if option in options:
        return []
    return [
        Problem(
            code="C013",
            message=f"'{name}' has no option '{option}'",
            expected=one_of(options),
            nearest=nearest(option, options),
            mend="write it after is:",
        )
    ]


def answer_problems(kb: model.KB, check_id: str, answer: str | None, value: str | None) -> list[Problem]:
    """Return what is wrong with an answer to a check, as a question back to the person.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> answer_problems(load_kb(), "standpipe-height", None, "31 in")
    []
    """
    check = kb.checks[check_id]
    if check.kind != "measure":
        if value is not None:
            return [
                Problem(
                    code="C020",
                    message=f"'{check_id}' is answered, not measured",
                    expected=one_of(check.answers, 20),
                    nearest=nearest(value, check.answers),
                    mend="write answer: with one of these",
                )
            ]
        if answer not in check.answers:
            return [
                Problem(
                    code="C021",
                    message=f"'{check_id}' has no answer '{answer or ''}'",
                    expected=one_of(check.answers, 20),
                    nearest=nearest(answer or "", check.answers),
                    mend="write one of these after answer:",
                )
            ]
        return []
    if value is not None and answer is not None:
        return [
            Problem(
                code="C024",
                message=f"'{check_id}' has an answer and a value",
                expected="value: alone",
                mend="keep the reading under value: and drop the other",
            )
        ]
    said = value if value is not None else answer
    rule = kb.rules[check.rule or ""]
    if said is None:
        return [
            Problem(
                code="C022",
                message=f"'{check_id}' has no value",
                expected=f"a {rule.measures} with its unit",
                mend="write value: with the reading",
            )
        ]
    try:
        number = quantity.parse(said, rule.measures)
        problem = quantity.check_plausible(number, rule, said)
        if problem:
            raise problem
    except parsing.QuantityProblem as problem:
        return [
            Problem(
                code="C023",
                message=f"'{check_id}': {_with_units(check, rule, said, problem) or problem.question or problem.found}",
                expected=problem.expected,
                nearest=problem.nearest,
                mend=problem.mend,
            )
        ]
    return []


def _with_units(check: model.Check, rule: model.Rule, said: str, problem: parsing.QuantityProblem) -> str:
    """Return the question which unit a bare number has, with those in which it can be true here; empty where none is lacking."""
    head, lacks, _ = (problem.question or "").partition(" what?")
    if not lacks or len(problem.readings) < 2:
        return ""
    metric = formatting.READER.get() in ("si", "si-first")
    first = ("si", "us", "any") if metric else ("us", "si", "any")
    told = " ".join(t for t in (check.ask.homeowner, check.ask.desk, check.how) if t)
    # What is counted by eye is offered where the question says to count it, and to nobody who measured.
    known = [u for u in units_of(rule.measures) if u.symbol not in BY_EYE or u.symbol in told]
    fitting = []
    for unit in sorted(known, key=lambda u: first.index(u.system)):
        text = f"{said.strip()} {unit.symbol}"
        try:
            if quantity.check_plausible(quantity.parse(text, rule.measures), rule, text) is None:
                fitting.append((unit.system, text))
        except parsing.QuantityProblem:
            continue
    # One of each habit, the reader's own first: 3 mm or 3 cards where 3 in can't be true.
    habits = dict.fromkeys(of for of, _ in fitting)
    offered = [next(text for of, text in fitting if of == habit) for habit in habits]
    return f"{head} what? Do you mean {', or '.join(offered)}?" if offered else ""


def is_word(gate: model.Gate, said: str) -> bool:
    """Return whether what was said is the gate's one safe word, and nothing else.

    Examples
    --------
    >>> g = model.Gate(ask=model.Voices(), word="stopped", do_now=["close the tap"], call="a plumber")
    >>> is_word(g, " Stopped. "), is_word(g, "not stopped")
    (True, False)
    """
    return said.strip().strip(".!\"'").lower() == gate.word.lower()
