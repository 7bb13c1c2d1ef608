"""What the graph says against the records themselves, read by another way round."""

import math
from itertools import combinations

import networkx as nx
import pytest
from msgspec.structs import replace

from dryfloor.engine.knowledge import graph


@pytest.fixture(scope="session")
def g(kb):
    return graph.build(kb)


def number(kb, strength) -> float:
    return kb.scales.words[strength] if isinstance(strength, str) else strength.n


def findings(kb, cause) -> dict[str, float]:
    """Every finding that a cause shows, straight from its file: node -> strength."""
    out = {}
    if cause.breaks and cause.breaks.side:
        strength = cause.breaks.strength
        out[f"side:{cause.breaks.rule}:{cause.breaks.side}"] = 0.99 if strength is None else number(kb, strength)
    for s in cause.shows:
        if s.complaint:
            node = f"complaint:{s.complaint}"
        elif s.rule:
            node = f"side:{s.rule}:{s.side}"
        elif s.sign or (s.answer and kb.checks[s.check].answers[s.answer].sign):
            continue
        elif kb.checks[s.check].kind == "measure":
            node = f"side:{kb.checks[s.check].rule}:{s.side}"
        else:
            node = f"answer:{s.check}:{s.answer}"
        out[node] = number(kb, s.strength)
        if s.check and cause.defines and cause.defines.check == s.check:
            # The least telling of the answers that define it comes when the others are denied: then it is sure.
            named = [cause.defines.answer, *cause.defines.also]
            if s.answer == [a for a in kb.checks[s.check].answers if a in named][-1]:
                out[node] = max(out[node], kb.scales.defines_strength.n)
        elif s.rule and cause.defines and (cause.defines.rule, cause.defines.side) == (s.rule, s.side):
            out[node] = max(out[node], kb.scales.defines_strength.n)
    return out | by_signs(kb, cause)


def kinds_of(kb, sign: str) -> set[str]:
    """A sign and all signs that are a kind of it, one step down after the other."""
    out, more = set(), {sign}
    while more:
        out |= more
        coarser = {s.id: {s.kind_of} if isinstance(s.kind_of, str) else {*s.kind_of} for s in kb.signs.values()}
        more = {s for s, above in coarser.items() if above & more} - out
    return out


def spoken_of(kb, check) -> dict[str, set[str]]:
    """Of each answer that reports a sign, the signs that it speaks of: those of the answers before it are denied by then."""
    out, before = {}, set()
    for name, answer in check.answers.items():
        if answer.sign:
            out[name] = kinds_of(kb, answer.sign) - before
            before |= kinds_of(kb, answer.sign)
    return out


def by_signs(kb, cause) -> dict[str, float]:
    """What a cause shows by signs: every answer that reports one, as a report without error would."""
    own: dict[str, float] = {}
    for s in cause.shows:
        sign = s.sign or (kb.checks[s.check].answers[s.answer].sign if s.check and s.answer else None)
        if sign:
            own[sign] = max(own.get(sign, 0.0), number(kb, s.strength))
    look = cause.defines
    if look and look.check:
        answers = kb.checks[look.check].answers
        sign = answers[[a for a in answers if a in (look.answer, *look.also)][-1]].sign
        if sign in own:
            own[sign] = max(own[sign], kb.scales.defines_strength.n)
    out = {}
    for check in (c for c in kb.checks.values() if own and any(a.sign for a in c.answers.values())):
        for answer, signs in spoken_of(kb, check).items():
            if signs & set(own):
                out[f"answer:{check.id}:{answer}"] = 1 - math.prod(1 - own[s] for s in signs & set(own))
    return out


def test_a_broken_rule_shows_as_strongly_as_the_scales_say(kb) -> None:
    assert kb.scales.breaks_strength.n == 0.99  # judgement; the tests below lean on it
    assert graph.strength(kb, None) == 0.99


