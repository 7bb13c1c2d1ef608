"""Later cases played again: what was answered is answered again, and two kbs that are the same cost the same."""

from dataclasses import replace

import pytest

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.learning.numbers import numbers_of, with_numbers
from dryfloor.engine.learning.passing import Spool
from dryfloor.engine.learning.replay import chosen, place_of, replayed
from tests.support.lessons import lessons
from tests.support.shipped import shipped


def known():
    return [x for x in lessons() if x.truth is not None]


def test_a_place_answers_as_it_was_answered_and_has_what_it_turned_out_to_be():
    network = network_of(shipped())
    for lesson in known():
        site = place_of(network, lesson, "1")
        assert site is not None
        assert site.causes == {lesson.truth} - {""}
        assert site.facts.items() >= {*lesson.begun.facts}
        assert {*site.facts} == {*shipped().facts}
        said = [a for a in lesson.begun.answers if not a.proof]
        assert said
        for a in said:
            check = shipped().checks[a.check]
            assert site.answer(network, check, a.hands) == a.said
            # Whatever would be drawn there: each answer that could have been given is given again.
            for other in check.answers:
                again = replace(site, answered=site.answered | {(a.check, a.hands): other})
                assert again.answer(network, check, a.hands) == other
    other = next(x for x in lessons() if x.truth is None) if len(known()) < len(lessons()) else None
    assert other is None or place_of(network, other, "1") is None


def test_after_a_mend_an_answer_may_be_another():
    """The first check that was answered otherwise than where nothing is at work: mended, the place no longer says what was said."""
    network = network_of(shipped())
    changed = 0
    for lesson in known():
        site = place_of(network, lesson, "1")
        changed += any(
            site.answer(network, shipped().checks[a.check], a.hands, [lesson.truth]) != a.said
            for a in lesson.begun.answers
        )
    assert changed


def test_a_kb_beside_itself_costs_the_same():
    network = network_of(shipped())
    found = replayed(network, network, network, known())
    assert found.cases == len(known())
    assert found.cost[0] == found.cost[1] > 0
    assert found.minutes[0] == found.minutes[1]
    assert (found.less, found.error) == (0.0, 0.0)


def test_a_kb_that_believes_the_opposite_costs_more():
    """Rates turned round, the rarest cause the likeliest: what was learned from nobody is worse than the judgement."""
    kb = shipped()
    rates = {k: p for k, p in numbers_of(network_of(kb)).items() if k[0] == "rate"}
    turned = dict(zip(sorted(rates, key=lambda k: rates[k]), sorted(rates.values(), reverse=True), strict=True))
    found = replayed(network_of(kb), network_of(kb), Network(with_numbers(kb, turned)), known())
    assert found.less == pytest.approx(found.cost[0] - found.cost[1])
    assert found.less < 0


def test_those_that_are_played_are_spread_over_all(tmp_path):
    spool = Spool(tmp_path / "cases", 3)
    spool.write(lessons())
    assert chosen(spool.part()) == known()
    assert chosen(spool.part(), most=3) == known()[:: len(known()) // 3][:3]
    assert chosen(spool.part(0, 0)) == []
