"""What was said of signs: whose report counts, what is known by it, and the belief that comes of it, on a kb made for it."""

import shutil
from pathlib import Path

import numpy as np
import pytest

from dryfloor.engine import effort
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import Network, network_of, report_rates
from dryfloor.engine.diagnosis.signs import known, told
from dryfloor.engine.inference.noisy_or import NoisyOr
from dryfloor.engine.inference.posterior import infer_by_fact
from dryfloor.engine.inference.signs import Reported
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.planning.actions import Findings, outcomes
from dryfloor.engine.planning.roles import open_checks
from dryfloor.engine.simulation.world import Installation
from tests.support.places import SMALL
from tests.support.shipped import shipped
from tests.support.sign_worlds import brute
from tests.support.worlds import joint

SIGNS = """\
- {title: Something is on the hose, id: hose-held, leak_per_1000: 10}
- {title: Tape is on the hose, id: hose-taped, leak_per_1000: 2, kind_of: hose-held}
- {title: A clamp is on the hose, id: hose-clamped, leak_per_1000: 5, kind_of: hose-held}
"""
CHECK = """\
- title: {title}
  id: {name}
  kind: {kind}
  why_no_rule: a symptom
  ask: {{homeowner: "{title} (you)?", desk: "{title} (there)?", technician: "{title}?"}}
  how: Only say what you know of it.
  answers: {{{answers}, none: {{says: nothing}}}}
  minutes: {{homeowner: 1, technician: 1}}
  why_no_hazard: only said
"""
RATES = {
    ("homeowner", "ask"): (0.8, 0.05),
    ("homeowner", "look"): (0.9, 0.02),
    ("homeowner", "try"): (0.9, 0.02),
    ("technician", "ask"): (0.85, 0.02),
    ("technician", "look"): (0.97, 0.01),
    ("technician", "try"): (0.97, 0.01),
}


@pytest.fixture(scope="module")
def kb(tmp_path_factory):
    """The small kb with two looks and two questions about one hose, and a cause that shows either kind of it."""
    folder = Path(shutil.copytree(SMALL, tmp_path_factory.mktemp("signs") / "kb"))
    (folder / "signs.yaml").write_text(SIGNS)
    made = {
        "held-told": ("ask", "held: {says: held, sign: hose-held}"),
        "taped-told": ("ask", "taped: {says: taped, sign: hose-taped}"),
        "kind-told": ("ask", "taped: {says: taped, sign: hose-taped}, clamped: {says: clamped, sign: hose-clamped}"),
        "taped-seen": ("look", "taped: {says: taped, sign: hose-taped}"),
        "held-tried": ("try", "held: {says: held, sign: hose-held}"),
    }
    checks = folder / "checks" / "drain.yaml"
    checks.write_text(
        checks.read_text()
        + "".join(CHECK.format(title=f"What of {n}", name=n, kind=k, answers=a) for n, (k, a) in made.items())
    )
    roles = "".join(
        f"  {hands}:\n"
        + "".join(
            f"    {kind}: {{hit: {{n: {h}, basis: judgement}}, false_alarm: {{n: {f}, basis: judgement}}}}\n"
            for (who, kind), (h, f) in RATES.items()
            if who == hands
        )
        for hands in ("homeowner", "technician")
    )
    path = folder / "roles.yaml"
    path.write_text(f"{path.read_text()}reports:\n{roles}")
    for rel, line in (
        (
            "hose-sealed-in",
            "  - {sign: hose-taped, strength: very likely}\n  - {sign: hose-held, strength: unlikely}\n",
        ),
        ("pipe-too-low", "  - {sign: hose-clamped, strength: likely}\n"),
    ):
        cause = folder / "causes" / "drain" / f"{rel}.yaml"
        cause.write_text(cause.read_text().replace("shows:\n", f"shows:\n{line}", 1))
    return load_kb(folder)


def case(kb, *answers: tuple[str, str], hands: str = "homeowner") -> list[Event]:
    return [Event(role=hands), Event(complaints=["wet"]), *(Event(check=c, answer=a) for c, a in answers)]


def said(kb, events: list[Event]) -> list[tuple[str, bool, str, tuple[str, ...]]]:
    return [(t.sign, t.said, t.hands, t.of) for t in told(network_of(kb), fold(kb, events))]


