"""`dryfloor completion`: a static completion script for a shell, made from the parser and the names of the kb."""

import argparse
from typing import Any

from ..result import Result
from ..terminal.env import Env

SHELLS = ("bash", "zsh", "fish")
# What may follow an option; an option that is not here, and takes a value, is followed by a file or free words.
ROLES = ("homeowner", "desk", "technician")


def run(args: argparse.Namespace, env: Env) -> Result:
    """Print the script for a shell."""
    from ...engine.errors import InvalidInputError, Problem, nearest, one_of
    from ..arguments import parser
    from ..inputs import load

    if args.shell not in SHELLS:
        raise InvalidInputError(
            [
                Problem(
                    code="U004",
                    message=f"no completion for '{args.shell}'",
                    expected=one_of(SHELLS),
                    nearest=nearest(args.shell, SHELLS),
                    mend="name your shell",
                )
            ]
        )
    kb = load(argparse.Namespace(kb=args.kb), env)
    words = words_of(parser(), kb)
    text = fish(words) if args.shell == "fish" else bash(words, zsh=args.shell == "zsh")
    return Result(command="completion", status="done", data={"script": text}, lines=text.splitlines())


class CompletionWords:
    """What can be typed: options of each command, names after it, and values after options.

    Parameters
    ----------
    options : dict
        Command -> its options.
    names : dict
        Command -> the names that may follow it.
    values : dict
        Option -> the names that may follow it.
    inputs : dict
        Working -> its inputs, each with an equals sign.
    """

    def __init__(
        self,
        options: dict[str, list[str]],
        names: dict[str, list[str]],
        values: dict[str, list[str]],
        inputs: dict[str, list[str]],
    ) -> None:
        self.options, self.names, self.values, self.inputs = options, names, values, inputs


def words_of(top: Any, kb: Any) -> CompletionWords:
    """Return what can be typed, from the parser and the kb."""
    from ...engine.calculators.calculator import all_calculators

    commands = _below(top)
    options = {
        name: [o for o in below._option_string_actions if o.startswith("--")] for name, below in commands.items()
    }
    tools = _below(commands["kb"])
    options["kb"] = sorted(
        {*options["kb"], *(o for t in tools.values() for o in t._option_string_actions if o.startswith("--"))}
    )
    workings = all_calculators()
    names = {"rule": sorted(kb.rules), "reckon": sorted(workings), "kb": sorted(tools), "completion": list(SHELLS)}
    from ...engine.case.events import FOUND_BY
    from ...engine.case.status import STATES
    from ..kept.cases import ENDS

    values: dict[str, list[str]] = {
        "--machine": sorted(kb.machines),
        "--role": list(ROLES),
        "--for": ["homeowner", "technician"],
        "--cleared": sorted(h.id for h in kb.hazards.values() if h.gate),
        "--complaint": sorted(kb.complaints),
        "--state": list(STATES),
        "--as": list(ENDS),
        "--by": list(FOUND_BY),
        "--cause": sorted(kb.causes),
    }
    inputs = {w.name: [f"{i.name}=" for i in w.inputs] for w in workings.values()}
    return CompletionWords(options, names, values, inputs)


def _below(of: Any) -> dict[str, Any]:
    for action in of._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def bash(words: CompletionWords, zsh: bool = False) -> str:
    """Return the script for bash, or for zsh by its bash completion."""
    out = ["#compdef dryfloor"] if zsh else []
    out += ["# Completion of dryfloor. Put it where your shell looks for completions, or source it."]
    if zsh:
        out += ["autoload -U +X bashcompinit && bashcompinit"]
    out += [
        "_dryfloor() {",
        '  local cur="${COMP_WORDS[COMP_CWORD]}" prev="${COMP_WORDS[COMP_CWORD-1]}" cmd="${COMP_WORDS[1]}" say=""',
        "  COMPREPLY=()",
        '  if [ "$COMP_CWORD" -eq 1 ]; then',
        f'    COMPREPLY=($(compgen -W "{" ".join(words.options)} --help --version" -- "$cur")); return',
        "  fi",
        '  case "$prev" in',
    ]
    for option, values in words.values.items():
        files = ' $(compgen -f -- "$cur")' if option == "--machine" else ""
        out.append(f'    {option}) COMPREPLY=($(compgen -W "{" ".join(values)}" -- "$cur"){files}); return;;')
    out += ["    --with)", '      case "${COMP_WORDS[2]}" in']
    out += [f'        {name}) say="{" ".join(inputs)}";;' for name, inputs in words.inputs.items()]
    out += ["      esac", '      COMPREPLY=($(compgen -W "$say" -- "$cur")); return;;', "  esac", '  case "$cmd" in']
    for command, options in words.options.items():
        names = words.names.get(command, [])
        files = "" if names else ' $(compgen -f -- "$cur")'
        out.append(f'    {command}) COMPREPLY=($(compgen -W "{" ".join([*names, *options])}" -- "$cur"){files});;')
    out += ["  esac", "}", "complete -F _dryfloor dryfloor"]
    return "\n".join(out) + "\n"


def fish(words: CompletionWords) -> str:
    """Return the script for fish."""
    out = [
        "# Completion of dryfloor. Put it into your fish completions folder as dryfloor.fish.",
        f"complete -c dryfloor -f -n __fish_use_subcommand -a '{' '.join(words.options)}'",
    ]
    for command, options in words.options.items():
        here = f"complete -c dryfloor -n '__fish_seen_subcommand_from {command}'"
        if command in words.names:
            out.append(f"{here} -f -a '{' '.join(words.names[command])}'")
        for option in options:
            values = words.values.get(option)
            out.append(f"{here} -l {option[2:]}" + (f" -x -a '{' '.join(values)}'" if values else ""))
    for name, inputs in words.inputs.items():
        out.append(
            f"complete -c dryfloor -n '__fish_seen_subcommand_from reckon; and __fish_seen_subcommand_from {name}' -l with -x -a '{' '.join(inputs)}'"
        )
    return "\n".join(out) + "\n"
