"""Every case beside every cause and every decoy of the kb, one by one; and a kb that is wrong fails them."""

import msgspec
import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.evaluation import golden_cases
from dryfloor.engine.model import Decoy, Expect, Given, Number, Trial
from tests.support.shipped import shipped
from tests.support.small_kb import copied, spoiled

KB = shipped()
TRIALS = [pytest.param(c.id, t, id=f"{c.id}-{t.name}") for c in KB.causes.values() for t in c.cases]
DECOYS = [pytest.param(d, id=d.name) for d in KB.decoys]


@pytest.mark.parametrize(("cause", "trial"), TRIALS)
def test_a_case_of_the_kb(cause: str, trial: Trial) -> None:
    assert golden_cases.failures(KB, cause, trial) == []


@pytest.mark.parametrize("decoy", DECOYS)
def test_a_decoy_of_the_kb(decoy: Decoy) -> None:
    assert golden_cases.decoy_failures(KB, decoy) == []


def test_every_cause_has_a_case_that_names_it_and_one_that_does_not() -> None:
    for cause in KB.causes.values():
        tops = [t.expect.top or (cause.id if t.expect.at_least else None) for t in cause.cases]
        assert cause.id in tops, cause.id
        assert any(top != cause.id for top in tops), cause.id


def test_every_complaint_has_a_decoy() -> None:
    assert {d.complaint for d in KB.decoys} == set(KB.complaints)


def doctored(**changes):
    """The kb with some causes' fields replaced; only these keep their cases, and of the decoys those of `walks`."""
    changes = {name.replace("_", "-"): fields for name, fields in changes.items()}
    causes = {name: msgspec.structs.replace(c, **changes.get(name, {"cases": []})) for name, c in KB.causes.items()}
    return msgspec.structs.replace(KB, causes=causes, decoys=[d for d in KB.decoys if d.complaint == "walks"])


def test_a_kb_without_a_link_fails_the_cases_that_stood_on_it() -> None:
    kb = doctored(foot_unloaded={"shows": [s for s in KB.causes["foot-unloaded"].shows if s.complaint], "breaks": None})
    failed = [t.name for t in kb.causes["foot-unloaded"].cases if golden_cases.failures(kb, "foot-unloaded", t)]
    assert len(failed) >= 2
    told = [p.message for p in golden_cases.run_trials(kb) if p.code == "K301"]
    assert all(any(f"case '{name}'" in text for text in told) for name in failed)


def test_a_cause_that_no_check_can_acquit_is_blamed_at_a_healthy_site() -> None:
    bare = [s for s in KB.causes["suspension-worn"].shows if s.complaint]
    kb = doctored(suspension_worn={"shows": bare, "breaks": None, "per_1000": Number(n=100, basis="judgement")})
    told = [p.message for p in golden_cases.run_trials(kb) if p.code == "K302"]
    assert any("suspension-worn stays at" in text for text in told)


def test_each_expectation_can_fail() -> None:
    given = Given(complaints=["walks"], answers={"restraints-left": "none", "foot-gap": "2 mm"})
    p = {b.cause: b.p for b in Analysis(network_of(KB), golden_cases.state_of(KB, given)).beliefs}
    first, second = sorted(p, key=lambda c: -p[c])[:2]
    assert first == "foot-unloaded"
    good = [
        Expect(top=first, at_least=p[first] - 0.01, at_most=p[first] + 0.01), Expect(at_most=p[first] + 0.01), Expect(top=first, below=second),
        Expect(both=[second, first]), Expect(unknown_at_least=0.0),
    ]  # fmt: skip
    bad = [
        Expect(top=second), Expect(top=first, at_least=p[first] + 0.01), Expect(at_most=p[first] - 0.01), Expect(top=second, below=first),
        Expect(both=[first, sorted(p, key=lambda c: p[c])[0]]), Expect(unknown_at_least=0.999), Expect(next="no-such-step"),
    ]  # fmt: skip
    for expect in good:
        assert golden_cases.failures(KB, first, Trial(name="x", given=given, expect=expect)) == [], expect
    for expect in bad:
        assert golden_cases.failures(KB, first, Trial(name="x", given=given, expect=expect)), expect


