"""What can be asked beside an answer: why, the answers so far, notes, a change of an earlier answer, a step back."""

from pathlib import Path

from ...engine import model
from ...engine.advice import Card, Choice
from ...engine.advise import advise, card_of
from ...engine.answers.picking import pick
from ...engine.case.events import Event
from ...engine.case.interpret import interpret, left_for_now
from ...engine.case.rows import leading
from ...engine.case.state import fold
from ...engine.case.told import NOTED
from ...engine.errors import Problem
from ...engine.language.foreign import english_only
from ...engine.language.sanitize import typed_line, visible
from ..render import card as render
from ..render.advice import in_100
from ..terminal.asker import Quit
from ..terminal.layout import Layout
from ..terminal.yes_no import agreed
from .anything import aside, heard_at
from .conversation import Conversation, Keep, Part, Prompt, Replace, Say, TakeBack

# A gate is no answer to take back: it is asked again after the answer before it.
UNDONE = ("check", "fact", "cant", "skip", "remedy", "proof", "still", "complaints", "heard")
WORTH = 0.01  # a cause that explains less is not offered as mended besides [prob]
MOST = 8
HELP = (
    ("answer", "its number or its words, or a value with its unit"),
    ("sentence", "anything else you notice, in your own words; it is heard, and the question stays"),
    ("why", "the reasons so far, and what each answer weighed"),
    ("back", "take the last answer back"),
    ("none of these", "no answer fits: your own words are kept for the next person; words WORDS says them at once"),
    ("can't", "you can't tell, or can't do it"),
    ("skip", "not now"),
    ("change", "answer an earlier question anew"),
    ("show me", "draw what is meant, as pictures beside the case"),
    ("list", "the answers so far"),
    ("also", "also WORDS: one more complaint"),
    ("besides", "something else was mended too, before this is proved"),
    ("turned out", "turned out WORDS: it is known by now what it was; that ends the case"),
    ("note", "note WORDS: a remark for the next person; notes shows them"),
    ("tell", "stop here: what to tell the repairer, and what to do until they come"),
    ("stop", "leave; the case is kept"),
    ("Enter", "show this question again"),
)


def help_lines(talk: Conversation) -> list[str]:
    """Return what can be typed at a card."""
    return [line for label, text in HELP for line in talk.layout.labelled(label, text)]


def at_gate(talk: Conversation, card: Card, words: str) -> Part[bool]:
    """Record the danger that words at a gate name, and return whether they do: words raise a danger there and never clear one."""
    from ...engine.language.matching import hear

    named = [h.hazard for h in hear(words, talk.kb).hazards if talk.kb.hazards[h.hazard].gate]
    if card.id in named:
        yield Keep(left_for_now(card) or Event(stopped=card.id))
        return True
    for hazard in dict.fromkeys(named):
        yield Keep(Event(hazard=hazard))
    text = typed_line(words)
    foreign = "" if named else english_only(text)
    if foreign:
        yield Say(talk.layout.wrap(foreign, 3))
    if not named and len(text.split()) >= NOTED:
        yield Keep(Event(note=text))
        yield Say(talk.layout.wrap("Your words are kept as a note; they don't clear this.", 3))
    return bool(named)


def why(talk: Conversation, card: Card) -> list[str]:
    """Return the reasons: why this question, what is believed, what each answer weighed, and the rule in full."""
    from ...engine.advising.explain import weights

    layout = talk.layout
    margin = 0 if layout.narrow else 3
    cause, found = weights(talk.kb, talk.events)
    lines = layout.wrap(f"This question now: {card.why}.", margin) if card.why else []
    for text in card.rule[2:]:
        lines += layout.wrap(text[0].upper() + text[1:] + ".", margin)
    advice = advise(talk.kb, talk.events)
    for b in advice.beliefs[:4]:
        lines += layout.wrap(f"{b.title}: explains it {in_100(b.p)}", margin)
    lines += layout.wrap(f"Something this kb does not know: {in_100(advice.unknown)}", margin)
    if cause and found:
        lines += layout.wrap(f"What was said, for {talk.kb.causes[cause].title.lower()}:", margin)
        for w in found[:8]:
            lines += layout.wrap(w.text, margin + 2, " " * margin + "-")
    return lines


def answered(talk: Conversation) -> list[tuple[str, str, int]]:
    """Return each check and fact that was answered: its title, what was said, and where its event stands."""
    return answers_of(talk.kb, talk.events)


