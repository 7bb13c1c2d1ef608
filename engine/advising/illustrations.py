"""The pictures of a kb: which one belongs to a check, a rule, a remedy's step or a hazard, and drawn to what is known.

`engine.pictures` knows scenes and no kb; here a rule's limit, a reading and a datum of the machine's sheet become its figures.
"""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from .. import model
from ..advice import Illustration, Measured
from ..measurement import quantity
from ..measurement.retelling import labelled

if TYPE_CHECKING:
    from ..pictures.scenes.drawing import Figure

MM = 1000.0  # of a metre


def of_check(kb: model.KB, check: model.Check, rule: model.Rule | None = None) -> list[Illustration]:
    """Return the picture of a check: its own, else that of its rule.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> of_check(kb, kb.checks["standpipe-height"])[0].id
    'rule-standpipe-height'
    """
    own = kb.rules[check.rule] if check.rule else None
    limit = rule or own
    name = f"check-{check.id}" if check.picture else f"rule-{own.id}" if own and own.picture else ""
    return [Illustration(id=name, title=check.title, rule=limit.id if limit else None)] if name else []


def of_rule(rule: model.Rule) -> list[Illustration]:
    """Return the picture of a rule."""
    return [Illustration(id=f"rule-{rule.id}", title=rule.title, rule=rule.id)] if rule.picture else []


def of_hazard(hazard: model.Hazard) -> list[Illustration]:
    """Return the picture of a hazard."""
    return [Illustration(id=f"hazard-{hazard.id}", title=hazard.title, rule=None)] if hazard.picture else []


def of_remedy(kb: model.KB, cause: model.Cause) -> list[Illustration]:
    """Return the pictures of a remedy by its steps: its own, else that of the rule that its cause breaks, else of the look that is the cause."""
    rule = cause.breaks.rule if cause.breaks else None
    own = [
        Illustration(id=f"remedy-{cause.id}-{n}", title=cause.remedy.title, rule=p.rule or rule, step=p.step)
        for n, p in enumerate(cause.remedy.pictures, 1)
    ]
    if own:
        return own
    if rule and kb.rules[rule].picture:
        return [Illustration(id=f"rule-{rule}", title=kb.rules[rule].title, rule=rule)]
    look = cause.defines.check if cause.defines else None
    return of_check(kb, kb.checks[look]) if look else []


def of_finding(kb: model.KB, cause: model.Cause) -> list[Illustration]:
    """Return the picture of what was wrong: of the rule that it breaks, else of the look that is the cause."""
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    if rule and rule.picture:
        return of_rule(rule)
    if cause.defines and cause.defines.check:
        return of_check(kb, kb.checks[cause.defines.check])
    if rule:
        looks = [c for c in kb.checks.values() if c.rule == rule.id and c.picture]
        return of_check(kb, looks[0]) if looks else []
    return []


def everything(kb: model.KB) -> dict[str, Illustration]:
    """Return every picture of a kb by its id."""
    found = [i for r in kb.rules.values() for i in of_rule(r)]
    found += [i for c in kb.checks.values() if c.picture for i in of_check(kb, c)]
    found += [i for c in kb.causes.values() if c.remedy.pictures for i in of_remedy(kb, c)]
    found += [i for h in kb.hazards.values() for i in of_hazard(h)]
    return {i.id: i for i in found}


def shown_by(kb: model.KB, name: str) -> Illustration | None:
    """Return a picture by its id, without going through all of them; None where there is none."""
    kind, _, rest = name.partition("-")
    found: list[Illustration] = []
    if kind == "rule" and rest in kb.rules:
        found = of_rule(kb.rules[rest])
    elif kind == "check" and rest in kb.checks:
        found = of_check(kb, kb.checks[rest])
    elif kind == "hazard" and rest in kb.hazards:
        found = of_hazard(kb.hazards[rest])
    elif kind == "remedy" and rest.rpartition("-")[0] in kb.causes:
        found = of_remedy(kb, kb.causes[rest.rpartition("-")[0]])
    return next((i for i in found if i.id == name), None)


def record_of(kb: model.KB, name: str) -> model.Picture | None:
    """Return the kb's record of a picture by its id, None where there is none."""
    kind, _, rest = name.partition("-")
    if kind == "rule" and rest in kb.rules:
        return kb.rules[rest].picture
    if kind == "hazard" and rest in kb.hazards:
        return kb.hazards[rest].picture
    if kind == "check" and rest in kb.checks:
        return kb.checks[rest].picture
    cause, _, number = rest.rpartition("-")
    if kind == "remedy" and cause in kb.causes and number.isdigit():
        pictures = kb.causes[cause].remedy.pictures
        return pictures[int(number) - 1] if 0 < int(number) <= len(pictures) else None
    return None


