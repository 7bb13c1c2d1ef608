"""What is always seen of a fault: what defines it, and its broken rule by whatever reads that."""

from functools import lru_cache

from ..diagnosis.network import Network
from ..knowledge import graph


@lru_cache(4096)
def surely_shown(network: Network, cause_id: str) -> frozenset[str]:
    """Return the findings that are seen wherever a cause is at work: what defines it, and its broken rule by whatever reads that."""
    kb = network.kb
    cause = kb.causes[cause_id]
    out: set[str] = set()
    look = cause.defines
    if look and look.check and look.answer:
        out.add(graph.answer_node(look.check, look.answer))
    if look and look.rule and look.side:
        out.add(graph.side_node(look.rule, look.side))
    if cause.breaks:
        if cause.breaks.side:
            out.add(graph.side_node(cause.breaks.rule, cause.breaks.side))
        shown: dict[str, list[tuple[float, str]]] = {}
        for s in cause.shows:
            check = kb.checks.get(s.check or "")
            if check and s.answer and check.rule == cause.breaks.rule:
                shown.setdefault(check.id, []).append((-graph.strength(kb, s.strength), s.answer))
        out |= {graph.answer_node(c, min(own)[1]) for c, own in shown.items() if not (look and look.check == c)}
    return frozenset(out)
