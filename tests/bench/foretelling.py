"""Whether what is foretold comes so often: intervals of the cases to come, over many worlds whose numbers differ from the judgement.

Each world is the shipped kb with its numbers off by noise in log-odds. Some cases of one complaint are drawn there and walked by the shipped
advice; from them is foretold how often each cause and each circumstance will be there in the next thousand, which are then drawn.
"""

import numpy as np

from dryfloor.engine import model
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.learning.certainty import DRAWS, Foretold, drawn, foretold, information, together
from dryfloor.engine.learning.lessons import CaseLesson
from dryfloor.engine.learning.numbers import with_numbers
from dryfloor.engine.simulation.simulator import Steps
from dryfloor.engine.simulation.world import Installation

from .learning import NOISE, sites, taught, walked
from .perturb import perturbed
from .table import Table

SUMMARY = "how often the next cases fall into the intervals that are foretold of them"
COMPLAINTS = ("siphons", "walks", "no-drain", "slow-fill")
SIZES, QUICK_SIZES = (60, 300), (60,)
WORLDS, QUICK_WORLDS = 8, 3
NEXT = 1000
# What is expected in fewer cases is left out: an interval from none to few says little [cases].
LEAST = 5.0
SEED = 2000
AIM = "85 to 95"
Key = tuple[str, int, str]


def came(site: Installation, complaint: str, key: list[str]) -> bool:
    """Return whether a thing that was foretold is so at a site."""
    if key[0] == "fact":
        return site.facts[key[1]] == key[2]
    origins = site.origins[complaint]
    return key[1] in origins if key[1] else not origins


def intervals(kb: model.KB, complaint: str, lessons: list[CaseLesson]) -> list[Foretold]:
    """Return what some cases foretell of the next ones of a complaint; of none it is what the judgement foretells.

    Parameters
    ----------
    kb : KB
    complaint : str
    lessons : list of CaseLesson
    """
    learned = taught(kb, lessons)
    chosen = together(learned)
    network = Network(with_numbers(kb, learned.numbers))
    info = information(network, learned.parameters, learned.vector, chosen, lessons)
    vectors = drawn(learned.parameters, learned.prior, learned.vector, chosen, info, DRAWS)
    return foretold(kb, map(learned.parameters.numbers, vectors), [complaint], NEXT)


def held(kb: model.KB, steps: Steps, complaint: str, size: int, seed: int) -> list[tuple[str, bool]]:
    """Return of one world whether each interval held what came: of causes, of what is not listed, of circumstances.

    Parameters
    ----------
    kb : KB
        As it is judged.
    steps : Steps
        The shipped advice, and what it worked out so far.
    complaint : str
    size : int
        Cases that are learned from [-].
    seed : int
        Of the world [-].
    """
    true = Network(perturbed(kb, NOISE, seed))
    some = [one.lesson for one in walked(true, steps, sites(true, (complaint,), size, 1000 * seed + 1))]
    fresh = sites(true, (complaint,), NEXT, 1000 * seed + 2)
    out = []
    for told in intervals(kb, complaint, some):
        if told.mean >= LEAST:
            kind = "circumstance" if told.key[0] == "fact" else "cause"
            out.append((kind, told.low <= sum(came(site, complaint, told.key) for site in fresh) <= told.high))
    return out


def run(quick: bool) -> Table:
    """Foretell in many worlds, and count.

    Parameters
    ----------
    quick : bool
        Fewer worlds.
    """
    kb = load_kb()
    steps = Steps(Network(kb))
    worlds, sizes = (QUICK_WORLDS, QUICK_SIZES) if quick else (WORLDS, SIZES)
    found: dict[Key, list[list[tuple[str, bool]]]] = {}
    for number, complaint in enumerate(COMPLAINTS):
        for size in sizes:
            seeds = range(SEED + 100 * number, SEED + 100 * number + worlds)
            each = [held(kb, steps, complaint, size, seed) for seed in seeds]
            for kind in ("cause", "circumstance"):
                found[complaint, size, kind] = [[pair for pair in own if pair[0] == kind] for own in each]
    rows = []
    for size in sizes:
        for complaint in (*COMPLAINTS, "all of them"):
            keys = [k for k in found if k[1] == size and complaint in (k[0], "all of them")]
            rows.append(
                [
                    str(size),
                    complaint,
                    *(share([w for k in keys if k[2] == kind for w in found[k]]) for kind in ("cause", "circumstance")),
                ]
            )
    whole = {
        kind: share([w for k, own in found.items() if k[2] == kind for w in own]) for kind in ("cause", "circumstance")
    }
    both = share([w for own in found.values() for w in own])
    return Table(
        title="Learning: what is foretold of the next cases",
        columns=["cases learned from", "complaint", "causes inside [%]", "circumstances inside [%]"],
        rows=[*rows, ["all", "all of them", whole["cause"], whole["circumstance"]]],
        notes=[
            f"{worlds} worlds of {NOISE} in log-odds for each complaint and size, {NEXT:,} fresh cases each; everything of which {LEAST:.0f} or more were expected. "
            f"All together: {both}. Aim: {AIM} in 100.",
            "In brackets how many intervals, and the 90 % interval of the share, worlds being drawn again as wholes (those of one world hang together).",
        ],
        data={"inside": {"+".join(map(str, k)): [sum(b for _, b in w) for w in own] for k, own in found.items()}},
    )


def share(worlds: list[list[tuple[str, bool]]]) -> str:
    """Return how many intervals of 100 held what came, of how many, and between what that share is known.

    Examples
    --------
    >>> share([[("cause", True)], [("cause", True), ("cause", True)]])
    '100 (3: 100 to 100)'
    """
    hits = np.array([sum(inside for _, inside in own) for own in worlds], dtype=float)
    count = np.array([len(own) for own in worlds], dtype=float)
    if not count.sum():
        return ""
    rng = np.random.default_rng(1)
    drawn_again = rng.integers(0, len(worlds), (2000, len(worlds)))
    shares = hits[drawn_again].sum(axis=1) / np.maximum(count[drawn_again].sum(axis=1), 1)
    low, high = np.quantile(shares, (0.05, 0.95))
    return f"{100 * hits.sum() / count.sum():.0f} ({count.sum():.0f}: {100 * low:.0f} to {100 * high:.0f})"
