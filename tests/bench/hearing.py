"""How well people are heard, by writers left out: what a hearer learnt from the others only, for every writer once.

The hearers: the matcher of before (overlap of the kb's phrases, nothing learnt), BM25 (Robertson and Zaragoza 2009; the best of each
complaint's phrases), term weights alone, vectors alone, and all together, which is what is shipped. A complaint counts as put first
only where "something else" does not stand above it. Slope, shift and bounds for a writer come from the scores of the other writers.
The features' list and their document frequencies are of all texts, held out ones included; labels never are.
"""

import math
import re
from collections import Counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.language import learn, training
from dryfloor.engine.language.calibration import MILLION, weighed
from dryfloor.engine.language.matching import HALF
from dryfloor.engine.language.phrase_book import KB_WRITER, OTHER, of_kb, texts, written
from dryfloor.engine.model import KB
from tests.support.places import TESTS

from . import hearing_overlap
from .hearing_fresh import fresh_table, times_table
from .table import Table

Array = NDArray[Any]
K1, B = 1.2, 0.75  # of BM25, as usual
AIMS = {"first": 0.88, "three": 0.97, "taken": 0.05, "danger": 0.98, "gates": 0.03, "fact": 0.97, "recall": 0.6}
_WORD = re.compile(r"[a-z0-9']+")


def run(quick: bool) -> list[Table]:
    """Return the tables of complaints, dangers and facts; quick: without the hearers that are not shipped."""
    kb = load_kb()
    examples = [*of_kb(kb), *written(TESTS / "phrases")]
    known = training.corpus(texts(examples))
    weights, vectors = training.kernel(known, vectors=False), training.kernel(known, letters=False)
    whole = learn.lesson(examples, weights + vectors, kb)
    scores = learn.left_out_scores(whole, known)
    fitted = {w: learn.calibrated(whole, scores, w) for w in _by(whole, whole.told)}
    odds = topic_odds(whole, scores, fitted)
    complaints = scores.complaints
    hearers = {"all together": complaints}
    if not quick:
        for name, kernel in (("vectors alone", vectors), ("term weights alone", weights)):
            part = whole._replace(kernel=kernel)
            groups = [examples[i].writer for i in part.told]
            ridge = learn.complaint_ridge(part.meant)
            alone = training.left_out(kernel[np.ix_(part.told, part.told)], ridge, part.meant, groups)
            hearers = {name: alone, **hearers}
        hearers = {"the matcher of before": before(whole, kb), "BM25": bm25(whole), **hearers}
    return [
        complaints_table(whole, hearers, odds),
        writers_table(whole, hearers, odds),
        banded_table(whole, scores, fitted, odds),
        families_table(whole, complaints, odds),
        dangers_table(whole, scores, fitted, kb),
        facts_table(whole, scores, fitted),
        fresh_table(),
        times_table(),
    ]


def before(of: learn.Lesson, kb: KB) -> Array:
    """Return the matcher's scores; where it hears nothing, something else stands first."""
    out = np.zeros((len(of.told), len(of.complaints)))
    for row, i in enumerate(of.told):
        if of.examples[i].writer == KB_WRITER:
            continue
        heard = hearing_overlap.hear(of.examples[i].say, kb).complaints
        for rank, m in enumerate(heard):
            out[row, of.complaints.index(m.complaint)] = m.score - rank * 1e-6
        out[row, -1] = 0 if heard else 1
    return out


def bm25(of: learn.Lesson) -> Array:
    """Return for each text the best BM25 of each complaint's phrases by other writers."""
    bags = [Counter(_WORD.findall(of.examples[i].say.lower())) for i in of.told]
    writers = np.array([of.examples[i].writer for i in of.told])
    length = np.array([sum(b.values()) for b in bags], float)
    seen = Counter(w for b in bags for w in b)
    postings: dict[str, list[tuple[int, int]]] = {}
    for at, bag in enumerate(bags):
        for word, n in bag.items():
            postings.setdefault(word, []).append((at, n))
    held: dict[str, tuple[Array, Array]] = {}
    for word, found in postings.items():
        at, n = np.array([a for a, _ in found]), np.array([float(n) for _, n in found])
        idf = math.log(1 + (len(bags) - seen[word] + 0.5) / (seen[word] + 0.5))
        held[word] = at, idf * n * (K1 + 1) / (n + K1 * (1 - B + B * length[at] / length.mean()))
    out = np.zeros((len(bags), len(of.complaints)))
    for row, bag in enumerate(bags):
        if writers[row] == KB_WRITER:
            continue
        score = np.zeros(len(bags))
        for word in bag:
            at, value = held[word]
            score[at] += value
        score[writers == writers[row]] = 0
        out[row] = [score[of.meant[:, c] > 0].max() for c in range(len(of.complaints))]
    return out


