"""The hand-over card and the plan of a visit, as lines."""

from typing import TYPE_CHECKING

from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine.reports.handover import HandOver
    from ...engine.reports.visit_plan import Bring

MOST_WORDS = 600  # of a note on a card for the terminal [characters]; the report has all of it


def handover_lines(layout: Layout, card: "HandOver") -> list[str]:
    """Return the hand-over card as text: hazards first, then what is known, what to do, what to bring."""
    from ...engine.advising.wording import in_100
    from ...engine.language.sanitize import printable

    out = [layout.paint(line, "strong") for line in layout.wrap(card.title)]
    for h in card.hazards:
        out += layout.labelled(h.signal, f"{h.text}. {h.says}", h.signal)
    out += _list(
        layout, "COMPLAINT", [*(f"\u201c{printable(w, MOST_WORDS)}\u201d" for w in card.words), *card.complaints]
    )
    out += _list(layout, "RULED IN", [r.text for r in card.ruled_in])
    out += _list(
        layout, "STILL POSSIBLE", [r.text for r in card.possible] + ([card.unknown_text] if card.complaints else [])
    )
    out += _list(layout, "RULED OUT", [r.text for r in card.ruled_out])
    out += _list(layout, "THE PLACE", card.facts)
    out += _list(layout, "ANSWERED", card.answered)
    out += _list(layout, "AT THE INSTALLATION", card.then)
    out += _list(layout, "DONE", card.done)
    out += _list(layout, "FIRST ON ARRIVAL", card.first, numbered=True)
    out += _list(layout, "WORTH READING AGAIN", [r.text for r in card.recheck])
    out += _list(layout, "NOT SEEN", card.not_seen)
    out += _list(layout, "NOTES", [printable(n, MOST_WORDS) for n in card.notes])
    for trade in dict.fromkeys(p.by for p in card.bring):
        out += _list(
            layout, f"BRING ({trade})", [f"{p.title}, {in_100(p.chance)}" for p in card.bring if p.by == trade]
        )
    return [*out, "", *layout.wrap(card.basis)]


def bring_lines(layout: Layout, found: "Bring") -> list[str]:
    """Return what to bring and whether to go as text."""
    out = layout.labelled(found.word, found.choice_text, "strong")
    for text in found.stop:
        out += layout.labelled("first", text)
    out += _list(layout, "WAYS, CHEAPEST FIRST", [f"{w.title}: {w.text}" for w in found.ways])
    out += _list(layout, "WHOSE WORK IT MAY BE", [w.text for w in found.who])
    if found.minutes:
        out += _list(layout, "A TECHNICIAN'S VISIT", [t for t in (found.minutes.text, found.minutes.ends) if t])
    for trade in dict.fromkeys(p.by for p in found.parts):
        out += _list(
            layout, f"PARTS FOR THE {trade.upper()}", [f"{p.title}: {p.text}" for p in found.parts if p.by == trade]
        )
    out += _list(layout, "TOOLS FOR THE CHECKS", [t.text for t in found.tools])
    return [*out, "", *layout.wrap(found.basis)]


def _list(layout: Layout, head: str, texts: list[str], numbered: bool = False) -> list[str]:
    """Return a heading with its lines, or nothing where there are none."""
    if not texts:
        return []
    out = ["", layout.paint(head, "strong")]
    for n, text in enumerate(texts, 1):
        out += layout.wrap(text, 5, f"{n:>3}" if numbered else "  -")
    return out
