"""How right the posterior is: the engine's beside pyAgrum's, pgmpy's, exact whole numbers, and every world listed.

The references work on a network made of the kb's records (`twolayer`), not on what the engine compiles of them.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack

import numpy as np
from msgspec import Struct

from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.inference.noisy_or import NoisyOr
from dryfloor.engine.inference.posterior import infer, infer_by_fact
from dryfloor.engine.knowledge.load import load_kb

from . import exact
from .cases import case, random_network
from .libraries import MEMORY, NAMES, Library, installed
from .table import Table
from .tabular import Form
from .twolayer import TwoLayer

SUMMARY = "the posterior is exact: it agrees with two libraries, whole numbers of 256 bits, and every world listed"
AIM = 1e-9
FORMS: dict[Form, str] = {"written": "as written", "folded": "folded by hand"}
SHIPPED, RANDOM = "shipped kb", "random networks"
WHOLE, WORLDS = "whole numbers, 256 bits", "every world"


class Size(Struct, frozen=True):
    """How much is compared: complaints, numbers of positives, random networks, seconds for a library, terms for whole numbers.

    Of the numbers of positives each complaint takes every `every`-th, beginning with another one than the complaint before.
    """

    complaints: int
    positives: tuple[int, ...]
    networks: int
    seconds: float
    terms: int
    every: int = 1


FULL = Size(99, tuple(range(1, 13)), 48, 5.0, 400_000, 2)
QUICK = Size(2, (1, 5, 12), 6, 2.0, 200_000)


class Posed(Struct, frozen=True):
    """A network with what the engine says of it: cause -> chance that it is present, and that it explains the complaint."""

    kind: str
    network: TwoLayer
    present: dict[str, float]
    explains: dict[str, float]


class Tally(Struct):
    """What came of one reference on one kind of network."""

    ran: int = 0
    memory: int = 0
    time: int = 0
    other: int = 0
    most: float = 0.0
    explains: float = 0.0
    positives: list[int] = []
    causes: list[int] = []

    def enter(self, posed: Posed, present: dict[str, float], explains: dict[str, float] | None = None) -> None:
        """Enter what a reference says of a network."""
        assert present.keys() == posed.present.keys()
        self.ran += 1
        self.positives.append(posed.network.positives)
        self.causes.append(len(posed.network.causes))
        self.most = max([self.most, *(abs(p - present[c]) for c, p in posed.present.items())])
        if explains is not None:
            self.explains = max([self.explains, *(abs(p - explains[c]) for c, p in posed.explains.items())])


def shipped(network: Network, complaints: list[str], size: Size) -> Iterator[Posed]:
    """Return cases of the kb: each complaint with its numbers of positives, facts known in every other one."""
    for k, complaint in enumerate(complaints):
        for i, n in enumerate(size.positives[k % size.every :: size.every]):
            rng = np.random.default_rng([1, k, n])
            state, made = case(network, complaint, n, (k // 2 + i) % 2 == 0, rng)
            e = gather_evidence(network, state)
            p = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
            yield Posed(SHIPPED, made, _named(e.causes, p.present), _named(e.causes, p.explains))


def drawn(size: Size) -> Iterator[Posed]:
    """Return random networks: every other one small enough that all its worlds can be listed."""
    for k in range(size.networks):
        rng = np.random.default_rng([2, k])
        made = random_network(rng, int(rng.integers(6, 15) if k % 2 else rng.integers(20, 41)), 1 + 5 * k % 12)
        names = [*made.causes]
        at = {c: i for i, c in enumerate(names)}
        findings = [
            NoisyOr(s.leak, {at[c]: x for c, x in s.links.items()}, s.on, s.off, complaint=name == made.complaint)
            for name, s in made.seen.items()
        ]
        prior = np.array([cause.chance for cause in made.causes.values()]).T
        p = infer(prior, np.array(made.facts["state"]), findings)
        yield Posed(RANDOM, made, _named(names, p.present), _named(names, p.explains))


def _named(names: list[str], values: np.ndarray) -> dict[str, float]:
    return {c: float(v) for c, v in zip(names, values, strict=True)}


def compare(posed: Iterator[Posed], size: Size, libraries: list[str]) -> dict[tuple[str, str], Tally]:
    """Return the tallies of every reference, by kind of network and name of the reference."""
    out: dict[tuple[str, str], Tally] = {}
    with ExitStack() as stack:
        held = [stack.enter_context(Library(name)) for name in libraries]
        for each in posed:
            for library in held:
                for form, said in FORMS.items():
                    tally = out.setdefault((each.kind, f"{NAMES[library.name]}, {said}"), Tally())
                    found = library.ask(each.network, form, size.seconds)
                    if found.status == "ok":
                        tally.enter(each, found.present)
                    else:
                        tally.memory += found.status == "memory"
                        tally.time += found.status == "time"
                        tally.other += found.status not in ("memory", "time")
            for name, way in ((WHOLE, _whole(size.terms)), (WORLDS, exact.every_world)):
                tally = out.setdefault((each.kind, name), Tally())
                try:
                    tally.enter(each, *way(each.network))
                except exact.TooMany:
                    tally.other += 1
    return out


def _whole(most: int) -> Callable[[TwoLayer], exact.Exact]:
    def way(network: TwoLayer) -> exact.Exact:
        if exact.terms(network) > most:
            raise exact.TooMany(f"{exact.terms(network)} terms, at most {most}")
        return exact.whole_numbers(network)

    return way


def run(quick: bool) -> Table:
    """Compare the engine's posterior with every reference that can be had here."""
    size = QUICK if quick else FULL
    network = Network(load_kb())
    complaints = [*network.kb.complaints][: size.complaints]
    names = installed()
    tallies = compare(_both(network, complaints, size), size, names)
    cases = {
        SHIPPED: sum(len(size.positives[k % size.every :: size.every]) for k in range(len(complaints))),
        RANDOM: size.networks,
    }
    return table(tallies, cases, [NAMES[n] for n in NAMES if n not in names], size)


