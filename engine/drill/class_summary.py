"""What a class's results amount to: by pupil, by rule, by family, what was dangerous, and what the class should practise next."""

from collections import Counter
from collections.abc import Sequence
from statistics import fmean

from .. import model
from ..advice import Frozen
from ..diagnosis.network import Network
from ..errors import InvalidInputError
from ..exercises.order import family_of
from ..exercises.sealing import opened
from ..exercises.site import Exercise, exercise
from .marks import key_of

GATE, STOPPED, LEFT, INTERRUPTED = "gate", "stopped", "left", "interrupted"
WEAK = 0.5  # a rule missed in so many of its rounds, or a family with so little of ours, is to be practised (judgement) [-]
MOST_ADVICE = 3  # rules that are named for practice


class Played(Frozen, frozen=True, kw_only=True):
    """One line of a class's results: whose, which installation, what it was worth, how it ended, and what was missed.

    `ours_missed` is what our own way did not find there either: no lack of the pupil's.
    """

    pupil: str
    code: str
    score: float
    minutes: float
    ended: str
    missed: tuple[str, ...] = ()
    gate: str = ""
    ours_missed: tuple[str, ...] = ()
    marks: tuple[tuple[str, str], ...] = ()


class PupilSum(Frozen, frozen=True, kw_only=True):
    """One pupil: rounds, share of ours on the average [-], minutes of looking a round, rounds that ended at a gate, missed rules with how often.

    `left` are rounds that were given up. `hard` is what our own way missed there, too; `interrupted` are rounds beside these, which count for
    nothing.
    """

    pupil: str
    rounds: int
    score: float
    minutes: float
    gates: int
    left: int
    missed: list[tuple[str, int]]
    hard: list[tuple[str, int]]
    interrupted: int


class RuleSum(Frozen, frozen=True, kw_only=True):
    """One rule, or a fault that breaks none: in how many rounds it was to be found, in how many a pupil missed it.

    `hard` are further rounds in which our own way missed it as well.
    """

    key: str
    title: str
    family: str
    rounds: int
    missed: int
    hard: int


class FamilySum(Frozen, frozen=True, kw_only=True):
    """One family of faults: rounds, share of ours on the average [-], rounds that ended at a gate."""

    family: str
    rounds: int
    score: float
    gates: int


class Practice(Frozen, frozen=True, kw_only=True):
    """Something to practise, why, and the command for it."""

    what: str
    command: str


class ClassSummary(Frozen, frozen=True, kw_only=True):
    """All of it; `unsafe` are rounds at places that were not safe, `stopped` those of them that stopped there, `foreign` rounds of another kb."""

    rounds: int
    score: float
    pupils: list[PupilSum]
    rules: list[RuleSum]
    families: list[FamilySum]
    gates: list[tuple[str, int]]
    unsafe: int
    stopped: int
    wrong: list[tuple[str, int, int]]
    practise: list[Practice]
    foreign: int = 0
    interrupted: int = 0


def summed(network: Network, rounds: Sequence[Played]) -> ClassSummary:
    """Return what a class's rounds amount to.

    Parameters
    ----------
    network : Network
    rounds : sequence of Round
        At least one. A code of another kb, or none, counts for its pupil alone: nobody can say what was to be found there.
    """
    kb = network.kb
    every, rounds = rounds, [r for r in rounds if r.ended != INTERRUPTED]
    places = [_place(network, r.code) for r in rounds]
    known = [(r, p) for r, p in zip(rounds, places, strict=True) if p is not None]
    rules, families = _rules(kb, known), _families(kb, known)
    unsafe = [r for r, p in known if p.unsafe]
    gates = Counter(_gate(kb, r.gate) for r in rounds if r.ended == GATE)
    return ClassSummary(
        rounds=len(rounds),
        score=_mean(rounds),
        pupils=_pupils(kb, every),
        rules=rules,
        families=families,
        gates=_often(gates),
        unsafe=len(unsafe),
        stopped=sum(r.ended == STOPPED for r in unsafe),
        wrong=_wrong(rounds),
        practise=_practise(kb, known, rules, gates),
        foreign=len(rounds) - len(known),
        interrupted=len(every) - len(rounds),
    )


def _place(network: Network, code: str) -> Exercise | None:
    try:
        order, same = opened(network.kb, code)
        return exercise(network, order) if same else None
    except InvalidInputError:
        return None


def _mean(rounds: Sequence[Played]) -> float:
    return round(fmean(r.score for r in rounds), 3) + 0.0 if rounds else 0.0


def _own(one: Played) -> list[str]:
    """Return what a pupil missed and our own way did not; a round that ended at a danger says nothing of what would have been found."""
    return [key for key in one.missed if key not in one.ours_missed] if one.ended != GATE else []


def _often(counted: Counter[str]) -> list[tuple[str, int]]:
    """Return what was counted, most often first, ties by name."""
    return sorted(counted.items(), key=lambda x: (-x[1], x[0]))


