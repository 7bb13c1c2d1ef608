"""Make the hearer's weights again: `python -m dryfloor.engine.language.learn PHRASES [FOLDER]`, at build only.

PHRASES is the folder of phrases by writers, `tests/phrases`. Learns from them and from the shipped kb's `hear` phrases, fits the
calibration on writers left out, and writes `hearing.npz` (whole numbers) and `hearing.json` (names, units, calibration, hashes).
Takes two minutes of a core and about 2 GB.
"""

import hashlib
import json
import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..knowledge.load import load_kb
from ..model import KB
from . import calibration, features, phrase_book, tokens, training, word_pieces
from .calibration import (
    MILLION,
    OWN_SIGNS,
    fact_signs,
    fact_terms,
    fitted,
    siblings,
    tellable,
    threshold,
    topic_signs,
    weighed,
)
from .features import parts
from .hearer import IDF_UNIT, Hearer, phrase_number
from .overlap import said_in
from .phrase_book import KB_WRITER, OTHER, Example
from .phrases import index_with
from .word_pieces import DATA

Array = NDArray[Any]
RIDGE = 0.6  # of complaints, chosen by writers left out [-]
SOFTMAX_SPREAD, SOFTMAX_STEPS = 4.0, 30  # of the logistic regression beside it: variance of a weight, and steps [-]
SOFTMAX_SHARE = 0.06  # its scores are logits; so much of them is added to the ridge's, chosen by writers left out [-]
ROUNDS = 3  # groups of writers that the logistic regression leaves out together
FEATURE_MOST, ROW_MOST = 63, 127  # greatest whole number of a weight, beside its row's scale
OTHER_WEIGHT = 3.0  # how much more than a complaint's the phrases of "something else" weigh, by class [-]; judgement
ASIDE_RIDGE = 1.0  # of dangers and facts [-]
GATE_RECALL = 0.975  # share of dangers, by writers left out, whose gate is to be raised
OFF_TAKEN = 0.075  # share of texts about something else, by writers left out, that may be taken for a complaint
TOPIC_RIDGE = 10.0  # of the weights of signs: whether a text is about a washer in trouble [-]
FACT_RIDGE = 10.0  # the same: whether a text tells a fact [-]
FACT_TERMS = 54  # signs of a fact and their products, the same for all options
HEARD_FROM = (
    10  # writers who have to name a danger or an option before it is learnt: where few were asked, silence says nothing
)
FACT_RIGHT = 0.975  # share of facts offered, by writers left out, that are to be right
HARDER = ("a", "b")  # writers against the hearer's mistakes, harder than people are: no bound is set by them
NEVER = 99.0  # a bound that no score reaches
UNLEARNT = Hearer(
    "", [], {}, [], [], {}, [], np.zeros(0), np.zeros(0), np.zeros(0), (np.zeros(0),) * 3, np.zeros(0), {}
)
SOURCES = (calibration, features, phrase_book, tokens, training, word_pieces)  # code that the weights depend on


class Lesson(NamedTuple):
    """Examples with their kernel, and what has to be learnt of them.

    Parameters
    ----------
    examples
        all of them, the kb's first
    kernel
        (examples, examples)
    complaints, aside
        names of the scores of either group
    told, meant
        places of the examples that say which complaint, and (told, complaints) 1 where it is meant
    asked, noted
        places of the examples that say which dangers and facts, and (asked, aside) 1 where it is so
    phrased
        (asked, aside) whether a phrase of the kb was said for it
    """

    examples: list[Example]
    kernel: Array
    complaints: list[str]
    aside: list[str]
    told: Array
    meant: Array
    asked: Array
    noted: Array
    phrased: Array


def lesson(examples: list[Example], kernel: Array, kb: KB) -> Lesson:
    """Return what has to be learnt."""
    complaints = [*kb.complaints, OTHER]
    writers = [e for e in examples if e.writer != KB_WRITER]
    said = Counter(fo for _, fo in {(e.writer, fo) for e in writers for fo in (e.facts or {}).items()})
    options = [(f.id, o) for f in kb.facts.values() for o in f.options if said[f.id, o] >= HEARD_FROM]
    named = Counter(h for _, h in {(e.writer, h) for e in writers for h in e.hazards or ()})
    hazards = [h.id for h in kb.hazards.values() if h.gate and named[h.id] >= HEARD_FROM]
    aside = [*(f"hazard:{h}" for h in hazards), "gate", *(f"fact:{f}:{o}" for f, o in options)]
    told = np.array([i for i, e in enumerate(examples) if e.complaints])
    meant = np.array([[float(c in examples[i].complaints) for c in complaints] for i in told])
    asked = np.array(
        [
            i
            for i, e in enumerate(examples)
            if (e.hazards is not None or e.facts is not None) and set(e.hazards or ()) <= set(hazards)
        ]
    )
    noted = np.zeros((len(asked), len(aside)))
    for row, i in enumerate(asked):
        e = examples[i]
        for h in e.hazards or ():
            noted[row, aside.index(f"hazard:{h}")] = noted[row, len(hazards)] = 1
        for f, o in (e.facts or {}).items():
            if (f, o) in options:
                noted[row, aside.index(f"fact:{f}:{o}")] = 1
    index = index_with(kb, UNLEARNT)
    phrased = np.zeros(noted.shape, dtype=bool)
    for row, i in enumerate(asked):
        for f, (o, _) in said_in(tokens.clauses(examples[i].say), index).facts.items():
            if (f, o) in options:
                phrased[row, aside.index(f"fact:{f}:{o}")] = True
    return Lesson(examples, kernel, complaints, aside, told, meant, asked, noted, phrased)


