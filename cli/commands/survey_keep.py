"""A survey sheet put into the store: an installation, by its reference."""

import argparse
from typing import TYPE_CHECKING

from ..terminal.env import Env

if TYPE_CHECKING:
    from ...engine.survey.filled_sheet import FilledSheet


def keep(args: argparse.Namespace, env: Env, filled: "FilledSheet", verdict: str) -> str:
    """Put a sheet into the store and return its id.

    Parameters
    ----------
    args : Namespace
        `reference`, else the sheet's title is what it is found by; `kb` and `store`.
    env : Env
    filled : FilledSheet
    verdict : str
        The survey's one word.

    Raises
    ------
    InvalidInputError
        If it can't be kept.
    """
    from ...engine.case.installed import installation
    from ..inputs import load
    from ..store.opening import open_store
    from ..walk.session import stamp_of

    kb = load(args, env)
    measured = [n for n in filled.readings if kb.checks[n].kind == "measure"]
    events = installation(filled.machine, filled.facts, filled.readings, measured, filled.told, filled.hands, verdict)
    named = args.reference or ("" if filled.title == "Survey" else filled.title)
    reference = " ".join("".join(c if c.isprintable() else " " for c in named).split())
    with open_store(args, env) as store, store.together():
        case = store.begin(reference, kb=stamp_of(args))
        for event in events:
            store.add(case, event)
        store.decline(case)
    return case
