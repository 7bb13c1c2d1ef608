"""The whole shipped kb: what our choice costs to resolution beside its rivals, at the same made-up sites, by role."""

import time
from functools import partial

from dryfloor.engine import model
from dryfloor.engine.advising.next_step import LEAST_GAIN, Policy
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.simulation.baselines import fixed_order, knowing
from dryfloor.engine.simulation.episode import Outcome
from dryfloor.engine.simulation.simulator import Steps, play
from dryfloor.engine.simulation.world import Installation

from .games import ROLES, Player, average, averaged, costs, drawn, mean, over, questions, tail
from .lookahead.ahead import choose_ahead
from .policies import LEAST_BIT, one_step, remedies_only, until_sure
from .table import Table

SUMMARY = "The whole kb: cost to resolution of our choice and its rivals, all complaints, all roles."
SEED = 6
SITES = 6
QUICK = (2, ("no-drain", "siphons", "walks"))
OURS = "ours"
POLICIES: dict[str, Policy] = {
    "rollout by the last role": partial(choose_ahead, least_gain=LEAST_GAIN),
    "rollout throughout": partial(choose_ahead, least_gain=LEAST_GAIN, most=10**6, handing_on=True),
    "one step, remedies as leaf": one_step,
    "ask until 95 % sure": partial(until_sure, level=0.95),
    "remedies only": remedies_only,
}
ORDER, KNOWING = "the trade's fixed order", "knowing at once"
COLUMNS = [
    "role",
    "policy",
    "cost [homeowner min]",
    "over ours",
    "over ours [%]",
    "95th percentile",
    "questions",
    "call-outs",
    "ended by these hands [%]",
]
Games = dict[str, dict[str, list[Outcome]]]  # policy -> complaint -> games


def run(quick: bool) -> Table:
    """Play every policy at the same sites.

    Parameters
    ----------
    quick : bool
        A few complaints and sites.
    """
    network = Network(load_kb())
    count, names = QUICK if quick else (SITES, sorted(network.kb.complaints))
    installations = drawn(network, names, count, SEED)
    start = time.perf_counter()
    played: dict[str, Games] = {role: games_of(network, installations, role) for role in ROLES}
    return table(played, count, time.perf_counter() - start)


def players(network: Network, role: model.Role) -> dict[str, Player]:
    """Return each policy as something that plays a site for a role; what it works out is kept between sites."""
    own: dict[str, Player] = {OURS: partial(_played, network, role, Steps(network))}
    own |= {name: partial(_played, network, role, Steps(network, policy)) for name, policy in POLICIES.items()}
    own[ORDER] = lambda installation: fixed_order(network, installation, role)
    own[KNOWING] = lambda installation: knowing(network, installation, role)
    return own


def _played(network: Network, role: model.Role, steps: Steps, installation: Installation) -> Outcome:
    return play(network, installation, role, steps)


def games_of(network: Network, installations: dict[str, list[Installation]], role: model.Role) -> Games:
    """Return the games of all policies for one role; a complaint's own steps are forgotten after it."""
    out: Games = {}
    for complaint, some in installations.items():
        for policy, player in players(network, role).items():
            out.setdefault(policy, {})[complaint] = [player(installation) for installation in some]
    return out


def table(played: dict[str, Games], count: int, took: float) -> Table:
    """Return the table of what was played, by role and over all roles."""
    policies = list(next(iter(played.values())))
    rows, data = [], {}
    for role, parts in [*((role, [games]) for role, games in played.items()), ("all", list(played.values()))]:
        for policy in policies:
            found = figures([games[policy] for games in parts], [games[OURS] for games in parts])
            data[f"{role}: {policy}"] = found
            rows.append(_row(role, policy, found))
    number = sum(len(some) for games in played.values() for some in games[OURS].values())
    complaints = len(next(iter(played.values()))[OURS])
    notes = [
        f"{count} sites of each of {complaints} complaints for each role, the same under every policy: {number} sites, "
        f"{number * len(policies)} games in {took:.0f} s. Every complaint counts the same; `over ours` is with its standard error, "
        "paired by site.",
        *alike(data),
        *said(played),
        "Every policy keeps the same permissions and clears the same gates, at no price; the fixed order knows the site's "
        f"circumstances for nothing, the others ask for them. `Until sure` stops asking where no question tells {LEAST_BIT} bit.",
        "Knowing at once skips every look, also one that a remedy waits for: a bound in the mean that nobody can reach.",
        "Made-up sites drawn from the kb's own judgements: they compare ways of choosing, and say nothing of real floors.",
    ]
    return Table(title="The whole kb", columns=COLUMNS, rows=rows, notes=notes, data=data)


def figures(games: list[dict[str, list[Outcome]]], ours: list[dict[str, list[Outcome]]]) -> dict[str, float]:
    """Return the figures of one policy against ours, over one role or several."""
    theirs, base = averaged(map(costs, games)), averaged(map(costs, ours))
    more, error = over(theirs, base)
    return {
        "cost": mean(theirs),
        "over": more,
        "error": error,
        "percent": 100 * more / mean(base),
        "p95": tail(map(costs, games)),
        "questions": average(games, questions),
        "call_outs": average(games, lambda g: g.call_outs),
        "own_hands": 100 * average(games, lambda g: g.by == g.role),
    }


def _row(role: str, policy: str, f: dict[str, float]) -> list[str]:
    ours = policy == OURS
    return [
        role,
        policy,
        f"{f['cost']:.1f}",
        "" if ours else f"{f['over']:+.1f} ± {f['error']:.1f}",
        "" if ours else f"{f['percent']:+.1f}",
        f"{f['p95']:.0f}",
        f"{f['questions']:.1f}",
        f"{f['call_outs']:.2f}",
        f"{f['own_hands']:.0f}",
    ]


def alike(data: dict[str, dict[str, float]]) -> list[str]:
    """Return which policies so many sites can't tell from ours, all roles taken together."""
    found = {policy: data[f"all: {policy}"] for policy in [*POLICIES, ORDER]}
    close = [f"{p} ({f['over']:+.1f} ± {f['error']:.1f})" for p, f in found.items() if abs(f["over"]) <= 2 * f["error"]]
    return [f"Not told apart from ours by so many sites: {'; '.join(close)}."] if close else []


def said(played: dict[str, Games]) -> list[str]:
    """Return where a rival that knows nothing more does better than ours in the mean of a complaint, said plainly."""
    out = []
    for policy in [*POLICIES, ORDER]:
        better, clear, pairs = [], 0, 0
        for role, games in played.items():
            theirs, ours = costs(games[policy]), costs(games[OURS])
            for complaint in ours:
                pairs += 1
                more, error = over({complaint: theirs[complaint]}, {complaint: ours[complaint]})
                if more < 0:
                    better.append((more, f"{complaint} ({role})"))
                    clear += more < -2 * error
        worst = f"; most by {-min(better)[0]:.1f} min at {min(better)[1]}" if better else ""
        out.append(
            f"{policy[0].upper()}{policy[1:]} costs less than ours in the mean of {len(better)} of {pairs} complaints by role, "
            f"{clear} of them by more than two standard errors{worst}."
        )
    return out
