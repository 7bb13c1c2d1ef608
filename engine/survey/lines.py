"""The records of a survey's lines: one rule held against what a sheet says of it."""

from typing import Literal

from msgspec import Struct, field

from .. import model
from ..advice import Measured
from .consequences import Leads

SurveyVerdict = Literal["within", "too-close", "broken", "not-measured", "not-applicable"]
ORDER: dict[SurveyVerdict, int] = {"broken": 0, "too-close": 1, "within": 2, "not-measured": 3, "not-applicable": 4}


class SurveyLine(Struct, frozen=True, kw_only=True):
    """One rule in a survey.

    `counted` is false where another practice, the same look under another code, or a stand-in that the physics replaces, stands beside the rule that was judged.
    `advice` says why a code's rule that was not kept is no violation here: nobody knows which code is in force, or it stands here from
    memory and a customer asks first.
    `condition` is what must hold for a neighbour's reading to serve this rule as well. `on_sheet` is whether a line of the sheet reads this rule at all.
    `margin` is the distance to the nearer limit, minus outside [SI unit of the rule]. `check` is the line that was read, `node` the answer
    that was seen. Where a rule does not apply, `text` says why. `told` is that a customer said so, and nobody looked; `recalled` that the limit which judged stands here from memory.
    """

    rule: str
    title: str
    area: str
    verdict: SurveyVerdict
    side: str | None
    said: str
    text: str
    limits: str
    whose: str
    source: str
    authority: str
    conformity: float | None = None
    margin: float | None = None
    measured: Measured | None = None
    means: list[str] = field(default_factory=list)
    leads_to: list[Leads] = field(default_factory=list)
    beside: bool = False
    condition: str = ""
    counted: bool = True
    on_sheet: bool = True
    advice: str = ""
    check: str = ""
    node: str = ""
    told: bool = False
    recalled: bool = False


def looked_at(kb: model.KB, x: SurveyLine) -> str:
    """Return what a line is named by where it is right: a look by its own title, for it is seldom the whole of its rule; a value by its rule's.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> line = SurveyLine(
    ...     rule="grounded", title="A real ground for the washer", area="power", verdict="within", side=None, said="no such label",
    ...     text="no such label", limits="", whose="", source="", authority="code", check="marked-no-ground",
    ... )
    >>> looked_at(load_kb(), line)
    'Marked without a ground'
    """
    check = kb.checks.get(x.check)
    return check.title if check and check.kind != "measure" else x.title


class Seen(Struct, frozen=True, kw_only=True):
    """What one reading or look says of a rule."""

    verdict: SurveyVerdict
    said: str
    text: str
    side: str | None = None
    conformity: float | None = None
    margin: float | None = None
    measured: Measured | None = None
    node: str = ""
    means: list[str] = field(default_factory=list)
    beside: bool = False
    condition: str = ""
    twin: bool = False  # a look that counts already under the rule that its check names
    check: str = ""
