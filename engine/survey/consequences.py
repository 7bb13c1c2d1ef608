"""What a broken rule leads to: the complaints that the causes behind the break bring about, with their chances."""

from msgspec import Struct

from .. import model
from ..advice import DIGITS
from ..diagnosis.network import Network, priors
from ..inference.noisy_or import NoisyOr
from ..inference.posterior import infer_by_fact
from ..knowledge import graph
from ..model import holds

LEAST = 1e-12  # a finding must have some leak; this one stands for none [prob]


class Leads(Struct, frozen=True, kw_only=True):
    """A complaint that a broken rule leads to, with its chance once it is broken [prob]; `side` is that of the break."""

    complaint: str
    p: float
    side: str | None = None


def leads_to(
    network: Network, rule: model.Rule, side: str | None, facts: dict[str, str], node: str = ""
) -> list[Leads]:
    """Return the complaints that a broken rule leads to, each with its chance given the break, likeliest first.

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

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> kb = load_kb()
    >>> leads_to(network_of(kb), kb.rules["standpipe-height"], "below", {"drain": "standpipe"})[0].complaint
    'siphons'
    """
    kb = network.kb
    node = node or (graph.side_node(rule.id, side) if side else "")
    shown = (
        network.shown.get(node, {})
        if node
        else {
            c.id: graph.strength(kb, c.breaks.strength)
            for c in kb.causes.values()
            if c.breaks and c.breaks.rule == rule.id
        }
    )
    breakers = sorted(c for c in shown if holds(kb.causes[c].when, facts) and kb.causes[c].kind != "normal")
    if not breakers:
        return []
    known, tables = priors(network, breakers, facts)
    index = {c: i for i, c in enumerate(breakers)}
    broken = NoisyOr(network.leak.get(node, graph.UNREAD_LEAK), {index[c]: shown[c] for c in breakers}, 1.0, 0.0)
    base = infer_by_fact(tables, known.shares, [broken]).marginal_likelihood
    out = []
    for complaint in kb.complaints:
        links = {index[c]: s for c, s in network.shown[f"complaint:{complaint}"].items() if c in index}
        if links:
            brings = NoisyOr(LEAST, links, 1.0, 0.0, complaint=True)
            p = infer_by_fact(tables, known.shares, [broken, brings]).marginal_likelihood / base
            out.append(Leads(complaint=complaint, p=round(p, DIGITS), side=side))
    return sorted(out, key=lambda x: (-x.p, x.complaint))
