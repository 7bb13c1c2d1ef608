"""`dryfloor quiz`: limits typed in trade notation, marked, and what was missed kept after each answer."""

import msgspec
import pytest

from dryfloor.engine.drill.rule_questions import drawn


def data(done):
    return msgspec.json.decode(done.out)


def right_answers(kb, seed, count, supply="us-120"):
    rules = [(q, kb.rules[q.rule]) for q in drawn(kb, seed, count, supply=supply)]
    return "".join(f"{rule.min if q.side == 'below' else rule.max}\n" for q, rule in rules)


def test_all_right_is_0_and_keeps_nothing_as_missed(kb, run, tmp_path):
    done = run("quiz", "--seed", "4", "--count", "6", typed=right_answers(kb, 4, 6))
    assert done.code == 0, done.out
    assert "6 of 6 right." in done.out
    assert msgspec.json.decode((tmp_path / "data" / "drill.json").read_bytes())["cards"] == {}


def test_what_was_missed_is_asked_first_the_next_time(kb, run, tmp_path):
    deck = str(tmp_path / "mine.json")
    first = data(run("quiz", "--seed", "4", "--count", "2", "--deck", deck, "--json", typed="\n\n"))["data"]
    assert (first["asked"], first["right"]) == (2, 0)
    again = data(run("quiz", "--count", "2", "--deck", deck, "--json", typed="\n\n"))["data"]
    assert [a["rule"] for a in again["answers"]] == [a["rule"] for a in first["answers"]]
    assert run("quiz", "--count", "2", "--deck", deck, typed="").code == 1


def test_a_value_that_can_not_be_read_is_asked_again(kb, run):
    q = drawn(kb, 4, 1, supply="us-120")[0]
    text = right_answers(kb, 4, 1)
    done = run("quiz", "--seed", "4", "--count", "1", typed=f"zzqx\n{text}")
    assert done.code == 0
    assert done.out.count("> ") == 2
    assert q.limit.split(" (")[0] in " ".join(done.out.split())


def test_stop_ends_it_and_what_was_answered_counts(kb, run):
    text = right_answers(kb, 4, 1)
    done = data(run("quiz", "--seed", "4", "--json", typed=f"{text}stop\n"))
    assert (done["status"], done["exit"], done["data"]["asked"], done["data"]["right"]) == ("all-right", 0, 1, 1)
    assert data(run("quiz", "--json", typed=""))["status"] == "left"


@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_line_is_wider_than_the_screen(run, columns):
    done = run("quiz", "--seed", "1", "--count", "30", typed="\n" * 30, COLUMNS=columns)
    assert [line for line in done.out.splitlines() if len(line) > int(columns)] == []


@pytest.mark.parametrize("argv", [("--count", "0"), ("--area", "nope"), ("--count", "x"), ("--supply", "mars")])
def test_wrong_usage_is_2(run, argv):
    assert run("quiz", *argv).code == 2


def test_a_deck_that_can_not_be_kept_is_said_once_and_the_quiz_goes_on(run, tmp_path):
    (tmp_path / "file").write_text("")
    done = run("quiz", "--seed", "1", "--count", "3", "--deck", str(tmp_path / "file" / "x.json"), typed="\n\n\n")
    assert "0 of 3 right." in done.out or done.code == 2
    assert done.err.count("D006") == 1


def asked(run, *argv):
    """The rules of a quiz without an end."""
    typed = "\n" * 500
    return [
        a["rule"]
        for a in data(run("quiz", "--seed", "1", "--count", "500", *argv, "--json", typed=typed))["data"]["answers"]
    ]


def test_a_class_is_asked_for_the_practice_of_its_own_supply(kb, run):
    """A drill stands on 120 V unless its fault asks for something else, and so does the quiz."""
    usual, us, eu, every = (
        asked(run),
        asked(run, "--supply", "us"),
        asked(run, "--supply", "eu-230"),
        asked(run, "--supply", "all"),
    )
    assert usual == us
    assert {"supply-voltage", "standpipe-height", "trap-seal"} <= {*us}
    assert not [r for r in us if "europe" in r or "230" in r or r.endswith("-iec")]
    assert {"supply-voltage-230", "standpipe-height-europe"} <= {*eu}
    assert not [
        r
        for r in eu
        if r.endswith(("-ipc", "-irc", "-upc")) or "-nec" in r or r in ("supply-voltage", "standpipe-height")
    ]
    assert {*us} | {*eu} == {*every}
    refused = run("quiz", "--supply", "eu-240")
    assert refused.code == 2
    assert "U049" in refused.err
    assert "eu-230" in refused.err


def test_the_unit_of_a_number_alone_is_said_before_it_is_typed(kb, run):
    """36 for a trap arm that is asked for in feet would be twelve times too long."""
    for q, rule in [(q, kb.rules[q.rule]) for q in drawn(kb, 1, 500, supply="us-120")]:
        limit = (rule.min if q.side == "below" else rule.max) or ""
        assert q.unit, q.rule
        assert limit.endswith(q.unit), q.rule
    out = " ".join(run("quiz", "--seed", "1", "--count", "500", typed="\n" * 500).out.split())
    for unit in ("inches", "feet", "inches per foot", "psi", "V"):
        assert f"(a number alone: in {unit})" in out
