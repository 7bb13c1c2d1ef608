"""The installation of an order: the same everywhere, with what was ordered, told by somebody who does not name the fault."""

import os
import subprocess
import sys

import msgspec
import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.defining import surely_shown
from dryfloor.engine.exercises.order import Order, families, family_of
from dryfloor.engine.exercises.site import DrillSite, exercise
from dryfloor.engine.knowledge.graph import answer_node
from tests.support.places import ROOT, SMALL

PRINTED = """
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
network = network_of(load_kb())
for seed in range(12):
    made = exercise(network, Order(seed=seed))
    print(seed, sorted(made.site.causes), sorted(made.site.facts.items()), made.told, made.teller)
    for check in sorted(network.kb.checks):
        print(made.site.answer(network, network.kb.checks[check], "technician"))
"""


def made(kb, **order):
    return exercise(network_of(kb), Order(**order))


def test_the_same_seed_is_the_same_installation(kb):
    first = [made(kb, seed=s) for s in range(8)]
    exercise.cache_clear()
    assert [(e.site, e.told, e.teller) for e in first] == [
        (e.site, e.told, e.teller) for e in (made(kb, seed=s) for s in range(8))
    ]
    assert len({e.site.seed for e in first}) == len(first)


@pytest.mark.slow
def test_the_same_seed_is_the_same_installation_in_another_process_and_another_country():
    def printed(**environ):
        run = subprocess.run(
            [sys.executable, "-c", PRINTED],
            env={**os.environ, **environ},
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        return run.stdout

    assert printed(PYTHONHASHSEED="1", LANG="C") == printed(PYTHONHASHSEED="2", LANG="de_DE.UTF-8", TZ="Asia/Tokyo")


def test_minutes_and_role_change_nothing_of_the_place(kb):
    assert made(kb, seed=3).site == made(kb, seed=3, minutes=5.0, role="desk").site


def test_what_is_ordered_is_at_work(kb):
    assert made(kb, seed=1, fault="standpipe-too-low").truth == ["standpipe-too-low"]
    for seed in range(6):
        assert all(family_of(kb, c) == "power" for c in made(kb, seed=seed, family="power", faults=1).truth)
        assert len(made(kb, seed=seed, faults=2).site.causes) == 2
        assert all(kb.causes[c].kind == "normal" for c in made(kb, seed=seed, faults=0).truth)
    assert "foot-unloaded" in made(kb, seed=2, fault="foot-unloaded", faults=2).truth
    assert families(kb) == ["cold", "drain", "power", "stand", "supply", "use"]


def test_some_places_are_sound_and_some_have_two_faults(kb):
    count = [
        (len(e.site.causes), kb.causes[e.truth[0]].kind == "normal") for e in (made(kb, seed=s) for s in range(60))
    ]
    assert 2 < sum(sound for _, sound in count) < 20
    assert 2 < sum(n == 2 for n, _ in count) < 20


def test_nothing_abnormal_is_seen_that_no_fault_at_work_shows(kb):
    network = network_of(kb)
    for seed in range(6):
        one = made(kb, seed=seed)
        for check in kb.checks.values():
            said = one.site.answer(network, check, "technician")
            if check.kind != "measure" and said != list(check.answers)[-1]:
                assert set(one.site.causes) & set(network.shown[answer_node(check.id, said)])


def test_what_defines_a_fault_is_seen_whatever_the_dice_say(kb, monkeypatch):
    network = network_of(kb)
    sites = [
        (c, made(kb, seed=1, fault=c).site) for c in ("restraints-left-in", "hose-sealed-in-pipe", "standpipe-too-low")
    ]
    monkeypatch.setattr(DrillSite, "draw", lambda *_: 0.99999)
    for cause, site in sites:
        look = kb.causes[cause].defines
        if look.check:
            assert site.answer(network, kb.checks[look.check], "technician") in {look.answer, *look.also}
        else:
            assert site.part(network, look.rule, "technician", ()) == look.side


def test_reports_of_one_sign_agree(kb):
    """Whoever is asked of a noise twice, in other words, says the same; a report of several signs may have another of them."""
    network = network_of(kb)
    alone = {}
    for node, signs in network.reporting.items():
        if node in network.sign_at and len(signs) == 1:
            alone.setdefault(next(iter(signs)), []).append(node)
    twice = {k: nodes for k, nodes in alone.items() if len(nodes) > 1}
    assert twice
    for fault in sorted({c for k in twice for c in network.signs[k]})[:30]:
        site = made(kb, seed=5, fault=fault).site
        sure = {n for c in site.causes for n in surely_shown(network, c)}
        for nodes in twice.values():
            assert len({site.fires(network, n, (), "technician") for n in nodes if n not in sure}) < 2


def test_once_it_is_mended_nothing_is_seen_of_it(kb):
    network = network_of(kb)
    one = made(kb, seed=1, fault="standpipe-too-low")
    check = kb.checks["standpipe-height"]
    assert one.site.answer(network, check, "technician").startswith("2")
    assert one.site.answer(network, check, "technician", {"standpipe-too-low"}).startswith("4")
    assert one.site.works(kb, "standpipe-too-low")


def test_a_foot_is_measured_in_millimetres_and_a_pipe_in_inches(kb):
    network = network_of(kb)
    one = made(kb, seed=1, fault="foot-unloaded")
    assert one.site.answer(network, kb.checks["foot-gap"], "technician").endswith("mm")
    assert one.site.answer(network, kb.checks["standpipe-height"], "technician").endswith("in")


def test_a_kb_of_two_causes_has_a_drill(kb):
    from dryfloor.engine.knowledge.load import load_kb

    small = load_kb(SMALL)
    assert {made(small, seed=s).truth[0] for s in range(9)} <= set(small.causes)
    assert msgspec.json.encode(made(small, seed=1).order)


def test_every_code_that_binds_at_a_house_is_given_and_none_that_does_not(kb):
    codes = {f.id for f in kb.facts.values() if any(o.unknown for o in f.options.values())}
    assert {"plumbing-code", "code-edition", "building-code"} <= codes
    network = network_of(kb)
    for seed in range(20):
        facts = made(kb, seed=seed).site.facts
        own = {
            c for c in codes if kb.facts[c].when.get("supply-system", facts["supply-system"]) == facts["supply-system"]
        }
        game = Round(network, made(kb, seed=seed))
        known = dict(game.state.facts)
        assert {c: known[c] for c in own} == {c: facts[c] for c in own}
        assert not (codes - own) & {*known}
        assert game.looked == 0
