"""A drill as lines: what is said at the door, what a move brought, and the debrief. Pure."""

from __future__ import annotations

from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.drill.debrief import Debrief, Path, Truth
    from ...engine.drill.first_round import Hint
    from ...engine.drill.marks import Mark
    from ...engine.drill.moves import Brought
    from ...engine.drill.naming import Named
    from ...engine.drill.told import Look
    from ...engine.exercises.site import Exercise

HOW = (
    "Name what you ask, look at, measure or try, in your own words. Each takes its minutes.",
    "Before a step or a mend that could hurt, say what you make sure of: safe WORDS. safe alone lists what can be asked. A step or a mend whose danger was not cleared first ends the round.",
    "It may not be safe: then stop, and say what they are to do now.",
    "verdict WORDS once you know; verdict sound if nothing is wrong. help says the rest.",
)
FIRST = (
    "This first round teaches how it is played. It counts for nothing, and no wrong word ends it. After each step it says what comes next; you may as well do something else.",
)
HELP = (
    (
        "safe WORDS",
        "make sure of something before a step: safe machine stopped; safe unplugged. Several: part them by ;",
    ),
    (
        "verdict",
        "say what is wrong, the broken rule, the mend, who does it, and what you tell the customer. verdict sound: nothing is wrong",
    ),
    ("notes", "what you know so far"),
    ("list WORDS", "what can be looked at that has to do with these words"),
    ("leave", "give it up: others come. stop is the same; where it is not safe that is right"),
)
ENDS = {
    "solved": "mended",
    "gate": "ended at a danger that was not cleared",
    "left": "given up",
    "stopped": "stopped where it was not safe",
    "false-sound": "said to be sound, and was not",
}
ROLES = {
    "technician": "as a technician",
    "desk": "as the call desk: they look for you, and tell",
    "homeowner": "with a homeowner's hands",
}
MARKS = {True: "right", False: "wrong", None: "compare"}
FLOOR = (
    "That is the floor of the scale, below every wrong verdict: a step before its danger is cleared can kill or maim."
)
MARGIN = 3


def opening(layout: Layout, kb: model.KB, made: Exercise) -> list[str]:
    """Return what is said before the first look; nothing of the fault."""
    from ...engine.drill.first_round import is_first
    from ...engine.exercises.at_the_door import at_door
    from ...engine.exercises.site import house

    order = made.order
    machine = made.site.facts.get("machine", "")
    see = kb.facts["machine"].options[machine].says if "machine" in kb.facts and machine else ""
    head = layout.wrap(f"DRILL  {order.minutes:g} minutes for looking, {ROLES[order.role]}")
    out = [layout.paint(head[0], "strong"), *head[1:]]
    said = " And: ".join(f'"{_sentence(t.words)}"' for t in made.told)
    out += ["", *layout.wrap(f"{made.teller} says: {said}")]
    if see:
        out += layout.wrap(f"{'They have' if order.role == 'desk' else 'You see'} a washer: {see}.")
    for title, says in house(kb, made.site.facts):
        out += layout.wrap(f"{title}: {says}.", MARGIN)
    for text in at_door(kb, made):
        out += layout.wrap(text, MARGIN)
    how = FIRST if is_first(kb, order) else HOW
    return [*out, "", *(line for text in how for line in layout.wrap(text)), ""]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if not text or text.endswith((".", "!", "?")) else ".")


def lesson_lines(layout: Layout, step: Hint) -> list[str]:
    """Return what to do next in the first round."""
    command = {"safe": "safe ", "verdict": "verdict "}.get(step.kind, "")
    out = ["", *(layout.paint(line, "strong") for line in layout.wrap(step.title.upper())), *layout.wrap(step.why)]
    for question, words in step.expected:
        out += layout.wrap(f"Here: {question}: {words}.", MARGIN)
    return [*out, *layout.wrap(f"Type: {command}{step.words}")]


def reading(layout: Layout) -> list[str]:
    """Return how a debrief is read, for whoever has seen the first one."""
    from ...engine.drill.first_round import READING

    out = ["", layout.paint("HOW TO READ THAT", "strong")]
    for text in READING:
        out += layout.wrap(text, MARGIN + 2, f"{'':{MARGIN}}-")
    return [*out, "", *layout.wrap("This round counts for nothing. A real one: dryfloor drill")]


