"""Derived evidence: readings worked through the physics, with a Monte Carlo run as the second way to its uncertainty."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from dryfloor.engine import model
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.calculators.calculator import find
from dryfloor.engine.case.state import Answered, State
from dryfloor.engine.diagnosis.derived import behind, derive, meanings, measured_inputs, take
from dryfloor.engine.diagnosis.evidence import derived_evidence, reported
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge.machine_sheet import DATA, apply_sheet, load_sheet
from dryfloor.engine.measurement.quantity import parse, parse_tolerance
from tests.support.shipped import shipped

IN = 0.0254
KB = shipped()
GROSS = 0.02
FRONT, TOP = (apply_sheet(KB, load_sheet(KB, name)) for name in ("brook-front-loader", "meadow-top-loader"))


def hose_end(kb, height, depth=None):
    """Return what the standpipe's height, and the hose's depth, amount to for a machine [in, half-widths of a technician]."""
    readings = {"standpipe-height": (height * IN, IN / 8)} | (
        {"hose-depth": (depth * IN, IN / 4)} if depth is not None else {}
    )
    return derive(kb, kb.rules["hose-end-above-water-line"], readings, GROSS)


def passes(bore, **more):
    """Return what a standpipe's bore amounts to [in]."""
    return derive(KB, KB.rules["standpipe-passes-pump-flow"], {"standpipe-bore": (bore * IN, IN / 32)} | more, GROSS)


def rectangular(rng, taken, n):
    """Return samples of inputs, those of one check moved together."""
    shared = {t.check: rng.uniform(-1, 1, n) for t in taken.values() if t.check}
    return {
        name: t.value + t.u * math.sqrt(3) * (shared[t.check] if t.check else rng.uniform(-1, 1, n))
        for name, t in taken.items()
    }


@pytest.mark.parametrize(
    ("kb", "rule", "readings", "tolerance"),
    [
        (TOP, "hose-end-above-water-line", {"standpipe-height": (36 * IN, IN / 8), "hose-depth": (5 * IN, IN / 4)}, 0.02),
        (TOP, "hose-end-above-water-line", {"standpipe-height": (40 * IN, IN / 8)}, 0.02),
        pytest.param(KB, "standpipe-passes-pump-flow", {"standpipe-bore": (2 * IN, IN / 32)}, 0.1, marks=pytest.mark.slow),
        pytest.param(KB, "standpipe-passes-pump-flow", {"standpipe-bore": (1.5 * IN, IN / 8), "standpipe-above-weir": (24 * IN, IN / 2)}, 0.1, marks=pytest.mark.slow),
        pytest.param(FRONT, "standpipe-passes-pump-flow", {"standpipe-bore": (1.25 * IN, IN / 32), "hose-depth": (6 * IN, IN / 4)}, 0.1, marks=pytest.mark.slow),
    ])  # fmt: skip
def test_the_uncertainty_is_that_of_a_monte_carlo_run(kb, rule, readings, tolerance):
    """JCGM 101's way (from memory, unverified): propagate the distributions themselves; the model's own spread is normal."""
    found = derive(kb, kb.rules[rule], readings, GROSS)
    use = kb.rules[rule].model
    working = find(use.working)
    output = next(o for o in working.outputs if o.name == use.gives)
    rng = np.random.default_rng(7)
    n = 4000
    samples = rectangular(rng, take(kb, use, readings), n)
    gave = np.array([working.run({k: float(v[i]) for k, v in samples.items()})[use.gives] for i in range(n)])
    gave = gave * (1 + output.spread * rng.standard_normal(n))
    margin = gave - (samples[use.at_least] if use.at_least else 0.0)
    assert np.std(margin) == pytest.approx(found.u, rel=tolerance)
    low = found.low if use.at_least else parse(kb.rules[rule].min, kb.rules[rule].measures)
    kept = np.mean(margin >= (0.0 if use.at_least else low))
    assert kept == pytest.approx(found.verdict.conformity, abs=0.06)


