"""What a line that is right is named by."""

from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.lines import looked_at

# Looks that see a part of what their rule asks for.
PARTIAL = {
    "marked-no-ground": "unmarked",
    "drain-hose-jumped-out": "",
    "pipe-mouth-thing": "clear-mouth",
    "basket-packing-left": "clear",
}


def test_a_partial_look_does_not_proclaim_its_whole_rule(kb):
    for name, right in PARTIAL.items():
        check = kb.checks[name]
        answer = right or [*check.answers][-1]
        facts = {"supply-system": "us-120", "drain": "standpipe"}
        done = survey(kb, FilledSheet("s", facts, {name: answer}, None, "technician"))
        mine = [x for x in done.lines if x.check == name and x.verdict == "within"]
        assert mine, name
        assert {looked_at(kb, x) for x in mine} == {check.title}


def test_a_value_is_named_by_its_rule(kb):
    done = survey(kb, FilledSheet("s", {"drain": "standpipe"}, {"standpipe-height": "42 in"}, None, "technician"))
    mine = [x for x in done.lines if x.check == "standpipe-height" and x.verdict == "within"]
    assert mine
    assert all(looked_at(kb, x) == x.title for x in mine)
