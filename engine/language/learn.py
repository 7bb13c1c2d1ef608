"""Make the hearer's weights again: `python -m dryfloor.engine.language.learn PHRASES [FOLDER]`, at build only.

PHRASES is the folder of phrases by writers, `tests/phrases`. Learns from them and from the shipped kb's `hear` phrases, fits the
calibration on writers left out, and writes `hearing.npz` (whole numbers) and `hearing.json` (names, units, calibration, hashes).
Takes a minute or so and about 1.5 GB.
"""

import hashlib
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..knowledge.load import load_kb
from ..model import KB
from . import features, phrase_book, tokens, training, word_pieces
from .calibration import MILLION, fitted, threshold
from .hearer import IDF_UNIT, Hearer, phrase_number
from .overlap import said_in
from .phrase_book import GATES, KB_WRITER, OTHER, Example
from .phrases import index_with
from .word_pieces import DATA

Array = NDArray[Any]
RIDGE = 0.3  # of complaints, as in the comparison of hearers before this one [-]
OTHER_WEIGHT = 3.0  # how much more than a complaint's the phrases of "something else" weigh, by class [-]; judgement
ASIDE_RIDGE = 1.0  # of dangers and facts [-]
GATE_RECALL = 0.97  # share of dangers, by writers left out, whose gate is to be raised
FACT_RIGHT = 0.9  # share of facts offered, by writers left out, that are to be right
NEVER = 9.0  # a bound that no score reaches
UNLEARNT = Hearer("", [], {}, {}, [], np.zeros(0), np.zeros(0), np.zeros(0), (np.zeros(0),) * 3, np.zeros(0), {})
SOURCES = (features, phrase_book, tokens, training, word_pieces)  # code that the weights depend on


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
    said = Counter((f, o) for e in writers for f, o in (e.facts or {}).items())
    options = [(f.id, o) for f in kb.facts.values() for o in f.options if said[f.id, o]]
    hazards = list(dict.fromkeys(GATES.values()))
    aside = [*(f"hazard:{h}" for h in hazards), "gate", *(f"fact:{f}:{o}" for f, o in options)]
    told = np.array([i for i, e in enumerate(examples) if e.complaints])
    meant = np.array([[float(c in examples[i].complaints) for c in complaints] for i in told])
    asked = np.array([i for i, e in enumerate(examples) if e.hazards is not None or e.facts is not None])
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


def left_out_scores(of: Lesson) -> tuple[Array, Array]:
    """Return each example's scores from the other writers alone: complaints (told, complaints), and aside (asked, aside)."""

    def part(at: Array, ridge: Array, targets: Array) -> Array:
        groups = [of.examples[i].writer for i in at]
        return training.left_out(of.kernel[np.ix_(at, at)], ridge, targets, groups)

    return (
        part(of.told, complaint_ridge(of.meant), of.meant),
        part(of.asked, np.full(len(of.asked), ASIDE_RIDGE), of.noted),
    )


def gate_score(scores: Array, hazards: int) -> Array:
    """Return how much a text tells of any danger: its greatest hazard's score and that of `gate`."""
    return np.asarray(scores[:, :hazards].max(1) + scores[:, hazards])


def fact_bound(scores: Array, right: Array) -> float:
    """Return the least bound from which on facts said by phrase are right often enough; above any score where none are.

    One more that is wrong is counted among those offered, so that few right ones by chance are no proof.
    """
    order = np.argsort(-scores, kind="stable")
    share = np.cumsum(right[order]) / np.arange(2, len(order) + 2)
    good = np.flatnonzero(share >= FACT_RIGHT)
    return float(scores[order[good[-1]]]) if len(good) else NEVER


def calibrated(of: Lesson, complaints: Array, aside: Array, leave: str = "") -> dict[str, int]:
    """Return the calibration from scores of writers left out, in millionths; one writer more may stay out of it."""
    rows = [r for r, i in enumerate(of.told) if of.examples[i].writer not in (KB_WRITER, leave)]
    slope, shift = fitted(complaints[rows], of.meant[rows] > 0, len(of.complaints) - 1)
    rows = [r for r, i in enumerate(of.asked) if of.examples[i].writer not in (KB_WRITER, leave)]
    hazards = of.aside.index("gate")
    danger = gate_score(aside[rows], hazards)
    gate = threshold(danger.tolist(), (of.noted[rows, hazards] > 0).tolist(), GATE_RECALL)
    said = of.phrased[rows]
    fact = fact_bound(aside[rows][said], of.noted[rows][said] > 0)
    return {
        "slope": round(slope * MILLION),
        "shift": round(shift * MILLION),
        "gate": int(np.floor(gate * MILLION)),
        "fact": int(np.ceil(fact * MILLION)),
    }


def source_hash(phrases: Path, kb: KB) -> str:
    """Return the hash of what the weights come from: phrases, the kb's `hear` phrases, word pieces, and the code that learns."""
    digest = hashlib.sha256()
    for path in [
        *sorted(phrases.glob("?.yaml")),
        *(DATA / name for name in ("pieces.txt", "piece_vectors.npy", "piece_weights.npy")),
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
    complaints, aside = left_out_scores(of)
    names = [*of.complaints, *of.aside]
    weights = np.zeros((len(examples), len(names)))
    for at, ridge, targets, columns in (
        (of.told, complaint_ridge(of.meant), of.meant, slice(0, len(of.complaints))),
        (of.asked, np.full(len(of.asked), ASIDE_RIDGE), of.noted, slice(len(of.complaints), None)),
    ):
        weights[at, columns] = np.linalg.solve(training.ridged(of.kernel[np.ix_(at, at)], ridge), targets)
    by_feature, by_vector = training.primal(known, weights)
    units: dict[str, list[float]] = {}
    arrays: dict[str, Array] = {
        "keys": known.keys,
        "idf": np.rint(known.idf * IDF_UNIT).astype(np.uint16),
        "rows": known.vectors.astype(np.int8),
        "phrases": np.array(
            [phrase_number(e.say) if e.writer == KB_WRITER and e.complaints else 0 for e in examples], np.uint32
        ),
    }
    for name, values in (("of_features", by_feature), ("of_vector", by_vector), ("of_rows", weights)):
        arrays[name], unit = training.whole_numbers(values)
        units[name] = [float(f"{u:.9g}") for u in unit]
    return arrays, {"names": names, "units": units, "calibration": calibrated(of, complaints, aside)}


def write(phrases: Path, folder: Path, kb: KB) -> dict[str, Any]:
    """Write the weights into a folder and return what is said of them."""
    arrays, said = learn(phrases, kb)
    folder.mkdir(exist_ok=True)
    np.savez(folder / "hearing.npz", **arrays)  # type: ignore[arg-type]
    said["sources"] = source_hash(phrases, kb)
    said["arrays"] = {name: hashlib.sha256(a.tobytes()).hexdigest() for name, a in arrays.items()}
    whole = json.dumps({k: said[k] for k in sorted(said)}, sort_keys=True)
    said = {"key": hashlib.blake2b(whole.encode(), digest_size=20).hexdigest(), **said}
    (folder / "hearing.json").write_text(json.dumps(said, indent=1) + "\n", "utf-8")
    return said


if __name__ == "__main__":
    made = write(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else DATA, load_kb())
    print(made["key"], made["calibration"])