def test_the_hose_end_by_hand():
    """42 in of pipe less 6 in of hose, over a water line of 29 in, is 7 in (D); u from 1/8, 1/4 and 1 in as half-widths."""
    found = hose_end(TOP, 42, 6)
    assert found.value / IN == pytest.approx(7, abs=1e-9)
    assert found.u / IN == pytest.approx(math.sqrt((1 / 8) ** 2 + (1 / 4) ** 2 + 1) / math.sqrt(3), rel=1e-6)
    assert found.verdict.state == "within"
    assert "7 in" in found.text


@given(st.floats(20, 60), st.floats(0, 10))
@settings(max_examples=40, deadline=None)
def test_a_higher_pipe_never_makes_a_siphon_likelier(height, more):
    lower, higher = hose_end(TOP, height), hose_end(TOP, height + more)
    assert higher.verdict.conformity >= lower.verdict.conformity
    assert higher.below / higher.within <= lower.below / lower.within + 1e-12


@given(st.floats(1.2, 2.6), st.floats(0, 0.4))
@settings(max_examples=25, deadline=None)
def test_a_wider_pipe_never_passes_less(bore, more):
    assert passes(bore + more).value >= passes(bore).value * (1 - 1e-6)


def test_a_coarser_tape_widens_the_verdict_and_tells_less():
    fine = derive(TOP, TOP.rules["hose-end-above-water-line"], {"standpipe-height": (30 * IN, IN / 8)}, GROSS)
    coarse = derive(TOP, TOP.rules["hose-end-above-water-line"], {"standpipe-height": (30 * IN, 6 * IN)}, GROSS)
    assert fine.u < coarse.u
    assert fine.verdict.state == "broken"
    assert coarse.verdict.state == "too-close"
    assert fine.below / fine.within > coarse.below / coarse.within


def test_two_inputs_of_one_reading_err_together():
    """Trap and arm are taken as wide as the pipe: alone, the bore's part of the uncertainty is that of moving both at once."""
    use = KB.rules["standpipe-passes-pump-flow"].model
    taken = take(KB, use, {"standpipe-bore": (2 * IN, IN / 4)})
    assert taken["bore"].check == taken["trap_bore"].check == "standpipe-bore"
    run = find(use.working).run
    values = {n: t.value for n, t in taken.items()}
    step = IN / 4 / math.sqrt(3)
    both = [run(values | {"bore": 2 * IN + s * step, "trap_bore": 2 * IN + s * step})["passes"] for s in (1, -1)]
    alone = derive(KB, KB.rules["standpipe-passes-pump-flow"], {"standpipe-bore": (2 * IN, 1e-9)}, GROSS).u
    wide = derive(KB, KB.rules["standpipe-passes-pump-flow"], {"standpipe-bore": (2 * IN, IN / 4)}, GROSS).u
    base = run(values)["passes"]
    assert math.sqrt(wide**2 - alone**2) == pytest.approx(max(abs(b - base) for b in both), rel=1e-6)


def test_the_pumps_own_rate_is_the_limit_where_a_sheet_gives_one():
    rule = "standpipe-passes-pump-flow"
    ours = passes(1.25)
    theirs = derive(FRONT, FRONT.rules[rule], {"standpipe-bore": (1.25 * IN, IN / 32)}, GROSS)
    assert ours.low == pytest.approx(parse("17 gpm", "flow"))
    assert theirs.low == pytest.approx(parse("9 gpm", "flow"))
    assert theirs.value == ours.value
    assert theirs.verdict.conformity > ours.verdict.conformity
    assert "needed 9 gpm" in theirs.text


def test_an_unsure_limit_widens_the_verdict():
    """Where the limit is an input too, its uncertainty is added in squares: half of 12 gpm over root 3 (D)."""
    rule = KB.rules["standpipe-passes-pump-flow"]
    at = {"standpipe-bore": (1.25 * IN, IN / 32)}
    pumps = [replace(rule.model.takes["pump"], give_or_take=g) for g in (None, "12 gpm")]
    sure, unsure = (
        derive(KB, replace(rule, model=replace(rule.model, takes={**rule.model.takes, "pump": p})), at, GROSS)
        for p in pumps
    )
    assert math.sqrt(unsure.u**2 - sure.u**2) == pytest.approx(parse("12 gpm", "flow") / math.sqrt(3), rel=1e-6)
    assert unsure.value == sure.value


