"""A month of cases as lines, as Markdown and as CSV. Pure."""

from __future__ import annotations

import csv
import io

from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine.reports.month import Counted, Month

MOST = 10
NOT_TOLD = "Minutes on site are in no case yet, so what bring said of them is not held against anything here."


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
        ("Chances stated, and what came of them", held),
        ("Parts to carry: what the mends took", counted(m.parts)),
    ]


def month_lines(layout: Layout, m: Month) -> list[str]:
    """Return a month as lines."""
    if not m.cases:
        return layout.wrap(f"No case of {m.of} is kept." if m.of else "No case is kept yet. A walk keeps one: dryfloor")
    out = layout.wrap(f"{m.of}: {m.cases} cases.")
    for title, lines in parts(m):
        out += ["", layout.paint(title.upper(), "strong")]
        out += [line for text in lines or ["None."] for line in layout.wrap(text, 5, "   -")]
    return [*out, "", *layout.wrap(NOT_TOLD)]


def markdown(m: Month) -> str:
    """Return a month as Markdown."""
    out = [f"# {m.of}: {m.cases} cases", ""]
    for title, lines in parts(m):
        out += [f"## {title}", "", *(f"- {text}" for text in lines or ["None."]), ""]
    return "\n".join([*out, NOT_TOLD, ""])


def csv_of(m: Month) -> str:
    """Return a month as CSV: what is counted, its id, its title, in how many cases."""
    raw = io.StringIO(newline="")
    rows = csv.writer(raw, lineterminator="\n")
    rows.writerow(["month", "what", "id", "title", "cases"])
    rows.writerows([m.of, "end", end, end, n] for end, n in m.ends.items())
    for what, some in (("rule", m.rules), ("cause", m.causes), ("part", m.parts)):
        rows.writerows([m.of, what, c.id, c.title, c.cases] for c in some)
    rows.writerows([m.of, "came-back", ref, ", ".join(w), 1] for ref, w in m.came_back.items())
    rows.writerows(
        [
            [m.of, "saved", "", "solved with nobody sent", m.saved],
            [m.of, "reported", "", "reported solved with nobody sent, not seen", m.reported],
            [m.of, "visit", "", "a technician was there", m.visits],
        ]
    )
    return raw.getvalue()
