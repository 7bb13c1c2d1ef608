"""A fault that comes and goes, on trial after its proof: how long to watch, and whether it came back."""

from ...engine.case.events import Event
from ...engine.case.state import fold, seen_to_work, washes_to_watch
from ...engine.case.status import standing
from ...engine.language.sanitize import typed_line
from ..result import Exit
from ..terminal.asker import Quit
from ..terminal.yes_no import agreed
from .anything import aside
from .conversation import Conversation, Keep, Part, Prompt, Say

BACK = ("1", "it came back", "came back", "back", "it is back")
AWAY = ("2", "it stayed away", "stayed away", "gone")
EARLY = ("3", "", "not yet", "too soon", "too soon to say", "skip", "can't", "cant", "can't tell", "don't know")


def begun(talk: Conversation) -> list[str]:
    """Return what is said when a case goes on trial."""
    count = washes_to_watch(talk.kb, dict(fold(talk.kb, talk.events).facts))
    how = f"dryfloor resume {talk.kept_as}" if talk.kept_as else "go on with this case"
    text = (
        f"It was seen to work once. It came and went before, so the case is on trial: watch {count} washes. "
        f"If it comes back, or when {count} washes are done without it: {how}."
    )
    return talk.layout.labelled("ON TRIAL", text, "strong")


def seen(talk: Conversation) -> bool:
    """Return whether what was mended was seen to work, at its proof or in the washes after it."""
    return any(e.trial == "stayed-away" for e in talk.events) or seen_to_work(fold(talk.kb, talk.events))


def proved(talk: Conversation) -> str:
    """Return what is said when a case is closed as solved."""
    if any(e.trial == "stayed-away" for e in talk.events):
        return "It stayed away for as long as it had to; the case is closed."
    if seen(talk):
        return "It was seen to work; the case is closed."
    return "It is gone, as you say; nobody has seen the fix at work. The case is closed."


def asked(talk: Conversation) -> Part[Exit | None]:
    """Ask of a case on trial whether it came back; None where the walk goes on, solved or open again.

    Parameters
    ----------
    talk : Conversation
    """
    if standing(talk.events).state != "on-trial":
        return None
    state = fold(talk.kb, talk.events)
    gone = [c for c, e in state.gone if e == state.epoch]
    count = washes_to_watch(talk.kb, dict(state.facts))
    layout = talk.layout
    yield Say(["", layout.paint("ON TRIAL", "strong")])
    yield Say(layout.wrap(f"Has it come back since ({'; '.join(talk.kb.complaints[c].says for c in gone)})?", 3))
    for n, text in enumerate(("it came back", f"it stayed away for {count} washes or more", "too soon to say"), 1):
        yield Say(layout.wrap(text, 6, f"   {n}"))
    while True:
        typed = typed_line((yield Prompt("> ", ["it came back", "it stayed away", "too soon to say"])))
        low = typed.lower().rstrip(".!")
        came_back = agreed(typed)
        if came_back or low in BACK:
            yield Keep(Event(trial="came-back", complaints=(yield from _which(talk, gone))))
            yield Say(layout.wrap("Then it was not that alone, and the case is open again.", 3))
            return None
        if came_back is False or low in AWAY:
            yield Keep(Event(trial="stayed-away"))
            return None
        if low in EARLY:
            yield Say(layout.wrap(f"Then it stays on trial. Look again after {count} washes.", 3))
            return Exit.DONE
        if low == "stop":
            raise Quit
        yield from aside(talk, typed)
        yield Say(layout.wrap("Type 1, 2 or 3.", 3))


def _which(talk: Conversation, gone: list[str]) -> Part[list[str]]:
    """Return which of several complaints came back."""
    if len(gone) < 2:
        return gone
    layout = talk.layout
    yield Say(["Which of these?"])
    for n, name in enumerate(gone, 1):
        yield Say(layout.wrap(talk.kb.complaints[name].says, 6, f"   {n}"))
    while True:
        typed = typed_line((yield Prompt("> ", ["all"])))
        numbers = typed.lower().replace(",", " ").replace(" and ", " ").split()
        if numbers == ["stop"]:
            raise Quit
        if numbers in (["all"], ["both"]):
            return gone
        if numbers and all(x.isascii() and x.isdigit() and 1 <= int(x[:4]) <= len(gone) for x in numbers):
            return [gone[n] for n in sorted({int(x) - 1 for x in numbers})]
        yield from aside(talk, typed)
        yield Say(layout.wrap(f"Type numbers from 1 to {len(gone)}, or all.", 3))