def test_every_finding_shows_just_the_causes_that_say_so(kb, g) -> None:
    found = {c.id: findings(kb, c) for c in kb.causes.values()}
    nodes = {n for f in found.values() for n in f}
    assert nodes <= set(g)
    for node in nodes | {n for n in g if n.startswith(("complaint:", "answer:", "side:"))}:
        expected = {c: f[node] for c, f in found.items() if node in f}
        assert graph.shown_by(g, node) == pytest.approx(expected)
    assert graph.shown_by(g, "complaint:nothing-such") == {}


def test_relevant_causes(kb, g) -> None:
    """One complaint, two, none: those whose files name it, and all of them."""
    for size in (1, 2):
        for names in combinations(sorted(kb.complaints), size):
            expected = sorted(c.id for c in kb.causes.values() if any(s.complaint in names for s in c.shows))
            assert graph.relevant(g, list(names)) == expected
            assert expected, names
    assert graph.relevant(g, []) == sorted(kb.causes)


def test_checks_that_tell_something_of_a_cause(kb, g) -> None:
    for cause in kb.causes.values():
        expected, shown = set(), set(findings(kb, cause))
        for check in kb.checks.values():
            can_say = {f"answer:{check.id}:{a}" for a in list(check.answers)[:-1]}
            if check.kind == "measure" and check.rule:
                can_say = {f"side:{check.rule}:{s}" for s in ("below", "above")}
            if can_say & shown:
                expected.add(check.id)
        assert graph.checks_for(g, [cause.id]) == sorted(expected), cause.id
    some = sorted(kb.causes)[:5]
    assert graph.checks_for(g, some) == sorted({c for x in some for c in graph.checks_for(g, [x])})
    assert graph.checks_for(g, []) == []


def test_the_last_answer_of_a_check_is_no_finding(kb, g) -> None:
    """It is what is left when nothing more telling is seen."""
    for check in kb.checks.values():
        for n, answer in enumerate(check.answers):
            assert (f"answer:{check.id}:{answer}" in g) == (n < len(check.answers) - 1)


def test_facts_that_bear_on_a_cause(kb, g) -> None:
    for cause in kb.causes.values():
        expected = sorted({*cause.when, *(f for x in cause.likelier for f in x.when)})
        assert graph.facts_for(g, [cause.id]) == expected


def test_a_rate_that_is_missing_is_an_error_and_no_number_of_ours(kb) -> None:
    check = next(c for c in kb.checks.values() if c.answers)
    first = next(iter(check.answers))
    bare = replace(check, answers=check.answers | {first: replace(check.answers[first], leak_per_1000=None)})
    with pytest.raises(ValueError, match=f"'{first}' of '{check.id}' has no leak_per_1000"):
        graph.build(replace(kb, checks=kb.checks | {check.id: bare}))
    name = next(c.rule for c in kb.checks.values() if c.kind == "measure")
    silent = replace(kb.rules[name], otherwise_per_1000=None)
    with pytest.raises(ValueError, match=f"'{name}' .*no otherwise_per_1000"):
        graph.build(replace(kb, rules=kb.rules | {name: silent}))


def test_no_number_of_the_kb_is_held_down(kb) -> None:
    """The caps are for kbs of few causes: here every rate is what is written, times the scale, and none comes near them."""
    k = graph.scale(kb)
    assert max(c.per_1000.n for c in kb.causes.values()) / 1000 * k < graph.MOST_RATE
    assert max(c.unlisted_per_1000.n for c in kb.complaints.values()) / 1000 * k < graph.MOST_UNLISTED
    for cause in kb.causes.values():
        likeliest = math.prod([1.0, *(x.times.n for x in cause.likelier if x.times.n > 1)])
        assert cause.per_1000.n / 1000 * k * likeliest < graph.MOST_CHANCE


