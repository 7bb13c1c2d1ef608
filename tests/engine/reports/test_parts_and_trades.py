"""What mending may need: chances against brute force, the sum of each part, laws that hold for any case, a shop's own rates."""

import shutil
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from dryfloor.engine import model
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.inference.noisy_or import CausePrior
from dryfloor.engine.inference.posterior import any_of, infer
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.reports.parts_and_trades import CARRY_SHARE, carrying, needed, parts, second_visit, who
from tests.support.places import ROOT, SMALL
from tests.support.telling import LOW_PIPE
from tests.support.worlds import joint, random_network, worlds


def thought_of(kb, events):
    return Analysis(network_of(kb), fold(kb, events))


@pytest.fixture(scope="module")
def small():
    return load_kb(SMALL)


def brute_any(prior, share, findings, cures, groups):
    """Return for each group of causes P(one of them, still at work, fired a standing complaint) by counting worlds."""
    standing = [k for k, f in enumerate(findings) if f.complaint and f.gone_at is None]
    total, hit = 0.0, [0.0 for _ in groups]
    for s in range(len(share)):
        for w in worlds(list(prior[s]), findings, cures):
            p = w.p * share[s]
            total += p
            behind = {i for k in standing for i in w.fired[k] if i in w.still}
            for n, causes in enumerate(groups):
                hit[n] += p * bool(behind & set(causes))
    return [h / total for h in hit]


def apart(prior):
    """Causes over one fact, the joint state."""
    return [CausePrior((0,), column) for column in prior.T]


