"""What installers write on a sheet, held against a table of such lines written down without looking at the kb's own words."""

import pytest

from dryfloor.engine.answers.asides import NOT
from dryfloor.engine.answers.penned import LETTERS, answer, lettered, looked, option
from dryfloor.engine.errors import nearest

# As a pen writes them: line, what stands there, what is meant.
LOOKS = [
    ("restraints-counted", "4 of 4", "all-out"),
    ("restraints-counted", "4/4", "all-out"),
    ("restraints-counted", "3 of 4", "never-out"),
    ("restraints-counted", "all out", "all-out"),
    ("drain-hose-in-hook", "tied", "held"),
    ("drain-hose-in-hook", "hooked and tied", "held"),
    ("drain-hose-in-hook", "not tied", "not-held"),
    ("outlet-holes", "3", "three-holes"),
    ("outlet-holes", "two slots", "two-slots"),
    ("outlet-holes", "adapter", "ground-defeated"),
    ("rocks-by-hand", "ok", "firm"),
    ("rocks-by-hand", "Firm.", "firm"),
    ("rocks-by-hand", "rocks", "rocks"),
    ("breaker-number", "20", "twenty"),
    ("breaker-number", "20 A", "twenty"),
    ("breaker-number", "15", "fifteen"),
    ("drip-rate", "dry", "dry"),
    ("drip-rate", "drips", "dripping"),
    ("extension-cord-used", "no", "straight"),
    ("extension-cord-used", "power strip", "cord"),
    ("washer-taps-turned", "both open", "open"),
    ("hose-sealed", "air gap", "loose"),
    ("hose-sealed", "taped", "taped"),
    ("fill-and-watch", "ok", "full"),
    ("spin-stays-put", "walked", "walked"),
    ("taps-reachable", "stiff", "stuck"),
    ("taps-reachable", "out of reach", "stuck"),
    ("taps-reachable", "yes", "free"),
    ("drain-hose-in-hook", "zip tied", "held"),
    ("drain-hose-in-hook", "zip-tied", "held"),
    ("washer-taps-turned", "on", "open"),
    ("washer-taps-turned", "both on", "open"),
    ("washer-taps-turned", "off", "both-closed"),
    ("ground-fault-device", "gfci", "test-button"),
    ("ground-fault-device", "GFCI breaker", "test-button"),
    ("ground-fault-device", "none", "no-test-button"),
    ("hoses-crossed", "not crossed", "matched"),
    ("hoses-crossed", "aren't crossed", "matched"),
    ("hoses-crossed", "swapped", "crossed"),
    ("rocks-by-hand", "doesn't rock", "firm"),
    ("rocks-by-hand", "not firm", "rocks"),
    ("rocks-by-hand", "nope", "firm"),
    ("fill-hose-bulge", "no", "sound"),
    ("things-on-top", "yes", "things"),
    ("plug-seated", "no", "half-out"),
    ("floor-soft", "stained", "soft"),
    ("restraints-counted", "all 4 out", "all-out"),
    ("restraints-counted", "4 of 4 out, in the bag", "all-out"),
    ("drip-rate", "dry (checked twice)", "dry"),
    ("rocks-by-hand", "firm - all four corners", "firm"),
    # a letter, an ok or a yes with a note behind it
    *(
        ("rocks-by-hand", t, "firm")
        for t in ("b, slid it in", "b slid it in", "b) slid it in", "b - new", "b; new feet")
    ),
    ("hoses-crossed", "ok, H to H", "matched"),
    ("rocks-by-hand", "b - does not rock", "firm"),
    ("rocks-by-hand", "a, on the left", "rocks"),
    # an option's own words amid others
    ("extension-cord-used", "power strip behind machine", "cord"),
    ("extension-cord-used", "plugged into orange ext cord", "cord"),
    ("extension-cord-used", "ext cord", "cord"),
    ("extension-cord-used", "adapter", "cord"),
    ("extension-cord-used", "multi-socket block", "cord"),
    ("extension-cord-used", "straight in, no adapter", "straight"),
    ("hose-sealed", "duct taped by the last guy", "taped"),
    ("hose-sealed", "duct taped", "taped"),
    ("hose-sealed", "taped up", "taped"),
    ("hose-sealed", "sealed w tape", "taped"),
    ("hose-sealed", "rag stuffed in", "taped"),
    ("hose-sealed", "jammed tight w/ rag", "taped"),
    ("hose-sealed", "no tape", "loose"),
    ("washer-taps-turned", "both wide open", "open"),
    ("washer-taps-turned", "both on full", "open"),
    ("washer-taps-turned", "cold on, hot off", "one-closed"),
    ("ground-fault-device", "no button", "no-test-button"),
    ("spin-stays-put", "didnt move", "stayed"),
]
FACTS = [
    ("floor", "wood", "wood-joists"),
    ("floor", "Slab", "concrete"),
    ("dryer-beside", "gas dryer", "gas-dryer"),
    ("dryer-beside", "none", "no-dryer"),
    ("supply-system", "120", "us-120"),
    ("supply-system", "230 V", "eu-230"),
    ("drain", "laundry tub", "tub"),
    ("machine", "front loader", "front-loader"),
    ("floor", "2nd floor, wood", "wood-joists"),
    ("floor", "cement", "concrete"),
    ("machine", "toploader", "top-loader"),
    ("water-source", "city", "town"),
    ("tenure", "renter", "rented"),
    ("tenure", "landlord", "rented"),
    ("drain", "flr", "floor-drain"),
]


