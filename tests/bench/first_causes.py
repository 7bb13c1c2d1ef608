"""The kb's first causes of each complaint, of new washers and old, beside the order settled between two readers of the trade."""

from functools import cache
from typing import Any

import yaml

from dryfloor.engine import model
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import ROOT

from .table import Table

SUMMARY = "the first five causes of each complaint, beside those that two readers of the trade wrote down before they saw a number"
FIVE, EIGHT = 5, 8
# What the readers call new and old, as the fact that stands in a case.
ONSETS = {"new": ("new",), "old": ("suddenly", "slowly")}


@cache
def lists() -> list[dict[str, Any]]:
    """Return what the readers wrote and what was settled, a record a complaint."""
    found: list[dict[str, Any]] = yaml.safe_load((ROOT / "tests/first_causes.yaml").read_text("utf-8"))
    return found


def chances(kb: model.KB, complaint: str, given: dict[str, str], onsets: tuple[str, ...]) -> dict[str, float]:
    """Return each cause's chance of explaining a complaint from the complaint alone, the likeliest first.

    Parameters
    ----------
    kb : KB
    complaint : str
    given : dict
        Fact -> option that stands beside it.
    onsets : tuple of str
        Options of `onset`, mixed by their shares and by how often the complaint comes with each.

    Examples
    --------
    >>> next(iter(chances(load_kb(), "leaking-coupling", {}, ("new",))))
    'coupling-not-tight'
    """
    mixed: dict[str, float] = {}
    whole = 0.0
    for onset in onsets:
        events = [Event(role="technician"), Event(complaints=[complaint])]
        events += [Event(fact=fact, is_=option) for fact, option in {**given, "onset": onset}.items()]
        analysis = Analysis(network_of(kb), fold(kb, events))
        weight = kb.facts["onset"].options[onset].share_per_1000 * analysis.posterior.marginal_likelihood
        whole += weight
        for belief in analysis.beliefs:
            mixed[belief.cause] = mixed.get(belief.cause, 0.0) + weight * belief.p
    return dict(sorted(((c, p / whole) for c, p in mixed.items()), key=lambda each: (-round(each[1], 9), each[0])))


def run(quick: bool) -> Table:
    """Return the kb's first five beside the settled five, and how many they share.

    Parameters
    ----------
    quick : bool
        Every fourth complaint.
    """
    kb = load_kb()
    rows = []
    of = five = eight = first = alike = 0
    for entry in lists()[:: 4 if quick else 1]:
        for age, onsets in ONSETS.items():
            settled = entry["settled"][age]["causes"]
            found = chances(kb, entry["complaint"], entry["given"], onsets)
            order = list(found)
            one, two = ([c["cause"] for c in entry["readers"][r][age]] for r in ("one", "two"))
            of += len(settled)
            five += len({*settled} & {*order[:FIVE]})
            eight += len({*settled} & {*order[:EIGHT]})
            first += order[0] == settled[0]
            alike += len({*one} & {*two})
            rows.append(
                [
                    entry["complaint"],
                    age,
                    ", ".join(f"{c if c in settled else f'({c})'} {100 * found[c]:.0f}" for c in order[:FIVE]),
                    ", ".join(c if c in order[:FIVE] else f"({c}: {_place(c, order)})" for c in settled),
                ]
            )
    return Table(
        title="The first five causes",
        columns=[
            "complaint",
            "washer",
            "the kb's, of 100 (in brackets: not settled)",
            "settled (in brackets: the kb's place of it)",
        ],
        rows=rows,
        notes=[
            f"Of {of} settled causes {five} are in the kb's first five and {eight} in its first eight; "
            f"{first} of {len(rows)} times the first is the same. Of the {of} of reader one, {alike} are in reader two's five.",
            "New: onset new. Old: onset suddenly or slowly. Given beside it what both readers wrote for: "
            + _given()
            + ".",
        ],
        data={"of": of, "five": five, "eight": eight, "first": first, "pairs": len(rows), "readers": alike},
    )


def _place(cause: str, order: list[str]) -> str:
    return str(order.index(cause) + 1) if cause in order else "none"


def _given() -> str:
    return "; ".join(f"{e['complaint']} {', '.join(e['given'].values())}" for e in lists() if e["given"])
