"""Hearing a complaint: what was understood is shown, and only what the person confirms is recorded."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from string import ascii_lowercase as LETTERS

from ...engine.case.events import Event
from ...engine.case.families import FAMILIES, QUESTION, of_family, parted
from ...engine.case.state import fold
from ...engine.case.told import Mention, beside, listened, mentioned
from ...engine.language.display import ASK, code
from ...engine.language.foreign import english_only
from ...engine.language.matching import MOST, THREE
from ...engine.language.sanitize import typed_line
from ..terminal.asker import Quit
from ..terminal.yes_no import agreed
from .conversation import ClearGates, Conversation, Keep, Part, Prompt, Say

LEAVE = ("stop", "quit", "exit")
UNCOVERED = (
    "Then my rules may not cover it; a washer technician is the one to ask. What you said is kept as a note. "
    "Say it in other words, or type stop."
)
AGAIN = "Say it in other words, or type stop."
MORE = re.compile(r"(?:\+|(?:and|also|plus)\b)[\s,]*(?=\S)", re.IGNORECASE)  # opens more of the same story
HELP = "Say in a few words what you see, hear or find wet at the washer. stop leaves; what was confirmed is kept."


def unconfirmed(events: Sequence[Event]) -> str | None:
    """Return the words of a case that ended before anybody said which complaints they name; None where somebody did, or nothing was said.

    Examples
    --------
    >>> unconfirmed([Event(role="desk"), Event(heard="it walks, and the ceiling is wet"), Event(resumed=True)])
    'it walks, and the ceiling is wet'
    >>> unconfirmed([Event(heard="it walks"), Event(complaints=["walks"])]) is None
    True
    """
    if any(e.complaints for e in events):
        return None
    return next((e.heard for e in reversed(events) if e.heard), None)


def listen(talk: Conversation, text: str, kept: bool = False) -> Part[None]:
    """Hear a complaint in free words and record what the person confirms; raise Quit where they leave.

    Parameters
    ----------
    talk : Conversation
    text : str
        As typed.
    kept : bool
        These words stand in the case already.
    """
    raised: set[str] = set()
    struck: list[Event] = []
    before: list[str] = []
    while True:
        text = typed_line(text)
        low = text.lower().rstrip(".!")
        if low in LEAVE:
            raise Quit
        if not text or low in ("help", "?", "back", "change"):
            yield Say(talk.layout.wrap(HELP, 3))
            text = yield Prompt("> ")
            continue
        own = _own_words(text)
        if own is not None:
            # A danger in a note is heard, and its gate comes first.
            yield Keep(Event(note=own))
            yield Say(talk.layout.wrap(UNCOVERED, 3))
            text = yield Prompt("> ")
            continue
        heard, values = listened(talk.kb, text)
        dangers = [h.hazard for h in heard.hazards if h.hazard not in raised]
        raised.update(dangers)
        said, kept = bool(dangers) or kept, False
        if dangers:
            # A danger in the words is dealt with before anybody is asked what the complaint is.
            if unconfirmed(talk.events) != text:
                yield Keep(Event(heard=text))
            if not (yield ClearGates(dangers)) or not heard.complaints:
                return
        foreign = english_only(text)
        likely = list(dict.fromkeys([*before, *(m.complaint for m in heard.complaints if m.likely)]))[:MOST]
        maybe = [m.complaint for m in heard.complaints if m.complaint not in likely]
        names = [] if foreign else [*likely, *maybe][: MOST if likely else THREE]
        aside = beside(talk.kb, talk.events, heard, {*names, *fold(talk.kb, talk.events).complaints})
        known = {e.check for e in talk.events if e.check}
        aside += [mentioned(talk.kb, v) for v in values if v.check not in known]
        aside = [o for o in aside if o.event not in struck]
        sheet = Confirmation(names, likely, aside, {m.complaint: m.told for m in heard.complaints if m.told})
        if code(text):
            yield Say(talk.layout.wrap(ASK, 3))
        chosen: list[str] | str = []
        if names:
            chosen = yield from _confirm(talk, sheet)
        else:
            why = foreign or heard.off_topic or "I know nothing that fits these words."
            yield Say(talk.layout.wrap(why, 3))
        if not chosen:
            sheet.names = [c for c in heard.order or talk.kb.complaints if c not in names]
            chosen = yield from _narrow(talk, sheet)
        if isinstance(chosen, str):
            struck += [o.event for n, o in enumerate(sheet.aside) if n in sheet.struck]
            # What a story told of before it grew stays heard.
            before = sheet.likely if isinstance(chosen, More) else []
            text = f"{text.rstrip('.')}. {chosen}" if isinstance(chosen, More) else chosen
            continue
        if not chosen:
            if not said:
                yield Keep(Event(note=text))
            yield Say(talk.layout.wrap(UNCOVERED, 3))
            text = yield Prompt("> ")
            continue
        yield Keep(Event(complaints=chosen) if said else Event(heard=text, complaints=chosen))
        for offer in sheet.kept(chosen):
            yield Keep(offer.event)
        return


def _own_words(text: str) -> str | None:
    """Return the words that somebody wants kept as they are, because nothing here fits; None where they are to be heard.

    Examples
    --------
    >>> _own_words("words it sings at night"), _own_words("it sings at night")
    ('it sings at night', None)
    """
    head, _, rest = text.partition(" ")
    return rest.strip() if head.lower() in ("words", "note") and rest.strip() else None


class More(str):
    """Words that go on with a story, at its confirmation: both are heard together."""


@dataclass
class Confirmation:
    """All that one confirmation is about.

    Parameters
    ----------
    names
        complaints to choose from, the likely ones first
    likely
        those that a yes takes
    aside
        circumstances and answers heard beside them; each has a letter, which strikes it out
    told
        complaint to the sentence that it was heard in, where that is not the whole story
    """

    names: list[str]
    likely: list[str]
    aside: list[Mention]
    told: dict[str, str]
    struck: set[int] = field(default_factory=set)

    def kept(self, chosen: list[str]) -> list[Mention]:
        """Return what is recorded beside the complaints that were chosen: what was not struck out and goes with them."""
        return [
            o
            for n, o in enumerate(self.aside)
            if n not in self.struck and (not o.goes_with or o.goes_with & set(chosen))
        ]

    def strike(self, typed: str) -> str:
        """Strike out what a typed line says to, and return the rest of the line.

        Examples
        --------
        >>> sheet = Confirmation(["walks"], ["walks"], [Mention("floor: wood", Event(fact="floor", is_="wood-joists"))], {})
        >>> sheet.strike("yes -a"), sorted(sheet.struck)
        ('yes', [0])
        """
        keys = LETTERS[: len(self.aside)]
        if not keys:
            return typed
        found = re.findall(rf"(?<!\S)-([{keys}])(?!\S)", typed)
        self.struck |= {keys.index(key) for key in found}
        return " ".join(re.sub(rf"(?<!\S)-[{keys}](?!\S)", " ", typed).split()) if found else typed


def _narrow(talk: Conversation, sheet: Confirmation) -> Part[list[str] | str]:
    """Return what a person picks after one question that parts the families, or from all that are left, the likeliest first."""
    wrap = talk.layout.wrap
    chosen: list[str] | str
    left = sheet.names
    sheet.likely = []
    if parted(left):
        families = list(FAMILIES)
        yield Say([QUESTION])
        for n, family in enumerate(families, 1):
            yield Say(wrap(family, 6, f"   {n}"))
        yield Say(wrap("Which? (a number, none, or other words)"))
        while True:
            typed = typed_line((yield Prompt("> ")))
            low = typed.lower().rstrip(".!")
            if low in LEAVE:
                raise Quit
            if low.isascii() and low.isdigit():
                if 1 <= int(low[:4]) <= len(families):
                    names = of_family(families[int(low[:4]) - 1], left)
                    sheet.names = names
                    chosen = yield from _confirm(talk, sheet)
                    if chosen:
                        return chosen
                    left = [c for c in left if c not in names]
                    break
                yield Say(wrap(f"The numbers go from 1 to {len(families)}.", 3))
            elif agreed(typed) is False:
                break
            elif low in ("", "help", "?") or agreed(typed):
                yield Say(wrap("Type a number, none, or other words.", 3))
            else:
                return typed
    sheet.names = left
    return (yield from _confirm(talk, sheet)) if left else []


def _confirm(talk: Conversation, sheet: Confirmation) -> Part[list[str] | str]:
    """Return the complaints that a person confirms, none where none of them fits, or other words to hear instead.

    What was heard beside them stands in the same list, each with a letter that strikes it out.
    """
    layout = talk.layout
    names, likely = sheet.names, sheet.likely
    if likely:
        yield Say(["I hear:"])
    for n, name in enumerate(names, 1):
        if n == len(likely) + 1:
            yield Say(["Or is it:" if likely else "Is it one of these?"])
        said = f' ("{shortened(sheet.told[name])}")' if name in sheet.told else ""
        yield Say(layout.wrap(f"{talk.kb.complaints[name].says}{said}", 6, f"   {n}"))
    if sheet.aside:
        yield Say(["And with it:"])
        for key, offer in zip(LETTERS, sheet.aside, strict=False):
            yield Say(layout.wrap(offer.says, 6, f"   {key}"))
    ways = ["yes"] if likely else []
    ways += ["a number" if len(names) == 1 else "numbers such as 1 2"] if not likely or len(names) > 1 else []
    ways += ["-a to strike a out"] if sheet.aside else []
    # Whoever is on the phone tells on while what was said is read: there the story grows.
    desk = fold(talk.kb, talk.events).role == "desk"
    ways += ["change" if likely else "none", "more of the story" if desk else "other words"]
    question = "Right?" if likely else "Which?"
    yield Say(layout.wrap(f"{question} ({', '.join(ways[:-1])}, or {ways[-1]})"))
    while True:
        typed = typed_line((yield Prompt("> ", ways[:1] if likely else [])))
        low = typed.lower().rstrip(".!")
        before = set(sheet.struck)
        low = sheet.strike(low)
        if sheet.struck != before:
            out = [sheet.aside[n].says for n in sorted(sheet.struck - before)]
            yield Say(layout.wrap(f"Struck out: {'; '.join(out)}.", 3))
            if not low:
                yield Say(layout.wrap(f"And the rest? ({', '.join(w for w in ways if not w.startswith('-'))})"))
                continue
        numbers = low.replace(",", " ").replace(" and ", " ").split()
        if agreed(low) and (likely or len(names) == 1):
            return likely or names
        if numbers and all(x.isascii() and x.isdigit() for x in numbers):
            picked = [int(x) for x in dict.fromkeys(x[:4] for x in numbers)]
            if all(1 <= x <= len(names) for x in picked):
                return [names[x - 1] for x in dict.fromkeys(picked)]
            yield Say(layout.wrap(f"The numbers go from 1 to {len(names)}.", 3))
        elif low in LEAVE:
            raise Quit
        elif low in ("none", "none of these", "none of them", "neither") and not likely:
            return []
        elif agreed(low) is False or low in ("change", "back"):
            yield Say([AGAIN])
            other: str = yield Prompt("> ")
            return other
        elif agreed(low) or low in ("help", "?"):
            yield Say(layout.wrap(f"Type {', '.join(ways[:-1])}, or {ways[-1]}.", 3))
        elif low:
            more = MORE.match(typed)
            return More(typed[more.end() :]) if more else More(typed) if desk else typed


def shortened(text: str, most: int = 60) -> str:
    """Return words for a quotation, cut where a word ends.

    Examples
    --------
    >>> shortened("the floor is wet", 10)
    'the floor...'
    """
    return text if len(text) <= most else text[:most].rpartition(" ")[0] + "..."