@pytest.mark.parametrize(("line", "text", "meant"), LOOKS)
def test_a_look_is_taken_as_an_installer_writes_it(kb, line, text, meant):
    assert answer(kb.checks[line], text)[0] == meant


@pytest.mark.parametrize(("line", "text", "meant"), FACTS)
def test_a_fact_is_taken_as_an_installer_writes_it(kb, line, text, meant):
    assert option(kb.facts[line], text)[0] == meant


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("rocks-by-hand", "maybe"),
        ("rocks-by-hand", "2"),  # no list on paper has numbers
        ("rocks-by-hand", "z"),
        ("hose-sealed", "tapped"),  # like "taped", and may be anything
        ("restraints-counted", "5 of 4"),
        ("restraints-counted", "4"),  # of how many
        ("drain-hose-in-hook", "yes and no"),
        ("drip-rate", "not dry"),  # it may drip, or run
        ("outlet-holes", "not an adapter"),
        ("hoses-crossed", "yes"),  # matched, or crossed
        ("hoses-crossed", "no"),
        ("coupling-askew", "yes"),
        ("drip-rate", "dry, but the hot one weeps"),
        ("rocks-by-hand", "firm, I think"),
        ("restraints-counted", "4 of 4, one more stuck"),
        ("taps-reachable", "ok, cold one stiff"),
        ("rocks-by-hand", "b but rocks"),
        ("rocks-by-hand", "a new floor"),  # an article, no letter
        ("rocks-by-hand", "b, not sure"),
        ("drip-rate", "ok but leaks"),
        ("washer-taps-turned", "cold open"),  # and the hot one?
        ("washer-taps-turned", "one open"),
        ("washer-taps-turned", "nearly open"),
        ("extension-cord-used", "power strip removed"),
        ("extension-cord-used", "was straight in"),
        ("extension-cord-used", "ok, power strip behind machine"),
        ("restraints-counted", "b, 3 of 4"),
        ("restraints-counted", "b 3 of 4 out"),
        ("drip-rate", "c, drips"),
        ("dryer-held", "yes removed"),
        ("extension-cord-used", "no power strip but an adapter"),
    ],
)
def test_what_can_not_be_read_is_asked_back_with_the_answers(kb, line, text):
    found, problem = answer(kb.checks[line], text)
    assert found is None
    assert problem.code == "C021"
    assert problem.expected
    assert problem.mend


