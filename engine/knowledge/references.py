"""What kb records say of each other: every id exists, and every entry has what the kb promises of it."""

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


class ReferenceChecker:
    """Collects problems while the entries of a kb are checked against each other."""

    def __init__(self, tables: Tables, singles: dict[str, "Entry"], lost: dict[str, set[str] | None]) -> None:
        self.tables = tables
        self.lost = lost
        self.scales: model.Scales = singles["scales.yaml"].record
        self.problems: list[Problem] = []
        checks = [c.record for c in tables["checks"].values()]
        self.measured = {c.rule for c in checks if c.kind == "measure"}

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
    ) -> None:
        """Check a number's basis and range."""
        if not low < number.n < high:
            self.note(
                entry,
                (*path, "n"),
                "K104",
                f"{number.n:g} is out of range",
                expected=f"above {low:g}" + ("" if high == float("inf") else f" and below {high:g}"),
                mend="0 and 1 are errors",
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
            self.number(entry, path, strength, 0.0, 1.0)
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
            self.note(
                entry,
                path,
                "K107",
                "hazards and why_no_hazard: one of the two is needed, not both",
                mend="name the hazards, or say why there is none",
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
                mend="correct the answer",
            )
