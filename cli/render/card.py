"""A step's card -> lines of text. Pure: width, height and colour come in, lines go out; nothing is decided here.

A card must fit the screen with the prompt under it. What is least needed goes first: a neighbouring rule, then space, then the
reason, then the rule itself; never a safety note, the question, how to do it, or an answer. `why` shows the rest. Where the
safety notes crowd out the rule, they stand on a page before it.
"""

from msgspec import structs

from ...engine.advice import Card, Note
from ..terminal.layout import Pen

ALWAYS = "why, back, skip, can't, change, also, note, stop, help"
KEEP, PARTS, RULE, WHOSE, WHY, ALSO, BESIDE, BESIDE_2, HINT = range(9)  # what a block is; the highest goes first
NARROW_ROWS = 20  # narrow screens scroll: so many more rows are fine there
Block = tuple[int, list[str]]


def notes(pen: Pen, found: list[Note], tight: bool = False) -> list[str]:
    """Return safety notes with their signal words."""
    return [line for n in found for line in pen.labelled(n.signal, n.says, n.signal, tight)]


def card(pen: Pen, c: Card, number: int = 0, hint: bool = False) -> list[str]:
    """Return the lines of a card, all pages of it.

    Examples
    --------
    >>> card(Pen(60), Card(kind="fact", id="drain", title="Kind of drain", question="Where does the hose end?"))[0]
    'Kind of drain'
    """
    return [line for page in pages(pen, c, number, hint) for line in page]


def pages(pen: Pen, c: Card, number: int = 0, hint: bool = False) -> list[list[str]]:
    """Return a card as one page that fits the screen, or as two where its safety notes need one of their own.

    Parameters
    ----------
    pen : Pen
    c : Card
    number : int
        Its number in the walk; 0: none.
    hint : bool
        Say which words are always understood.
    """
    if c.kind == "gate":
        return [gate(pen, c)]
    if c.kind == "stop":
        return [stop(pen, c)]
    page = _fitting(pen, c, number, hint)
    if page is not None:
        return [page]
    first = [*_head(pen, c, number), *pen.wrap("Before you start:"), *notes(pen, c.notes)]
    rest = structs.replace(c, notes=[], meta="")
    return [first, _fitting(pen, rest, number, hint) or _lines(_blocks(pen, rest, number, False, True), KEEP)]


def _fitting(pen: Pen, c: Card, number: int, hint: bool) -> list[str] | None:
    """Return the fullest page that fits, or None."""
    room = pen.height - 1 + (NARROW_ROWS if pen.narrow else 0)
    loose = [(least, False) for least in (HINT, BESIDE_2, BESIDE, ALSO)]
    for least, tight in (*loose, *((least, True) for least in range(ALSO, PARTS, -1))):
        page = _lines(_blocks(pen, c, number, hint, tight), least)
        if len(page) <= room:
            return page
    return None


def _lines(blocks: list[Block], least: int) -> list[str]:
    return [line for rank, lines in blocks if rank <= least for line in lines]


def _blocks(pen: Pen, c: Card, number: int, hint: bool, tight: bool) -> list[Block]:
    """Return the card's blocks from top to bottom, each with how needed it is."""
    margin = 0 if tight or pen.narrow else 3
    out: list[Block] = [(KEEP, _head(pen, c, number))]
    if c.question:
        out.append((KEEP, pen.wrap(c.question, margin)))
    if c.how:
        out.append((KEEP, pen.labelled("how", c.how, "", tight)))
    out.append((KEEP, notes(pen, c.notes, tight)))
    if c.parts:
        out.append((PARTS, pen.labelled("parts", ", ".join(c.parts), "", tight)))
    for n, step in enumerate(c.steps, 1):
        out.append((KEEP, pen.wrap(step, margin + 3, " " * margin + str(n))))
    out += _rule(pen, c, tight)
    if c.why:
        out.append((WHY, pen.labelled("why now", c.why, "", tight)))
    out += [(ALSO, pen.labelled("so far", line, "", tight)) for line in c.also]
    out.append((KEEP, choices(pen, c, tight)))
    if hint:
        out.append((HINT, [pen.paint(line, "dim") for line in pen.wrap(f"or: {ALWAYS}", margin)]))
    return out


def _head(pen: Pen, c: Card, number: int) -> list[str]:
    head = f"{number}  {c.title}" if number else c.title
    if c.meta and len(head) + len(c.meta) + 2 <= pen.width:
        return [pen.paint(head, "strong") + c.meta.rjust(pen.width - len(head))]
    return [pen.paint(line, "strong") for line in pen.wrap(head)] + (pen.wrap(c.meta, 3) if c.meta else [])


def _rule(pen: Pen, c: Card, tight: bool) -> list[Block]:
    """Return the rule's own lines, and what stands beside it."""
    if not c.rule:
        return []
    says = [line[0].upper() + line[1:] for line in c.rule[:4]]
    labels = ("rule", "", "", "")
    # A remedy comes under its finding, which states the rule: there it is among the first to go.
    ranks = (ALSO, ALSO, BESIDE, BESIDE_2) if c.kind == "remedy" else (RULE, WHOSE, BESIDE, BESIDE_2)
    return [
        (rank, pen.labelled(label, text, "", tight)) for rank, label, text in zip(ranks, labels, says, strict=False)
    ]


def choices(pen: Pen, c: Card, tight: bool = False) -> list[str]:
    """Return the numbered answers, or what a reading looks like."""
    if c.measures:
        return pen.labelled("answer", f"{c.example}; or can't, skip", "", tight)
    row = "   ".join(f"{n}  {choice.says}" for n, choice in enumerate(c.choices, 1))
    if c.kind == "remedy" and len(row) + 3 <= pen.width:
        return ["   " + row]
    return [line for n, choice in enumerate(c.choices, 1) for line in pen.wrap(choice.says, 6, f"   {n}")]


def gate(pen: Pen, c: Card) -> list[str]:
    """Return the lines of a gate: the hazard, the one question, the one word."""
    lines = [pen.paint("BEFORE ANYTHING ELSE" if c.why.startswith("safety") else "BEFORE THIS", "strong")]
    lines += notes(pen, c.notes)
    lines += pen.wrap(c.question)
    lines += pen.wrap(f"If all is safe, type the word {c.word}. Anything else stops here.")
    return lines


def stop(pen: Pen, c: Card, kept: bool = True) -> list[str]:
    """Return the lines of a stop: what to do now, whom to call, and how to come back."""
    signal = c.notes[0].signal if c.notes else "WARNING"
    lines = [pen.paint(line, signal) for line in pen.wrap(f"STOP  {c.title}")]
    for n, do in enumerate(c.do_now, 1):
        lines += pen.wrap(do, 6, f"   {n}")
    lines += pen.labelled("call", c.call)
    again = (
        "Your case is kept: start dryfloor again once it is safe." if kept else "Start dryfloor again once it is safe."
    )
    lines += pen.wrap(f"{again} It asks this again, and the word is {c.word}." if c.word else again)
    return lines
