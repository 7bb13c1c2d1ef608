"""Serve the page."""

from __future__ import annotations

import argparse

from ..inputs import load
from ..result import emit
from ..terminal.env import Env


def serve(args: argparse.Namespace, env: Env) -> int:
    """Serve the page."""
    from ..page.serve import serve as run

    return emit(env, run(args, env, load(args, env)), args.json)
