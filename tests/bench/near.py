"""How near the best possible: each policy's expected cost to resolution against the exact optimum, on small views."""

import time

import numpy as np

from dryfloor.engine.advising.next_step import LEAST_GAIN
from dryfloor.engine.planning.ahead import choose_ahead, looked_ahead
from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import ActionValue, Decision

from .instances import ROLES, cuts, made_up
from .optimum import Optimum
from .policies import one_step, remedies_only, until_sure
from .table import Table

SUMMARY = "expected cost to resolution against the exact optimum by dynamic programming"
COUNT = 30
# States reached with less chance are closed at their optimum: a policy's cost is followed to within this share of its gap.
FLOOR = 1e-4
LIKELY = 0.5


def shipped(root, view):
    """The choice that the walk makes."""
    return choose_ahead(root, view, LEAST_GAIN)


def rollout(root, view):
    """The same choice, looked ahead for however many causes are alive, and past handing on."""
    return choose_ahead(root, view, LEAST_GAIN, most=10**6, handing_on=True)


def one_ply(root, view):
    """One step ahead with the entropy leaf."""
    return choose(root, view, LEAST_GAIN)


def fixed(order):
    """The trade's fixed order: the checks as they stand, and whatever is likelier than not by then is mended."""

    def policy(root, view):
        plain = remedies_only(root, view)
        chance = np.bincount(view.group, root)
        top = int(np.argmax(np.round(chance, 9)))
        one = int(np.flatnonzero(view.group == top)[0])
        fitting = sorted((m for m in view.mends if (view.needs[one] & m.cures).any()), key=lambda m: (m.cost, m.id))
        if chance[top] > LIKELY and fitting and not view.unlisted[one]:
            return Decision(ActionValue("remedy", fitting[0].id, 0.0))
        open_ = {q.id for q in view.questions}
        ask = next((name for name in order if name in open_), None)
        return Decision(ActionValue("question", ask, 0.0)) if ask else plain

    return policy


POLICIES = {
    "ours": lambda _: shipped,
    "rollout throughout": lambda _: rollout,
    "one ply, entropy leaf": lambda _: one_ply,
    "one step, remedies as leaf": lambda _: one_step,
    "ask until 95 % sure": lambda _: until_sure,
    "remedies only": lambda _: remedies_only,
    "the trade's fixed order": lambda i: fixed(i.order),
}


def gaps(instances):
    """Return for each policy the gap to the optimum at each instance, as a share of it, and how many choices were looked ahead."""
    out = {name: [] for name in POLICIES}
    ahead = []
    for instance in instances:
        best = Optimum(instance.root, instance.view)
        own = []
        for name, make in POLICIES.items():
            policy = counting(make(instance), own) if name == "ours" else make(instance)
            out[name].append(best.under(policy, FLOOR) / best.cost - 1)
        ahead += own
    return out, ahead


def counting(policy, ahead):
    """Return the same policy, noting whether each choice is looked ahead for."""

    def counted(root, view):
        ahead.append(looked_ahead(root, view))
        return policy(root, view)

    return counted


def run(quick: bool) -> Table:
    """Measure the gaps on both sets."""
    count = 3 if quick else COUNT
    rows, notes, data = [], [], {}
    for title, instances in (("random 8 x 10", [made_up(n) for n in range(count)]), ("cut from the kb", cuts(count))):
        start = time.perf_counter()
        found, ahead = gaps(instances)
        for name, own in found.items():
            by_role = [[g for g, i in zip(own, instances, strict=True) if i.role == role] for role in ROLES]
            rows.append(
                [
                    title,
                    name,
                    *(f"{100 * x:.2f}" for x in (np.mean(own), np.quantile(own, 0.95), max(own))),
                    f"{100 * np.mean(np.array(own) <= 0.02):.0f}",
                    " / ".join(f"{100 * np.mean(g):.2f}" if g else "-" for g in by_role),
                ]
            )
        data[title] = {"gaps": found, "instances": [i.name for i in instances]}
        mean, worst = 100 * np.mean(found["ours"]), 100 * max(found["ours"])
        notes.append(
            f"{title}: ours is {mean:.2f} % above the optimum in the mean (aim: within 1) and {worst:.2f} % at worst (aim: "
            f"within 3), over {len(instances)} instances; {100 * np.mean(ahead):.0f} % of its {len(ahead)} choices were "
            f"looked ahead for. {time.perf_counter() - start:.0f} s."
        )
    notes.append(
        "The optimum may hand on as the policies do, keeps the same permissions, and prices handing on by the next role's "
        f"own optimum. States reached with a chance under {FLOOR:g} count at their optimum. In the fixed order whatever is "
        "likelier than not is mended."
    )
    columns = [
        "set",
        "policy",
        "mean gap [%]",
        "95th percentile [%]",
        "worst [%]",
        "within 2 % [%]",
        f"mean by role ({' / '.join(ROLES)}) [%]",
    ]
    return Table(title="Near the best", columns=columns, rows=rows, notes=notes, data=data)
