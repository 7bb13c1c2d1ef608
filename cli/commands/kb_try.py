"""`dryfloor kb try`: play made-up sites that have some causes against the walk, and say how often they are found."""

from __future__ import annotations

import argparse

from ..inputs import known
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout
from .kb import ROLES, told

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

    from ...engine import model
    from ...engine.diagnosis.network import Network
    from ...engine.simulation.attempts import Attempts

ALL = "all"
MOST_SITES = 1000
MOST_INSTEAD = 3


def run(args: argparse.Namespace, env: Env) -> Result:
    """Play the sites, and print how they went; with --steps the first of them, move by move."""
    from ...engine.diagnosis.network import network_of
    from ..arguments import UsageError
    from ..inputs import load

    roles: list[model.Role] = [*dict.fromkeys(args.role or ["technician"])]
    for role in roles:
        known(role, ROLES, "U002", "role", "name one of the three roles; --role may be repeated")
    if not 1 <= args.sites <= MOST_SITES:
        raise UsageError(f"--sites is {args.sites}, expected 1 to {MOST_SITES}\ntry: dryfloor kb try --help")
    if args.steps and (len(roles) > 1 or ALL in args.causes):
        raise UsageError("--steps shows one site of one role\ntry: dryfloor kb try standpipe-too-low --steps")
    if ALL in args.causes and len(args.causes) > 1:
        raise UsageError("all stands alone: it tries each cause by itself\ntry: dryfloor kb try all")
    kb = load(args, env)
    for cause in args.causes:
        known(cause, [*kb.causes, ALL], "U024", "cause", "name causes of the kb by their ids, or write all")
    if args.complaint:
        known(args.complaint, kb.complaints, "U021", "complaint", "name a complaint of the kb")
    network = network_of(kb)
    layout = Layout(env.width, env.colour)
    return told(args, _one(args, network, roles[0], layout) if args.steps else _many(args, network, roles, layout))


def _many(args: argparse.Namespace, network: Network, roles: list[model.Role], layout: Layout) -> Result:
    """Play all sites of each cause, or of the causes that were named together, by each role."""
    from ...engine.simulation.attempts import attempt
    from ...engine.simulation.simulator import Steps

    kb, steps = network.kb, Steps(network)
    groups = [args.causes]
    if args.causes == [ALL]:
        groups = [[c] for c in sorted(kb.causes) if not args.complaint or _shows(kb.causes[c], args.complaint)]
    out = [
        attempt(network, causes, role, args.complaint, args.seed, args.sites, steps)
        for causes in groups
        for role in roles
    ]
    lines = [line for each in out for line in _summary(layout, each)]
    weak = sum(not often(a) for a in out)
    if len(out) > 1:
        rest = f"; {weak} at half or fewer" if weak else ""
        lines += ["", *layout.wrap(f"{len(out) - weak} of {len(out)} found at more than half of their sites{rest}.")]
    return Result(
        command="kb try",
        status="not-found" if weak else "found",
        exit=Exit.NOTHING if weak else Exit.DONE,
        data={"seed": args.seed, "sites": args.sites, "complaint": args.complaint, "tried": out},
        lines=lines,
    )


def _shows(cause: model.Cause, complaint: str) -> bool:
    return any(s.complaint == complaint for s in cause.shows)


def often(attempts: Attempts) -> bool:
    """Return whether the causes are found at more than half of the sites."""
    return 2 * attempts.found > attempts.sites


def _summary(layout: Layout, a: Attempts) -> list[str]:
    """Return how the sites of one role went, as text."""
    text = f"{' and '.join(a.causes)}, {a.role} first: found in {a.found} of {a.sites}"
    text += f", median {a.median_minutes:.0f} minutes" if a.median_minutes is not None else ""
    others = [f"{role} {n}" for role, n in a.by.items()]
    text += f" (by {', '.join(others)})" if list(a.by) not in ([], [a.role]) else ""
    out = layout.wrap(text + ".")
    if a.guessed:
        out += layout.wrap(f"believed, but left to the specialist: {a.guessed}", 3)
    for label, counts in (("named instead", a.instead), ("mended in vain first", a.in_vain)):
        if counts:
            some = [f"{name} {n}" for name, n in list(counts.items())[:MOST_INSTEAD]]
            more = len(counts) - len(some)
            out += layout.wrap(f"{label}: {', '.join(some)}{f' and {more} more' if more else ''}", 3)
    return out


def _one(args: argparse.Namespace, network: Network, role: model.Role, layout: Layout) -> Result:
    """Play one site and show every move."""
    from ...engine.simulation.attempts import found
    from ...engine.simulation.simulator import play
    from ...engine.simulation.world import installation_with

    outcome = play(network, installation_with(network, args.causes, args.complaint, args.seed), role)
    done = found(outcome)
    return Result(
        command="kb try",
        status="found" if done else "not-found",
        exit=Exit.DONE if done else Exit.NOTHING,
        data=outcome,
        lines=_moves(layout, outcome),
    )


def _moves(layout: Layout, outcome: Any) -> list[str]:
    """Return how one site went, move by move, as text."""
    out = layout.wrap(
        f"At work: {', '.join(outcome.causes)}. Complaint: {', '.join(outcome.complaints)}. First there: the {outcome.role}."
    )
    out.append("")
    role = outcome.role
    for number, move in enumerate(outcome.moves, 1):
        if move.role != role:
            role = move.role
            out += [layout.paint(f"   the {role} goes on", "strong")]
        paid = f" ({move.minutes:g} min)" if move.minutes else ""
        said = f": {move.said}" if move.said else ""
        out += layout.wrap(f"{move.kind}  {move.title}{said}{paid}", 5, f"{number:>3}")
    out.append("")
    missed = sorted({*outcome.origins} - {*outcome.found, *outcome.botched})
    if outcome.found:
        out += layout.labelled("FOUND", f"{', '.join(outcome.found)}.")
    if outcome.botched:
        out += layout.labelled("BOTCHED", f"Found, and the fix failed here: {', '.join(outcome.botched)}.")
    if missed:
        best = f" The best guess was {outcome.believed}, {100 * outcome.p:.0f} in 100." if outcome.believed else ""
        out += layout.labelled("NOT FOUND", f"Left to the specialist: {', '.join(missed)}.{best}")
    calls = f"{outcome.call_outs} call-out{'' if outcome.call_outs == 1 else 's'}"
    out += layout.labelled(
        "cost", f"{outcome.minutes:g} min of work, {calls}, {outcome.cost:.0f} homeowner minutes in all"
    )
    return out
