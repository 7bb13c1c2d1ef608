"""Where one stands: how many causes are left, and about how many questions it takes from here, from the plan's own tables."""

from ..planning.problem import Decision
from .analysis import Analysis
from .endings import OPEN

# So many more questions for each that would tell something, beside one for each bit that is not known [-]: fitted to 1,092 steps of
# walks at 144 made-up sites; where about 5 are said, one walk in two takes 2 to 6.
EACH = 0.1
MOST = 20


def questions_left(choice: Decision) -> int:
    """Return about how many questions come before the next fix, or before handing on.

    Parameters
    ----------
    choice : Decision

    Returns
    -------
    int
        From 1 to MOST [-]; 0 where the next step is no question.

    Notes
    -----
    One for each bit by which the scenarios are not told apart, and a share of those questions that would tell something: each of
    them may turn out to be needed.

    Examples
    --------
    >>> from dryfloor.engine.planning.problem import ActionValue
    >>> questions_left(Decision(ActionValue("question", "check:drain", 9.0), unknown_bits=2.6, telling=14))
    4
    >>> questions_left(Decision(ActionValue("remedy", "remedy:hose-kinked", 9.0), unknown_bits=2.6, telling=14))
    0
    """
    if choice.best.kind != "question":
        return 0
    return min(MOST, max(1, round(choice.unknown_bits + EACH * choice.telling)))


def where(analysis: Analysis, choice: Decision) -> str:
    """Return how many causes are left, and about how many questions, in a line.

    Parameters
    ----------
    analysis : Analysis
        Of a case with a complaint.
    choice : Decision
    """
    count = sum(b.p >= OPEN for b in analysis.beliefs)
    causes = f"{count} cause{'' if count == 1 else 's'} left" if count else "No cause stands out yet"
    more = questions_left(choice)
    return f"{causes}, about {more} more question{'' if more == 1 else 's'}" if more else causes
