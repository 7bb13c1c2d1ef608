"""What was said of signs: answers of checks as somebody's reports, the same hands' replaced by their better ones."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from .. import model
from ..case.state import Answered, State, not_standing
from ..inference.signs import NoisySign, Reported, SignReport, joined
from ..knowledge import graph
from .network import Network, report_rates

# A technician's report is better than a homeowner's of any kind.
RANK = {"homeowner": 0, "technician": 1}
THEN = ""  # whose hands a report of the installation counts as: nobody's of today


@dataclass(frozen=True)
class ToldSign:
    """One report of a sign.

    Parameters
    ----------
    sign : str
    said : bool
        Whether it was said to be there.
    hands : str
    epoch : int
        How many remedies had been done.
    hit, false_alarm : float
        How far a report of this kind by these hands goes [prob].
    of : tuple of str
        The sign and those of its kinds that the report speaks of.
    kind : str
        Of the check: ask, look or try.
    """

    sign: str
    said: bool
    hands: str
    epoch: int
    hit: float
    false_alarm: float
    of: tuple[str, ...]
    kind: str = ""


def reports_of(network: Network, answer: Answered) -> list[ToldSign]:
    """Return what one answer reports: those more telling are denied, and what is said is there."""
    check = network.kb.checks[answer.check]
    out = []
    for name in check.answers:
        sign = check.answers[name].sign
        if sign:
            hit, false_alarm = report_rates(network.kb, answer.hands, check.kind)
            said = name == answer.said
            of = network.reporting[graph.answer_node(check.id, name)]
            out.append(ToldSign(sign, said, answer.hands, answer.epoch, hit, false_alarm, of, check.kind))
        if name == answer.said:
            break
    return out


def told(network: Network, state: State) -> list[ToldSign]:
    """Return what was said of signs; of the state that was asked last it is remembered, for many ask it of each."""
    before: tuple[State, list[ToldSign]] | None = network.told
    if before is None or before[0] is not state:
        before = network.told = (state, _told(network, state))
    return before[1]


def _told(network: Network, state: State) -> list[ToldSign]:
    """Return what was said of signs, one report of each by the same hands in one stretch between remedies.

    Parameters
    ----------
    network : Network
    state : State
        Proofs speak of the complaint alone.

    Notes
    -----
    Asked again by another check, the same person does not see it twice: the surer kind of report holds, and of two alike the one that
    saw it. Who reports a finer sign has reported the coarser one; who denies the coarser one denies its kinds.
    """
    now = _said(network, [a for a in state.answers if not a.proof and not a.then])
    # What stands from then stands until somebody sees it otherwise.
    standing = [a for a in state.answers if a.then and not any(_otherwise(r, now) for r in reports_of(network, a))]
    if standing:
        now = _said(network, [*standing, *(a for a in state.answers if not a.proof and not a.then)])
    return [*_told_then(network, state, now), *now]


def _said(network: Network, answers: list[Answered]) -> list[ToldSign]:
    """Return what some answers report, one report of each sign by the same hands in one stretch."""
    last = {(a.check, a.epoch, a.hands): a for a in answers}
    by: dict[tuple[str, int], dict[str, ToldSign]] = {}
    for key in sorted(last):
        for report in reports_of(network, last[key]):
            own = by.setdefault((report.hands, report.epoch), {})
            before = own.get(report.sign)
            if before is None or (report.hit, report.said) > (before.hit, before.said):
                own[report.sign] = report
    return [report for _, own in sorted(by.items()) for report in _by_kinds(network, own)]


def changed_since(kb: model.KB) -> float:
    """Return the chance that what was seen at an installation, and can change, is otherwise now [prob]."""
    return kb.scales.changed_since.n if kb.scales.changed_since else 0.5


def _told_then(network: Network, state: State, now: list[ToldSign]) -> list[ToldSign]:
    """Return what was said of signs at the installation, as far as it may have changed since; where today's word is otherwise, that holds."""
    stayed = 1 - changed_since(network.kb)
    own: dict[str, ToldSign] = {}
    for then in not_standing(state):
        reports = reports_of(network, Answered(then.check, then.said, then.hands, 0))
        if any(_otherwise(r, now) for r in reports):
            continue
        for r in reports:
            before = own.get(r.sign)
            if before is None or (r.hit, r.said) > (before.hit, before.said):
                own[r.sign] = r
    return [replace(r, hands=THEN, hit=stayed * r.hit) for r in _by_kinds(network, own)]