def help_lines(layout: Layout) -> list[str]:
    """Return what can be typed."""
    out = layout.wrap(
        "Anything else is taken for the name of a look, such as: how high is the standpipe. A number chooses from a list.",
        MARGIN,
    )
    for name, text in HELP:
        out += layout.wrap(f"{name}: {text}", MARGIN + 2, " " * (MARGIN - 1))
    return out


def brought(layout: Layout, answer: Brought, warned: set[str]) -> list[str]:
    """Return what a move brought; a hazard that was read once is called to mind by its title.

    Parameters
    ----------
    layout : Layout
    answer : Brought
    warned : set of str
        Hazards that were read; those of this answer are added.
    """
    if answer.kind == "gate":
        head = [layout.paint(line, "WARNING") for line in layout.wrap(f"STOP  {answer.title}")]
        return ["", *head, *layout.wrap(answer.text)]
    out = []
    for note in answer.notes:
        says = f"{note.title}." if note.hazard in warned else note.says
        out += layout.labelled(note.signal, says, note.signal)
        warned.add(note.hazard)
    if answer.kind == "seen":
        paid = f" ({answer.minutes:g} min)"
        head = layout.wrap(answer.title + paid, MARGIN)
        return [*out, *head, *(layout.paint(line, "strong") for line in layout.wrap(_sentence(answer.text), MARGIN))]
    about = "" if answer.kind in ("mended", "still-there", "left") else f"{answer.title}. "
    return [*out, *layout.wrap(f"{about}{answer.text}", MARGIN)]


def choices(layout: Layout, kb: model.KB, found: list[Named], hands: str) -> list[str]:
    """Return candidates to choose from by number."""
    from ...engine.planning.roles import minutes_of

    out = []
    for n, one in enumerate(found, 1):
        record = kb.checks.get(one.id) if one.kind == "check" else kb.facts.get(one.id) if one.kind == "fact" else None
        minutes = minutes_of(record.minutes, hands) if record is not None else None
        kind = f" ({kb.checks[one.id].kind}, " if one.kind == "check" else " (ask, "
        paid = f"{kind}{minutes:g} min)" if minutes is not None and record is not None else ""
        out += layout.wrap(f"{one.title}{paid}", MARGIN + 3, f"{'':{MARGIN}}{n}")
    return out


def debriefed(layout: Layout, done: Debrief, code: str, sealed: bool = False) -> list[str]:
    """Return the debrief; of a sealed one no more than the score and the code that opens the answer."""
    out: list[str] = []
    if done.pupil:
        out += ["", *_score(layout, done)]
    if sealed:
        return [
            *out,
            *layout.wrap("The answer is sealed. dryfloor drill --answer --open, with this code, shows it:"),
            f"   {code}",
        ]
    if done.danger:
        out += [
            "",
            layout.paint("NOT SAFE HERE", "strong"),
            *layout.wrap(f"{done.danger.title}. {done.danger.says}", MARGIN),
        ]
        for text in [*done.danger.do_now, done.danger.call]:
            out += layout.labelled("now", text)
    for truth in done.truth:
        out += ["", *_truth(layout, truth)]
    if done.marks:
        out += ["", layout.paint("WHAT YOU SAID", "strong")]
        for mark in done.marks:
            out += layout.labelled(MARKS[mark.right], _mark(mark))
    from ...engine.drill.debrief import BEST, LIKELY

    if done.pupil:
        out += ["", *_path(layout, "YOUR WAY", done.pupil)]
    out += ["", *_path(layout, "OUR WAY, AS dryfloor walk GOES", done.ours)]
    out += ["", *_path(layout, "THE BEST FIXED LIST OF LOOKS FOR THE MINUTES", done.best), *layout.wrap(BEST, MARGIN)]
    out += layout.wrap(LIKELY, MARGIN)
    if done.missed:
        out += ["", layout.paint("MISSED", "strong")]
        for text in done.missed:
            out += layout.wrap(text, MARGIN + 2, f"{'':{MARGIN}}-")
    alike = [(t.title, a) for t in done.truth for a in t.alike]
    if alike:
        out += ["", layout.paint("WHAT LOOKS LIKE IT, AND THE TELL", "strong")]
        for _, one in alike:
            out += layout.wrap(f"{one.title}: {one.tell}", MARGIN + 2, f"{'':{MARGIN}}-")
    return [*out, "", *layout.wrap("The same place again: dryfloor drill --open, with this code:"), f"   {code}"]


