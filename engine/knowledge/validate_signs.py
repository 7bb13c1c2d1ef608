"""What signs must have: a coarser sign that exists and does not lead back, an answer that reports them, and rates of those who do."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .pieces import Entry
    from .references import ReferenceChecker


def signs(checker: "ReferenceChecker", roles: "Entry") -> None:
    """Check every sign, and that reports have their rates."""
    reported = {a.sign for e in checker.tables["checks"].values() for a in e.record.answers.values() if a.sign}
    for name, entry in checker.tables["signs"].items():
        for i, above in enumerate(entry.record.coarser):
            path = ("kind_of",) if isinstance(entry.record.kind_of, str) else ("kind_of", i)
            checker.known(entry, path, above, "signs", "sign")
        line = _coarser(checker, name)
        if line is None:
            checker.note(
                entry,
                ("kind_of",),
                "K164",
                f"'{name}' is a kind of itself, by way of what it is a kind of",
                expected="a coarser sign, which is a kind of none of these",
                mend="take one kind_of out of the circle",
            )
        elif not line & reported:
            checker.note(
                entry,
                (),
                "K163",
                f"no answer reports the sign '{name}'",
                expected="an answer of a check with sign: of this id, or of one that it is a kind of",
                mend=f"add sign: {name} to the answer that tells of it, or drop the sign",
            )
    if roles.record.reports is not None:
        for hands in ("homeowner", "technician"):
            for kind in ("ask", "look", "try"):
                rates = getattr(getattr(roles.record.reports, hands), "try_" if kind == "try" else kind)
                for field in ("hit", "false_alarm"):
                    checker.number(roles, ("reports", hands, kind, field), getattr(rates, field), 0, 1)


def _coarser(checker: "ReferenceChecker", name: str) -> set[str] | None:
    """Return a sign and those that it is a kind of, or None where that goes round in a circle."""
    line = {name}
    ahead = [name]
    while ahead:
        entry = checker.tables["signs"].get(ahead.pop())
        for above in entry.record.coarser if entry else ():
            if above == name:
                return None
            if above not in line:
                line.add(above)
                ahead.append(above)
    return line


def answers(checker: "ReferenceChecker", entry: "Entry") -> None:
    """Check what the answers of a check report: each telling one a sign or a leak of its own, the normal one neither."""
    check = entry.record
    *telling, last = check.answers
    before: set[str] = set()
    for name in telling:
        answer, path = check.answers[name], ("answers", name)
        if answer.sign:
            checker.known(entry, (*path, "sign"), answer.sign, "signs", "sign")
            if (_coarser(checker, answer.sign) or set()) & before:
                checker.note(
                    entry,
                    (*path, "sign"),
                    "K165",
                    f"an answer before '{name}' reports '{answer.sign}' already, or a coarser sign of it",
                    expected="each sign once in a check, the finer one first: what is more telling comes first",
                    mend="change the order of the answers, or the sign",
                )
            before.add(answer.sign)
        if answer.leak_per_1000 is None and answer.sign is None:
            checker.note(
                entry,
                path,
                "K141",
                f"the answer '{name}' has no leak_per_1000",
                mend="say how often it is seen with no listed cause at work, or which sign it reports",
            )
        elif answer.leak_per_1000 is not None and answer.sign is not None:
            checker.note(
                entry,
                path,
                "K141",
                f"the answer '{name}' has a leak_per_1000, and the sign '{answer.sign}' has its own",
                expected="one of the two",
                mend="drop the leak_per_1000: how often the sign is there of itself stands in signs.yaml",
            )
    if check.answers[last].leak_per_1000 is not None or check.answers[last].sign is not None:
        what = "a leak" if check.answers[last].leak_per_1000 is not None else "a sign"
        checker.note(
            entry,
            ("answers", last),
            "K142",
            f"the last answer '{last}' is the normal one and has {what}",
            expected="an answer that says that nothing of the others is seen",
            mend=f"drop its {what.partition(' ')[2]}, or put the normal answer last",
        )


def shown(checker: "ReferenceChecker", cause: "Entry", check: str, answer: str) -> bool:
    """Return whether a cause shows an answer of a check: by name, or by a sign that the answer reports."""
    signs = {s.sign for s in cause.record.shows if s.sign}
    for line in cause.record.shows:
        if (line.check, line.answer) == (check, answer):
            return True
        other = checker.tables["checks"].get(line.check or "")
        if other and line.answer in other.record.answers:
            signs.add(other.record.answers[line.answer].sign)
    sign = checker.tables["checks"][check].record.answers[answer].sign
    return sign is not None and any(sign in (_coarser(checker, s) or ()) for s in signs if s)
