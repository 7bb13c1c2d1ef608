"""The shipped hearer, whole, on phrases by two writers that nothing was learnt from or tuned on (tests/phrases/fresh)."""

import time
from collections import Counter

import numpy as np

from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.language.matching import hear
from dryfloor.engine.language.phrase_book import OTHER, written
from tests.support.places import TESTS

from . import hearing_overlap
from .table import Table

FRESH = TESTS / "phrases" / "fresh"
TITLE = "Two writers that nothing was learnt from"
EVERY = 20  # so many texts learnt from are passed over for one whose time is taken, where there are no fresh ones
STRANGE = {
    "64 kB of one letter": "x" * 65536,
    "a word 10,000 times": "wet " * 10_000,
    "8,000 unknown words": " ".join(f"qz{n}x" for n in range(8000)),
    "another script": "\u6d17\u8863\u673a\u6f0f\u6c34" * 400,
}


def fresh_table() -> Table:
    """Return the shares by writer, of the shipped hearer and of the matcher of before."""
    kb = load_kb()
    rows: list[list[str]] = []
    examples = written(FRESH)
    if not examples:
        return Table(
            title=TITLE,
            columns=["hearer, writer"],
            rows=[],
            notes=["Nobody has written any since the last were scored."],
        )
    wrong: Counter[str] = Counter()
    for name, listen in (("shipped", hear), ("the matcher of before", hearing_overlap.hear)):
        for writer in [*sorted({e.writer for e in examples}), "both"]:
            mine = [e for e in examples if writer in (e.writer, "both")]
            found = [listen(e.say, kb) for e in mine]
            ids = [[m.complaint for m in f.complaints] for f in found]
            on = [i for i, e in enumerate(mine) if e.complaints[0] != OTHER]
            off = [i for i, e in enumerate(mine) if e.complaints[0] == OTHER]
            danger = [bool(e.hazards) for e in mine]
            gate = [any(kb.hazards[h.hazard].gate for h in f.hazards) for f in found]
            told = [{(f, o) for f, o in (e.facts or {}).items() if o in kb.facts[f].options} for e in mine]
            offered = [{(f.fact, f.option) for f in h.facts if any(f.fact == k for k in KNOWN)} for h in found]
            right = sum(len(a & b) for a, b in zip(offered, told, strict=True))
            likely = [any(m.likely for m in found[i].complaints) for i in off]
            rows.append(
                [
                    f"{name}, {writer} ({len(on)} + {len(off)})",
                    f"{np.mean([bool(ids[i]) and ids[i][0] in mine[i].complaints for i in on]):.3f}",
                    f"{np.mean([bool(set(ids[i][:3]) & set(mine[i].complaints)) for i in on]):.3f}",
                    f"{np.mean([bool(ids[i]) for i in off]):.3f}",
                    f"{np.mean(likely):.3f}",
                    f"{np.mean([g for g, d in zip(gate, danger, strict=True) if d]):.3f} of {sum(danger)}",
                    f"{np.mean([g for g, d in zip(gate, danger, strict=True) if not d]):.3f}",
                    f"{right}/{sum(map(len, offered))}, {right / max(1, sum(map(len, told))):.3f}",
                ]
            )
            if name == "shipped" and writer == "both":
                first = [(mine[i].complaints[0], (ids[i] or ["nothing"])[0]) for i in range(len(mine))]
                wrong.update(
                    f"{a} for {b}"
                    for i, (b, a) in enumerate(first)
                    if a not in mine[i].complaints and (a, b) != ("nothing", OTHER)
                )
    return Table(
        title=TITLE,
        columns=[
            "hearer, writer",
            "first",
            "among three",
            "off topic taken",
            "of these as likely",
            "gates, of dangers",
            "gates in vain",
            "facts right/offered, recall",
        ],
        rows=rows,
        notes=[
            "Heard for what was meant, most often: " + ", ".join(f"{k} {n}" for k, n in wrong.most_common(12)) + "."
        ],
    )


KNOWN = ("drain", "machine", "floor", "raised", "onset", "rhythm", "place", "dryer-beside")


def times_table() -> Table:
    """Return how long a text takes, and how long strange ones do [ms]."""
    kb = load_kb()
    examples = written(FRESH) or written(FRESH.parent)[::EVERY]
    hear(examples[0].say, kb)

    def taken(text: str) -> float:
        start = time.process_time()
        hear(text, kb)
        return 1000 * (time.process_time() - start)

    each = [taken(e.say) for e in examples]
    rows = [["a text of these, the middle one", f"{np.median(each):.1f}"], ["the slowest of them", f"{max(each):.1f}"]]
    rows += [[name, f"{taken(text):.1f}"] for name, text in STRANGE.items()]
    return Table(title="Time to hear", columns=["text", "ms of one core"], rows=rows)
