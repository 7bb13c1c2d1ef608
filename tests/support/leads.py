"""What a broken rule leads to, worked out once in a test process: three quarters of a survey's time, and the same in the next survey.

What a break leads to hangs on the network, the broken side, and what is known of the facts that bear on causes; a reading moved past its
limit, or a code's name, changes none of these.
"""

from functools import cache

import pytest

from dryfloor.engine.survey import assess
from dryfloor.engine.survey.consequences import leads_to

KEPT = {}  # for the whole process: several modules survey the same sheets


@cache
def bearing(network):
    """Return the facts that bear on any cause."""
    return frozenset(f for own in network.bears.values() for f in own)


def remembered(network, rule, side, facts, node=""):
    """Return what `leads_to` returns, from memory where the same was asked before."""
    known = frozenset((f, o) for f, o in facts.items() if f in bearing(network))
    key = (network, rule.id, side, node, known)
    if key not in KEPT:
        KEPT[key] = leads_to(network, rule, side, facts, node)
    return KEPT[key]


@pytest.fixture(scope="module", autouse=True)
def leads_once():
    """For a module that imports it: surveys that work out once what each break leads to."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(assess, "leads_to", remembered)
        yield


@pytest.fixture(scope="module", autouse=True)
def no_leads():
    """For a module that imports it and asks nothing of what a break leads to: surveys that do not work it out."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(assess, "leads_to", lambda *_: [])
        yield
