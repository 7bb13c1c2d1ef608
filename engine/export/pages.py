"""The kb as linked Markdown pages, one for each complaint, cause, check and rule, and who may do what near which hazard."""

from collections.abc import Iterable

from .. import model
from ..advice import Illustration
from ..advising import illustrations
from ..advising.wording import BY, GRADES, limit_text, minutes_text, whose
from ..knowledge import graph
from .hazard_table import HEAD, hazard_table

KINDS = ("complaints", "causes", "checks", "rules")
TITLES = {"complaints": "Complaints", "causes": "Causes", "checks": "Checks", "rules": "Rules"}
MOST_SAID = 8  # ways of saying it, on a complaint's page
WARNING = "Local code and the machine's own manual bind, the stricter first; where they or a licensed trade say otherwise, they are right."


def pages(kb: model.KB) -> dict[str, str]:
    """Return every page by its path.

    Parameters
    ----------
    kb : KB

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> made = pages(load_kb())
    >>> made["causes/standpipe-too-low.md"].splitlines()[0]
    '# Standpipe too low'
    """
    book = _Book(kb)
    out = {"index.md": book.index(), "hazards.md": book.who_may()}
    for name in kb.complaints:
        out[f"complaints/{name}.md"] = book.complaint(kb.complaints[name])
    for name in kb.causes:
        out[f"causes/{name}.md"] = book.cause(kb.causes[name])
    for name in kb.checks:
        out[f"checks/{name}.md"] = book.check(kb.checks[name])
    for name in kb.rules:
        out[f"rules/{name}.md"] = book.rule(kb.rules[name])
    return out


def pictures(kb: model.KB) -> dict[str, str]:
    """Return every picture that the pages show, by its path."""
    made = {f"pictures/{name}.svg": illustrations.drawn(kb, i) for name, i in illustrations.everything(kb).items()}
    return {path: svg for path, svg in made.items() if svg}


