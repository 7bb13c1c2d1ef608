"""The table of who may do what: every permission of the kb stands in it once, and nobody is let near what is not theirs."""

import re

from dryfloor.engine.export.hazard_table import HEAD, NEVER, hazard_table

LINK = re.compile(r"\((checks|causes)/([a-z0-9-]+)\.md\)")


def linked(cell):
    return {name for _, name in LINK.findall(cell)}


def test_a_row_for_each_hazard_gravest_first(kb):
    rows = hazard_table(kb)
    assert len(rows) == len(kb.hazards)
    assert {len(r) for r in rows} == {len(HEAD)}
    order = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    ranks = [order.index(r[0].split()[0]) for r in rows]
    assert ranks == sorted(ranks)


def test_what_stands_for_hands_is_what_the_entries_say(kb):
    """Against the entries themselves, not against the permissions that made the table: minutes, `by` and `never`."""
    titles = {f"{h.signal} {h.title}": h for h in kb.hazards.values()}
    for row in hazard_table(kb):
        hazard = titles[row[0]]
        checks = {c.id: c for c in kb.checks.values() if hazard.id in c.hazards}
        mends = {c.id: c.remedy for c in kb.causes.values() if hazard.id in c.remedy.hazards}
        for name in linked(row[2]):
            assert name not in checks or checks[name].minutes.homeowner is not None
            assert name not in mends or mends[name].by == "anyone"
        for column, trade in ((3, "technician"), (4, "plumber"), (5, "electrician")):
            assert {n for n in linked(row[column]) if n in mends} == {n for n, r in mends.items() if r.by == trade}
        # Nothing is lost: who may do it is said of every check and remedy that meets the hazard.
        assert set().union(*(linked(c) for c in row[2:])) == {*checks, *mends}
        if "homeowner" in hazard.never and not [r for r in mends.values() if r.by == "anyone"]:
            assert row[2] == NEVER


def test_where_a_remedy_is_anothers_is_said(kb):
    rows = {r[0]: r for r in hazard_table(kb)}
    assert "a gas dryer beside it" in rows["DANGER Gas connector"][2]
