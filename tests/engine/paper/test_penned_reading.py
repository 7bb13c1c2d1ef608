"""Values as a pen leaves them: what each means was written down before looking at how it is read."""

import pytest

from dryfloor.engine.errors import Problem
from dryfloor.engine.measurement.quantity import parse
from dryfloor.engine.measurement.units import USUAL
from dryfloor.engine.paper.penned_reading import measured

US, EU = {"supply-system": "us-120"}, {"supply-system": "eu-230"}
# Line, what stands there, whose house, the same in full, and whether it is only about so much.
READ = [
    ("standpipe-height", "31", US, "31 in", False),
    ("standpipe-height", "90", EU, "90 cm", False),
    ("standpipe-height", "31 in, measured from slab", US, "31 in", False),
    ("standpipe-height", "31 in measured from slab", US, "31 in", False),
    ("standpipe-height", "height 31 in", US, "31 in", False),
    ("standpipe-height", "3 ft 4", US, "3 ft 4 in", False),
    ("standpipe-height", "40 in?", US, "40 in", True),
    ("outlet-distance", "about 4 ft", US, "4 ft", True),
    ("outlet-distance", "~4 ft", US, "4 ft", True),
    ("outlet-distance", "60", US, "60 in", False),
    ("tub-volume", "20x18x12", US, "20x18x12 in", False),
    ("tub-volume", "50x40x30", EU, "50x40x30 cm", False),
    ("tub-volume", "20x18x12", {}, "20x18x12 in", False),  # in cm it would hold 4 L
    ("level-front", "1/16 per ft", US, "1/16 in per ft", False),
    ("level-front", "1/16", US, "1/16 in/ft", False),
    ("level-side", "2 mm per m", EU, "2 mm/m", False),
    ("level-front", "bubble centered", US, "0 in/ft", False),
    ("level-front", "dead level", EU, "0 mm/m", False),
    ("fill-hose-years", "new", US, "0 years", False),
    ("fill-hose-years", "3", US, "3 years", False),
    ("standing-pressure", "~60", US, "60 psi", True),
    ("standing-pressure", "300", EU, "300 kPa", False),
    ("standpipe-bore", '2" PVC', US, "2 in", False),
    ("pump-out-time", "3", US, "3 min", False),
    ("coupling-turns", "2/3", US, "2/3 turn", False),
    ("coupling-turns", "2/3 past hand tight", US, "2/3 turn", False),
    ("hot-hose-probe", "118", {}, "118 F", False),  # no water is so hot in Celsius
    ("foot-gap", "none", US, "0 in", False),
    ("outlet-voltage", "121", US, "121 V", False),
]
ASKED = [
    ("standpipe-height", "31", {}),  # in or cm
    ("standpipe-bore", "2", {}),
    ("standpipe-height", "3", US),  # ft or yd: 3 in can't be true of a standpipe
    ("outlet-distance", "4", US),  # in or ft
    ("outlet-distance", "4 by eye", US),
    ("moved-without-restraints", "10", US),
    ("standing-pressure", "4", EU),  # kPa or bar
    ("standpipe-height", "42 ft", US),
    ("standpipe-height", "31 in, 33 on the left", US),
    ("standpipe-height", "not 31 in", US),
    ("standpipe-height", "42 in, but 2 in above the weir", US),
    ("hose-depth", "6-7 in", US),
    ("hose-depth", "6 in, or \u00bd", US),
    ("outlet-distance", "less than 6 ft", US),
    ("standing-pressure", "over 80", US),
    ("level-front", "ok", US),
    ("level-front", "a hair off", US),
    ("standpipe-height", "chest high", US),
]


@pytest.mark.parametrize(("line", "text", "site", "full", "rough"), READ)
def test_a_value_is_read_as_it_was_meant(kb, line, text, site, full, rough):
    found = measured(kb, kb.checks[line], text, site)
    measures = kb.rules[kb.checks[line].rule].measures
    assert not isinstance(found, Problem)
    assert parse(found.value, measures) == pytest.approx(parse(full, measures))
    assert found.rough == rough


@pytest.mark.parametrize(("line", "text", "site"), ASKED)
def test_what_may_mean_two_things_or_none_is_asked_back(kb, line, text, site):
    found = measured(kb, kb.checks[line], text, site)
    assert isinstance(found, Problem)
    assert found.code == "C023"
    assert found.expected
    assert found.mend


def test_a_value_with_its_unit_stays_as_it_was_written(kb):
    for check in kb.checks.values():
        rule = kb.rules.get(check.rule or "")
        if check.kind == "measure" and rule and (limit := rule.min or rule.max):
            found = measured(kb, check, limit, {})
            assert not isinstance(found, Problem), check.id
            assert (found.value, found.rough, found.remark) == (limit, False, "")


def test_a_bare_limit_is_never_read_in_another_unit_than_it_is_printed_in(kb):
    """The number that stands above a line, without its unit: read in that unit, or asked back."""
    for check in kb.checks.values():
        rule = kb.rules.get(check.rule or "")
        for limit in (rule.min, rule.max) if check.kind == "measure" and rule else ():
            number = (limit or "").split(" ")[0]
            if limit and number + " " in limit and limit.split(" ")[1] in USUAL[rule.measures]:
                site = US if limit.split(" ")[1] == USUAL[rule.measures][0] else EU
                found = measured(kb, check, number, site)
                if not isinstance(found, Problem):
                    assert parse(found.value, rule.measures) == pytest.approx(parse(limit, rule.measures)), (
                        check.id,
                        limit,
                    )


@pytest.mark.parametrize(
    ("line", "text", "value"),
    [
        ("standpipe-height", "40 to 42 in", ("40 in", "42 in")),  # both inside
        ("outlet-distance", "8-10ft", ("8 ft", "10 ft")),  # both past the limit
        ("standpipe-height", "12 in - 14 in", ("12 in", "14 in")),
    ],
)
def test_a_range_whose_ends_are_judged_alike_is_read_as_one_of_them(kb, line, text, value):
    found = measured(kb, kb.checks[line], text, US)
    assert found.value in value
    assert found.rough
    assert f"from {value[0]} to {value[1]}" in found.remark


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("standpipe-height", "20 to 40 in"),  # a limit lies between
        ("standpipe-height", "38 to 36 in"),
        ("standpipe-height", "30 to 50"),
        ("outlet-distance", "4 to 8 ft"),
    ],
)
def test_a_range_with_a_limit_in_it_is_asked_back(kb, line, text):
    assert isinstance(measured(kb, kb.checks[line], text, US), Problem)
