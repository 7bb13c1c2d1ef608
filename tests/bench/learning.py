"""Numbers of one's own: what closed cases of a world whose numbers differ teach, beside the same cases with their causes and facts revealed.

Sites are drawn from a kb whose strengths, rates, leaks and shares are off by noise in log-odds, and walked by the shipped advice. What they
teach is scored on fresh cases of the same world, before anything is mended there: the log score of what really was at work.
"""

import time
from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from dryfloor.engine import model
from dryfloor.engine.case.events import Event
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.learning.backtest import scored
from dryfloor.engine.learning.counts import Counts, Parameters, counted
from dryfloor.engine.learning.em import Learned, learn
from dryfloor.engine.learning.lessons import CaseLesson, lesson_of
from dryfloor.engine.learning.numbers import with_numbers
from dryfloor.engine.learning.overlay import writable
from dryfloor.engine.simulation import world
from dryfloor.engine.simulation.simulator import Steps, played
from dryfloor.engine.simulation.world import Installation

from .perturb import perturbed
from .table import Table

SUMMARY = "what closed cases teach, of what the same cases would teach with everything at work revealed"
NOISE, SEED, AIM = 1.0, 61, 70.0
COMPLAINTS = ("siphons",)
SIZES, FRESH = (300, 3000), 1000
QUICK_SIZES, QUICK_FRESH = (60,), 60
ROLE: model.Role = "desk"


class Walked(Struct, frozen=True):
    """A site with what its case teaches, and what brought the complaint about."""

    site: Installation
    lesson: CaseLesson
    origins: frozenset[str]


def sites(true: Network, complaints: tuple[str, ...], count: int, seed: int) -> list[Installation]:
    """Return sites of which somebody complains, as often of each complaint as it is made in that world.

    Parameters
    ----------
    true : Network
    complaints : tuple of str
    count : int
        [-]
    seed : int
        [-]
    """
    rng = np.random.default_rng(seed)
    out: list[Installation] = []
    while len(out) < count:
        kept: dict[str, list[world.Drawn]] = {c: [] for c in complaints}
        world._draw(true, rng, kept)
        some = [(c, drawn) for c in complaints for drawn in kept[c]]
        for n in rng.permutation(len(some)):
            complaint, (origins, causes, facts) = some[n]
            name = f"{seed}|{len(out)}"
            out.append(Installation(name, facts, causes, {complaint: frozenset(origins)}))
    return out[:count]


def walked(true: Network, steps: Steps, some: list[Installation]) -> Iterator[Walked]:
    """Yield what each site's case teaches; what nobody solved is handed on, and nobody says what it was."""
    for site in some:
        outcome, events = played(true, site, ROLE, steps)
        lesson = lesson_of(steps.network.kb, [*events, *([] if outcome.solved else [Event(closed="handed-on")])])
        if isinstance(lesson, CaseLesson):
            yield Walked(site, lesson, frozenset().union(*site.origins.values()))


def revealed(one: Walked) -> CaseLesson:
    """Return a case with all that was at work, and every fact of the place, told."""
    facts = tuple(sorted(one.site.facts.items()))
    state = replace(one.lesson.state, facts=facts)
    return replace(one.lesson, state=state, at_work=tuple(sorted(one.site.causes)))


def scores(network: Network, fresh: list[Walked]) -> np.ndarray:
    """Return the log score of what was at work in each case that one thing brought about, before anything was mended [nat]."""
    out = []
    for one in fresh:
        if len(one.origins) < 2:
            found = scored(network, replace(one.lesson, truth=next(iter(one.origins), "")))
            out.append(found.log_score if found else np.nan)
    return np.array(out)


def taught(kb: model.KB, lessons: list[CaseLesson]) -> Learned:
    """Return what cases teach."""
    parameters = Parameters(Network(kb))

    def one_pass(numbers: dict[tuple[str, ...], float]) -> Counts:
        return counted(Network(with_numbers(kb, numbers)), parameters, lessons)

    return learn(kb, one_pass)


