"""A survey's judgement as lines."""

import math
from typing import TYPE_CHECKING

from ..terminal.layout import Layout
from .advice import in_100, number_line

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.survey.assess import Survey
    from ...engine.survey.findings import Defect
    from ...engine.survey.lines import SurveyLine
    from ...engine.survey.phone_check import PhoneCheck
from ...engine.survey.assess import CLOSING, TOLD_CLOSING, count_text
from ...engine.survey.findings import without_meanwhile
from ...engine.survey.lines import looked_at
from ...engine.survey.must_see import STAGES

WORDS = {
    "broken": "BROKEN",
    "too-close": "CLOSE",
    "within": "within",
    "not-measured": "not measured",
    "not-applicable": "not applicable",
}
LINE = 60  # columns of a number line at most
NAMED = 24  # lines left empty that are still named one by one
TOLD = " (told by the customer, not seen)"
MOST_UNREAD, NAMED_LETTERS = 20, 80  # lines that were not understood, and letters of each that are shown
LED = 3  # complaints named beside a broken rule


def lines(layout: Layout, kb: "model.KB", done: "Survey") -> list[str]:
    """Return a survey as text: what to mend first, what is too close, what must still be seen, then what is right and what was left out."""
    out = [
        layout.paint(line, "strong") for line in layout.wrap(done.title + (f": {done.machine}" if done.machine else ""))
    ]
    text = count_text(done)
    out += layout.wrap(f"Phone check before delivery: {text}." if done.phone else text)
    if done.phone and done.phone.clear:
        out += _heading(layout, f"BEFORE DELIVERY: NOTHING IN THE WAY{' SO FAR' if done.phone.to_ask else ''}")
    elif done.phone and (open_ := _open(done.phone)):
        out += _heading(layout, f"BEFORE DELIVERY: NOT SETTLED, {open_}")
    out += _stopped(layout, done)
    out += _unfinished(layout, kb, done)
    out += _unread(layout, done)
    by_rule = {x.rule: x for x in done.lines}
    if done.findings:
        what = "TO SETTLE BEFORE DELIVERY" if done.phone else "TO MEND"
        out += _heading(layout, f"{what}: WHAT CAN HURT, THEN WHAT COSTS MOST")
    warned: set[str] = set()
    for f in done.findings:
        shown = without_meanwhile(f) if done.phone else f
        out += _finding(layout, kb, by_rule[f.rules[0]] if f.rules else None, shown, warned)
    passed = [x for x in done.declined if x.kind != "mend"]
    if passed:
        out += _heading(layout, "DECLINED BY THE CUSTOMER")
        out += [
            line
            for x in passed
            for line in layout.labelled("stays" if x.kind == "stays" else "declined", f"{x.title}: {x.text}.")
        ]
    close = [x for x in done.lines if x.verdict == "too-close" and x.counted]
    if close:
        out += _heading(layout, "TOO CLOSE TO CALL")
        out += [line for x in close for line in one(layout, kb, x)]
    # One look under three codes that say the same is told once, and not beside the finding that it is already.
    found = {f.check for f in done.findings}
    told = {(x.title, x.text): x for x in done.lines if x.advice and not (x.check in found and not x.measured)}
    advice = [*told.values()]
    if advice:
        out += _heading(layout, "ADVICE, NOT COUNTED, UNTIL SOMEBODY SAYS WHICH CODE IS IN FORCE")
        out += [line for x in advice for line in one(layout, kb, x)]
    aside = _beside(done)
    if aside:
        out += _heading(layout, "MEASURED PAST A LIMIT, AND NOT COUNTED")
        out += [line for x in aside for line in one(layout, kb, x)]
    if done.read_as:
        out += _heading(layout, "HOW THE SHEET WAS READ")
        out += layout.wrap(
            f"{'; '.join(done.read_as)}. Is one read wrong? Write its letter, or the words above its line."
        )
    out += _right(layout, kb, done)
    out += _idle(layout, done)
    if done.phone:
        return [*out, "", *layout.wrap(TOLD_CLOSING)]
    out += _missing(layout, done)
    return [*out, "", *layout.wrap(CLOSING)]


