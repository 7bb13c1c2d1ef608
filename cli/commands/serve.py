"""`dryfloor serve`: the page, for a phone in the kitchen, the desk's screen and other programs."""

from __future__ import annotations

import argparse

from ..inputs import load
from ..result import Result
from ..terminal.env import Env


def run(args: argparse.Namespace, env: Env) -> Result:
    """Serve the page."""
    from ..page.serve import serve

    return serve(args, env, load(args, env))
