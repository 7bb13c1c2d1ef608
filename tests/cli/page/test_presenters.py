"""What the templates are given: complaints by how often they come, causes by complaint, and what one person alone may do."""

from dryfloor.cli.page import presenters
from dryfloor.cli.page.answers.address import Address
from dryfloor.cli.page.answers.place import CaseLocation
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge.graph import strength
from tests.support.forms import clear_gates


def test_complaints_stand_by_how_often_they_come(kb):
    card = advise(kb, [Event(role="homeowner")]).card
    shown = [c.id for c in presenters.by_frequency(kb, card.choices)]
    often = {
        c: kb.complaints[c].unlisted_per_1000.n
        + sum(x.per_1000.n * strength(kb, s.strength) for x in kb.causes.values() for s in x.shows if s.complaint == c)
        for c in kb.complaints
    }
    assert sorted(shown) == sorted(often)
    assert [often[c] for c in shown] == sorted(often.values(), reverse=True)


def test_water_that_runs_now_stands_first_among_the_dangers(kb):
    """The commonest first, then whatever may end in fire; not by the spelling of ids."""
    place = CaseLocation(base="/case", role="homeowner", address=Address())
    said = [says for says, _ in presenters.urgent(kb, place)]
    assert said == [
        "Water is running now",
        "I smell gas",
        "It smells of burning or smokes",
        "It gives a shock or a tingle",
    ]


def test_two_complaints_have_their_causes_apart_and_it_is_said_that_they_need_not_add_up(serve, kb):
    events = [Event(role="desk"), Event(complaints=["walks"]), Event(complaints=["siphons"])]
    groups = presenters.explained(kb, advise(kb, events))
    assert [g for g, _ in groups] == [kb.complaints[c].says for c in ("walks", "siphons")]
    for (_, rows), complaint in zip(groups, ("walks", "siphons"), strict=True):
        assert rows
        assert all(any(s.complaint == complaint for s in kb.causes[b.cause].shows) for b in rows)


def test_what_takes_two_is_no_work_for_one(kb):
    two = [c for c in kb.causes.values() if any(kb.hazards[h].people > 1 for h in c.remedy.hazards)]
    assert two
    for cause in two:
        shown = next((s.complaint for s in cause.shows if s.complaint), None)
        if shown is None:
            continue
        alone, _, _ = presenters.yours(kb, advise(kb, [Event(role="homeowner"), Event(complaints=[shown])]))
        assert cause.remedy.title not in [y.remedy for y in alone]


def test_nothing_that_nobody_saw_is_called_seen(visit):
    url = "/case?complaint=walks&fact=rhythm:every-time&check=rocks-by-hand:rocks&remedy=foot-unloaded:done"
    clear_gates(visit.go(url)).press("can't")
    assert visit.reader.h1 == "Which of these is still there?"
    visit.press("none of them")
    assert visit.reader.h1 == "Gone, as you say"
    assert "Nobody has seen the fix at work" in visit.text
    clear_gates(visit.go(url)).press("can't").press("can't")
    clear_gates(visit)
    assert visit.reader.h1 != "Which of these is still there?"


def test_a_second_outcome_stands_under_the_first(kb):
    kept = (Event(turned_out="a sock", by="technician"), Event(turned_out="roots", by="plumber"))
    place = CaseLocation(base="/case/x", role="desk", address=Address(), kept=kept)
    rows = [(r.title, "sock" in r.said, "roots" in r.said) for r in presenters.said(kb, place)]
    assert rows == [("What it was, said before", True, False), ("What it was", False, True)]
