"""The acceptance sheet of a survey: one self-contained document of two pages, Letter or A4: the customer's, and the firm's."""

import re
from html import escape
from typing import TYPE_CHECKING

from ...engine.advising.wording import GOVERNS
from ...engine.language.sanitize import visible
from ...engine.survey.lines import looked_at
from .advice import in_100

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.advice import Measured
    from ...engine.survey.assess import Survey
    from ...engine.survey.consequences import Leads
    from ...engine.survey.lines import SurveyLine

WORDS = {"broken": "BROKEN", "too-close": "TOO CLOSE", "within": "within"}
TOLD = ", told, not seen"
RARE = 0.01  # a complaint that a break leads to more seldom is left out beside others [prob]
ROOM = 4000  # the most that the firm's page says [characters] where two pictures of any height still go on it, measured in print
OFF_PAPER = re.compile(
    r'<tr class="beside">.*?</tr>|<svg.*?</svg>|<span class="by-eye">[^<]*</span>|<[^>]*>', flags=re.DOTALL
)
GOVERN = f"; {GOVERNS}"  # it stands once, above the table
STYLE = """
:root{color-scheme:light dark;--ink:#1b1f24;--paper:#fff;--line:#8a9099;--bad:#a3130d;--doubt:#6d4500;--good:#0b5d2a}
@media(prefers-color-scheme:dark){:root{--ink:#e8eaed;--paper:#15181c;--line:#7d848e;--bad:#ff9a92;--doubt:#ffcf7a;--good:#8be0a8}}
@page{margin:10mm}
*{box-sizing:border-box}
body{font:15px/1.4 system-ui,sans-serif;color:var(--ink);background:var(--paper);margin:1rem auto;max-width:60rem;padding:0 1rem;
overflow-wrap:anywhere}
h1{font-size:1.4rem;margin:0 0 .3rem}h2{font-size:1.05rem;margin:1.2rem 0 .3rem}p{margin:.3rem 0}
table{border-collapse:collapse;width:100%}td,th{text-align:left;vertical-align:top;padding:.25rem .5rem .25rem 0;border-top:1px solid var(--line)}
th{padding-top:.7rem}thead th{padding-top:.25rem;border:0}
td.v{white-space:nowrap;font-weight:700;width:6.5rem}td.n{width:15rem}
.broken{color:var(--bad)}.too-close{color:var(--doubt)}.within{color:var(--good)}
small{font-size:.85em}small.b{display:block}svg{display:block;width:100%;height:1.5rem}
.sign{margin-top:1.5rem;display:grid;grid-template-columns:1fr 1fr;gap:2rem;break-inside:avoid}.sign div{border-top:1px solid var(--line);padding:.3rem 0 1.5rem}
.stop{border:3px solid var(--bad);padding:.4rem .7rem;margin:.5rem 0;break-inside:avoid}.stop h2{margin:0;color:var(--bad)}
ul{margin:.2rem 0;padding-left:1.2rem}.by-hand{border-bottom:1px solid var(--line);padding-bottom:1.2rem}.firm{margin-top:2rem;border-top:3px double var(--line)}
.head{display:grid;grid-template-columns:1fr 1fr 1fr;gap:1rem}.head div{border-bottom:1px solid var(--line);padding-bottom:1.1rem}
@media(max-width:34rem){tr,td,th{display:block;border:0;padding:.1rem 0}td.n,td.v{width:auto}tr{border-top:1px solid var(--line);padding:.5rem 0}
thead{display:none}.sign,.head{grid-template-columns:1fr;gap:0}}
.drawn{display:flex;flex-wrap:wrap;gap:1rem;--accent:var(--bad)}.drawn figure{margin:.5rem 0;flex:1 1 18rem;max-width:26rem}.drawn svg{height:auto}
.pic text{fill:currentColor;stroke:var(--paper);stroke-width:3.5;paint-order:stroke;stroke-linejoin:round;font:14px system-ui,sans-serif;text-anchor:middle}
.pic .pb{font-weight:700;font-size:15px;text-anchor:start}
.pic .pa{stroke:var(--accent)}
.pic .pf{fill:var(--accent)}
.pic .pt{fill:var(--accent);font-weight:500}
.pic .pp{fill:var(--paper)}
.pic .pi{fill:currentColor}
.pic .pd{fill:currentColor;stroke:none}
.pic .pw{stroke:var(--paper)}
@media print{.drawn{display:none}.drawn.room{display:flex;break-before:page;gap:6mm;margin:0 0 2mm}
.drawn.room figure{flex:0 0 76mm;margin:0;break-inside:avoid}.drawn.room figure:nth-child(n+3){display:none}
@page{margin:7mm 10mm}:root{--ink:#000;--paper:#fff;--line:#777;--bad:#000;--doubt:#000;--good:#000}
body{font:9pt/1.08 Arial,"Liberation Sans",Helvetica,sans-serif;margin:0;padding:0;max-width:none}small{font-size:1em}
h1{font-size:13pt}h2{font-size:9.5pt;margin:.4rem 0 .1rem;break-after:avoid}.sign{margin-top:.5rem}.firm tr.beside,.by-eye{display:none}p{margin:.1rem 0}
.firm{break-before:page;margin:0;border:0;columns:2;column-gap:6mm}.drawn.room+.firm{break-before:auto}.firm h2{margin:.2rem 0 0}.firm h2:first-child{margin-top:0}
.firm table,.firm tbody,.firm tr:not(.beside),.firm td,.firm th{display:block;border:0;padding:0;width:auto}.firm thead{display:none}
.firm tr:not(.beside){padding:.1mm 0 0}.firm tr.seen{break-inside:auto}.firm th{break-after:avoid;border-bottom:.3mm solid var(--line);margin-top:.4mm}
.firm td.v,.firm td.t{display:inline;white-space:normal}.firm td.n,.firm tr.ok td.v{display:none}.firm td.n.line{display:inline-block;width:12mm;vertical-align:-.5mm}.firm svg{height:2.4mm}
.customer{line-height:1.2}.customer ul.two{columns:2;column-gap:6mm}.customer li{break-inside:avoid}.customer h2{font-size:9.8pt;margin:.35rem 0 .05rem}.by-hand{padding-bottom:.8rem}
.customer td,.customer th{padding:.1rem .4rem .1rem 0}.customer .sign div{padding-bottom:.4rem}}
"""