def complaint_ridge(meant: Array) -> Array:
    """Return each text's ridge: the rarer its class, the smaller."""
    many = meant.sum(0)
    weight = len(meant) / meant.shape[1] / np.maximum(many, 1)
    weight[-1] *= OTHER_WEIGHT
    return np.asarray(RIDGE / weight[meant.argmax(1)])


def softmax_weights(of: Lesson, k: Array, held: Array | None = None) -> Array:
    """Return what logistic regression adds to the weights of complaints, some texts left out.

    Parameters
    ----------
    of : Lesson
    k : array
        (told, told).
    held : array of bool, optional
        (told,).
    """
    targets = of.meant / np.maximum(of.meant.sum(1, keepdims=True), 1)
    return SOFTMAX_SHARE * training.softmaxed(k, targets, SOFTMAX_SPREAD, SOFTMAX_STEPS, held)


class Scores(NamedTuple):
    """Scores from the other writers alone, and what is weighed of them.

    Parameters
    ----------
    complaints, aside
        (told, complaints) and (asked, aside)
    topic
        (told, signs) of `calibration.topic_signs`
    tellings
        (asked, options) for each fact's likeliest option its signs, None for the others
    """

    complaints: Array
    aside: Array
    topic: Array
    tellings: list[dict[int, list[float]]]


def left_out_scores(of: Lesson, known: training.Corpus | None = None) -> Scores:
    """Return each example's scores from the other writers alone; with the corpus also those of its parts, and all signs."""
    split = [parts(e.say) for e in of.examples]
    owner = np.array([i for i, said in enumerate(split) for _ in said])
    pieces = training.joined(known, [p for said in split for p in said]) if known else None
    writers = [e.writer for e in of.examples]

    def group(at: Array, ridge: Array, targets: Array, logistic: bool) -> tuple[Array, dict[int, list[Array]]]:
        groups = [writers[i] for i in at]
        k = of.kernel[np.ix_(at, at)]
        more: dict[str, Array] = {}
        others = sorted(set(groups) - {KB_WRITER}) if logistic else []
        for together in (others[n::ROUNDS] for n in range(min(ROUNDS, len(others)))):
            more |= dict.fromkeys(together, softmax_weights(of, k, np.isin(groups, together)))
        whole, of_parts = np.zeros_like(targets), dict[int, list[Array]]()
        learnt = known and known._replace(rows=[known.rows[i] for i in at], vectors=known.vectors[at])
        for writer, where, ridged, weights in training.leaving_out(k, ridge, targets, groups):
            own = more.get(writer, np.zeros_like(weights))
            whole[where] = ridged + k[where] @ own
            if pieces is None or learnt is None or writer == KB_WRITER:
                continue
            mine = np.flatnonzero([writers[i] == writer for i in owner])
            some = pieces._replace(rows=[pieces.rows[j] for j in mine], vectors=pieces.vectors[mine])
            for i, row in zip(owner[mine], training.scored(some, learnt, weights + own), strict=True):
                of_parts.setdefault(int(i), []).append(row)
        return whole, of_parts

    complaints, parts_told = group(of.told, complaint_ridge(of.meant), of.meant, logistic=True)
    aside, parts_aside = group(of.asked, np.full(len(of.asked), ASIDE_RIDGE), of.noted, logistic=False)
    if known is None:
        return Scores(complaints, aside, np.zeros((0, 0)), [])
    topic = np.array(
        [
            topic_signs(
                dict(zip(of.complaints, row, strict=True)),
                [dict(zip(of.complaints, p, strict=True)) for p in parts_told.get(int(i), [])],
                of.examples[i].say,
            )
            for i, row in zip(of.told, complaints.tolist(), strict=True)
        ]
    )
    place = {int(i): r for r, i in enumerate(of.told)}
    weights, bias = topic_weights(of, topic)
    odds = [weighed(signs, weights, bias) for signs in topic.tolist()]
    tellings = []
    for r, i in enumerate(of.asked):
        whole = dict(zip(of.aside, aside[r].tolist(), strict=True))
        some_parts = [dict(zip(of.aside, p.tolist(), strict=True)) for p in parts_aside.get(int(i), [])]
        of_text = odds[place[int(i)]] if int(i) in place else 0.0
        tellings.append(
            {
                c: fact_signs(whole, some_parts, of.aside[c], bool(of.phrased[r, c]), of.examples[i].say, of_text)
                for c in likeliest(of.aside, whole, some_parts)
            }
        )
    return Scores(complaints, aside, topic, tellings)


