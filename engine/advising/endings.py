"""The end of a case that is handed on: what was ruled out, what was looked at and is in order, what to do until somebody comes."""

from ..advice import Finding
from ..case.state import State
from ..diagnosis.evidence import latest
from ..diagnosis.measured import counted
from ..planning import roles
from .analysis import Analysis
from .wording import in_100

# Below the first a cause is ruled out, if by the complaint alone it was worth a thought (judgement) [prob].
RULED_OUT, WORTH = 0.01, 0.02
# From here a cause is still to be named to whoever takes over (judgement) [prob].
OPEN = 0.05
# From here a cause that was looked for and not seen is worth another look (judgement) [prob].
LIKELY_STILL = 0.1
MOST_NAMED = 6
UNTIL = "Until then:"  # how a remedy's step begins that is for whoever waits for the trade
MAKER = "This is inside the machine: a repairer's work, and while its warranty lasts, the maker's, so ask there first."
LANDLORD = "If you rent, tell your landlord before you book: machine, pipes or wiring may be the landlord's to mend."


def complained_only(state: State) -> State:
    """Return a case of which nothing is known but who asks and what is complained of.

    Examples
    --------
    >>> complained_only(State(complaints=("walks",), facts=(("drain", "tub"),))).facts
    ()
    """
    return State(
        role=state.role,
        hands=state.hands,
        complaints=state.complaints,
        stands=tuple((c, 0) for c in state.complaints),
    )


def ruled_out(analysis: Analysis) -> list[str]:
    """Return the causes that the complaint alone brings to mind and that are out of the question by now, likeliest first.

    Parameters
    ----------
    analysis : Analysis

    Returns
    -------
    list of str
        Ids of causes; what was mended is not among them.
    """
    if not analysis.state.complaints:
        return []
    now = {b.cause: b.p for b in analysis.beliefs}
    done = {t.cause for t in analysis.state.remedies}
    bare = Analysis(analysis.network, complained_only(analysis.state))
    return [b.cause for b in bare.beliefs if b.p >= WORTH and now.get(b.cause, 0.0) < RULED_OUT and b.cause not in done]


def in_order(analysis: Analysis) -> list[str]:
    """Return the titles of the looks at a rule that came out as they should, in the order in which they were told.

    Parameters
    ----------
    analysis : Analysis
    """
    kb, state = analysis.network.kb, analysis.state
    sound = {a.check for a in latest(state.answers) if a.epoch == state.epoch and _sound(analysis, a.check, a.said)}
    told = [a.check for a in state.answers if a.check in sound]
    return [kb.checks[c].title for c in dict.fromkeys(told)]


def _sound(analysis: Analysis, name: str, said: str) -> bool:
    check = analysis.network.kb.checks[name]
    if check.kind == "measure":
        answers = analysis.state.answers
        return counted(analysis.network.kb, answers, name, analysis.state.epoch).verdict.state == "within"
    # What is told from memory was not looked at.
    return check.rule is not None and check.kind != "ask" and said == list(check.answers)[-1]


def looked(analysis: Analysis, found: Finding | None) -> list[str]:
    """Return, in sentences, how far the search has come: nothing where a cause was found that breaks a rule.

    Parameters
    ----------
    analysis : Analysis
    found : Finding or None

    Notes
    -----
    A trouble inside the machine is no fault of the installation, so there, too, it is said what was in order.
    """
    if found and found.rule:
        return []
    kb = analysis.network.kb
    out = []
    if found is None:
        gone = [kb.causes[c].title for c in ruled_out(analysis)]
        out.append("Not found" + (f". Ruled out: {_listed(gone)}." if gone else " so far."))
        still = [f"{b.title.lower()}, {in_100(b.p)}" for b in analysis.open_beliefs[:3] if b.p >= OPEN]
        still.append(f"something that is not listed here, {in_100(analysis.unknown)}")
        out.append(f"Still open: {'; '.join(still)}.")
        out += another_look(analysis)
    titles = in_order(analysis)
    blamed = any(b.breaks and b.p >= OPEN for b in analysis.open_beliefs)
    if titles and blamed:
        out.append(f"Looked at and in order: {_listed(titles)}.")
    elif titles:
        out.append(f"As far as it was looked at, the installation is in order: {_listed(titles)}.")
    return out


def another_look(analysis: Analysis) -> list[str]:
    """Return, in a sentence, what was looked for and not seen and is likely all the same; nothing where there is no such cause.

    Parameters
    ----------
    analysis : Analysis
    """
    named = [f"{b.title.lower()}, {in_100(b.p)}" for b in analysis.doubted_beliefs[:3] if b.p >= LIKELY_STILL]
    return (
        [f"Denied by an earlier look, yet likely enough for another by surer hands: {'; '.join(named)}."]
        if named
        else []
    )


def _listed(titles: list[str]) -> str:
    more = len(titles) - MOST_NAMED
    named = [t[0].lower() + t[1:] for t in titles[:MOST_NAMED]]
    return ", ".join(named) + (f" and {more} more" if more > 0 else "")


def until(analysis: Analysis, cause: str | None, to: str = "") -> list[str]:
    """Return what to do until the trade comes: what the remedy says for those who wait, else the complaints; whose work it is.

    Parameters
    ----------
    analysis : Analysis
    cause : str or None
        The cause whose remedy is booked, or that was found.
    to : str, optional
        Who is called: where it is the landlord already, nobody is reminded of one.
    """
    kb, state = analysis.network.kb, analysis.state
    steps = kb.causes[cause].remedy.steps if cause else []
    out = [s.removeprefix(UNTIL).strip() for s in steps if s.startswith(UNTIL)]
    # What the remedy says is of this very fault, so nothing more general stands beside it.
    if not out:
        standing = [kb.complaints[c] for c in state.complaints if c not in dict(state.gone)]
        out = [c.meanwhile for c in standing if c.meanwhile]
    if state.role == "technician":
        return out
    inside = cause is not None and kb.causes[cause].kind == "machine" and kb.causes[cause].remedy.by == "technician"
    return [*out, *([MAKER] if inside else []), *([LANDLORD] if to not in ("landlord", "utility") else [])]


def trade_text(analysis: Analysis, trade: str, to: str = "") -> str:
    """Return whom to book, in a sentence or two.

    Parameters
    ----------
    analysis : Analysis
    trade : str
        Id of a trade.
    to : str, optional
        Who is called for it, where that is somebody else.
    """
    title = roles.trade_card(analysis.network.kb, trade).title.lower()
    whom = f"{'an' if title[0] in 'aeiou' else 'a'} {title}"
    if to == "landlord":
        return f"Tell the landlord: this is work on the house. It takes {whom}, whom the landlord books."
    if to == "utility":
        return f"Call the electric utility's emergency line now. What is not theirs takes {whom}."
    if trade == "specialist":
        return f"This needs {title}."
    return f"Book {whom}."
