"""What mending a case may need: each part with its chance and its sum, and whose work it is.

Chances are exact: of the causes whose remedy names a part, that at least one explains a complaint that still stands. A part is
brought where its chance times the cost of coming a second time exceeds what carrying it costs. Costs are homeowner minutes, and
judgement: `kb/roles.yaml` and `kb/parts.yaml` hold them, and a shop's own kb folder may hold others.
"""

from collections.abc import Iterable

from .. import model
from ..advice import DIGITS, Frozen
from ..advising.analysis import Analysis
from ..advising.wording import in_100
from ..case.state import State
from ..case.status import TURNED_OUT
from ..inference.posterior import any_of
from ..planning import roles

TRADES = ("technician", "plumber", "electrician")
# What carrying a part costs where the kb does not say, as a share of its price (judgement) [-].
CARRY_SHARE = 0.05
LEAST_CHANCE = 0.0005  # a chance below this is not worth a line
ENDED = ("solved", "reported-solved", "not-a-fault", TURNED_OUT)  # a case that ended so needs nothing any more


class PartNeed(Frozen, frozen=True, kw_only=True):
    """A part, for the trade whose work needs it: its chance, and the sum by which it is brought or left; costs in homeowner minutes."""

    part: str
    title: str
    by: str
    chance: float
    price: float
    second_visit: float
    carry: float
    bring: bool
    text: str


class Comer(Frozen, frozen=True, kw_only=True):
    """Whose work it is, with the chance that such work is needed."""

    trade: str
    title: str
    chance: float
    text: str


def needed(analysis: Analysis, causes: Iterable[str]) -> float:
    """Return the exact chance that at least one of some causes explains a complaint that still stands [prob]."""
    e = analysis.evidence
    ours = frozenset(i for i, c in enumerate(e.causes) if c in set(causes))
    if analysis.state.closed in ENDED:
        return 0.0
    if len(ours) == 1:
        return round(float(analysis.posterior.explains[next(iter(ours))]), DIGITS)
    return round(
        any_of(e.tables, e.facts.shares, e.findings, e.cures, ours, analysis.posterior.marginal_likelihood), DIGITS
    )


def whose_work(remedy: model.Remedy, state: State | None = None) -> str:
    """Return the trade that does a remedy once somebody comes: what anyone may do, a technician does there."""
    by = roles.work_of(remedy, state)
    return by if by in TRADES else "technician"


def second_visit(kb: model.KB) -> float:
    """Return what coming a second time costs [homeowner minutes]: as roles.yaml says, else a technician's call-out."""
    return (kb.roles.second_visit or roles.trade_card(kb, "technician").fee).n


def carrying(kb: model.KB, part: model.Part) -> float:
    """Return what carrying a part to a visit costs [homeowner minutes]."""
    return (part.carry.n if part.carry else CARRY_SHARE * part.price.n) * kb.roles.price_unit.n


def parts(analysis: Analysis) -> list[PartNeed]:
    """Return each part that may be needed, by the trade whose work needs it; those to bring first, likeliest first."""
    kb = analysis.network.kb
    users: dict[tuple[str, str], list[str]] = {}
    for i, c in enumerate(analysis.evidence.causes):
        # For what its own look denies nobody brings a part.
        if analysis.posterior.explains[i] > 0 and not roles.denied(analysis.network, analysis.state, kb.causes[c]):
            remedy = kb.causes[c].remedy
            for each in dict.fromkeys(remedy.parts):
                users.setdefault((each, whose_work(remedy, analysis.state)), []).append(c)
    out = []
    again = second_visit(kb)
    for (name, trade), causes in users.items():
        part = kb.parts[name]
        chance = needed(analysis, causes)
        if chance < LEAST_CHANCE:
            continue
        carry = carrying(kb, part)
        brought = chance * again > carry
        text = (
            f"{100 * chance:.1f} in 100 x {again:g} for a second visit = {chance * again:.1f}, "
            f"carrying it {carry:g}: {'bring' if brought else 'leave'}"
        )
        out.append(
            PartNeed(
                part=name, title=part.title, by=trade, chance=chance, price=part.price.n, second_visit=again,
                carry=round(carry, DIGITS), bring=brought, text=text,
            )
        )  # fmt: skip
    return sorted(out, key=lambda p: (TRADES.index(p.by), not p.bring, -p.chance, p.part))


def who(analysis: Analysis) -> list[Comer]:
    """Return whose work it may be, with the exact chance of each, likeliest first."""
    kb = analysis.network.kb
    causes: dict[str, list[str]] = {}
    for c in analysis.evidence.causes:
        causes.setdefault(roles.work_of(kb.causes[c].remedy, analysis.state), []).append(c)
    titles = {"anyone": "Whoever is there, no trade needed"} | {t: roles.trade_card(kb, t).title for t in TRADES}
    out = []
    for trade, names in causes.items():
        chance = needed(analysis, names)
        if chance >= LEAST_CHANCE:
            out.append(
                Comer(trade=trade, title=titles[trade], chance=chance, text=f"{titles[trade]}: {in_100(chance)}")
            )
    return sorted(out, key=lambda w: (-w.chance, w.trade))