def likeliest(names: list[str], whole: dict[str, float], some: list[dict[str, float]]) -> list[int]:
    """Return the place of each fact's likeliest option, by the text and its best part."""
    facts = [n for n in names if n.startswith("fact:")]
    best = {n: whole[n] + max((p[n] for p in some), default=whole[n]) for n in facts}
    heads = dict.fromkeys(n.rpartition(":")[0] for n in facts)
    return [names.index(max(siblings(f"{head}:", facts), key=lambda n: (best[n], n))) for head in heads]


def topic_weights(of: Lesson, topic: Array, leave: str = "") -> tuple[list[float], float]:
    """Return weights and bias of the signs that a text tells of a washer in trouble, rounded as they are shipped."""
    rows = [r for r, i in enumerate(of.told) if of.examples[i].writer not in (KB_WRITER, leave)]
    weights, bias = training.logistic(topic[rows], np.asarray(of.meant[rows][:, :-1].any(1)), TOPIC_RIDGE)
    return np.round(weights, 6).tolist(), round(bias, 6)


def fact_rows(of: Lesson, scores: Scores, rows: Iterable[int]) -> tuple[list[tuple[int, int]], Array]:
    """Return what may be offered as (text, option), and the terms that are weighed of it."""
    first = of.aside.index("gate") + 1
    keys = [
        (r, c)
        for r in rows
        for c in scores.tellings[r]
        if tellable(bool(of.phrased[r, c]), of.examples[of.asked[r]].say)
    ]
    signs = np.zeros((len(keys), FACT_TERMS + (1 + len(OWN_SIGNS)) * (len(of.aside) - first)))
    for n, (r, c) in enumerate(keys):
        for at, value in fact_terms(scores.tellings[r][c], c - first):
            signs[n, at] = value
    return keys, signs


def gate_score(scores: Array, hazards: int) -> Array:
    """Return how much a text tells of any danger: its greatest hazard's score and that of `gate`."""
    return np.asarray(scores[:, :hazards].max(1) + scores[:, hazards])


def fact_bound(scores: Array, right: Array) -> float:
    """Return the least bound from which on facts are right often enough; above any score where none are.

    One more that is wrong is counted among those offered, so that few right ones by chance are no proof.
    """
    order = np.argsort(-scores, kind="stable")
    share = np.cumsum(right[order]) / np.arange(2, len(order) + 2)
    good = np.flatnonzero(share >= FACT_RIGHT)
    return float(scores[order[good[-1]]]) if len(good) else NEVER


class Calibration(NamedTuple):
    """What is fitted on writers left out.

    Parameters
    ----------
    numbers
        in millionths: `slope` and `shift` of the scores of complaints, the bounds `gate`, `topic` and `fact`
    topic, fact
        weights of the signs in millionths, the bias last
    """

    numbers: dict[str, int]
    topic: list[int]
    fact: list[int]


def calibrated(of: Lesson, scores: Scores, leave: str = "") -> Calibration:
    """Return the calibration from scores of writers left out; one writer more may stay out of it."""
    complaints, aside = scores.complaints, scores.aside
    silent = (KB_WRITER, leave, *HARDER)
    rows = [r for r, i in enumerate(of.told) if of.examples[i].writer not in silent]
    slope, shift = fitted(complaints[rows], of.meant[rows] > 0, len(of.complaints) - 1)
    weights, bias = topic_weights(of, scores.topic, leave)
    odds = np.array([weighed(signs, weights, bias) for signs in scores.topic.tolist()])
    off = [r for r in rows if not of.meant[r, :-1].any()]
    topic = float(np.quantile(odds[off], 1 - OFF_TAKEN))
    rows = [r for r, i in enumerate(of.asked) if of.examples[i].writer not in (KB_WRITER, leave)]
    hazards = of.aside.index("gate")
    judged = [r for r in rows if of.examples[of.asked[r]].writer not in silent]
    danger = gate_score(aside[judged], hazards)
    gate = threshold(danger.tolist(), (of.noted[judged, hazards] > 0).tolist(), GATE_RECALL)
    keys, signs = fact_rows(of, scores, rows)
    right = np.array([of.noted[r, c] > 0 for r, c in keys])
    fact_weights, fact_bias = training.logistic(signs, right, FACT_RIDGE)
    told = np.round(signs @ np.round(fact_weights, 6) + fact_bias, 6)
    judge = np.array([of.examples[of.asked[r]].writer not in silent for r, _ in keys])
    fact = fact_bound(told[judge], right[judge])
    return Calibration(
        {
            "slope": round(slope * MILLION),
            "shift": round(shift * MILLION),
            "topic": int(np.ceil(topic * MILLION)),
            "gate": int(np.floor(gate * MILLION)),
            "fact": int(np.ceil(fact * MILLION)),
        },
        [round(w * MILLION) for w in (*weights, bias)],
        [round(float(w) * MILLION) for w in (*fact_weights, fact_bias)],
    )


