"""Twin of engine/language/matching.py and phrases.py: laws that always hold, and what must be heard for safety.

How well people are heard is measured by writers left out: `python -m tests.bench hearing`.
"""

import json
import subprocess
import sys

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine import model
from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.language import matching as ears
from dryfloor.engine.language.phrase_book import written
from dryfloor.engine.language.tokens import HEARD_MAX
from tests.support.places import ROOT, TESTS
from tests.support.plain_yaml import plain_yaml
from tests.support.shipped import shipped


def of_what_is_heard() -> model.KB:
    """The kb's own complaints, facts and hazards; a mistake in another file is no business of these tests."""

    def rows(name: str, kind: type) -> dict:
        return {r.id: r for r in msgspec.convert(plain_yaml(home() / name), list[kind])}

    def one(name: str, kind: type):
        return msgspec.convert(plain_yaml(home() / name), kind)

    return model.KB(
        complaints=rows("complaints.yaml", model.Complaint), facts=rows("facts.yaml", model.Fact),
        hazards=rows("hazards.yaml", model.Hazard), rules={}, checks={}, causes={}, parts={}, sources={},
        roles=one("roles.yaml", model.Roles), scales=one("scales.yaml", model.Scales),
    )  # fmt: skip


SAID = [{"say": e.say} for e in written(TESTS / "phrases")]
KB = of_what_is_heard()


def ids(text: str) -> list[str]:
    return [m.complaint for m in ears.hear(text, KB).complaints]


@pytest.mark.parametrize("every", [5, pytest.param(1, marks=pytest.mark.slow)])
def test_every_phrase_of_the_kb_finds_its_own_complaint(every: int) -> None:
    for c in KB.complaints.values():
        for words in c.hear[::every]:
            assert c.id in ids(words)[:2], words


@pytest.mark.parametrize(
    ("text", "absent", "first"),
    [
        ("no leak, but it will not drain", "water-on-floor", "no-drain"),
        ("it does not walk, it leaks all over the floor", "walks", "water-on-floor"),
        ("it drains fine but never fills up", "no-drain", "siphons"),
        ("the floor is dry, nothing is frozen, it just shakes", "freeze-damage", "walks"),
        ("it won't stop shaking", "no-drain", "walks"),
    ],
)
def test_a_not_turns_a_word_round(text: str, absent: str, first: str) -> None:
    heard = ears.hear(text, KB).complaints
    assert heard[0].complaint == first
    assert absent not in [m.complaint for m in heard if m.likely]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("My dishwasher leaks on the floor", "dishwasher"),
        ("the toilet overflows. it floods the floor", "toilet"),
        ("my dryer is shaking", "dryer"),
        ("my dryer won't heat", "dryer"),
        ("no hot water in the shower", "shower"),
        ("the hot tub will not drain", "hot tub"),
    ],
)
def test_another_machine_is_off_topic_and_named(text: str, named: str) -> None:
    heard = ears.hear(text, KB)
    assert heard.complaints == []
    assert named in (heard.off_topic or "")


@pytest.mark.parametrize(
    "text",
    ["dryer is fine but the washer shakes", "the toilet gurgles when the washer drains", "it jumps against the dryer"],
)
def test_a_washer_beside_another_machine_is_heard(text: str) -> None:
    assert ids(text)
    assert ears.hear(text, KB).off_topic is None


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("it is wet behind the washer", "water-on-floor"),
        ("it takes in water and takes in water and there is none in it", "siphons"),
        ("hops about like a goat", "walks"),
        ("the cellar is a pond", "water-on-floor"),
        ("the dryer takes hours because the clothes are so wet", "spin-wet"),
        ("the washer won't come on", "no-power"),
        ("pipes bang when it fills", "water-hammer"),
        ("it bangs when it spins", "walks"),
        ("it stops before the spin with water in it", "no-drain"),
        ("the drum is empty and the clothes are soaked", "spin-wet"),
        ("it fills very slowly", "slow-fill"),
        ("it fills and drains at the same time", "siphons"),
        ("the pump is dead", "no-drain"),
        ("the washer is dead", "no-power"),
    ],
)
def test_neighbours_are_told_apart(text: str, first: str) -> None:
    assert ids(text)[0] == first


@pytest.mark.parametrize(
    ("text", "fact", "option"),
    [
        ("just installed and the pipes bang", "onset", "new"),
        ("since we moved it leaks", "onset", "moved"),
        ("brand new front loader", "machine", "front-loader"),
        ("it stands in an unheated garage and froze", "place", "unheated"),
        ("every load", "rhythm", "every-time"),
        ("I already leveled it", "tried-levelling", "tried"),
        ("a gas dryer next to it", "dryer-beside", "gas-dryer"),
    ],
)
def test_circumstances_are_heard(text: str, fact: str, option: str) -> None:
    assert (fact, option) in [(f.fact, f.option) for f in ears.hear(text, KB).facts]


