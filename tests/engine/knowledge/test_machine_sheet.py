"""Machine sheets: a model's own limits stand in place of ours, and a sheet that does not fit is refused."""

import msgspec
import pytest

from dryfloor.cli.result import Exit
from dryfloor.engine import model
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.machine_sheet import apply_sheet, load_sheet, misfit
from dryfloor.engine.measurement.readings import limits, reading

SHEET = """title: Mill Two, an invented washer
id: mill-two
facts: {drain: standpipe}
limits:
  - {rule: standpipe-height, min: 30 in, max: 90 in}
"""


def written(tmp_path, text):
    """Return a sheet's file."""
    path = tmp_path / "mill.yaml"
    path.write_text(text)
    return path


def test_a_sheet_is_read_from_a_file_or_by_its_id(kb, tmp_path):
    sheet = load_sheet(kb, written(tmp_path, SHEET))
    assert (sheet.id, sheet.limits[0].min) == ("mill-two", "30 in")
    for name in kb.machines:
        assert load_sheet(kb, name) is kb.machines[name]


def test_the_makers_limits_stand_in_place_of_ours_and_are_said_to_be_the_makers(kb, tmp_path):
    own = apply_sheet(kb, load_sheet(kb, written(tmp_path, SHEET)))
    assert reading(kb, "standpipe-height", "34 in", "technician").verdict.state == "broken"
    assert reading(own, "standpipe-height", "34 in", "technician").verdict.state == "within"
    assert reading(own, "standpipe-height", "93 in", "technician").verdict.state == "broken"
    assert own.rules["standpipe-height"].authority == "manual"
    assert kb.rules["standpipe-height"].authority == "practice"
    assert kb.rules["standpipe-height"].min == "39 in"
    changed = [r for r in kb.rules if own.rules[r] != kb.rules[r]]
    assert changed == ["standpipe-height"]


def test_one_limit_alone_leaves_the_other(kb):
    own = apply_sheet(kb, model.Machine(title="x", id="x", limits=[model.Limit(rule="standpipe-height", min="34 in")]))
    assert (own.rules["standpipe-height"].min, own.rules["standpipe-height"].max) == (
        "34 in",
        kb.rules["standpipe-height"].max,
    )


def test_a_limit_that_a_code_sets_is_not_replaced(kb):
    code = next(r for r in kb.rules.values() if r.authority == "code" and r.min)
    own = apply_sheet(
        kb,
        model.Machine(title="x", id="x", limits=[model.Limit(rule=code.id, min=code.max or "1000 in", max=code.max)]),
    )
    assert own.rules[code.id] == code


def test_every_sheet_of_the_kb_applies_and_its_readings_can_be_judged(kb):
    for sheet in kb.machines.values():
        own = apply_sheet(kb, sheet)
        for limit in sheet.limits:
            rule = own.rules[limit.rule]
            low, high = limits(rule)
            assert low is None or high is None or low < high
            if rule.authority != "code":
                assert limit.min in (None, rule.min)
                assert limit.max in (None, rule.max)


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "column", "near"),
    [
        ("rule: standpipe-height", "rule: standpipe-hight", "M001", 5, 12, "standpipe-height"),
        ("30 in", "30 psi", "M002", 5, 35, ""),
        ("30 in", "30", "M002", 5, 35, ""),
        ("drain: standpipe", "drian: standpipe", "M003", 3, 16, "drain"),
        ("drain: standpipe", "drain: standpip", "M003", 3, 16, "standpipe"),
        ("max: 90 in", "max: 20 in", "M004", 5, 12, ""),
        ("max: 90 in", "max: 130 in", "M004", 5, 12, ""),
        ("title:", "titel:", "K003", 1, 1, ""),
        ("limits:", "limit:", "K001", 4, 1, "limits"),
        ("id: mill-two", "id: Mill Two", "K004", 2, 5, ""),
        ("id: mill-two", "id: mill-two\nid: x", "Y006", 3, 1, ""),
    ],
)
def test_a_bad_sheet_is_refused_at_its_place(kb, run, tmp_path, old, new, code, line, column, near):
    path = written(tmp_path, SHEET.replace(old, new, 1))
    with pytest.raises(InvalidInputError) as caught:
        load_sheet(kb, path)
    found = next(p for p in caught.value.problems if p.code == code)
    assert (found.file, found.line, found.column) == (str(path), line, column)
    assert found.mend
    if near:
        assert found.nearest.startswith(near)
    done = run("advise", "-", "--machine", str(path), typed="complaints: [siphons]")
    assert done.code == Exit.USAGE  # the person's file is at fault, not the kb
    assert f"{path}:{line}:{column} {code}" in done.err
    data = msgspec.json.decode(run("advise", "-", "--machine", str(path), "--json", typed="complaints: [siphons]").out)
    assert code in {e["code"] for e in data["errors"]}


def test_all_mistakes_of_a_sheet_come_at_once(kb, tmp_path):
    path = written(
        tmp_path,
        SHEET.replace("standpipe}", "pipe}").replace("30 in", "30 psi") + "  - {rule: nothing-such, min: 1 in}\n",
    )
    with pytest.raises(InvalidInputError) as caught:
        load_sheet(kb, path)
    assert [p.code for p in caught.value.problems] == ["M002", "M001", "M003"]


def test_a_missing_sheet_names_the_nearest_file(kb, tmp_path):
    written(tmp_path, SHEET)
    with pytest.raises(InvalidInputError) as caught:
        load_sheet(kb, tmp_path / "mil.yaml")
    assert caught.value.problems[0].nearest == "mill.yaml"


def test_misfit_speaks_of_the_limits_as_they_would_stand(kb):
    rule = kb.rules["standpipe-height"]
    assert misfit(rule, model.Limit(rule=rule.id, min="34 in", max="72 in")) == ""
    assert misfit(rule, model.Limit(rule=rule.id, max="30 in")) == "min 39 in is above max 30 in"
    assert misfit(rule, model.Limit(rule=rule.id, min="100 in")) == "min 100 in is above max 96 in"
    assert "outside what can be true" in misfit(rule, model.Limit(rule=rule.id, min="1 in"))
    assert misfit(rule, model.Limit(rule=rule.id, min="x")) == ""
    state = next(r for r in kb.rules.values() if r.measures == "state")
    assert misfit(state, model.Limit(rule=state.id)) == ""


def test_advice_with_a_sheet_uses_its_limits(run, tmp_path):
    path = written(tmp_path, SHEET)
    text = "role: technician\ncomplaints: [siphons]\nfacts: {drain: standpipe}\nanswers: {standpipe-height: 34 in}"
    ours = msgspec.json.decode(run("advise", "-", "--json", typed=text).out)["data"]["readings"]
    theirs = msgspec.json.decode(run("advise", "-", "--machine", str(path), "--json", typed=text).out)["data"][
        "readings"
    ]
    assert (ours[0]["verdict"], theirs[0]["verdict"]) == ("broken", "within")
    assert "manual" in theirs[0]["whose"]