def _otherwise(then: ToldSign, now: list[ToldSign]) -> bool:
    """Return whether what is said today takes back a report of then: all that was seen is denied, or what is seen was denied.

    A coarser sight takes no finer one back: that the room shakes says nothing against the floor that was seen to tremble.
    """
    if then.said:
        return {*then.of} <= {k for today in now if not today.said for k in today.of}
    return any(today.said and {*today.of} <= {*then.of} for today in now)


def _by_kinds(network: Network, own: dict[str, ToldSign]) -> list[ToldSign]:
    """Return the reports of the same hands with each kind of a sign reported once."""
    left = dict(own)
    for coarse in sorted(own):
        for fine in network.kinds[coarse]:
            if fine == coarse or coarse not in left or fine not in left:
                continue
            broad, narrow = left[coarse], left[fine]
            if narrow.hit < broad.hit and not broad.said:
                del left[fine]
            elif narrow.said:
                del left[coarse]
            else:
                spoken = tuple(k for k in broad.of if k not in network.kinds[fine])
                left[coarse] = replace(broad, of=spoken)
    return [left[s] for s in sorted(left)]


def reported_signs(
    network: Network, reports: Iterable[ToldSign], index: dict[str, int]
) -> list[tuple[tuple[str, ...], Reported]]:
    """Return reports as evidence, in groups that share signs, each with the names of its signs.

    Parameters
    ----------
    network : Network
    reports : iterable of ToldSign
    index : dict
        Cause -> its number; others can't be at work.
    """
    some = list(reports)
    # A denial of then of which no cause in play would have been seen says nothing.
    some = [r for r in some if r.said or r.hands != THEN or any(c in index for k in r.of for c in network.signs[k])]
    names = sorted({k for r in some for k in r.of})
    place = {k: n for n, k in enumerate(names)}
    signs = [
        NoisySign(network.sign_leak[k], {index[c]: s for c, s in network.signs[k].items() if c in index}) for k in names
    ]
    given = [
        SignReport(tuple(place[k] for k in r.of), r.hit, r.false_alarm, r.said, r.epoch, f"{r.hands} {r.kind}")
        for r in some
    ]
    return [(tuple(names[n] for n in places), group) for places, group in joined(signs, given)]


def known(network: Network, reports: Iterable[ToldSign], check: str, hands: str, epoch: int) -> bool:
    """Return whether all that a check could report was reported in this stretch, by the same or better hands and as surely.

    Parameters
    ----------
    network : Network
    reports : iterable of ToldSign
    check : str
    hands : str
        Who would do it.
    epoch : int
        How many remedies have been done.
    """
    record = network.kb.checks[check]
    signs = [record.answers[name].sign for name in list(record.answers)[:-1]]
    if record.kind == "measure" or not all(signs):
        return False
    hit, _ = report_rates(network.kb, hands, record.kind)
    able = [
        r for r in reports if r.epoch == epoch and r.hands != THEN and RANK[r.hands] >= RANK[hands] and r.hit >= hit
    ]
    return all(_known(network, able, sign or "") for sign in signs)


def seen_otherwise(network: Network, state: State, check: str, answer: str) -> bool:
    """Return whether the sign that an answer reports was seen in this stretch, itself or a kind of it, by whatever check.

    Parameters
    ----------
    network : Network
    state : State
    check, answer : str
    """
    record = network.kb.checks[check]
    sign = record.answers[answer].sign if answer in record.answers else None
    if sign is None or any(a.check == check and a.epoch == state.epoch and not a.proof for a in state.answers):
        return False  # what was answered there counts
    return any(
        r.said and r.hands != THEN and r.epoch == state.epoch and r.sign in network.kinds[sign]
        for r in told(network, state)
    )


def _known(network: Network, able: list[ToldSign], sign: str) -> bool:
    """Return whether a sign is known: itself, by a kind of it that was seen, or by a coarser one that was denied."""
    return any(
        r.sign == sign or (r.said and r.sign in network.kinds[sign]) or (not r.said and sign in r.of) for r in able
    )