def test_rates_are_those_of_the_roles_file(kb) -> None:
    for (hands, kind), rates in RATES.items():
        assert report_rates(kb, hands, kind) == rates


def test_a_kb_without_rates_errs_as_its_hands_do() -> None:
    """3 in 100 reports of a homeowner are quite wrong in the small kb, a tenth of them of what is not there."""
    assert report_rates(load_kb(SMALL), "homeowner", "ask") == pytest.approx((0.97, 0.003))


def test_answers_more_telling_are_denied_and_the_one_said_is_there(kb) -> None:
    taped, clamped = ("hose-taped",), ("hose-clamped",)
    assert said(kb, case(kb, ("kind-told", "clamped"))) == [
        ("hose-clamped", True, "homeowner", clamped),
        ("hose-taped", False, "homeowner", taped),
    ]
    assert said(kb, case(kb, ("kind-told", "taped"))) == [("hose-taped", True, "homeowner", taped)]
    assert [s[:2] for s in said(kb, case(kb, ("kind-told", "none")))] == [
        ("hose-clamped", False),
        ("hose-taped", False),
    ]


def test_the_same_hands_see_one_thing_once_and_other_hands_beside(kb) -> None:
    idle = case(kb, ("taped-told", "none"), ("kind-told", "none"), ("taped-seen", "taped"))
    reports = told(network_of(kb), fold(kb, idle))
    (tape,) = [t for t in reports if t.sign == "hose-taped"]
    assert (tape.said, tape.hit) == (True, 0.9)  # the look holds, not the memory
    other = [*idle, Event(role="technician"), Event(check="taped-seen", answer="none")]
    both = [t for t in told(network_of(kb), fold(kb, other)) if t.sign == "hose-taped"]
    assert [(t.hands, t.said) for t in both] == [("homeowner", True), ("technician", False)]


def test_a_finer_report_implies_the_coarser_and_a_coarse_denial_the_finer(kb) -> None:
    seen = case(kb, ("taped-told", "taped"), ("held-told", "none"))
    assert [s[:2] for s in said(kb, seen)] == [("hose-taped", True)]
    denied = case(kb, ("held-told", "none"), ("taped-told", "none"))
    assert ("hose-held", False, "homeowner", ("hose-clamped", "hose-held")) in said(kb, denied)
    held = case(kb, ("held-told", "held"), ("taped-told", "none"))
    assert ("hose-held", True, "homeowner", ("hose-clamped", "hose-held")) in said(kb, held)
    # A look that denies the whole is surer than a memory that denies a part.
    tried = case(kb, ("held-tried", "none"), ("taped-told", "none"))
    assert [s[:2] for s in said(kb, tried)] == [("hose-held", False)]


def as_brute(network: Network, events: list[Event]):
    e = gather_evidence(network, fold(network.kb, events))
    prior, share = joint(e.tables, e.facts.shares)
    sums = [brute(list(row), e.findings, e.cures) for row in prior]
    whole = sum(s.marginal_likelihood * w for s, w in zip(sums, share, strict=True))

    def mean(of) -> float:
        return sum(of(s) * s.marginal_likelihood * w for s, w in zip(sums, share, strict=True)) / whole

    return e, whole, mean


@pytest.mark.parametrize(
    "answers",
    [
        [("taped-told", "none")],
        [("kind-told", "none"), ("held-told", "held")],
        [("taped-seen", "taped"), ("held-tried", "held"), ("taped-told", "none")],
    ],
)
def test_the_belief_is_that_of_every_world(kb, answers) -> None:
    """First by a homeowner, then a technician says it again: two reports of one sign (D)."""
    network = network_of(kb)
    for events in (
        case(kb, *answers),
        [*case(kb, *answers), Event(role="technician"), *(Event(check=c, answer=a) for c, a in answers)],
        [
            *case(kb, *answers),
            Event(remedy="hose-sealed-in", did="done"),
            *(Event(check=c, answer=a) for c, a in answers),
        ],
    ):
        e, whole, mean = as_brute(network, events)
        assert any(isinstance(f, Reported) for f in e.findings)
        ours = Analysis(network, fold(kb, events))
        assert ours.posterior.marginal_likelihood == pytest.approx(whole, rel=1e-9)
        for i, _ in enumerate(e.causes):
            assert ours.posterior.present[i] == pytest.approx(mean(lambda s, i=i: s.present[i]), abs=1e-9)
            assert ours.posterior.explains[i] == pytest.approx(mean(lambda s, i=i: s.explains[i]), abs=1e-9)
        assert ours.scenarios.residual < 1e-6  # pairs of two causes are all there is


