"""`dryfloor advise`: advice on a case, without a conversation."""

from __future__ import annotations

import argparse

from ..inputs import cleared_events, load, with_sheet
from ..result import Result, advised
from ..terminal.env import Env


def run(args: argparse.Namespace, env: Env) -> Result:
    """Advice on a case file."""
    from ...engine.advise import advise as think
    from ..inputs import case_events
    from ..render import advice as ending
    from ..terminal.layout import Layout

    kb = load(args, env)
    events = [*case_events(kb, args, env), *cleared_events(kb, args.cleared)]
    kb, facts = with_sheet(kb, args.machine, events)
    advice = think(kb, [*events, *facts])
    return advised(advice, ending.advice(Layout(env.width, env.colour), advice))
