"""What the bench of growth does without a clock: walks that repeat themselves, work that is counted, and tables that say what was seen."""

import random

import pytest

from dryfloor.engine.diagnosis.network import network_of, priors
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.language import matching, own_phrases
from dryfloor.engine.language.phrases import index_of
from tests.bench import growth
from tests.bench.synthetic import write
from tests.bench.table import markdown


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Two made-up kbs, the larger of three times the causes."""
    out = []
    for size in (100, 300):
        folder = tmp_path_factory.mktemp("grown") / str(size)
        write(folder, size)
        out.append(load_kb(folder))
    return out


@pytest.mark.slow
def test_a_walk_repeats_itself_and_says_the_same_in_a_larger_kb(made):
    said = [growth.walked(kb, "trouble-000-1", "desk", 0)[1] for kb in (made[0], made[0], made[1])]
    assert said[0].count(b"\n") >= 2
    assert said[0] == said[1] == said[2]


def test_a_story_is_held_closely_against_the_nearest_phrases_and_not_against_all(made, monkeypatch):
    counts = []
    for kb in made:
        index, blocks, asked = index_of(kb), own_phrases._blocks, []

        def counted(words, blocks=blocks, asked=asked):
            asked.append(words)
            return blocks(words)

        monkeypatch.setattr(own_phrases, "_blocks", counted)
        heard = matching._heard.__wrapped__(kb.complaints["trouble-000-1"].hear[0], index)
        monkeypatch.undo()
        assert heard.complaints[0].complaint == "trouble-000-1"
        counts.append((len(asked), len(index.own)))
    (near, phrases), (near_large, phrases_large) = counts
    assert phrases_large > 2.9 * phrases
    assert 0 < near == near_large <= own_phrases.NEAREST


def test_an_answer_calls_as_many_functions_in_a_larger_kb(made):
    counts = []
    for kb in made:
        growth.walked(kb, "trouble-000-4", "technician", 0)  # what is done once for each process
        counts.append(growth.calls(network_of(kb), ["trouble-000-4"]))
    small, large = counts
    assert large == small > 1000


def test_words_are_heard_once_for_all_answers_of_a_case(made):
    kb = made[0]
    growth.walked(kb, "trouble-000-3", "technician", 0)
    before = matching._heard.cache_info()
    growth.walked(kb, "trouble-000-3", "technician", 0)
    after = matching._heard.cache_info()
    assert after.misses == before.misses
    assert after.hits > before.hits + 2


def test_only_rules_that_a_reading_feeds_are_looked_at(made):
    for kb in made:
        network = network_of(kb)
        worked = [r.id for r in kb.rules.values() if r.model and r.model.gives]
        assert sorted(rule.id for some in network.modelled.values() for _, rule in some) == worked
        assert [rule.id for _, rule in network.modelled["height-000-0"]] == ["margin-000"]


def test_chances_of_all_causes_are_the_same_for_each_alone(made):
    # With no complaint all causes are in play; each one's table must be what it is by itself.
    network = network_of(made[0])
    causes = sorted(made[0].causes)
    _, together = priors(network, causes, {})
    for cause, table in zip(causes, together, strict=True):
        network.forget()
        alone = priors(network, [cause], {})[1][0]
        assert (table.chance == alone.chance).all()
        assert len(table.facts) == len(network.bears[cause])


def test_abnormal_answers_come_one_after_the_other(kb):
    network = network_of(kb)
    few, many = (growth.abnormal(network, "siphons", n) for n in (3, 8))
    assert many[:3] == few
    assert all(e.answer == next(iter(kb.checks[e.check].answers)) for e in many)


def test_every_step_gets_a_reply_that_the_engine_takes(kb):
    dice = random.Random(1)
    assert growth.reply(kb, "remedy", "standpipe-too-low", dice).did == "could-not"
    assert growth.reply(kb, "check", "standpipe-height", dice).value in (
        kb.rules["standpipe-height"].min,
        kb.rules["standpipe-height"].max,
    )


def found(causes, later, advice="a"):
    return {
        "causes": causes, "cold": causes / 100, "cold_peak": 50.0, "cache": 3000 * causes, "bare": 50.0, "cached": causes / 1e4,
        "net": causes / 1e4, "index": causes / 1e4, "hear": [0.001], "first": [0.02], "later": [later, later], "advice": advice, "calls": 1000.0,
        "touched": {"causes": [20], "checks": [50], "facts": [4]}, "peak": 60.0,
    }  # fmt: skip


def test_the_table_says_how_much_slower_and_whether_the_advice_is_the_same():
    table = growth._sizes({"shipped": found(149, 0.03, "b"), "100": found(100, 0.02), "10000": found(10_000, 0.05)})
    text = markdown(table)
    assert "100 times the causes" in text
    assert "later answers 2.50 times" in text
    assert "the same byte for byte in every size" in text
    assert table.data["per_cause"]["cold"] == pytest.approx(0.01)
    other = growth._sizes({"shipped": found(149, 0.03), "100": found(100, 0.02), "1000": found(1000, 0.02, "c")})
    assert "NOT the same in every size" in markdown(other)


@pytest.mark.slow
def test_a_quick_run_has_a_row_for_each_size_and_each_number_of_positives():
    sizes, positives = growth.run(quick=True)
    assert [row[0] for row in sizes.rows] == ["shipped", "100", "1000"]
    assert [row[1] for row in positives.rows] == ["1", "4", "16"] * 2
    assert sizes.data["same_advice"]
