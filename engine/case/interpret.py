"""What a person typed at a card -> an event, a command, or a question back. Never a guess, never a lost answer."""

import re

from msgspec import Struct, structs

from .. import model
from ..advice import Card
from ..answers.likeness import leaning
from ..answers.penned import typed_at
from ..answers.picking import BARE, pick
from ..errors import Problem
from ..language.sanitize import typed_line
from .events import Event
from .validation import answer_problems

COMMANDS = {
    "why": "why",
    "back": "back",
    "undo": "back",
    "skip": "skip",
    "can't": "cant",
    "cant": "cant",
    "cannot": "cant",
    "can not": "cant",
    "can't tell": "cant",
    "cant tell": "cant",
    "don't know": "cant",
    "dont know": "cant",
    "not sure": "cant",
    "no idea": "cant",
    "notes": "notes",
    "stop": "stop",
    "quit": "stop",
    "exit": "stop",
    "help": "help",
    "?": "help",
    "list": "list",
    "answers": "list",
    "tell": "tell",
    "stop here": "tell",
    "show me": "picture",
    "show": "picture",
    "picture": "picture",
}
# No answer fits, and words of one's own do: they are asked for.
NONE_OF_THESE = frozenset(("none of these", "none of those", "none of them", "none fits", "none of these fits"))
WITH_WORDS = ("note", "words", "also", "change", "besides")
# It is known what it was: the rest of the line says it.
TURNED_OUT = re.compile(r"(?:it |this |that )?turned out\b[:, ]*(?:to be |that )?(.*)", re.IGNORECASE)
# What says at a gate that it is not safe. What a bare no or yes says hangs on what the gate asks: "is there any smell of gas?" - "no" means that
# all is well, "has it stopped?" - "no" that it is not. Neither ever clears one.
UNSAFE = re.compile(
    r"\b(?:(?:not|isn'?t|never) (?:\w+ )?(?:safe|sure|clear|certain)|unsafe|unsure|danger\w*)\b|^(?:stop|quit|exit)$"
)
# Said of a step, in place of done.
DID_IT = frozenset(("did it", "did that", "done it", "done that", "i did", "i did it", "all done", "did", "finished"))
NOT_SAFE = "not safe"
AT_A_GATE = frozenset({"why", "help", "back", "list", "notes", "tell", "picture"})


class Reply(Struct, frozen=True, kw_only=True):
    """One of three: an event to record, a command with its words, or a question back, with the answer that may be meant."""

    event: Event | None = None
    command: str = ""
    words: str = ""
    back: Problem | None = None
    meant: Event | None = None  # beside a question back: the answer that comes closest, to be asked about


def interpret(kb: model.KB, card: Card, typed: str, proof: bool = False) -> Reply:
    """Return what a typed line means at a card.

    Parameters
    ----------
    kb : KB
    card : Card
        The card on screen.
    typed : str
        The line as typed.
    proof : bool
        The card is the proof of a remedy.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> c = Card(kind="check", id="standpipe-height", title="", measures="length")
    >>> interpret(load_kb(), c, "39 1/2 in").event.value
    '39 1/2 in'
    >>> interpret(load_kb(), c, "why").command
    'why'
    """
    text = typed_line(typed)
    low = text.lower().replace("’", "'").rstrip(".!")
    if not text:
        return Reply(
            back=Problem(
                code="A001",
                message="nothing was typed",
                expected=_expected(card),
                mend="type an answer; help lists what else you can do",
            )
        )
    if card.kind == "gate":
        return _gate(kb, card, text)
    exact = next((c.id for c in card.choices if low in (c.id, c.says.lower())), None)
    if exact is None and low in COMMANDS:
        return Reply(command=COMMANDS[low])
    if low in NONE_OF_THESE and not any(c.says.lower().startswith("none of") for c in card.choices):
        return Reply(command="words")
    head, _, rest = text.partition(" ")
    turned = TURNED_OUT.fullmatch(text) if exact is None else None
    if turned:
        return Reply(command="turned out", words=turned[1].strip())
    if exact is None and head.lower() in WITH_WORDS:
        return Reply(command=head.lower(), words=rest.strip())
    if card.measures:
        return _measured(kb, card, text, proof)
    chosen, problem = pick(card, low) if exact is None else (exact, None)
    if chosen is None and problem is not None and not low.isdecimal():
        chosen, problem = _in_own_words(kb, card, text, low, problem)
    event = _answered(card, chosen, proof) if chosen else None
    return Reply(back=problem, meant=event) if problem is not None else Reply(event=event)


