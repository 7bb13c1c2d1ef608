"""A month of cases as lines, as Markdown and as CSV. Pure."""

from __future__ import annotations

import csv
import io

from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine.reports.month import Counted, Month
    from ...engine.reports.on_site import OnSite

MOST = 10
ON_SITE = "Minutes and call-outs, against what bring said"
NOT_TOLD = "No closed case has both a talk before a technician came and the times of what was answered there: nothing to hold against what bring said."
HOW = (
    "A visit runs from a technician's first entry in the case to the last answer; 4 hours without any end it. The way there and packing up are not in it. "
    "Said is the middle of visits played on judged numbers. Other trades count where it is written down that they found the cause. "
    "Cases to which no technician came are not in it, so more call-outs than the chances say are to be expected."
)


def parts(m: Month) -> list[tuple[str, list[str]]]:
    """Return the parts of the page: their titles, and their lines."""

    def counted(some: list[Counted]) -> list[str]:
        more = [f"And {len(some) - MOST} more."] if len(some) > MOST else []
        return [f"{c.title}: {c.cases}" for c in some[:MOST]] + more

    ends = [f"{end.replace('-', ' ')}{', not seen' * (end == 'reported-solved')}: {n}" for end, n in m.ends.items()]
    back = [f"{ref}: {', '.join(what) or 'cause not seen yet'}" for ref, what in m.came_back.items()]
    held = [
        f"Stated {100 * h.stated:.0f} in 100: right in {h.right} of {h.cases} (90 in 100: {100 * h.low:.0f} to {100 * h.high:.0f} in 100)"
        for h in m.held
    ]
    visits = [f"Solved with nobody sent: {m.saved}", f"A technician was there: {m.visits}"]
    if m.reported:
        visits.insert(1, f"Reported solved with nobody sent, not seen: {m.reported}")
    return [
        ("How they ended", ends),
        ("Rules broken most", counted(m.rules)),
        ("What it was", counted(m.causes)),
        ("Installations that came back", back),
        ("Visits, and those that a talk saved", visits),
        (ON_SITE, on_site(m.on_site)),
        ("Chances stated, and what came of them", held),
        ("Parts to carry: what the mends took", counted(m.parts)),
    ]


def on_site(found: OnSite | None) -> list[str]:
    """Return what visits took against what was said of them; one sentence where no case can tell."""
    if found is None:
        return [NOT_TOLD]
    n = f"{found.cases} case{'s' * (found.cases != 1)}"
    sample = (
        f"These are {found.cases} of {found.of} such cases: of many an even sample is taken, and what bring refuses is left out."
        if found.cases < found.of
        else ""
    )
    return [
        f"Minutes on site, mean of {n}: {found.said:.0f} said, {found.taken:.0f} taken",
        f"Longer than said in {found.over}, shorter in {found.under}; the middle case took {found.ratio:.1f} times what was said",
        f"Within the range that was said: {found.inside} of {found.cases} (8 in 10 are meant to be)",
        f"Call-outs: {found.called:.1f} expected by the chances said of each trade's work, {found.came} made; more than one visit in {found.again} of {n}",
        *([sample] if sample else []),
        HOW,
    ]


def month_lines(layout: Layout, m: Month) -> list[str]:
    """Return a month as lines."""
    if not m.cases:
        return layout.wrap(f"No case of {m.of} is kept." if m.of else "No case is kept yet. A walk keeps one: dryfloor")
    out = layout.wrap(f"{m.of}: {m.cases} cases.")
    for title, lines in parts(m):
        out += ["", layout.paint(title.upper(), "strong")]
        out += [line for text in lines or ["None."] for line in layout.wrap(text, 5, "   -")]
    return out


def markdown(m: Month) -> str:
    """Return a month as Markdown."""
    out = [f"# {m.of}: {m.cases} cases", ""]
    for title, lines in parts(m):
        out += [f"## {title}", "", *(f"- {text}" for text in lines or ["None."]), ""]
    return "\n".join(out)


def csv_of(m: Month) -> str:
    """Return a month as CSV: what is counted, its id, its title, in how many cases; in the last column a figure that is no count of cases."""
    raw = io.StringIO(newline="")
    rows = csv.writer(raw, lineterminator="\n")
    rows.writerow(["month", "what", "id", "title", "cases", "figure"])
    rows.writerows([m.of, "end", end, end, n, ""] for end, n in m.ends.items())
    for what, some in (("rule", m.rules), ("cause", m.causes), ("part", m.parts)):
        rows.writerows([m.of, what, c.id, c.title, c.cases, ""] for c in some)
    rows.writerows([m.of, "came-back", ref, ", ".join(w), 1, ""] for ref, w in m.came_back.items())
    rows.writerows(
        [
            [m.of, "saved", "", "solved with nobody sent", m.saved, ""],
            [m.of, "reported", "", "reported solved with nobody sent, not seen", m.reported, ""],
            [m.of, "visit", "", "a technician was there", m.visits, ""],
        ]
    )
    if s := m.on_site:
        figures = (
            ("minutes-said", "minutes on site that bring said, mean", s.cases, s.said),
            ("minutes-taken", "minutes on site that were taken, mean", s.cases, s.taken),
            ("minutes-ratio", "taken by said, in the middle case", s.cases, s.ratio),
            ("minutes-over", "longer than said", s.over, ""),
            ("minutes-under", "shorter than said", s.under, ""),
            ("minutes-inside", "within the range that was said", s.inside, ""),
            ("call-outs-said", "call-outs by the chances that bring said", s.cases, s.called),
            ("call-outs-made", "call-outs that were made", s.cases, s.came),
            ("call-outs-again", "more than one visit", s.again, ""),
            ("sampled-from", "cases that could be held against bring", s.of, ""),
        )
        rows.writerows([m.of, what, "", title, n, figure] for what, title, n, figure in figures)
    return raw.getvalue()
