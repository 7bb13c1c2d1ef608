"""What was learned from a shop's cases, as lines and as the page that lies in its folder. Pure."""

from __future__ import annotations

from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

    from ...engine import model
    from ...engine.learning.backtest import Backtest
    from ...engine.learning.certainty import Foretold
    from ...engine.learning.overlay import LearnedNumber
    from ...engine.learning.promises import KeptPromises
    from ...engine.learning.replay import Replayed

MOST = 12  # numbers that are shown
SAYS = {
    "rate": "how often '{0}' is at work",
    "unlisted": "how often '{0}' has a cause that is not listed",
    "share": "{0}: how often '{1}'",
    "strength": "how surely '{0}' shows as '{1}'",
    "leak": "how often '{0}' is seen with no listed cause",
    "cures": "how often the mend of '{0}' holds",
    "hit": "how often a {0} catches what is there ({1})",
    "false_alarm": "how often a {0} reports what is not there ({1})",
}


HELD = (
    "A case beside a cause says otherwise, and every such case must come out as its author promised: so these stay nearer to the judgement than they "
    "were counted."
)


def said(kind: str, names: list[str]) -> str:
    """Return what a number is of, in words.

    Examples
    --------
    >>> said("strength", ["Foot that carries no load", "One foot bears nothing"])
    "how surely 'Foot that carries no load' shows as 'One foot bears nothing'"
    """
    return SAYS[kind].format(*names)


def plain(name: str) -> str:
    """Return an id without what says of what kind it is.

    Examples
    --------
    >>> plain("answer:hose-sealed:taped")
    'hose-sealed, taped'
    """
    return name.removeprefix("sign:").removeprefix("answer:").removeprefix("side:").replace(":", ", ")


def chances(*some: float) -> list[str]:
    """Return chances as a person reads and compares them: all of 100, or, where one is small, all of 1000.

    Examples
    --------
    >>> chances(0.25, 0.031), chances(0.0034, 0.012)
    (['25 in 100', '3.1 in 100'], ['3.4 in 1000', '12 in 1000'])
    """
    of = 100 if min(some) >= 0.01 else 1000
    return [f"{of * p:.0f} in {of}" if of * p >= 10 else f"{of * p:.2g} in {of}" for p in some]


def learned_lines(layout: Layout, kb: model.KB, data: dict[str, Any]) -> list[str]:
    """Return what was learned: how the later cases are told with it, what comes next, what moved most, what was held back, what cases can't tell."""
    test: Backtest = data["test"]
    out = layout.wrap(
        f"{data['cases']} cases, in {data['known']} of them the cause is known; {data['passes']} passes over them."
    )
    out += left_out_lines(layout, data["left_out"])
    out += [
        "",
        layout.paint("ON LATER CASES", "strong"),
        *(line for text in [*on_later_cases(test), *played_again(data["replayed"])] for line in layout.wrap(text)),
    ]
    if data["out"]:
        out += [
            "",
            *layout.labelled(
                "WRITTEN", f"{data['out']}: {len(data['moved'])} numbers. Use it: dryfloor --kb {data['out']}"
            ),
        ]
    elif data["better"]:
        out += ["", *layout.wrap("It is worth it. Nothing was written: name a folder after -o.")]
    else:
        out += [
            "",
            *layout.labelled(
                "NOT WRITTEN", "The later cases are not told better with these numbers; those of the kb stay."
            ),
        ]
    for title, lines in to_come(kb, data["to_come"], 4):
        out += ["", *layout.wrap(f"OF THE NEXT {title}")]
        out += [line for text in lines for line in layout.wrap(text, 5, "   -")]
    out += ["", layout.paint("WHAT MOVED MOST", "strong")]
    out += [line for w in data["moved"][:MOST] for line in layout.wrap(moved(w), 5, "   -")] or layout.wrap(
        "Nothing yet.", 3
    )
    if len(data["moved"]) > MOST:
        out += layout.wrap(f"And {len(data['moved']) - MOST} more; --json has all.", 3)
    if data["held"]:
        out += ["", layout.paint("HELD BACK", "strong"), *layout.wrap(HELD)]
        out += [line for h in data["held"][:MOST] for line in layout.wrap(said(h["key"][0], h["names"]), 5, "   -")]
        if len(data["held"]) > MOST:
            out += layout.wrap(f"And {len(data['held']) - MOST} more; --json has all.", 3)
    out += ["", layout.paint("WHAT YOUR CASES CANNOT TELL", "strong")]
    out += [line for text in cannot(kb, data) for line in layout.wrap(text, 5, "   -")]
    return out


