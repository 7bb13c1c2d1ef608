"""Arguments: every command and option explained, every example one that can be parsed, and a slip answered with the nearest."""

import argparse
import re
import shlex

import pytest

from dryfloor.cli.arguments import EXAMPLES, EXIT_TEXT, parser
from dryfloor.cli.main import main
from dryfloor.cli.result import EXITS, Exit
from dryfloor.cli.terminal.env import Env


def commands(of=None, path=()):
    """Every command of the parser, groups included, as tuples of words."""
    of = of or parser()
    yield path, of
    for action in of._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, below in action.choices.items():
                yield from commands(below, (*path, name))


ALL = [path for path, _ in commands()]


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_command_has_help_with_examples_and_exit_codes(path, capsys):
    with pytest.raises(SystemExit) as left:
        main([*path, "--help"], Env())
    assert left.value.code == 0
    out = capsys.readouterr().out
    assert re.search(r"examples:\n  dryfloor", out)
    for code in Exit:
        assert re.search(rf"\b{int(code)} ", out.split("exit codes:")[1]), code


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_option_has_help(path):
    of = dict(commands())[path]
    assert all(a.help for a in of._actions if a.help != argparse.SUPPRESS), path


def test_every_example_of_the_help_can_be_parsed():
    for text in EXAMPLES.values():
        for line in text.splitlines():
            words = shlex.split(re.sub(r"[<>].*", "", line).split("|")[-1])
            parser().parse_args(words[1:] or ["walk"])


@pytest.mark.parametrize("path", ALL[1:], ids=" ".join)
def test_the_parser_of_one_command_is_that_of_all(path):
    """What is made for one command alone takes and explains the same."""
    whole, alone = dict(commands())[path], dict(commands(parser(path[0])))
    assert alone[path].format_help() == whole.format_help()
    assert [vars(a) | {"container": None} for a in alone[path]._actions if not a.choices] == [
        vars(a) | {"container": None} for a in whole._actions if not a.choices
    ]
    assert {key[0] for key in alone if key} == {path[0]}
    words = shlex.split(re.sub(r"[<>|].*", "", EXAMPLES.get(path[-1], "").partition("\n")[0]))[1:]
    if words:
        assert parser(words[0]).parse_args(words) == parser().parse_args(words)


def test_the_exit_codes_of_the_help_are_those_of_the_code():
    assert set(EXITS) == set(Exit)
    assert sorted(int(n) for n in re.findall(r"\b(\d+) [a-z]", EXIT_TEXT)) == sorted(Exit)


@pytest.mark.parametrize(
    ("argv", "near"),
    [
        (["wlak"], "walk"),
        (["advice", "x"], "advise"),
        (["kb", "chek"], "check"),
        (["walk", "--rol", "desk"], "--role"),
        (["hear", "x", "--jsn"], "--json"),
    ],
)
def test_an_unknown_command_or_option_is_2_and_names_the_nearest(run, argv, near):
    done = run(*argv)
    assert done.code == 2
    assert f"nearest: {near}" in done.err
    assert "--help" in done.err
    assert done.out == ""


@pytest.mark.parametrize("argv", [["hear"], ["advise"], ["kb"], ["walk", "--say"]])
def test_a_command_without_what_it_needs_is_2(run, argv):
    done = run(*argv)
    assert done.code == 2
    assert "try: dryfloor" in done.err