@pytest.mark.parametrize(
    ("text", "heard"),
    [
        ("hops about when it spins, since it was installed", ["walks"]),
        ("leaks since it was installed", ["water-on-floor"]),
        ("leaks on every load", ["water-on-floor"]),
        ("just installed", ["first-run"]),
    ],
)
def test_since_when_is_no_complaint_beside_one(text: str, heard: list[str]) -> None:
    assert ids(text) == heard


@pytest.mark.parametrize("text", ["upstairs machine hops about", "it leaks, the washer is on the second floor"])
def test_a_fact_that_is_only_likely_is_left_to_be_asked(text: str) -> None:
    # Of what people said about floors upstairs, less than half meant wood joists: tests/phrases.
    assert "floor" not in {f.fact for f in ears.hear(text, KB).facts}


@pytest.mark.parametrize("text", ["it moved across the room", "the hose at the front", "not new", "new hose"])
def test_circumstances_are_not_made_up(text: str) -> None:
    assert not {f.fact for f in ears.hear(text, KB).facts} & {"onset", "machine"}


@pytest.mark.parametrize(
    "text",
    [
        "some lights get bright and the others dim",
        "fridge just died too and lights got bright",
        "one lamp flares up and the other one sinks when the washer starts",
        "half the lights are too bright, half are dim",
    ],
)
def test_lights_that_brighten_are_a_lost_neutral(text: str) -> None:
    assert "lost-neutral" in {h.hazard for h in ears.hear(text, KB).hazards}


@pytest.mark.parametrize("text", ["the lights dim when it spins", "all the lights go a bit dim, none of them brighter"])
def test_lights_that_only_dim_are_none(text: str) -> None:
    # Its gate is asked with lights that dim in any case; that it was named would be made up.
    assert "lost-neutral" not in {h.hazard for h in ears.hear(text, KB).hazards if h.surely}


@pytest.mark.parametrize(
    ("text", "hazard"),
    [
        ("I smell gas", "gas-smell"),
        ("it smells like buring rubber", "burning-smell"),
        ("my washer gave me a shock", "shock-tingle"),
        ("dryer next door smells of gas, and the washer walks", "gas-smell"),
        ("water is pouring out", "water-running"),
        ("the outlet got wet", "water-near-electricity"),
    ],
)
def test_hazards_are_heard_whatever_the_story(text: str, hazard: str) -> None:
    assert hazard in [h.hazard for h in ears.hear(text, KB).hazards]


def test_a_hazard_denied_is_none() -> None:
    assert ears.hear("there is no smell of gas", KB).hazards == []


WHOLE = shipped()


@pytest.mark.parametrize(
    ("text", "check", "answer"),
    [
        ("water on the floor, only when it drains", "when-water-shows", "draining"),
        ("leaks only when it spins", "when-water-shows", "spinning"),
        ("leaks only while filling", "when-water-shows", "filling"),
        ("it drips on the floor even when it is turned off", "when-water-shows", "idle"),
        ("makes a racket only when it pumps out", "noise-moment", "draining"),
        ("it is loud in the spin", "noise-moment", "fast-spin"),
        ("it trips the moment I plug it in", "trip-moment", "at-once"),
        ("the standpipe overflows after a minute", "overflow-timing", "after-a-while"),
    ],
)
def test_an_answer_given_beforehand_is_heard(text: str, check: str, answer: str) -> None:
    assert [(a.check, a.answer) for a in ears.hear(text, WHOLE).answers] == [(check, answer)]


@pytest.mark.parametrize(
    ("text", "answers"),
    [
        ("it trips the breaker the moment I plug it in", {("trip-moment", "at-once"), ("device-tripped", "tripped")}),
        ("the pipes bang when it stops filling", {("pipe-noise-when", "at-stop"), ("noise-kind", "knocks")}),
    ],
)
def test_one_sentence_answers_two_checks(text: str, answers: set[tuple[str, str]]) -> None:
    assert {(a.check, a.answer) for a in ears.hear(text, WHOLE).answers} == answers


@pytest.mark.parametrize(
    "text",
    [
        "leaks, but not when it spins",
        "it leaks when it fills and it leaks when it drains",  # two moments: the question has to be asked
        "the drain hose leaks on the floor",
        "water on the floor and it won't drain",
        "the washer leaks on the floor all the time",  # at every wash, or even when off? that must be asked
        "it walks when it spins",  # no complaint that the question belongs to
    ],
)
def test_an_answer_is_not_made_up(text: str) -> None:
    assert ears.hear(text, WHOLE).answers == []


@pytest.mark.parametrize(
    "text", ["it will not start", "won't start", "my washer won't start anymore", "nothing happens when I press start"]
)
def test_not_starting_is_no_power(text: str) -> None:
    assert ids(text)[0] == "no-power"


