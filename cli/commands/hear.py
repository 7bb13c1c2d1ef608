"""`dryfloor hear`: which complaints, circumstances and dangers are heard in free words."""

from __future__ import annotations

import argparse

from ..inputs import load
from ..result import Result, heard
from ..terminal.env import Env


def run(args: argparse.Namespace, env: Env) -> Result:
    """Show what is heard in free words."""
    from ...engine.case.told import listened, mentioned
    from ...engine.language.display import ASK, code
    from ...engine.language.foreign import english_only
    from ..terminal.layout import Layout

    kb = load(args, env)
    said = " ".join(args.words)
    found, values = listened(kb, said)
    layout = Layout(env.width, env.colour)
    foreign = english_only(said)
    lines: list[str] = layout.wrap(foreign) if foreign else []
    for m in found.complaints:
        where = f'; in: "{m.told}"' if m.told else ""
        lines += layout.wrap(
            f"{m.complaint}  {m.chance}  {kb.complaints[m.complaint].says} (close to: {m.words}{where})", 3
        )
    for f in found.facts:
        lines += layout.wrap(
            f"also: {kb.facts[f.fact].title.lower()}: {kb.facts[f.fact].options[f.option].says} (close to: {f.words})",
            3,
        )
    for a in found.answers:
        check = kb.checks[a.check]
        lines += layout.wrap(
            f"also: {check.title.lower()}: {check.answers[a.answer].says} (close to: {a.words})",
            3,
        )
    for h in found.hazards:
        lines += layout.wrap(f"hazard: {kb.hazards[h.hazard].title.lower()} (close to: {h.words})", 3)
    for v in values:
        lines += layout.wrap(f"reading: {mentioned(kb, v).says}", 3)
    if code(said):
        lines += layout.wrap(ASK)
    if not found.complaints:
        lines += layout.wrap(found.off_topic or "I know nothing that fits these words.")
    if values and not found.complaints:
        rules = list(dict.fromkeys(r for v in values if (r := kb.checks[v.check or ""].rule)))
        where = f"dryfloor rule {rules[0]} shows what it is held against; " if rules else ""
        lines += layout.wrap(f"{where}a walk or a survey takes it at any question.")
    return heard(found, lines, values)
