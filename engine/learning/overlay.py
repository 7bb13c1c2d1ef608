"""What was learned as a shop's own kb folder: whole entries over those that they replace, and nothing that could tell of one customer.

A number stands in it only where at least FEWEST cases bear on it; what would break a promise of the kb is held back before (`promises`).
"""

from math import log
from pathlib import PurePosixPath
from typing import Any

import msgspec
import yaml
from msgspec import Struct

from .. import model
from ..knowledge.folder import SHIPPED
from .counts import Parameters
from .em import Learned
from .numbers import Key, Numbers, with_numbers

# Counts under this are not written: they could tell of one customer.
FEWEST = 5
# A number that moved by less than this in its logarithm stays as it is judged: it would only make the folder longer [-].
MOVED = 0.02
DIGITS = 4
# How hands come by what they report.
HOW = {"ask": "from memory", "look": "by a look", "try": "by a trial"}


class LearnedNumber(Struct, frozen=True, kw_only=True):
    """A number that goes into the folder: what it is of, by ids and in the kb's words, as judged, as learned, and out of how many cases."""

    key: list[str]
    names: list[str]
    judged: float
    learned: float
    cases: int


def bearing(learned: Learned) -> dict[Key, int]:
    """Return out of how many cases each number was counted: those in which a cause was there, or something could have been seen."""
    parameters, counts = learned.parameters, learned.seen
    out = {}
    for n, key in enumerate(parameters.keys):
        if key[0] in ("rate", "unlisted"):
            out[key] = int(counts.yes[n])
        elif key[0] == "share":
            own = [parameters.place[k] for k in parameters.keys if k[:2] == key[:2]]
            out[key] = int(counts.yes[own].sum())
        else:
            out[key] = int(counts.of[n])
    return out


def writable(learned: Learned) -> dict[Key, int]:
    """Return the numbers that may be written, each with its cases."""
    parameters = learned.parameters
    out = {}
    for key, cases in bearing(learned).items():
        n = parameters.place[key]
        moved = abs(float(learned.vector[n] / learned.prior.judged[n]) - 1)
        if cases >= FEWEST and (moved >= MOVED or key[0] == "share"):
            out[key] = cases
    return out


def entries(kb: model.KB, numbers: Numbers, cases: dict[Key, int], extends: str = SHIPPED) -> dict[str, str]:
    """Return the files of the folder by their relative path.

    Parameters
    ----------
    kb : KB
        As it is judged.
    numbers : dict
    cases : dict
        The numbers that are written, each with its cases.
    extends : str
        The kb that they were learned over, as the folder sees it.
    """
    new = with_numbers(kb, {k: numbers[k] for k in cases}, cases)
    by_file: dict[str, list[Any]] = {}
    replaces = []
    for table in ("complaints", "facts", "signs", "checks", "rules", "causes"):
        before, after = getattr(kb, table), getattr(new, table)
        for name in sorted(after):
            if after[name] != before[name]:
                place = _place(table, kb.places[f"{table}/{name}"])
                by_file.setdefault(place, []).append(_rounded(msgspec.to_builtins(after[name])))
                replaces.append(name)
    if new.roles != kb.roles:
        by_file["roles.yaml"] = [_rounded(msgspec.to_builtins(new.roles))]
        replaces.append("roles")
    out = {}
    for place, some in sorted(by_file.items()):
        path = PurePosixPath(place)
        whole = path.parts[0] == "causes" or place == "roles.yaml"
        body = {k: v for k, v in some[0].items() if k != "id" or place == "roles.yaml"} if whole else some
        out[place] = _yaml(body)
    return out | {"kb.yaml": _yaml({"extends": extends, "replaces": sorted(replaces)})}


def _place(table: str, at: str) -> str:
    """Return the file of a kb folder in which an entry stands, without the folder's own name."""
    parts = PurePosixPath(at.rpartition(":")[0]).parts
    return str(PurePosixPath(*parts[-{"causes": 3, "rules": 2, "checks": 2}.get(table, 1) :]))


def _rounded(value: Any) -> Any:
    """Return plain data with every number to so many digits: more were not learned."""
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {k: _rounded(v) for k, v in value.items()}
    return [_rounded(v) for v in value] if isinstance(value, list) else value


def _yaml(value: Any) -> str:
    return yaml.safe_dump(value, sort_keys=False, allow_unicode=True, width=4000, default_flow_style=False)


def written(kb: model.KB, parameters: Parameters, numbers: Numbers, cases: dict[Key, int]) -> list[LearnedNumber]:
    """Return what goes into the folder, what moved most first, in log-odds."""

    def apart(key: Key) -> float:
        p, q = parameters.judged[key], numbers[key]
        return abs(_logit(q) - _logit(p))

    order = sorted(cases, key=lambda k: (-apart(k), k))
    return [
        LearnedNumber(key=[*k], names=names_of(kb, k), judged=parameters.judged[k], learned=numbers[k], cases=cases[k])
        for k in order
    ]


def names_of(kb: model.KB, key: Key) -> list[str]:
    """Return what a number is of in the words of the kb, id by id."""
    if key[0] == "share":
        fact = kb.facts[key[1]]
        return [fact.title, fact.options[key[2]].says]
    if key[0] in ("hit", "false_alarm"):
        return [key[1], HOW[key[2]]]
    return [_name(kb, k) for k in key[1:]]


def _name(kb: model.KB, name: str) -> str:
    kind, _, own = name.partition(":")
    first, _, second = own.partition(":")
    if kind == "sign":
        return kb.signs[own].title
    if kind == "answer":
        return f"{kb.checks[first].title}: {kb.checks[first].answers[second].says}"
    if kind == "side":
        return f"{kb.rules[first].title}: {second} its limit"
    found = kb.causes.get(name) or kb.complaints.get(name)
    return found.title if found else name


def _logit(p: float) -> float:
    return log(p) - log(1 - p)
