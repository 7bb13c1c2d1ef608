"""Two faults of one house: what is told of them, what is seen of them and the house itself go together, for every pair there is."""

import itertools
import re

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.exercises.defining import surely_shown
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise, site_of
from dryfloor.engine.exercises.telling import words
from dryfloor.engine.exercises.together import possible, tellable
from dryfloor.engine.measurement.readings import reading
from dryfloor.engine.model import holds
from dryfloor.engine.planning import roles

# What nobody says of one machine at one time: written from what a washer does, in the order in which it does it.
RUNNING = [
    "walks",
    "noisy",
    "spin-wet",
    "standpipe-overflow",
    "water-hammer",
    "wrong-temperature",
    "siphons",
    "lights-dim",
]
NOT_OF_ONE_MACHINE = {
    "no-power": [*RUNNING, "no-drain", "slow-fill", "suds-or-smell"],  # it is dead
    "freeze-damage": [*RUNNING, "suds-or-smell"],  # it stands since a frost
    "slow-fill": [
        "walks",
        "noisy",
        "spin-wet",
        "standpipe-overflow",
        "no-drain",
        "wrong-temperature",
    ],  # no water to wash in
    "no-drain": [
        "walks",
        "noisy",
        "spin-wet",
        "standpipe-overflow",
        "siphons",
    ],  # its water stays in, so it never spins
    "siphons": ["walks", "noisy", "spin-wet", "standpipe-overflow"],  # its water does not stay in
}
# A new machine that "does something odd" of these faults is one that turns, or one that takes water.
ODD_AND_ALIVE = [
    "restraints-left-in",
    "basket-insert-left-in",
    "base-block-left-in",
    "fill-hoses-crossed",
    "demo-mode-on",
]


# Words that deny what another complaint takes for granted, read by eye from all that is told.
DENIES_SPIN = re.compile(
    r"\b(?:not|n't|never|no|without) (?:a |any |even |to )?(?:spin|spins|spinning|turn|turns)\b|\bstopped spinning\b"
)
DENIES_START = re.compile(
    r"\b(?:not|n't|never) (?:even )?(?:start|starts|turn on|come on|power)\b|\bdead\b|\bno power\b|\bnothing happens\b"
)
SPIN = ("walks", "noisy", "spin-wet")


def faults(kb):
    return sorted(c for c in kb.causes if kb.causes[c].kind != "normal")


def wrong(kb, network, site):
    """Return what can't be in one house with these faults, in words."""
    out = []
    told = sorted(site.origins)
    for one, other in itertools.combinations(told, 2):
        if other in NOT_OF_ONE_MACHINE.get(one, []) or one in NOT_OF_ONE_MACHINE.get(other, []):
            out.append(f"{one} and {other}")
    if "no-power" in told and any(site.causes & {c} for c in ODD_AND_ALIVE) and "first-run" in told:
        out.append("dead, and it does something odd")
    said = {c: words(network, site, c) for c in told} if len(told) > 1 else {}
    for one, other in itertools.permutations(told, 2):
        if DENIES_SPIN.search(said[one]) and other in SPIN:
            out.append(f"'{said[one]}' and {other}")
        if DENIES_START.search(said[one]) and other in [*RUNNING, "leaking-coupling", "no-drain"]:
            out.append(f"'{said[one]}' and {other}")
    for cause in site.causes:
        record = kb.causes[cause]
        if not holds(record.when, site.facts):
            out.append(f"{cause} can't be at {site.facts}")
        for node in surely_shown(network, cause):
            kind, name, said = node.split(":")
            seen = look(kb, network, site, kind, name)
            if seen is not None and seen != said:
                out.append(f"{cause} is defined by {name} {said}, and it is {seen}")
    return out


def look(kb, network, site, kind, name):
    """Return what a look comes out as there: the answer of a check, or the side of a rule; None where nobody can make it."""
    for check in kb.checks.values():
        own = check.id == name if kind == "answer" else check.rule == name and check.kind == "measure"
        if own and not check.only_proof and holds(check.when, site.facts) and roles.permitted(kb, check, "technician"):
            said = site.answer(network, check, "technician")
            return said if kind == "answer" else reading(kb, check.id, said, "technician").verdict.side
    return None


