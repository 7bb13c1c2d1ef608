"""What causes must have: a rule or a reason, a check that shows them, a remedy, a proof, two cases; and their ids."""

from typing import TYPE_CHECKING

from ..errors import nearest, one_of
from . import validate_signs
from .machine_sheet import data_problems, misfit
from .strict_yaml import at_path

if TYPE_CHECKING:
    from .. import model
    from .pieces import Entry
    from .references import ReferenceChecker


def causes(checker: "ReferenceChecker") -> None:
    """Check every cause and all that it names."""
    for entry in checker.tables["causes"].values():
        cause: model.Cause = entry.record
        checker.when(entry, ("when",), cause.when)
        checker.number(entry, ("per_1000",), cause.per_1000, 0, 1000)
        checker.cites(entry, cause.sources)
        for i, likelier in enumerate(cause.likelier):
            checker.when(entry, ("likelier", i, "when"), likelier.when)
            checker.number(entry, ("likelier", i, "times"), likelier.times)
        _breaks(checker, entry)
        _shows(checker, entry)
        _defines(checker, entry)
        _mistaken(checker, entry)
        _remedy(checker, entry)
        proof = cause.proof
        checker.outcome(entry, ("proof",), proof.check, proof.passes, None, within=True)
        _repeats(checker, entry)