def test_a_bound_is_called_a_bound_and_lint_is_named():
    found = passes(2.07)
    assert "at most" in found.text
    assert any("lint" in text for text in found.says)
    assert any("as wide as the pipe" in text for text in found.says)


def test_nothing_is_worked_out_without_a_reading_or_without_the_machines_own_water_line():
    rule = KB.rules["hose-end-above-water-line"]
    assert derive(KB, rule, {"standpipe-height": (0.9, 0.003)}, GROSS) is None
    assert derive(TOP, rule, {}, GROSS) is None
    assert derive(TOP, rule, {"hose-depth": (0.1, 0.003)}, GROSS) is None
    assert derive(TOP, KB.rules["standpipe-height"], {"standpipe-height": (0.9, 0.003)}, GROSS) is None
    assert not measured_inputs(rule.model, {"foot-gap": (0.0, 0.0)})


def state(**answers):
    """Return a state with a technician's answers, in a house with a standpipe."""
    given = tuple(Answered(n.replace("_", "-"), s, "technician", 0) for n, s in answers.items())
    return State(role="technician", hands="technician", facts=(("drain", "standpipe"),), answers=given)


def test_a_stand_in_says_nothing_once_the_water_line_is_known():
    low = state(standpipe_height="31 in", hose_depth="4 in")
    names = {
        kb_name: {n for n, *_ in reported(network_of(kb), low)} for kb_name, kb in (("ours", KB), ("front", FRONT))
    }
    assert "side:standpipe-height:below" in names["ours"]
    assert "side:hose-end-above-water-line:below" not in names["ours"]
    assert "side:standpipe-height:below" not in names["front"]
    assert "side:standpipe-height:above" in names["front"]
    assert "side:hose-end-above-water-line:below" in names["front"]


def test_a_front_loader_acquits_and_a_top_loader_convicts_the_same_pipe():
    low = replace(state(standpipe_height="31 in", hose_depth="4 in"), complaints=("siphons",), stands=(("siphons", 0),))
    beliefs = {
        name: Analysis(network_of(kb), low).beliefs for name, kb in (("ours", KB), ("front", FRONT), ("top", TOP))
    }
    p = {name: {b.cause: b.p for b in found}["standpipe-too-low"] for name, found in beliefs.items()}
    assert p["front"] < 0.05
    assert beliefs["top"][0].cause == "standpipe-too-low"
    assert p["top"] > 0.6
    assert p["front"] < p["ours"]


def test_a_hose_that_is_short_enough_is_not_blamed_for_an_end_below_the_water_line():
    """Only a break is stood for: 4 in of hose speak against a hose too deep, 12 in say no more than the end's own height."""
    node = "side:hose-insertion-depth:above"
    short, deep = (
        {
            n: (on, off)
            for n, on, off, *_ in reported(network_of(TOP), state(standpipe_height="31 in", hose_depth=depth))
        }
        for depth in ("4 in", "12 in")
    )
    assert short[node][0] < 0.1 * short[node][1]
    assert node not in deep
    assert "side:standpipe-height:below" not in short


def test_a_tubs_rim_is_judged_by_the_machine_too():
    at = {"tub-rim-height": (31 * IN, IN / 8)}
    low, fine = (derive(kb, kb.rules["tub-hose-end-above-water-line"], at, GROSS) for kb in (TOP, FRONT))
    assert (low.value / IN, fine.value / IN) == (pytest.approx(-2), pytest.approx(12))
    assert fine.verdict.state == "within"
    assert low.below / low.within > 3 > 1 > fine.below / fine.within
    assert low.instead_of == {"tub-rim-height": "below"}


def test_a_direct_reading_goes_before_what_would_be_worked_out(kb):
    rule = kb.rules["standpipe-passes-pump-flow"]
    given = state(standpipe_bore="2 in")
    assert rule.id in {d.rule for _, d in derived_evidence(network_of(kb), given)}
    assert derived_evidence(network_of(kb), replace(given, answers=())) == []
    tub = replace(given, facts=(("drain", "tub"),))
    assert rule.id not in {d.rule for _, d in derived_evidence(network_of(kb), tub)}


