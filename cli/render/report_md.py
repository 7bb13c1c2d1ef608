"""A report as Markdown: every text escaped, so that nothing a person typed turns into markup."""

import re
from typing import TYPE_CHECKING

from ...engine.language.sanitize import visible

if TYPE_CHECKING:
    from ...engine.reports.report import Report

MARKS = re.compile(r"([\\`*_{}\[\]<>#|~!$&])")
STARTS = re.compile(r"^(\s*)([-+=]|\d+[.)])")


def escaped(text: str) -> str:
    """Return text that Markdown shows as it stands.

    Examples
    --------
    >>> print(escaped("<b>2 * 3_4</b>"))
    \\<b\\>2 \\* 3\\_4\\</b\\>
    """
    text = MARKS.sub(r"\\\1", text)
    return STARTS.sub(lambda m: f"{m[1]}{m[2][:-1]}\\{m[2][-1]}", text)


def markdown(r: "Report") -> str:
    """Return a report as Markdown."""
    head = [f"# {escaped(r.title)}", "", f"**{escaped(r.verdict)}.**"]
    head += ["", *(escaped(t) for t in (r.date, r.machine) if t)] if r.date or r.machine else []
    parts = [
        ("First of all", r.now),
        ("Dangers", [f"{h.signal}: {h.title} ({h.state}). {h.says}" for h in r.hazards]),
        ("What was complained of", [*(f"\u201c{w}\u201d" for w in r.words), *r.complaint]),
        ("What was wrong, and how sure that is", r.summary),
        ("The rule", r.rule_text),
        ("Readings", [line.text for line in r.lines] + r.worked_out),
        ("What was done", r.done),
        ("What to do next", r.next),
        ("Not checked", r.unchecked),
        ("What else it could be", r.others),
    ]
    out = [*head]
    for title, texts in parts:
        if texts:
            out += ["", f"## {title}", "", *(f"- {escaped(t)}" for t in texts)]
    if r.trail:
        out += ["", "## The trail", "", escaped(r.trail_text), ""]
        out += ["| | Who | What | Weight |", "|---|---|---|---|"]
        out += [f"| {t.n} | {escaped(t.who)} | {escaped(t.what)} | {escaped(t.says)} |" for t in r.trail]
    for title, texts in (
        ("Notes", r.notes),
        ("Sources" if r.reader == "homeowner" else "Sources, with their grades", [s.text for s in r.sources]),
    ):
        if texts:
            out += ["", f"## {title}", "", *(f"- {escaped(t)}" for t in texts)]
    return visible("\n".join([*out, "", *(line for t in r.closing for line in (escaped(t), ""))]))
