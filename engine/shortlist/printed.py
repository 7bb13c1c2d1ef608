"""A sheet for a stage or for some minutes, as print: in one walk round the machine, with what was filled before."""

import json
from collections.abc import Sequence

from .. import model
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from ..planning import roles
from ..survey.areas import HISTORY, USED, asked_facts, beforehand
from ..survey.blank_sheet import HEAD, WIDTH, comment, fact_lines, line_of
from ..survey.must_see import STAGES as STAGES_IN_ORDER
from ..survey.must_see import due, due_at, served
from ..survey.practice import surely
from .choice import Chosen
from .round import AT, in_order, spot_of, tools_of

RUN = "Only once all of the above that says MUST is right: restraints out, hose held, outlet grounded, nothing drips, no foot in the air, a dryer on top held."
STAGES: dict[model.Stage, str] = {
    "before": "Before delivery, on the phone: read aloud what stands behind each name. Then: dryfloor survey SHEET.",
    "door": "At the door, and unpacking. Count the restraints against the machine's sheet; they stay with the owner, for the next move.",
    "hook-up": "Hook-up: drain, taps, outlet; then the machine in its final place, its feet set and locked. The run comes after.",
    "first-run": "First run: fill, drain and spin are watched. While it runs, the rest of this sheet.",
    "leaving": "Leaving: what the run may have moved, and what is seen only once it stands there for good.",
}


def deciding(kb: model.KB, checks: Sequence[model.Check]) -> list[model.Fact]:
    """Return the facts that a sheet of these lines must ask: those on which a line or its rule hangs; no code, and nothing of a use before.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> [f.id for f in deciding(kb, [kb.checks["standpipe-height"]])]
    ['drain', 'machine', 'supply-system']
    """
    named = {f for c in checks for f in c.when}
    for check in checks:
        if check.rule:
            named |= set(kb.rules[check.rule].when)
            named |= {f for r in kb.rules.values() if check.rule in r.replaces for f in r.when}
    return [
        f
        for f in asked_facts(kb)
        if f.id in named and f.id not in USED and not any(o.unknown for o in f.options.values())
    ]


def due_lines(
    kb: model.KB, checks: Sequence[model.Check], filled: FilledSheet, stage: model.Stage | None
) -> list[model.Check]:
    """Return the lines of a stage that are still empty, in one walk round the machine; of an earlier stage what must be seen, and of the phone check what nobody measured."""
    must = {c.id for c in checks if c.on_sheet and c.on_sheet.must_see}
    passed = {*filled.readings, *(n for n in filled.declined if n not in must)}
    left = [c for c in checks if c.id not in passed and holds(c.when, filled.facts)]
    if stage:
        must = {
            c.id
            for c in left
            if c.on_sheet and c.on_sheet.must_see and c.on_sheet.stage in due(stage) and not served(kb, filled, c)
        }
        needed = {o.check for c in left if c.id in must or due_at(c, stage) for o in c.only_if}
        left = [c for c in left if c.id in must or c.id in needed or due_at(c, stage)]
    return in_order(kb, left)


