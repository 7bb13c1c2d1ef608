"""What the tests of reports share: visits by the handful where nothing hangs on how many are played."""

from functools import partial

import pytest

from dryfloor.engine.reports import visit_plan

FEW = 4


@pytest.fixture
def few_visits(monkeypatch):
    """Play few visits for a range of minutes that the test does not look at; they take most of the time of `bring`."""
    monkeypatch.setattr(visit_plan, "visits", partial(visit_plan.visits, count=FEW))
