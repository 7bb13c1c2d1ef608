"""A picture: a scene with its marks, or two of its states as right and wrong, as one SVG text that is the same each time."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from html import escape

from .layout import WEIGHT, Panel, Written
from .letters import BOLD, LEADING, width
from .placing import Area
from .scenes.catalog import SCENES
from .scenes.drawing import Drawing, Figure, Scene, bounds

WIDE = 320.0  # of every picture; it is scaled as a whole [px]
TALL = 180.0  # of a scene in a picture, as long as its words have room [px]
TALL_HALF = 152.0
HEAD = 24.0  # the line with "right" or "wrong" [px]
GUTTER = 8.0
# Room above and below a drawing for its words, more where they have too little; what they leave empty is cut off [px].
ROOM = ((44, 66), (90, 90), (130, 200), (200, 320))
PER_PX = 0.12  # cost of more room
EASY = 14.0  # cost of a label, with the room, at which no more room is tried
EDGE = 7.0  # room round all that is drawn [px]
SHEET = (
    ".pic{color:#1b1b1b;background:#fff;--paper:#fff;--accent:#a83c00}"
    "@media (prefers-color-scheme:dark){.pic{color:#ececec;background:#16181b;--paper:#16181b;--accent:#ffb07a}}"
    "@media print{.pic{color:#000;background:#fff;--paper:#fff;--accent:#a83c00}}"
)
# What the classes mean, for a page that holds pictures: see also SHEET, which sets their colors for a file of its own.
CLASSES = (
    ".pic text{fill:currentColor;stroke:var(--paper);stroke-width:3.5;paint-order:stroke;stroke-linejoin:round;"
    "font:14px system-ui,sans-serif;text-anchor:middle}"
    ".pic .pb{font-weight:700;font-size:15px;text-anchor:start}"
    ".pic .pa{stroke:var(--accent)}.pic .pf{fill:var(--accent)}.pic .pt{fill:var(--accent);font-weight:500}"
    ".pic .pp{fill:var(--paper)}.pic .pi{fill:currentColor}.pic .pd{fill:currentColor;stroke:none}.pic .pw{stroke:var(--paper)}"
)


@dataclass(frozen=True)
class Made:
    """A picture as it was laid out: its SVG, its size, each text with its box, and how much ink lies under words, for whoever measures it."""

    svg: str
    wide: float
    top: float
    bottom: float
    texts: tuple[tuple[str, Area], ...]
    told: str
    covered: int = 0


def laid_out(
    scene: str,
    marks: Iterable[str] = (),
    *,
    state: str = "",
    right: str = "",
    wrong: str = "",
    title: str = "",
    figures: Mapping[str, Figure] | None = None,
    alone: bool = True,
    told: bool = True,
) -> Made:
    """Return a picture as SVG, with where its texts stand; the same as before where it was drawn before.

    Parameters
    ----------
    scene : str
        Name of a scene.
    marks : iterable of str
        What is measured or looked at in it.
    state : str
        How it is drawn; its first state where none is named.
    right, wrong : str
        Two states side by side, in place of `state`.
    title : str
        What it shows.
    figures : mapping, optional
        Limits and readings by mark.
    alone : bool
        A file of its own, with its colors; else for a page that sets them.
    told : bool
        With title and description.

    Raises
    ------
    KeyError
        Where the scene, a mark or a state is not there; `kb check` says so before.

    Examples
    --------
    >>> laid_out("standpipe", ["height"], title="Standpipe height").svg[:4]
    '<svg'
    """
    known = tuple(sorted((figures or {}).items()))
    return _made(scene, tuple(marks), (state, right, wrong), title, known, alone, told)


@lru_cache(400)
def _made(
    scene: str,
    marks: tuple[str, ...],
    states: tuple[str, str, str],
    title: str,
    figures: tuple[tuple[str, Figure], ...],
    alone: bool,
    told: bool,
) -> Made:
    """Return a picture that may have been drawn before: a page shows the same few again and again."""
    state, right, wrong = states
    drawn = SCENES[scene]
    wanted = [*marks]
    known = dict(figures)
    missing = [m for m in wanted if m not in drawn.marks] + [
        s for s in (state, right, wrong) if s and s not in drawn.states
    ]
    if missing:
        raise KeyError(f"scene {scene} has no {missing[0]}")
    pairs = [(word, s) for word, s in (("right", right), ("wrong", wrong)) if s] or [
        ("", state or next(iter(drawn.states)))
    ]
    if len(pairs) == 2:  # a reading belongs to what is there, and that is one of the two
        known = {m: Figure(f.limit, f.low, f.high) for m, f in known.items()}
    drawings = [_drawing(drawn, s, wanted, known, len(pairs) == 2) for _, s in pairs]
    frames = [bounds([p for part in d.parts for p in _points(part)] + d.frame) for d in drawings]
    frame = (min(f[0] for f in frames), min(f[1] for f in frames), max(f[2] for f in frames), max(f[3] for f in frames))
    count = len(drawings)
    wide = (WIDE - (count - 1) * GUTTER) / count
    head = HEAD if pairs[0][0] else 0.0
    best: tuple[tuple[int, float], float, list[Panel], list[Written]] | None = None
    for above, below in ROOM:
        panels = [
            Panel(d, k * (wide + GUTTER), head + above, wide, drawn.tall or (TALL_HALF if count == 2 else TALL), frame)
            for k, d in enumerate(drawings)
        ]
        high = max(p.bottom for p in panels) + below
        written = [p.written(head, high) for p in panels]
        found = [w for w in written if w is not None]
        if len(found) < count:
            continue
        cost = (sum(w.covered for w in found), sum(w.cost for w in found) + PER_PX * (above + below))
        worse = best is not None and cost >= best[0]
        if best is None or not worse:
            best = (cost, high, panels, found)
        if not best[0][0] and (worse or best[0][1] < EASY * sum(len(d.labels) for d in drawings)):
            break
    if best is None:
        raise ValueError(f"the words of {scene} have no room")
    _, high, panels, found = best
    high = min(high, max(w.bottom for w in found) + EDGE)
    top = max(0.0, min(w.top for w in found) - EDGE - head)
    top = float(math.floor(top))
    body: list[str] = []
    texts: list[tuple[str, Area]] = []
    for (word, _), panel, made in zip(pairs, panels, found, strict=True):
        if word:
            body.append(_verdict(word, panel.left, top))
            texts.append((word, Area(panel.left + 26, top + 3, panel.left + 26 + BOLD * width(word, 15), top + 20)))
        body += made.elements
        texts += made.texts
    if count == 2:
        body.insert(0, f'<path stroke-dasharray="1 5" d="M{WIDE / 2:.0f} {top + 4:.0f}V{high - 4:.0f}"/>')
    words = said(drawn, pairs, wanted, known)
    high = float(math.ceil(high))
    for note in dict.fromkeys(d.scale for d in drawings if d.scale):
        high += LEADING
        body.append(f'<text x="{WIDE / 2:.0f}" y="{high - EDGE:.0f}">{escape(note)}</text>')
        half = width(note) / 2
        texts.append((note, Area(WIDE / 2 - half, high - EDGE - 11, WIDE / 2 + half, high - EDGE + 4)))
        words += f" {note.capitalize()}."
    svg = _document(body, top, high - top, title or drawn.says, words, alone, told)
    return Made(svg, WIDE, top, high, tuple(texts), words, sum(w.covered for w in found))


def said(scene: Scene, pairs: list[tuple[str, str]], marks: list[str], figures: Mapping[str, Figure]) -> str:
    """Return in words what a picture shows, for those who don't see it."""
    out = [scene.says + "."]
    for word, state in pairs:
        if scene.states[state]:
            out.append(
                f"{word.capitalize()}: {scene.states[state]}." if word else f"{scene.states[state].capitalize()}."
            )
    for mark in marks:
        figure = figures.get(mark, Figure())
        known = ", ".join(
            t
            for t in (f"read {figure.read}" if figure.read else "", f"limit {figure.limit}" if figure.limit else "")
            if t
        )
        out.append(f"{scene.marks[mark][:1].upper()}{scene.marks[mark][1:]}{f': {known}' if known else ''}.")
    return " ".join(out)