def printed(
    kb: model.KB,
    filled: FilledSheet,
    checks: Sequence[model.Check],
    role: model.Role = "technician",
    stage: model.Stage | None = None,
    choice: Chosen | None = None,
    width: int = WIDTH,
    once_more: dict[str, str] | None = None,
) -> str:
    """Return a sheet to fill in, as YAML that can be read back.

    Parameters
    ----------
    kb : KB
        With a machine sheet applied where there is one.
    filled : FilledSheet
        What is known already; it stands on the sheet as it was.
    checks : sequence of Check
        Its lines, in the order of the walk.
    role : str
        In whose words the lines are: a desk's are read aloud.
    stage : str, optional
    choice : Chosen, optional
        For how many minutes the lines were chosen, and what they cover.
    width : int
        Longest line [characters].
    once_more : dict, optional
        Lines that are asked again, with why: `must_see.again`.
    """
    out = comment(STAGES[stage], width, "", "# ") if stage else []
    if choice:
        out += [line for text in covered(choice) for line in comment(text, width, "", "# ")]
    elif not stage:
        out += [line for text in HEAD for line in comment(text, width, "", "# ")]
    tools = tools_of(list(checks))
    if tools and role != "desk":
        out += comment(f"Take along: {', '.join(tools)}.", width, "", "# ")
    out += (
        [line for text in (*HEAD[1:3], HEAD[4]) for line in comment(text, width, "", "# ")] if stage or choice else []
    )
    out += [f"title: {json.dumps(filled.title)}" if filled.title != "Survey" else "title:"]
    out += [f"machine: {filled.machine}" if filled.machine else "machine: # a machine sheet, or nothing"]
    out.append(f"hands: {filled.hands}")
    if stage and stage != STAGES_IN_ORDER[-1]:
        out.append(f"stage: {stage}")
    if filled.told:
        out += comment("Told by the customer, not seen; whatever is filled in below counts before it.", width, "", "# ")
        out += ["told:", *(f"  {n}: {json.dumps(_words(kb, filled, n))}" for n in filled.told)]
    out.append("facts:")
    asked = beforehand(kb) if stage == "before" else deciding(kb, checks)
    for fact in kb.facts.values():
        if fact.id in filled.facts:
            out.append(f"  {fact.id}: {filled.facts[fact.id]}")
        elif fact in asked and holds(fact.when, filled.facts):
            if role == "desk":
                out += comment(roles.voice(fact.ask, role, filled.hands), width)
            out += fact_lines(fact, "", width)
    out.append("readings:")
    seen = {n: said for n, said in filled.readings.items() if n not in filled.told and n not in (once_more or {})}
    if seen:
        out += ["  # --- Seen already ---", *(f"  {n}: {json.dumps(_words(kb, filled, n))}" for n in seen)]
    passed = [n for n in filled.declined if n not in filled.readings and n not in {c.id for c in checks}]
    if passed:
        out += ["  # --- Declined by the customer ---", *(f"  {n}: declined" for n in passed)]
    spot = None
    unread = {u.name: u.said for u in filled.unread}
    for check in checks:
        if spot_of(kb, check) != spot:
            spot = spot_of(kb, check)
            out += ["", f"  # --- {AT[spot]} ---"]
            if spot == "run":
                out += comment(RUN, width, "")
        out += line_of(kb, check, filled.hands, width, filled.facts, role)
        if once_more and check.id in once_more:
            out += comment(f"    {once_more[check.id]}", width)
        open_ = {f: w for f, w in check.when.items() if not surely({f: w}, filled.facts) and f not in (*USED, *HISTORY)}
        if open_:
            only = "; ".join(f"{kb.facts[f].title.lower()}: {_options(kb, f, w)}" for f, w in open_.items())
            out += comment(f"    only where {only}", width)
        fitted = kb.data.get("restraints")
        if check.id == "restraints-counted" and fitted:
            out += comment(f"    the machine's sheet: {fitted} were fitted", width)
        if check.id in unread:
            out += comment(f'    written there, and not understood: "{unread.pop(check.id)}"', width)
        out.append(f"  {check.id}:")
    notes = [*filled.notes, *(f"{n}: {said}" for n, said in unread.items())]
    if notes:
        out += ["notes:", *(f"  - {json.dumps(text)}" for text in notes)]
    return "\n".join(out) + "\n"


def _options(kb: model.KB, fact: str, wanted: str | list[str]) -> str:
    """Return options of a fact in words."""
    names = [wanted] if isinstance(wanted, str) else wanted
    return " or ".join(kb.facts[fact].options[o].says for o in names)


def _words(kb: model.KB, filled: FilledSheet, name: str) -> str:
    """Return what a line of a sheet says, an answer in words, with the word that it was declined."""
    said = filled.readings[name]
    answers = kb.checks[name].answers
    text = answers[said].says if said in answers else said
    return f"{text}, declined" if name in filled.declined else text


def covered(choice: Chosen) -> list[str]:
    """Return what a choice covers, in sentences.

    Examples
    --------
    >>> one = Chosen(minutes=10, lines=["a"], must=["a"], hands=4, must_minutes=4, over=0, share=.5, must_share=.5, whole=9, whole_minutes=90,
    ...     whole_lines=99, beside=[])
    >>> covered(one)[0]
    'Sheet for 10 minutes of your work: 1 lines, 4 min. What must be seen takes at most 4 of them.'
    """
    out = [
        f"Sheet for {choice.minutes:g} minutes of your work: {len(choice.lines)} lines, {choice.hands:.3g} min. "
        f"What must be seen takes at most {choice.must_minutes:.3g} of them."
    ]
    if choice.over:
        out = [
            f"What must be seen does not fit into {choice.minutes:g} minutes of your work: it takes {choice.must_minutes:.3g}, "
            f"{choice.over:.2g} too many. It stands here whole, and nothing else."
        ]
    out.append(
        f"They cover {100 * choice.share:.0f} in 100 of the callback cost that the full sheet of {choice.whole_lines} lines and "
        f"{choice.whole_minutes:.0f} min can prevent at a new installation like this (judgement of the kb's rates and fees)."
    )
    if choice.beside:
        text = ", ".join(f"{b.title.lower()} {b.minutes:g} min" for b in choice.beside)
        out.append(f"These run by themselves, beside it: {text}.")
    return out
