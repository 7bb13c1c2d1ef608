"""What somebody says in a drill: of the right complaint, of this place, and without the fault."""

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.exercises.telling import words
from dryfloor.engine.language.matching import hear


def test_it_is_heard_as_the_complaint_that_it_is_of(kb):
    network = network_of(kb)
    told = [t for s in range(40) for t in exercise(network, Order(seed=s)).told]
    own = [t for t in told if t.words != kb.complaints[t.complaint].says]
    assert len(own) > 0.7 * len(told)
    assert [t for t in own if hear(t.words, kb).complaints[0].complaint != t.complaint] == []


def test_people_say_it_in_many_ways(kb):
    network = network_of(kb)
    told = {exercise(network, Order(seed=s, fault="foot-unloaded")).told[0].words for s in range(30)}
    assert len(told) > 8


def test_no_foam_where_a_drain_smells_and_no_smell_where_it_foams(kb):
    network = network_of(kb)

    def told(fault):
        made = [exercise(network, Order(seed=s, fault=fault)) for s in range(12)]
        return {words(network, m.site, "suds-or-smell") for m in made if "suds-or-smell" in m.site.origins}

    assert told("hot-water-smells")
    assert not any("foam" in t or "suds" in t for t in told("hot-water-smells"))
    assert not any("smell" in t or "stink" in t for t in told("softened-water-overdose"))
