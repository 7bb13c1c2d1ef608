"""What a line of a sheet is worth at a new installation: the callback cost that it prevents, overlaps counted.

A fault that is there at a new installation here, with the chance that the look finds it, times what its callback costs. Rates, strengths
and fees are the kb's, all judgement; so shares and orders are, too.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .. import model
from ..diagnosis.network import Network, priors
from ..inference.posterior import infer_by_fact
from ..inference.potentials import Array
from ..knowledge import graph
from ..model import holds
from ..survey.consequences import callback_cost, complains


@dataclass(frozen=True)
class Worth:
    """What each of some lines is worth.

    Parameters
    ----------
    lines : list of str
        Checks.
    causes : list of str
    stake : array (causes,)
        Chance of a cause at a new installation here, times that of a callback, times its cost [homeowner minutes].
    finds : array (lines, causes)
        Chance that a line finds a cause that is at work [prob].
    """

    lines: list[str]
    causes: list[str]
    stake: Array
    finds: Array

    def prevented(self, some: list[str]) -> float:
        """Return the cost that some lines prevent together: a fault that two of them find is found once [homeowner minutes].

        Examples
        --------
        >>> import numpy as np
        >>> two = Worth(["a", "b"], ["c"], np.array([100.0]), np.array([[0.5], [0.5]]))
        >>> two.prevented(["a"]), two.prevented(["a", "b"])
        (50.0, 75.0)
        """
        return float(self.stake.sum() - self.left(some).sum())

    def left(self, some: list[str]) -> Array:
        """Return what each cause still costs once some lines were seen [homeowner minutes]."""
        rows = [self.row[name] for name in some if name in self.row]
        return self.stake * np.prod(1 - self.finds[rows], axis=0) if rows else self.stake.copy()

    @cached_property
    def row(self) -> dict[str, int]:
        """Line -> its row."""
        return {name: n for n, name in enumerate(self.lines)}


def counts(cause: model.Cause) -> bool:
    """Return whether a finished installation can have a cause at all: what is healthy is no fault, and habits come later.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> causes = load_kb().causes
    >>> [counts(causes[c]) for c in ("restraints-left-in", "first-run-skipped", "drum-overfilled", "pump-hum")]
    [True, True, False, False]
    """
    return cause.kind in ("install", "site", "machine") or (cause.kind == "use" and cause.when.get("onset") == "new")


def worth(network: Network, checks: list[model.Check], hands: str, facts: dict[str, str]) -> Worth:
    """Return what some lines are worth in some hands at a site.

    Parameters
    ----------
    network : Network
    checks : list of Check
    hands : str
    facts : dict
        What is known of the site; `onset` says that it is new.
    """
    kb = network.kb
    here = sorted(c.id for c in kb.causes.values() if counts(c) and holds(c.when, facts))
    known, tables = priors(network, here, facts)
    chance = infer_by_fact(tables, known.shares, []).present if here else np.zeros(0)
    each = [complains(network, c) * callback_cost(kb, kb.causes[c]) for c in here]
    finds = np.array([[found(network, check, c, hands) for c in here] for check in checks]).reshape(
        len(checks), len(here)
    )
    return Worth([c.id for c in checks], here, np.asarray(chance) * np.array(each), finds)


def found(network: Network, check: model.Check, cause: str, hands: str) -> float:
    """Return the chance that a check finds a cause that is at work [prob].

    A look finds it by any answer but the normal one, a measurement by either broken side, as the cause shows them. A proof fails as
    surely as the trouble that it watches for comes about (judgement: a run shows what a household would see).
    """
    kb = network.kb
    kept = 1.0
    for node in nodes_of(kb, check):
        if node in network.shown:
            kept *= 1 - network.links(node, hands).get(cause, 0.0)
    if check.only_proof and kb.causes[cause].proof.check == check.id:
        kept = min(kept, 1 - max(network.shown[f"complaint:{c}"].get(cause, 0.0) for c in kb.complaints))
    return 1 - kept


def nodes_of(kb: model.KB, check: model.Check) -> list[str]:
    """Return the findings that a check can make: either broken side of a measurement, every answer of a look but the normal one."""
    if check.kind == "measure":
        rule = kb.rules[check.rule or ""]
        return [graph.side_node(rule.id, side) for side in graph.sides(rule)]
    return [graph.answer_node(check.id, a) for a in list(check.answers)[:-1]]