def check_form(heard: ears.Heard) -> None:
    scores = [m.score for m in heard.complaints]
    assert all(ears.POSSIBLE <= s <= 100 and s == round(s, 1) for s in scores)
    assert heard.complaints == sorted(heard.complaints, key=lambda m: (-m.score, m.complaint))
    assert len({m.complaint for m in heard.complaints}) == len(scores)
    assert len({f.fact for f in heard.facts}) == len(heard.facts)
    assert (heard.off_topic is None) == bool(scores)
    assert sorted(heard.order) == sorted(KB.complaints)
    for m in heard.complaints:
        c = KB.complaints[m.complaint]
        assert m.words in [*c.hear, c.says]
        assert m.chance in KB.scales.words


WORDS = sorted({w for s in SAID for w in s["say"].split()})


@settings(max_examples=80, deadline=None)
@given(st.one_of(st.text(max_size=200), st.lists(st.sampled_from(WORDS), max_size=40).map(" ".join)))
def test_any_text_is_heard_in_good_form_and_twice_the_same(text: str) -> None:
    heard = ears.hear(text, KB)
    check_form(heard)
    assert ears.hear(text, KB) == heard


def without_told(heard: ears.Heard) -> ears.Heard:
    plain = [msgspec.structs.replace(m, told="") for m in heard.complaints]
    return msgspec.structs.replace(heard, complaints=plain)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from([s["say"] for s in SAID]))
def test_case_spaces_and_apostrophes_do_not_matter(text: str) -> None:
    heard = without_told(ears.hear(text, KB))
    assert without_told(ears.hear(f"  {text.upper()} \t", KB)) == heard
    assert without_told(ears.hear(text.replace("'", "\u2019"), KB)) == heard


@pytest.mark.parametrize("text", ["", "   ", "\x00\x1b[31m", "\U0001f4a7\U0001f4a7", "?!.,;", "\u200b\ufeff", "\ud800"])
def test_nothing_said_is_answered_with_a_reason(text: str) -> None:
    heard = ears.hear(text, KB)
    check_form(heard)
    assert heard.complaints == []
    assert heard.off_topic


def test_only_the_beginning_of_a_very_long_text_is_heard() -> None:
    story = "the washer walks across the room. " * 3000
    assert ears.hear(story, KB) == ears.hear(story[:HEARD_MAX], KB)
    assert ears.hear("x" * 100_000 + " the washer walks", KB).complaints == []


@pytest.mark.parametrize(
    "text",
    [
        "wet " * 10_000,
        " ".join(f"qz{n}x" for n in range(8000)),
        "a" * 65536,
        "\u6d17\u8863\u673a\u6f0f\u6c34" * 400,
        "\u0645\u064a\u0627\u0647 " * 900,
        "?!" * 30_000,
        "'" * 60_000,
    ],
)
def test_long_strange_and_foreign_texts_get_an_answer_in_words(text: str) -> None:
    heard = ears.hear(text, KB)
    check_form(heard)
    assert heard.complaints or (heard.off_topic or "").endswith((".", "?"))


def test_a_danger_beside_a_denied_one_is_heard() -> None:
    assert [h.hazard for h in ears.hear("there is no smoke, but I smell gas", KB).hazards] == ["gas-smell"]


def test_two_troubles_in_one_story_are_both_offered() -> None:
    story = "The washer walks across the room when it spins. And it will not drain, the drum stays full of water."
    heard = ears.hear(story, KB).complaints
    assert {"walks", "no-drain"} <= {m.complaint for m in heard}
    assert all(m.told in story for m in heard)


def test_import_leaves_rapidfuzz_alone() -> None:
    code = "import sys, dryfloor.engine.language.matching; sys.exit('rapidfuzz' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0


@pytest.mark.slow
def test_same_in_every_process(kept_kb) -> None:
    """String hashes differ between processes; what is heard must not."""
    code = (
        "import json, sys; from pathlib import Path; from dryfloor.engine.knowledge.cache import load_cached;"
        "from dryfloor.engine.language.matching import hear; kb = load_cached(None, Path(sys.argv[1]));"
        "print([hear(said, kb) for said in json.load(sys.stdin)])"
    )
    said = json.dumps([s["say"] for s in SAID[::41]])
    outs = {
        subprocess.run(
            [sys.executable, "-c", code, kept_kb],
            cwd=ROOT,
            check=True,
            capture_output=True,
            input=said,
            text=True,
            env={"PYTHONHASHSEED": n, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        ).stdout
        for n in ("1", "2")
    }
    kb = shipped()
    outs.add(f"{[ears.hear(s['say'], kb) for s in SAID[::41]]}\n")  # the third process is this one
    assert len(outs) == 1
    assert outs.pop().count("Heard(") == len(SAID[::41])
