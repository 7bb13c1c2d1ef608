"""Twin of engine/language/word_pieces.py; the table's hashes are those that data/PROVENANCE.md names."""

import hashlib

import numpy as np

from dryfloor.engine.language.word_pieces import DATA, UNIT, piece_table


def test_the_table_is_the_one_whose_making_is_written_down() -> None:
    said = (DATA / "PROVENANCE.md").read_text("utf-8")
    for name in ("pieces.txt", "piece_vectors.npy", "piece_weights.npy"):
        raw = (DATA / name).read_bytes()
        assert f"| {name} | {len(raw)} | {hashlib.sha256(raw).hexdigest()} |" in said
    assert 2e6 < sum((DATA / n).stat().st_size for n in ("piece_vectors.npy", "piece_weights.npy", "pieces.txt")) < 4e6


def test_words_are_cut_longest_piece_first() -> None:
    table = piece_table()
    names = list(table.place)
    for word in ("washer", "unbalanced", "dripping", "leekage"):
        cut = [names[p] for p in table.pieces(word)]
        assert "".join(p.removeprefix("##") for p in cut) == word
        assert not cut[0].startswith("##")
        assert not any(word[:n] in table.place for n in range(len(cut[0]) + 1, len(word) + 1))
    assert table.pieces("\u6d17") == []


def test_like_words_lie_near() -> None:
    table = piece_table()

    def cosine(a: str, b: str) -> float:
        x, y = table.vector(a), table.vector(b)
        return float(x @ y / np.sqrt((x @ x) * (y @ y)))

    assert cosine("puddle", "flood") > cosine("puddle", "noise")
    assert cosine("smoke", "burning") > cosine("smoke", "slow")
    assert 0.9 * UNIT < np.sqrt(float((table.vector("it leaks") ** 2).sum())) < 1.1 * UNIT
    assert not table.vector("\u6d17\u8863").any()
