"""The first three cards of each complaint and role, beside those that two readers of the trade wrote down before they saw any."""

from functools import cache
from typing import Any

import yaml

from dryfloor.engine import model
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge.load import load_kb
from tests.households.player import sound
from tests.support.places import ROOT

from .table import Table

SUMMARY = "the first three cards, beside those of two readers of the trade"
CARDS = 3
MOST_GATES = 12


@cache
def lists() -> dict[tuple[str, str], dict[str, Any]]:
    """Return what the readers wrote, by complaint and role: reader -> first, also_good, why."""
    return {
        (entry["complaint"], entry["role"]): entry["readers"]
        for entry in yaml.safe_load((ROOT / "tests/order.yaml").read_text("utf-8"))
    }


def first_cards(kb: model.KB, complaint: str, role: str) -> list[str]:
    """Return the first questions of a walk in which all is answered as in a sound installation, gates left out."""
    events = [Event(role=role), Event(complaints=[complaint])]  # type: ignore[arg-type]
    out: list[str] = []
    for _ in range(CARDS + MOST_GATES):
        step = advise(kb, events).next
        if step is None or step.kind not in ("gate", "fact", "check") or len(out) == CARDS:
            break
        if step.kind == "gate":
            events.append(Event(cleared=step.id))
            continue
        out.append(step.id)
        if step.kind == "fact":
            options = kb.facts[step.id].options
            events.append(Event(fact=step.id, is_=max(options, key=lambda o: options[o].share_per_1000)))
        elif kb.checks[step.id].kind == "measure":
            events.append(Event(check=step.id, value=sound(kb, step.id)))
        else:
            events.append(Event(check=step.id, answer=sound(kb, step.id)))
    return out


def run(quick: bool) -> Table:
    """Return how many of our first cards the readers would ask, and how many of one reader's the other would.

    Parameters
    ----------
    quick : bool
        Every fourth complaint and role.
    """
    kb = load_kb()
    rows, ours, theirs, asked, named = [], 0, 0, 0, 0
    for (complaint, role), readers in list(lists().items())[:: 4 if quick else 1]:
        cards = first_cards(kb, complaint, role)
        good = {c for r in readers.values() for c in [*r["first"], *r.get("also_good", [])]}
        a, b = readers["a"], readers["b"]
        ours, asked = ours + sum(c in good for c in cards), asked + len(cards)
        theirs += sum(c in {*b["first"], *b.get("also_good", [])} for c in a["first"])
        theirs += sum(c in {*a["first"], *a.get("also_good", [])} for c in b["first"])
        named += len(a["first"]) + len(b["first"])
        rows.append([complaint, role, ", ".join(c if c in good else f"({c})" for c in cards), ", ".join(a["first"]), ", ".join(b["first"])])  # fmt: skip
    return Table(
        title="The first three cards",
        columns=["complaint", "role", "ours (in brackets: neither reader would)", "reader a", "reader b"],
        rows=rows,
        notes=[
            f"Of our {asked} first cards one of the readers would ask {ours}; of the {named} that each reader wrote, the other would ask {theirs}."
        ],
        data={"ours": ours, "asked": asked, "readers": theirs, "named": named},
    )
