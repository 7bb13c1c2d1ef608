"""A line of a sheet that was not understood: what stands there, and what would be; it counts as not measured."""

from typing import Literal

from msgspec import Struct

from .. import model
from ..errors import Problem

Block = Literal["", "facts", "readings"]


class Unread(Struct, frozen=True, kw_only=True):
    """A line that judges nothing, for nobody knows what it means.

    `name` is the line's, `block` the part of the sheet that it stands in, `said` what stands there, `problem` what was expected, the nearest
    match and how to mend it, with its place in the file.
    """

    name: str
    title: str
    said: str
    problem: Problem
    block: Block = ""


def could_hurt(kb: model.KB, name: str) -> bool:
    """Return whether a line's answer could keep the machine from being run: then what stands there is not passed over.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [could_hurt(load_kb(), name) for name in ("fill-hose-bulge", "things-on-top", "no-such-line")]
    [True, False, False]
    """
    check = kb.checks.get(name)
    rule = kb.rules.get((check.rule if check else None) or "")
    return bool(check and (any(a.raises for a in check.answers.values()) or (rule and (rule.danger or rule.guarded))))