def foretold(kb: model.KB, learned: Learned, lessons: list[CaseLesson], fresh: list[Walked]) -> tuple[int, int]:
    """Return how many causes are at work in as many fresh cases as their 90 % interval says, and how many are expected in five or more.

    The interval holds the scatter of the fresh cases and that of the rate: a gamma distribution of what the cases and the judgement weigh.
    """
    seen = counted(Network(with_numbers(kb, learned.numbers)), learned.parameters, lessons)
    inside = count = 0
    for n, key in enumerate(learned.parameters.keys):
        mean = float(seen.yes[n]) / seen.cases * len(fresh)
        if key[0] == "rate" and mean >= 5:
            spread = np.sqrt(mean + mean**2 / float(seen.yes[n] + learned.prior.worth[n]))
            inside += abs(sum(key[1] in one.site.causes for one in fresh) - mean) <= 1.645 * spread
            count += 1
    return inside, count


def run(quick: bool) -> Table:
    """Learn from walked cases at several sizes, and score what was learned on fresh ones.

    Parameters
    ----------
    quick : bool
        Fewer cases.
    """
    kb = load_kb()
    true, steps = Network(perturbed(kb, NOISE, SEED)), Steps(Network(kb))
    sizes, fresh_count = (QUICK_SIZES, QUICK_FRESH) if quick else (SIZES, FRESH)
    start = time.process_time()
    cases = [*walked(true, steps, sites(true, COMPLAINTS, max(sizes), SEED * 1000 + 1))]
    fresh = [*walked(true, steps, sites(true, COMPLAINTS, fresh_count, SEED * 1000 + 2))]
    walking = time.process_time() - start
    before, best = scores(Network(kb), fresh), scores(true, fresh)
    rows, data = [], {}
    for size in sizes:
        some = cases[:size]
        start = time.process_time()
        ours = taught(kb, [one.lesson for one in some])
        took = time.process_time() - start
        full = taught(kb, [revealed(one) for one in some])
        kept = {k: ours.numbers[k] for k in writable(ours)}
        gains = [
            scores(Network(with_numbers(kb, numbers)), fresh) - before for numbers in (ours.numbers, kept, full.numbers)
        ]
        share = 100 * float(np.nanmean(gains[0]) / np.nanmean(gains[2]))
        held = foretold(kb, ours, [one.lesson for one in some], fresh)
        rate = size * len(ours.objective) / took
        known = sum(one.lesson.truth is not None for one in some)
        cells = [*map(_gain, gains), _gain(best - before)]
        rows.append([str(size), str(known), *cells, f"{share:.0f}", f"{held[0]} of {held[1]}", f"{rate:.0f}"])
        data[str(size)] = {"share": share, "gains": [float(np.nanmean(g)) for g in gains], "rate": rate}
    notes = [
        f"World of {NOISE} in log-odds, complaints {', '.join(COMPLAINTS)}, walked from the {ROLE} on by the shipped advice in "
        f"{walking:.0f} s of processor time; gains in the log score of what was at work [nat], each with its standard error, "
        f"on {len(fresh)} fresh cases. Aim: {AIM:.0f} in 100 of what the revealed cases teach.",
        "Revealed: all causes at work and all facts; what nobody looked at stays unknown. Cases a second of processor time, a pass.",
    ]
    return Table(
        title="Learning: what closed cases teach",
        columns=[
            "cases",
            "cause seen in",
            "gain",
            "gain of what is written",
            "gain with all at work revealed",
            "gain of the true numbers",
            "recovered [%]",
            "causes as often as foretold",
            "cases a second",
        ],
        rows=rows,
        notes=notes,
        data=data,
    )


def _gain(gains: np.ndarray) -> str:
    some = gains[~np.isnan(gains)]
    return f"{some.mean():+.3f} ± {some.std(ddof=1) / np.sqrt(len(some)):.3f}"