def test_cant_is_no_report(kb) -> None:
    assert said(kb, [*case(kb), Event(cant="taped-told"), Event(skip="held-told")]) == []


def test_what_was_said_is_not_asked_again_by_another_check(kb) -> None:
    network = network_of(kb)

    def offered(events: list[Event]) -> set[str]:
        state = fold(kb, events)
        return {c.id for c in open_checks(network, state, ["hose-sealed-in", "pipe-too-low"], state.hands)}

    every = {"held-told", "taped-told", "kind-told", "taped-seen", "held-tried"}
    assert every <= offered(case(kb))
    # A memory is not asked again, a look at it may be.
    assert offered(case(kb, ("taped-told", "none"))) & every == every - {"taped-told"}
    assert offered(case(kb, ("kind-told", "none"))) & every == every - {"taped-told", "kind-told"}
    # What was looked at is not asked of memory either; seen, it is held.
    assert offered(case(kb, ("taped-seen", "taped"))) & every == {"kind-told"}
    assert offered(case(kb, ("held-tried", "none"))) & every == set()
    # A technician looks anew, and a homeowner is not asked what a technician saw.
    taken_up = [*case(kb, ("held-tried", "none")), Event(role="technician")]
    assert offered(taken_up) & every == every - {"held-tried"}
    back = [*case(kb, ("held-tried", "none"), hands="technician"), Event(role="homeowner")]
    assert offered(back) & every == set()
    # After a remedy the same is asked again.
    mended = [*case(kb, ("taped-told", "none")), Event(remedy="hose-sealed-in", did="done")]
    assert "kind-told" in offered(mended)
    assert not known(network, [], "hose-sealed", "homeowner", 0)


def test_what_is_foreseen_is_what_is_believed_once_it_is_said(kb) -> None:
    """The chance of an answer by scenario, over the chances of the scenarios, is that of the evidence with it (D)."""
    network = network_of(kb)
    before = [*case(kb, ("taped-told", "taped")), Event(role="technician")]
    a = Analysis(network, fold(kb, before))
    state = fold(kb, before)
    findings = Findings(network, a.evidence.causes, a.scenarios.present, told(network, state), state.epoch)
    check = kb.checks["taped-seen"]
    table = outcomes(findings, check, "technician")
    assert table.sum(axis=0) == pytest.approx(np.ones(table.shape[1]))
    for row, answer in zip(table, check.answers, strict=True):
        after = Analysis(network, fold(kb, [*before, Event(check="taped-seen", answer=answer)]))
        share = after.posterior.marginal_likelihood / a.posterior.marginal_likelihood
        assert float(row @ a.scenarios.weight) == pytest.approx(share, abs=2e-3)


def test_a_made_up_site_shows_a_sign_once_and_its_reports_err_as_often_as_they_should(kb) -> None:
    network = network_of(kb)
    hit, false_alarm = report_rates(kb, "homeowner", "look")
    seen, agreed = [], []
    for n in range(4000):
        site = Installation(str(n), {}, frozenset({"hose-sealed-in"}), {})
        looked = site.answer(network, kb.checks["taped-seen"], "homeowner") == "taped"
        agreed.append(looked == (site.answer(network, kb.checks["taped-told"], "homeowner") == "taped"))
        seen.append(looked)
    strength = kb.scales.words["very likely"]
    assert np.mean(seen) == pytest.approx(1 - (1 - false_alarm) * (1 - strength * hit) * (1 - 0.002 * hit), abs=0.015)
    # Two reports of one draw: both of what shows, or both of what doesn't; two draws would agree in .64.
    told_hit, told_alarm = report_rates(kb, "homeowner", "ask")
    yes = [(1 - (1 - f) * (1 - h), f) for h, f in ((hit, false_alarm), (told_hit, told_alarm))]
    (a1, a0), (b1, b0) = yes
    both = strength * (a1 * b1 + (1 - a1) * (1 - b1)) + (1 - strength) * (a0 * b0 + (1 - a0) * (1 - b0))
    assert np.mean(agreed) == pytest.approx(both, abs=0.015)


