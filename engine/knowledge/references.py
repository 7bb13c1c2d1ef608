"""What kb records say of each other: every id exists, and every entry has what the kb promises of it."""

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, get_args

from .. import model
from ..errors import Problem, nearest, one_of
from ..measurement import parsing
from ..measurement.quantity import ends_of, value_of
from .strict_yaml import at_path

if TYPE_CHECKING:
    from .pieces import Entry

FILLER = {"none", "unknown", "n/a", "na", "unlikely", "nothing", "other", "-", "todo", "tbd"}
TRADES = ("technician", "plumber", "electrician", "specialist")
Tables = dict[str, dict[str, "Entry"]]


def normal_said(check: "model.Check") -> str:
    """Return how to mend an answer that a check does not have."""
    names = list(check.answers)
    return f"correct the answer; where nothing was seen it is '{names[-1]}'" if names else "give the check its answers"


def field_of(path: tuple[str | int, ...]) -> str:
    """Return a path as people write it.

    Examples
    --------
    >>> field_of(("shows", 1, "strength"))
    'shows[1].strength'
    """
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in path).removeprefix(".")


class ReferenceChecker:
    """Collects problems while the entries of a kb are checked against each other."""

    def __init__(self, tables: Tables, singles: dict[str, "Entry"], lost: dict[str, set[str] | None]) -> None:
        self.tables = tables
        self.lost = lost
        self.scales: model.Scales = singles["scales.yaml"].record
        self.problems: list[Problem] = []
        checks = [c.record for c in tables["checks"].values()]
        # Rules of which a finding is made: those that a check measures, and those that a working works out from other readings.
        self.read = {c.rule for c in checks if c.kind == "measure"}
        self.read |= {r.record.id for r in tables["rules"].values() if r.record.model and r.record.model.gives}

    @property
    def partial(self) -> bool:
        """Whether some entries could not be read."""
        return any(ids is None or ids for ids in self.lost.values())

    def note(self, entry: "Entry", path: tuple[str | int, ...], code: str, message: str, **more: str) -> None:
        """Note a problem at a path inside an entry."""
        self.problems.append(entry.sheet.placed(code, message, at_path(entry.node, path), **more))

    def known(self, entry: "Entry", path: tuple[str | int, ...], word: str, table: str, what: str) -> bool:
        """Check that an id stands in a table."""
        ids = self.tables[table]
        if word in ids:
            return True
        lost = self.lost.get(table, set())
        if lost is None or word in lost:
            return False  # its entry is there and has a mistake of its own, which is said already
        near = nearest(word, ids)
        place = f"{near} ({ids[near].sheet.name}:{ids[near].node.line})" if near else ""
        self.note(
            entry,
            path,
            "K101",
            f"unknown {what} '{word}'",
            expected=one_of(ids),
            nearest=place,
            mend="correct the id, or add the entry first; see kb/README.md",
        )
        return False

    def voices(self, entry: "Entry", path: tuple[str | int, ...], ask: model.Voices) -> None:
        """Check that everybody can be asked: a fact or a gate is for every role."""
        for voice in get_args(model.Role):
            if not getattr(ask, voice):
                self.note(entry, path, "K133", f"'{entry.record.id}' has no {voice} question", mend=f"add ask.{voice}")

    def when(self, entry: "Entry", path: tuple[str | int, ...], when: dict[str, Any]) -> None:
        """Check a mapping of facts to options."""
        for fact, wanted in when.items():
            if self.known(entry, (*path, fact), fact, "facts", "fact"):
                options = self.tables["facts"][fact].record.options
                for option in [wanted] if isinstance(wanted, str) else wanted:
                    if option not in options:
                        self.note(
                            entry,
                            (*path, fact),
                            "K102",
                            f"'{fact}' has no option '{option}'",
                            expected=one_of(options),
                            nearest=nearest(option, options),
                            mend="correct the option",
                        )

    def cites(self, entry: "Entry", cites: list[model.Cite]) -> None:
        """Check citations: the source exists and no grade is raised above it."""
        order = ["P", "S", "M", "D", "C", "judgement"]
        for i, cite in enumerate(cites):
            if self.known(entry, ("sources", i, "source"), cite.source, "sources", "source") and cite.grade:
                source = self.tables["sources"][cite.source].record.grade
                if order.index(cite.grade) < order.index(source):
                    self.note(
                        entry,
                        ("sources", i, "grade"),
                        "K103",
                        f"grade {cite.grade} is higher than its source's {source}",
                        expected=f"{source} or weaker",
                        mend="never upgrade a grade",
                    )

    def number(
        self,
        entry: "Entry",
        path: tuple[str | int, ...],
        number: model.Number,
        low: float = 0.0,
        high: float = float("inf"),
        words: dict[str, float] | None = None,
    ) -> None:
        """Check a number's basis and range; `words` are strengths that could stand in its place."""
        if not low < number.n < high:
            near = min(words, key=lambda w: (abs(words[w] - number.n), w)) if words else ""
            mend = {
                1.0: "nothing is certain here, so 0 and 1 are errors; a number of 100 or of 1000 is divided",
                1000.0: "it is counted of 1000, and nothing is certain here, so 0 and 1000 are errors",
            }.get(high, "write a number between these")
            self.note(
                entry,
                (*path, "n"),
                "K104",
                f"'{field_of(path)}' is {number.n:g}",
                expected=f"above {low:g}" + ("" if high == float("inf") else f" and below {high:g}"),
                nearest=f"{near} ({words[near]:g})" if words else "",
                mend=mend if high < float("inf") else f"write a number above {low:g}",
            )
        if number.basis == "counted" and not number.n_of:
            self.note(entry, path, "K105", "a counted number without n_of", mend="say out of how many it was counted")
        if number.basis == "source":
            if number.source is None:
                self.note(entry, path, "K105", "a sourced number without its source", mend="add source: <id>")
            else:
                self.known(entry, (*path, "source"), number.source, "sources", "source")

    def strength(self, entry: "Entry", path: tuple[str | int, ...], strength: str | model.Number | None) -> None:
        """Check a strength word or number."""
        if isinstance(strength, model.Number):
            self.number(entry, path, strength, 0.0, 1.0, self.scales.words)
        elif strength is not None and strength not in self.scales.words:
            self.note(
                entry,
                path,
                "K106",
                f"unknown strength '{strength}'",
                expected=one_of(self.scales.words),
                nearest=nearest(strength, self.scales.words),
                mend="use a word of scales.yaml",
            )

    def hazards(
        self,
        entry: "Entry",
        hazards: list[str],
        why: str | None,
        path: tuple[str | int, ...],
        hands: Iterable[str],
        remedy: model.Remedy | None = None,
    ) -> None:
        """Check hazards of a check or remedy, and that no hands are led where they must not be."""
        if bool(hazards) == bool(why):
            what = f"the remedy of '{entry.record.id}'" if remedy else f"'{entry.record.id}'"
            self.note(
                entry,
                (*path, "why_no_hazard") if why else path,
                "K107",
                f"{what} has both hazards and why_no_hazard"
                if why
                else f"{what} has neither hazards nor why_no_hazard",
                expected="one of the two: hazards: [ids of hazards.yaml], or why_no_hazard: why nothing can hurt",
                mend="drop why_no_hazard, or drop hazards if truly nothing can hurt there"
                if why
                else f"add one of them {'under remedy:' if remedy else 'to this entry'}, e.g. hazards: [{self._usual(remedy)}]",
            )
        for i, hazard in enumerate(hazards):
            if self.known(entry, (*path, "hazards", i), hazard, "hazards", "hazard"):
                danger = self.tables["hazards"][hazard].record
                for hand in hands:
                    # `by_where` keeps a remedy out of hands wherever the danger can be.
                    if hand in danger.never and not (remedy and model.covered(danger, remedy)):
                        self.note(
                            entry,
                            (*path, "hazards", i),
                            "K108",
                            f"a {hand} must never meet '{hazard}'",
                            mend=f"take the {hand}'s minutes out, or the hazard is named wrongly",
                        )

    def _usual(self, remedy: model.Remedy | None) -> str:
        """Return the hazard that checks, or remedies, name most."""
        causes = self.tables["causes"].values()
        named = [e.record.remedy for e in causes] if remedy else [e.record for e in self.tables["checks"].values()]
        count = Counter(h for each in named for h in each.hazards if h in self.tables["hazards"])
        return min(count or self.tables["hazards"], key=lambda h: (-count[h], h), default="<id>")

    def amount(
        self, entry: "Entry", path: tuple[str | int, ...], text: str, measures: str, tolerance: bool = False
    ) -> bool:
        """Check that a quantity can be read, and return whether it can."""
        problem = value_of(text, measures, tolerance)
        if isinstance(problem, parsing.QuantityProblem):
            self.note(
                entry,
                path,
                "K109",
                f"'{text}' is no {measures}",
                expected=problem.expected,
                nearest=problem.nearest,
                mend=problem.mend,
            )
        return not isinstance(problem, parsing.QuantityProblem)

    def plausible(self, entry: "Entry", path: tuple[str | int, ...], text: str, rule: model.Rule) -> None:
        """Check that a reading can be true."""
        ends, value = ends_of(rule.plausible or "", rule.measures), value_of(text, rule.measures)
        if isinstance(ends, tuple) and isinstance(value, float) and not ends[0] <= value <= ends[1]:
            self.note(entry, path, "K116", f"'{text}' can't be true", expected=f"{rule.plausible}", mend="correct it")

    def outcome(
        self,
        entry: "Entry",
        path: tuple[str | int, ...],
        check: str,
        answer: str | None,
        side: str | None,
        within: bool = False,
    ) -> None:
        """Check that a check can come out so."""
        if not self.known(entry, (*path, "check"), check, "checks", "check"):
            return
        record: model.Check = self.tables["checks"][check].record
        if record.kind == "measure":
            rule = self.tables["rules"].get(record.rule or "")
            if rule is None and self.partial:
                return
            sides = (
                [s for s, limit in (("below", rule.record.min), ("above", rule.record.max)) if limit] if rule else []
            )
            found = answer if within else side
            if found not in [*sides, *(["within"] if within else [])]:
                self.note(
                    entry,
                    path,
                    "K110",
                    f"'{check}' is a measurement and can't come out as '{found or answer}'",
                    expected=one_of([*sides, *(["within"] if within else [])]),
                    mend="say side: below or above" if not within else "passes: within",
                )
        elif answer not in record.answers:
            self.note(
                entry,
                path,
                "K110",
                f"'{check}' has no answer '{answer}'",
                expected=one_of(record.answers),
                nearest=nearest(str(answer), record.answers),
                mend=normal_said(record),
            )