def limit_words(rule: model.Rule) -> str:
    """Return a rule's limit in the few words that fit beside an arrow, in the reader's own units.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> limit_words(kb.rules["standpipe-height"]), limit_words(kb.rules["hose-insertion-depth"])
    ('39 to 96 in', 'at most 8 in')
    """
    if rule.min and rule.max:
        (low, unit), (high, other) = rule.min.rsplit(" ", 1), rule.max.rsplit(" ", 1)
        return labelled(f"{low} to {high} {unit}" if unit == other else f"{rule.min} to {rule.max}")
    if rule.min:
        return labelled(f"at least {rule.min}")
    return labelled(f"at most {rule.max}") if rule.max else ""


def seconds_a_gallon(flow: str) -> int:
    """Return in how many whole seconds a gallon runs at a flow, cut off: whoever keeps to them has that flow at least.

    Examples
    --------
    >>> seconds_a_gallon("5 L/min"), seconds_a_gallon("2.9 gpm")  # 60 x 3.785 / 5 = 45.4, 60 / 2.9 = 20.7
    (45, 20)
    """
    return math.floor(quantity.parse("1 gal", "volume") / quantity.parse(flow, "flow") + 1e-9)


def drawn(
    kb: model.KB,
    shown: Illustration,
    readings: Iterable[Measured] = (),
    machine: model.Machine | None = None,
    *,
    alone: bool = True,
    told: bool = True,
) -> str:
    """Return a picture as SVG, drawn to what is known; empty where the kb's record names what no scene has.

    Parameters
    ----------
    kb : KB
    shown : Illustration
    readings : iterable of Measured
        What was read in the case: of the same check, or of the rule.
    machine : Machine, optional
        The machine's sheet; its limits replace those of the kb, its data are further sizes.
    alone, told : bool
        As for `pictures.picture.laid_out`.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> drawn(kb, everything(kb)["rule-standpipe-height"])[:4]
    '<svg'
    """
    from ..pictures.picture import laid_out

    record = record_of(kb, shown.id)
    if record is None:
        return ""
    figures = figures_of(kb, shown, record, [*readings], machine)
    known = any(f.reading is not None for f in figures.values())
    try:
        return laid_out(
            record.scene,
            record.marks,
            state=(record.state or "") if known or not record.right else "",
            right=record.right or "" if not known else "",
            wrong=record.wrong or "" if not known else "",
            title=shown.title,
            figures=figures,
            alone=alone,
            told=told,
        ).svg
    except KeyError:  # of a kb that `kb check` has something to say about
        return ""


def figures_of(
    kb: model.KB,
    shown: Illustration,
    record: model.Picture,
    readings: Iterable[Measured] = (),
    machine: model.Machine | None = None,
) -> "dict[str, Figure]":
    """Return what is known of the marks of a picture, lengths in mm."""
    from ..pictures.scenes.drawing import Figure

    out: dict[str, Figure] = {}
    readings = [*readings]
    rule = kb.rules.get(shown.rule or "")
    if rule is not None and record.marks and (rule.min or rule.max):
        own = next((limit for limit in machine.limits if limit.rule == rule.id), None) if machine else None
        low, high = (own.min, own.max) if own else (rule.min, rule.max)
        text = limit_words(rule) if own is None else limit_words(_limited(rule, low, high))
        if record.scene == "flow" and low:
            text = f"at most {seconds_a_gallon(low)} s ({text})"
            out["bucket"] = Figure(limit=labelled("1 gal"))
        long = rule.measures == "length"
        about = {rule.id, shown.id.removeprefix("rule-")}
        read = next((m for m in readings if {m.rule, kb.checks[m.check].rule} & about), None)
        out[record.marks[0]] = Figure(
            limit=text,
            low=quantity.parse(low, rule.measures) * MM if low and long else None,
            high=quantity.parse(high, rule.measures) * MM if high and long else None,
            reading=read.value * MM if read and long else None,
            read=read.said if read else "",
            low_said=labelled(f"at least {low}") if low else "",
            high_said=labelled(f"at most {high}") if high else "",
        )
    for mark, take in record.sizes.items():
        m = next((m for m in readings if m.check == take.check), None)
        datum = machine.data.get(take.data or "") if machine else None
        if m is not None:
            out[mark] = Figure(reading=m.value * MM, read=m.said)
        elif datum:
            out[mark] = Figure(low=quantity.parse(datum, "length") * MM, high=quantity.parse(datum, "length") * MM)
    return out


def _limited(rule: model.Rule, low: str | None, high: str | None) -> model.Rule:
    """Return a rule with a machine's own limits."""
    import msgspec

    return msgspec.structs.replace(rule, min=low, max=high)