def _pupils(kb: model.KB, rounds: Sequence[Played]) -> list[PupilSum]:
    out = []
    for name in sorted({r.pupil for r in rounds}, key=_in_order):
        whole = [r for r in rounds if r.pupil == name]
        own = [r for r in whole if r.ended != INTERRUPTED]
        missed = Counter(_title(kb, key) for r in own for key in _own(r))
        hard = Counter(_title(kb, key) for r in own if r.ended != GATE for key in r.missed if key in r.ours_missed)
        out.append(
            PupilSum(
                pupil=name,
                rounds=len(own),
                score=_mean(own),
                minutes=round(fmean(r.minutes for r in own), 1) if own else 0.0,
                gates=sum(r.ended == GATE for r in own),
                left=sum(r.ended == LEFT for r in own),
                missed=_often(missed),
                hard=_often(hard),
                interrupted=len(whole) - len(own),
            )
        )
    return out


def _in_order(name: str) -> tuple[int, int, str]:
    """Return a key that has numbers as numbers, before names."""
    return (0, int(name), "") if name.isdecimal() and len(name) < 10 else (1, 0, name)


def _title(kb: model.KB, key: str) -> str:
    kind, _, name = key.partition(":")
    records: dict[str, model.Rule] | dict[str, model.Cause] = kb.rules if kind == "rule" else kb.causes
    return records[name].title if name in records else name


def _gate(kb: model.KB, name: str) -> str:
    return kb.hazards[name].title if name in kb.hazards else "not kept which"


def _rules(kb: model.KB, known: list[tuple[Played, Exercise]]) -> list[RuleSum]:
    asked: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    hard: Counter[str] = Counter()
    family: dict[str, str] = {}
    for one, place in known:
        if one.ended in (STOPPED, GATE):
            continue  # nothing more was to be found out there, or nobody came to it
        for cause in place.truth:
            family.setdefault(key_of(kb, cause), family_of(kb, cause))
        keys = {key_of(kb, c) for c in place.truth}
        asked.update(keys)
        missed.update(keys & {*_own(one)})
        hard.update(keys & {*one.missed} & {*one.ours_missed})
    found = [
        RuleSum(key=k, title=_title(kb, k), family=family[k], rounds=n, missed=missed[k], hard=hard[k])
        for k, n in asked.items()
    ]
    return sorted(found, key=lambda r: (-r.missed, -r.missed / r.rounds, r.title))


def _families(kb: model.KB, known: list[tuple[Played, Exercise]]) -> list[FamilySum]:
    by: dict[str, list[Played]] = {}
    for one, place in known:
        for family in sorted({family_of(kb, c) for c in place.truth}):
            by.setdefault(family, []).append(one)
    found = [
        FamilySum(family=f, rounds=len(own), score=_mean(own), gates=sum(r.ended == GATE for r in own))
        for f, own in by.items()
    ]
    return sorted(found, key=lambda f: (f.score, f.family))


def _wrong(rounds: Sequence[Played]) -> list[tuple[str, int, int]]:
    """Return of all that verdicts said what was marked wrong: about what, how often wrong, how often marked."""
    marked = Counter(about for r in rounds for about, said in r.marks if said in ("right", "wrong"))
    wrong = Counter(about for r in rounds for about, said in r.marks if said == "wrong")
    return [(about, wrong[about], n) for about, n in sorted(marked.items())]


def _practise(
    kb: model.KB,
    known: list[tuple[Played, Exercise]],
    rules: list[RuleSum],
    gates: Counter[str],
) -> list[Practice]:
    out = []
    if gates:
        dangers = ", ".join(title.lower() for title, _ in _often(gates))
        what = f"what must be safe before a step: {_times(gates.total(), 'round')} ended at a danger that was not cleared ({dangers})"
        out.append(Practice(what=what, command="dryfloor drill --first"))
    weak = [r for r in rules if r.missed and (r.missed > 1 or r.missed / r.rounds >= WEAK)][:MOST_ADVICE]
    for rule in weak:
        what = f"{rule.title.lower()}: missed in {rule.missed} of {_times(rule.rounds, 'round')}"
        out.append(Practice(what=what, command=f"dryfloor drill --fault {_fault(kb, known, rule.key)}"))
    # A round that ended at a danger says nothing of a family: it is what to practise already.
    for family in [f for f in _families(kb, [(r, p) for r, p in known if r.ended != GATE]) if f.score < WEAK][:1]:
        what = f"faults of the family {family.family}: {family.score:.2f} of ours in {_times(family.rounds, 'round')}"
        out.append(Practice(what=what, command=f"dryfloor drill --family {family.family}"))
    limits = [r for r, _ in known if ("limit", "wrong") in r.marks]
    if limits:
        what = f"limits by number: wrong in {_times(len(limits), 'round')}"
        out.append(Practice(what=what, command="dryfloor quiz"))
    return out


def _fault(kb: model.KB, known: list[tuple[Played, Exercise]], key: str) -> str:
    """Return the fault of a rule that was missed most."""
    missed = Counter(c for r, p in known if key in _own(r) for c in p.truth if key_of(kb, c) == key)
    return _often(missed)[0][0]


def _times(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"