def _beside(done: "Survey") -> "list[SurveyLine]":
    """Return readings past a stand-in's limit that no other line speaks for: nothing that was filled in is passed over."""
    spoken = {x.check for x in done.lines if x.counted and x.verdict in ("broken", "too-close", "within")}
    return [
        x
        for x in done.lines
        if x.check and x.check not in spoken and not x.counted and not x.advice and not x.beside and x.side is not None
    ]


def _heading(layout: Layout, text: str) -> list[str]:
    return ["", *(layout.paint(line, "strong") for line in layout.wrap(text))]


def _stopped(layout: Layout, done: "Survey") -> list[str]:
    """Return that the machine is not to be run: why, and what to do until it may."""
    from ...engine.survey.stops import in_use, meanwhile

    if not done.stops:
        return []
    first = "NO WASHER RUNS THERE BEFORE THIS IS PUT RIGHT:" if done.phone else "DON'T RUN IT YET. MEND FIRST:"
    out = _heading(layout, first)
    for s in done.stops:
        out += layout.wrap(f"{s.title}: {s.said}. {s.danger}".rstrip(), 5, "   -")
    acts = in_use(done.stops) if done.phone else meanwhile(done.stops)
    return out + [line for act in acts for line in layout.wrap(act)]


def _unfinished(layout: Layout, kb: "model.KB", done: "Survey") -> list[str]:
    """Return what nobody leaves without and that was not seen, with its reason."""
    if done.phone:
        return _to_ask(layout, done.phone)
    if not done.missing:
        sound = done.counts["within"] and not (done.failed or done.counts["too-close"])
        left = "WHAT IS LEFT WAS DECLINED" if done.counts["broken"] else "ALL THAT WAS LOOKED AT IS RIGHT"
        left += f"; {len(done.unread)} NOT UNDERSTOOD" if done.unread else ""
        said = f"FINISHED{f' AS FAR AS {done.stage.upper()}' if done.stage else ''}: {left}"
        after = STAGES[STAGES.index(done.stage) + 1 :][:1] if done.stage in STAGES else ()
        more = [x for s in after for x in layout.wrap(f"It goes on with: dryfloor survey SHEET --blank --stage {s}")]
        return [*_heading(layout, said), *more] if sound else []
    minutes = math.ceil(sum(m.minutes for m in done.missing))
    lines = [kb.checks[m.id].on_sheet for m in done.missing if not m.fact]
    alone = math.ceil(sum(x.by_itself or 0.0 for x in lines if x))
    text = f"NOT FINISHED: {minutes} MINUTE{'' if minutes == 1 else 'S'} OF YOUR WORK"
    out = _heading(layout, text + (f", AND RUNS TO WATCH OF {alone} MINUTES" if alone else ""))
    for m in done.missing:
        out += layout.wrap(f"{m.id}: {m.title}. {m.why[0].upper()}{m.why[1:]}.", 5, "   -")
    return out


def _unread(layout: Layout, done: "Survey") -> list[str]:
    """Return the lines that were not understood: where they stand, what was found, what would be understood."""
    if not done.unread:
        return []
    out = _heading(
        layout,
        f"NOT UNDERSTOOD, AND COUNTED AS NOT MEASURED: {len(done.unread)} LINE{'S' if len(done.unread) > 1 else ''}",
    )
    for u in done.unread[:MOST_UNREAD]:
        place = f", line {u.problem.line}" if u.problem.line and not u.name.startswith("line ") else ""
        p = u.problem
        # An unknown answer says all there is to say by what was written and what would do; a value by the question that it leaves.
        said = p.message.removeprefix(f"'{u.name}': ")
        why = (
            ""
            if p.code in ("C021", "C013")
            else f" {said[0].upper()}{said[1:].rstrip('.')}{'' if said[-1:] == '?' else '.'}"
        )
        out += layout.wrap(f'{u.name}{place}: "{u.said[:NAMED_LETTERS]}".{why}', 5, "   -")
        more = (
            ("write", "" if p.code == "C023" else p.expected),
            ("nearest", "" if p.nearest and p.nearest in p.message else p.nearest),
            ("", "" if p.code in ("C021", "C013", "C023") else p.mend),
        )
        for name, text in more:
            if text:
                out += layout.wrap(f"{name}: {text}" if name else text, 5, "     ")
    if len(done.unread) > MOST_UNREAD:
        out += layout.wrap(f"and {len(done.unread) - MOST_UNREAD} more", 5, "   -")
    return out


