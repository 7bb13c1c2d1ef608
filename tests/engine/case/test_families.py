"""Twin of engine/language/families.py: the question hides no complaint."""

from dryfloor.engine.case.families import FAMILIES, of_family, parted
from tests.support.shipped import shipped


def test_every_complaint_of_the_kb_is_in_a_family_and_every_name_is_one() -> None:
    known = set(shipped().complaints)
    assert {c for names in FAMILIES.values() for c in names} == known


def test_an_unknown_complaint_is_in_every_family_and_the_order_stays() -> None:
    order = ["new-one", *shipped().complaints]
    for family in FAMILIES:
        names = of_family(family, order)
        assert names[0] == "new-one"
        assert names == [c for c in order if c in names]


def test_few_or_unknown_complaints_need_no_question() -> None:
    assert parted(shipped().complaints)
    assert not parted(["walks", "noisy"])
    assert not parted(["a", "b", "c", "d", "e"])