def _both(network: Network, complaints: list[str], size: Size) -> Iterator[Posed]:
    yield from shipped(network, complaints, size)
    yield from drawn(size)


def table(tallies: dict[tuple[str, str], Tally], cases: dict[str, int], missing: list[str], size: Size) -> Table:
    """Return the table of some tallies."""
    rows = []
    for (kind, name), t in sorted(tallies.items(), key=lambda item: item[0][0] != SHIPPED):
        difference = f"{t.most:.0e}" if t.ran else "-"
        if t.explains:
            difference += f" (explains: {t.explains:.0e})"
        rows.append(
            [
                kind,
                name,
                f"{t.ran} of {cases[kind]}",
                _range(t.positives),
                _range(t.causes),
                str(t.memory),
                str(t.time),
                str(t.other),
                difference,
            ]
        )
    most = max((t.most for t in tallies.values()), default=0.0)
    met = "met" if most < AIM else "MISSED"
    unheld = sum(t.other for (_, name), t in tallies.items() if name not in (WHOLE, WORLDS))
    notes = [
        f"Aim: no cause's posterior differs by {AIM:.0e} or more from any reference. Largest difference {most:.0e}: {met}.",
        f"{cases.get(SHIPPED, 0)} cases over the complaints with {size.positives[0]} to {size.positives[-1]} positive findings and up to 4 normal answers; all facts known "
        "in every other case, none in the rest. Networks are made of the kb's records, pruned to the ancestors of the evidence.",
        "As written: every finding has all its causes as parents. Folded by hand: what factors by cause is folded into the causes' own "
        "evidence, other findings are chains of ORs with two parents.",
        f"A library's query had {MEMORY >> 30} GB beside the library itself, and {size.seconds:.0f} s. pgmpy eliminates variables, cause by cause.",
        f"Whole numbers: the alternating sum over sets of findings, up to {size.terms} terms; every world: up to {exact.MOST_WORLDS} causes; "
        "'left out' counts what was larger.",
    ]
    if unheld:
        notes.append(f"{unheld} queries ended in an error of the library that is neither memory nor time.")
    if missing:
        notes.append(f"Not installed here, so not compared: {', '.join(missing)} (extra `bench`).")
    unseen = {k: sum(1 for (kind, n), t in tallies.items() if kind == k and t.ran) for k in cases}
    data = {f"{kind}: {name}": t for (kind, name), t in tallies.items()}
    return Table(
        title="Right: the posterior against other ways to the same number",
        columns=[
            "cases",
            "reference",
            "compared",
            "positives",
            "causes",
            "out of memory",
            "out of time",
            "left out",
            "largest difference",
        ],
        rows=rows,
        notes=notes,
        data={
            "largest": most,
            "references": unseen,
            **{
                k: {f: getattr(t, f) for f in ("ran", "memory", "time", "other", "most", "explains")}
                for k, t in data.items()
            },
        },
    )


def _range(values: list[int]) -> str:
    return f"{min(values)} to {max(values)}" if values else "-"