def _drawing(scene: Scene, state: str, marks: list[str], figures: dict[str, Figure], narrow: bool) -> Drawing:
    out = Drawing(frozenset(marks), figures, narrow)
    scene.draw(out, state)
    return out


def _points(part: object) -> list[tuple[float, float]]:
    return [*getattr(part, "points", ()), *getattr(part, "outline", ())]


def _verdict(word: str, left: float, top: float) -> str:
    """Return the word over a panel, with a tick or a cross drawn before it."""
    x, y = left + 8, top
    mark = f"M{x:.0f} {y + 12:.0f}l4 5l9 -12" if word == "right" else f"M{x:.0f} {y + 5:.0f}l11 12m0 -12l-11 12"
    return f'<path class="pa" d="{mark}"/><text class="pb" x="{left + 26:.0f}" y="{y + 17:.0f}">{word}</text>'


def _document(body: list[str], top: float, high: float, title: str, words: str, alone: bool, told: bool) -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" class="pic" viewBox="0 {top:.0f} {WIDE:.0f} {high:.0f}" role="img"'
    if alone:
        head += f' width="{2 * WIDE:.0f}" height="{2 * high:.0f}"'
    head += (
        f' fill="none" stroke="currentColor" stroke-width="{WEIGHT}" stroke-linecap="round" stroke-linejoin="round">'
    )
    named = [f"<title>{escape(title)}</title><desc>{escape(words)}</desc>"] if told else []
    style = [f"<style>{SHEET}{CLASSES}</style>"] if alone else []
    return "\n".join([head, *named, *style, *body, "</svg>", ""])
