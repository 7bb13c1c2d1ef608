"""Which lines are not passed over where nobody understands what stands there."""

from dryfloor.engine.paper.unread import could_hurt


def test_every_line_whose_answer_raises_a_gate_could_hurt(kb):
    raising = {c.id for c in kb.checks.values() if any(a.raises for a in c.answers.values())}
    assert raising
    assert all(could_hurt(kb, name) for name in raising)
    assert not could_hurt(kb, "gap-behind")
