"""Verdicts, findings and hand-overs in words; below common practice is never called against the rules."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.verdicts import measured, verdict_text
from dryfloor.engine.case.events import Event
from dryfloor.engine.measurement import formatting, quantity
from dryfloor.engine.measurement.readings import reading
from tests.support.answers import said


def cleared(kb, role: str, *events: Event) -> list[Event]:
    gates = [Event(cleared=h) for h, record in kb.hazards.items() if record.gate]
    return [Event(role=role), *gates, *events]  # type: ignore[arg-type]


def looked(kb, check: str, text: str):
    return measured(kb, reading(kb, check, text, "technician"))


def test_below_common_practice_is_never_against_a_rule(kb) -> None:
    """A 31 in standpipe: 8 in short of the trade's 39 in, and within what UPC 802.3.3 asks (18 to 30 in above the trap)."""
    found = looked(kb, "standpipe-height", "31 in")
    assert (found.verdict, found.side) == ("broken", "below")
    assert found.text.startswith("below common practice by 8 in")
    assert "common practice" in found.whose
    assert found.neighbours == [] or all("if " in n for n in found.neighbours)


@pytest.mark.parametrize("name", ["standpipe-height", "foot-gap", "standing-pressure", "tub-volume"])
def test_verdicts_of_readings_well_inside_outside_and_on_the_limit(kb, name: str) -> None:
    rule = kb.rules[kb.checks[name].rule]
    first, last = quantity.plausible(rule.plausible, rule.measures)
    for side, limit in (("below", rule.min), ("above", rule.max)):
        if limit:
            at = quantity.parse(limit, rule.measures)
            assert looked(kb, name, said(at, rule.measures)).verdict != "within"
            far = at + 0.9 * ((first if side == "below" else last) - at)
            out = looked(kb, name, formatting.show(far, rule.measures, "si"))
            assert (out.verdict, out.side) == ("broken", side)
            word = "below common practice" if (side, rule.authority) == ("below", "practice") else side
            assert word in out.text
            assert formatting.show_difference(abs(out.value - at), rule.measures) in out.text


def test_a_number_line_holds_the_value_and_the_limits(kb) -> None:
    for check in kb.checks.values():
        if check.kind == "measure":
            rule = kb.rules[check.rule]
            first, last = quantity.plausible(rule.plausible, rule.measures)
            found = looked(kb, check.id, formatting.show((first + last) / 2, rule.measures, "si"))
            assert found.first <= found.value <= found.last, check.id
            for limit in (found.low, found.high):
                assert limit is None or found.first <= limit <= found.last, check.id


def test_too_close_to_call_asks_to_measure_again(kb) -> None:
    found = looked(kb, "standpipe-height", "39 in")
    assert found.verdict == "too-close"
    assert "measure again" in found.text


def test_codes_and_manuals_are_named(kb) -> None:
    verdict = reading(kb, "standpipe-height", "31 in", "technician").verdict
    for rule in kb.rules.values():
        if rule.measures == "length" and not (rule.model and rule.model.gives):
            text = verdict_text(rule, verdict)
            name = {"code": rule.edition, "manual": "this machine's manual", "practice": "common practice"}[
                rule.authority
            ]
            assert name in text


def remedy_or_hand(kb, role: str, *told: Event):
    """Advice with every other question passed over, so that it ends."""
    done = {e.check or e.fact for e in told}
    over = [Event(skip=n) for n in [*kb.checks, *kb.facts] if n not in done]
    return advise(kb, cleared(kb, role, *told, *over))


