"""The walk round the machine: what a survey asks of a site."""

from dryfloor.engine.survey.areas import asked_facts
from tests.support.installations import NAMES, SHEETS


def test_a_survey_asks_no_history(kb):
    assert not {f.id for f in asked_facts(kb)} & {"onset", "rhythm", "tried-levelling"}
    assert all((SHEETS / f"{n}.yaml").exists() for n in NAMES)
