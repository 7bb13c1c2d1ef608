"""What several hands read of one thing between two remedies, as the one reading that counts; and where they can't both be right."""

from collections.abc import Iterable, Sequence

from .. import model
from ..case.state import Answered, State
from ..measurement.readings import Reading, agree, gross_error, reading, together


def beside(answers: Iterable[Answered], check: str, epoch: int) -> list[Answered]:
    """Return the readings of one check in one stretch, the last by each hands; proofs speak of the complaint alone."""
    last: dict[str, Answered] = {}
    for a in answers:
        if a.check == check and a.epoch == epoch and not a.proof:
            last[a.hands] = a
    return [last[hands] for hands in sorted(last)]


def counting(kb: model.KB, read: Sequence[Answered]) -> list[Answered]:
    """Return which of several readings of one thing count: all where they agree, else the one by hands that measured twice, or the surest.

    Parameters
    ----------
    kb : KB
    read : sequence of Answered
        As `beside` gives them.
    """
    if len(read) < 2 or _agree(kb, read):
        return list(read)
    twice = [a for a in read if a.again]
    return [min(twice or read, key=lambda a: (gross_error(kb, a.hands), a.hands))]


def counted(kb: model.KB, answers: Iterable[Answered], check: str, epoch: int) -> Reading:
    """Return the one reading that counts of a check in one stretch between remedies.

    Parameters
    ----------
    kb : KB
    answers : iterable of Answered
        Of a case; at least one of them is a reading of this check in this stretch.
    check : str
    epoch : int
    """
    return together(kb, check, [(a.said, a.hands) for a in counting(kb, beside(answers, check, epoch))])


def hands_of(kb: model.KB, answers: Iterable[Answered], check: str, epoch: int) -> str:
    """Return the weakest hands of the readings that count of a check in one stretch."""
    return max((a.hands for a in counting(kb, beside(answers, check, epoch))), key=lambda h: gross_error(kb, h))


def disagreeing(kb: model.KB, state: State) -> list[tuple[str, list[Answered]]]:
    """Return the checks whose readings since the last remedy can't both be right, where nobody has measured twice, in id order.

    Parameters
    ----------
    kb : KB
    state : State

    Returns
    -------
    list
        Of the check and its readings.
    """
    names = sorted({a.check for a in state.answers if a.epoch == state.epoch and kb.checks[a.check].kind == "measure"})
    found = [(name, beside(state.answers, name, state.epoch)) for name in names]
    return [(n, r) for n, r in found if len(r) > 1 and not _agree(kb, r) and not any(a.again for a in r)]


def _agree(kb: model.KB, read: Sequence[Answered]) -> bool:
    each = [reading(kb, a.check, a.said, a.hands) for a in read]
    return all(agree(a, b) for n, a in enumerate(each) for b in each[:n])
