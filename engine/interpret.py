"""What a person typed at a card -> an event, a command, or a question back. Never a guess, never a lost answer."""

from msgspec import Struct

from . import casefile, model
from .advice import Card
from .case import Event
from .problems import Problem, nearest

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
}
WITH_WORDS = ("note", "also", "change")
CLEAR_ENOUGH = 82.0
CLEAR_LEAD = 8.0


class Reply(Struct, frozen=True, kw_only=True):
    """One of three: an event to record, a command with its words, or a question back."""

    event: Event | None = None
    command: str = ""
    words: str = ""
    back: Problem | None = None


def plain(text: str) -> str:
    """Return typed text without control characters and stray space, at most 2000 letters.

    Examples
    --------
    >>> plain("  it\\x1b[2J  hops \\n")
    'it[2J hops'
    """
    kept = "".join(c if c.isprintable() else (" " if c.isspace() else "") for c in text[:20000])
    return " ".join(kept.split())[:2000]


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
    >>> from dryfloor.engine.load import load_kb
    >>> c = Card(kind="check", id="standpipe-height", title="", measures="length")
    >>> interpret(load_kb(), c, "39 1/2 in").event.value
    '39 1/2 in'
    >>> interpret(load_kb(), c, "why").command
    'why'
    """
    text = plain(typed)
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
    head, _, rest = text.partition(" ")
    if exact is None and head.lower() in WITH_WORDS:
        return Reply(command=head.lower(), words=rest.strip())
    if card.measures:
        return _measured(kb, card, text, proof)
    chosen, problem = pick(card, low) if exact is None else (exact, None)
    if chosen is None:
        return Reply(back=problem)
    if card.kind == "remedy":
        return Reply(event=Event(remedy=card.id, did=chosen))
    if card.id == "still-there":
        return Reply(event=Event(still=[] if chosen == "none" else [chosen]))
    if card.kind == "fact":
        return Reply(event=Event(fact=card.id, is_=chosen))
    return Reply(event=Event(proof=card.id, answer=chosen) if proof else Event(check=card.id, answer=chosen))


def _expected(card: Card) -> str:
    if card.kind == "gate":
        return f"the word '{card.word}'; anything else stops here"
    if card.measures:
        return card.example
    return "one of " + ", ".join(c.id for c in card.choices)


def _gate(kb: model.KB, card: Card, text: str) -> Reply:
    from .safety import is_word

    gate = kb.hazards[card.id].gate
    if gate and is_word(gate, text):
        return Reply(event=Event(cleared=card.id, word=gate.word))
    return Reply(event=Event(stopped=card.id))


def _measured(kb: model.KB, card: Card, text: str, proof: bool) -> Reply:
    problems = casefile.answer_problems(kb, card.id, None, text)
    if problems:
        return Reply(back=problems[0])
    return Reply(event=Event(proof=card.id, value=text) if proof else Event(check=card.id, value=text))


def pick(card: Card, low: str) -> tuple[str | None, Problem | None]:
    """Return the choice that typed words mean: its number, its id, its start, or words that are close to it alone."""
    choices = card.choices
    if low.isdigit():
        n = int(low)
        if 1 <= n <= len(choices):
            return choices[n - 1].id, None
        return None, Problem(
            code="A002",
            message=f"there is no choice {n}",
            expected=f"1 to {len(choices)}",
            mend="type its number or its words",
        )
    starts = [c.id for c in choices if c.id.startswith(low) or c.says.lower().startswith(low)]
    if len(starts) == 1:
        return starts[0], None
    from rapidfuzz import fuzz

    scored = sorted(
        ((max(fuzz.WRatio(low, c.says.lower()), fuzz.ratio(low, c.id.replace("-", " "))), c.id) for c in choices),
        reverse=True,
    )
    if (
        scored
        and len(low) > 2
        and scored[0][0] >= CLEAR_ENOUGH
        and (len(scored) < 2 or scored[0][0] - scored[1][0] >= CLEAR_LEAD)
    ):
        return scored[0][1], None
    near = nearest(low, [c.says.lower() for c in choices]) or (scored[0][1] if scored and scored[0][0] > 60 else "")
    message = f"'{low[:60]}' could mean more than one of these" if len(starts) > 1 else f"'{low[:60]}' is none of these"
    return None, Problem(
        code="A003",
        message=message,
        expected=_expected(card),
        nearest=near,
        mend="type its number or its words; can't tell and skip are always fine",
    )