def _answered(card: Card, chosen: str, proof: bool) -> Event:
    """Return what it is to choose an answer at a card."""
    if card.kind == "remedy":
        return Event(remedy=card.id, did=chosen)
    if card.id == "still-there":
        return Event(still=[] if chosen == "none" else [chosen])
    if card.kind == "fact":
        return Event(fact=card.id, is_=chosen)
    return Event(proof=card.id, answer=chosen) if proof else Event(check=card.id, answer=chosen)


def _in_own_words(kb: model.KB, card: Card, text: str, low: str, back: Problem) -> tuple[str | None, Problem | None]:
    """Return the answer that other words than a choice's own mean, with a question back where it is only likely, or a danger is named as well."""
    if card.kind == "remedy":
        done = low in DID_IT and any(c.says == "done" for c in card.choices)
        return ("done", None) if done else (None, back)
    record = kb.checks.get(card.id) if card.kind == "check" else kb.facts.get(card.id)
    if record is None:
        return None, back
    some = record.answers if isinstance(record, model.Check) else record.options
    here = {c.id for c in card.choices}
    named, sure = typed_at(record, text)
    if named in here:
        from ..language.matching import hear

        # A danger in the same breath is never swallowed by the answer.
        if sure and not any(h.surely for h in hear(text, kb).hazards):
            return named, None
        return named, structs.replace(back, nearest=some[named].says.lower())
    ways = {a: (x.says, a.replace("-", " "), *x.pen) for a, x in some.items() if a in here}
    near = leaning(ways, text, card.title)
    if near is None:
        return None, back
    return near, structs.replace(back, nearest=some[near].says.lower())


def _expected(card: Card) -> str:
    if card.kind == "gate":
        return f"the word '{card.word}' if all is safe; '{NOT_SAFE}' if it is not, or you are not sure"
    if card.measures:
        return card.example
    return "one of " + ", ".join(c.id for c in card.choices)


def _gate(kb: model.KB, card: Card, text: str) -> Reply:
    """Return what is meant at a gate: its word clears it, "not safe" stops the walk, and whatever else was typed is asked about again."""
    from .validation import is_word

    gate = kb.hazards[card.id].gate
    low = text.lower().replace("’", "'").strip(".! ")
    if gate and is_word(gate, text):
        return Reply(event=Event(cleared=card.id, word=gate.word))
    if gate and says_unsafe(gate, text):
        return Reply(event=left_for_now(card) or Event(stopped=card.id))
    if COMMANDS.get(low) in AT_A_GATE:
        return Reply(command=COMMANDS[low])
    head, _, rest = text.partition(" ")
    if low in NONE_OF_THESE or head.lower() in ("words", "note"):
        return Reply(command="words", words="" if low in NONE_OF_THESE else rest.strip())
    return Reply(
        back=Problem(
            code="A005",
            message=f"'{text[:60]}' neither clears this nor says that it is not safe",
            expected=_expected(card),
            mend=f"look first; then type {card.word} if all is safe, {NOT_SAFE} if it is not or you are not sure",
        )
    )


def says_unsafe(gate: model.Gate, text: str) -> bool:
    """Return whether words at a gate say that it is not safe, or that nobody is sure.

    Examples
    --------
    >>> g = model.Gate(ask=model.Voices(), word="dry", do_now=["step back"], call="an electrician")
    >>> [says_unsafe(g, t) for t in ("not safe", "it isn't dry", "no", "yes")]
    [True, True, True, False]
    """
    low = text.lower().replace("’", "'").strip(".! ")
    if low in BARE:
        return low.startswith("y") == gate.asks_danger
    denied = re.search(rf"(?:\bnot|n't|\bisnt) (?:\w+ )?{re.escape(gate.word.lower())}\b", low)
    return bool(UNSAFE.search(low) or denied)


def left_for_now(card: Card) -> Event | None:
    """Return what it means that a gate is not met: where it is only a condition of the step behind it, that the step is left.

    Parameters
    ----------
    card : Card
        A gate.

    Examples
    --------
    >>> left_for_now(Card(kind="gate", id="stored-pressure", title="", guards="remedy:fill-hose-aged")).did
    'could-not'
    >>> left_for_now(Card(kind="gate", id="gas-smell", title="")) is None
    True
    """
    kind, _, name = card.guards.partition(":")
    if not name:
        return None
    return Event(remedy=name, did="could-not") if kind == "remedy" else Event(cant=name)


def _measured(kb: model.KB, card: Card, text: str, proof: bool) -> Reply:
    problems = answer_problems(kb, card.id, None, text)
    if problems:
        # Whoever stands at the card knows what is asked; the name of the check is for whoever writes a file.
        back = structs.replace(problems[0], message=problems[0].message.removeprefix(f"'{card.id}': "))
        return Reply(back=structs.replace(back, mend=f"type it like {card.example}") if card.example else back)
    return Reply(event=Event(proof=card.id, value=text) if proof else Event(check=card.id, value=text))
