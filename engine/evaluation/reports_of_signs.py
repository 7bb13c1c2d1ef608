"""How many checks tell of each sign, and which checks tell of the same causes without a sign or a reason.

Two checks that most of their causes show are told as if they were two things. Where they are one, it is a sign; where they are not, the
check says what it tells beside the other.
"""

from collections.abc import Iterator
from itertools import combinations

from msgspec import Struct

from ..diagnosis.network import Network
from ..knowledge import graph

# From here on a cause mostly shows a finding, so many of them make two checks worth a comparison, and from this share on they tell of
# the same causes (judgement).
MOSTLY, ENOUGH, ALIKE = 0.5, 3, 2 / 3
HANDS = "technician"


class SignCount(Struct, frozen=True, kw_only=True):
    """A sign and the checks that report it or a kind of it."""

    sign: str
    title: str
    checks: list[str]


class Overlapping(Struct, frozen=True, kw_only=True):
    """Two checks that share most of their causes and no sign; why they are two, or an empty text [-]."""

    checks: list[str]
    share: float
    because: str


def reported(network: Network) -> list[SignCount]:
    """Return each sign with the checks that report it, those of most checks first.

    Parameters
    ----------
    network : Network

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> len(reported(Network(load_kb()))[0].checks) > 1
    True
    """
    kb = network.kb
    out = []
    for sign in kb.signs.values():
        kinds = {*network.kinds[sign.id]}
        checks = [c.id for c in kb.checks.values() if any(a.sign in kinds for a in c.answers.values())]
        out.append(SignCount(sign=sign.id, title=sign.title, checks=sorted(checks)))
    return sorted(out, key=lambda r: (-len(r.checks), r.sign))


def alike(network: Network) -> list[Overlapping]:
    """Return the pairs of checks that share most of the causes that mostly show by them, and no sign, those that share most first."""
    return sorted(_pairs(network), key=lambda a: (-a.share, a.checks))


def _pairs(network: Network) -> Iterator[Overlapping]:
    kb = network.kb
    told: dict[str, set[str]] = {}
    for check in kb.checks.values():
        if check.kind != "measure" and not check.only_proof:
            nodes = [graph.answer_node(check.id, name) for name in list(check.answers)[:-1]]
            links = [network.links(n, HANDS) for n in nodes if n in network.shown]
            told[check.id] = {c for by in links for c, s in by.items() if s >= MOSTLY}
    for one, other in combinations(sorted(c for c, causes in told.items() if len(causes) >= ENOUGH), 2):
        share = len(told[one] & told[other]) / len(told[one] | told[other])
        if share >= ALIKE and not _share_a_sign(network, one, other):
            because = kb.checks[one].beside.get(other) or kb.checks[other].beside.get(one) or ""
            yield Overlapping(checks=[one, other], share=round(share, 3), because=because)


def _share_a_sign(network: Network, one: str, other: str) -> bool:
    mine, theirs = ({a.sign for a in network.kb.checks[c].answers.values() if a.sign} for c in (one, other))
    return any(a in network.kinds[b] or b in network.kinds[a] for a in mine for b in theirs)
