"""The kb measured, by role: what it can see and tell apart, and what a complaint costs under our choice and under its baselines.

Expected minutes are those of made-up sites, drawn from the kb's own rates and strengths with fixed seeds: they compare ways of
asking under one set of judgements, and say nothing of real floors.
"""

from collections.abc import Callable, Iterable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from .. import model
from ..diagnosis.network import Network
from ..inference.potentials import Array
from ..knowledge import graph
from ..measurement.readings import gross_error
from ..model import holds
from ..planning import actions
from ..planning import roles as roles_
from ..simulation.baselines import fixed_order, knowing
from ..simulation.episode import Outcome
from ..simulation.simulator import Steps, play
from ..simulation.world import Installation, installations_of
from .testability import Diagnosability, by_odds, by_signature, divergence

# A cause counts as marked by a finding that it shows at even odds or more often.
EVEN = 0.5
# A check whose answer shifts no odds by more than this, expected, helps with nothing [nat].
LEAST_HELP = 0.1
SITES, QUICK_SITES, SEED = 6, 2, 1
WORST = 12


class Sums(Struct, frozen=True, kw_only=True):
    """What a complaint costs on average: minutes of the hands, call-outs, all of it in homeowner minutes, and how often solved."""

    minutes: float
    call_outs: float
    cost: float
    solved: float


class Served(Struct, frozen=True, kw_only=True):
    """One complaint under our choice, under the fixed order, and where everything is known at once."""

    complaint: str
    sites: int
    ours: Sums
    in_order: Sums
    knowing: Sums


class Worst(Struct, frozen=True, kw_only=True):
    """A cause that the advice serves badly: what it costs over knowing, and how often it was not found."""

    cause: str
    sites: int
    missed: int
    cost: float
    over_knowing: float


class RoleFigures(Struct, frozen=True, kw_only=True):
    """The figures of one role."""

    role: str
    hands: str
    marked: Diagnosability
    odds: Diagnosability
    idle: list[str]
    served: list[Served]
    overall: Served | None
    worst: list[Worst]


def figures(kb: model.KB, roles: Iterable[model.Role], count: int = SITES, seed: int = SEED) -> list[RoleFigures]:
    """Return the figures of some roles.

    Parameters
    ----------
    kb : KB
    roles : iterable of str
    count : int
        Sites played for each complaint; 0 for the figures that need no playing [-].
    seed : int
        The same seed gives the same figures [-].

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> found = figures(load_kb(), ["technician"], 0)[0]
    >>> found.odds.detected > 0.5, found.served
    (True, [])
    """
    network = Network(kb)
    installations = installations_of(network, sorted(kb.complaints), count, seed) if count else {}
    out = []
    for role in roles:
        hands = roles_.default_hands(role)
        names = sorted(kb.causes)
        told = told_apart(network, names)
        tables = outcome_tables(network, names, hands)
        rates = [kb.causes[c].per_1000.n * graph.share(kb, kb.causes[c].when) for c in names]
        remedies = [(kb.causes[c].remedy.title.lower(), kb.causes[c].remedy.by) for c in names]
        served, worst = _served(network, role, installations)
        out.append(
            RoleFigures(
                role=role,
                hands=hands,
                marked=by_signature(names, rates, marks(network, names, hands), told, remedies),
                odds=by_odds(names, rates, list(tables.values()), told, remedies),
                idle=idle(network, names, told, tables),
                served=served,
                overall=_overall(served),
                worst=worst,
            )
        )
    return out


def told_apart(network: Network, names: list[str]) -> NDArray[np.bool_]:
    """Return who needs no check to be told apart: causes without a common complaint, or whose circumstances exclude each other."""
    kb = network.kb
    shows = {c: {s.complaint for s in kb.causes[c].shows if s.complaint} for c in names}
    out = np.zeros((len(names), len(names)), dtype=bool)
    for i, a in enumerate(names):
        for j, b in enumerate(names):
            apart = not shows[a] & shows[b] or not _together(kb.causes[a].when, kb.causes[b].when)
            out[i, j] = apart and i != j
    return out


def _together(a: model.When, b: model.When) -> bool:
    """Return whether two circumstances can hold at once."""
    return all(any(holds({f: o}, {f: own}) for own in _options(b[f])) for f, o in a.items() if f in b)


def _options(wanted: str | list[str]) -> list[str]:
    return [wanted] if isinstance(wanted, str) else wanted


def findings(network: Network, hands: str) -> dict[str, list[str]]:
    """Return the findings of each check that some hands may do, and of each rule worked out from their readings.

    Parameters
    ----------
    network : Network
    hands : str
    """
    kb = network.kb
    out = {}
    mine = {c.id for c in kb.checks.values() if roles_.permitted(kb, c, hands) and not c.only_proof}
    for name in sorted(mine):
        check = kb.checks[name]
        if check.kind == "measure":
            out[name] = [graph.side_node(check.rule or "", s) for s in graph.sides(kb.rules[check.rule or ""])]
        else:
            out[name] = [graph.answer_node(name, a) for a in list(check.answers)[:-1]]
    for rule in kb.rules.values():
        takes = rule.model.takes.values() if rule.model and rule.model.gives else []
        read = {t.check for t in takes if t.check}
        if read and all(t.check in mine or t.value for t in takes):
            out[f"worked out: {rule.id}"] = [graph.side_node(rule.id, s) for s in graph.sides(rule)]
    return out