def test_a_finding_names_cause_rule_limit_datum_and_what_else_it_may_be(kb) -> None:
    told = [
        Event(complaints=["walks"]),
        Event(check="foot-gap", value="2 mm"),
        Event(check="rocks-by-hand", answer="rocks"),
    ]
    found = remedy_or_hand(kb, "technician", *told, Event(check="restraints-left", answer="none")).finding
    cause, rule = kb.causes["foot-unloaded"], kb.rules["all-feet-bear"]
    assert found is not None
    assert (found.cause, found.rule) == ("foot-unloaded", "all-feet-bear")
    assert cause.says in found.text
    assert f"{100 * found.p:.0f} in 100" in found.text
    for part in (rule.title, rule.of):
        assert part in found.rule_text
    assert len(found.mistaken_for) == len(cause.mistaken_for)
    assert all(m.tell in text for m, text in zip(cause.mistaken_for, found.mistaken_for, strict=True))


def test_normal_is_called_normal(kb) -> None:
    normal = [c for c in kb.causes.values() if c.kind == "normal"]
    assert normal
    for cause in normal:
        complaint = next(s.complaint for s in cause.shows if s.complaint)
        shown = {s.check: Event(check=s.check, answer=s.answer) for s in cause.shows if s.answer}
        facts = [Event(fact=f, is_=w if isinstance(w, str) else w[0]) for f, w in cause.when.items()]
        advice = remedy_or_hand(kb, "technician", Event(complaints=[complaint]), *facts, *shown.values())
        if advice.finding and advice.finding.cause == cause.id:
            assert advice.finding.text.startswith("This is normal: ")
            return
    raise AssertionError("no normal cause was ever found")


def test_a_hand_over_tells_everything_that_was_learnt(kb) -> None:
    told = [
        Event(complaints=["walks"]), Event(fact="floor", is_="concrete"), Event(check="rocks-by-hand", answer="firm"),
        Event(check="tub-knocks", answer="knocks") if "knocks" in kb.checks["tub-knocks"].answers
        else Event(check="tub-knocks", answer=next(iter(kb.checks["tub-knocks"].answers))),
        Event(remedy="load-bunched-up", did="done"), Event(proof=kb.causes["load-bunched-up"].proof.check, answer="walked"),
    ]  # fmt: skip
    advice = remedy_or_hand(kb, "homeowner", *told)
    assert advice.next is not None
    assert advice.next.kind == "hand-on"
    hand = advice.hand_on
    assert hand is not None
    assert hand.to == "technician"
    text = "\n".join(hand.tell)
    assert kb.complaints["walks"].says in text
    assert kb.facts["floor"].options["concrete"].says in text
    assert kb.checks["rocks-by-hand"].answers["firm"].says in text
    assert f"{kb.causes['load-bunched-up'].remedy.title.lower()}; it did not help" in text
    assert "Proof: " in text
    likely = [b.cause for b in advice.beliefs if b.p >= 0.15][:3]
    assert set(hand.bring) == {kb.parts[p].title for c in likely for p in kb.causes[c].remedy.parts}
    assert hand.fee == next(t.fee.n for t in kb.roles.trades if t.id == "technician")


def test_a_trade_is_booked_for_what_it_may_do_and_told_the_finding(kb) -> None:
    told = [
        Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe"), Event(fact="onset", is_="new"),
        Event(check="standpipe-height", value="25 in"), Event(check="runs-off-while-filling", answer="runs"),
        Event(check="hose-sealed", answer="loose"), Event(check="hose-depth", value="5 in"),
    ]  # fmt: skip
    advice = remedy_or_hand(kb, "technician", *told)
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id, advice.next.cause) == ("hand-on", "plumber", "standpipe-too-low")
    assert advice.hand_on is not None
    assert advice.hand_on.text == "Book a licensed plumber or drain service."
    assert advice.hand_on.tell[1].startswith("Found: standpipe too low, ")
    assert kb.rules["standpipe-height"].title in advice.hand_on.tell[1]
    assert set(advice.hand_on.bring) == {kb.parts[p].title for p in kb.causes["standpipe-too-low"].remedy.parts}
    # What keeps the floor dry until the plumber comes is told at once.
    assert advice.hand_on.until
    assert all("Until then" not in text for text in advice.hand_on.until)
