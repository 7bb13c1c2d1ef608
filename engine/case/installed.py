"""A surveyed installation as a case: what was known, seen and measured, what is left to mend; and what of it a later case begins with."""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

from .. import model
from .events import Event
from .state import Answered, fold

ENDED = "installed"
OPEN = "to-mend"  # it was surveyed, and something is left to mend or to be seen: the case stands open
LEFT_WRONG = "Left wrong at the installation"
MENDED_SINCE = "Mended after the installation was surveyed"
DECLINED_THEN = "Declined by the customer at the installation"
NOTED = 480  # letters of a note at most: a screen of it
TO_MEND, TO_SEE, MENDED, DECLINED = "To mend", "To be seen", "Mended", "Declined by the customer"
NOTE = re.compile(
    rf"^({TO_MEND}|{TO_SEE}|{MENDED}|{DECLINED}): (.*?) \(([a-z0-9]+(?:-[a-z0-9]+)*)\)(?:: (.*))?$", re.DOTALL
)


class Left(NamedTuple):
    """A line of a survey that something is said of: its check, that check's title, and what."""

    check: str
    title: str
    text: str = ""

    @property
    def told(self) -> str:
        """The title and what is said of it."""
        return f"{self.title}: {self.text}" if self.text else self.title

    def note(self, kind: str) -> Event:
        """Return it as a note of a kind."""
        said = f": {self.text}" if self.text else ""
        return Event(note=f"{kind}: {self.title} ({self.check}){said}"[:NOTED])


class Surveyed(NamedTuple):
    """What the notes of an installation say: what is left to mend or to be seen, what was mended, what was declined."""

    to_mend: list[Left]
    to_see: list[Left]
    mended: list[Left]
    declined: list[Left]


def surveyed(events: Sequence[Event]) -> Surveyed | None:
    """Return what the last survey of an installation left, or None where a case is none.

    Examples
    --------
    >>> surveyed([Event(role="desk")]) is None
    True
    >>> surveyed([Left("hose-depth", "Hose depth", "2 in").note(TO_MEND), Event(closed=OPEN)]).to_mend[0].text
    '2 in'
    """
    ends = [n for n, e in enumerate(events) if e.closed in (ENDED, OPEN)]
    if not ends:
        return None
    since = ends[-2] + 1 if len(ends) > 1 else 0
    kinds: dict[str, list[Left]] = {k: [] for k in (TO_MEND, TO_SEE, MENDED, DECLINED)}
    for n, event in enumerate(events):
        found = NOTE.match(event.note or "")
        if found and n < ends[-1] and (n >= since or found[1] == MENDED):
            kinds[found[1]].append(Left(found[3], found[2], found[4] or ""))
    return Surveyed(*kinds.values())


def installation(
    machine: str | None,
    facts: dict[str, str],
    readings: dict[str, str],
    measured: Sequence[str],
    told: Sequence[str],
    hands: model.Hands,
    verdict: str,
    *,
    to_mend: Sequence[Left] = (),
    to_see: Sequence[Left] = (),
    declined: Sequence[Left] = (),
    before: Sequence[Event] = (),
    says: Mapping[str, str] | None = None,
    day: str = "",
    notes: Sequence[str] = (),
    right: Collection[str] | None = None,
) -> list[Event]:
    """Return the events of an installation: closed as such, or open where something is left to mend or to be seen.

    Parameters
    ----------
    machine : str or None
        Its sheet.
    facts, readings : dict
        As on the survey sheet.
    measured : sequence of str
        The readings that are measurements: a value, no answer.
    told : sequence of str
        The readings that a customer made.
    hands : str
        Who made the others.
    verdict : str
        One word on the whole.
    to_mend, to_see, declined : sequence of Left
        What is broken, what nobody leaves without and nobody saw, and what the customer declined.
    before : sequence of Event
        Of an installation that stands open and is surveyed again: what was broken then and is right on this sheet was mended; what this
        sheet has no line for stays to be mended.
    says : mapping, optional
        Readings that are answers, in words.
    day : str
        When it was surveyed.
    notes : sequence of str
        Words that fit no line; those that stand in `before` are not written twice.
    right : collection of str, optional
        The lines that were seen right by whoever is there: only of those is a break of before mended. A line that judges nothing this time, or that
        a customer told, is no second look. All that are not broken, unless said.

    Examples
    --------
    >>> events = installation(None, {"drain": "tub"}, {"tub-volume": "20 gal"}, ["tub-volume"], [], "technician", "sound")
    >>> [e.closed or e.fact or e.check or e.role for e in events]
    ['technician', 'drain', 'tub-volume', 'installed']
    """
    facts_then, readings_then, now = _known(before)
    out = [] if before else [Event(role="technician", hands=hands)]
    now = now or hands
    if machine and not any(e.machine == machine for e in before):
        out.append(Event(machine=machine))
    out += [Event(fact=f, is_=o) for f, o in facts.items() if facts_then.get(f) != o]
    for name, said in sorted(readings.items(), key=lambda x: x[0] in told):
        by: model.Hands = "homeowner" if name in told else hands
        if readings_then.get(name) == (said, by):
            continue
        if by != now:
            now = by
            out.append(Event(hands=by))
        out.append(Event(check=name, value=said) if name in measured else Event(check=name, answer=said))
    more = [f"Said at the survey: {text}"[:NOTED] for text in notes]
    out += [Event(note=text) for text in more if not any(e.note == text for e in before)]
    then = surveyed(before)
    bad = {x.check for x in (*to_mend, *declined)}
    good = {*readings} & ({*readings} if right is None else {*right}) - bad
    left = [*to_mend, *(x for x in (then.to_mend if then else []) if x.check not in good | bad)]
    words = {**readings, **(says or {})}
    out += [_mended(x, words[x.check], day) for x in (then.to_mend if then else []) if x.check in good]
    out += [x.note(kind) for kind, some in ((TO_MEND, left), (TO_SEE, to_see), (DECLINED, declined)) for x in some]
    return [*out, _ended(f"surveyed: {verdict.replace('-', ' ')}", left, to_see)]