class _Book:
    """Writes pages of one kb; links go from one folder to its neighbour."""

    def __init__(self, kb: model.KB) -> None:
        self.kb = kb
        self.graph = graph.build(kb)

    def link(self, kind: str, name: str) -> str:
        table = getattr(self.kb, kind)
        return f"[{_plain(table[name].title)}](../{kind}/{name}.md)"

    def index(self) -> str:
        rows = ["# What dryfloor knows", "", WARNING, "", "- [Who may do what near which hazard](hazards.md)"]
        for kind in KINDS:
            table = getattr(self.kb, kind)
            rows += ["", f"## {TITLES[kind]}", ""]
            rows += [f"- [{_plain(table[name].title)}]({kind}/{name}.md)" for name in table]
        return _text(rows)

    def who_may(self) -> str:
        rows = ["# Who may do what near which hazard", "", "[All pages](index.md)", ""]
        rows += [
            "A technician may do all that a homeowner may, and what stands beside it. What a plumber or an electrician mends"
        ]
        rows += ["is booked, never led. What stands nowhere is done by nobody.", ""]
        rows += [f"| {' | '.join(HEAD)} |", "|---" * len(HEAD) + "|"]
        rows += [f"| {' | '.join(row)} |" for row in hazard_table(self.kb)]
        return _text([*rows, "", "---", WARNING])

    def shown(self, found: list[Illustration], step: int = 0) -> list[str]:
        """Return the pictures of a step, or of no step, as Markdown."""
        return [f"![{_plain(i.title)}](../pictures/{i.id}.svg)" for i in found if i.step == step]

    def complaint(self, c: model.Complaint) -> str:
        node = f"complaint:{c.id}"
        shown = graph.shown_by(self.graph, node)
        causes = sorted(shown, key=lambda n: (-self.graph.nodes[f"cause:{n}"]["rate"] * shown[n], n))
        checks = graph.checks_for(self.graph, causes)
        return self._page(
            c.title,
            [
                (
                    "What it means",
                    [_sentence(c.says), "", "People say: " + "; ".join(map(_plain, c.hear[:MOST_SAID])) + "."],
                ),
                ("Why", _list((self.link("causes", n) for n in causes), "The likeliest first:")),
                ("Check", _list(self.link("checks", n) for n in checks)),
                ("Hazards", self.hazards(c.gates, "Nothing to clear first.")),
            ],
        )

    def settles(self, c: model.Cause) -> list[str]:
        """Return what defines a cause, and why its strengths are as they are."""
        out = [f"Why so: {_plain(c.because)}"] if c.because else []
        look = c.defines
        if look and look.why_hidden:
            out.append(f"No look settles it: {_plain(look.why_hidden)}.")
        elif look and look.check:
            said = " or ".join(self._outcome(look.check, a) for a in [look.answer or "", *look.also])
            out.append(f"It is settled by {self.link('checks', look.check)}: {said}.")
        elif look and look.rule:
            out.append(f"It is settled by a reading {look.side} {self.link('rules', look.rule)}.")
        return ["", *out] if out else []

    def cause(self, c: model.Cause) -> str:
        breaks = []
        if c.breaks:
            rule = self.kb.rules[c.breaks.rule]
            side = f", {c.breaks.side}" if c.breaks.side else ""
            follows = {"below": rule.below, "above": rule.above}.get(c.breaks.side or "", rule.broken)
            what = f"It breaks {self.link('rules', rule.id)}{side}."
            if rule.authority == "practice":  # nobody's rule is broken here
                what = f"It is {c.breaks.side or 'not'} common practice: {self.link('rules', rule.id)}."
            breaks = [f"{what} {_sentence(follows or '')}".rstrip()]
        looks = [
            f"{self.link('causes', m.cause) if m.cause else _plain(m.healthy or '')}: {_plain(m.tell)}"
            for m in c.mistaken_for
        ]
        return self._page(
            c.title,
            [
                ("What it means", [_plain(c.says), *self.when(c.when)]),
                ("Why", [*(breaks or [f"It breaks no rule: {_plain(c.why_no_rule or '')}."]), *self.complaints(c)]),
                ("Check", [*self.shows(c), *self.settles(c), "", "Easily mistaken for:", "", *_list(looks)]),
                ("Remedy", self.remedy(c)),
                ("Hazards", self.hazards(c.remedy.hazards, c.remedy.why_no_hazard or "")),
                ("Sources", self.sources(c.sources, c.breaks.rule if c.breaks else None)),
            ],
        )

    def complaints(self, c: model.Cause) -> list[str]:
        names = sorted({s.complaint for s in c.shows if s.complaint})
        return ["", *_list((self.link("complaints", n) for n in names), "People then complain of:")]

    def shows(self, c: model.Cause) -> list[str]:
        out = []
        for s in c.shows:
            how = s.strength if isinstance(s.strength, str) else f"{100 * s.strength.n:g} in 100"
            if s.check:
                answers = self.kb.checks[s.check].answers
                seen = _plain(answers[s.answer].says) if s.answer else s.side
                out.append(f"{self.link('checks', s.check)}: {seen} ({how})")
            elif s.rule:
                out.append(f"{self.link('rules', s.rule)}: {s.side} ({how})")
        if c.breaks:
            reads = [k.id for k in self.kb.checks.values() if k.rule == c.breaks.rule]
            out += [f"{self.link('checks', n)}: {c.breaks.side or 'broken'}" for n in reads if c.breaks.side]
        return _list(dict.fromkeys(out))

    def remedy(self, c: model.Cause) -> list[str]:
        r = c.remedy
        parts = ", ".join(_plain(self.kb.parts[p].title) for p in r.parts)
        facts = f"{minutes_text(r.minutes)}; {BY[r.by]}" + (f"; bring {parts}" if parts else "")
        rows = [f"**{_plain(r.title)}** ({facts}).", ""]
        if r.only_if:
            only = self.link("checks", r.only_if.check)
            rows += [
                f"Only if {only} says so: {self._outcome(r.only_if.check, r.only_if.answer or r.only_if.side or '')}.",
                "",
            ]
        found = illustrations.of_remedy(self.kb, c)
        rows += [*self.shown(found), ""]
        for n, step in enumerate(r.steps, 1):
            rows += [f"{n}. {_plain(step)}", *(f"   {row}" for row in self.shown(found, n))]
        proof = f"{self.link('checks', c.proof.check)}: {self._outcome(c.proof.check, c.proof.passes)}"
        return [*rows, "", f"It is proved by {proof}."]

    def _outcome(self, check: str, said: str) -> str:
        answer = self.kb.checks[check].answers.get(said)
        return _plain(answer.says if answer else said)

    def check(self, c: model.Check) -> str:
        asks = [
            f"{who}: {_plain(text)}" for who in ("homeowner", "desk", "technician") if (text := getattr(c.ask, who))
        ]
        minutes = [
            f"{who} {minutes_text(m)}"
            for who in ("homeowner", "technician")
            if (m := getattr(c.minutes, who)) is not None
        ]
        how = [_plain(c.how)] + ([f"Technician: {_plain(c.how_technician)}"] if c.how_technician else [])
        tools = [f"Tools: {', '.join(c.tools)}."] if c.tools else []
        answers = [
            _plain(a.says) + (" (normal)" if name == list(c.answers)[-1] else "") for name, a in c.answers.items()
        ]
        nodes = [graph.answer_node(c.id, a) for a in list(c.answers)[:-1]]
        if c.kind == "measure" and c.rule:
            nodes = [graph.side_node(c.rule, s) for s in graph.sides(self.kb.rules[c.rule])]
        causes = sorted({n for node in nodes for n in graph.shown_by(self.graph, node)})
        proves = [k.id for k in self.kb.causes.values() if k.proof.check == c.id]
        why = [f"It reads {self.link('rules', c.rule)}."] if c.rule else [_sentence(c.why_no_rule or "")]
        return self._page(
            c.title,
            [
                ("What it means", [*_list(asks, "Asked of the"), *self.when(c.when)]),
                ("Why", [*why, "", *_list((self.link("causes", n) for n in causes), "It speaks of:")]),
                (
                    "Check",
                    [
                        *how,
                        "",
                        *self.shown(illustrations.of_check(self.kb, c)),
                        "",
                        f"Minutes: {', '.join(minutes)}.",
                        *tools,
                        "",
                        *_list(answers, "Answers:" if answers else ""),
                    ],
                ),
                (
                    "Remedy",
                    _list((self.link("causes", n) for n in proves), "It proves the remedy of:" if proves else ""),
                ),
                ("Hazards", self.hazards(c.hazards, c.why_no_hazard or "")),
            ],
        )

    def rule(self, r: model.Rule) -> str:
        follows = [
            f"{side}: {_plain(t)}" for side, t in (("below", r.below), ("above", r.above), ("broken", r.broken)) if t
        ]
        checks = [c.id for c in self.kb.checks.values() if c.rule == r.id]
        causes = [c.id for c in self.kb.causes.values() if c.breaks and c.breaks.rule == r.id]
        beside = [f"{self.link('rules', n.rule)}: {_plain(n.differs)}" for n in r.neighbours]
        return self._page(
            r.title,
            [
                (
                    "What it means",
                    [
                        f"{_sentence(limit_text(r))} Of: {_plain(r.of)}.",
                        *self.when(r.when),
                        "",
                        *self.shown(illustrations.of_rule(r)),
                    ],
                ),
                ("Why", [*_list(follows), "", f"Whose limit: {_plain(whose(r))}."]),
                ("Check", _list(self.link("checks", n) for n in checks)),
                (
                    "Remedy",
                    _list(
                        (self.link("causes", n) for n in causes),
                        "What is behind it when it is not so, each with its remedy:" if causes else "",
                    ),
                ),
                ("Beside it", _list(beside)),
                ("Sources", self.sources(r.sources)),
            ],
        )

    def when(self, when: model.When) -> list[str]:
        out = []
        for fact, wanted in when.items():
            options = [wanted] if isinstance(wanted, str) else wanted
            says = " or ".join(_plain(self.kb.facts[fact].options[o].says) for o in options)
            out.append(f"{_plain(self.kb.facts[fact].title)}: {says}")
        return ["", *_list(out, "Only where:")] if out else []

    def hazards(self, names: list[str], why_none: str) -> list[str]:
        if not names:
            return [_sentence(why_none)]
        out = []
        for n in names:
            drawn = [f" ([picture](../pictures/{i.id}.svg))" for i in illustrations.of_hazard(self.kb.hazards[n])]
            out.append(f"- **{self.kb.hazards[n].signal}** {_plain(self.kb.hazards[n].says)}{''.join(drawn)}")
        return out

    def sources(self, cites: list[model.Cite], rule: str | None = None) -> list[str]:
        out = [f"Of the limit: see {self.link('rules', rule)}."] if rule else []
        for cite in cites:
            source = self.kb.sources[cite.source]
            grade = cite.grade or source.grade
            at = f", {_plain(cite.at)}" if cite.at else ""
            note = f"; {_plain(source.note)}" if source.note else ""
            out.append(f"{_plain(source.title)}{at} (grade {grade}: {GRADES[grade]}){note}")
        return _list([*out, "Rates, strengths, minutes and prices: judgement unless said otherwise."])

    def _page(self, title: str, sections: list[tuple[str, list[str]]]) -> str:
        rows = [f"# {_plain(title)}", "", "[All pages](../index.md)"]
        for name, body in sections:
            if any(body):
                rows += ["", f"## {name}", "", *body]
        return _text([*rows, "", "---", WARNING])


def _text(rows: Iterable[str]) -> str:
    """Return lines as a page, never with two empty ones together."""
    out: list[str] = []
    for row in rows:
        if row or (out and out[-1]):
            out.append(row)
    return "\n".join(out).rstrip() + "\n"


def _list(items: Iterable[str], head: str = "") -> list[str]:
    """Return items as a list under its head; nothing where there are none."""
    rows = [f"- {item}" for item in items]
    if not rows:
        return []
    return [head, "", *rows] if head else rows


def _plain(text: str) -> str:
    """Return text in which nothing is taken for Markdown."""
    for mark in "\\`*_[]<>|":
        text = text.replace(mark, f"\\{mark}")
    return " ".join(text.split())


def _sentence(text: str) -> str:
    """Return text with a capital and a full stop."""
    text = _plain(text)
    return text[:1].upper() + text[1:] + ("" if not text or text[-1] in ".!?" else ".")
