"""Well-formed hostile input made by hypothesis: any JSON, any mix of a case's own names, any counts; as case files, on the command line, as requests."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dryfloor.engine.case.state import MOST_EVENTS
from tests.attack.invariants import attacked, within
from tests.attack.structured import hostile
from tests.cli.page.conftest import serve, shared  # noqa: F401  (fixtures)

QUICK = settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
SLOW = settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))


@QUICK
@given(st.data())
def test_a_hostile_case_is_answered_or_refused(kb, data):
    assert attacked(kb, hostile(kb, data))


@pytest.mark.slow
@SLOW
@given(st.data())
def test_many_hostile_cases_are_answered_or_refused(kb, data):
    assert attacked(kb, hostile(kb, data))


def asked(client, raw):
    got = client.post("/advise", content=raw, headers={"content-type": "application/json"})
    assert got.status_code in (200, 413, 422, 503)
    within(got.content, len(raw))


@QUICK
@given(st.data())
def test_a_hostile_request_is_answered_or_refused(kb, shared, data):  # noqa: F811
    asked(shared, hostile(kb, data))


@pytest.mark.slow
@SLOW
@given(st.data())
def test_many_hostile_requests_are_answered_or_refused(kb, shared, data):  # noqa: F811
    asked(shared, hostile(kb, data))


# What was sent; how many events or values; the code of the refusal, and how many more problems it counts.
MANY = [
    (lambda n: b'{"events":[' + b",".join([b"{}"] * n) + b"]}", 21_000, "P050", 0),
    (lambda n: b'{"events":[' + b",".join([b"{}"] * n) + b"]}", 390, "C010", 370),
    (lambda n: b'{"events":[{' + b",".join(b'"x%d":1' % i for i in range(n)) + b"}]}", 6_000, "P050", 0),
    (lambda n: b'{"complaints":[' + b",".join([b'"x"'] * n) + b"]}", 300, "C012", 280),
    (lambda n: b'{"say":"' + b"x" * n + b'","complaints":["y"]}', 60_000, "C012", 0),
    (lambda n: b'{"complaints":["' + b"x" * n + b'"]}', 60_000, "C012", 0),
    (lambda n: b'{"answers":{"standpipe-height":"' + b"9" * n + b'"}}', 60_000, "C023", 0),
    (lambda n: b"[" * n, 60_000, "P054", 0),
]


@pytest.mark.parametrize(("made", "count", "code", "more"), MANY, ids=range(len(MANY)))
def test_what_is_sent_by_the_thousand_is_counted_and_not_repeated(shared, made, count, code, more):  # noqa: F811
    raw = made(count)
    got = shared.post("/advise", content=raw, headers={"content-type": "application/json"})
    errors = got.json()["errors"]
    assert (got.status_code, errors[0]["code"]) == (422, code)
    assert len(got.content) < 32 * 1024
    assert len(errors) <= 21
    assert all(len(e.get("shown", "")) <= 200 for e in errors)
    if more:
        assert errors[-1]["message"] == f"and {more} more"


@pytest.mark.parametrize("as_json", [True, False])
def test_the_command_line_counts_too(run, as_json):
    """One line of 180 kB, whose every entry is wrong, once died of repeating the line in each message."""
    raw = b'{"events":[' + b",".join([b'{"check":"x"}'] * 9_000) + b"]}"
    done = run("advise", "-", *(["--json"] if as_json else []), typed=raw)
    assert done.code == 2
    text = done.out if as_json else done.err
    assert len(text) < 64 * 1024
    assert "and 8,980 more" in text
    longer = run("advise", "-", "--json", typed=b'{"events":[' + b",".join([b"{}"] * (MOST_EVENTS + 2)) + b"]}")
    assert [e["code"] for e in json.loads(longer.out)["errors"]] == ["C032"]
