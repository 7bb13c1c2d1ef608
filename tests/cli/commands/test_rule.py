"""`dryfloor rule`: the list, one card, the nearest name, and the machine's own limits."""

import msgspec
import pytest

from dryfloor.cli.result import Exit


def test_the_list_names_every_rule(run, kb):
    done = run("rule")
    assert done.code == Exit.DONE
    lines = [line.strip() for line in done.out.splitlines()]
    assert all(name in lines for name in kb.rules)
    assert "WHAT IT STANDS ON" in lines
    body = msgspec.json.decode(run("rule", "--json").out)
    assert sorted(r["rule"] for rows in body["data"].values() for r in rows) == sorted(kb.rules)


def test_a_card_in_words(run):
    text = " ".join(run("rule", "standpipe-height").out.split())
    for part in (
        "Standpipe height (standpipe-height)", "limit 39 in (99 cm) to 96 in (244 cm)", "of open top of the standpipe",
        "whose common practice", "where kind of drain: in an upright pipe", "below The hose end", "above The pump runs out",
        "leads to below the limit: it siphons", "cause Standpipe too low (below)", "Tool: tape measure.", "beside Standpipe top above the floor (UPC)",
        "One reading serves both if", "source Common practice of the trade: grade C", "working",
    ):  # fmt: skip
        assert part in text, part


def test_every_card_can_be_shown_at_40_columns(run, kb):
    for name in ("standpipe-height", "hose-end-above-water-line", "house-pressure", "outlet-wiring"):
        done = run("rule", name, COLUMNS="40")
        assert done.code == Exit.DONE
        assert max(map(len, done.out.splitlines())) <= 40


@pytest.mark.parametrize(
    ("typed", "near"), [("standpipe-hight", "standpipe-height"), ("drain-air-gap", "drain-air-break")]
)
def test_an_unknown_rule_names_the_nearest(run, typed, near):
    done = run("rule", typed)
    assert done.code == Exit.USAGE
    assert f"nearest: {near}" in done.err
    assert "dryfloor rule lists them all" in done.err
    body = msgspec.json.decode(run("rule", typed, "--json").out)
    assert body["errors"][0]["nearest"] == near


def test_json_is_the_card(run, kb):
    body = msgspec.json.decode(run("rule", "house-pressure", "--json").out)
    assert body["status"] == "shown"
    assert body["data"]["rule"] == "house-pressure"
    assert body["data"]["leads_to"]["above"]


def test_a_machines_own_limit_is_on_the_card(run):
    text = " ".join(run("rule", "standpipe-height", "--machine", "meadow-top-loader").out.split())
    assert "limit 34 in (86 cm) to 72 in (183 cm)" in text
    assert "this machine's own manual (sheet p. 3" in text
    assert run("rule", "standpipe-height", "--machine", "medow-top").code == Exit.USAGE