def test_a_normal_answer_is_within_its_rule() -> None:
    from dryfloor.engine.measurement.readings import reading

    for check in KB.checks.values():
        answer = golden_cases.normal_answer(KB, check)
        if check.kind == "measure":
            assert reading(KB, check.id, answer, "technician").verdict.state == "within", check.id
        else:
            assert answer == list(check.answers)[-1]


def test_a_decoy_answers_all_that_its_role_may_be_asked() -> None:
    """The same without a complaint: nothing may be blamed on a site of which nobody complains."""
    decoy = KB.decoys[0]
    assert golden_cases.decoy_failures(KB, decoy) == []
    quiet = golden_cases.state_of(KB, Given(role=decoy.role, facts=decoy.facts))
    analysis = Analysis(network_of(KB), quiet)
    assert analysis.unknown > 0.5


def spoiled_copy(tmp_path, rel, old, new):
    folder = copied(tmp_path)
    return folder, spoiled(folder, rel, old, new)


def test_a_case_that_fails_stands_at_its_line_and_says_what_holds_the_rest(tmp_path) -> None:
    rel = "causes/drain/pipe-too-low.yaml"
    folder, kb = spoiled_copy(tmp_path, rel, "below: pipe-too-low", "below: pipe-too-low, at_least: 0.999")
    (problem,) = golden_cases.run_trials(kb, folder)
    line = next(n for n, row in enumerate((folder / rel).read_text().splitlines(), 1) if "name: near miss" in row)
    assert (problem.code, problem.file, problem.line, problem.column) == ("K301", f"kb/{rel}", line, 5)
    trial = kb.causes["pipe-too-low"].cases[1]
    analysis = Analysis(network_of(kb), golden_cases.state_of(kb, trial.given))
    p = {b.cause: b.p for b in analysis.beliefs} | {"nothing listed": analysis.unknown}
    held = [f"{n} {p[n]:.2f}" for n in sorted(p, key=lambda n: -p[n]) if n != "hose-sealed-in"]
    assert problem.message.endswith(f"the rest is held by {', '.join(h for h in held if not h.endswith('0.00'))}")
    assert "'taped' of hose-sealed: hose-sealed-in shows it (0.9); pipe-too-low uses it, too" in problem.expected
    taped = Trial(
        name="x", given=Given(complaints=["wet"], answers={"hose-sealed": "taped", "panel-wet": "dry"}), expect=Expect()
    )
    assert len(golden_cases.speaks_for(kb, "pipe-too-low", taped)) == 1  # nor does a normal answer
    assert "42 in" not in problem.expected  # a reading inside its limits speaks for nobody
    bare = golden_cases.run_trials(kb)[0]
    assert (bare.file, bare.line, bare.message) == (problem.file, 0, problem.message)


def test_an_answer_that_the_cause_leaves_out_is_said(tmp_path) -> None:
    folder, kb = spoiled_copy(
        tmp_path, "causes/drain/pipe-too-low.yaml", "expect: {top: hose-sealed-in, below: pipe-too-low}",
        "expect: {top: pipe-too-low, at_least: 0.2}",
    )  # fmt: skip
    kb = msgspec.structs.replace(
        kb, causes={**kb.causes, "pipe-too-low": msgspec.structs.replace(kb.causes["pipe-too-low"], shows=kb.causes["pipe-too-low"].shows[:1])}
    )  # fmt: skip
    (problem,) = golden_cases.run_trials(kb, folder)
    assert "'taped' of hose-sealed: pipe-too-low does not list it; hose-sealed-in uses it, too" in problem.expected
    assert problem.message.count("expected") == 2  # all that failed in one case is one problem


def test_a_decoy_that_is_blamed_stands_at_its_line(tmp_path) -> None:
    folder, kb = spoiled_copy(tmp_path, "complaints.yaml", "{n: 50,", "{n: 0.01,")
    causes = {n: msgspec.structs.replace(c, per_1000=Number(n=90, basis="judgement")) for n, c in kb.causes.items()}
    told = [p for p in golden_cases.run_trials(msgspec.structs.replace(kb, causes=causes), folder) if p.code == "K302"]
    assert {(p.file, p.line) for p in told} == {("kb/decoys.yaml", 1)}
