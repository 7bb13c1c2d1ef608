"""What rules and checks must have: a datum's limits, three voices, minutes by hands, hazards, readable quantities."""

from typing import TYPE_CHECKING

from .. import model
from ..errors import nearest, one_of
from ..measurement import parsing
from ..measurement.quantity import ends_of, value_of
from . import validate_signs
from .machine_sheet import DATA

if TYPE_CHECKING:
    from .pieces import Entry
    from .references import ReferenceChecker


def rules(checker: "ReferenceChecker") -> None:
    """Check every rule: limits, plausible range, neighbours, sources."""
    for entry in checker.tables["rules"].values():
        rule = entry.record
        checker.when(entry, ("when",), rule.when)
        checker.cites(entry, rule.sources)
        for i, neighbour in enumerate(rule.neighbours):
            checker.known(entry, ("neighbours", i, "rule"), neighbour.rule, "rules", "rule")
        for i, other in enumerate(rule.replaces):
            checker.known(entry, ("replaces", i), other, "rules", "rule")
        _danger(checker, entry)
        if rule.model:
            _model(checker, entry, ("model",), rule.model)
            if rule.model.gives and (not rule.plausible or rule.otherwise_per_1000 is None):
                checker.note(
                    entry,
                    ("model",),
                    "K137",
                    f"'{rule.id}' is worked out but lacks plausible or otherwise_per_1000",
                    mend="add both to the rule",
                )
        if rule.authority == "code" and not rule.edition:
            checker.note(
                entry,
                ("authority",),
                "K121",
                f"the code rule '{rule.id}' names no edition",
                mend="add edition:, e.g. UPC 2018",
            )
        if rule.measures == "state":
            if not rule.must or rule.min or rule.max:
                checker.note(
                    entry,
                    ("measures",),
                    "K122",
                    f"'{rule.id}' is a state: it needs must, and no min or max",
                    mend="say what must be seen under must:",
                )
            continue
        if not (rule.min or rule.max):
            checker.note(
                entry,
                (),
                "K123",
                f"the rule '{rule.id}' has no limit",
                expected="min, max or both",
                mend="add the limit with its unit",
            )
        for name, text in (("min", rule.min), ("max", rule.max)):
            if text:
                checker.amount(entry, (name,), text, rule.measures)
        low, high = (value_of(text, rule.measures) if text else None for text in (rule.min, rule.max))
        if isinstance(low, float) and isinstance(high, float) and low > high:
            checker.note(
                entry,
                ("min",),
                "K125",
                f"min {rule.min} is above max {rule.max}",
                mend="swap them, or correct the unit of one",
            )
        _plausible(checker, entry)


