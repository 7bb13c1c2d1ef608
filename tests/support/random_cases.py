"""Random cases that an address carries."""

from hypothesis import strategies as st

from dryfloor.engine.case.events import Event


def cases(kb, most=8):
    """Random cases that an address carries: complaints, hazards, facts, checks (readings too), what was passed over."""
    checks = [c for c in kb.checks.values() if c.kind != "measure"]
    values = {
        "standpipe-height": ["31 in", '39 1/2"', "1 m"],
        "foot-gap": ["2 mm", "0 mm"],
        "hose-depth": ["5 in", "12 cm"],
    }
    fact = st.sampled_from(list(kb.facts.values())).flatmap(
        lambda f: st.sampled_from(list(f.options)).map(lambda o: Event(fact=f.id, is_=o))
    )
    answer = st.sampled_from(checks).flatmap(
        lambda c: st.sampled_from(list(c.answers)).map(lambda a: Event(check=c.id, answer=a))
    )
    reading = st.sampled_from(list(values)).flatmap(
        lambda c: st.sampled_from(values[c]).map(lambda v: Event(check=c, value=v))
    )
    passed = st.sampled_from([*kb.checks, *kb.facts]).flatmap(lambda n: st.sampled_from([Event(cant=n), Event(skip=n)]))
    hazard = st.sampled_from([h for h, r in kb.hazards.items() if r.gate]).map(lambda h: Event(hazard=h))
    complaint = st.sampled_from(list(kb.complaints)).map(lambda c: Event(complaints=[c]))
    rest = st.lists(st.one_of(fact, answer, reading, passed, hazard), max_size=most)
    return st.builds(lambda cs, more: [*cs, *more], st.lists(complaint, min_size=1, max_size=2, unique_by=str), rest)
