"""A survey's judgement as lines."""

from typing import TYPE_CHECKING

from ..terminal.layout import Layout
from .advice import in_100, number_line

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.survey.assess import Survey, SurveyLine
from ...engine.survey.assess import CLOSING, count_text

WORDS = {
    "broken": "BROKEN",
    "too-close": "CLOSE",
    "within": "within",
    "not-measured": "not measured",
    "not-applicable": "not applicable",
}
LINE = 60  # columns of a number line at most
NAMED = 24  # lines left empty that are still named one by one
LED = 3  # complaints named beside a broken rule


def lines(layout: Layout, kb: "model.KB", done: "Survey") -> list[str]:
    """Return a survey as text: counts, each rule that was seen, what a break leads to, what the readings raise, what was left out."""
    from ...engine.survey.areas import area_title

    out = [
        layout.paint(line, "strong") for line in layout.wrap(done.title + (f": {done.machine}" if done.machine else ""))
    ]
    out += layout.wrap(count_text(done))
    broken = [x.title for x in done.lines if x.verdict == "broken" and x.counted]
    if broken:
        out += layout.wrap("Broken: " + "; ".join(broken))
    advice = [x.title for x in done.lines if x.advice]
    if advice:
        out += layout.wrap("Advice, and not counted, until somebody says which code is in force: " + "; ".join(advice))
    area = None
    for x in done.lines:
        if x.verdict in ("not-measured", "not-applicable"):
            continue
        if x.area != area:
            area = x.area
            out += ["", layout.paint(area_title(area).upper(), "strong")]
        out += one(layout, kb, x)
    if done.beliefs:
        out += ["", *layout.wrap("What these readings make likely, before any complaint:")]
        # Nothing is shown as "0 %": a cause that is named is possible.
        out += [
            line
            for b in done.beliefs[:6]
            for line in layout.wrap(b.title, 9, f" {100 * b.present:4.0f} %" if b.present >= 0.005 else "   <1 %")
        ]
    out += _missing(layout, done)
    return [*out, "", *layout.wrap(CLOSING)]


def _missing(layout: Layout, done: "Survey") -> list[str]:
    """Return what was not measured: lines left empty, by name where they are few, and how many rules no line reads."""
    from ...engine.survey.areas import HABITS, area_title

    left = [x for x in done.lines if x.verdict == "not-measured" and x.counted and x.area not in HABITS]
    empty: dict[str, list[str]] = {}
    for x in left:
        if x.on_sheet:
            empty.setdefault(x.area, []).append(x.title)
    out: list[str] = []
    if sum(map(len, empty.values())) > NAMED:
        counts = ", ".join(f"{area_title(a)} {len(titles)}" for a, titles in empty.items())
        out += ["", *layout.wrap(f"Lines left empty, by part: {counts}. dryfloor survey --blank prints them.")]
    elif empty:
        out += ["", *layout.wrap("Lines left empty:")]
        out += [line for a, titles in empty.items() for line in layout.wrap(f"{area_title(a)}: {'; '.join(titles)}", 3)]
    other = sum(not x.on_sheet for x in left)
    if other:
        text = f"{other} more rules have no line on the sheet: other codes' limits, papers, and what the physics had no reading for. dryfloor rule shows them."
        out += ["", *layout.wrap(text)]
    return out


def one(layout: Layout, kb: "model.KB", x: "SurveyLine") -> list[str]:
    """Return one surveyed rule as lines; where it is kept, no more than that."""
    word = WORDS[x.verdict] if x.counted else "advice" if x.advice else "beside"
    bad = x.counted and x.verdict in ("broken", "too-close")
    said = f"{x.title}: {x.text}" if x.said in x.text else f"{x.title}: {x.said}; {x.text}"
    out = layout.labelled(word, said, "strong" if bad else "")
    if not bad:
        return out
    out += layout.labelled("limit", f"{x.limits}; {x.whose}")
    if x.measured and x.conformity is not None:
        out += layout.labelled(
            "kept",
            f"{in_100(x.conformity)} that the rule is kept, by the {'reading' if x.measured.check else 'estimate'}'s own give or take",
        )
        out += number_line(x.measured, min(layout.width - (0 if layout.narrow else 6), LINE), 0 if layout.narrow else 3)
    for text in x.means[:2]:
        out += layout.labelled("that is", text)
    if x.leads_to:
        led = ", ".join(f"{kb.complaints[c.complaint].title.lower()} {in_100(c.p)}" for c in x.leads_to[:LED])
        out += layout.labelled("leads to", led)
    return out