def answers_of(kb: model.KB, events: list[Event]) -> list[tuple[str, str, int]]:
    """Return each check and fact that was answered in a case: its title, what was said, and where its event stands."""
    found: dict[str, tuple[str, str, int]] = {}
    for i, e in enumerate(events):
        if e.check in kb.checks and e.check:
            answers = kb.checks[e.check].answers
            said = e.answer or e.value or ""
            found[e.check] = (kb.checks[e.check].title, answers[said].says if said in answers else said, i)
        elif e.fact in kb.facts and e.fact:
            found[e.fact] = (kb.facts[e.fact].title, kb.facts[e.fact].options[e.is_ or ""].says, i)
    return list(found.values())


def picture_lines(talk: Conversation, card: Card, folder: Path) -> list[str]:
    """Draw a card's pictures to what is known, each into a file, and return where they are."""
    from ...engine.advising.illustrations import drawn

    machine = talk.kb.machines.get(next((e.machine for e in reversed(talk.events) if e.machine), ""))
    read = advise(talk.kb, talk.events).readings if card.pictures else []
    out: list[str] = []
    for shown in card.pictures:
        svg = drawn(talk.kb, shown, read, machine)
        path = folder / f"{shown.id}.svg"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_text(visible(svg), encoding="utf-8")
        except OSError as error:
            return talk.layout.wrap(f"It can't be drawn: {path}: {error.strerror or error}.", 3)
        step = f"step {shown.step}: " if shown.step else ""
        out += [*talk.layout.wrap(f"{step}{shown.title}. A browser opens it:", 3), f"   {path}"]
    return out or talk.layout.wrap("There is no picture for this one.", 3)


def list_lines(talk: Conversation) -> list[str]:
    """Return the answers so far, numbered."""
    rows = enumerate(answered(talk), 1)
    lines = [line for n, (title, said, _) in rows for line in talk.layout.wrap(f"{title}: {said}", 6, f"   {n}")]
    return [*(lines or ["   Nothing was answered yet."]), *then_lines(talk.layout, talk.kb, talk.events)]


def then_lines(layout: Layout, kb: model.KB, events: list[Event]) -> list[str]:
    """Return what was seen at the installation that a case comes after: what was left wrong line by line, the rest in one."""
    from ...engine.reports.handover import then

    found = fold(kb, events).earlier
    lines = [line for e in found if e.left for line in layout.labelled("then", f"{then(kb, e)}.", "strong")]
    rest = "; ".join(then(kb, e) for e in found if not e.left)
    return [*lines, *(layout.labelled("then", f"{rest}.") if rest else [])]


def note_lines(talk: Conversation) -> list[str]:
    """Return the notes so far."""
    lines = [line for e in talk.events if e.note for line in talk.layout.wrap(e.note, 5, "   -")]
    return lines or talk.layout.wrap("No notes yet. note WORDS adds one.", 3)


def tell_lines(talk: Conversation) -> list[str]:
    """Return what to tell the repairer as the case stands, and what may be done until they come."""
    from ...engine.reports.short_handover import short_handover

    told = short_handover(talk.kb, talk.events)
    layout = talk.layout
    lines = [layout.paint(f"{told.title} (call {told.trade})", "strong")]
    for t in told.lines:
        lines += layout.wrap(f"{t.label}: {t.text}", 0 if layout.narrow else 3)
    for m in told.meanwhile:
        lines += layout.labelled("meantime", m, "strong")
    return lines


def back(talk: Conversation) -> Part[bool]:
    """Take back the last answer and all after it; False where there is none."""
    for i in range(len(talk.events) - 1, -1, -1):
        if leading(talk.events[i]) in UNDONE:
            yield Say(talk.layout.wrap(f"Taken back: {_told(talk, talk.events[i])}.", 3))
            yield TakeBack(i)
            return True
    yield Say(["   There is nothing to take back."])
    return False


def _told(talk: Conversation, e: Event) -> str:
    """Return an event in a few plain words."""
    kb = talk.kb
    if e.check or e.proof:
        return kb.checks[e.check or e.proof or ""].title.lower()
    if e.fact:
        return kb.facts[e.fact].title.lower()
    if e.remedy:
        return kb.causes[e.remedy].remedy.title.lower()
    return "what was heard" if e.heard or e.complaints else "the last answer"


