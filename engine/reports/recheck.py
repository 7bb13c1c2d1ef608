"""What is worth another look when better hands take a case over: the same check carries another give-or-take by who does it.

Nothing is asked twice; this only says which of the answers already given the picture hangs on most.
"""

import msgspec
from msgspec import Struct

from .. import effort, model
from ..advising.analysis import Analysis, bounded
from ..case.state import Answered, State
from ..diagnosis.evidence import latest
from ..diagnosis.network import network_of
from ..measurement import formatting
from ..measurement.readings import gross_error, half_width, reading
from ..planning import roles

LEAST_SWING = 0.05  # an answer that moves no cause by more is not worth the minutes (judgement) [prob]
MOST = 3


class Recheck(Struct, frozen=True, kw_only=True):
    """An answer by weaker hands: what was said, whose cause hangs on it, and by how much [prob]."""

    check: str
    title: str
    said: str
    minutes: float
    cause: str
    before: float
    without: float
    text: str


def rechecks(kb: model.KB, state: State, most: int = MOST) -> list[Recheck]:
    """Return the answers of weaker hands that are worth another look, the one that decides most first.

    Parameters
    ----------
    kb : KB
    state : State
        With the hands that took over.
    most : int
        No more than so many.

    Examples
    --------
    >>> from dryfloor.engine.case.events import Event
    >>> from dryfloor.engine.case.state import fold
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> case = [Event(role="desk"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe")]
    >>> case += [Event(check="standpipe-height", value="31 in"), Event(role="technician")]
    >>> rechecks(kb, fold(kb, case))[0].check
    'standpipe-height'
    """
    with bounded(kb, state, effort.TOLD):
        return _rechecks(kb, state, most)


def _rechecks(kb: model.KB, state: State, most: int) -> list[Recheck]:
    network = network_of(kb)
    mine = gross_error(kb, state.hands)
    weak = [a for a in latest(state.answers) if a.epoch == state.epoch and gross_error(kb, a.hands) > mine]
    weak = [a for a in weak if roles.permitted(kb, kb.checks[a.check], state.hands)]
    if not weak or not state.complaints:
        return []
    now = {b.cause: b.p for b in Analysis(network, state).beliefs}
    found = []
    for answer in weak:
        rest = tuple(a for a in state.answers if a.proof or (a.check, a.epoch) != (answer.check, answer.epoch))
        then = {b.cause: b.p for b in Analysis(network, msgspec.structs.replace(state, answers=rest)).beliefs}
        swings = [(round(abs(now.get(c, 0.0) - then.get(c, 0.0)), 9), c) for c in sorted({*now, *then})]
        swing, cause = max(swings, key=lambda s: (s[0], s[1]))
        if swing >= LEAST_SWING:
            found.append((swing, _recheck(kb, state, answer, cause, now.get(cause, 0.0), then.get(cause, 0.0))))
    found.sort(key=lambda f: (-f[0], f[1].check))
    return [r for _, r in found[:most]]


def _recheck(kb: model.KB, state: State, answer: Answered, cause: str, before: float, without: float) -> Recheck:
    check = kb.checks[answer.check]
    if check.kind == "measure":
        rule = kb.rules[check.rule or ""]
        said = formatting.show(reading(kb, check.id, answer.said, answer.hands).value, rule.measures)
        theirs, yours = (
            formatting.show_difference(half_width(kb, check, hands), rule.measures)
            for hands in (answer.hands, state.hands)
        )
        spread = f", read by the caller give or take {theirs}" + (
            f"; yours is good to {yours}" if yours != theirs else ""
        )
    else:
        said = check.answers[answer.said].says
        spread = ", as the caller saw it"
    title = kb.causes[cause].title.lower()
    text = f"{said}{spread}. With it, {title} stands at {100 * before:.0f} in 100, without it at {100 * without:.0f}."
    return Recheck(
        check=check.id,
        title=check.title,
        said=answer.said,
        minutes=roles.check_minutes(check, state.hands),
        cause=cause,
        before=before,
        without=without,
        text=text,
    )
