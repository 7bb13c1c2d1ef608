"""Checks of each sign, and checks that tell of the same causes, counted anew from the kb's own lines."""

import msgspec

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.evaluation.lint import lint
from dryfloor.engine.evaluation.reports_of_signs import alike, reported


def test_each_sign_is_counted_with_its_kinds(kb) -> None:
    found = {r.sign: r.checks for r in reported(network_of(kb))}
    assert set(found) == set(kb.signs)
    for sign, checks in found.items():
        own = {c.id for c in kb.checks.values() for a in c.answers.values() if a.sign == sign}
        assert own <= set(checks), sign
    # Who reports a bolt that was left in reports packing that was left in.
    assert set(found["bolts-left"]) < set(found["packing-left"])


def test_two_checks_of_the_same_causes_give_a_reason_or_it_is_said(kb) -> None:
    pairs = alike(network_of(kb))
    assert pairs
    assert all(p.because for p in pairs)
    one, other = pairs[0].checks
    silent = {c: msgspec.structs.replace(kb.checks[c], beside={}) for c in (one, other)}
    bare = msgspec.structs.replace(kb, checks=kb.checks | silent)
    assert [p.checks for p in alike(Network(bare)) if not p.because and set(p.checks) == {one, other}] == [[one, other]]
    found = [p for p in lint(bare) if p.code == "K205"]
    assert any(f"'{one}' and '{other}'" in p.message for p in found)
    assert all(p.mend for p in found)