def test_a_denied_answer_is_never_read_as_itself_nor_offered(kb):
    """Of every look: not, isn't and no before an answer's own name and words."""
    for check in kb.checks.values():
        for name, given in check.answers.items():
            for own in (name.replace("-", " "), given.says):
                if NOT.search(own.lower()):
                    continue
                for text in (f"not {own}", f"isn't {own}", f"it is not {own}"):
                    found, problem = answer(check, text)
                    assert found != name, (check.id, text)
                    other = found is None or len(check.answers) == 2 or NOT.search(found.replace("-", " "))
                    other = other or text in (*check.answers[found].pen, *check.answers[found].hear)
                    assert other, (check.id, text, found)
                    near = problem.nearest if problem else ""
                    assert not near or NOT.search(near.lower()), (check.id, text, near)


def test_that_test_can_fail(kb):
    says = [n.replace("-", " ") for n in kb.checks["hoses-crossed"].answers]
    assert nearest("not crossed", says) == "crossed"


def test_a_remark_is_handed_back(kb):
    assert looked(kb.checks["drip-rate"], "dry (checked twice)")[0].remark == "checked twice"
    assert looked(kb.checks["drip-rate"], "dry")[0].remark == ""


def test_yes_and_no_never_stand_for_one_answer_of_three_unless_the_kb_says_so(kb):
    for check in kb.checks.values():
        for word in ("yes", "no") if check.answers else ():
            found = answer(check, word)[0]
            if found and len(check.answers) > 2:
                says = check.answers[found].says.lower()
                assert word in check.answers[found].pen or says.startswith((word, "none", "nothing")), check.id


def test_a_count_is_held_against_what_the_machines_sheet_says_was_fitted(kb):
    bag = kb.checks["restraints-counted"]
    assert [answer(bag, text, 4)[0] for text in ("4", "3", "4 of 4", "3 of 4")] == [
        "all-out",
        "never-out",
        "all-out",
        "never-out",
    ]
    assert answer(bag, "3 of 3", 4)[0] is None
    assert "4 were fitted" in answer(bag, "3 of 3", 4)[1].message


def test_every_answer_and_option_is_read_back_from_what_a_sheet_prints(kb):
    for check in kb.checks.values():
        for letter, (name, given) in zip(LETTERS, check.answers.items(), strict=False):
            assert answer(check, name)[0] == name
            assert answer(check, given.says)[0] == name, (check.id, given.says)
            assert f"{letter}) {given.says}" in lettered({a: x.says for a, x in check.answers.items()})
            if letter not in check.answers:
                assert answer(check, letter)[0] == name
    for fact in kb.facts.values():
        for name, of in fact.options.items():
            assert (option(fact, name)[0], option(fact, of.says)[0]) == (name, name)


def test_no_word_of_a_pen_stands_for_two_answers(kb):
    for record in [*kb.checks.values(), *kb.facts.values()]:
        given = record.answers if hasattr(record, "answers") else record.options
        pens = [p.lower() for x in given.values() for p in x.pen]
        others = [
            (n, p)
            for n, x in given.items()
            for p in x.pen
            for o in given
            if o != n and p.lower() in (o, given[o].says.lower())
        ]
        assert len(set(pens)) == len(pens), record.id
        assert others == [], record.id


@pytest.mark.parametrize(
    ("line", "text", "never"),
    [
        ("washer-taps-turned", "both widely", "closed"),
        ("washer-taps-turned", "hot on, cold of", "hot off"),
        ("drain", "under sink, on the trap", "floor"),
    ],
)
def test_the_nearest_never_says_the_opposite_nor_shares_no_word_that_tells(kb, line, text, never):
    problem = looked(kb.checks[line], text)[1] if line in kb.checks else option(kb.facts[line], text)[1]
    assert never not in (problem.nearest if problem else "")


def test_a_letter_is_never_read_past_the_words_of_another_answer(kb):
    """Of every look and fact: the letter of one, and behind it what another is called, on paper and by a pen."""
    for record in [*kb.checks.values(), *kb.facts.values()]:
        given = record.answers if hasattr(record, "answers") else record.options
        for letter, name in zip(LETTERS, given, strict=False):
            for other in given:
                for word in (given[other].says, *given[other].pen) if other != name else ():
                    for sign in (", ", " "):
                        text = f"{letter}{sign}{word}"
                        read = answer(record, text)[0] if hasattr(record, "answers") else option(record, text)[0]
                        assert read != name, (record.id, text)