def number_line(m: "Measured") -> str:
    """Return a number line as inline SVG: the allowed part thick, limits as ticks, the reading as a dot, and the same in words."""
    marks = [v for v in (m.low, m.high, m.value) if v is not None]
    room = max(max(marks) - min(marks), abs(m.value) * 0.2, 1e-9)
    first, last = max(m.first, min(marks) - room / 2), min(m.last, max(marks) + room / 2)
    if first >= last:
        return ""

    def x(v: float) -> float:
        return round(6 + 188 * (min(max(v, first), last) - first) / (last - first), 1)

    low, high = x(m.low if m.low is not None else first), x(m.high if m.high is not None else last)
    ticks = "".join(
        f'<line x1="{x(v)}" x2="{x(v)}" y1="3" y2="19" stroke="currentColor" stroke-width="1.5"/>'
        for v in (m.low, m.high)
        if v is not None
    )
    return (
        f'<svg viewBox="0 0 200 22" preserveAspectRatio="xMinYMid meet" role="img" aria-label="{escape(m.said)}; allowed {escape(m.limits)}">'
        '<line x1="6" x2="194" y1="11" y2="11" stroke="currentColor" stroke-dasharray="3 3"/>'
        f'<line x1="{low}" x2="{high}" y1="11" y2="11" stroke="currentColor" stroke-width="4"/>{ticks}'
        f'<circle cx="{x(m.value)}" cy="11" r="5" fill="currentColor"/></svg>'
    )


SIGN = '<div class="sign"><div>Installer</div><div>For the household</div></div>'


def _measured(done: "Survey") -> str:
    """Return who measured, or that it was told on the phone, and for what it holds."""
    from ...engine.survey.assess import CLOSING, TOLD_CLOSING

    if done.phone:
        return f"Told on the phone before delivery, seen by nobody. {escape(TOLD_CLOSING)}"
    return f"Measured by a {done.hands}{_told(done)}. {escape(CLOSING)}"


def _left(done: "Survey") -> str:
    """Return what was not measured: by name what must be seen, else how many; of a phone check what is still to be asked."""
    from ...engine.survey.areas import HABITS
    from ...engine.survey.must_see import STAGES

    if done.phone:
        names = "; ".join(escape(m.title) for m in done.phone.to_ask)
        return f"<b>Still to be asked.</b> {names or 'Nothing'}."
    missing = "; ".join(escape(m.title) for m in done.missing)
    empty = sum(x.verdict == "not-measured" and x.counted and x.area not in HABITS for x in done.lines)
    more = f" {empty} other rules were not measured." if empty else ""
    if done.stage and done.stage != STAGES[-1]:
        more = f" {len(done.stage_left)} more lines of this stage were left empty." if done.stage_left else ""
    return f"<b>Not measured.</b> {'Must be seen: ' + missing if missing else 'Nothing that must be seen'}.{more}"


