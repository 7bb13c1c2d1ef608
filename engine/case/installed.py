"""A surveyed installation as a case: what was known, seen and measured; and what of it a later case begins with."""

from collections.abc import Sequence

from .. import model
from .events import Event

ENDED = "installed"
LEFT_WRONG = "Left wrong at the installation"
NOTED = 480  # letters of a note at most: a screen of it


def installation(
    machine: str | None,
    facts: dict[str, str],
    readings: dict[str, str],
    measured: Sequence[str],
    told: Sequence[str],
    hands: model.Hands,
    verdict: str,
) -> list[Event]:
    """Return the events of an installation, closed as such.

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

    Examples
    --------
    >>> events = installation(None, {"drain": "tub"}, {"tub-volume": "20 gal"}, ["tub-volume"], [], "technician", "sound")
    >>> [e.closed or e.fact or e.check or e.role for e in events]
    ['technician', 'drain', 'tub-volume', 'installed']
    """
    out = [Event(role="technician", hands=hands)]
    if machine:
        out.append(Event(machine=machine))
    out += [Event(fact=f, is_=o) for f, o in facts.items()]
    now = hands
    for name, said in sorted(readings.items(), key=lambda x: x[0] in told):
        by: model.Hands = "homeowner" if name in told else hands
        if by != now:
            now = by
            out.append(Event(hands=by))
        out.append(Event(check=name, value=said) if name in measured else Event(check=name, answer=said))
    return [*out, Event(closed=ENDED, why=f"surveyed: {verdict.replace('-', ' ')}")]


def later(kb: model.KB, case: str, events: Sequence[Event]) -> list[Event]:
    """Return what a case begins with that comes after an installation: its machine and facts, and its readings as a note.

    The readings are no answers of today: a hose has moved since, a tap was closed. They stand in the case as what was seen then.

    Parameters
    ----------
    kb : KB
    case : str
        The installation's id.
    events : sequence of Event
        Its events.

    Returns
    -------
    list of Event
        Nothing where the earlier case is no installation.
    """
    if not any(e.closed == ENDED for e in events):
        return []
    out = [Event(machine=e.machine) for e in events if e.machine]
    out += [Event(fact=e.fact, is_=e.is_) for e in events if e.fact in kb.facts and e.fact != "onset"]
    seen = [(kb.checks[e.check], e.value or e.answer or "") for e in events if e.check in kb.checks]
    measured = [f"{c.title.lower()} {said}" for c, said in seen if c.kind == "measure"]
    looked = [
        f"{c.title.lower()}: {c.answers[said].says if said in c.answers else said}"
        for c, said in seen
        if c.kind != "measure"
    ]
    wrong = [
        f"{c.title.lower()}: {c.answers[said].says}"
        for c, said in seen
        if said in c.answers and said != list(c.answers)[-1]
    ]
    # What was left wrong may still be so, and may hurt: it is told before everything else.
    out += [Event(note=f"{LEFT_WRONG}, {case}: {part}") for part in _parts(wrong)]
    for part in _parts([*measured, *looked]):
        out.append(Event(note=f"At the installation, {case}: {part}"))
    return out


def _parts(texts: list[str]) -> list[str]:
    """Return texts joined, in parts that each fit a note."""
    out: list[str] = []
    for text in texts:
        if out and len(out[-1]) + len(text) + 2 <= NOTED:
            out[-1] += f"; {text}"
        else:
            out.append(text)
    return out
