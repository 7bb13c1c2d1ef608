"""What of the benches of foretelling and of many cases can be tested without their time."""

from collections import Counter

from dryfloor.engine.diagnosis.network import network_of
from tests.bench.foretelling import came, share
from tests.bench.learning import sites
from tests.bench.many_cases import replicas
from tests.support.lessons import lessons


def test_what_came_is_what_the_site_has(kb):
    (site,) = sites(network_of(kb), ("siphons",), 1, 3)
    origins = site.origins["siphons"]
    assert came(site, "siphons", ["cause", ""]) == (not origins)
    assert [c for c in sorted(kb.causes) if came(site, "siphons", ["cause", c])] == sorted(origins)
    options = [o for o in kb.facts["drain"].options if came(site, "siphons", ["fact", "drain", o])]
    assert options == [site.facts["drain"]]


def test_a_share_of_worlds_that_differ_is_less_sure_than_of_worlds_that_agree():
    alike = [[("cause", True)] * 9 + [("cause", False)]] * 10
    apart = [[("cause", True)] * 10] * 9 + [[("cause", False)] * 10]
    assert share(alike) == "90 (100: 90 to 90)"
    assert share(apart).startswith("90 (100: ")
    assert share(apart) != share(alike)
    assert share([]) == ""


def test_replicas_are_all_cases_before_any_of_them_again():
    some = lessons()
    found = [*replicas(some, 2 * len(some) + 3)]
    assert len(found) == 2 * len(some) + 3
    first, second = found[: len(some)], found[len(some) : 2 * len(some)]
    assert Counter(first) == Counter(second) == Counter(some)
    assert first != second