def change(talk: Conversation, words: str) -> Part[bool]:
    """Ask an earlier question anew; its new answer takes the old one's place. False where nothing was changed."""
    rows = answered(talk)
    if not rows:
        yield Say(list_lines(talk))
        return False
    if not words:
        yield Say(list_lines(talk))
        yield Say(["Change which? (a number)"])
        words = typed_line((yield Prompt("> ", [title for title, _, _ in rows])))
    picker = Card(
        kind="fact", id="change", title="", choices=[Choice(id=str(n), says=row[0]) for n, row in enumerate(rows, 1)]
    )
    chosen, problem = pick(picker, words.lower())
    if chosen is None:
        mend = f"type change and a number from 1 to {len(rows)}"
        back = Problem(code="A004", message=problem.message if problem else "", mend=mend)
        return (yield from aside(talk, words, back))
    _, said, at = rows[int(chosen) - 1]
    old = talk.events[at]
    card = card_of(talk.kb, talk.events, old)
    yield Say(render.card(talk.layout, card, int(chosen)))
    yield Say(talk.layout.wrap(f"So far: {said}. back leaves it so.", 3))
    event = yield from _anew(talk, card)
    if event is None:
        yield Say(["   Left as it was."])
        return False
    before, after = fold(talk.kb, talk.events[: at + 1]), fold(talk.kb, talk.events)
    if before.epoch == after.epoch:
        # Other hands than before look for themselves, and theirs counts; the same hands mean to correct it.
        yield Keep(event)
    else:
        # Asked anew after a remedy it would count as seen after it; what was meant is the earlier answer.
        yield Replace(at, event)
    return True


def besides(talk: Conversation, words: str) -> Part[bool]:
    """Record that something else was mended in the same visit; False where nothing was.

    Two that were mended before one proof are kept apart: the proof then speaks of both, and says of neither that it was it.
    """
    kb, state = talk.kb, fold(talk.kb, talk.events)
    known = {t.cause for t in state.remedies if t.did == "done"}
    found = [b.cause for b in advise(kb, talk.events).beliefs if b.cause not in known and b.p >= WORTH]
    # Work that is done is done, by whomever; what nobody but a trade may do is told apart by its title.
    rows = [(c, kb.causes[c].remedy.title) for c in found if kb.causes[c].kind != "normal"][:MOST]
    if not rows:
        yield Say(
            talk.layout.wrap(
                "Nothing else that I know could have mended this. note WORDS keeps it for the next person.", 3
            )
        )
        return False
    if not words:
        for n, (_, title) in enumerate(rows, 1):
            yield Say(talk.layout.wrap(title, 6, f"   {n}"))
        yield Say(["What else was done? (a number; Enter: nothing)"])
        words = typed_line((yield Prompt("> ", [title for _, title in rows])))
    meant = agreed(words)
    if not words or meant is False:
        return False
    if meant and len(rows) == 1:
        words = rows[0][1]
    picker = Card(kind="fact", id="besides", title="", choices=[Choice(id=c, says=title) for c, title in rows])
    chosen, problem = pick(picker, words.lower())
    if chosen is None:
        return (yield from aside(talk, words, problem))
    yield Keep(Event(remedy=chosen, did="done"))
    yield Say(
        talk.layout.wrap(f"Kept: {kb.causes[chosen].remedy.title}. The proof speaks of all that was mended since.", 3)
    )
    return True


def _anew(talk: Conversation, card: Card) -> Part[Event | None]:
    """Take lines until one of them answers a card that is asked anew; None where the person leaves it as it was."""
    instead = ""
    while True:
        typed = instead or (yield Prompt("> ", [c.says for c in card.choices]))
        instead = ""
        reply = interpret(talk.kb, card, typed, False)
        if reply.event is not None:
            return reply.event
        if reply.command == "stop":
            raise Quit
        if reply.command == "help":
            yield Say(talk.layout.wrap("Answer it anew, or type back to leave the earlier answer as it is.", 3))
        elif reply.command or (reply.back is not None and reply.back.code == "A001"):
            return None
        elif reply.back is not None:
            heard = yield from heard_at(talk, card, typed, False, reply.back, anew=True, meant=reply.meant)
            if isinstance(heard, Event):
                return heard
            instead = heard if isinstance(heard, str) else ""
