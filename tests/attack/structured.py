"""Well-formed hostile input made by hypothesis: any JSON, any mix of a case's own names, any counts.

By hand: `python -m tests.attack.structured SEED COUNT`.
"""

import json
import sys
from collections import Counter

import msgspec
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from dryfloor.engine.case.events import Event

FIELDS = [f.encode_name for f in msgspec.structs.fields(Event)]
LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=30),
    st.sampled_from(["x" * 5000, "\u202e", "\x1b[2J", "1/0 in"]),
)
JSON = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=6) | st.dictionaries(st.text(max_size=8), inner, max_size=6),
    max_leaves=30,
)


def names(kb):
    return [
        *kb.complaints,
        *kb.facts,
        *kb.checks,
        *list(kb.causes)[:20],
        *kb.hazards,
        "homeowner",
        "desk",
        "technician",
        "tub",
        "31 in",
    ]


def cases(kb):
    """Events whose fields and values are a case's own, in any mix; some of them many times over; or any JSON at all."""
    value = st.sampled_from(names(kb)) | st.lists(st.sampled_from(names(kb)), max_size=4) | LEAVES
    event = st.dictionaries(st.sampled_from(FIELDS), value, max_size=3)
    fitting = st.one_of(
        st.sampled_from(list(kb.checks.values())).map(lambda c: {"check": c.id, "answer": next(iter(c.answers), "")}),
        st.sampled_from(list(kb.complaints)).map(lambda c: {"complaints": [c]}),
        st.sampled_from(list(kb.complaints.values())).map(lambda c: {"heard": c.hear[0]}),
        st.sampled_from(list(kb.causes)).map(lambda c: {"remedy": c, "did": "done"}),
        st.sampled_from(list(kb.hazards)).map(lambda h: {"cleared": h}),
    )
    events = st.lists(event | fitting, max_size=12)
    whole = events.flatmap(lambda some: st.sampled_from([1, 1, 1, 7, 900]).map(lambda times: {"events": some * times}))
    valid = st.lists(fitting, max_size=30).map(lambda some: {"events": some})
    short = st.dictionaries(
        st.sampled_from(["role", "hands", "say", "complaints", "facts", "answers", "cleared", "machine"]),
        value | st.dictionaries(st.sampled_from(names(kb)), value, max_size=5),
        max_size=6,
    )
    return st.one_of(valid, whole, short, JSON)


def hostile(kb, data):
    return json.dumps(data.draw(cases(kb))).encode()


def main(argv: list[str]) -> None:
    """Attack so many times, and print how it ended."""
    from dryfloor.engine.knowledge.load import load_kb

    from .invariants import attacked

    kb, ends = load_kb(), Counter()

    @seed(int(argv[0]))
    @settings(
        max_examples=int(argv[1]),
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def tried(data):
        ends[attacked(kb, hostile(kb, data))] += 1

    tried()
    print(json.dumps({"ends": dict(ends.most_common())}))


if __name__ == "__main__":
    main(sys.argv[1:])
