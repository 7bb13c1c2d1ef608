"""Every command on kept cases parses its own examples, takes another store, and says what it is for."""

import shlex

import pytest

from dryfloor.cli.arguments import CASE_EXAMPLES, UsageError, parser

COMMANDS = sorted(CASE_EXAMPLES)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_example_is_a_command_line_that_is_understood(name):
    for shown in CASE_EXAMPLES[name].splitlines():
        for one in shown.partition(" > ")[0].split(" | "):
            program, *words = shlex.split(one)
            assert program == "dryfloor"
            args = parser().parse_args(words)
            assert args.command in (name, "advise")


@pytest.mark.parametrize("name", COMMANDS)
def test_each_takes_another_store_and_json_and_explains_itself(name, capsys):
    with pytest.raises(SystemExit) as left:
        parser().parse_args([name, "--help"])
    shown = capsys.readouterr().out
    assert left.value.code == 0
    store = "--from" if name == "move" else "--store"
    assert all(option in shown for option in (store, "--json", "examples:", "exit codes:"))


@pytest.mark.parametrize(
    "words",
    [
        ["show"],
        ["note", "K7M3R4"],
        ["close", "K7M3R4", "--why", "gone"],
        ["close", "K7M3R4", "--as", "given-up"],
        ["cases", "--older", "old"],
    ],
)
def test_what_is_missing_or_no_number_is_refused(words):
    with pytest.raises(UsageError, match="--help"):
        parser().parse_args(words)


def test_an_id_may_be_left_out_of_resume_alone():
    assert parser().parse_args(["resume"]).case is None
    assert parser().parse_args(["note", "K7M3R4", "rings", "back"]).words == ["rings", "back"]
