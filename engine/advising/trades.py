"""Whose work what is left is: of a fault that was found, of one that these hands could not mend, and of what was not found."""

from .. import model
from ..case.state import State
from ..planning import roles
from .analysis import Analysis

# What is a licensed trade's by law or by what it takes; the others come with a tool box.
LICENSED = ("plumber", "electrician")
TENURE, RENTED = "tenure", "rented"


def left_to(kb: model.KB, cause: model.Cause, state: State) -> str:
    """Return who mends a cause where the hands at the machine do not: they may not, or they could not.

    Parameters
    ----------
    kb : KB
    cause : Cause
    state : State

    Returns
    -------
    str
        A trade. A technician who could not do it hands it to the licensed trade that can, else to the specialist, never to themselves.
    """
    trade = roles.work_of(cause.remedy, state)
    if trade == "anyone" or (trade == "technician" and state.role == "technician"):
        trade = cause.remedy.else_by or "technician"
    own = trade not in LICENSED and state.role == "technician"
    return roles.role_card(kb, state.role).hand_on_to if own else trade


def expected(analysis: Analysis) -> str:
    """Return the trade whose work it most likely is, by all that is still believed; what is not listed counts by its complaints.

    Parameters
    ----------
    analysis : Analysis

    Examples
    --------
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.case.state import State
    >>> stood = State(complaints=("standpipe-overflow",), stands=(("standpipe-overflow", 0),))
    >>> expected(Analysis(network_of(load_kb()), stood))
    'plumber'
    """
    kb, state = analysis.network.kb, analysis.state
    usual: str = roles.role_card(kb, state.role).hand_on_to
    weight: dict[str, float] = {usual: 0.0}
    done = {t.cause for t in state.remedies if t.did == "done"}
    for b in analysis.beliefs:
        cause = kb.causes[b.cause]
        if cause.kind != "normal" and b.cause not in done and not roles.denied(analysis.network, state, cause):
            trade = left_to(kb, cause, state)
            weight[trade] = weight.get(trade, 0.0) + b.p
    standing = [kb.complaints[c] for c in state.complaints if c not in dict(state.gone)]
    for complaint in standing:
        trade = complaint.otherwise_by
        trade = trade if trade in LICENSED else usual
        weight[trade] = weight.get(trade, 0.0) + analysis.unknown / len(standing)
    return min(weight, key=lambda t: (-round(weight[t], 9), t != usual, t))


def called(kb: model.KB, state: State, trade: str, cause: str | None) -> str:
    """Return whom to call for a trade's work: the utility where the remedy says so, the landlord for a house that is rented.

    Parameters
    ----------
    kb : KB
    state : State
    trade : str
    cause : str or None
        The cause that was found.
    """
    first = kb.causes[cause].remedy.call if cause else None
    if first:
        return first
    # A licensed trade works on the house, which is the owner's; the machine may be the tenant's own.
    if trade in LICENSED and dict(state.facts).get(TENURE) == RENTED:
        return "landlord"
    return trade
