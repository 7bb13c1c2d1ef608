"""Robust to wrong numbers: the shipped advice played in worlds whose true numbers differ, beside advice that knows them."""

import time
from typing import Any

import numpy as np

from dryfloor.engine import model
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.simulation.baselines import fixed_order
from dryfloor.engine.simulation.episode import Outcome
from dryfloor.engine.simulation.simulator import Steps, play
from dryfloor.engine.simulation.world import Installation

from .games import ROLES, averaged, costs, drawn, mean, ratio_error
from .perturb import perturbed
from .table import Table

SUMMARY = "Wrong numbers: what the advice loses against knowing the true ones, and whether the fixed order ever wins."
SEED = 60
DEVIATIONS = (0.5, 1.0)
KBS, SITES = 8, 1
QUICK = (3, 1, ("no-drain", "siphons"))
OURS, TRUE, ORDER = "ours", "true numbers", "fixed order"
COLUMNS = [
    "noise [log-odds]",
    "role",
    "ours [homeowner min]",
    "knowing the true numbers",
    "lost [%]",
    "the trade's fixed order",
    "order cheaper at [% of sites]",
    "by [homeowner min]",
    "complaints where the order wins in the mean",
]
Games = dict[str, dict[str, list[Outcome]]]  # player -> complaint -> games


def run(quick: bool) -> Table:
    """Play the shipped advice, the advice of the true kb, and the fixed order in worlds drawn from perturbed kbs.

    Parameters
    ----------
    quick : bool
        Fewer kbs, sites and complaints.
    """
    kb = load_kb()
    kbs, count, names = QUICK if quick else (KBS, SITES, sorted(kb.complaints))
    believed = Network(kb)
    start = time.perf_counter()
    played: dict[float, list[dict[str, Games]]] = {}
    for deviation in DEVIATIONS:
        worlds = [Network(perturbed(kb, deviation, SEED + k)) for k in range(kbs)]
        installations = [drawn(true, names, count, SEED + k) for k, true in enumerate(worlds)]
        played[deviation] = [{} for _ in worlds]
        for role in ROLES:
            for k, games in enumerate(in_worlds(believed, worlds, installations, role)):
                played[deviation][k][role] = games
    return table(played, kbs, count, time.perf_counter() - start)


def in_worlds(
    believed: Network, worlds: list[Network], installations: list[dict[str, list[Installation]]], role: model.Role
) -> list[Games]:
    """Return for each world the games of the shipped advice, of the advice that knows the world, and of the fixed order.

    The shipped advice and the order believe the shipped kb whatever is true, so its steps are kept from world to world.
    """
    out: list[Games] = [{OURS: {}, TRUE: {}, ORDER: {}} for _ in worlds]
    for complaint in installations[0]:
        shared = Steps(believed)
        for games, true, some in zip(out, worlds, installations, strict=True):
            told = Steps(true)
            games[OURS][complaint] = [play(true, installation, role, shared) for installation in some[complaint]]
            games[TRUE][complaint] = [play(true, installation, role, told) for installation in some[complaint]]
            games[ORDER][complaint] = [
                fixed_order(true, installation, role, believed) for installation in some[complaint]
            ]
    return out


def table(played: dict[float, list[dict[str, Games]]], kbs: int, count: int, took: float) -> Table:
    """Return the table of what was played, by noise and role."""
    rows, data, wins = [], {}, []
    for deviation, worlds in played.items():
        for role in (*ROLES, "all"):
            found = figures([[world[r] for r in (ROLES if role == "all" else (role,))] for world in worlds])
            data[f"{deviation}: {role}"] = found
            rows.append([f"{deviation}", role, *_cells(found)])
            if role != "all":
                wins += [f"{name} ({role}, {deviation}): {by:.0f} ± {se:.0f}" for name, by, se in found["wins"]]
    complaints = len(next(iter(played.values()))[0][ROLES[0]][OURS])
    number = kbs * count * complaints * len(ROLES) * len(played)
    notes = [
        f"{kbs} kbs for each noise, {count} sites of each of {complaints} complaints in each, for each role: {number} sites, "
        f"{3 * number} games in {took:.0f} s. `Lost` is with its standard error over the {kbs} kbs.",
        "The site answers by the perturbed kb; ours and the fixed order believe the shipped one. Noise is on every strength, "
        "cure, leak, rate and share; prices, permissions and gates stay. The order knows a site's circumstances for nothing.",
        "The order wins in the mean of these complaints: "
        + (f"{'; '.join(wins)} [homeowner min]." if wins else "none."),
    ]
    return Table(title="Robust to wrong numbers", columns=COLUMNS, rows=rows, notes=notes, data=data)


def figures(worlds: list[list[Games]]) -> dict[str, Any]:
    """Return the figures of some worlds, each with the games of one role or several."""

    def by_site(parts: list[Games], player: str) -> dict[str, list[float]]:
        return averaged(costs(games[player]) for games in parts)

    ours, true, order = ([by_site(parts, player) for parts in worlds] for player in (OURS, TRUE, ORDER))
    base = np.array([mean(b) for b in true])
    lost = np.array([mean(a) for a in ours]) - base
    gaps = np.array(
        [
            theirs.cost - mine.cost
            for parts in worlds
            for games in parts
            for complaint in games[OURS]
            for mine, theirs in zip(games[OURS][complaint], games[ORDER][complaint], strict=True)
        ]
    )
    wins = []
    for complaint in ours[0]:
        apart = np.concatenate([np.subtract(b[complaint], a[complaint]) for a, b in zip(ours, order, strict=True)])
        if apart.mean() < 0:
            wins.append((complaint, float(-apart.mean()), float(apart.std(ddof=1) / np.sqrt(len(apart)))))
    beaten = gaps < -1e-9
    return {
        "ours": float(np.mean([mean(a) for a in ours])),
        "true": float(base.mean()),
        "lost": 100 * float(lost.mean() / base.mean()),
        "error": 100 * ratio_error(lost, base),
        "order": float(np.mean([mean(c) for c in order])),
        "beaten": 100 * float(beaten.mean()),
        "by": float(-gaps[beaten].mean()) if beaten.any() else 0.0,
        "wins": wins,
        "complaints": len(ours[0]),
    }


def _cells(f: dict[str, Any]) -> list[str]:
    wins = f["wins"]
    return [
        f"{f['ours']:.1f}",
        f"{f['true']:.1f}",
        f"{f['lost']:+.1f} ± {f['error']:.1f}",
        f"{f['order']:.1f}",
        f"{f['beaten']:.0f}",
        f"{f['by']:.0f}",
        f"{len(wins)} of {f['complaints']}",
    ]
