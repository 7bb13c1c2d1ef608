"""The walk round the machine: what a survey asks of a site."""

from dryfloor.engine.survey.areas import asked_facts
from tests.support.installations import NAMES, SHEETS


def test_a_survey_asks_no_history(kb):
    assert not {f.id for f in asked_facts(kb)} & {"onset", "rhythm", "tried-levelling"}
    assert all((SHEETS / f"{n}.yaml").exists() for n in NAMES)


def test_a_survey_asks_for_a_code_only_where_a_rule_under_it_is_read(kb):
    asked = {f.id for f in asked_facts(kb)}
    assert {"plumbing-code", "code-edition"} <= asked
    assert "building-code" not in asked  # floor by calculation, a dryer's closet: nobody reads them here
