"""The one form that finds kept cases: by what it names it finds what the command line finds, and says what can't be used."""

import json
import re

import pytest

from dryfloor.cli.page.answers.finding import named, wanted
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import QueueMark
from dryfloor.engine.errors import InvalidInputError
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor

CAUSE, OTHER = "coupling-not-tight", "foot-unloaded"


@pytest.fixture
def desk(serve, kb, tmp_path):
    """Somebody at the desk, and three cases: a coupling, a foot, and a mend that takes a part."""
    client = serve()
    cases = []
    with Store.open(tmp_path / "cases.db") as store:
        for reference, cause in (("Alder 4", CAUSE), ("Birch 9", OTHER), ("Cedar 1", taking(kb))):
            case = store.begin(reference)
            store.add(case, Event(role="technician"))
            store.add(case, Event(complaints=["walks" if cause == OTHER else "water-on-floor"]))
            store.add(case, Event(remedy=cause, did="done"))
            cases.append(case)
        store.queue(cases[0], QueueMark(has="Ann"))
    visitor = Visitor(client)
    visitor.go("/door").type("token", TOKEN)
    visitor.cases = cases
    return visitor


def taking(kb):
    """A cause whose mend takes a part, and that breaks another rule."""
    rule = kb.causes[CAUSE].breaks.rule
    return next(n for n, c in kb.causes.items() if c.remedy.parts and (c.breaks is None or c.breaks.rule != rule))


def found(desk, **asked):
    desk.go("/desk/cases")
    desk.send(desk.form("text"), asked)
    return re.findall(r'<tr id="(\w+)">', desk.page)


def test_cases_are_found_by_cause_rule_part_and_who_has_them(desk, kb, run, tmp_path):
    coupling, foot, bare = desk.cases
    cause = kb.causes[CAUSE]
    assert found(desk, cause=CAUSE) == found(desk, cause=cause.title.upper()) == [coupling]
    assert found(desk, rule=kb.rules[cause.breaks.rule].title) == [coupling]
    assert found(desk, who="ann") == [coupling]
    assert found(desk, who="bob") == []
    assert found(desk, complaint="walks") == [foot]
    assert found(desk, complaint="water-on-floor", cause=OTHER) == []
    assert found(desk, text="cedar") == [bare]
    assert found(desk, since="2999-01-01") == []
    part = kb.causes[taking(kb)].remedy.parts[0]
    assert found(desk, part=part) == [bare]
    for option, value in (("cause", OTHER), ("part", part), ("rule", cause.breaks.rule), ("who", "ANN")):
        said = run("cases", "--store", str(tmp_path / "cases.db"), f"--{option}", value, "--json")
        assert [c["id"] for c in json.loads(said.out)["data"]["cases"]] == found(desk, **{option: value})


def test_what_the_kb_does_not_have_is_asked_back_with_the_nearest_and_what_was_typed(desk, kb):
    title = kb.causes[CAUSE].title
    assert found(desk, cause=f"{title}x", text="alder") == []
    assert desk.response.status_code == 422
    assert "There is no cause" in desk.text
    assert f"Nearest: {title}" in desk.text
    assert ("cause", f"{title}x") in desk.form("text").fields
    assert ("text", "alder") in desk.form("text").fields
    found(desk, since="soon")
    assert (desk.response.status_code, "is no day" in desk.text) == (422, True)


def test_a_part_of_a_title_is_enough_where_no_other_has_it(kb):
    for name, cause in kb.causes.items():
        assert named(cause.title, "cause", kb.causes) == name
        assert named(name, "cause", kb.causes) == name
    with pytest.raises(InvalidInputError) as refused:
        named("hose", "cause", kb.causes)
    assert "several" in refused.value.problems[0].message


@pytest.mark.parametrize("field", ["cause", "rule", "part", "who", "since", "state", "complaint", "text"])
def test_nothing_that_is_typed_does_harm(desk, kb, field):
    for typed in ("\x1b[31m", "'; DROP TABLE cases", "<b>", "x" * 500, "\u202e"):
        desk.go("/desk/cases")
        desk.send(desk.form("text"), {field: typed})
        assert desk.response.status_code in (200, 422)
        assert "<b>" not in desk.page.replace("<b>1</b>", "")
        assert "\x1b" not in desk.page
    assert not wanted(kb, {}).more