def looked_at(kb, pairs):
    """Return what is wrong, by pair, and how many houses were built."""
    network, built, found = network_of(kb), 0, {}
    for one, other in pairs:
        site = site_of(network, f"pair|{one}|{other}", [one, other])
        if site is not None:
            built += 1
            if bad := wrong(kb, network, site) + denied(kb, network, site):
                found[one, other] = bad
    return found, built


def buildable(kb):
    network = network_of(kb)
    return [p for p in itertools.combinations(faults(kb), 2) if possible(network, kb.causes[p[0]], kb.causes[p[1]])]


def test_two_faults_of_one_house_go_together(kb):
    pairs = buildable(kb)
    found, built = looked_at(kb, pairs[:: len(pairs) // 60])
    assert found == {}
    assert built > 20


@pytest.mark.slow
def test_two_faults_of_one_house_go_together_for_every_pair(kb):
    found, built = looked_at(kb, buildable(kb))
    assert found == {}
    assert built > 4000


@pytest.mark.slow
def test_every_fault_has_another_to_be_with(kb):
    network = network_of(kb)
    for fault in faults(kb):
        made = exercise(network, Order(seed=1, fault=fault, faults=2))
        assert len(made.site.causes) == 2
        assert wrong(kb, network, made.site) == []


# Looks that say that nothing runs, and complaints of a washer that does.
NOTHING_RUNS = {
    "washer-shows-life": ["no-life"],
    "outlet-gives-power": ["outlet-dead"],
    "outlet-readings": ["hn-dead", "open-neutral", "all-dead"],
    "device-tripped": ["button-out", "tripped"],
    "fill-stream": ["none"],
    "drain-restarted": ["wont-start"],
}


def denied(kb, network, site):
    """Return what a look says there that what is complained of denies."""
    out = []
    if {*RUNNING} & {*site.origins}:
        for check, answers in NOTHING_RUNS.items():
            if (
                holds(kb.checks[check].when, site.facts)
                and site.answer(network, kb.checks[check], "technician") in answers
            ):
                out.append(f"{check} with {sorted(site.origins)}")
    return out


def test_no_look_denies_what_is_complained_of(kb):
    network = network_of(kb)
    sites = {(c, n): site_of(network, f"runs|{n}|{c}", [c]) for c in faults(kb) for n in range(3)}
    assert {k: wrong for k, s in sites.items() if s is not None and (wrong := denied(kb, network, s))} == {}


def test_a_dead_machine_does_not_walk_and_a_full_one_does_not_spin(kb):
    network = network_of(kb)

    def both(one, other):
        return tellable(network, (kb.causes[one[0]], one[1]), (kb.causes[other[0]], other[1]))

    dead, walks = ("outlet-dead", "no-power"), ("foot-unloaded", "walks")
    assert not both(dead, walks)
    assert not both(walks, dead)
    assert not both(("drain-hose-kinked", "no-drain"), walks)
    assert not both(("drain-hose-kinked", "no-drain"), ("hose-pushed-too-deep", "siphons"))
    assert not both(dead, ("restraints-left-in", "first-run"))
    assert not both(("taps-not-opened", "first-run"), ("coupling-not-tight", "leaking-coupling"))
    assert both(walks, ("coupling-not-tight", "leaking-coupling"))
    assert both(dead, ("washer-control-dead", "no-power"))


def test_what_is_seen_of_two_faults_must_be_seen_both_times(kb):
    network = network_of(kb)

    def both(one, other):
        return possible(network, kb.causes[one], kb.causes[other])

    assert not both("outlet-dead", "demo-mode-on")  # a sign is lit, and nothing is
    assert not both("spare-inlet-or-tap-open", "fill-hoses-crossed")  # one hose is on, and two are crossed
    assert not both("standpipe-too-low", "standpipe-too-high")
    assert both("spare-inlet-or-tap-open", "foot-unloaded")
    for one, other in itertools.combinations(faults(kb)[::9], 2):
        assert both(one, other) == both(other, one)
