"""A step's card -> lines of text. Pure: width, height and colour come in, lines go out; nothing is decided here.

A card must fit the screen with the prompt under it. What is least needed goes first: a neighbouring rule, then space, then the
reason, then the rule itself; never a safety note, the question, how to do it, or an answer. `why` shows the rest. Where the
safety notes crowd out the rule, they stand on a page before it.
"""

from msgspec import structs

from ...engine.advice import Card, Note
from ..terminal.layout import Layout

ALWAYS = "none of these, why, back, skip, can't, change, also, note, tell, stop, help"
KEEP, PARTS, RULE, WHOSE, WHY, ALSO, BESIDE, BESIDE_2, HINT = range(9)  # what a block is; the highest goes first
NARROW_ROWS = 20  # narrow screens scroll: so many more rows are fine there, where a card without its lesser parts does not fit either
BELOW = 3  # rows of the prompt itself and of its list of words, under the card
Block = tuple[int, list[str]]


def notes(layout: Layout, found: list[Note], tight: bool = False) -> list[str]:
    """Return safety notes with their signal words."""
    return [line for n in found for line in layout.labelled(n.signal, n.says, n.signal, tight)]


def card(layout: Layout, c: Card, number: int = 0, hint: bool = False) -> list[str]:
    """Return the lines of a card, all pages of it.

    Examples
    --------
    >>> card(Layout(60), Card(kind="fact", id="drain", title="Kind of drain", question="Where does the hose end?"))[0]
    'Kind of drain'
    """
    return [line for page in pages(layout, c, number, hint) for line in page]


def pages(layout: Layout, c: Card, number: int = 0, hint: bool = False) -> list[list[str]]:
    """Return a card as one page that fits the screen, or as two where its safety notes need one of their own.

    Parameters
    ----------
    layout : Layout
    c : Card
    number : int
        Its number in the walk; 0: none.
    hint : bool
        Say which words are always understood.
    """
    if c.kind == "gate":
        return [gate(layout, c)]
    if c.kind == "stop":
        return [stop(layout, c)]
    page = _fitting(layout, c, number, hint)
    if page is not None:
        return [page]
    first = [*_head(layout, c, number), *layout.wrap("Before you start:"), *notes(layout, c.notes)]
    rest = structs.replace(c, notes=[], meta="")
    return [first, _fitting(layout, rest, number, hint) or _lines(_blocks(layout, rest, number, False, True), KEEP)]


def _fitting(layout: Layout, c: Card, number: int, hint: bool) -> list[str] | None:
    """Return the fullest page that fits, or None."""
    room = layout.height - BELOW
    if layout.narrow:
        blocks = _blocks(layout, c, number, hint, False)
        pages = [_lines(blocks, least) for least in (HINT, BESIDE_2, BESIDE, ALSO, WHY)]
        whole = next((page for page in pages if len(page) <= room), None)
        if whole is not None:
            return whole
        room += NARROW_ROWS
    for tight, ranks in ((False, (HINT, BESIDE_2, BESIDE, ALSO)), (True, range(ALSO, PARTS, -1))):
        blocks = _blocks(layout, c, number, hint, tight)
        for least in ranks:
            page = _lines(blocks, least)
            if len(page) <= room:
                return page
    return None


def _lines(blocks: list[Block], least: int) -> list[str]:
    return [line for rank, lines in blocks if rank <= least for line in lines]