def _ended(how: str, left: Sequence[Left], to_see: Sequence[Left]) -> Event:
    """Return the end of an installation: open as long as something is left to mend or to be seen."""
    counts = [f"{len(some)} {word}" for some, word in ((left, "to mend"), (to_see, "to be seen")) if some]
    return Event(closed=OPEN if counts else ENDED, why="; ".join(t for t in (how, ", ".join(counts)) if t))


def _mended(was: Left, now: str, day: str) -> Event:
    on = f", surveyed again {day}" if day else ""
    return Left(was.check, was.title, f'was "{was.text.partition(". ")[0]}", now "{now}"{on}').note(MENDED)


def _known(events: Sequence[Event]) -> tuple[dict[str, str], dict[str, tuple[str, str]], model.Hands | None]:
    """Return the facts of an installation, its readings with whose hands made them, and the hands at its end; the last of each."""
    facts: dict[str, str] = {}
    readings: dict[str, tuple[str, str]] = {}
    hands: model.Hands | None = None
    for e in events:
        hands = e.hands or hands
        if e.fact:
            facts[e.fact] = e.is_ or ""
        elif e.check:
            readings[e.check] = (e.value or e.answer or "", hands or "technician")
    return facts, readings, hands


def later(kb: model.KB, case: str, events: Sequence[Event], day: str = "") -> list[Event]:
    """Return what a case begins with that comes after an installation: its machine and facts, its readings, and in notes what was left.

    The readings are reports from then (`state.Earlier`): what was left broken leads, what can't change is not asked again, and anything
    else may be, for a hose has moved since, a tap was closed.

    Parameters
    ----------
    kb : KB
    case : str
        The installation's id.
    events : sequence of Event
        Its events.
    day : str, optional
        When it was surveyed last, for people.

    Returns
    -------
    list of Event
        Nothing where the earlier case is no installation.
    """
    found = surveyed(events)
    if found is None:
        return []
    facts, readings, _ = _known(events)
    out = [Event(machine=m) for m in [e.machine for e in events if e.machine][-1:]]
    out += [Event(fact=f, is_=o) for f, o in facts.items() if f in kb.facts and f != "onset"]
    wrong = [_as_seen(kb, x) for x in found.to_mend]
    left = {x.check for x in found.to_mend}
    since = _mended_since(events)
    if not any(found):  # kept before breaks stood in it as notes
        seen = [(kb.checks[n], said) for n, (said, _) in readings.items() if n in kb.checks and n not in since]
        wrong = [f"{c.title}: {c.answers[said].says}" for c, said in seen if c.wrong(said)]
        left = {c.id for c, said in seen if c.wrong(said)}
    # What was left wrong may still be so, and may hurt: it is told before everything else.
    of = ", ".join(t for t in (case, day) if t)
    for kind, some in (
        (LEFT_WRONG, wrong),
        (DECLINED_THEN, [_as_seen(kb, x) for x in found.declined]),
        (MENDED_SINCE, [x.told for x in found.mended]),
    ):
        out += [Event(note=f"{kind}, {of}: {part}") for part in _parts(some)]
    declined = {x.check for x in found.declined}
    # What was mended and can't go wrong again by itself stands as it is now: no bolt goes back in.
    for name in sorted(since & {*kb.checks}):
        *_, right = kb.checks[name].answers or ("",)
        if kb.checks[name].lasts and right and not kb.checks[name].wrong(right):
            out.append(Event(earlier=name, answer=right))
    for name, (said, hands) in readings.items():
        if name not in kb.checks or name in since:
            continue
        became = (
            "left" if name in left else "declined" if name in declined else "told" if hands == "homeowner" else None
        )
        measure = kb.checks[name].kind == "measure"
        out.append(
            Event(earlier=name, value=said, why=became) if measure else Event(earlier=name, answer=said, why=became)
        )
    return out


