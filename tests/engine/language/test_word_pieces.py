"""Twin of engine/language/word_pieces.py; the table's hashes are those that data/PROVENANCE.md names."""

import hashlib

import numpy as np

from dryfloor.engine.language.distil import packed
from dryfloor.engine.language.word_pieces import DATA, PACKED, UNIT, PieceTable, piece_table


def test_the_table_is_the_one_whose_making_is_written_down() -> None:
    said = (DATA / "PROVENANCE.md").read_text("utf-8")
    with np.load(PACKED, allow_pickle=False) as kept:
        for name in kept.files:
            raw = kept[name].tobytes()
            assert f"| {name} | {len(raw)} | {hashlib.sha256(raw).hexdigest()} |" in said
    assert PACKED.stat().st_size < 1.8e6


def test_what_is_shipped_takes_four_megabytes_at_most() -> None:
    """The aim for weights and word pieces together: 2 to 4 MB."""
    assert 2e6 < sum(f.stat().st_size for f in DATA.glob("*.np*")) < 4.0e6


def test_numbers_are_unpacked_two_from_a_byte() -> None:
    table = PieceTable(
        {}, np.array([[0xF1, 0x80], [0x0F, 0x97]], np.uint8), np.array([1, 10, 2, 3]), np.ones(2, np.uint16)
    )
    assert table.numbers([1, 0]).tolist() == [[-8, 70, 2, -3], [7, -70, 0, -24]]
    assert table.dims == 4


def test_four_bits_are_the_numbers_that_eight_said_but_for_half_a_step() -> None:
    eight = np.clip(np.rint(np.random.default_rng(7).normal(0, 30, (500, 6))), -127, 127).astype(np.int8)
    bits, steps = packed(eight)
    table = PieceTable({}, bits, steps.astype(np.int64), np.ones(500, np.uint16))
    off = np.abs(table.numbers(list(range(500))) - eight)
    inside = np.abs(eight) <= 7.5 * steps
    assert (off[inside] <= steps.max() / 2).all()
    assert inside.mean() > 0.98


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
