"""The acceptance sheet of a survey: one self-contained HTML page that prints on one or two sheets of Letter or A4."""

from html import escape
from typing import Any

from ..engine import model
from ..engine.advice import Measured

WORDS = {"broken": "BROKEN", "too-close": "TOO CLOSE", "within": "within"}
STYLE = """
:root{color-scheme:light dark;--ink:#1b1f24;--paper:#fff;--line:#8a9099;--bad:#a3130d;--doubt:#7a4d00;--good:#0b5d2a}
@media(prefers-color-scheme:dark){:root{--ink:#e8eaed;--paper:#15181c;--line:#7d848e;--bad:#ff9a92;--doubt:#ffcf7a;--good:#8be0a8}}
@media print{:root{--ink:#000;--paper:#fff;--bad:#000;--doubt:#000;--good:#000}body{font-size:9pt}tr{break-inside:avoid}}
@page{margin:14mm}
body{font:15px/1.4 system-ui,sans-serif;color:var(--ink);background:var(--paper);margin:1rem auto;max-width:60rem;padding:0 1rem}
h1{font-size:1.4rem;margin:0 0 .3rem}h2{font-size:1.05rem;margin:1.2rem 0 .3rem}
table{border-collapse:collapse;width:100%}td,th{text-align:left;vertical-align:top;padding:.3rem .5rem .3rem 0;border-top:1px solid var(--line)}
td.v{white-space:nowrap;font-weight:700}.broken{color:var(--bad)}.too-close{color:var(--doubt)}.within{color:var(--good)}
small{display:block}svg{width:100%;max-width:16rem;height:1.7rem}.sign{margin-top:1.5rem;display:grid;grid-template-columns:1fr 1fr;gap:2rem}
.sign div{border-top:1px solid var(--line);padding-top:.3rem}
@media(max-width:34rem){tr,td,th{display:block;border:0;padding:.1rem 0}tr{border-top:1px solid var(--line);padding:.5rem 0}thead{display:none}}
"""


def number_line(m: Measured) -> str:
    """Return a number line as inline SVG: the allowed part thick, limits as ticks, the reading as a dot, and the same in words."""
    marks = [v for v in (m.low, m.high, m.value) if v is not None]
    room = max(max(marks) - min(marks), abs(m.value) * 0.2, 1e-9)
    first, last = max(m.first, min(marks) - room / 2), min(m.last, max(marks) + room / 2)
    if first >= last:
        return ""

    def x(v: float) -> float:
        return round(4 + 192 * (min(max(v, first), last) - first) / (last - first), 1)

    low, high = x(m.low if m.low is not None else first), x(m.high if m.high is not None else last)
    ticks = "".join(
        f'<line x1="{x(v)}" x2="{x(v)}" y1="4" y2="18" stroke="currentColor"/>'
        for v in (m.low, m.high)
        if v is not None
    )
    return (
        f'<svg viewBox="0 0 200 22" role="img" aria-label="{escape(m.said)}: {escape(m.text)}">'
        f'<line x1="4" x2="196" y1="11" y2="11" stroke="currentColor" stroke-width="1" stroke-dasharray="3 3"/>'
        f'<line x1="{low}" x2="{high}" y1="11" y2="11" stroke="currentColor" stroke-width="4"/>{ticks}'
        f'<circle cx="{x(m.value)}" cy="11" r="5" fill="currentColor"/></svg>'
    )


def counts(x: Any) -> bool:
    """Return whether a line counts: another practice that stands beside the measured rule does not."""
    return not (x.beside and x.authority == "practice")


def page(kb: model.KB, done: Any) -> str:
    """Return the acceptance sheet of a survey.

    Parameters
    ----------
    kb : KB
    done : Survey
        From `engine.survey.survey`.
    """
    rows: list[str] = []
    area = None
    for x in done.lines:
        if x.verdict not in WORDS:
            continue
        if x.area != area:
            area = x.area
            rows.append(f'<tr><th colspan="3" scope="rowgroup">{escape(area.replace("_", " ").capitalize())}</th></tr>')
        leads = ", ".join(f"{kb.complaints[c.complaint].title} {round(100 * c.p)} in 100" for c in x.leads_to[:3])
        rows.append(
            f'<tr><td class="v {x.verdict if counts(x) else ""}">{WORDS[x.verdict] if counts(x) else "beside"}</td><td><b>{escape(x.title)}</b>: {escape(x.said)}'
            + (f"<small>{escape(x.text)}</small>" if x.text != x.said else "")
            + f"<small>Limit {escape(x.limits)}. {escape(x.whose)}. Source: {escape(x.source)}.</small>"
            + (f"<small>Leads to: {escape(leads)}.</small>" if leads else "")
            + f"</td><td>{number_line(x.measured) if x.measured else ''}</td></tr>"
        )
    missing = ", ".join(
        escape(x.title.lower()) for x in done.lines if x.verdict == "not-measured" and x.authority != "code"
    )
    c = done.counts
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(done.title)}</title><style>{STYLE}</style></head><body><main><h1>{escape(done.title)}</h1>"
        f"<p>{c['broken']} broken, {c['too-close']} too close to call, {c['within']} within, {c['not-measured']} not measured, "
        f"{c['not-applicable']} not applicable. Local code and the machine's manual both bind, the stricter first; common practice fills the gaps.</p>"
        f"<table><thead><tr><th>Verdict</th><th>Rule and reading</th><th>Number line</th></tr></thead><tbody>{''.join(rows)}</tbody></table>"
        f"<h2>Not measured</h2><p><small>{missing or 'nothing'}</small></p>"
        f'<div class="sign"><div>Installer, date</div><div>For the household, date</div></div></main></body></html>\n'
    )