def _as_seen(kb: model.KB, x: Left) -> str:
    """Return a break as it was seen: by the look, for the title of a rule says how it must be, and what is said of it that it is not so."""
    return x._replace(title=kb.checks[x.check].title).told if x.check in kb.checks else x.told


def _mended_since(events: Sequence[Event]) -> set[str]:
    """Return the checks of which nobody has read anew what a later case mended: the last reading says how it was before."""
    ends, read, mended = 0, dict[str, int](), dict[str, int]()
    for e in events:
        note = NOTE.match(e.note or "")
        ends += e.closed is not None
        if e.check:
            read[e.check] = ends
        elif note and note[1] == MENDED:
            mended[note[3]] = ends
    return {name for name, at in mended.items() if read.get(name, -1) < at}


def put_right(
    kb: model.KB, installed: Sequence[Event], now: Sequence[Event], behind: Callable[[str], set[str]], by: str
) -> list[Event]:
    """Return what a later case that was solved adds to an installation: what of it is mended or seen now, and what is left.

    Parameters
    ----------
    kb : KB
    installed : sequence of Event
        The installation's.
    now : sequence of Event
        The later case's, with its proof.
    behind : callable
        For a check, the causes that its break of then may have come from.
    by : str
        The later case and its day, for people.

    Returns
    -------
    list of Event
        Nothing where the installation has nothing open that the case speaks of.
    """
    found = surveyed(installed)
    if found is None:
        return []
    state = fold(kb, list(now))
    worked = [t for t in state.remedies if t.did == "done" and t.passed]
    proofs = {a.check: a.said for a in state.answers if a.proof}
    out: list[Event] = []

    def mended(x: Left) -> bool:
        was = f'was "{x.text.partition(". ")[0]}", ' if x.text else ""
        for t in worked:
            # The mend that the sheet named, or a proof that looks at the same thing: a spin that stays put is no second look at a floor.
            if t.cause in behind(x.check) and (_named(kb, t.cause, x) or _same_look(kb, t.cause, x)):
                remedy, proof = kb.causes[t.cause].remedy.title, kb.causes[t.cause].proof.check
                seen = _said(kb, proof, proofs.get(proof, ""))
                text = f"{was}mended by case {by}: {remedy}; {kb.checks[proof].title.lower()}: {seen}"
                out.append(Left(x.check, x.title, text).note(MENDED))
                return True
        last = [a for a in state.answers if a.check == x.check and not a.proof and x.check in kb.checks][-1:]
        if last and _right(kb, last[0].check, last[0].said, last[0].hands):
            text = f'{was}seen right by case {by}: "{_said(kb, x.check, last[0].said)}"'
            out.append(Left(x.check, x.title, text).note(MENDED))
            return True
        return False

    def seen(x: Left) -> bool:
        # A proof that looks at the same rule sees the line, too: paper that stays dry at every coupling saw no drip there.
        rule = kb.checks[x.check].rule if x.check in kb.checks else None

        def speaks(a: Answered) -> bool:
            return a.check == x.check or (a.proof and rule is not None and kb.checks[a.check].rule == rule)

        said = [a for a in state.answers if speaks(a)][-1:]
        return bool(said) and _right(kb, said[0].check, said[0].said, said[0].hands)

    left = [x for x in found.to_mend if not mended(x)]
    declined = [x for x in found.declined if not mended(x)]
    to_see = [x for x in found.to_see if not seen(x)]
    if not out and to_see == found.to_see:
        return []
    kinds = ((TO_MEND, left), (TO_SEE, to_see), (DECLINED, declined))
    return [
        *out,
        *(x.note(kind) for kind, some in kinds for x in some),
        _ended(f"gone on with by case {by}", left, to_see),
    ]


def _named(kb: model.KB, cause: str, left: Left) -> bool:
    """Return whether a cause's remedy is the mend that a sheet named for what it left."""
    return not left.text or kb.causes[cause].remedy.title in left.text


def _same_look(kb: model.KB, cause: str, left: Left) -> bool:
    """Return whether the proof of a cause's remedy reads the rule that was left broken."""
    rule = kb.checks[left.check].rule if left.check in kb.checks else None
    return rule is not None and kb.checks[kb.causes[cause].proof.check].rule == rule


def _right(kb: model.KB, check: str, said: str, hands: str) -> bool:
    """Return whether what was said of a check is as it must be."""
    if kb.checks[check].kind != "measure":
        return not kb.checks[check].wrong(said)
    from ..measurement.readings import reading

    return reading(kb, check, said, hands).verdict.state != "broken"


def _said(kb: model.KB, check: str, said: str) -> str:
    answers = kb.checks[check].answers
    return answers[said].says if said in answers else said


def _parts(texts: list[str]) -> list[str]:
    """Return texts joined, in parts that each fit a note."""
    out: list[str] = []
    for text in texts:
        if out and len(out[-1]) + len(text) + 2 <= NOTED:
            out[-1] += f"; {text}"
        else:
            out.append(text)
    return out