def marks(network: Network, names: list[str], hands: str) -> NDArray[np.bool_]:
    """Return the fault-test matrix of some hands: a cause marks the findings that it shows at even odds or more."""
    nodes = [n for own in findings(network, hands).values() for n in own]
    out = np.zeros((len(names), len(nodes)), dtype=bool)
    for k, node in enumerate(nodes):
        links = network.shown[node]
        out[:, k] = [links.get(c, 0.0) >= EVEN for c in names]
    return out


def outcome_tables(network: Network, names: list[str], hands: str) -> dict[str, Array]:
    """Return P(outcome | cause alone) of every check that some hands may do; the last column is that of no cause.

    Parameters
    ----------
    network : Network
    names : list of str
        Causes.
    hands : str
    """
    alone = np.vstack([np.eye(len(names), dtype=bool), np.zeros((1, len(names)), dtype=bool)])
    error = gross_error(network.kb, hands)
    seen = actions.Findings(network, names, alone)
    out = {}
    for name, nodes in findings(network, hands).items():
        measured = name not in network.kb.checks or network.kb.checks[name].kind == "measure"
        out[name] = np.maximum(actions.chances(seen, nodes, hands, error if measured else 0.0), 1e-12)
    return out


def idle(network: Network, names: list[str], told: NDArray[np.bool_], tables: dict[str, Array]) -> list[str]:
    """Return the checks that shift no odds worth having, between causes that are not told apart or against no cause at all.

    Parameters
    ----------
    network : Network
    names : list of str
        Causes.
    told : array (causes, causes) of bool
        As `told_apart` gives it.
    tables : dict
        As `outcome_tables` gives it.
    """
    kb = network.kb
    needed = {c.remedy.only_if.check for c in kb.causes.values() if c.remedy.only_if}
    models = [m for r in kb.rules.values() if (m := r.model)] + [m for c in kb.checks.values() for m in c.means]
    needed |= {t.check for m in models for t in m.takes.values() if t.check}
    pairs = np.ones((len(names) + 1, len(names) + 1), dtype=bool)
    pairs[:-1, :-1] = ~told
    return sorted(
        name
        for name, table in tables.items()
        if name in kb.checks and name not in needed and divergence([table])[pairs].max() < LEAST_HELP
    )


Policy = Callable[[Installation], Outcome]


def _served(
    network: Network, role: model.Role, installations: dict[str, list[Installation]]
) -> tuple[list[Served], list[Worst]]:
    """Play every site under each policy, and return the sums by complaint and the worst-served causes."""
    out: list[Served] = []
    by_cause: dict[str, list[tuple[Outcome, Outcome]]] = {}
    for complaint, some in installations.items():
        if not some:
            continue
        steps = Steps(network)
        ours = [play(network, s, role, steps) for s in some]
        known = [knowing(network, s, role) for s in some]
        for outcome, best in zip(ours, known, strict=True):
            for cause in outcome.origins:
                by_cause.setdefault(cause, []).append((outcome, best))
        rival = sums([fixed_order(network, s, role) for s in some])
        out.append(Served(complaint=complaint, sites=len(some), ours=sums(ours), in_order=rival, knowing=sums(known)))
    worst = [
        Worst(
            cause=cause,
            sites=len(games),
            missed=sum(cause not in (*outcome.found, *outcome.botched) for outcome, _ in games),
            cost=round(_mean(outcome.cost for outcome, _ in games), 1),
            over_knowing=round(_mean(outcome.cost - best.cost for outcome, best in games), 1),
        )
        for cause, games in by_cause.items()
    ]
    worst.sort(key=lambda w: (-w.over_knowing, w.cause))
    return out, worst[:WORST]


def sums(games: list[Outcome]) -> Sums:
    """Return the means of some games."""
    return Sums(
        minutes=round(_mean(g.minutes for g in games), 1),
        call_outs=round(_mean(g.call_outs for g in games), 2),
        cost=round(_mean(g.cost for g in games), 1),
        solved=round(_mean(g.by != "specialist" for g in games), 2),
    )


def _mean(values: Iterable[float]) -> float:
    found = [float(v) for v in values]
    return sum(found) / len(found)


def _overall(served: list[Served]) -> Served | None:
    """Return the mean over complaints, each counted once."""
    if not served:
        return None

    def mean(each: Callable[[Served], Sums]) -> Sums:
        fields = ("minutes", "call_outs", "cost", "solved")
        return Sums(**{f: round(_mean(getattr(each(s), f) for s in served), 2) for f in fields})

    return Served(
        complaint="all",
        sites=sum(s.sites for s in served),
        ours=mean(lambda s: s.ours),
        in_order=mean(lambda s: s.in_order),
        knowing=mean(lambda s: s.knowing),
    )
