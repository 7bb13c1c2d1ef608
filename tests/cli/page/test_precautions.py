"""What can hurt at a fix: one line each at its head, the whole sentence at the step that meets it, and who may do it alone."""

import re

from dryfloor.engine.planning import roles
from tests.cli.page.test_first_screen import all_cards, context, drawn  # noqa: F401

HELPER = re.compile(r"\bhelper\b|\btwo people\b|\bsecond person\b", re.IGNORECASE)


def test_each_precaution_of_a_fix_stands_at_the_head_in_a_line_and_at_its_step(context, kb):  # noqa: F811
    seen = 0
    for name, card in all_cards(kb):
        if card.kind != "remedy" or not card.notes:
            continue
        page = drawn(context, card)
        head, steps = page.partition('<ol class="steps">')[::2]
        steps = steps.partition("</ol>")[0]
        assert head.count('<ul class="dangers"') == 1
        assert page.count('<ul class="dangers"') == 1
        for note in card.notes:
            assert f'href="#mind-{note.hazard}"' in head, name
            assert page.count(f'id="mind-{note.hazard}"') == 1, name
            # Behind the step that meets it, and before the next one.
            behind = steps.partition(f'id="mind-{note.hazard}"')[0]
            assert behind.count("<input") == note.step, (name, note)
            seen += 1
        assert steps.count("<input") == len(card.steps)
    assert seen > 150


def test_a_precaution_stands_at_the_step_that_meets_it(kb):
    def at(cause, hazard):
        card = next(c for n, c in all_cards(kb) if n == f"remedy {cause}")
        return next(card.steps[n.step - 1] for n in card.notes if n.hazard == hazard)

    assert "slacken the nut" in at("fill-hose-pinched", "stored-pressure")
    assert "unplug" in at("restraints-left-in", "unplug-first").lower()
    assert "reach in" in at("drain-hose-kinked", "sharp-edges").lower()


def test_nobody_is_told_to_do_alone_what_takes_two(kb):
    for name, card in all_cards(kb):
        if card.kind != "remedy":
            continue
        two = any(HELPER.search(s) for s in card.steps)
        if two:
            assert "yourself" not in card.meta, name
        assert ("with a helper" in card.meta) == (roles.people(kb, kb.causes[card.id].remedy) > 1), name
