"""Homes played: whether the true cause is found, how soon, by whom it is put right, and what was asked or mended in vain.

python -m tests.bench households       # all homes, those held out in a column of their own: every run is told
python -m tests.bench.households       # the homes that are looked at while numbers are changed; add -v for a line a home
python -m tests.bench.households fresh # those of two writers more that were played once, when all else was done
"""

import sys
from collections.abc import Callable, Iterable
from math import sqrt
from statistics import median
from typing import Any

from dryfloor.engine import model
from dryfloor.engine.knowledge.load import load_kb
from tests.households.answers import FRESH, Truth, truths
from tests.households.homes import FRESH as FRESH_HOMES
from tests.households.homes import Home, homes
from tests.households.player import Played, Player

from .table import Table, markdown

SUMMARY = "homes that people told of, played from the first words to whoever puts it right"
Z = 1.96
OPEN, HELD = "open", "held out"
Game = tuple[Home, Truth, Played]


def run(quick: bool) -> list[Table]:
    """Return the figures of the open homes and of those held out, and the open ones by role and family.

    Parameters
    ----------
    quick : bool
        Every fourth open home alone.
    """
    kb = load_kb()
    if quick:
        return [_whole({OPEN: played(kb, opened()[::4])})]
    open_ones, held = played(kb, opened()), played(kb, (h for h in homes() if h.held))
    return [_whole({OPEN: open_ones, HELD: held}), _parts(open_ones)]


def opened() -> list[Home]:
    """Return the homes that may be looked at."""
    return [h for h in homes() if not h.held]


def played(kb: model.KB, some: Iterable[Home]) -> list[Game]:
    """Return how homes went."""
    true = {**truths(), **truths(FRESH)}
    return [(h, true[h.id], Player(kb, h, true[h.id]).play()) for h in some]


def share(good: int, of: int) -> str:
    """Return a share with its 95 % interval (Wilson 1927).

    Examples
    --------
    >>> share(9, 10)
    '.90 (.60 to .98)'
    """
    if not of:
        return "-"
    p, z2 = good / of, Z * Z / of
    middle, half = (p + z2 / 2) / (1 + z2), Z * sqrt(p * (1 - p) / of + z2 / (4 * of)) / (1 + z2)
    return " ".join([f"{p:.2f}", f"({middle - half:.2f} to {middle + half:.2f})"]).replace("0.", ".")


def at(values: list[int], part: float) -> str:
    """Return the value below which a part of them lies.

    Examples
    --------
    >>> at([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 0.9)
    '9'
    """
    return str(sorted(values)[max(0, -(-int(part * 100) * len(values) // 100) - 1)]) if values else "-"


def figures(games: list[Game]) -> dict[str, str]:
    """Return the figures of some homes."""
    covered = [p for _, t, p in games if t.covered]
    every = [p for *_, p in games]
    found = [p.cards for p in covered if p.reached]
    count: Callable[[str], int] = lambda field: sum(len(getattr(p, field)) for p in every)  # noqa: E731
    return {
        "homes (of these in the kb)": f"{len(games)} ({len(covered)})",
        "true cause reached, of those in the kb": share(sum(bool(p.reached) for p in covered), len(covered)),
        "right hands": share(sum(p.right_hands for p in every), len(every)),
        "answers to a finding that was reached: median, nine of ten": f"{median(found) if found else 0:g}, {at(found, 0.9)}",
        "minutes to it: median": f"{median([p.minutes for p in covered if p.reached] or [0]):.0f}",
        "wrong remedies a home": f"{count('wrong_remedies') / max(1, len(every)):.2f}",
        "asked although the first words had said it": str(count("asked_again")),
        "a cause named against its own look": str(count("contradictions")),
        "proofs that passed with the fault still there": str(count("false_proofs")),
        "the right complaint heard among three": share(sum(p.heard for p in every), len(every)),
        "of gates not safe at first, asked before any check": share(
            sum(p.danger_first for p in every), sum(p.dangers for p in every)
        ),
    }


def _whole(columns: dict[str, list[Game]]) -> Table:
    data: dict[str, Any] = {name: figures(games) for name, games in columns.items()}
    first = next(iter(data.values()))
    return Table(
        title="Homes, from the first words to whoever puts it right",
        columns=["", *data],
        rows=[[row, *(data[c][row] for c in data)] for row in first],
        notes=[
            "Aims on the homes held out: reached .90, right hands .95, answers 9 and 16, wrong remedies .05 a home, else 0."
        ],
        data=data,
    )


def _parts(games: list[Game]) -> Table:
    rows = []
    for name, of in (("speaker", lambda h: h.speaker), ("family", lambda h: h.family)):
        for value in sorted({of(h) for h, *_ in games}):
            some = [g for g in games if of(g[0]) == value]
            f = figures(some)
            rows.append([f"{name}: {value}", *list(f.values())[:4], list(f.values())[5]])
    names = list(figures(games))
    return Table(title="Open homes by speaker and family", columns=["", *names[:4], names[5]], rows=rows)


def line(game: Game) -> str:
    """Return one home in a line."""
    home, truth, p = game
    parts = [
        home.id, home.speaker, "+".join(truth.cause) or "(not in the kb)", "->", p.named or "nothing", f"in {p.cards}",
        f"by {p.hands or 'nobody named'} (right: {'/'.join(truth.hands)})" if not p.right_hands else "",
        f"wrong: {', '.join(p.wrong_remedies)}" if p.wrong_remedies else "",
        f"false proof: {', '.join(p.false_proofs)}" if p.false_proofs else "",
        f"against its look: {', '.join(p.contradictions)}" if p.contradictions else "",
        f"asked again: {', '.join(p.asked_again)}" if p.asked_again else "",
    ]  # fmt: skip
    return ("" if p.reached in (True, None) else "MISSED ") + " ".join(filter(None, parts))


if __name__ == "__main__":
    fresh = "fresh" in sys.argv
    games_now = played(load_kb(), homes(FRESH_HOMES) if fresh else opened())
    if "-v" in sys.argv:
        print("\n".join(map(line, games_now)), "\n")
    tables = [_whole({"fresh" if fresh else OPEN: games_now})] + ([] if fresh else [_parts(games_now)])
    print("\n\n".join(map(markdown, tables)))