def _open(phone: "PhoneCheck") -> str:
    """Return what keeps a phone check from being settled beside what is to be put right: lines nobody understood, and what must be asked."""
    must = sum(bool(m.why) for m in phone.to_ask)
    parts = (
        f"{phone.unread} LINE{'' if phone.unread == 1 else 'S'} NOT UNDERSTOOD" if phone.unread else "",
        f"{must} THING{'' if must == 1 else 'S'} THAT MUST BE ASKED" if must else "",
    )
    return ", ".join(p for p in parts if p)


def _to_ask(layout: Layout, phone: "PhoneCheck") -> list[str]:
    """Return what is still to be asked on the phone: first what nobody may leave out, with its reason, then the rest by name."""
    out: list[str] = []
    if phone.to_ask:
        out += _heading(layout, "STILL TO ASK")
    for m in phone.to_ask:
        if m.why:
            out += layout.wrap(f"{m.id}: {m.title}. {m.why[0].upper()}{m.why[1:]}.", 5, "   -")
    rest = "; ".join(f"{m.title} ({m.id})" for m in phone.to_ask if not m.why)
    if rest:
        out += layout.wrap(f"{rest}.", 5, "   -")
    again = "It was told, not seen: what must be seen is looked at again by whoever brings the washer."
    return [*out, "", *layout.wrap(again)] if phone.asked else out


def _finding(layout: Layout, kb: "model.KB", x: "SurveyLine | None", f: "Defect", warned: set[str]) -> list[str]:
    """Return one finding: what was seen, its limit, what it leads to, and its mend."""
    out = [""]
    if x is None:
        out += layout.labelled("FAILED", f"{f.title}: {f.said}", "strong")
        out += layout.labelled("passes", f.limits)
    else:
        out += one(layout, kb, x)
    others = [kb.rules[r].edition or kb.rules[r].title for r in f.rules[1:]]
    if others:
        out += layout.labelled("also", "; ".join(others))
    if f.danger:
        out += layout.labelled("danger", f.danger, "strong")
    if f.declined:
        out += layout.labelled("declined", "by the customer, on both pages", "strong")
    if f.meanwhile:
        out += layout.labelled("until", f.meanwhile)
    m = f.mend
    if m.cause and m.cause in warned:
        return out + layout.labelled("mend", f"{m.title}, as above", "strong")
    warned.add(m.cause)
    took = f", {m.minutes:g} min" if m.minutes else ""
    parts = f"; parts: {', '.join(m.parts)}" if m.parts else ""
    out += layout.labelled("mend", f"{m.title}: {m.by_text}{took}{parts}", "strong")
    for number, step in enumerate(m.steps, 1):
        out += layout.labelled("", f"{number}. {step}" if len(m.steps) > 1 else step)
    if f.or_else:
        out += layout.labelled("or", f"{'; '.join(f.or_else)}: see which before you mend")
    # A note that was read once is called to mind by its title.
    for note in m.hazards:
        text = note.title + "." if note.hazard in warned else f"{note.title}. {note.says}"
        warned.add(note.hazard)
        out += layout.labelled(note.signal, text, note.signal)
    return out


def _right(layout: Layout, kb: "model.KB", done: "Survey") -> list[str]:
    """Return what was seen and is right, in the order of the walk: proofs first, then each part's readings in one paragraph."""
    from ...engine.survey.areas import area_title

    out: list[str] = []
    passed = [f"{p.title}: {p.said}" for p in done.proofs if p.passed and not p.again and not p.told]
    if passed and done.stops:
        text = f"{'; '.join(passed)}. Run before the mends, which can't change it: it need not be run again."
        out += ["", *layout.labelled("run", text)]
    elif passed:
        out += ["", *layout.labelled("PROVED", "; ".join(passed), "strong")]
    void = [f"{p.title}: {p.said}" for p in done.proofs if p.again]
    if void:
        text = f"{'; '.join(void)}. Run before the mends, which can change it: empty these lines, mend, and run again."
        out += ["", *layout.labelled("again", text, "strong")]
    told = [f"{p.title}: {p.said}" for p in done.proofs if p.passed and p.told and not p.again]
    if told:
        out += ["", *layout.labelled("told", "; ".join(told))]
    for area in dict.fromkeys(x.area for x in done.lines):
        here = [x for x in done.lines if x.area == area and x.verdict == "within" and x.counted]
        if not here:
            continue
        out += _heading(layout, area_title(area).upper())
        once: dict[str, SurveyLine] = {}
        for x in sorted(here, key=lambda x: x.beside):  # the rule that the line was made for speaks for its neighbours
            once.setdefault(x.check or x.rule, x)
        out += layout.labelled("within", "; ".join(_within(kb, x) for x in once.values()))
    return out