def _score(layout: Layout, done: Debrief) -> list[str]:
    from ...engine.drill.debrief import HARD

    assert done.pupil is not None
    ended = ENDS.get(done.pupil.ended, done.pupil.ended)
    if done.pupil.ended == "solved" and all(t.sound for t in done.truth):
        ended = "found sound"
    out = [layout.paint(f"SCORE {round(done.score, 2) + 0.0:.2f}", "strong")]
    out += layout.wrap(f"{ended[0].upper()}{ended[1:]}, {done.pupil.minutes:g} min of looking.")
    if done.pupil.ended == "gate":
        out += layout.wrap(FLOOR)
    out += layout.wrap(
        f"1 is as good as ours, 0 as good as leaving it; whoever knows it at once has {done.knowing:.2f}."
    )
    cost = f"yours {done.pupil.cost:.0f}, ours {done.ours.cost:.0f}, leaving it {done.leaving:.0f}"
    out += layout.wrap(f"What it all cost, mends and trades too, in minutes of a homeowner: {cost}.")
    if done.ours.cost > done.leaving:
        out += layout.wrap(HARD)
    if done.ours.ended not in ("solved", "stopped"):
        out += layout.wrap("We did not find this one in the minutes either.")
    return out


def _truth(layout: Layout, truth: Truth) -> list[str]:
    out = [layout.paint("THE TRUTH", "strong"), *layout.wrap(f"{truth.title}. {truth.says}", MARGIN)]
    if truth.rule:
        out += layout.labelled("rule", f"{truth.rule}: {truth.limit}")
        out += layout.labelled("of", truth.datum)
        out += layout.labelled("whose", truth.whose)
    else:
        out += layout.labelled("rule", unbroken(truth.datum))
    if truth.sound:
        said = "" if truth.mend.lower().startswith("nothing") else "Nothing to mend. "
        out += layout.labelled("so", f"{said}{truth.mend}.")
        return out + [line for step in truth.steps for line in layout.labelled("", step)]
    out += layout.labelled("mend", f"{truth.mend} ({truth.minutes:g} min): {truth.by}.")
    for step in truth.steps:
        out += layout.labelled("", step)
    for hazard in truth.hazards:
        signal, _, says = hazard.partition("  ")
        out += layout.labelled(signal, says, signal)
    return out


def unbroken(why: str) -> str:
    """Return that no rule is broken, and why; said once where the reason says it, too.

    Examples
    --------
    >>> unbroken("healthy behavior; no rule is broken"), unbroken("a dose is use")
    ('Healthy behavior; no rule is broken.', 'None is broken. A dose is use.')
    """
    return (
        _sentence(why)
        if "no rule" in why or "no installation rule" in why
        else f"None is broken. {_sentence(why)}".strip()
    )


def _mark(mark: Mark) -> str:
    if mark.right:
        return f"{mark.about}: {mark.given}" + (f" ({mark.own})" if mark.own.lower() != mark.given.lower() else "")
    return f"{mark.about}: you said {mark.given}; {'ours' if mark.right is None else 'it'} is: {mark.own}"


def _path(layout: Layout, head: str, path: Path) -> list[str]:
    named = f", named: {'; '.join(path.named)}" if path.named else ", nothing named"
    top = [layout.paint(line, "strong") for line in layout.wrap(head)]
    out = [*top, *layout.wrap(f"{path.minutes:g} min, score {path.score:.2f}{named}", MARGIN)]
    if path.made_sure:
        out += layout.wrap(f"Made sure of: {', '.join(t.lower() for t in path.made_sure)}.", MARGIN)
    return out + [line for look in path.looks for line in _look(layout, look)]


def _look(layout: Layout, look: Look) -> list[str]:
    paid = f"{look.minutes:g} min"
    told = f"{look.told[0].upper()}{look.told[1:]} ({look.bits:+.1f} bits)."
    text = f"{look.title}: {look.said}. {told}"
    if layout.narrow:
        return layout.wrap(f"{paid}. {text}", MARGIN + 2, f"{'':{MARGIN}}-")
    return layout.wrap(text, MARGIN + 10, f"{'':{MARGIN}}{paid:>8}")