def _repeats(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Note a proof that says what it repeats, and it is none of what its cause is complained of by."""
    cause: model.Cause = entry.record
    check = checker.tables["checks"].get(cause.proof.check)
    repeats = check.record.repeats if check else None
    shown = [s.complaint for s in cause.shows if s.complaint]
    known = repeats and all(r in checker.tables["complaints"] for r in repeats)
    if repeats and known and shown and not {*repeats} & {*shown}:
        checker.note(
            entry,
            ("proof",),
            "K167",
            f"the proof '{cause.proof.check}' repeats no complaint that '{cause.id}' shows",
            expected=one_of(shown),
            mend="name a proof that repeats how it showed, or what the proof repeats under repeats:",
        )


def _breaks(checker: "ReferenceChecker", entry: "Entry") -> None:
    cause = entry.record
    if bool(cause.breaks) == bool(cause.why_no_rule):
        checker.note(
            entry,
            (),
            "K151",
            "breaks and why_no_rule: one of the two is needed, not both",
            mend="name the rule and side that this cause breaks, or say why there is none",
        )
    if not cause.breaks:
        return
    checker.strength(entry, ("breaks", "strength"), cause.breaks.strength)
    if checker.known(entry, ("breaks", "rule"), cause.breaks.rule, "rules", "rule"):
        rule = checker.tables["rules"][cause.breaks.rule].record
        sides = [side for side, limit in (("below", rule.min), ("above", rule.max)) if limit]
        if rule.measures == "state" and cause.breaks.side:
            checker.note(
                entry, ("breaks", "side"), "K152", f"the rule '{rule.id}' is a state and has no side", mend="drop side:"
            )
        elif rule.measures != "state" and cause.breaks.side not in sides:
            checker.note(
                entry,
                ("breaks",),
                "K152",
                f"the rule '{rule.id}' can't be broken '{cause.breaks.side}'",
                expected=one_of(sides),
                mend="say side: below or above",
            )
        elif (
            rule.measures != "state"
            and rule.id not in checker.read
            and _shown(cause)
            and not _by_look(checker, rule.id)
        ):
            checker.note(
                entry,
                ("breaks", "rule"),
                "K160",
                f"nobody measures or looks at the rule '{rule.id}', so that it is broken shows nowhere",
                expected="a rule that a check names, or that a model with gives: works out",
                nearest=nearest(rule.id, [r for r in checker.read if r]),
                mend=_measuring(rule.id),
            )


def _shows(checker: "ReferenceChecker", entry: "Entry") -> None:
    cause = entry.record
    complains = False
    before: dict[tuple[str | None, ...], int] = {}
    for i, shows in enumerate(cause.shows):
        path = ("shows", i)
        checker.strength(entry, (*path, "strength"), shows.strength)
        # As it is written: two answers that report one sign may both stand, as in a folder that `kb migrate` has yet to move; of
        # their strengths the greatest holds.
        what = (shows.complaint, shows.sign, shows.check, shows.answer, shows.rule, shows.side)
        if what in before:
            place = at_path(entry.node, ("shows", before[what]))
            first = place[0] if isinstance(place, tuple) else place.line
            checker.note(
                entry,
                path,
                "K166",
                f"'{cause.id}' shows '{next(w for w in what if w)}' twice",
                expected=f"one line of it (the first is at line {first})",
                mend="keep the strength that you mean, and drop the other line",
            )
        before.setdefault(what, i)
        named = [n for n in ("complaint", "sign", "check", "rule") if getattr(shows, n)]
        if len(named) != 1:
            checker.note(
                entry,
                path,
                "K153",
                "a show names one complaint, one sign, one check with its answer, or one rule with its side",
                mend="keep one of the four",
            )
        elif shows.complaint:
            checker.known(entry, (*path, "complaint"), shows.complaint, "complaints", "complaint")
            complains = True
        elif shows.sign:
            checker.known(entry, (*path, "sign"), shows.sign, "signs", "sign")
        elif shows.rule:
            if checker.known(entry, (*path, "rule"), shows.rule, "rules", "rule"):
                rule = checker.tables["rules"][shows.rule].record
                sides = [side for side, limit in (("below", rule.min), ("above", rule.max)) if limit]
                if shows.side not in sides:
                    checker.note(
                        entry,
                        path,
                        "K152",
                        f"the rule '{rule.id}' can't be broken '{shows.side}'",
                        expected=one_of(sides) if sides else "a check with its answer: this rule is a state",
                        mend="say side: below or above",
                    )
                elif rule.id not in checker.read:
                    checker.note(
                        entry,
                        (*path, "rule"),
                        "K160",
                        f"nobody measures the rule '{rule.id}', so this shows nothing",
                        expected="a rule that a check with kind: measure names, or that a model with gives: works out",
                        nearest=nearest(rule.id, [r for r in checker.read if r]),
                        mend=_by_look(checker, rule.id) or _measuring(rule.id),
                    )
        elif shows.check:
            checker.outcome(entry, path, shows.check, shows.answer, shows.side)
            check = checker.tables["checks"].get(shows.check)
            if check and check.record.answers and shows.answer == list(check.record.answers)[-1]:
                checker.note(
                    entry,
                    (*path, "answer"),
                    "K154",
                    f"'{shows.answer}' is the normal answer of '{shows.check}', which every cause shows that leaves the check out",
                    expected=one_of(list(check.record.answers)[:-1]),
                    mend="drop this line, or name the answer by which this cause is told",
                )
    if not complains:
        checker.note(
            entry,
            ("shows",),
            "K155",
            "this cause shows no complaint",
            mend="add {complaint: <id>, strength: <word>}: else it can never be found",
        )
    seen = bool(cause.breaks and cause.breaks.rule in checker.read) or _shown(cause)
    if not seen and cause.breaks and cause.breaks.rule in checker.tables["rules"]:
        rule_id = cause.breaks.rule
        look = _by_look(checker, rule_id)
        checker.note(
            entry,
            ("breaks", "rule"),
            "K156",
            f"no check shows this cause: it breaks '{rule_id}', which nobody measures",
            expected="a check that measures that rule, or one under shows with its answer",
            nearest=nearest(rule_id, [r for r in checker.read if r]) if not look else "",
            mend=look or f"{_measuring(rule_id)}; or add {{check: <id>, answer: <id>, strength: <word>}} under shows",
        )
    elif not seen:
        checker.note(
            entry,
            ("shows",),
            "K156",
            "no check shows this cause",
            expected="a check and the answer by which this cause is told, or a rule that it breaks and a check measures",
            mend="add {check: <id>, answer: <id>, strength: <word>}; where no check tells it yet, write the check first",
        )


def _shown(cause: "model.Cause") -> bool:
    """Return whether a sign, a check or a rule is under `shows`."""
    return any(s.sign or s.check or s.rule for s in cause.shows)


def _measuring(rule_id: str) -> str:
    return f"add a check with kind: measure and rule: {rule_id}"


def _by_look(checker: "ReferenceChecker", rule_id: str) -> str:
    """Return the line that links a cause to a look at a rule, which does not link by itself; empty where nobody looks at it."""
    for entry in checker.tables["checks"].values():
        if entry.record.rule == rule_id and entry.record.answers:
            telling = one_of(list(entry.record.answers)[:-1], 4).removeprefix("one of ")
            return (
                f"a look does not link by itself: add {{check: {entry.record.id}, answer: <{telling}>, strength: <word>}} "
                "under shows"
            )
    return ""


def _defines(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check that what defines a cause is one thing, that it can come out so, and that the cause shows it."""
    cause = entry.record
    look = cause.defines
    if look is None:
        return
    named = [n for n in ("check", "rule", "why_hidden") if getattr(look, n)]
    if len(named) != 1:
        checker.note(
            entry,
            ("defines",),
            "K161",
            f"{' and '.join(named) or 'nothing'} named as what defines this cause",
            expected="a check with its answer, a rule with its side, or why_hidden",
            mend="keep one of the three",
        )
    elif look.check:
        for answer in [look.answer, *look.also]:
            checker.outcome(entry, ("defines",), look.check, answer, look.side)
            known = checker.tables["checks"].get(look.check)
            if (
                known
                and answer in known.record.answers
                and not validate_signs.shown(checker, entry, look.check, answer)
            ):
                checker.note(
                    entry,
                    ("defines",),
                    "K161",
                    f"this cause does not show '{answer}' of '{look.check}', which is to define it",
                    expected=one_of([f"{s.check}: {s.answer}" for s in cause.shows if s.check]),
                    mend=f"add {_telling(known.record, look.check, answer)} under shows, or name what it does show",
                )
    elif look.rule and not (
        (cause.breaks and (cause.breaks.rule, cause.breaks.side) == (look.rule, look.side))
        or any((s.rule, s.side) == (look.rule, look.side) for s in cause.shows)
    ):
        checker.note(
            entry,
            ("defines",),
            "K161",
            f"this cause does not break '{look.rule}' on the side '{look.side}', which is to define it",
            expected="the rule and side of breaks, or of shows",
            mend="name the side that breaks: says, or write why_hidden",
        )


def _telling(check: "model.Check", name: str, answer: str) -> str:
    """Return the line by which a cause shows an answer: by the sign that it reports, where it reports one."""
    sign = check.answers[answer].sign
    what = f"sign: {sign}" if sign else f"check: {name}, answer: {answer}"
    return f"{{{what}, strength: <word>}}"


def _mistaken(checker: "ReferenceChecker", entry: "Entry") -> None:
    from .references import FILLER

    for i, other in enumerate(entry.record.mistaken_for):
        path = ("mistaken_for", i)
        if bool(other.cause) == bool(other.healthy):
            checker.note(
                entry,
                path,
                "K157",
                "a look-alike names a cause or a healthy behaviour, one of the two",
                mend="keep one",
            )
        elif (
            other.cause
            and checker.known(entry, (*path, "cause"), other.cause, "causes", "cause")
            and other.cause == entry.record.id
        ):
            checker.note(entry, (*path, "cause"), "K157", "a cause mistaken for itself", mend="name another cause")
        if (other.healthy or "").strip().lower() in FILLER or other.tell.strip().lower() in FILLER:
            checker.note(
                entry,
                path,
                "K158",
                "filler in mistaken_for",
                mend="name a real look-alike and what tells the two apart",
            )


def _remedy(checker: "ReferenceChecker", entry: "Entry") -> None:
    cause = entry.record
    remedy = cause.remedy
    checker.strength(entry, ("remedy", "cures"), remedy.cures)
    hands = {"anyone": ["homeowner", "technician"], "technician": ["technician"]}.get(remedy.by, [])
    checker.hazards(entry, remedy.hazards, remedy.why_no_hazard, ("remedy",), hands, remedy)
    for i, other in enumerate(remedy.by_where):
        checker.when(entry, ("remedy", "by_where", i, "when"), other.when)
    for i, part in enumerate(remedy.parts):
        checker.known(entry, ("remedy", "parts", i), part, "parts", "part")
    if remedy.only_if:
        checker.outcome(entry, ("remedy", "only_if"), remedy.only_if.check, remedy.only_if.answer, remedy.only_if.side)


def machines(checker: "ReferenceChecker") -> None:
    """Check machine sheets: facts, limits and data that exist."""
    for entry in checker.tables["machines"].values():
        machine = entry.record
        checker.when(entry, ("facts",), machine.facts)
        for p in data_problems(machine):
            checker.note(
                entry, ("data", p.shown), "K146", p.message, expected=p.expected, nearest=p.nearest, mend=p.mend
            )
        for i, limit in enumerate(machine.limits):
            if checker.known(entry, ("limits", i, "rule"), limit.rule, "rules", "rule"):
                for name in ("min", "max"):
                    if getattr(limit, name):
                        checker.amount(
                            entry,
                            ("limits", i, name),
                            getattr(limit, name),
                            checker.tables["rules"][limit.rule].record.measures,
                        )
                said = misfit(checker.tables["rules"][limit.rule].record, limit)
                if said:
                    checker.note(
                        entry,
                        ("limits", i, "rule"),
                        "K115",
                        f"the limit on '{limit.rule}': {said}",
                        expected="min below max, both within what can be true",
                        mend="read the maker's sheet again; check the datum and the unit",
                    )


def cases(checker: "ReferenceChecker", decoys: list["Entry"]) -> None:
    """Check the ids inside cases and decoys."""
    for entry in checker.tables["causes"].values():
        for i, trial in enumerate(entry.record.cases):
            path: tuple[str | int, ...] = ("cases", i, "given")
            for complaint in trial.given.complaints:
                checker.known(entry, (*path, "complaints"), complaint, "complaints", "complaint")
            checker.when(entry, (*path, "facts"), trial.given.facts)
            for check, answer in trial.given.answers.items():
                _answered(checker, entry, (*path, "answers", check), check, answer)
            expect = trial.expect
            named = [
                (("top",), expect.top),
                (("below",), expect.below),
                *((("both", j), c) for j, c in enumerate(expect.both)),
            ]
            for field, cause in named:
                if cause:
                    checker.known(entry, ("cases", i, "expect", *field), cause, "causes", "cause")
    for entry in decoys:
        checker.known(entry, ("complaint",), entry.record.complaint, "complaints", "complaint")
        checker.when(entry, ("facts",), entry.record.facts)


def _answered(
    checker: "ReferenceChecker", entry: "Entry", path: tuple[str | int, ...], check: str, answer: str
) -> None:
    if not checker.known(entry, path, check, "checks", "check"):
        return
    from .references import normal_said

    record = checker.tables["checks"][check].record
    if record.kind == "measure":
        rule = checker.tables["rules"].get(record.rule or "")
        if rule and rule.record.measures != "state" and checker.amount(entry, path, answer, rule.record.measures):
            checker.plausible(entry, path, answer, rule.record)
    elif answer not in record.answers:
        checker.note(
            entry,
            path,
            "K110",
            f"'{check}' has no answer '{answer}'",
            expected=one_of(record.answers),
            nearest=nearest(answer, record.answers),
            mend=normal_said(record),
        )