def left_out_lines(layout: Layout, left_out: dict[str, int]) -> list[str]:
    """Return how many cases taught nothing, and why."""
    if not left_out:
        return []
    some = ", ".join(f"{why} {n}" for why, n in sorted(left_out.items(), key=lambda pair: (-pair[1], pair[0])))
    return layout.wrap(f"Left out: {some}.")


def on_later_cases(test: Backtest) -> list[str]:
    """Return how the later cases were told, in sentences."""
    if not test.scored:
        return [f"Learned from the first {test.earlier}; of the {test.later} later ones the cause of none is known."]
    low, high = test.gain - 1.645 * test.error, test.gain + 1.645 * test.error
    chance = " That may still be chance: learn again when there are more." if low < 0 < test.gain else ""
    return [
        f"Learned from the first {test.earlier}, looked at in {test.scored} of the {test.later} later ones, those with a known cause.",
        f"Log score of the true cause: {test.gain:+.3f} a case (90 in 100: {low:+.3f} to {high:+.3f}); above 0 is better.{chance}",
        f"Squared error of how surely the finding was stated: {test.brier[0]:.3f} before, {test.brier[1]:.3f} with them; less is better.",
    ]


def played_again(found: Replayed) -> list[str]:
    """Return what later cases cost, played again with the advice before and after, in sentences."""
    if not found.cases:
        return []
    low, high = found.less - 1.645 * found.error, found.less + 1.645 * found.error
    return [
        f"{found.cases} of them played again: {found.cost[0]:.0f} minutes of a homeowner before, {found.cost[1]:.0f} with them, all that a call costs "
        f"counted in (less by {found.less:+.1f}; 90 in 100: {low:+.1f} to {high:+.1f}); {found.minutes[0]:.0f} and {found.minutes[1]:.0f} minutes of work. "
        "What nobody was asked is drawn from what all cases taught."
    ]


def to_come(kb: model.KB, some: list[Foretold], most: int = MOST) -> list[tuple[str, list[str]]]:
    """Return for each complaint what the next cases are expected to be, with the numbers between which it will be 90 times in 100.

    Parameters
    ----------
    kb : KB
    some : list of Foretold
        As they come: what is expected most stands first.
    most : int
        How many causes of each complaint are told [-].
    """
    out = []
    for complaint in dict.fromkeys(f.complaint for f in some):
        own = [f for f in some if f.complaint == complaint and f.key[0] == "cause"]
        if own:
            title = f"{own[0].of} CALLS OF '{kb.complaints[complaint].title}', 90 TIMES IN 100 SO MANY WILL BE"
            lines = [f"{cause_said(kb, f.key[1])}: {f.low} to {f.high} (expected {f.mean:.0f})" for f in own[:most]]
            out.append((title, lines))
    return out


def cause_said(kb: model.KB, cause: str) -> str:
    """Return a cause by its title; an empty one is none that is listed."""
    return kb.causes[cause].title if cause else "something that is not listed"


def moved(w: LearnedNumber) -> str:
    """Return one number that moved, in a sentence."""
    way = "more" if w.learned > w.judged else "less"
    learned, judged = chances(w.learned, w.judged)
    return f"{said(w.key[0], w.names)}: {learned}, judged {judged} ({way}, {w.cases} cases)"


def cannot(kb: model.KB, data: dict[str, Any]) -> list[str]:
    """Return what cases can't tell, or not yet."""
    out = list(data["as_judged"])
    for p in data["passed_over"]:
        out.append(
            f"'{p.title}': nobody could look in {p.cases} of {p.of} cases. What that hides is no bias as long as it does not hang on what is there; where "
            "people pass it over because of what they would see, its causes are learned too rare. Have it looked at in some of these."
        )
    if data["unseen"]:
        some = "; ".join(kb.causes[c].title for c in data["unseen"][:MOST])
        more = f"; and {len(data['unseen']) - MOST} more" if len(data["unseen"]) > MOST else ""
        out.append(
            f"Causes of what is complained of here that hardly came yet, so they stay near to the judgement, the likeliest first: {some}{more}."
        )
    out.append("Any number on which fewer than 5 cases bear.")
    return out


def told_in_folder(kept: KeptPromises) -> str:
    """Return the page that lies in the folder: each number with the judgement is in the report; here, how it is used."""
    lines = [
        "# Numbers of this shop",
        "",
        "`dryfloor learn` wrote this folder from closed cases. It extends the shipped kb: `dryfloor --kb DIR` uses it, `dryfloor kb check --kb DIR`",
        "checks it. No number rests on fewer than 5 cases, and nothing of a case is in it. Learned again into the same folder it is written anew.",
        "",
        "| number | of cases |",
        "|---|---|",
        *(f"| {' '.join(plain(p) for p in k)} | {n} |" for k, n in sorted(kept.cases.items())),
    ]
    return "\n".join(lines) + "\n"
