"""Homes whose installation was at fault, as sheets of an installer: how much of the callback cost so many minutes would have prevented.

    python -m tests.bench survey           # all homes, those held out in columns of their own: every run is told
    python -m tests.bench.survey           # the homes that may be looked at; add -v for a line a home

A home is a sheet on which each line is answered as it truly was on the day of the complaint: what a home does not tell is as in a sound
installation. A sheet prevents the callback where one of its lines is not as it must be and bears on the fault: the fault shows by it, breaks
its rule, or has it for a proof. What had not happened yet on the day of installation is counted as seen (a hose that jumped out later is found
out of its pipe), for every list alike.
"""

import sys
from collections.abc import Iterable
from functools import cache
from typing import Any

from dryfloor.engine import model
from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.measurement.conformity import Verdict
from dryfloor.engine.measurement.readings import held_against, reading
from dryfloor.engine.shortlist.choice import SheetLines
from dryfloor.engine.shortlist.worth import counts
from dryfloor.engine.survey.blank_sheet import blank_lines
from dryfloor.engine.survey.consequences import callback_cost
from dryfloor.engine.survey.must_see import hand_minutes
from dryfloor.engine.survey.practice import replacing, serves
from tests.households.answers import Truth, truths
from tests.households.homes import Home, homes
from tests.households.player import sound

from .table import Table, markdown

SUMMARY = "homes as sheets: callback cost prevented in 10 and 20 minutes"
MINUTES = (10, 20)
FIXED = 20  # lines of the list in file order
HANDS: model.Hands = "technician"
# What a site tells about itself on the day of installation; how a complaint began is not among it.
LATER = ("onset", "rhythm", "recent-frost")


def run(quick: bool) -> list[Table]:
    """Return the table of shares; quick: every fourth open home alone."""
    kb = load_kb()
    some = [h for h in homes() if not h.held]
    if quick:
        return [table(kb, {"open": some[::4]})]
    return [table(kb, {"open": some, "held out": [h for h in homes() if h.held]})]


def seen(kb: model.KB, home: Home, truth: Truth) -> bool:
    """Return whether a home's fault is one that an installer could see: an installation at fault, with a cause that one can have."""
    return home.installation and any(counts(kb.causes[c]) for c in truth.cause)


def site(truth: Truth) -> dict[str, str]:
    """Return what an installer knew of a home's site."""
    facts = truth.facts | truth.told_facts
    return {f: o for f, o in facts.items() if f not in LATER and not f.startswith("tried-")}


def amiss(kb: model.KB, check: model.Check, truth: Truth, facts: dict[str, str]) -> str:
    """Return the finding that a line makes in a home, as a node of the kb, or an empty text where it is as it must be."""
    said = truth.answers.get(check.id) or truth.told.get(check.id) or sound(kb, check.id)
    if check.id in truth.cant:
        return ""
    if check.kind != "measure":
        return "" if said == list(check.answers)[-1] else graph.answer_node(check.id, said)
    rule = serves(kb, check, facts, replacing(kb, facts)) or kb.rules[check.rule or ""]
    r = reading(kb, check.id, said, HANDS)
    verdict: Verdict = r.verdict if r.rule == rule.id else held_against(kb, r, rule).verdict
    return graph.side_node(check.rule or "", verdict.side or "") if verdict.state == "broken" else ""


def bears(network: Network, check: model.Check, node: str, cause: str) -> bool:
    """Return whether what a line found bears on a fault."""
    record = network.kb.causes[cause]
    breaks = bool(record.breaks and record.breaks.rule == check.rule)
    return cause in network.shown.get(node, {}) or record.proof.check == check.id or breaks


@cache
def _by_site(facts: tuple[tuple[str, str], ...]) -> SheetLines:
    return SheetLines(network_of(load_kb()), HANDS, dict(facts))


def lists(kb: model.KB, facts: dict[str, str]) -> dict[str, list[str]]:
    """Return the lines of each way to fill the time: for some minutes, all, and a fixed list in file order."""
    sheet = _by_site(tuple(sorted(facts.items())))
    here = {c.id for c in blank_lines(kb, HANDS, {"onset": "new", **facts})}
    out = {f"{m} minutes": sheet.choose(m).lines for m in MINUTES}
    out["the full sheet"] = [c.id for c in sheet.whole]
    out[f"{FIXED} lines in file order"] = [name for name in kb.checks if name in here][:FIXED]
    return out


def prevented(kb: model.KB, home: Home, truth: Truth) -> tuple[float, dict[str, float], dict[str, float]]:
    """Return a home's callback cost, what each list prevents of it, and the minutes of hands that each list takes."""
    network, facts = network_of(kb), site(truth)
    causes = [c for c in truth.cause if counts(kb.causes[c])]
    cost = {c: callback_cost(kb, kb.causes[c]) for c in causes}
    saved, minutes = {}, {}
    sheet = _by_site(tuple(sorted(facts.items())))
    for name, lines in lists(kb, facts).items():
        found = [(kb.checks[n], node) for n in lines if (node := amiss(kb, kb.checks[n], truth, facts))]
        saved[name] = sum(p for c, p in cost.items() if any(bears(network, check, node, c) for check, node in found))
        # Lines that rule each other out at a home are not both looked at, whichever of them it is.
        must = [n for n in lines if n in {c.id for c in sheet.must}]
        rest = sum(hand_minutes(kb.checks[n], HANDS) for n in lines if n not in must)
        minutes[name] = rest + (sheet.at_one_site(must) if must else 0.0)
    return sum(cost.values()), saved, minutes


def table(kb: model.KB, columns: dict[str, Iterable[Home]]) -> Table:
    """Return the share that each list prevents."""
    data: dict[str, Any] = {}
    for column, some in columns.items():
        games = [prevented(kb, h, truths()[h.id]) for h in some if seen(kb, h, truths()[h.id])]
        whole = sum(cost for cost, *_ in games)
        data[column] = {
            "homes": len(games),
            "share": {n: sum(s[n] for _, s, _ in games) / whole for n in games[0][1]},
            "minutes": {n: sum(m[n] for *_, m in games) / len(games) for n in games[0][2]},
        }
    first = next(iter(data.values()))
    rows = [
        [name, f"{first['minutes'][name]:.0f}", *(f"{d['share'][name]:.2f}".replace("0.", ".") for d in data.values())]
        for name in first["share"]
    ]
    return Table(
        title="Callback cost that an installer's sheet would have prevented",
        columns=["list", "minutes of hands", *(f"{c} ({d['homes']} homes)" for c, d in data.items())],
        rows=rows,
        notes=[
            "Costs are fees, minutes and parts of the kb (judgement). Answers are those of the day of the complaint."
        ],
        data=data,
    )


if __name__ == "__main__":
    kb_now = load_kb()
    print(markdown(table(kb_now, {"open": [h for h in homes() if not h.held]})))
    if "-v" in sys.argv:
        for one in homes():
            if not one.held and seen(kb_now, one, truths()[one.id]):
                whole_cost, by_list, _ = prevented(kb_now, one, truths()[one.id])
                print(
                    one.id,
                    truths()[one.id].cause,
                    f"{whole_cost:.0f}",
                    {n: f"{s / whole_cost:.2f}" for n, s in by_list.items()},
                )
