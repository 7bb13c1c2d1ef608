"""`dryfloor reckon`: the list, what one takes, a working done, and every wrong input answered in words."""

import re

import msgspec
import pytest

from dryfloor.cli.commands.reckon import card, describe, pairs
from dryfloor.cli.result import Exit
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.calculators.calculator import all_calculators, find
from dryfloor.engine.errors import InvalidInputError


def test_the_list_names_every_working(run):
    done = run("reckon")
    assert done.code == Exit.DONE
    lines = [line.strip() for line in done.out.splitlines()]
    assert all(name in lines for name in all_calculators())
    body = msgspec.json.decode(run("reckon", "--json").out)
    assert [w["name"] for w in body["data"]["workings"]] == sorted(all_calculators())


@pytest.mark.parametrize("name", sorted(all_calculators()))
def test_what_a_working_takes_has_a_unit_and_a_way_to_write_it(name):
    working = find(name)
    text = " ".join(" ".join(card(Layout(80), working)).split())
    for i in working.inputs:
        assert f"{i.name}: " in text
        assert i.measures in text or "bare number" in text
    assert all(source.split("(")[0].strip()[:30] in text for source in working.sources)
    assert [t["name"] for t in describe(working)["takes"]] == [i.name for i in working.inputs]


def test_a_working_without_its_inputs_says_what_it_takes(run):
    done = run("reckon", "hose-siphon")
    assert done.code == Exit.DONE
    assert "dryfloor reckon hose-siphon --with standpipe=..." in " ".join(done.out.split())
    assert msgspec.json.decode(run("reckon", "hose-siphon", "--json").out)["status"] == "described"


def test_20_gal_at_17_gpm_is_full_in_71_s(run):
    """C: both figures; 20/17 min (D)."""
    done = run("reckon", "tub-fill", "--with", "volume=20 gal", "--with", "pump=17 gpm")
    text = " ".join(done.out.split())
    assert "gives full_in 71 s" in text
    assert "takes outlet 0 gpm (not given; a plugged outlet)" in text
    body = msgspec.json.decode(run("reckon", "tub-fill", "--with", "volume=20 gal", "--json").out)
    assert body["data"]["gives"]["full_in"] == pytest.approx(70.6, abs=0.05)
    assert body["data"]["sources"]


def test_a_bound_and_a_spread_are_said(run):
    text = " ".join(run("reckon", "standpipe-overflow", "--with", "bore=2.07 in").out.split())
    assert "at most, give or take 40 in 100" in text
    assert "with 30 in 100 of the trap closed by lint" in text


def test_a_never_has_no_bound(run):
    keeps_up, runs_over = (
        " ".join(run("reckon", "standpipe-overflow", "--with", "bore=2.07 in", "--with", f"blocked={b}").out.split())
        for b in ("0", "0.9")
    )
    assert "overflows_in never: " in keeps_up
    assert re.search(r"overflows_in [\d.]+ s, at most: ", runs_over)


def test_a_minus_and_a_quote_survive_the_command_line(run):
    done = run("reckon", "level-turns", "--with", "right_high=-6 mm/m", "--with", "rear_high = 4 mm/m")
    assert "right front out 3.5" in " ".join(done.out.split())
    assert run("reckon", "trap-arm", "--with", "arm=5' 6\"").code == Exit.DONE


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["tub-fil"], "nearest: tub-fill"),
        (["tub-fill", "--with", "volum=20 gal"], "nearest: volume"),
        (["tub-fill", "--with", "volume"], "NAME=VALUE"),
        (["tub-fill", "--with", "volume="], "NAME=VALUE"),
        (["tub-fill", "--with", "volume=20"], "20 gal"),
        (["tub-fill", "--with", "volume=20 gal", "--with", "volume=10 gal"], "given twice"),
        (["hose-siphon", "--with", "standpipe=42 in"], "needs water_line"),
        (["antifreeze", "--with", "lowest=0 F", "--with", "share=60"], "share"),
        (["--with", "a=b"], "without a working"),
    ])  # fmt: skip
def test_what_can_not_be_done_is_refused_with_a_way_to_mend_it(run, argv, said):
    done = run("reckon", *argv)
    assert done.code == Exit.USAGE
    assert said in done.err
    assert "mend:" in done.err
    assert msgspec.json.decode(run("reckon", *argv, "--json").out)["exit"] == 2


def test_nothing_is_wider_than_40_columns(run):
    for argv in ([], ["hose-siphon"], ["tub-fill", "--with", "volume=20 gal"]):
        assert max(map(len, run("reckon", *argv, COLUMNS="40").out.splitlines())) <= 40


def test_pairs_keep_their_order_and_their_spaces_inside():
    assert list(pairs(["b=1 1/2 in", "a=2"]).items()) == [("b", "1 1/2 in"), ("a", "2")]
    with pytest.raises(InvalidInputError):
        pairs(["=3 in"])
