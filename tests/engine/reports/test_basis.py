"""On what a report rests: the broken rule first, its reading, and sources whose grades are never raised."""

from dryfloor.engine.advising.wording import GRADES
from dryfloor.engine.case.events import Event
from dryfloor.engine.reports.basis import sources
from dryfloor.engine.reports.report import report
from tests.support.telling import HANDED_OVER


def test_the_rule_its_reading_and_whose_it_is(kb, mended):
    r = mended["homeowner"]
    assert r.rule == kb.rules["all-feet-bear"].title
    assert "at most 0.04 in (1 mm)" in r.rule_text[0]
    assert r.rule_text[1].startswith("When it is more: ")
    assert "common practice" in r.rule_text[2]
    assert (r.lines[0].measured.rule, r.lines[0].measured.said) == ("all-feet-bear", "0.08 in (2 mm)")
    assert (
        r.lines[0].text
        == "A foot that lifts: 0.08 in (2 mm), above common practice by 0.04 in (1 mm). Limit: at most 0.04 in (1 mm)."
    )


def test_the_broken_rules_reading_comes_first(kb):
    beside = [*HANDED_OVER, Event(check="standing-pressure", value="70 psi"), Event(check="hose-depth", value="5 in")]
    assert report(kb, beside).lines[0].measured.rule == "standpipe-height"


def test_sources_stand_with_their_grades_and_none_is_raised(kb, open_case):
    cites = [c for r in kb.rules.values() for c in r.sources]
    assert [c for c in cites if c.grade and c.grade != kb.sources[c.source].grade]  # there are weaker ones to tell
    told = sources(kb, list(kb.rules))
    assert [s.grade for s in told] == [c.grade or kb.sources[c.source].grade for c in cites]
    assert [s.rule for s in told] == [r.id for r in kb.rules.values() for _ in r.sources]
    for s in told:
        assert s.text.endswith(f"{GRADES[s.grade]})")
        assert ("(P, published)" in s.text or "(S, published, as quoted by others)" in s.text) == (s.grade in "PS")
    assert [s.rule for s in open_case["technician"].sources] == ["standpipe-height"]


def test_a_code_rule_names_its_edition(kb):
    read = [
        Event(role="technician"),
        Event(complaints=["siphons"]),
        Event(fact="drain", is_="standpipe"),
        Event(check="hose-sealed", answer="taped"),
    ]
    made = report(kb, read)
    assert any("binds where adopted" in t for t in made.rule_text)