def source_hash(phrases: Path, kb: KB) -> str:
    """Return the hash of what the weights come from: phrases, the kb's `hear` phrases, word pieces, and the code that learns."""
    digest = hashlib.sha256()
    for path in [
        *sorted(phrases.glob("?.yaml")),
        word_pieces.PACKED,
        *(Path(str(module.__file__)) for module in SOURCES),
        Path(__file__),
    ]:
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    digest.update(json.dumps([e[1:5] for e in phrase_book.of_kb(kb)]).encode())
    return digest.hexdigest()


def learn(phrases: Path, kb: KB) -> tuple[dict[str, Array], dict[str, Any]]:
    """Return the arrays to ship and what is said of them."""
    examples = [*phrase_book.of_kb(kb), *phrase_book.written(phrases)]
    known = training.corpus(phrase_book.texts(examples))
    of = lesson(examples, training.kernel(known), kb)
    scores = left_out_scores(of, known)
    names = [*of.complaints, *of.aside]
    weights = np.zeros((len(examples), len(names)))
    for at, ridge, targets, columns in (
        (of.told, complaint_ridge(of.meant), of.meant, slice(0, len(of.complaints))),
        (of.asked, np.full(len(of.asked), ASIDE_RIDGE), of.noted, slice(len(of.complaints), None)),
    ):
        weights[at, columns] = np.linalg.solve(training.ridged(of.kernel[np.ix_(at, at)], ridge), targets)
    weights[of.told, : len(of.complaints)] += softmax_weights(of, of.kernel[np.ix_(of.told, of.told)])
    by_feature, by_vector = training.primal(known, weights)
    units: dict[str, list[float]] = {}
    arrays: dict[str, Array] = {
        "key_steps": np.diff(known.keys, prepend=np.uint32(0)),  # smaller than the keys once packed
        "idf": np.rint(known.idf * IDF_UNIT).astype(np.uint16),
        "rows": known.vectors.astype(np.int8),
        "phrases": np.array(
            [phrase_number(e.say) if e.writer == KB_WRITER and e.complaints else 0 for e in examples], np.uint32
        ),
    }
    for name, values in (("of_features", by_feature), ("of_vector", by_vector), ("of_rows", weights)):
        arrays[name], unit = training.whole_numbers(values)
        units[name] = [float(f"{u:.9g}") for u in unit]
    arrays["of_features"], arrays["feature_scales"] = training.by_row(arrays["of_features"], FEATURE_MOST)
    arrays["of_rows"], arrays["row_scales"] = training.by_row(arrays["of_rows"], ROW_MOST)
    made = calibrated(of, scores)
    return arrays, {
        "names": names,
        "units": units,
        "calibration": made.numbers,
        "topic": made.topic,
        "fact": made.fact,
    }


def write(phrases: Path, folder: Path, kb: KB) -> dict[str, Any]:
    """Write the weights into a folder and return what is said of them."""
    arrays, said = learn(phrases, kb)
    folder.mkdir(exist_ok=True)
    np.savez_compressed(folder / "hearing.npz", **arrays)  # type: ignore[arg-type]
    said["sources"] = source_hash(phrases, kb)
    said["arrays"] = {name: hashlib.sha256(a.tobytes()).hexdigest() for name, a in arrays.items()}
    whole = json.dumps({k: said[k] for k in sorted(said)}, sort_keys=True)
    said = {"key": hashlib.blake2b(whole.encode(), digest_size=20).hexdigest(), **said}
    (folder / "hearing.json").write_text(json.dumps(said, indent=1) + "\n", "utf-8")
    return said


if __name__ == "__main__":
    made = write(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else DATA, load_kb())
    print(made["key"], made["calibration"])