def _by(of: learn.Lesson, at: Array) -> dict[str, list[int]]:
    """Return the rows of each writer, the kb's own left out."""
    out: dict[str, list[int]] = {}
    for row, i in enumerate(at):
        if of.examples[i].writer != KB_WRITER:
            out.setdefault(of.examples[i].writer, []).append(row)
    return out


def topic_odds(of: learn.Lesson, scores: learn.Scores, fitted: dict[str, learn.Calibration]) -> Array:
    """Return how far each text's log-odds of a washer in trouble lie above the bound, both from the other writers."""
    out = np.zeros(len(of.told))
    for writer, rows in _by(of, of.told).items():
        made = fitted[writer]
        *weights, bias = [w / MILLION for w in made.topic]
        out[rows] = [weighed(scores.topic[r].tolist(), weights, bias) - made.numbers["topic"] / MILLION for r in rows]
    return out


def _first(of: learn.Lesson, scores: Array, rows: list[int], above: Array) -> dict[str, float]:
    """Return the shares of right ones first and among three, refusals counting as wrong, and of other texts taken."""
    on = [r for r in rows if not of.meant[r, -1] or of.meant[r, :-1].any()]
    off = [r for r in rows if r not in set(on)]
    order = np.argsort(-np.round(scores[:, :-1], 6), axis=1, kind="stable")
    heard = above > 0
    first = [heard[r] and of.meant[r, order[r, 0]] > 0 for r in on]
    three = [heard[r] and of.meant[r, order[r, :3]].any() for r in on]
    shown = [of.meant[r, order[r, :3]].any() for r in on]
    return {
        "first": float(np.mean(first)),
        "three": float(np.mean(three)),
        "three without refusing": float(np.mean(shown)),
        "taken": float(np.mean([heard[r] for r in off])),
        "phrases": len(on),
        "off": len(off),
    }


def _above(name: str, scores: Array, odds: Array) -> Array:
    """Return how far each text lies above what is refused: by what was learnt of it for the whole, else by something else's score."""
    return odds if name == "all together" else np.asarray(scores[:, :-1].max(1) - scores[:, -1])


def writers_table(of: learn.Lesson, hearers: dict[str, Array], odds: Array) -> Table:
    """Return each hearer's shares of every writer: first, among three, off topic taken."""
    by = _by(of, of.told)
    rows = []
    for name, scores in hearers.items():
        above = _above(name, scores, odds)
        found = [_first(of, scores, at, above) for at in by.values()]
        rows += [
            [f"{name}, {said}", *(f"{f[k]:.2f}" for f in found)]
            for k, said in (("first", "first"), ("three", "among three"), ("taken", "off topic taken"))
        ]
    texts_of = [sum(of.meant[r, :-1].any() for r in at) for at in by.values()]
    return Table(
        title="Every hearer by every writer, each writer left out",
        columns=["hearer", *(f"{w} ({n})" for w, n in zip(by, texts_of, strict=True))],
        rows=rows,
        notes=["In brackets the texts on topic of each writer. Refused texts count as wrong."],
    )


def complaints_table(of: learn.Lesson, hearers: dict[str, Array], odds: Array) -> Table:
    """Return each hearer's shares over all writers and by writer."""
    rows: list[list[str]] = []
    data: dict[str, Any] = {}
    whole = ""
    for name, scores in hearers.items():
        above = _above(name, scores, odds)
        by = {writer: _first(of, scores, at, above) for writer, at in _by(of, of.told).items()}
        mean = {
            k: float(np.mean([b[k] for b in by.values()]))
            for k in ("first", "three", "three without refusing", "taken")
        }
        spread = f"{min(b['first'] for b in by.values()):.3f} to {max(b['first'] for b in by.values()):.3f}"
        rows.append([name, *(f"{mean[k]:.3f}" for k in mean), spread])
        data[name] = {"mean": mean, "by writer": by}
        others = [b for w, b in by.items() if w not in learn.HARDER]
        whole = ", ".join(f"{k} {np.mean([b[k] for b in others]):.3f}" for k in mean)
    return Table(
        title="Complaints heard, by writers left out",
        columns=[
            "hearer",
            "first",
            "among three",
            "among three, nothing refused",
            "off topic taken",
            "first, by writer",
        ],
        rows=rows,
        notes=[
            f"Aims: first {AIMS['first']}, among three {AIMS['three']}, off topic taken {AIMS['taken']}.",
            "Means of the writers, each left out once. Refused texts count as wrong in the first two columns.",
            f"All together without {' and '.join(learn.HARDER)}, who wrote after it had been read what was misheard: {whole}.",
        ],
        data=data,
    )


