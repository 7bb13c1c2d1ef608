"""What a role may do from here: permitted checks, facts and remedies with their prices, and handing on.

Permissions and safety are filters in front of the choice, never weights in it. They follow the hands at the machine: with a
caller there, the desk may ask for no more than a homeowner may do.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from .. import effort, model
from ..case.state import State
from ..diagnosis.evidence import Evidence
from ..diagnosis.network import Network, report_rates
from ..diagnosis.scenarios import Scenarios
from ..diagnosis.signs import ToldSign, reported_signs, told
from ..inference.signs import Reported, chance_of_next
from ..knowledge import graph
from ..measurement.readings import gross_error
from ..model import holds
from .problem import DecisionProblem, Referral, Repair, Test
from .roles import (
    OTHERS_MINUTES,
    askable,
    check_minutes,
    condition,
    denied,
    may_mend,
    minute_price,
    minutes_of,
    open_checks,
    role_card,
    second_look,
    senseless,
    trade_card,
    work_of,
)

# Less is not believed of anything that has to be asked and answered (judgement); a bit must not be had for nothing [minutes].
LEAST_MINUTES = 0.1
# So many times the head of the first question the next may take at most (judgement): what is worth that is asked, however late [-].
MOST_HEAD = 5
# So many earlier reports of one sign are heeded when the next is foreseen [-].
MOST_BEFORE = 4
# From here on a cause that was looked for and not seen is looked for once more, by better hands or another day (judgement) [prob].
ANOTHER_LOOK = 0.1
# How long the last in the chain works on what no kb entry names (judgement) [minutes].
UNLISTED_MINUTES = 60.0


class Findings:
    """The chances of findings in the same scenarios, each worked out once for all roles' views of them.

    Parameters
    ----------
    network : Network
    causes : list of str
    present : array (scenarios, causes) of bool
        What is at work in each scenario.
    reports : list of ToldSign, optional
        What was said of signs so far: of what was said, the next report is expected to say the same.
    epoch : int
        How many remedies have been done.
    """

    def __init__(
        self, network: Network, causes: list[str], present: Any, reports: Sequence[ToldSign] = (), epoch: int = 0
    ) -> None:
        self.network = network
        self.reports = reports
        self.epoch = epoch
        self.count = len(present)
        self._column = {c: n for n, c in enumerate(causes)}
        self._present = present.astype(float)
        self._on: dict[tuple[str, str], Any] = {}

    def on(self, node: str, hands: str) -> Any:
        """Return P(finding is on | scenario) as some hands report it, shape (scenarios,)."""
        effort.spend(20 * len(self._column) + self._present.size // 4)  # whether it is remembered or not
        found = self._on.get((node, hands))
        if found is None and node in self.network.sign_at and self.reports:
            found = self._on[node, hands] = self._next_report(node, hands)
        if found is None:
            logs = np.zeros(len(self._column))
            for cause, strength in self.network.links(node, hands).items():
                if cause in self._column:
                    logs[self._column[cause]] = np.log1p(-strength)
            found = self._on[node, hands] = 1 - (1 - self.network.leak_of(node, hands)) * np.exp(self._present @ logs)
        return found

    def _next_report(self, node: str, hands: str) -> Any:
        """Return P(an answer that reports a sign | scenario), given what was said of the sign and its kinds so far."""
        sign, kind = self.network.sign_at[node]
        own = self.network.reporting[node]
        hit, false_alarm = report_rates(self.network.kb, hands, kind)
        before = [r for r in self.reports if {*r.of} & {*own}][-MOST_BEFORE:]
        next_one = ToldSign(sign, True, hands, self.epoch, hit, false_alarm, own)
        ((_, group),) = reported_signs(self.network, [*before, next_one], self._column)
        effort.spend(self.count * len(group.causes) * 2 ** len(group.said))
        reports = list(group.reports)
        last = reports.pop()
        member = self._present[:, group.causes]
        return chance_of_next(Reported(group.signs, tuple(reports)), last, member)


def decision_problem(
    network: Network,
    state: State,
    evidence: Evidence,
    scenarios: Scenarios,
    role: str,
    hands: str,
    onward: bool = True,
    seen: Findings | None = None,
) -> DecisionProblem:
    """Return what a role with some hands may do over the scenarios.

    Parameters
    ----------
    net, state, evidence, scenarios
        The case so far.
    role, hands : str
        Whose view.
    onward : bool
        Price handing on by the next role's view; else by its fee alone.
    seen : Findings, optional
        Those of the view of an earlier role over the same scenarios: what their hands report is worked out for each.
    """
    kb = network.kb
    seen = seen or Findings(network, evidence.causes, scenarios.present, told(network, state), state.epoch)
    rate = minute_price(kb, role, hands)
    listed = np.flatnonzero(scenarios.needs.any(axis=0))
    about = [c for c in graph.relevant(network.graph, list(state.complaints)) if c in evidence.causes]
    questions = []
    before = asked(state, hands)
    checks = {c.id: c for c in open_checks(network, state, about, hands)}
    if hands == state.hands:  # whoever comes next is not yet there to say what they would look at again
        for i in np.flatnonzero(scenarios.weight @ scenarios.needs >= ANOTHER_LOOK):
            again = second_look(network, state, kb.causes[evidence.causes[i]], hands)
            if again is not None:
                checks.setdefault(again.id, again)
    for check in checks.values():
        price = asking(kb, check_minutes(check, hands), before) * rate
        questions.append(Test(f"check:{check.id}", price, outcomes(seen, check, hands)))
    questions += _facts(network, state, evidence, scenarios, rate, hands)
    mends = []
    for i in listed:
        mend = _mend(network, state, evidence.causes[i], role, hands, rate)
        if mend:
            cures = np.zeros(len(evidence.causes), dtype=bool)
            cures[i] = True
            name, price, chance, look, looking = mend
            vain = kb.roles.in_vain.n if kb.roles.in_vain else 0.0
            mends.append(Repair(name, price, cures, chance, look, looking, vain))
    card = role_card(kb, role)
    count = len(scenarios.weight)
    if card.hand_on_to == "technician" and onward:
        hand = Referral(
            np.zeros(count),
            decision_problem(network, state, evidence, scenarios, "technician", "technician", seen=seen),
            card.hand_on_fee.n,
        )
    else:
        work = _last_work(kb, state, evidence, scenarios)
        unlisted = np.where(scenarios.unlisted, UNLISTED_MINUTES * trade_card(kb, "specialist").per_minute.n, 0.0)
        hand = Referral(card.hand_on_fee.n + scenarios.needs @ work + unlisted, work=work)
    keys = {needs: n for n, needs in enumerate(dict.fromkeys(_keys(scenarios)))}
    group = np.array([keys[k] for k in _keys(scenarios)], dtype=np.intp)
    return DecisionProblem(questions, mends, hand, scenarios.needs, scenarios.unlisted, group)


def asking(kb: model.KB, minutes: float, before: int = 0) -> float:
    """Return what one more question takes of whoever answers: its own time, and the head it costs [minutes].

    Parameters
    ----------
    kb : KB
    minutes : float
        Its own time [minutes].
    before : int
        How many questions the same person was asked before: each leaves less patience for the next.
    """
    head = kb.roles.per_card.n if kb.roles.per_card else 0.0
    if kb.roles.patience:
        head *= min(MOST_HEAD, 1 + (before / kb.roles.patience.n) ** 2)
    return max(LEAST_MINUTES, minutes) + head


def asked(state: State, hands: str) -> int:
    """Return how many questions some hands were asked so far; who is not there yet was asked none."""
    if hands != state.hands:
        return 0
    return sum(a.hands == hands and not a.proof for a in state.answers) + len(state.facts) + len(state.passed_over)


def _last_work(kb: model.KB, state: State, evidence: Evidence, scenarios: Scenarios) -> Any:
    """Return what the last in the chain takes for mending each cause that may have to be mended: at their rate, with the trade it needs."""
    rate = trade_card(kb, "specialist").per_minute.n
    work = np.zeros(len(evidence.causes))
    for i in np.flatnonzero(scenarios.needs.any(axis=0)):
        remedy = kb.causes[evidence.causes[i]].remedy
        work[i] = remedy.minutes * rate + sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
        trade = work_of(remedy, state)
        if trade in ("plumber", "electrician"):
            work[i] += trade_card(kb, trade).fee.n
    return work


def _keys(scenarios: Scenarios) -> list[tuple[bytes, bool]]:
    return [(row.tobytes(), bool(u)) for row, u in zip(scenarios.needs, scenarios.unlisted, strict=True)]


def outcomes(findings: Findings, check: model.Check, hands: str) -> Any:
    """Return P(outcome | scenario) for each way that a check can come out, shape (outcomes, scenarios).

    Parameters
    ----------
    findings : Findings
    check : Check
    hands : str
        Whose hands do it; readings are now and then quite wrong.
    """
    kb = findings.network.kb
    if check.kind == "measure":
        rule = kb.rules[check.rule or ""]
        nodes = [graph.side_node(rule.id, side) for side in graph.sides(rule)]
    else:
        nodes = [graph.answer_node(check.id, a) for a in list(check.answers)[:-1]]
    return chances(findings, nodes, hands, gross_error(kb, hands) if check.kind == "measure" else 0.0)


def chances(findings: Findings, nodes: list[str], hands: str, error: float) -> Any:
    """Return P(outcome | scenario) for findings of which the first that is on is seen, or none of them."""
    left = np.ones(findings.count)
    rows = []
    for node in nodes:
        on = findings.on(node, hands)
        rows.append(left * on)
        left = left * (1 - on)
    table = np.array([*rows, left])
    return (1 - error) * table + error / len(table)


def _facts(
    network: Network, state: State, evidence: Evidence, scenarios: Scenarios, rate: float, hands: str
) -> list[Test]:
    kb = network.kb
    known = dict(state.facts)
    passed = dict(state.passed_over) if hands == state.hands else {}
    weight = np.where(scenarios.weight > 0, scenarios.weight, 1.0)
    out = []
    start = 0
    for n, name in enumerate(evidence.facts.names):
        rows = slice(start, start + len(evidence.facts.options[n]))
        start = rows.stop
        fact = kb.facts[name]
        minutes = minutes_of(fact.minutes, hands)
        if name in passed or minutes is None or not holds(fact.when, known) or senseless(network, state, fact):
            continue
        table = scenarios.by_fact[rows] / weight
        out.append(Test(f"fact:{name}", asking(kb, minutes, asked(state, hands)) * rate, table))
    return out


def _mend(
    network: Network, state: State, cause_id: str, role: str, hands: str, rate: float
) -> tuple[str, float, float, str, float] | None:
    """Return (id, price, chance, open look, its share of the price) of how this role can have a cause mended, or None."""
    kb = network.kb
    cause = kb.causes[cause_id]
    remedy = cause.remedy
    if any(t.cause == cause_id for t in state.remedies) or dict(state.passed_over).get(f"remedy:{cause_id}"):
        return None
    status = condition(network, state, remedy)
    again = None
    if status == "refuted" or denied(network, state, cause):
        # What weaker hands, or an earlier time, said against it bars it only until these hands have looked.
        again = second_look(network, state, cause, hands) if hands == state.hands else None
        if again is None:
            return None
    price = sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
    look, looking = "", 0.0
    check = again or (kb.checks[remedy.only_if.check] if status == "open" and remedy.only_if else None)
    if check is not None:
        if not askable(network, state, check, hands):
            return None
        look, looking = f"check:{check.id}", asking(kb, check_minutes(check, hands)) * rate
        price += looking
    # Where these hands can't do the proof, it is a technician's.
    proof = kb.checks[cause.proof.check].minutes
    proving = (minutes_of(proof, hands) or proof.technician or OTHERS_MINUTES) * rate
    chance = graph.strength(kb, remedy.cures)
    if may_mend(kb, remedy, hands, state):
        return f"remedy:{cause_id}", remedy.minutes * rate + proving + price, chance, look, looking
    by = work_of(remedy, state)
    if by in ("plumber", "electrician"):
        trade = trade_card(kb, by)
        booked = trade.fee.n + remedy.minutes * trade.per_minute.n + proving + price
        return f"hand-on:{cause_id}", booked, chance, look, looking
    return None
