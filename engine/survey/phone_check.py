"""A phone check before delivery: what was asked, what must be put right before the van comes, what is still to be asked."""

from msgspec import Struct

from .. import model
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from .areas import beforehand
from .blank_sheet import blank_lines
from .must_see import STAGES, Missing, stage_of


class PhoneCheck(Struct, frozen=True, kw_only=True):
    """What a phone check came to: how many lines were asked, how many of them are to be put right, and what is still to be asked.

    `unread` is how many lines were not understood: what stands there may be in the way. Nothing of it was seen: it is looked at again once somebody is there.
    """

    asked: int
    wrong: int
    to_ask: list[Missing]
    unread: int = 0

    @property
    def clear(self) -> bool:
        """Whether nothing stands in the way of the delivery: nothing is to be put right, nor still to be asked that nobody may leave out, and every line was understood."""
        return bool(self.asked) and not self.wrong and not self.unread and not any(m.why for m in self.to_ask)

    @property
    def text(self) -> str:
        """The counts in one sentence."""
        left = len(self.to_ask)
        right = self.asked - self.wrong
        parts = [
            f"{self.asked} thing{'' if self.asked == 1 else 's'} asked",
            f"{self.wrong} to be put right before the van comes" if self.wrong else "",
            f"{right} as it must be" if right else "",
            f"{self.unread} line{'' if self.unread == 1 else 's'} not understood" if self.unread else "",
            f"{left} still to be asked" if left else "nothing left to ask",
        ]
        return ", ".join(p for p in parts if p)


def phone_check(kb: model.KB, filled: FilledSheet, wrong: int, missing: list[Missing]) -> PhoneCheck:
    """Return what a phone check came to.

    Parameters
    ----------
    kb : KB
    filled : FilledSheet
    wrong : int
        How many of its lines came out broken.
    missing : list of Missing
        What nobody may leave out; it is asked first.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> sheet = FilledSheet("s", {"drain": "tub", "supply-system": "us-120"}, {"outlet-holes": "three-holes"}, None, "homeowner")
    >>> done = phone_check(load_kb(), sheet, 0, [])
    >>> done.asked, "tub-rim-height" in [m.id for m in done.to_ask], "standpipe-height" in [m.id for m in done.to_ask]
    (1, True, False)
    """
    named = {m.id for m in missing}
    passed = {*filled.readings, *filled.declined, *named}
    facts = [
        Missing(id=f.id, title=f.title, why="", minutes=0.0, fact=True)
        for f in beforehand(kb)
        if f.id not in filled.facts and f.id not in named and holds(f.when, filled.facts)
    ]
    more = [
        Missing(id=c.id, title=c.title, why="", minutes=0.0)
        for c in blank_lines(kb, filled.hands, filled.facts)
        if stage_of(c) == STAGES[0] and c.on_sheet and c.id not in passed and holds(c.when, filled.facts)
    ]
    return PhoneCheck(
        asked=len(filled.readings), wrong=wrong, to_ask=[*missing, *facts, *more], unread=len(filled.unread)
    )
