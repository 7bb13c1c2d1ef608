"""The strength words of scales.yaml against the published bands of ICD 203."""

import math

import pytest

# US ICD 203 (the year 2015 from memory, M): seen in two independent copies (S). Bands in per cent.
BANDS = {
    "almost no chance": (1, 5),
    "very unlikely": (5, 20),
    "unlikely": (20, 45),
    "roughly even": (45, 55),
    "likely": (55, 80),
    "very likely": (80, 95),
    "almost certain": (95, 99),
}
# Middles in log-odds, worked out by hand (D).
MIDDLES = {
    "almost no chance": 0.0225,
    "very unlikely": 0.1029,
    "unlikely": 0.3114,
    "roughly even": 0.5,
    "likely": 0.6886,
    "very likely": 0.8971,
    "almost certain": 0.9775,
}
OPPOSITE = dict(zip(BANDS, reversed(BANDS), strict=True))


def log_odds(p: float) -> float:
    return math.log(p / (1 - p))


def test_the_words_are_those_of_the_scale_in_its_order(kb) -> None:
    assert list(kb.scales.words) == list(BANDS)
    values = list(kb.scales.words.values())
    assert values == sorted(set(values))
    assert kb.scales.source in kb.sources
    assert kb.sources[kb.scales.source].grade in ("S", "M")  # nobody read the publisher's own text


@pytest.mark.parametrize("word", BANDS)
def test_each_is_the_middle_of_its_band_in_log_odds(kb, word: str) -> None:
    """Within the four digits that are written."""
    low, high = BANDS[word]
    middle = (log_odds(low / 100) + log_odds(high / 100)) / 2
    assert kb.scales.words[word] == pytest.approx(1 / (1 + math.exp(-middle)), abs=5e-5)
    assert kb.scales.words[word] == pytest.approx(MIDDLES[word], abs=1e-12)
    assert low / 100 < kb.scales.words[word] < high / 100


def test_log_odds_of_the_middles(kb) -> None:
    """0, ± .793, ± 2.165, ± 3.770 (D), within what four digits of a chance allow."""
    odds = [log_odds(p) for p in kb.scales.words.values()]
    assert odds == pytest.approx([-3.770, -2.165, -0.793, 0.0, 0.793, 2.165, 3.770], abs=3e-3)


@pytest.mark.parametrize("word", BANDS)
def test_a_word_and_its_opposite_make_one(kb, word: str) -> None:
    assert kb.scales.words[word] + kb.scales.words[OPPOSITE[word]] == pytest.approx(1, abs=1e-12)


def test_bands_meet_and_leave_no_gap() -> None:
    bands = list(BANDS.values())
    assert [high for _, high in bands[:-1]] == [low for low, _ in bands[1:]]


def test_every_strength_of_the_kb_is_a_word_or_rests_on_something(kb) -> None:
    for cause in kb.causes.values():
        strengths = [s.strength for s in cause.shows] + [cause.remedy.cures]
        strengths += [cause.breaks.strength] if cause.breaks and cause.breaks.strength else []
        for s in strengths:
            assert s in kb.scales.words if isinstance(s, str) else (0 < s.n < 1 and s.basis), cause.id
