"""A problem in the words of a page: no id, no command, no option; what is wrong, and what can be pressed or typed."""

from msgspec import structs

from ....engine import model
from ....engine.advice import Card
from ....engine.case.events import Event
from ....engine.errors import Problem

COPY = "copy the address whole, or begin the case anew"
# What the store says to whoever runs it, for whoever only sees its page.
BY_STORE = {
    "J001": (
        "this server can't keep anything just now, nor this",
        "try again later, and tell whoever keeps this server",
    ),
    "J010": ("the kept cases are busy just now, so nothing of this was kept", "wait a few seconds, go back and send it again; nothing was lost"),
    "J011": ("somebody else has this case open just now", "try again once they are done; what they keep stands"),
    "J013": ("what is kept of this case is damaged", "tell whoever keeps this server, and begin anew meanwhile"),
    "J014": ("there is no such case", "look for it among the kept cases"),
    "J015": (
        "the case is removed from every list; its last traces go when nobody reads the kept cases any more",
        "tell whoever keeps this server",
    ),
    "J024": (
        "the kept cases can't be reached or written just now, so nothing of this was kept",
        "wait a few seconds, go back and send it again; what was kept before is there",
    ),
    "U041": (
        "it is not known whether this was kept, for the kept cases could not be reached any more",
        "wait a few seconds and open the case again: what stands there was kept; say again only what is missing",
    ),
}  # fmt: skip
# With these the store may answer again in a moment: nothing is wrong with what was sent.
PASSING = ("J001", "J010", "J024", "U041")


# The same where somebody only looks: nothing was sent that could be lost.
LOOKING = {
    "J010": ("the kept cases are busy just now", "wait a few seconds and open this again; nothing was lost"),
    "J024": (
        "the kept cases can't be reached just now",
        "wait a few seconds and open this again; what was confirmed is there",
    ),
}


def for_page(problem: Problem, looking: bool = False) -> Problem:
    """Return a problem of the store in the words of a page; any other one as it is.

    Parameters
    ----------
    problem : Problem
    looking : bool
        Whether a page was only opened, and nothing sent.
    """
    said = (LOOKING.get(problem.code) if looking else None) or BY_STORE.get(problem.code)
    return structs.replace(problem, message=said[0], mend=said[1], expected="", nearest="") if said else problem


def of_card(card: Card, back: Problem) -> Problem:
    """Return a question back in the words of a page, where nothing has a number or an id, and no word is a command."""
    says = {c.id: c.says for c in card.choices}
    mend = {
        "A001": "press an answer, or type what you see",
        "A002": "press one of the answers",
        "A003": "press one of the answers, or say it in other words; can't tell and skip are always fine",
    }.get(back.code, back.mend)
    return structs.replace(back, nearest=says.get(back.nearest, back.nearest), mend=mend)


def of_address(kb: model.KB, event: Event, problem: Problem) -> Problem:
    """Return what is wrong with a part of an address, by the titles of what it names.

    Examples
    --------
    >>> from dryfloor.engine.case.case_file import event_problems
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb, event = load_kb(), Event(complaints=["walk"])
    >>> of_address(kb, event, event_problems(kb, event)[0]).message
    'a part of this address fits nothing that I know'
    """
    name = event.check or event.proof or event.fact or ""
    check, fact = kb.checks.get(name), kb.facts.get(name)
    title = check.title if check else fact.title if fact else ""
    if problem.code == "C023":
        return structs.replace(problem, message=problem.message.replace(f"'{name}'", title, 1))
    if problem.code in ("C025", "C026"):
        message = "this address says that a fix was proved before it says that it was done"
        return Problem(code=problem.code, message=message, mend=COPY)
    if title and problem.code != "C012":
        says = {a: answer.says for a, answer in check.answers.items()} if check else {}
        says |= {o: option.says for o, option in fact.options.items()} if fact else {}
        message = f"{title}: the address has no answer to it that I know"
        near = says.get(problem.nearest, "")
        return Problem(
            code=problem.code, message=message, expected="; ".join([*says.values()][:4]), nearest=near, mend=COPY
        )
    return unknown(kb, problem.code, problem.nearest)


def unknown(kb: model.KB, code: str, near: str) -> Problem:
    """Return that a part of an address names what is not there; with the title of what is nearest, if anything is."""
    record = kb.checks.get(near) or kb.facts.get(near) or kb.hazards.get(near)
    complaint = kb.complaints.get(near)
    told = complaint.says if complaint else record.title if record else ""
    return Problem(code=code, message="a part of this address fits nothing that I know", nearest=told, mend=COPY)