def _within(kb: "model.KB", x: "SurveyLine") -> str:
    """Return a line that is right, by what was looked at: a look is seldom the whole of its rule. A limit that stands here from memory is named with whose it is, for it may be another's."""
    limit = f" (by {x.limits}; {x.whose.partition('; ')[0]})" if x.recalled and x.measured else ""
    return f"{looked_at(kb, x)}: {x.said}{limit}{TOLD if x.told else ''}"


def _idle(layout: Layout, done: "Survey") -> list[str]:
    """Return the filled lines that judge nothing here, each with its reason and what is asked in its place."""
    if not done.unjudged:
        return []
    out = _heading(layout, "FILLED IN, AND NOT JUDGED HERE")
    for u in done.unjudged:
        text = f"{u.title}, {u.said}: {u.why}"
        if u.instead:
            names = "; ".join(f"{t} ({i})" for t, i in zip(u.instead, u.instead_ids, strict=True))
            text += f". Asked in its place: {names}"
        out += layout.labelled("not used", text)
    return out


def _missing(layout: Layout, done: "Survey") -> list[str]:
    """Return what was not measured: lines left empty, by name where they are few, and how many rules no line reads."""
    from ...engine.survey.areas import HABITS, area_title

    if done.stage and done.stage != STAGES[-1]:
        rest = "; ".join(done.stage_left)
        return ["", *layout.wrap(f"Lines of this stage left empty: {rest}.")] if rest else []
    left = [x for x in done.lines if x.verdict == "not-measured" and x.counted and x.area not in HABITS]
    empty: dict[str, list[str]] = {}
    for x in left:
        if x.on_sheet:
            empty.setdefault(x.area, []).append(x.title)
    out: list[str] = []
    if sum(map(len, empty.values())) > NAMED:
        counts = ", ".join(f"{area_title(a)} {len(titles)}" for a, titles in empty.items())
        out += ["", *layout.wrap(f"Lines left empty, by part: {counts}. dryfloor survey --blank prints them.")]
    elif empty:
        out += ["", *layout.wrap("Lines left empty:")]
        out += [line for a, titles in empty.items() for line in layout.wrap(f"{area_title(a)}: {'; '.join(titles)}", 3)]
    other = sum(not x.on_sheet for x in left)
    if other:
        text = f"{other} more rules have no line on the sheet: other codes' limits, papers, and what the physics had no reading for. dryfloor rule shows them."
        out += ["", *layout.wrap(text)]
    return out


def one(layout: Layout, kb: "model.KB", x: "SurveyLine") -> list[str]:
    """Return one surveyed rule as lines; where it is kept, no more than that."""
    word = WORDS[x.verdict] if x.counted else "advice" if x.advice else "beside"
    bad = x.counted and x.verdict in ("broken", "too-close")
    said = f"{x.title}: {x.text}" if x.said in x.text else f"{x.title}: {x.said}; {x.text}"
    out = layout.labelled(word, said + (TOLD if x.told else ""), "strong" if bad else "")
    if not bad:
        return out
    out += layout.labelled("limit", f"{x.limits}; {x.whose}")
    if x.measured and x.conformity is not None:
        if x.verdict == "too-close":
            out += layout.labelled(
                "kept",
                f"{in_100(x.conformity)} that the rule is kept, by the {'reading' if x.measured.check else 'estimate'}'s own give or take",
            )
        out += number_line(x.measured, min(layout.width - (0 if layout.narrow else 6), LINE), 0 if layout.narrow else 3)
    for text in x.means[:2]:
        out += layout.labelled("that is", text)
    if x.leads_to:
        led = ", ".join(f"{kb.complaints[c.complaint].title.lower()} {in_100(c.p)}" for c in x.leads_to[:LED])
        out += layout.labelled("leads to", f"{led}, within a year")
    return out
