"""The hand-over card and the plan of a visit, as lines."""

from typing import TYPE_CHECKING

from ..terminal.layout import Pen

if TYPE_CHECKING:
    from ...engine.reports.handover import HandOver
    from ...engine.reports.visit_plan import Bring

MOST_WORDS = 600  # of a note on a card for the terminal [characters]; the report has all of it


def handover_lines(pen: Pen, card: "HandOver") -> list[str]:
    """Return the hand-over card as text: hazards first, then what is known, what to do, what to bring."""
    from ...engine.advising.wording import in_100
    from ...engine.language.sanitize import printable

    out = [pen.paint(line, "strong") for line in pen.wrap(card.title)]
    for h in card.hazards:
        out += pen.labelled(h.signal, f"{h.text}. {h.says}", h.signal)
    out += _list(pen, "COMPLAINT", [*(f"\u201c{printable(w, MOST_WORDS)}\u201d" for w in card.words), *card.complaints])
    out += _list(pen, "RULED IN", [r.text for r in card.ruled_in])
    out += _list(
        pen, "STILL POSSIBLE", [r.text for r in card.possible] + ([card.unknown_text] if card.complaints else [])
    )
    out += _list(pen, "RULED OUT", [r.text for r in card.ruled_out])
    out += _list(pen, "THE PLACE", card.facts)
    out += _list(pen, "ANSWERED", card.answered)
    out += _list(pen, "DONE", card.done)
    out += _list(pen, "FIRST ON ARRIVAL", card.first, numbered=True)
    out += _list(pen, "WORTH READING AGAIN", [r.text for r in card.recheck])
    out += _list(pen, "NOT SEEN", card.not_seen)
    out += _list(pen, "NOTES", [printable(n, MOST_WORDS) for n in card.notes])
    for trade in dict.fromkeys(p.by for p in card.bring):
        out += _list(pen, f"BRING ({trade})", [f"{p.title}, {in_100(p.chance)}" for p in card.bring if p.by == trade])
    return [*out, "", *pen.wrap(card.basis)]


def bring_lines(pen: Pen, found: "Bring") -> list[str]:
    """Return what to bring and whether to go as text."""
    out = pen.labelled(found.word, found.choice_text, "strong")
    for text in found.stop:
        out += pen.labelled("first", text)
    out += _list(pen, "WAYS, CHEAPEST FIRST", [f"{w.title}: {w.text}" for w in found.ways])
    out += _list(pen, "WHOSE WORK IT MAY BE", [w.text for w in found.who])
    if found.minutes:
        out += _list(pen, "A TECHNICIAN'S VISIT", [t for t in (found.minutes.text, found.minutes.ends) if t])
    for trade in dict.fromkeys(p.by for p in found.parts):
        out += _list(
            pen, f"PARTS FOR THE {trade.upper()}", [f"{p.title}: {p.text}" for p in found.parts if p.by == trade]
        )
    out += _list(pen, "TOOLS FOR THE CHECKS", [t.text for t in found.tools])
    return [*out, "", *pen.wrap(found.basis)]


def _list(pen: Pen, head: str, texts: list[str], numbered: bool = False) -> list[str]:
    """Return a heading with its lines, or nothing where there are none."""
    if not texts:
        return []
    out = ["", pen.paint(head, "strong")]
    for n, text in enumerate(texts, 1):
        out += pen.wrap(text, 5, f"{n:>3}" if numbered else "  -")
    return out
