"""What was learned, on screen and on its page: every part is there, in words, with the same figures; a month has its bars."""

import pytest

from dryfloor.cli.learning.closed import PassedOver
from dryfloor.cli.render import learned_page, month_page
from dryfloor.cli.render.learned import chances, learned_lines, played_again, to_come
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.learning.backtest import Backtest, Tenth
from dryfloor.engine.learning.certainty import Foretold
from dryfloor.engine.learning.overlay import LearnedNumber
from dryfloor.engine.learning.replay import Replayed
from dryfloor.engine.reports.month import Counted, Held, Month


@pytest.fixture
def data():
    """As `learn` gives it, of invented numbers."""
    tenth = Tenth(0.8, 20, 15, 0.56, 0.88)
    return {
        "cases": 60,
        "left_out": {"given up": 2},
        "known": 40,
        "passes": 7,
        "test": Backtest(42, 18, 12, 0.05, 0.06, (0.2, 0.15), [tenth], [tenth]),
        "better": True,
        "replayed": Replayed(12, (60.0, 55.0), (200.0, 180.0), 20.0, 8.0),
        "to_come": [
            Foretold(complaint="walks", key=["cause", "foot-unloaded"], of=100, mean=31.4, low=22, high=41),
            Foretold(complaint="walks", key=["cause", ""], of=100, mean=6.0, low=1, high=12),
            Foretold(complaint="walks", key=["fact", "floor", "concrete"], of=100, mean=50.0, low=41, high=59),
        ],
        "moved": [LearnedNumber(key=["cures", "foot-unloaded"], names=["A foot"], judged=0.031, learned=0.25, cases=9)],
        "held": [{"key": ["rate", "foot-unloaded"], "names": ["A foot"]}],
        "unseen": ["restraints-left-in"],
        "as_judged": ["What is said of the scale."],
        "passed_over": [PassedOver(check="foot-gap", title="A gap <under>", cases=6, of=9)],
        "out": "numbers",
    }


def test_a_screen_and_a_page_tell_every_part(kb, data):
    screen = " ".join(" ".join(learned_lines(Layout(80, False), kb, data)).split())
    page = " ".join(learned_page.page(kb, data).split())
    foot = kb.causes["foot-unloaded"].title
    for text in (screen, page):
        assert "in 40 of them the cause is known" in text
        assert "That may still be chance" in text
        assert "200 minutes of a homeowner before, 180 with them" in text
        assert "25 in 100, judged 3.1 in 100" in text
        assert "nobody could look in 6 of 9 cases" in text
        assert kb.causes[data["unseen"][0]].title in text
        assert foot in text
        assert "something that is not listed" in text
        assert "how often &#39;A foot&#39; is at work" in text or "how often 'A foot' is at work" in text
    assert "22 to 41 (expected 31)" in screen
    assert "<td>31</td><td>22 to 41</td>" in page
    assert "A gap &lt;under&gt;" in page
    assert "A gap <under>" not in page


def test_a_gain_that_is_no_chance_is_not_said_to_be(kb, data):
    data["test"] = Backtest(42, 18, 12, 0.05, 0.01, (0.2, 0.15), [], [])
    assert "chance:" not in " ".join(learned_lines(Layout(80, False), kb, data))


def test_nothing_to_come_and_nothing_played_are_no_empty_part(kb, data):
    data["to_come"], data["replayed"] = [], Replayed(0, (0.0, 0.0), (0.0, 0.0), 0.0, 0.0)
    assert to_come(kb, []) == []
    assert played_again(data["replayed"]) == []
    assert "What is to come" not in learned_page.page(kb, data)


def test_chances_that_are_compared_stand_in_one_unit():
    assert chances(0.5, 0.05) == ["50 in 100", "5 in 100"]
    assert chances(0.5, 0.005) == ["500 in 1000", "5 in 1000"]


def test_a_month_has_a_bar_beside_each_thing_that_is_counted():
    found = Month(
        of="2026-11", cases=5, ends={"solved": 5}, causes=[], came_back={"Alder Row 3": []}, saved=3, reported=0, visits=2, parts=[],
        rules=[Counted(id="a", title="Firm <floor>", cases=4), Counted(id="b", title="Hose depth", cases=1)],
        held=[Held(stated=0.9, cases=5, right=4, low=0.5, high=0.94)],
    )  # fmt: skip
    page = month_page.page(found)
    assert 'style="width:100%"' in page
    assert 'style="width:25%"' in page
    assert "Firm &lt;floor&gt;" in page
    assert "<td>4 of 5</td><td>50 to 94</td>" in page
    assert "Alder Row 3: cause not seen yet" in page
    assert "<script" not in page
