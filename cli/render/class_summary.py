"""A class's summary as lines. Pure."""

from __future__ import annotations

from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine.drill.class_summary import ClassSummary, PupilSum

MARGIN = 3
MOST = 12  # rules that are shown
NOBODY = "no name"
OURS = "Share of ours: callback cost avoided, beside what our own way avoids. 1 is as good, 0 as good as leaving it, -2 a step before its danger was cleared."


def lines_of(layout: Layout, found: ClassSummary) -> list[str]:
    """Return the summary: what to practise first, then pupils, rules, families and what was dangerous."""
    pupils = f"{len(found.pupils)} pupil" + ("" if len(found.pupils) == 1 else "s")
    head = f"CLASS  {_rounds(found.rounds)}, {pupils}, share of ours {found.score:.2f}"
    out = [layout.paint(line, "strong") for line in layout.wrap(head)]
    out += layout.wrap(OURS)
    if found.practise:
        out += ["", layout.paint("PRACTISE NEXT", "strong")]
    for one in found.practise:
        # A command stands on a line of its own, whole, to be copied.
        out += [*layout.wrap(f"{one.what[0].upper()}{one.what[1:]}.", MARGIN + 2, f"{'':{MARGIN}}-")]
        out.append(f"{'':{MARGIN + 2}}{one.command}")
    if not found.practise:
        out += ["", *layout.wrap("Nothing stands out. Longer rounds of two faults: dryfloor drill --faults 2")]
    out += _part(layout, "PUPILS", [_pupil(p) for p in found.pupils])
    rules = [f"{r.title} ({r.family}): missed in {r.missed} of {_rounds(r.rounds)}{_hard(r.hard)}" for r in found.rules]
    out += _part(layout, "RULES, AND FAULTS THAT BREAK NONE", rules[:MOST])
    if len(rules) > MOST:
        out += layout.wrap(f"And {len(rules) - MOST} more, missed less; --json has all.", MARGIN)
    families = [
        f"{f.family}: {_rounds(f.rounds)}, share of ours {f.score:.2f}{_gates(f.gates)}" for f in found.families
    ]
    out += _part(layout, "FAMILIES", families)
    dangers = [
        f"a step or a mend before its danger was cleared, {title.lower()}: {_rounds(n)}" for title, n in found.gates
    ]
    if found.unsafe:
        dangers.append(f"places that were not safe: stopped there in {found.stopped} of {_rounds(found.unsafe)}")
    out += _part(layout, "DANGEROUS STEPS", [f"{d[0].upper()}{d[1:]}" for d in dangers] or ["None."])
    out += _part(
        layout, "WHAT VERDICTS SAID", [f"{about}: wrong {wrong} of {n} times" for about, wrong, n in found.wrong]
    )
    if found.interrupted:
        said = f"{_rounds(found.interrupted)} interrupted: without a score, and in no sum above."
        out += ["", *layout.wrap(said)]
    if found.foreign:
        said = f"{_rounds(found.foreign)} with a code of another kb, or none: counted for the pupils alone."
        out += ["", *layout.wrap(said)]
    return out


def _part(layout: Layout, head: str, texts: list[str]) -> list[str]:
    if not texts:
        return []
    return [
        "",
        layout.paint(head, "strong"),
        *(x for t in texts for x in layout.wrap(t, MARGIN + 2, f"{'':{MARGIN}}-")),
    ]


def _pupil(one: PupilSum) -> str:
    if not one.rounds:
        return f"{one.pupil or NOBODY}: no round to its end. {_rounds(one.interrupted)} interrupted."
    said = f"{one.pupil or NOBODY}: {_rounds(one.rounds)}, share of ours {one.score:.2f}, {one.minutes:g} min a round{_gates(one.gates)}"
    missed = ", ".join(title.lower() + (f" ({n} times)" if n > 1 else "") for title, n in one.missed)
    said += f", {one.left} given up" if one.left else ""
    if missed:
        said = f"{said}. Missed: {missed}."
    else:
        said += ". Came to nothing that was to be found." if one.gates == one.rounds else ". Nothing missed."
    if one.hard:
        said += f" Not found by our way there either: {', '.join(title.lower() for title, _ in one.hard)}."
    return said + (f" {_rounds(one.interrupted)} interrupted." if one.interrupted else "")


def _rounds(n: int) -> str:
    return "1 round" if n == 1 else f"{n} rounds"


def _hard(n: int) -> str:
    return f"; in {n} more our own way missed it, too" if n else ""


def _gates(n: int) -> str:
    return f", {n} ended at a danger that was not cleared" if n else ""
