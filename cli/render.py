"""Advice -> lines of text. Pure: width and colour come in, lines go out; nothing is decided here."""

import textwrap
from itertools import pairwise

from ..engine.advice import Advice, Card, Finding, HandOn, Measured, Note

COLOURS = {"DANGER": "1;97;41", "WARNING": "1;30;43", "CAUTION": "1;33", "NOTICE": "1;34", "strong": "1", "dim": "2"}
LABEL = 9
ALWAYS = "why  back  skip  can't  notes  stop  help"


class Pen:
    """Lays out lines at one width, with or without colour."""

    def __init__(self, width: int = 80, colour: bool = False) -> None:
        self.width = width
        self.colour = colour

    def paint(self, text: str, style: str) -> str:
        """Return text in a style; the words alone carry the meaning."""
        return f"\x1b[{COLOURS[style]}m{text}\x1b[0m" if self.colour and text else text

    def wrap(self, text: str, indent: int = 0, first: str = "") -> list[str]:
        """Return text wrapped to the width, `first` standing before its first line."""
        indent = min(indent, self.width // 3)
        room = self.width - indent
        lines = textwrap.wrap(text, room, break_long_words=True) or [""]
        pad = " " * indent
        return [(first.ljust(indent) if first else pad) + lines[0], *(pad + line for line in lines[1:])]

    def labelled(self, label: str, text: str, style: str = "") -> list[str]:
        """Return 'label    text', the text wrapped under itself; on narrow screens the label gets its own line."""
        if self.width < 60:
            return [self.paint(label, style) if style else label, *self.wrap(text, 2)]
        lines = self.wrap(text, LABEL + 3)
        head = label.ljust(LABEL + 3)
        if len(label) > LABEL + 2:
            return [self.paint(label, style) if style else label, *lines]
        return [(self.paint(label, style) + head[len(label) :] if style else head) + lines[0][LABEL + 3 :], *lines[1:]]


def notes(pen: Pen, found: list[Note]) -> list[str]:
    """Return safety notes with their signal words."""
    return [line for n in found for line in pen.labelled(n.signal, n.says, n.signal)]


def card(pen: Pen, c: Card, number: int = 0) -> list[str]:
    """Return the lines of a card.

    Examples
    --------
    >>> card(Pen(60), Card(kind="fact", id="drain", title="Kind of drain", question="Where does the hose end?"))[0]
    'Kind of drain'
    """
    if c.kind == "gate":
        return gate(pen, c)
    if c.kind == "stop":
        return stop(pen, c)
    head = f"{number}  {c.title}" if number else c.title
    if c.meta and len(head) + len(c.meta) + 2 <= pen.width:
        lines = [pen.paint(head, "strong") + c.meta.rjust(pen.width - len(head))]
    else:
        lines = [pen.paint(line, "strong") for line in pen.wrap(head)] + (pen.wrap(c.meta, 3) if c.meta else [])
    body: list[str] = []
    if c.question:
        body += pen.wrap(c.question, 3)
    if c.how:
        body += pen.labelled("how", c.how)
    for n, step in enumerate(c.steps, 1):
        body += pen.labelled(f"step {n}", step)
    if c.parts:
        body += pen.labelled("parts", ", ".join(c.parts))
    if c.rule:
        body += pen.labelled("rule", ". ".join(part[0].upper() + part[1:] for part in c.rule[:2]))
        for other in c.rule[2:3]:
            body += pen.labelled("", other)
    body += notes(pen, c.notes)
    if c.why:
        body += pen.labelled("why now", c.why)
    for line in c.also:
        body += pen.labelled("so far", line)
    body += choices(pen, c)
    return lines + body


def choices(pen: Pen, c: Card) -> list[str]:
    """Return the numbered answers, or what a reading looks like."""
    if c.measures:
        return pen.labelled("answer", f"{c.example}; can't, skip")
    out: list[str] = []
    if not c.choices:
        return out
    for n, choice in enumerate(c.choices, 1):
        out += pen.wrap(choice.says, 6, f"   {n}")
    return out


def gate(pen: Pen, c: Card) -> list[str]:
    """Return the lines of a gate: the hazard, the one question, the one word."""
    lines = [pen.paint("BEFORE ANYTHING ELSE" if c.why.startswith("safety") else "BEFORE THIS", "strong")]
    lines += notes(pen, c.notes)
    lines += pen.wrap(c.question)
    lines += pen.wrap(f"Type the word {c.word} if it is so. Anything else stops here and says what to do.")
    return lines


def stop(pen: Pen, c: Card) -> list[str]:
    """Return the lines of a stop: what to do now, whom to call, and that the case is kept."""
    signal = c.notes[0].signal if c.notes else "WARNING"
    lines = [pen.paint(f"STOP  {c.title}", signal)]
    for n, do in enumerate(c.do_now, 1):
        lines += pen.wrap(do, 4, f"{n}.")
    lines += pen.labelled("call", c.call)
    lines += pen.wrap("Your case is kept. Start dryfloor again when this is safe; it goes on where you were.")
    return lines


def reading(pen: Pen, m: Measured) -> list[str]:
    """Return a reading's verdict and its number line."""
    lines = pen.wrap(f"{m.title}: {m.said}, {m.text}", 3)
    lines += number_line(m, min(pen.width - 6, 60))
    for other in m.neighbours[:2]:
        lines += pen.labelled("beside it", other)
    return lines


def number_line(m: Measured, width: int) -> list[str]:
    """Return a number line: the allowed part between bars, the reading as a #.

    Examples
    --------
    >>> m = Measured(check="c", title="t", said="31 in", rule="r", verdict="broken", side="below", conformity=0.0, value=0.8,
    ...     low=1.0, high=2.0, first=0.0, last=3.0, text="", whose="")
    >>> number_line(m, 31)[0].strip()
    '|-------#-|=========|---------|'
    """
    low, high = m.low if m.low is not None else m.first, m.high if m.high is not None else m.last
    # Show the limits and the reading with some room, not the whole plausible range.
    marks = [v for v in (m.low, m.high, m.value) if v is not None]
    room = max(max(marks) - min(marks), abs(m.value) * 0.2, 1e-9)
    first, last = max(m.first, min(marks) - room / 2), min(m.last, max(marks) + room / 2)
    if first >= last:
        return []

    def at(v: float) -> int:
        return round((min(max(v, first), last) - first) / (last - first) * (width - 1))

    row = ["-"] * width
    for i in range(at(low), at(high) + 1):
        row[i] = "="
    row[0] = row[-1] = "|"
    for limit in (m.low, m.high):
        if limit is not None:
            row[at(limit)] = "|"
    row[at(m.value)] = "#"
    return ["   " + "".join(row), "   # the reading   = allowed   | limit"]


def finding(pen: Pen, f: Finding, readings: list[Measured], unknown: float, beliefs: list[str]) -> list[str]:
    """Return what was wrong, how sure, the rule and its reading."""
    label = "NORMAL" if f.kind == "normal" else "FOUND"
    lines = pen.labelled(label, f.text, "strong")
    if f.rule_text:
        lines += pen.labelled("rule" if f.rule else "no rule", f.rule_text)
    for m in readings:
        if m.rule == f.rule:
            lines += reading(pen, m)
    if beliefs:
        lines += pen.labelled("also", "; ".join(beliefs))
    if f.kind == "normal" and f.mistaken_for:
        lines += pen.labelled("if not", f.mistaken_for[0])
    return lines


def hand_on(pen: Pen, h: HandOn) -> list[str]:
    """Return the hand-over: whom to book, what to tell them, what they should bring."""
    lines = pen.labelled("NEXT", h.text, "strong")
    lines += ["Tell them:"]
    for tell in h.tell:
        lines += pen.wrap(tell, 3, " -")
    if h.bring:
        lines += pen.labelled("bring", ", ".join(h.bring))
    return lines


def ending(pen: Pen, advice: Advice) -> list[str]:
    """Return the last words of a walk."""
    lines: list[str] = []
    others = [f"{b.title.lower()} {round(100 * b.p)} in 100" for b, _ in pairwise(advice.beliefs[1:4]) if b.p >= 0.03]
    if advice.finding:
        lines += finding(pen, advice.finding, advice.readings, advice.unknown, others)
    if advice.hand_on:
        lines += hand_on(pen, advice.hand_on)
    if advice.unchecked:
        lines += pen.labelled("not seen", ", ".join(name.replace("-", " ") for name in advice.unchecked))
    return lines


def advice(pen: Pen, a: Advice) -> list[str]:
    """Return advice on a case file as text: belief, hazards, finding, next step."""
    lines: list[str] = []
    for h in a.heard:
        lines += pen.wrap(f"Heard, not confirmed: {h.complaint} (score {h.score:.0f}, close to: {h.phrase})", 3)
    for notice in a.notices:
        lines += pen.wrap(notice, 3)
    if a.beliefs and a.complaints:
        lines.append("What may be wrong:")
        lines += [
            line for b in a.beliefs[:6] if b.p >= 0.01 for line in pen.wrap(f"{b.title}", 8, f" {100 * b.p:4.0f} %")
        ]
        lines += pen.wrap("something this kb does not know", 8, f" {100 * a.unknown:4.0f} %")
    for m in a.readings:
        lines += reading(pen, m)
    if a.card:
        lines += [
            "",
            *(ending(pen, a) if a.card.kind in ("hand-on", "remedy") else []),
            *([] if a.card.kind == "hand-on" else card(pen, a.card)),
        ]
    else:
        lines += ending(pen, a) or ["Nothing is left to do."]
    return lines