def _blocks(layout: Layout, c: Card, number: int, hint: bool, tight: bool) -> list[Block]:
    """Return the card's blocks from top to bottom, each with how needed it is."""
    margin = 0 if tight or layout.narrow else 3
    out: list[Block] = [(KEEP, _head(layout, c, number))]
    if c.question:
        out.append((KEEP, layout.wrap(c.question, margin)))
    if c.then:
        out.append((KEEP, layout.labelled("then", c.then, "", tight)))
    if c.how:
        out.append((KEEP, layout.labelled("how", c.how, "", tight)))
    out.append((KEEP, notes(layout, c.notes, tight)))
    if c.parts:
        out.append((PARTS, layout.labelled("parts", ", ".join(c.parts), "", tight)))
    for n, step in enumerate(c.steps, 1):
        out.append((KEEP, layout.wrap(step, margin + 3, " " * margin + str(n))))
    out += _rule(layout, c, tight)
    if c.why:
        out.append((WHY, layout.labelled("why now", c.why, "", tight)))
    out += [(ALSO, layout.labelled("so far", line, "", tight)) for line in c.also]
    if c.where:
        out.append((ALSO, layout.labelled("left", c.where, "", tight)))
    out.append((KEEP, choices(layout, c, tight)))
    if c.pictures:
        out.append((ALSO, layout.labelled("picture", "show me", "", tight)))
    if hint:
        out.append((HINT, [layout.paint(line, "dim") for line in layout.wrap(f"or: {ALWAYS}", margin)]))
    return out


def _head(layout: Layout, c: Card, number: int) -> list[str]:
    head = f"{number}  {c.title}" if number else c.title
    if c.meta and len(head) + len(c.meta) + 2 <= layout.width:
        return [layout.paint(head, "strong") + c.meta.rjust(layout.width - len(head))]
    return [layout.paint(line, "strong") for line in layout.wrap(head)] + (layout.wrap(c.meta, 3) if c.meta else [])


def _rule(layout: Layout, c: Card, tight: bool) -> list[Block]:
    """Return the rule's own lines, and what stands beside it."""
    if not c.rule:
        return []
    says = [line[0].upper() + line[1:] for line in c.rule[:4]]
    labels = ("rule", "", "", "")
    # A remedy comes under its finding, which states the rule: there it is among the first to go.
    ranks = (ALSO, ALSO, BESIDE, BESIDE_2) if c.kind == "remedy" else (RULE, WHOSE, BESIDE, BESIDE_2)
    return [
        (rank, layout.labelled(label, text, "", tight)) for rank, label, text in zip(ranks, labels, says, strict=False)
    ]


def choices(layout: Layout, c: Card, tight: bool = False) -> list[str]:
    """Return the numbered answers, or what a reading looks like."""
    if c.measures:
        return layout.labelled("answer", f"{c.example}; or can't, skip", "", tight)
    row = "   ".join(f"{n}  {choice.says}" for n, choice in enumerate(c.choices, 1))
    if c.kind == "remedy" and len(row) + 3 <= layout.width:
        return ["   " + row]
    return [line for n, choice in enumerate(c.choices, 1) for line in layout.wrap(choice.says, 6, f"   {n}")]


def gate(layout: Layout, c: Card) -> list[str]:
    """Return the lines of a gate: the hazard, the one question, the one word."""
    lines = [layout.paint("BEFORE ANYTHING ELSE" if c.why.startswith("safety") else "BEFORE THIS", "strong")]
    lines += notes(layout, c.notes)
    lines += layout.wrap(c.question)
    lines += layout.wrap(f"If all is safe, type the word {c.word}. If not, or in doubt, type not safe.")
    return lines


def left(layout: Layout, c: Card) -> list[str]:
    """Return the lines of a gate that is not met and only keeps one step back: what to do, and whose work it is then."""
    lines = layout.labelled("LEFT", f"Not done now: {c.why.removeprefix('before the next step: ')}.", "strong")
    for n, do in enumerate(c.do_now, 1):
        lines += layout.wrap(do, 6, f"   {n}")
    return lines + layout.labelled("call", c.call)


def stop(layout: Layout, c: Card, kept: bool = True) -> list[str]:
    """Return the lines of a stop: what to do now, whom to call, and how to come back."""
    signal = c.notes[0].signal if c.notes else "WARNING"
    lines = [
        layout.paint(line, signal) for line in layout.wrap(f"STOP  {c.title}{f'. {c.question}' if c.question else ''}")
    ]
    for n, do in enumerate(c.do_now, 1):
        lines += layout.wrap(do, 6, f"   {n}")
    lines += layout.labelled("call", c.call)
    again = (
        "Your case is kept: start dryfloor again once it is safe." if kept else "Start dryfloor again once it is safe."
    )
    lines += layout.wrap(f"{again} It asks this again, and the word is {c.word}." if c.word else again)
    return lines