def _chances(of: learn.Lesson, scores: Array, made: learn.Calibration, odds: Array) -> Array:
    """Return the chance of each complaint and of something else."""
    own = scores[:, :-1]
    raised = np.exp(made.numbers["slope"] / MILLION * (own - own.max(1, keepdims=True)))
    on = 1 / (1 + np.exp(-(odds + made.numbers["topic"] / MILLION)))[:, None]
    return np.asarray(np.hstack([on * raised / raised.sum(1, keepdims=True), 1 - on]))


def banded_table(of: learn.Lesson, scores: learn.Scores, fitted: dict[str, learn.Calibration], odds: Array) -> Table:
    """Return how often each word of the scale was right, and what is shown of texts on and off topic."""
    said: dict[str, list[bool]] = {}
    counted: Counter[tuple[str, str]] = Counter()
    from dryfloor.engine.language.calibration import word
    from dryfloor.engine.language.matching import LIKELY

    for writer, rows in _by(of, of.told).items():
        chance = _chances(of, scores.complaints, fitted[writer], odds)
        for r in rows:
            best = int(chance[r, :-1].argmax())
            percent = 100 * float(chance[r, best])
            said.setdefault(word(percent), []).append(bool(of.meant[r, best] > 0))
            refused = odds[r] <= 0
            way = "refused" if refused else "likely" if percent >= LIKELY else "three"
            counted["on" if of.meant[r, :-1].any() else "off", way] += 1
    order = ["very unlikely", "unlikely", "roughly even", "likely", "very likely", "almost certain"]
    order = ["almost no chance", *order]
    rows = [[w, str(len(said[w])), f"{np.mean(said[w]):.3f}"] for w in order if w in said]
    total = {t: sum(n for (u, _), n in counted.items() if u == t) for t in ("on", "off")}
    notes = [
        f"Of texts {'on' if t == 'on' else 'off'} topic ({total[t]}): "
        + ", ".join(
            f"{counted[t, w] / total[t]:.3f} {said}"
            for w, said in (
                ("likely", "have one complaint put first as likely"),
                ("three", "are shown three"),
                ("refused", "are refused"),
            )
        )
        for t in ("on", "off")
    ]
    return Table(
        title="What the words of the scale are worth, by writers left out",
        columns=["said of the first complaint", "texts", "right"],
        rows=rows,
        notes=notes,
    )


def families_table(of: learn.Lesson, scores: Array, odds: Array) -> Table:
    """Return each complaint's shares, and what it is taken for."""
    at = [r for rows in _by(of, of.told).values() for r in rows]
    order = np.argsort(-np.round(scores[:, :-1], 6), axis=1, kind="stable")
    rows = []
    for c, name in enumerate(of.complaints):
        mine = [r for r in at if of.meant[r, c] and of.examples[of.told[r]].complaints[0] == name]
        heard = [int(order[r, 0]) if odds[r] > 0 else len(of.complaints) - 1 for r in mine]
        right = [of.meant[r, h] > 0 for r, h in zip(mine, heard, strict=True)]
        three = [of.meant[r, order[r, :3]].any() for r in mine]
        wrong = Counter(of.complaints[h] for r, h in zip(mine, heard, strict=True) if not of.meant[r, h])
        confused = ", ".join(f"{w} {n}" for w, n in wrong.most_common(4))
        rows.append(
            [name, str(len(mine)), f"{np.mean(right):.3f}", "" if name == OTHER else f"{np.mean(three):.3f}", confused]
        )
    return Table(
        title="Complaints one by one, and what they are taken for",
        columns=["complaint", "texts", "first", "among three, nothing refused", "taken for"],
        rows=rows,
    )