def test_a_homeowners_weak_reading_makes_the_whole_working_as_weak(kb):
    hands = replace(state(standpipe_bore="1.25 in"), answers=(Answered("standpipe-bore", "1.25 in", "homeowner", 0),))
    (_, weak), (_, strong) = (
        derived_evidence(network_of(kb), hands)[0],
        derived_evidence(network_of(kb), state(standpipe_bore="1.25 in"))[0],
    )
    assert weak.below / weak.within < strong.below / strong.within


def test_a_meaning_says_what_it_assumes(kb):
    check = kb.checks["level-front"]
    use = check.means[0]
    both = {"level-side": (0.01, 0.001), "level-front": (0.008, 0.001)}
    said = meanings(kb, check, both)
    assert said
    assert said[0].startswith(f"if {use.assumes}: ")
    assert meanings(kb, check, {"level-front": (0.008, 0.001)}) == []


def test_what_stands_behind_a_break_takes_readings_where_there_are_any_and_stated_values_else(kb):
    cold = kb.rules["drained-before-cold"]
    assert behind(kb, cold, {}) == []
    said = behind(kb, cold, {"lowest-room-temperature": (-10.0, 1.0)})
    assert said[0].startswith(f"if {cold.model.assumes}: the first ice can form after about 120 min")  # D: 2.00 h
    assert not said[1].startswith("if ")
    assert behind(kb, kb.rules["drain-air-break"], {}) == []  # needs this machine's own water line
    assert "33 ft" in " ".join(behind(TOP, kb.rules["drain-air-break"], {}))
    assert behind(kb, kb.rules["hose-end-above-water-line"], {}) == []  # worked out, not weighed
    assert behind(kb, kb.rules["drain-kind"], {}) == []


def test_what_can_not_be_has_no_meaning(kb):
    check = kb.checks["tub-volume"]
    assert meanings(kb, check, {"tub-volume": (parse("20 gal", "volume"), 0.0)})[0].startswith(
        "a 20 gal (76 L) tub is full in 71 s"
    )
    assert meanings(kb, check, {"tub-volume": (-1.0, 0.0)}) == []


def uses(kb):
    """Return every use of a working in the kb, with where it stands."""
    return [(r.id, r.model) for r in kb.rules.values() if r.model] + [
        (c.id, m) for c in kb.checks.values() for m in c.means
    ]


def test_every_stated_value_of_a_model_has_a_graded_basis_and_can_be_read(kb):
    graded = re.compile(r"judgement|^[CSPMD]\b|\([CSPMD]\)|\bS\b|from memory")
    for name, use in uses(kb):
        inputs = {i.name: i for i in find(use.working).inputs}
        for key, taken in use.takes.items():
            measures = inputs[key].measures
            if taken.value is not None:
                assert taken.basis, (name, key)
                assert graded.search(taken.basis), (name, key, taken.basis)
                assert float(taken.value) if measures == "number" else parse(taken.value, measures) is not None
            if taken.give_or_take:
                assert (
                    float(taken.give_or_take) if measures == "number" else parse_tolerance(taken.give_or_take, measures)
                ) > 0
            if taken.data:
                assert DATA[taken.data][0] == measures, (name, key)
        missing = [i.name for i in inputs.values() if i.default is None and i.name not in use.takes]
        assert not missing, (name, missing)


def test_every_rule_that_is_worked_out_can_be(kb):
    own = apply_sheet(kb, model.Machine(title="x", id="x", data={"water-line": "20 in", "pump-rate": "15 gpm"}))
    for rule in own.rules.values():
        if rule.model and rule.model.gives:
            readings = {
                t.check: (sum(parse(x, own.rules[own.checks[t.check].rule].measures) for x in own.rules[own.checks[t.check].rule].plausible.split(" to ")) / 2, 1e-4)
                for t in rule.model.takes.values() if t.check
            }  # fmt: skip
            assert derive(own, rule, readings, GROSS) is not None, rule.id
