"""What was seen at an installation, held against a callback: which causes a break of then may have come from."""

from .. import model
from ..case.state import Earlier, State
from ..knowledge import graph
from ..measurement.readings import reading
from .network import Network


def broken_nodes(kb: model.KB, then: Earlier) -> list[str]:
    """Return the findings that an earlier reading makes by being broken: the answer that was seen, or the side of its rule.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> broken_nodes(load_kb(), Earlier("drip-rate", "dripping", "technician")), broken_nodes(load_kb(), Earlier("drip-rate", "dry", "technician"))
    (['answer:drip-rate:dripping'], [])
    """
    check = kb.checks[then.check]
    if check.kind != "measure":
        return [graph.answer_node(check.id, then.said)] if check.wrong(then.said) else []
    r = reading(kb, then.check, then.said, then.hands)
    return [graph.side_node(r.rule, r.verdict.side)] if r.verdict.side and r.verdict.state != "within" else []


def behind(network: Network, then: Earlier) -> set[str]:
    """Return the causes that a break of then may have come from; none where nothing was broken."""
    return {c for node in broken_nodes(network.kb, then) for c in network.shown[node]}


def leading_here(network: Network, state: State, then: Earlier) -> set[str]:
    """Return those of them that bring about what is complained of and still stands."""
    standing = [c for c in state.complaints if c not in dict(state.gone)]
    return behind(network, then) & {c for name in standing for c in network.shown[f"complaint:{name}"]}