def page(kb: "model.KB", done: "Survey") -> str:
    """Return the acceptance sheet of a survey.

    Parameters
    ----------
    kb : KB
    done : Survey
        From `engine.survey.survey`.
    """
    from ...engine.survey.areas import area_title
    from ...engine.survey.assess import count_text
    from ...engine.survey.customer import customer
    from .customer_page import section

    rows: list[str] = []
    areas = list(dict.fromkeys(x.area for x in done.lines))
    for area in areas:
        lines = [x for x in done.lines if x.area == area and x.verdict in WORDS]
        if lines:
            rows.append(f'<tr><th colspan="3" scope="rowgroup">{escape(area_title(area))}</th></tr>')
            rows += _rows(kb, lines, "Told, and as it must be" if done.phone else "Seen and right")
    machine = f"<p>{escape(done.machine)}</p>" if done.machine else ""
    firm = (
        f"<h2>For the firm: {escape(done.title)}</h2>"
        f"<p><b>{count_text(done)}.</b> {_measured(done)} "
        "Number lines: thick is allowed, ticks are limits, the dot is the reading.</p>"
        f"<table><thead><tr><th>Verdict</th><th>Rule and reading</th><th>Number line</th></tr></thead><tbody>{''.join(rows)}</tbody></table>"
        f"{_declined(done)}{_proofs(done)}{_read_as(done)}{_unread(done)}<p>{_left(done)}</p>"
    )
    return visible(
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(done.title)}</title><style>{STYLE}</style></head><body><main>"
        f'<section class="customer" aria-label="For the customer"><h1>{escape(done.title)}</h1>{machine}'
        '<div class="head"><div>Serial number</div><div>Place</div><div>Date</div></div>'
        f"{section(customer(kb, done))}{'' if done.phone else SIGN}</section>{_pictures(kb, done, len(OFF_PAPER.sub('', firm)) <= ROOM)}"
        f'<section class="firm" aria-label="For the firm">{firm}</section></main></body></html>\n'
    )


def _pictures(kb: "model.KB", done: "Survey", room: bool) -> str:
    """Return the pictures of what is broken, drawn to its readings; on paper the first two, above the firm's lines where they leave room."""
    from ...engine.advising.illustrations import drawn, of_check, of_rule

    broken = [x for x in done.lines if x.counted and x.verdict == "broken"]
    read = [x.measured for x in broken if x.measured and x.measured.check]
    out = []
    for x in broken:
        rule = kb.rules[x.rule]
        looks = [i for c in kb.checks.values() if c.rule == rule.id for i in of_check(kb, c)]
        for shown in [*of_rule(rule), *looks][:1]:
            out.append(drawn(kb, shown, read, alone=False))
    made = "".join(f"<figure>{svg}</figure>" for svg in dict.fromkeys(out) if svg)
    return f'<div class="drawn{" room" if room else ""}">{made}</div>' if made else ""


def _told(done: "Survey") -> str:
    """Return what a customer told, by name: nobody signs for it as seen."""
    names = [x.title for x in done.lines if x.told and x.counted] + [p.title for p in done.proofs if p.told]
    return f", but told by the customer, not seen: {escape('; '.join(dict.fromkeys(names)))}" if names else ""


def _declined(done: "Survey") -> str:
    """Return what the customer declined, and what they could not."""
    text = "; ".join(f"{escape(x.title)}: {escape(x.text)}" for x in done.declined)
    return f"<p><b>Declined by the customer.</b> {text}.</p>" if text else ""


def _read_as(done: "Survey") -> str:
    """Return how lines that a pen wrote were read."""
    text = escape("; ".join(done.read_as))
    return f"<p><small><b>Read from the sheet.</b> {text}.</small></p>" if text else ""


def _unread(done: "Survey") -> str:
    """Return the lines that were not understood, as they stand on the sheet."""
    text = "; ".join(f"{escape(u.title)}: \u201c{escape(u.said[:80])}\u201d" for u in done.unread)
    return f"<p><b>Not understood, and not judged.</b> {text}.</p>" if text else ""


def _proofs(done: "Survey") -> str:
    if not done.proofs:
        return ""
    text = "; ".join(
        f"{escape(p.title)}: {escape(p.said)}{'' if p.passed else ' (FAILED)'}" for p in done.proofs if not p.again
    )
    void = "; ".join(f"{escape(p.title)}: {escape(p.said)}" for p in done.proofs if p.again)
    how = "Run before the mends, which can't change it" if done.stops else "Proved in its own run"
    out = f"<p><b>{how}.</b> {text}.</p>" if text else ""
    return out + (f"<p><b>Run before the mends: run again after them.</b> {void}.</p>" if void else "")


