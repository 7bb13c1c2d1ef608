"""What a broken rule leads to: the causes behind the break, the complaints that they bring about, and what a callback costs."""

from msgspec import Struct

from .. import model
from ..advice import DIGITS
from ..diagnosis.network import Network, priors
from ..inference.noisy_or import NoisyOr
from ..inference.posterior import infer_by_fact
from ..knowledge import graph
from ..measurement.readings import gross_error
from ..model import holds
from ..planning.roles import trade_card

LEAST = 1e-12  # a finding must have some leak; this one stands for none [prob]


class Leads(Struct, frozen=True, kw_only=True):
    """A complaint that a broken rule leads to, with its chance once it is broken [prob]; `side` is that of the break."""

    complaint: str
    p: float
    side: str | None = None


def shown_by(network: Network, rule: model.Rule, side: str | None, node: str = "") -> dict[str, float]:
    """Return the causes that show as a break, with their strengths: by the answer that was seen, else by the rule's own side."""
    kb = network.kb
    node = node or (graph.side_node(rule.id, side) if side else "")
    if node:
        return network.shown.get(node, {})
    return {
        c.id: graph.strength(kb, c.breaks.strength) for c in kb.causes.values() if c.breaks and c.breaks.rule == rule.id
    }


def harmless(network: Network, node: str) -> float:
    """Return how often a state is there with no cause at work [prob]: as often as it is reported so, less the reports that are wrong.

    A sheet's look says what is there. A bolt that is reported in 2 of 1000 sound machines is an error of the eyes, which the best
    hands make in 5 of 1000: a bolt that *is* there always holds the tub. A hose without a tie is seen in 120 of 1000 houses and
    mostly stays where it is.
    """
    leak = network.leak.get(node, graph.UNREAD_LEAK)
    if node.startswith("answer:"):
        leak -= min(gross_error(network.kb, hands) for hands in ("homeowner", "technician"))
    return max(leak, LEAST)


def behind_break(
    network: Network, rule: model.Rule, side: str | None, facts: dict[str, str], node: str = ""
) -> dict[str, float]:
    """Return the causes that may be behind a break, each with its chance given that the break is there, likeliest first [prob].

    Parameters
    ----------
    network, rule, side, facts, node
        As in `leads_to`.
    """
    found = _given_break(network, rule, side, facts, node)
    if found is None:
        return {}
    breakers, known, tables, broken = found
    present = infer_by_fact(tables, known.shares, [broken]).present
    return dict(sorted(((c, float(p)) for c, p in zip(breakers, present, strict=True)), key=lambda x: (-x[1], x[0])))


def leads_to(
    network: Network, rule: model.Rule, side: str | None, facts: dict[str, str], node: str = ""
) -> list[Leads]:
    """Return the complaints that a broken rule leads to, each with its chance given that it *is* broken, likeliest first.

    Parameters
    ----------
    network : Network
    rule : Rule
    side : str or None
        Side on which it is broken; None for a rule that is seen.
    facts : dict
        What is known of the site.
    node : str
        The answer that was seen, where one was; else the causes that break the rule are taken.

    Returns
    -------
    list of Leads
        P(the break brings the complaint about | broken) = P(broken, and a cause of the break sets off the complaint) / P(broken), both
        exact. A rule that is broken for a reason of its own, with no cause at work, leads to nothing; so the sum may be well below one.
        How often that is, `harmless` says.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> kb = load_kb()
    >>> leads_to(network_of(kb), kb.rules["standpipe-height"], "below", {"drain": "standpipe"})[0].complaint
    'siphons'
    >>> bolts = leads_to(network_of(kb), kb.rules["restraints-out"], None, {"onset": "new"}, "answer:restraints-left:bolts-or-rods")
    >>> bolts[0].complaint, round(bolts[0].p, 2)
    ('walks', 0.98)
    """
    found = _given_break(network, rule, side, facts, node)
    if found is None:
        return []
    breakers, known, tables, broken = found
    index = {c: i for i, c in enumerate(breakers)}
    base = infer_by_fact(tables, known.shares, [broken]).marginal_likelihood
    out = []
    for complaint in network.kb.complaints:
        links = {index[c]: s for c, s in network.shown[f"complaint:{complaint}"].items() if c in index}
        if links:
            brings = NoisyOr(LEAST, links, 1.0, 0.0, complaint=True)
            p = infer_by_fact(tables, known.shares, [broken, brings]).marginal_likelihood / base
            out.append(Leads(complaint=complaint, p=round(p, DIGITS), side=side))
    return sorted(out, key=lambda x: (-x.p, x.complaint))


def _given_break(network: Network, rule: model.Rule, side: str | None, facts: dict[str, str], node: str):  # type: ignore[no-untyped-def]
    """Return the causes that can be behind a break here, the facts that bear on them, their chances, and the break as a finding."""
    kb = network.kb
    shown = shown_by(network, rule, side, node)
    breakers = sorted(c for c in shown if holds(kb.causes[c].when, facts) and kb.causes[c].kind != "normal")
    if not breakers:
        return None
    known, tables = priors(network, breakers, facts)
    node = node or (graph.side_node(rule.id, side) if side else "")
    links = {i: shown[c] for i, c in enumerate(breakers)}
    return breakers, known, tables, NoisyOr(harmless(network, node) if node else graph.UNREAD_LEAK, links, 1.0, 0.0)


def complains(network: Network, cause: str) -> float:
    """Return the chance that a cause, once it is at work, is complained of at all [prob]."""
    kept = 1.0
    for complaint in network.kb.complaints:
        kept *= 1 - network.shown[f"complaint:{complaint}"].get(cause, 0.0)
    return 1 - kept


def callback_cost(kb: model.KB, cause: model.Cause) -> float:
    """Return what the callback for a cause costs [homeowner minutes]: the technician's call-out, the mend, its parts, and a trade's own call-out.

    Fees, rates and prices are those of roles.yaml and parts.yaml: judgement. What water spoils and what hurts is in no number here; that
    is what must be seen whatever the sum says.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> callback_cost(kb, kb.causes["restraints-left-in"])
    127.5
    """
    remedy = cause.remedy
    by: model.Trade = "technician" if remedy.by == "anyone" else remedy.by
    cost = trade_card(kb, "technician").fee.n + remedy.minutes * trade_card(kb, by).per_minute.n
    cost += sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
    return cost + (trade_card(kb, by).fee.n if by != "technician" else 0.0)


def saved(network: Network, behind: dict[str, float]) -> float:
    """Return the callback cost that a mend prevents [homeowner minutes].

    Parameters
    ----------
    network : Network
    behind : dict
        Cause -> chance that it is at work, from `behind_break`.
    """
    kb = network.kb
    return sum(p * complains(network, c) * callback_cost(kb, kb.causes[c]) for c, p in behind.items())