def test_every_finding_has_its_name(kb) -> None:
    e = gather_evidence(network_of(kb), fold(kb, case(kb, ("kind-told", "none"))))
    assert e.names[-2:] == ["sign:hose-clamped", "sign:hose-taped"]
    assert len(e.names) == len(e.findings)
    assert all(isinstance(f, NoisyOr | Reported) for f in e.findings)


def test_idle_answers_about_one_noise_are_one_noise(shipped_kb) -> None:
    """A new machine that walks at every wash: a noise denied in five ways leaves the packing bolts what one noise leaves them."""
    events = [
        Event(role="homeowner"),
        Event(complaints=["walks"]),
        Event(fact="onset", is_="new"),
        Event(fact="rhythm", is_="every-time"),
    ]

    def bolts(answers: dict[str, str]) -> float:
        told_so = [Event(check=c, answer=a) for c, a in answers.items()]
        beliefs = Analysis(network_of(shipped_kb), fold(shipped_kb, [*events, *told_so])).beliefs
        return next(b.p for b in beliefs if b.cause == "restraints-left-in")

    idle = {"tub-knocks": "none", "noise-kind": "hums", "noise-moment": "in-between", "room-shakes": "only-machine"}
    assert bolts({}) == pytest.approx(0.249, abs=0.01)
    assert bolts(idle) > 0.08  # two in a thousand before there were signs
    assert bolts(idle | {"restraints-counted": "all-out"}) > 0.01
    # Who looks and finds none has looked.
    assert bolts({"restraints-left": "none"}) < 0.03


@pytest.fixture(scope="session")
def shipped_kb():
    return shipped()


def cells(e, findings: list) -> int:
    """What a posterior costs."""
    with effort.limit(100) as all_of_it:
        infer_by_fact(e.tables, e.facts.shares, findings, e.cures)
    return all_of_it.spent


def healthy(kb, complaint: str, most: int) -> list[Event]:
    """The normal answers to so many of the looks, questions and trials that a complaint leads to."""
    network = network_of(kb)
    checks = [kb.checks[c] for c in network.checks_for(graph.relevant(network.graph, [complaint]))]
    asked = [c for c in checks if c.answers][:most]
    return [
        Event(role="technician"),
        Event(complaints=[complaint]),
        *(Event(check=c.id, answer=list(c.answers)[-1]) for c in asked),
    ]


def test_thirty_healthy_answers_cost_what_they_cost_without_signs(shipped_kb) -> None:
    """Denials stay factors: no table more, and the cells of the posterior within 3 times those of answers without error."""
    for complaint in sorted(shipped_kb.complaints):
        e = gather_evidence(network_of(shipped_kb), fold(shipped_kb, healthy(shipped_kb, complaint, 30)))
        groups = [f for f in e.findings if isinstance(f, Reported)]
        plain = [f for f in e.findings if not isinstance(f, Reported)]
        plain += [NoisyOr(s.leak, s.links, 0.0, 1.0) for g in groups for s in g.signs]
        assert cells(e, e.findings) < 3 * cells(e, plain), complaint


def test_what_several_say_of_one_sign_is_counted_before_it_is_worked_out(shipped_kb) -> None:
    """Every sign seen by a caller and again by a technician: each report a variable, and within what one answer may take."""
    telling = []
    for check in shipped_kb.checks.values():
        first = next(iter(check.answers), None)
        if (
            first
            and check.answers[first].sign
            and check.minutes.homeowner
            and check.minutes.technician
            and not check.when
        ):
            telling.append(Event(check=check.id, answer=first))
    events = [Event(role="homeowner"), Event(complaints=["noisy"]), *telling, Event(role="technician"), *telling]
    e = gather_evidence(network_of(shipped_kb), fold(shipped_kb, events))
    assert sum(len(f.said) for f in e.findings if isinstance(f, Reported)) > 20
    assert cells(e, e.findings) < effort.MOST_CELLS