def test_leaks_are_those_written(kb, g) -> None:
    for check in kb.checks.values():
        for answer in list(check.answers)[:-1]:
            written = check.answers[answer].leak_per_1000
            if check.answers[answer].sign:
                signs = spoken_of(kb, check)[answer]
                written = 1000 * (1 - math.prod(1 - kb.signs[s].leak_per_1000 / 1000 for s in signs))
            assert g.nodes[f"answer:{check.id}:{answer}"]["leak"] == pytest.approx(written / 1000)
    for rule in kb.rules.values():
        sides = [n for n in (f"side:{rule.id}:below", f"side:{rule.id}:above") if n in g]
        if sides and isinstance(rule.otherwise_per_1000, float | int):
            # One number for a rule is shared by its sides.
            assert sum(g.nodes[n]["leak"] for n in sides) == pytest.approx(rule.otherwise_per_1000 / 1000)
    assert all(0 < d["leak"] < 1 for _, d in g.nodes(data=True) if "leak" in d)


def usual(kb, when) -> float:
    """How usual a circumstance is: over every joint option of its facts, one by one."""
    names = list(when)
    total = 0.0

    def walk(n: int, p: float) -> None:
        nonlocal total
        if n == len(names):
            total += p
            return
        wanted = when[names[n]]
        for option, record in kb.facts[names[n]].options.items():
            if option == wanted or (not isinstance(wanted, str) and option in wanted):
                walk(n + 1, p * record.share_per_1000 / 1000)

    walk(0, 1.0)
    return total


def test_rates_are_scaled_to_one_episode_rate(kb, g) -> None:
    """Relative rates: together, weighed by how usual their circumstances are, they make the rate of scales.yaml."""
    weighed = sum(c.per_1000.n * usual(kb, c.when) for c in kb.causes.values())
    k = kb.scales.episode_rate.n / weighed
    for c in kb.causes.values():
        assert g.nodes[f"cause:{c.id}"]["rate"] == pytest.approx(min(0.3, c.per_1000.n * k), rel=1e-9)
        assert graph.share(kb, c.when) == pytest.approx(usual(kb, c.when), rel=1e-9)
    together = math.fsum(g.nodes[f"cause:{c.id}"]["rate"] * usual(kb, c.when) for c in kb.causes.values())
    assert together == pytest.approx(kb.scales.episode_rate.n, rel=0.01)  # where no rate met its ceiling, exactly
    for c in kb.complaints.values():
        expected = min(0.5, c.unlisted_per_1000.n * k)
        assert g.nodes[f"complaint:{c.id}"]["leak"] == pytest.approx(expected, rel=1e-9)


def test_adding_a_cause_rescales_nobody_by_hand(kb, g) -> None:
    """Rates keep their proportions: two causes of one file's rates stand as their per_1000 do."""
    rates = {c.id: g.nodes[f"cause:{c.id}"]["rate"] / c.per_1000.n for c in kb.causes.values()}
    free = [r for c, r in rates.items() if g.nodes[f"cause:{c}"]["rate"] < 0.3]
    assert max(free) == pytest.approx(min(free), rel=1e-9)


def test_gates_and_hazards_hang_where_they_are_written(kb, g) -> None:
    for complaint in kb.complaints.values():
        gates = [n.partition(":")[2] for n in g.succ[f"complaint:{complaint.id}"]]
        assert sorted(gates) == sorted(complaint.gates)
    for check in kb.checks.values():
        met = {n for n, d in g.succ[f"check:{check.id}"].items() if d["kind"] == "meets"}
        assert met == {f"hazard:{h}" for h in check.hazards}


def test_it_has_no_cycles_and_every_cause_reaches_a_complaint_or_a_check(kb, g) -> None:
    shows = nx.DiGraph((a, b) for a, b, d in g.edges(data=True) if d["kind"] == "shows")
    assert nx.is_directed_acyclic_graph(shows)
    for cause in kb.causes:
        assert any(n.startswith("complaint:") for n in nx.descendants(shows, f"cause:{cause}")), cause
