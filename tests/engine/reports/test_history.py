"""The trail: the case in its order, each answer with the weight that leaving it out would change."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.explain import weights
from dryfloor.engine.case.events import Event
from dryfloor.engine.reports.report import report
from tests.support.telling import HANDED_OVER, MENDED


def test_each_answer_carries_the_weight_that_why_gives_it(kb, open_case):
    _, found = weights(kb, HANDED_OVER, "standpipe-too-low")
    by_text = {w.what: w for w in found}
    weighed = [t for t in open_case["technician"].trail if t.weight is not None]
    assert len(weighed) == len(found)
    for t in weighed:
        w = by_text[t.what]
        assert t.weight == pytest.approx(w.with_it - w.without, abs=1e-6)
        assert w.text == f"{t.what}: {t.says}"


def test_bars_are_shares_of_the_heaviest_answer(open_case):
    for made in open_case.values():
        bars = [t.bar for t in made.trail if t.weight is not None]
        assert max(abs(b) for b in bars) == 1
        heaviest = max((t for t in made.trail if t.weight is not None), key=lambda t: abs(t.weight))
        assert f"by {100 * abs(heaviest.weight):.0f} in 100" in made.trail_key
        for t in made.trail:
            if t.weight is not None:
                assert abs(t.bar) <= 1
                assert t.bar * t.weight >= 0


def test_an_answer_against_the_finding_points_the_other_way(kb):
    against = [*MENDED[:11], Event(check="foot-gap", value="2 mm"), Event(check="lock-nut-turns", answer="loose")]
    bars = {t.what: t.bar for t in report(kb, against).trail if t.weight is not None}
    turned = [b for b in bars.values() if b < 0]
    assert turned, bars


def test_weights_of_a_mended_case_are_those_before_its_fix(kb, mended):
    """After the fix the cause is gone, and every answer would seem to carry nothing."""
    gap = next(t for t in mended["technician"].trail if t.what.startswith("A foot that lifts"))
    before = MENDED[:12]
    p = {
        n: next(b.p for b in advise(kb, e).beliefs if b.cause == "foot-unloaded")
        for n, e in (("with", before), ("less", before[:11]))
    }
    assert gap.weight == pytest.approx(p["with"] - p["less"], abs=1e-6)


def test_the_trail_is_the_case_in_its_order(mended):
    trail = mended["homeowner"].trail
    assert [t.n for t in trail] == list(range(1, len(trail) + 1))
    kinds = [t.what.split(".")[0].split(":")[0] for t in trail]
    assert kinds[:3] == ["From here", "Said", "Safety"]
    assert kinds[-2:] == ["Fix", "Proof"]
    assert [t.who for t in trail if t.what.startswith("Rocks when")] == ["household, asked by the desk", "technician"]
