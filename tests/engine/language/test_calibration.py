"""Twin of engine/language/calibration.py."""

import itertools
import math

import numpy as np
import yaml
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.language.calibration import (
    BANDS,
    chances,
    fact_odds,
    fact_signs,
    fact_terms,
    fitted,
    threshold,
    topic_signs,
    word,
)
from dryfloor.engine.language.learn import FACT_TERMS


@given(st.dictionaries(st.sampled_from(["walks", "noisy", "other", "siphons"]), st.floats(-2, 2), min_size=1))
def test_chances_add_up_to_one_and_keep_the_order(scores: dict[str, float]) -> None:
    found = chances(scores, 8.0, 0.0)
    assert math.isclose(math.fsum(found.values()), 1.0)
    ranked = sorted(scores, key=lambda c: scores[c])
    assert all(found[a] <= found[b] for a, b in itertools.pairwise(ranked))


def test_the_words_are_those_of_the_kb_and_their_middles_lie_in_the_bands() -> None:
    words = yaml.safe_load((home() / "scales.yaml").read_text())["words"]
    assert [w for _, w in BANDS] == list(words)
    assert all(word(100 * middle) == name for name, middle in words.items())
    assert (word(0.0), word(54.9), word(55.0), word(100.0)) == (
        "almost no chance",
        "roughly even",
        "likely",
        "almost certain",
    )


def test_the_fit_finds_the_slope_that_made_the_answers() -> None:
    draw = np.random.default_rng(1)
    scores = draw.normal(size=(20000, 3)) * 0.3
    p = np.exp(6 * scores)
    p /= p.sum(1, keepdims=True)
    picked = (draw.random((20000, 1)) < np.cumsum(p, 1)).argmax(1)
    slope, shift = fitted(scores, np.eye(3)[picked] > 0, 2)
    assert abs(slope - 6) <= 0.5
    assert abs(shift) <= 0.05


@given(
    st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1).filter(lambda r: any(b for _, b in r)),
    st.floats(0.1, 1),
)
def test_the_bound_keeps_the_recall_and_no_greater_one_does(rows: list[tuple[float, bool]], recall: float) -> None:
    right = [s for s, r in rows if r]
    bound = threshold([s for s, _ in rows], [r for _, r in rows], recall)
    assert sum(s >= bound for s in right) >= recall * len(right) - 1e-6
    assert sum(s > bound for s in right) < recall * len(right)


def test_signs_of_a_story_look_at_its_best_part() -> None:
    whole = {"walks": 0.3, "noisy": 0.1, "other": 0.4}
    part = {"walks": 0.9, "noisy": 0.0, "other": 0.0}
    one, more = topic_signs(whole, [], "it hops"), topic_signs(whole, [part, whole], "it hops. my sister called")
    assert len(one) == len(more) == 15 + 2
    assert one[:2] == more[:2] == [0.3, 0.1]
    assert one[4] == 0.3
    assert more[4] == 0.9
    assert (one[7], more[7]) == (0.4, 0.0)


def test_an_option_is_held_against_the_others_of_its_fact() -> None:
    scores = {"fact:floor:concrete": 0.6, "fact:floor:wood-joists": 0.5, "fact:drain:tub": 0.9}
    signs = fact_signs(scores, [], "fact:floor:concrete", True, "on a concrete floor", 9.0)
    assert signs[0] == 0.6
    assert round(signs[3], 9) == 0.1
    assert signs[-1] == 6.0
    assert fact_signs(scores, [], "fact:drain:tub", False, "a tub", 0.0)[3] == 0.9


def test_options_share_signs_and_products_and_each_has_weights_of_its_own() -> None:
    signs = [0.5, 0.25, 0.5, 0.0, -1.0, 1.0, 0.5, 2.0, -3.0]
    one, other = fact_terms(signs, 0), fact_terms(signs, 3)
    assert len(one) == len(other) == FACT_TERMS + 4
    assert [t for t in one if t in other] == one[:FACT_TERMS]
    assert not {at for at, _ in one[FACT_TERMS:]} & {at for at, _ in other[FACT_TERMS:]}
    # Against the sum written out: all signs, all pairs, the option's own four.
    weights = [math.sin(n) for n in range(FACT_TERMS + 16 + 1)]
    pairs = [signs[i] * signs[j] for i in range(9) for j in range(i, 9)]
    own = [1.0, signs[0], signs[1], signs[5]]
    told = sum(w * t for w, t in zip(weights[:FACT_TERMS], [*signs, *pairs], strict=True))
    told += sum(w * t for w, t in zip(weights[FACT_TERMS + 12 :], own, strict=False))
    assert math.isclose(fact_odds(weights, signs, 3), told + weights[-1], abs_tol=2e-6)
