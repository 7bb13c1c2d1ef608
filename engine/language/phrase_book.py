"""What people said, with what they meant: phrases by writers, and the `hear` phrases of a kb, as examples to learn from."""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

from ..model import KB

OTHER = "other"  # the class "something else"
KB_WRITER = "kb"
GATES = {  # what writers call a danger, where they don't name the hazard -> the hazard whose gate it raises
    "water-running": "water-running",
    "smoke-or-fire": "burning-smell",
    "shock": "shock-tingle",
    "gas": "gas-smell",
    "sewage": "sewage",
    "scald": "scalding-supply",
    "moving-now": "walking-machine",
    "water-near-electricity": "water-near-electricity",
}

OPENING = re.compile(r"(?:(?:the|my|our|this) )?(?:clothes washer|washing machine|washer|machine|it)\b(?! is my)")
THINGS = (  # what people have trouble with besides; no pipe, drain, lamp or breaker, which a washer's trouble shows at
    "dryer", "fridge", "oven", "car", "laptop", "chair", "fan", "phone", "radio", "table", "truck", "freezer",
    "toilet", "kettle", "desk", "vacuum", "tv", "bike", "dishwasher", "shed", "boat", "printer", "door", "stove",
    "mower", "tent", "clock", "heater", "toaster", "bed", "tractor", "blender", "roof", "guitar", "camera", "boiler",
    "drill", "bath", "piano", "drone",
)  # fmt: skip

OPTIONS = {("onset", "gradually"): "slowly"}  # what writers call an option -> the kb's


class Example(NamedTuple):
    """One text and what it means.

    Parameters
    ----------
    writer
        a letter, or `KB_WRITER`
    say
        the text
    complaints
        ids, the likeliest first, or `OTHER`; empty where nobody said which
    hazards
        ids of those whose gate it should raise; None where nobody said
    facts
        fact to option; None where nobody said
    others
        complaints that are meant besides, and must be among the first three
    """

    writer: str
    say: str
    complaints: tuple[str, ...]
    hazards: tuple[str, ...] | None
    facts: dict[str, str] | None
    others: tuple[str, ...] = ()


def written(folder: Path) -> list[Example]:
    """Return the phrases of all writers, `<letter>.yaml` in a folder, by letter; a copy of another writer's words is left out.

    Parameters
    ----------
    folder : Path
        Each file is a list of mappings with `say`, `top` (complaints; none: something else), and, where the writer was asked
        for them (`writer` stands beside), `danger` and `facts`.
    """
    import yaml

    out: list[Example] = []
    said: dict[str, str] = {}
    for path in sorted(folder.glob("?.yaml")):
        rows: list[dict[str, Any]] = yaml.load(path.read_text("utf-8"), getattr(yaml, "CSafeLoader", yaml.SafeLoader))
        for row in rows:
            letters = "".join(c for c in row["say"].lower() if c.isalnum())
            if said.setdefault(letters, path.stem) != path.stem:
                continue  # else what one writer says would be learnt from the other
            asked = "writer" in row
            dangers = tuple(GATES.get(d, d) for d in row.get("danger", []))
            facts = {fact: OPTIONS.get((fact, option), str(option)) for fact, option in row.get("facts", {}).items()}
            out.append(
                Example(
                    path.stem,
                    row["say"],
                    tuple(row.get("top", [OTHER])),
                    dangers if asked else None,
                    facts if asked else None,
                    tuple(row.get("and", [])),
                )
            )
    return out


def of_kb(kb: KB) -> list[Example]:
    """Return the `hear` phrases of a kb: of complaints, of hazards that writers name, of facts; and their counterparts."""
    out = [
        Example(KB_WRITER, words, (c.id,), None, None)
        for c in kb.complaints.values()
        for words in dict.fromkeys([*c.hear, c.says])
    ]
    gated = [h for h in kb.hazards.values() if h.gate]
    out += [Example(KB_WRITER, words, (), (h.id,), {}) for h in gated for words in h.hear]
    out += [
        Example(KB_WRITER, words, (), (), {f.id: key})
        for f in kb.facts.values()
        for key, option in f.options.items()
        for words in option.hear
    ]
    return out + counterparts(kb)


def counterparts(kb: KB) -> list[Example]:
    """Return complaints told of other things: "the washer shakes", and so "my chair shakes", which is something else.

    Each phrase that opens with the washer gets one of `THINGS` by turns. Nobody wrote them: they teach that a sentence is about what
    it opens with.
    """
    opened = [
        words[found.end() :]
        for c in kb.complaints.values()
        for words in dict.fromkeys([*c.hear, c.says])
        if (found := OPENING.match(words))
    ]
    return [
        Example(KB_WRITER, f"my {THINGS[n % len(THINGS)]}{rest}", (OTHER,), None, None) for n, rest in enumerate(opened)
    ]


def texts(examples: Iterable[Example]) -> list[str]:
    """Return what was said, in order."""
    return [e.say for e in examples]