def dangers_table(of: learn.Lesson, scores: learn.Scores, fitted: dict[str, learn.Calibration], kb: KB) -> Table:
    """Return the share of dangers whose gate is raised, of gates raised in vain, and of those that no complaint meant asks anyway."""
    gate = of.aside.index("gate")
    aside = scores.aside
    raised: dict[int, bool] = {}
    danger = learn.gate_score(aside, gate)
    for writer, rows in _by(of, of.asked).items():
        bound = fitted[writer].numbers["gate"] / MILLION
        raised.update({r: bool(danger[r] >= bound) for r in rows})
    at = list(raised)
    so = of.noted[:, gate] > 0
    before = [r for r in at if of.examples[of.asked[r]].writer not in learn.HARDER]
    rows = []
    for h in range(gate):
        mine = [r for r in at if of.noted[r, h]]
        right = [raised[r] and (aside[r, h] == aside[r, :gate].max() or aside[r, h] >= 0.5) for r in mine]
        rows.append(
            [
                of.aside[h].partition(":")[2],
                str(len(mine)),
                f"{np.mean([raised[r] for r in mine]):.3f}",
                f"{np.mean(right):.3f}",
            ]
        )
    recall = float(np.mean([raised[r] for r in at if so[r]]))
    false = float(np.mean([raised[r] for r in at if not so[r]]))
    quiet = np.array([danger[r] for r in at if not so[r]])
    loud = np.array([danger[r] for r in at if so[r]])
    more = [not (_gates_raised(of, aside[r], gate) <= _gates_asked(of, r, kb)) for r in at if raised[r] and not so[r]]
    earlier = [float(np.mean([raised[r] for r in before if so[r] == danger_told])) for danger_told in (True, False)]
    notes = [
        f"Any danger: a gate for {recall:.3f} of {len(loud)} (aim {AIMS['danger']}), in vain for {false:.3f} of {len(quiet)} (aim {AIMS['gates']}).",
        f"With gates in vain at {AIMS['gates']}: {np.mean(loud > np.quantile(quiet, 1 - AIMS['gates'])):.3f} of dangers. "
        f"With {AIMS['danger']} of dangers: {np.mean(quiet >= np.quantile(loud, 1 - AIMS['danger'])):.3f} in vain.",
        f"In vain and not among the gates that the complaint meant asks in any case: {sum(more) / len(quiet):.3f}.",
        f"Without {' and '.join(learn.HARDER)}: a gate for {earlier[0]:.3f}, in vain for {earlier[1]:.3f}.",
        f"The bound is set on the other writers, where {learn.GATE_RECALL} of dangers reach it: a gate asked in vain costs less than one left out.",
    ]
    return Table(
        title="Dangers heard, by writers left out",
        columns=["danger", "texts", "any gate raised", "its own gate raised"],
        rows=rows,
        notes=notes,
        data={"recall": recall, "false": false},
    )


def _gates_raised(of: learn.Lesson, scores: Array, gate: int) -> set[str]:
    """Return the hazards whose gates are asked where the bound is reached."""
    most = float(scores[:gate].max())
    return {of.aside[h].partition(":")[2] for h in range(gate) if scores[h] == most or scores[h] >= HALF}


def _gates_asked(of: learn.Lesson, row: int, kb: KB) -> set[str]:
    """Return the hazards whose gates the complaints meant ask before anything else."""
    return {g for c in of.examples[of.asked[row]].complaints if c != OTHER for g in kb.complaints[c].gates}


def facts_table(of: learn.Lesson, scores: learn.Scores, fitted: dict[str, learn.Calibration]) -> Table:
    """Return how often a fact offered was right, and how many of those told were offered."""
    first = of.aside.index("gate") + 1
    log_odds = np.full(of.noted.shape, -np.inf)
    bound = np.zeros(len(of.asked))
    for writer, mine in _by(of, of.asked).items():
        keys, signs = learn.fact_rows(of, scores, mine)
        *weights, bias = [w / MILLION for w in fitted[writer].fact]
        for (r, c), n in zip(keys, (signs @ np.array(weights) + bias).tolist(), strict=True):
            log_odds[r, c] = n
        bound[mine] = fitted[writer].numbers["fact"] / MILLION
    at = [r for mine in _by(of, of.asked).values() for r in mine]
    rows = []
    for c in range(first, len(of.aside)):
        told, got = of.noted[at, c] > 0, log_odds[at, c] >= bound[at]
        right = f"{np.mean(told[got]):.3f}" if got.any() else "none offered"
        rows.append(
            [of.aside[c].partition(":")[2], str(told.sum()), str(got.sum()), right, f"{np.mean(got[told]):.3f}"]
        )
    offered = log_odds >= bound[:, None]
    right = of.noted[:, first:] > 0
    many = int(offered[at][:, first:].sum())
    good = int((offered & (of.noted > 0))[at][:, first:].sum())
    told_here = int(right[at].sum())
    before = [r for r in at if of.examples[of.asked[r]].writer not in learn.HARDER]
    offered_before, right_before = offered[before][:, first:], right[before]
    good_before = int((offered_before & right_before).sum())
    curve = []
    for level in (4.0, 3.0, 2.0, 1.0, 0.0):
        got = log_odds[at][:, first:] >= level
        curve.append(
            f"{np.mean(right[at][got]):.3f} of {got.sum()} at recall {(got & right[at]).sum() / told_here:.3f}"
        )
    return Table(
        title="Facts heard, by writers left out",
        columns=["fact", "told", "offered", "right when offered", "recall"],
        rows=rows,
        notes=[
            f"All: {many} offered, right {good / max(1, many):.3f} (aim {AIMS['fact']}), recall {good / told_here:.3f} (aim {AIMS['recall']}).",
            f"Without {' and '.join(learn.HARDER)}: right {good_before / max(1, int(offered_before.sum())):.3f}, recall {good_before / int(right_before.sum()):.3f}.",
            f"The bound is set on the other writers, where {learn.FACT_RIGHT} of those offered are right.",
            f"By log-odds from 4, 3, 2, 1, 0: {'; '.join(curve)}.",
        ],
        data={"offered": many, "right": good, "told": told_here},
    )
