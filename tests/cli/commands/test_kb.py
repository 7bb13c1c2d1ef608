"""`dryfloor kb figures`: what the checks see and tell apart, in a trainer's words; the record keeps its fields."""

import re

import msgspec
import pytest

from dryfloor.cli.commands.kb import _of_100, _role, _told
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.evaluation.metrics import figures
from dryfloor.engine.evaluation.testability import Diagnosability


def spent(**more):
    """A measured set of checks, all perfect but for what is said."""
    return Diagnosability(
        **({"detected": 1.0, "isolated": [1.0] * 3, "mean_size": 1.0, "groups": [], "unseen": []} | more)
    )


def test_the_text_counts_faults_out_of_100_and_the_record_keeps_its_fields(kb):
    (measured,) = figures(kb, ["desk"], 0)
    text = " ".join(" ".join(_role(Layout(80), measured)).split())
    found = msgspec.to_builtins(measured)
    assert set(found) == {"role", "hands", "marked", "odds", "idle", "served", "overall", "worst"}
    assert set(found["odds"]) == {"detected", "isolated", "mean_size", "groups", "unseen"}
    seen, apart = 100 * found["odds"]["detected"], 100 * found["odds"]["isolated"][0]
    said = re.search(r"in doubt .*?, ([\d.]+) are seen; of 100 that are seen, ([\d.]+) are told apart", text)
    assert said
    assert [float(part) for part in said.groups()] == pytest.approx([seen, apart], abs=0.05)
    unbroken = text.replace("- ", "-")
    assert all(name in unbroken for name in [*found["odds"]["unseen"], *found["idle"]])
    assert not re.search(r"detect|isolat|mean group|by marks|by odds|%", text)


@pytest.mark.parametrize(
    ("part", "text"),
    [(1.0, "100"), (0.0, "0"), (0.98, "98"), (0.9894, "98.9"), (0.99999, "more than 99.9"), (1e-9, "fewer than 0.1")],
)
def test_a_share_is_never_rounded_to_all_or_none(part, text):
    assert _of_100(part) == text


def test_the_rest_is_said_only_where_there_is_one():
    assert _told(spent()).endswith(
        "100 are told apart from all that need another remedy; remedies left on average: 1.00"
    )
    some = _told(spent(isolated=[0.9, 0.95, 1.0], mean_size=1.2))
    assert "90 are told apart from all that need another remedy (95 are down to two remedies, 100 to three)" in some
    assert "(100 are down to three remedies)" in _told(spent(isolated=[0.9, 0.9, 1.0]))