@pytest.mark.parametrize("seed", [*range(8), *(pytest.param(n, marks=pytest.mark.slow) for n in range(8, 30))])
def test_the_chance_of_any_of_some_causes_is_that_of_brute_force(seed):
    rng = np.random.default_rng(seed)
    remedies = int(rng.integers(3))
    prior, share, findings, cures = random_network(
        rng, 4, 4, remedies=remedies, states=2, complaints=2, settled=bool(seed % 2)
    )
    whole = infer(prior, share, findings, cures).marginal_likelihood
    groups = [c for size in (1, 2, 3, 4) for c in combinations(range(4), size)]
    found = [any_of(apart(prior), [share], findings, cures, frozenset(c), whole) for c in groups]
    assert found == pytest.approx(brute_any(prior, share, findings, cures, groups), abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_of_one_cause_it_is_what_it_explains_and_of_more_it_never_falls(seed):
    prior, share, findings, cures = random_network(np.random.default_rng(seed), 5, 5, remedies=1)
    p = infer(prior, share, findings, cures)
    chain = [
        any_of(apart(prior), [share], findings, cures, frozenset(range(n)), p.marginal_likelihood) for n in range(6)
    ]
    assert chain[0] == 0
    assert all(a <= b + 1e-9 for a, b in pairwise(chain))
    for i in range(5):
        assert any_of(apart(prior), [share], findings, cures, frozenset({i}), p.marginal_likelihood) == pytest.approx(
            p.explains[i], abs=1e-9
        )
    assert chain[5] <= float(np.sum(p.explains)) + 1e-9


def test_a_part_has_the_chance_of_the_only_cause_that_needs_it(small):
    events = [Event(role="technician"), Event(complaints=["wet"]), Event(check="pipe-height", value="31 in")]
    (only,) = parts(thought_of(small, events))
    explains = next(b.p for b in thought_of(small, events).beliefs if b.cause == "pipe-too-low")
    assert (only.part, only.chance) == ("pipe", explains)


def test_a_part_that_two_causes_need_has_the_chance_of_either_and_not_the_sum(small):
    causes = dict(small.causes)
    sealed = causes["hose-sealed-in"]
    causes["hose-sealed-in"] = replace(sealed, remedy=replace(sealed.remedy, by="plumber", parts=["pipe"]))
    both = replace(small, causes=causes)
    events = [
        Event(role="technician"),
        Event(complaints=["wet"]),
        Event(check="pipe-height", value="31 in"),
        Event(check="hose-sealed", answer="taped"),
    ]
    (only,) = parts(thought_of(both, events))
    ps = [b.p for b in thought_of(both, events).beliefs]
    assert sum(ps) > 1
    assert max(ps) < only.chance <= 1
    t = thought_of(both, events)
    e = t.evidence
    assert only.chance == pytest.approx(
        brute_any(*joint(e.tables, e.facts.shares), e.findings, e.cures, [{0, 1}])[0], abs=1e-8
    )


def test_the_sum_decides_and_is_shown(kb):
    for p in parts(thought_of(kb, LOW_PIPE)):
        assert p.bring == (p.chance * second_visit(kb) > carrying(kb, kb.parts[p.part]))
        assert p.text.endswith("bring" if p.bring else "leave")
        assert f"{100 * p.chance:.1f} in 100 x {second_visit(kb):g}" in p.text
        assert f"= {p.chance * second_visit(kb):.1f}," in p.text
    assert "standpipe-extension-2in" in {p.part for p in parts(thought_of(kb, LOW_PIPE)) if p.bring}


def test_the_rates_stand_in_the_kb_with_their_basis(kb, small):
    assert kb.roles.second_visit is not None
    assert kb.roles.second_visit.basis == "judgement"
    assert all(p.carry is not None for p in kb.parts.values())
    # A kb that says nothing of either: a technician's call-out, and a share of the price.
    assert second_visit(small) == 90
    assert carrying(small, small.parts["pipe"]) == CARRY_SHARE * 10


ANSWERS = st.sampled_from(
    [
        Event(fact="drain", is_="standpipe"), Event(fact="drain", is_="tub"), Event(fact="onset", is_="new"),
        Event(check="standpipe-height", value="31 in"), Event(check="standpipe-height", value="42 in"),
        Event(check="hose-sealed", answer="taped"), Event(check="hose-sealed", answer="loose"),
        Event(check="runs-off-while-filling", answer="runs"), Event(check="rocks-by-hand", answer="rocks"),
        Event(check="foot-gap", value="2 mm"), Event(check="restraints-left", answer="none"),
    ]
)  # fmt: skip
CASES = st.tuples(
    st.sampled_from(["desk", "homeowner", "technician"]),
    st.lists(
        st.sampled_from(["siphons", "walks", "standpipe-overflow", "wont-drain"]), min_size=1, max_size=2, unique=True
    ),
    st.lists(ANSWERS, max_size=4, unique_by=lambda e: e.check or e.fact),
)
FEW = settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def events_of(drawn, kb):
    role, complaints, answers = drawn
    return [Event(role=role), Event(complaints=[c for c in complaints if c in kb.complaints] or ["walks"]), *answers]


@FEW
@given(drawn=CASES, factor=st.floats(1.0, 50.0))
def test_dearer_carrying_never_adds_a_part(kb, drawn, factor):
    dear = {n: replace(p, carry=replace(p.carry, n=p.carry.n * factor)) for n, p in kb.parts.items()}
    analysis = thought_of(kb, events_of(drawn, kb))
    brought = {(p.part, p.by) for p in parts(analysis) if p.bring}
    analysis.network.kb, kept = replace(kb, parts=dear), analysis.network.kb
    try:
        fewer = {(p.part, p.by) for p in parts(analysis) if p.bring}
    finally:
        analysis.network.kb = kept
    assert fewer <= brought


@FEW
@given(drawn=CASES)
def test_chances_are_chances_and_bounded_by_their_causes(kb, drawn):
    analysis = thought_of(kb, events_of(drawn, kb))
    explains = {c: float(analysis.posterior.explains[i]) for i, c in enumerate(analysis.evidence.causes)}
    for p in parts(analysis):
        users = [explains[c] for c in explains if p.part in kb.causes[c].remedy.parts]
        assert 0 <= p.chance <= min(1.0, sum(users)) + 1e-8
    for w in who(analysis):
        own = [explains[c] for c in explains if kb.causes[c].remedy.by == w.trade]
        assert max(own) - 1e-8 <= w.chance <= min(1.0, sum(own)) + 1e-8
    everybody = needed(analysis, kb.causes)
    assert everybody <= 1
    if len(analysis.state.complaints) == 1:  # then it has a listed explanation, or it has none
        assert everybody == pytest.approx(1 - analysis.unknown, abs=1e-6)


def test_a_shop_sets_its_own_rates(tmp_path):
    """A folder that extends ours, as kb/README.md says: roles whole, parts by their ids."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "kb.yaml").write_text("extends: shipped\nreplaces: [roles, cable-tie]\n")
    roles = (ROOT / "kb" / "roles.yaml").read_text()
    assert "second_visit: {n: 120" in roles
    (folder / "roles.yaml").write_text(roles.replace("second_visit: {n: 120", "second_visit: {n: 40"))
    (folder / "parts.yaml").write_text(
        "- {title: cable tie, id: cable-tie, price: {n: 1, basis: judgement}, carry: {n: 39, basis: judgement}}\n"
    )
    shop = load_kb(folder)
    found = {(p.part, p.by): p for p in parts(thought_of(shop, LOW_PIPE))}
    assert found["cable-tie", "plumber"].second_visit == 40
    assert not found["cable-tie", "plumber"].bring
    assert found["standpipe-extension-2in", "plumber"].bring


def test_a_rate_without_a_basis_is_refused(tmp_path):
    folder = Path(shutil.copytree(SMALL, tmp_path / "kb"))
    path = folder / "roles.yaml"
    path.write_text(path.read_text() + "second_visit: {n: -5, basis: judgement}\n")
    from dryfloor.engine.knowledge.load import read_kb

    _, problems = read_kb(folder)
    assert [(p.code, p.file) for p in problems] == [("K104", "kb/roles.yaml")]
    assert "second_visit" in model.Roles.__struct_fields__