def _rows(kb: "model.KB", lines: "list[SurveyLine]", right: str) -> list[str]:
    """Return an area's rows: each break and each reading by itself, then in one row what was seen and is right; each look once."""
    out = [_row(kb, *some) for some in _by_check([x for x in lines if x.counted and x.verdict != "within"])]
    out += [
        _row(kb, *some) for some in _by_check([x for x in lines if x.counted and x.verdict == "within" and x.measured])
    ]
    seen = _by_check([x for x in lines if x.verdict == "within" and not x.measured])
    if seen:
        text = "; ".join(
            f'{escape(looked_at(kb, x))}<span class="by-eye"> ({escape(x.said)})</span>{TOLD if x.told else ""}{_also(twins)}'
            for x, *twins in seen
        )
        out.append(
            f'<tr class="ok seen"><td class="v within">within</td><td class="t" colspan="2">{right}: {text}</td></tr>'
        )
    beside = [x for x in lines if not x.counted and (x.measured or x.advice)]
    if beside:
        text = "; ".join(f"{escape(x.title)}, {escape(x.limits)}: {escape(x.text)}" for x in beside)
        out.append(
            f'<tr class="beside"><td class="v">beside</td><td colspan="2"><small>Not counted. {text}</small></td></tr>'
        )
    return out


def _by_check(lines: "list[SurveyLine]") -> "list[list[SurveyLine]]":
    """Return lines by what they were read from: the rule that a check was made for first, then those that it serves as well."""
    out: dict[str, list[SurveyLine]] = {}
    for x in sorted(lines, key=lambda x: x.beside):
        out.setdefault(x.check or x.rule, []).append(x)
    return list(out.values())


def _also(twins: "list[SurveyLine]") -> str:
    """Return other rules that the same reading keeps."""
    text = f", also {escape('; '.join(x.title for x in twins))}"
    return f'<span class="by-eye">{text}</span>' if twins else ""


def _likely(x: "SurveyLine") -> "list[Leads]":
    """Return the complaints that a break leads to, those that are rare left out beside others."""
    return [c for n, c in enumerate(x.leads_to[:3]) if not n or c.p >= RARE]


def _row(kb: "model.KB", x: "SurveyLine", *twins: "SurveyLine") -> str:
    from ...engine.advising.wording import whose_short

    if x.verdict == "within":
        whom = whose_short(kb.rules[x.rule])
        on = f", if {x.condition}" if x.condition else ""
        also = "".join(
            f"; also {escape(t.title)}, {escape(t.limits)}{escape(f', if {t.condition}') if t.condition else ''}"
            for t in twins
        )
        named = f"; {escape(whom)}" if whom != "common practice" else '<span class="by-eye">; common practice</span>'
        text = (
            f"<b>{escape(x.title)}</b>: {escape(x.said)}{TOLD if x.told else ''} "
            f'<small>({escape(x.limits)}{named}{escape(on)}<span class="by-eye">{also}</span>)</small>'
        )
    else:
        said = escape(x.text) if x.said in x.text else f"{escape(x.said)}; {escape(x.text)}"
        text = f"<b>{escape(x.title)}</b>: {said}{TOLD if x.told else ''}"
        own = x.whose.startswith("this machine's own manual")  # which then is the source
        more = [f"Limit: {x.limits}; {x.whose.removesuffix(GOVERN)}."]
        more += [f"{WORDS[t.verdict]}, too: {t.title}{f', {t.limits}' if t.limits != x.limits else ''}." for t in twins]
        if x.leads_to:
            more.append(
                "Leads to: "
                + ", ".join(f"{kb.complaints[c.complaint].title.lower()} {in_100(c.p)}" for c in _likely(x))
                + "."
            )
        # On paper the working, the source and the odds make room; the screen and --json have them.
        rest = [f"That is: {x.means[0].rstrip('.')}."] if x.means else []
        rest += [] if own else [f"Source: {x.source}."]
        if x.conformity is not None:
            kind = "reading" if x.measured and x.measured.check else "estimate"
            rest.append(f"Kept {in_100(x.conformity)}, by the {kind}'s give or take.")
        aside = f'<span class="by-eye"> {escape(" ".join(rest))}</span>' if rest else ""
        text += f'<small class="b">{escape(" ".join(more))}{aside}</small>'
    line = number_line(x.measured) if x.measured else ""
    ok = ' class="ok"' if x.verdict == "within" else ""
    number = f'<td class="n{" line" if line else ""}">{line}</td>'
    return f'<tr{ok}><td class="v {x.verdict}">{WORDS[x.verdict]}</td> <td class="t">{text}</td> {number}</tr>'