def _danger(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check what a break can do: the hazard has words for it, and a limit of its own lies outside the rule's."""
    rule = entry.record
    if rule.why_no_danger and (rule.danger or not rule.guarded):
        checker.note(
            entry,
            ("why_no_danger",),
            "K148",
            f"'{rule.id}' has both danger and why_no_danger" if rule.danger else f"'{rule.id}' is not guarded",
            expected="danger: where a machine with the break is not run, or of a guarded rule why_no_danger: why it may be until the mend",
            mend="drop one of the two"
            if rule.danger
            else "drop why_no_danger: only a guarded rule's break is a danger unless it says why not",
        )
    danger = rule.danger
    if danger is None:
        return
    known = checker.known(entry, ("danger", "hazard"), danger.hazard, "hazards", "hazard")
    if known and not checker.tables["hazards"][danger.hazard].record.danger:
        checker.note(
            entry,
            ("danger", "hazard"),
            "K149",
            f"the hazard '{danger.hazard}' has no danger",
            mend="say in hazards.yaml under danger: what it can do to somebody, in one short sentence",
        )
    for name, text, own, sign in (("below", danger.below, rule.min, -1), ("above", danger.above, rule.max, 1)):
        if text is None or not checker.amount(entry, ("danger", name), text, rule.measures):
            continue
        value, limit = (value_of(t, rule.measures) if t else None for t in (text, own))
        if not isinstance(value, float) or not isinstance(limit, float) or sign * (value - limit) < 0:
            checker.note(
                entry,
                ("danger", name),
                "K150",
                f"'{text}' is no break of '{rule.id}'",
                expected=f"at its {'min' if sign < 0 else 'max'}, {own}, or outside it"
                if own
                else "a side that the rule limits",
                mend="correct the value, or the side",
            )
    gives = _outputs(checker, rule.id)
    if (danger.output is None) != (danger.at_least is None) or (danger.output and danger.output not in gives):
        checker.note(
            entry,
            ("danger",),
            "K150",
            f"'{rule.id}' has no reading that amounts to '{danger.output}'",
            expected=f"output: one of {', '.join(sorted(gives)) or 'none'}, with at_least:",
            mend="name an output of a working under means: of one of its checks, and from which value on",
        )


def _outputs(checker: "ReferenceChecker", rule: str) -> set[str]:
    """Return the outputs of the workings by which the checks of a rule say what a reading amounts to."""
    from ..calculators.calculator import all_calculators

    known = all_calculators()
    checks = (c.record for c in checker.tables["checks"].values() if c.record.rule == rule)
    return {o.name for c in checks for use in c.means if use.working in known for o in known[use.working].outputs}


def _model(checker: "ReferenceChecker", entry: "Entry", path: tuple[str | int, ...], use: model.Model) -> None:
    """Check the physics behind a rule or a reading: the working, its inputs, and where they come from."""
    from ..calculators.calculator import all_calculators

    known = all_calculators()
    if use.working not in known:
        checker.note(
            entry,
            (*path, "working"),
            "K144",
            f"unknown working '{use.working}'",
            expected=one_of(known, 40),
            nearest=nearest(use.working, known),
            mend="dryfloor reckon lists them all",
        )
        return
    working = known[use.working]
    inputs = {i.name: i for i in working.inputs}
    gives = {o.name for o in working.outputs}
    if use.gives and use.gives not in gives:
        checker.note(
            entry,
            (*path, "gives"),
            "K144",
            f"'{use.working}' gives no '{use.gives}'",
            expected=one_of(gives),
            nearest=nearest(use.gives, gives),
            mend="name one of its outputs",
        )
    if use.at_least and use.at_least not in inputs:
        checker.note(
            entry,
            (*path, "at_least"),
            "K144",
            f"'{use.working}' takes no '{use.at_least}'",
            expected=one_of(inputs),
            nearest=nearest(use.at_least, inputs),
            mend="name one of its inputs",
        )
    for name, take in use.takes.items():
        here = (*path, "takes", name)
        if name not in inputs:
            checker.note(
                entry,
                here,
                "K144",
                f"'{use.working}' takes no '{name}'",
                expected=one_of(inputs),
                nearest=nearest(name, inputs),
                mend="name one of its inputs",
            )
            continue
        if take.check and checker.known(entry, (*here, "check"), take.check, "checks", "check"):
            rule = checker.tables["rules"].get(checker.tables["checks"][take.check].record.rule or "")
            if not rule or rule.record.measures != inputs[name].measures:
                checker.note(
                    entry,
                    (*here, "check"),
                    "K145",
                    f"'{take.check}' is no reading of {inputs[name].measures}",
                    mend="name a measuring check of that kind",
                )
        if take.data and DATA.get(take.data, ("",))[0] != inputs[name].measures:
            checker.note(
                entry,
                (*here, "data"),
                "K146",
                f"'{take.data}' is no datum of {inputs[name].measures}",
                expected=one_of(DATA),
                nearest=nearest(take.data, DATA),
                mend="name a datum of machine sheets of that kind",
            )
        if take.value:
            if not take.basis:
                checker.note(
                    entry,
                    here,
                    "K105",
                    f"'{name}' has a value without basis",
                    mend="say what it rests on: judgement, C, S with its source",
                )
            if inputs[name].measures != "number":
                checker.amount(entry, (*here, "value"), take.value, inputs[name].measures)
    for rule_id in use.instead_of:
        checker.known(entry, (*path, "instead_of"), rule_id, "rules", "rule")
    for place, rule_id in enumerate(use.kept_counts):
        if rule_id not in use.instead_of:
            checker.note(
                entry,
                (*path, "kept_counts", place),
                "K144",
                f"'{rule_id}' is no stand-in here",
                expected=one_of(use.instead_of) if use.instead_of else "a rule that instead_of names",
                nearest=nearest(rule_id, use.instead_of),
                mend="name it under instead_of as well, or leave it out",
            )


def _plausible(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check that the plausible range can be read and holds the limits."""
    rule = entry.record
    if not rule.plausible:
        return
    ends = ends_of(rule.plausible, rule.measures)
    if isinstance(ends, parsing.QuantityProblem):
        checker.note(
            entry,
            ("plausible",),
            "K109",
            f"'{rule.plausible}' can't be read",
            expected=ends.expected or "6 in to 120 in",
            mend=ends.mend,
        )
        return
    limits = [value_of(text, rule.measures) for text in (rule.min, rule.max) if text]
    if any(isinstance(limit, float) and not ends[0] <= limit <= ends[1] for limit in limits):
        checker.note(
            entry,
            ("plausible",),
            "K124",
            f"a limit of '{rule.id}' lies outside its plausible range",
            mend="widen the range, or correct the limit",
        )
    if rule.size_below:
        size, low = (value_of(text, rule.measures) if text else None for text in (rule.size_below, rule.min))
        if not (isinstance(size, float) and isinstance(low, float) and ends[0] < size < low):
            checker.note(
                entry,
                ("size_below",),
                "K124",
                f"'{rule.size_below}' is no size under the limit of '{rule.id}'",
                expected=f"a size between {rule.plausible.split(' to ')[0]} and {rule.min or 'a min'}",
                mend="correct it, or leave it out where things come in any size",
            )


def _only_if(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check what must be seen before a check: it can come out so, and nothing waits for itself."""
    for i, only in enumerate(entry.record.only_if):
        checker.outcome(entry, ("only_if", i), only.check, only.answer, only.side)
    ahead, seen = [o.check for o in entry.record.only_if], set[str]()
    while ahead:
        name = ahead.pop()
        if name == entry.record.id:
            checker.note(
                entry,
                ("only_if",),
                "K159",
                f"'{name}' waits for itself, by way of what it waits for",
                mend="take one only_if out of the circle",
            )
            return
        if name not in seen and name in checker.tables["checks"]:
            seen.add(name)
            ahead += [o.check for o in checker.tables["checks"][name].record.only_if]


def unless(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check what makes a question senseless: it can come out so, and is not the question itself."""
    for i, one in enumerate(entry.record.unless):
        path = ("unless", i)
        checker.when(entry, (*path, "facts"), one.facts)
        for complaint in one.complaints:
            checker.known(entry, (*path, "complaints"), complaint, "complaints", "complaint")
        for check, answer in one.answers.items():
            checker.outcome(entry, (*path, "answers"), check, answer, answer)
        if entry.record.id in one.answers or entry.record.id in one.facts:
            checker.note(
                entry,
                path,
                "K162",
                "a question that its own answer makes senseless",
                expected="another check, whose answer rules this question out",
                mend="drop the line, or name that check",
            )
        elif not (one.complaints or one.facts or one.answers):
            checker.note(
                entry,
                path,
                "K162",
                "an unless that says nothing",
                mend="say complaints, facts or answers, or drop the line",
            )


def checks(checker: "ReferenceChecker") -> None:
    """Check every check: rule or reason, answers or measurement, voices, minutes, hazards."""
    for entry in checker.tables["checks"].values():
        check = entry.record
        checker.when(entry, ("when",), check.when)
        hands = [h for h in ("homeowner", "technician") if getattr(check.minutes, h) is not None]
        checker.hazards(entry, check.hazards, check.why_no_hazard, (), hands)
        _only_if(checker, entry)
        unless(checker, entry)
        if bool(check.rule) == bool(check.why_no_rule):
            checker.note(
                entry,
                (),
                "K131",
                f"'{check.id}' needs rule or why_no_rule, one of the two",
                mend="name the rule that it measures, or say why there is none",
            )
        if not hands:
            checker.note(
                entry,
                ("minutes",),
                "K132",
                f"nobody's hands can do '{check.id}'",
                mend="add minutes for homeowner, technician or both",
            )
        for hand in hands:
            for voice in ("homeowner", "desk") if hand == "homeowner" else ("technician",):
                if not getattr(check.ask, voice):
                    checker.note(
                        entry,
                        ("ask",),
                        "K133",
                        f"'{check.id}' has {hand} minutes but no {voice} question",
                        mend=f"add ask.{voice}",
                    )
        voices = [v for v in (check.ask.homeowner, check.ask.desk, check.ask.technician) if v]
        if len(set(voices)) < len(voices):
            checker.note(
                entry,
                ("ask",),
                "K134",
                f"'{check.id}' says the same sentence in two voices",
                mend="write each for its reader",
            )
        line, most = check.on_sheet, check.minutes.technician
        if line and line.by_itself and (most is None or line.by_itself >= most):
            checker.note(
                entry,
                ("on_sheet", "by_itself"),
                "K147",
                f"'{check.id}' runs {line.by_itself:g} min by itself, of {most or 0:g} min of a technician",
                expected="less than minutes.technician: somebody starts it and looks at it",
                mend="correct one of the two",
            )
        for answer, same in (line.same_as if line else {}).items():
            for name, said in same.items():
                path = ("on_sheet", "same_as", answer, name)
                if checker.known(entry, path, name, "checks", "check"):
                    for of, each in ((check, answer), (checker.tables["checks"][name].record, said)):
                        if each not in of.answers:
                            checker.note(
                                entry,
                                path,
                                "K110",
                                f"'{of.id}' has no answer '{each}'",
                                expected=one_of(of.answers),
                                nearest=nearest(each, of.answers),
                                mend="name an answer of each check",
                            )
        for i, other in enumerate(line.instead if line else []):
            checker.known(entry, ("on_sheet", "instead", i), other, "checks", "check")
        for i, complaint in enumerate(check.repeats or []):
            checker.known(entry, ("repeats", i), complaint, "complaints", "complaint")
        for i, complaint in enumerate(check.heard_with):
            checker.known(entry, ("heard_with", i), complaint, "complaints", "complaint")
        for i, use in enumerate(check.means):
            _model(checker, entry, ("means", i), use)
        if check.rule:
            checker.known(entry, ("rule",), check.rule, "rules", "rule")
        if check.kind == "measure":
            _measure(checker, entry)
        else:
            _answers(checker, entry)


def _measure(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check a measuring check: a rule with numbers, a plausible range, give or take."""
    check = entry.record
    if check.answers:
        checker.note(
            entry,
            ("answers",),
            "K135",
            f"'{check.id}' is a measurement and has answers",
            mend="make it a look, or drop the answers",
        )
    rule = checker.tables["rules"].get(check.rule or "")
    if not rule:
        checker.note(
            entry, ("kind",), "K136", f"the measurement '{check.id}' has no rule", mend="name a rule with numbers"
        )
        return
    for field in ("plausible", "otherwise_per_1000"):
        if getattr(rule.record, field) is None:
            checker.note(
                rule, (), "K137", f"'{rule.record.id}' is measured but has no {field}", mend=f"add {field}: to the rule"
            )
    otherwise = rule.record.otherwise_per_1000
    if isinstance(otherwise, dict):
        sides = [s for s, limit in (("below", rule.record.min), ("above", rule.record.max)) if limit]
        if sorted(otherwise) != sorted(sides):
            checker.note(
                rule,
                ("otherwise_per_1000",),
                "K143",
                f"'{rule.record.id}' has otherwise_per_1000 for {', '.join(otherwise)}",
                expected=", ".join(sides),
                mend="give one number for each side that has a limit",
            )
    if rule.record.measures == "state":
        checker.note(entry, ("rule",), "K136", f"the rule '{check.rule}' has no numbers", mend="make the check a look")
        return
    if check.give_or_take is None:
        checker.note(
            entry,
            (),
            "K138",
            f"'{check.id}' has no give_or_take",
            mend="add the half-width of the reading, e.g. give_or_take: 1/4 in",
        )
        return
    spread = check.give_or_take if isinstance(check.give_or_take, dict) else {"": check.give_or_take}
    for hand, text in spread.items():
        if hand not in ("", "homeowner", "technician"):
            checker.note(
                entry,
                ("give_or_take", hand),
                "K139",
                f"unknown hands '{hand}'",
                expected="homeowner, technician",
                mend="correct the name",
            )
        checker.amount(
            entry, ("give_or_take", hand) if hand else ("give_or_take",), text, rule.record.measures, tolerance=True
        )


def _answers(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check the answers of a look, a question or a trial."""
    check = entry.record
    if len(check.answers) < 2:
        checker.note(
            entry,
            ("answers",),
            "K140",
            f"'{check.id}' has fewer than two answers",
            mend="list the telling ones first and the normal one last",
        )
        return
    validate_signs.answers(checker, entry)
    for name, answer in check.answers.items():
        if (
            answer.raises
            and checker.known(entry, ("answers", name, "raises"), answer.raises, "hazards", "hazard")
            and not checker.tables["hazards"][answer.raises].record.gate
        ):
            checker.note(
                entry,
                ("answers", name, "raises"),
                "K112",
                f"the hazard '{answer.raises}' has no gate",
                mend="give it a gate, or drop raises",
            )
