"""Readings, findings and the end of a case as lines of text. Pure: width and colour come in, lines go out."""

from ...engine.advice import Advice, Finding, HandOn, Measured, WorkedOut
from ..terminal.layout import Layout
from .card import card

LINE = 60  # columns of a number line at most
SHOWN = 0.03  # a cause that explains less is not named beside the finding


def in_100(p: float) -> str:
    """Return a chance in 100, never a certainty.

    Examples
    --------
    >>> in_100(0.942), in_100(0.9999)
    ('94 in 100', 'over 99 in 100')
    """
    return "under 1 in 100" if p < 0.005 else "over 99 in 100" if p > 0.995 else f"{100 * p:.0f} in 100"


def reading(layout: Layout, m: Measured, beside: bool = True) -> list[str]:
    """Return a reading's verdict, its number line, and where `beside`, what else it bears on."""
    margin = 0 if layout.narrow else 3
    lines = layout.wrap(f"{m.title}: {m.said}, {m.text}.", margin)
    lines += number_line(m, min(layout.width - 2 * margin, LINE), margin)
    for other in m.neighbours[:2] if beside else ():
        lines += layout.labelled("beside", other[0].upper() + other[1:])
    for text in m.means[:2] if beside else ():
        lines += layout.labelled("that is", text)
    return lines


def worked_out(layout: Layout, w: WorkedOut) -> list[str]:
    """Return what several readings amount to together."""
    lines = layout.wrap(w.text + ("" if w.text.endswith(".") else "."), 0 if layout.narrow else 3)
    return lines + [line for text in w.says[:3] for line in layout.labelled("that is", text)]


def number_line(m: Measured, width: int, margin: int = 3) -> list[str]:
    """Return a number line: the allowed part as = between bars, the reading as #, and what they stand for.

    Examples
    --------
    >>> m = Measured(check="c", title="t", said="31 in", rule="r", verdict="broken", side="below", conformity=0.0, value=0.8,
    ...     low=1.0, high=2.0, first=0.0, last=3.0, text="", whose="")
    >>> number_line(m, 31)[0].strip()
    '|-------#-|===========|-------|'
    """
    marks = [v for v in (m.low, m.high, m.value) if v is not None]
    if not marks or width < 10:
        return []
    # Show the limits and the reading with some room, not the whole plausible range.
    room = max(max(marks) - min(marks), abs(m.value) * 0.2, 1e-9)
    first, last = max(m.first, min(marks) - room / 2), min(m.last, max(marks) + room / 2)
    if first >= last:
        return []

    def at(v: float) -> int:
        return round((min(max(v, first), last) - first) / (last - first) * (width - 1))

    row = ["-"] * width
    low, high = m.low if m.low is not None else first, m.high if m.high is not None else last
    for i in range(at(low), at(high) + 1):
        row[i] = "="
    row[0] = row[-1] = "|"
    for limit in (m.low, m.high):
        if limit is not None:
            row[at(limit)] = "|"
    row[at(m.value)] = "#"
    legend = Layout(width + margin).wrap(f"# {m.said}   = {m.limits or 'allowed'}", margin)
    return [" " * margin + "".join(row), *legend]


def finding(layout: Layout, f: Finding, readings: list[Measured], others: list[str]) -> list[str]:
    """Return what was wrong, how sure, the rule and its reading."""
    lines = layout.labelled("NORMAL" if f.kind == "normal" else "FOUND", f.text, "strong")
    if f.rule_text:
        lines += layout.labelled("rule" if f.rule else "no rule", f.rule_text)
    for m in readings:
        if f.rule and m.rule == f.rule:
            lines += reading(layout, m, beside=False)
    if others:
        lines += layout.labelled("or else", "; ".join(others))
    if f.kind == "normal" and f.mistaken_for:
        lines += layout.labelled("unless", f.mistaken_for[0])
    return lines


def hand_on(layout: Layout, h: HandOn) -> list[str]:
    """Return the hand-over: whom to book, what to tell them, what they should bring."""
    lines = layout.labelled("NEXT", h.text, "strong")
    for text in h.looked:
        lines += layout.wrap(text, 0 if layout.narrow else 3)
    for text in h.until:
        lines += layout.labelled("meantime", text[0].upper() + text[1:], "strong")
    lines += layout.wrap("Tell them:", 0 if layout.narrow else 3)
    for tell in h.tell:
        lines += layout.wrap(tell, 2 if layout.narrow else 5, "-" if layout.narrow else "   -")
    if h.bring:
        lines += layout.labelled("bring", ", ".join(h.bring))
    return lines


def ending(layout: Layout, advice: Advice) -> list[str]:
    """Return the last words of a walk: what it turned out to be, finding, hand-over, what was not seen."""
    told = advice.turned_out
    lines = layout.labelled("OUTCOME", told.text, "strong") if told else []
    lines += [line for text in (told.before if told else None) or () for line in layout.labelled("before", text)]
    if advice.finding:
        found = advice.finding
        others = [
            f"{b.title.lower()} {in_100(b.p)}" for b in advice.beliefs[:4] if b.cause != found.cause and b.p >= SHOWN
        ]
        lines += finding(layout, found, advice.readings, others[:2] if found.p < 1 else [])
    if advice.hand_on:
        lines += hand_on(layout, advice.hand_on)
    if advice.unchecked:
        lines += layout.labelled("not seen", ", ".join(name.replace("-", " ") for name in advice.unchecked))
    return lines


def advice(layout: Layout, a: Advice) -> list[str]:
    """Return advice on a case file as text: belief, hazards, finding, next step."""
    lines: list[str] = []
    for h in a.heard:
        lines += layout.wrap(f"Heard, not confirmed: {h.complaint} (score {h.score:.0f}, close to: {h.phrase})")
    for notice in a.notices:
        lines += layout.wrap(notice)
    if a.beliefs and a.complaints:
        lines.append("What may be wrong:")
        shown = [(b.p, b.title) for b in a.beliefs[:6] if b.p >= 0.01]
        for p, title in [*shown, (a.unknown, "something this kb does not know")]:
            lines += layout.wrap(title, 9, f" {100 * p:4.0f} %")
    for m in a.readings:
        lines += reading(layout, m)
    for w in a.worked_out:
        lines += worked_out(layout, w)
    if a.card is None:
        return lines + (ending(layout, a) or ["Nothing is left to do."])
    if lines:
        lines.append("")
    if a.card.kind in ("hand-on", "remedy"):
        lines += ending(layout, a)
    if a.card.kind == "stop":
        from .card import stop

        lines += stop(layout, a.card, kept=False)
    elif a.card.kind != "hand-on":
        lines += card(layout, a.card)
    return lines
