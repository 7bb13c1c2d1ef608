"""Hearing a complaint: what was understood is shown, and only what the person confirms is recorded."""

from ...engine.case.events import Event
from ...engine.language.families import FAMILIES, QUESTION, of_family, parted
from ...engine.language.matching import MOST, THREE, Heard, hear
from ...engine.language.sanitize import typed_line
from ..terminal.asker import Quit
from .conversation import ClearGates, Conversation, Keep, Part, Prompt, Say

YES = ("yes", "y", "right", "ok", "okay", "yeah", "yep", "sure", "correct")
NO = ("no", "n", "nope", "wrong")
LEAVE = ("stop", "quit", "exit")
AGAIN = "Say it in other words, or type stop."
HELP = "Say in a few words what you see, hear or find wet at the washer. stop leaves; what was confirmed is kept."


def listen(talk: Conversation, text: str) -> Part[None]:
    """Hear a complaint in free words and record what the person confirms; raise Quit where they leave.

    Parameters
    ----------
    talk : Conversation
    text : str
        As typed.
    """
    while True:
        text = typed_line(text)
        low = text.lower().rstrip(".!")
        if low in LEAVE:
            raise Quit
        if not text or low in ("help", "?", "back", "change"):
            yield Say(talk.layout.wrap(HELP, 3))
            text = yield Prompt("> ")
            continue
        heard = hear(text, talk.kb)
        said = bool(heard.hazards)
        if said:
            # A danger in the words is dealt with before anybody is asked what the complaint is.
            yield Keep(Event(heard=text))
            if not (yield ClearGates([h.hazard for h in heard.hazards])) or not heard.complaints:
                return
        likely = [m.complaint for m in heard.complaints if m.likely][:MOST]
        maybe = [m.complaint for m in heard.complaints if not m.likely]
        names = [*likely, *maybe][: MOST if likely else THREE]
        chosen: list[str] | str = []
        if names:
            chosen = yield from _confirm(talk, names, likely)
        else:
            yield Say(talk.layout.wrap(heard.off_topic or "I know nothing that fits these words.", 3))
        if not chosen:
            left = [c for c in heard.order or talk.kb.complaints if c not in names]
            chosen = yield from _narrow(talk, left)
        if isinstance(chosen, str):
            text = chosen
            continue
        yield Keep(Event(complaints=chosen) if said else Event(heard=text, complaints=chosen))
        yield from _confirm_aside(talk, heard, chosen)
        return


def _narrow(talk: Conversation, left: list[str]) -> Part[list[str] | str]:
    """Return what a person picks after one question that parts the families, or from all that are left, the likeliest first."""
    wrap = talk.layout.wrap
    chosen: list[str] | str
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
                    chosen = yield from _confirm(talk, names, [])
                    if chosen:
                        return chosen
                    left = [c for c in left if c not in names]
                    break
                yield Say(wrap(f"The numbers go from 1 to {len(families)}.", 3))
            elif low in (*NO, "none"):
                break
            elif low in ("", "help", "?"):
                yield Say(wrap("Type a number, none, or other words.", 3))
            else:
                return typed
    chosen = (yield from _confirm(talk, left, [])) if left else []
    if not chosen:
        yield Say(wrap("Then my rules don't cover it, and a washer technician is the one to ask.", 3))
        raise Quit
    return chosen


def _confirm(talk: Conversation, names: list[str], likely: list[str]) -> Part[list[str] | str]:
    """Return the complaints that a person confirms, none where none of them fits, or other words to hear instead."""
    layout = talk.layout
    if likely:
        yield Say(["I hear:"])
    for n, name in enumerate(names, 1):
        if n == len(likely) + 1:
            yield Say(["Or is it:" if likely else "Is it one of these?"])
        yield Say(layout.wrap(talk.kb.complaints[name].says, 6, f"   {n}"))
    ways = ["yes"] if likely else []
    ways += ["a number" if len(names) == 1 else "numbers such as 1 2"] if not likely or len(names) > 1 else []
    ways += ["change", "other words"] if likely else ["none", "other words"]
    question = "Right?" if likely else "Which?"
    yield Say(layout.wrap(f"{question} ({', '.join(ways[:-1])}, or {ways[-1]})"))
    while True:
        typed = typed_line((yield Prompt("> ", ways[:1] if likely else [])))
        low = typed.lower().rstrip(".!")
        numbers = low.replace(",", " ").replace(" and ", " ").split()
        if low in YES and (likely or len(names) == 1):
            return likely or names
        if numbers and all(x.isascii() and x.isdigit() for x in numbers):
            picked = [int(x) for x in dict.fromkeys(x[:4] for x in numbers)]
            if all(1 <= x <= len(names) for x in picked):
                return [names[x - 1] for x in dict.fromkeys(picked)]
            yield Say(layout.wrap(f"The numbers go from 1 to {len(names)}.", 3))
        elif low in LEAVE:
            raise Quit
        elif low in ("none", "none of these") and not likely:
            return []
        elif low in (*NO, "change", "back", "none"):
            yield Say([AGAIN])
            other: str = yield Prompt("> ")
            return other
        elif low in (*YES, "help", "?"):
            yield Say(layout.wrap(f"Type {', '.join(ways[:-1])}, or {ways[-1]}.", 3))
        elif low:
            return typed


def _confirm_aside(talk: Conversation, heard: Heard, chosen: list[str]) -> Part[None]:
    """Record the circumstances and answers heard beside the complaint, where the person says that they are right."""
    kb = talk.kb
    known = {e.fact for e in talk.events if e.fact} | {e.check for e in talk.events if e.check}
    offered: list[tuple[str, Event]] = []
    for f in heard.facts:
        if f.fact not in known:
            fact = kb.facts[f.fact]
            offered.append((f"{fact.title}: {fact.options[f.option].says}", Event(fact=f.fact, is_=f.option)))
    for a in heard.answers:
        check = kb.checks[a.check]
        if a.check not in known and set(chosen) & set(check.heard_with):
            offered.append((f"{check.title}: {check.answers[a.answer].says}", Event(check=a.check, answer=a.answer)))
    if not offered:
        return
    layout = talk.layout
    yield Say(["I also hear:"])
    for n, (said, _) in enumerate(offered, 1):
        yield Say(layout.wrap(said[:1].lower() + said[1:], 6, f"   {n}"))
    ways = "yes, or no" if len(offered) == 1 else "yes, no, or numbers of those that are right"
    yield Say(layout.wrap(f"Right? ({ways}; what is left out is asked when it matters)"))
    while True:
        low = typed_line((yield Prompt("> ", ["yes", "no"]))).lower().rstrip(".!")
        numbers = low.replace(",", " ").replace(" and ", " ").split()
        if low in YES:
            break
        if low in (*NO, "change", "skip", "none", "can't", "back"):
            return
        if low in LEAVE:
            raise Quit
        if numbers and all(x.isascii() and x.isdigit() and 1 <= int(x[:4]) <= len(offered) for x in numbers):
            offered = [offered[n] for n in sorted({int(x) - 1 for x in numbers})]
            break
        yield Say(layout.wrap(f"Type {ways}.", 3))
    for _, event in offered:
        yield Keep(event)
