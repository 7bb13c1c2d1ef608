"""What a survey found broken, by consequence: each with what it does in the next year, its mend, and what the mend saves."""

from msgspec import Struct, structs

from .. import model
from ..advice import Belief, Note
from ..diagnosis.network import Network
from ..knowledge import graph
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from .consequences import Leads, behind_break, callback_cost, complains, saved
from .lines import SurveyLine
from .seen import Proved
from .stops import OFF, OFF_AT_MAIN, at_the_main, danger_of, stops, taps_stuck

LIKELY = 0.1  # a cause that is less likely behind a break, and is not that break, is not named as what to mend [prob]
BY: dict[model.Trade, str] = {
    "anyone": "whoever installs",
    "technician": "a washer technician",
    "plumber": "a licensed plumber",
    "electrician": "a licensed electrician",
}


class Mend(Struct, frozen=True, kw_only=True):
    """How a break is mended: the steps, how long, with what, by whom, and what can hurt; `cause` is empty where only the limit is known."""

    cause: str
    title: str
    steps: list[str]
    minutes: float | None
    parts: list[str]
    by: model.Trade
    by_text: str
    hazards: list[Note]


class Defect(Struct, frozen=True, kw_only=True):
    """Something that is broken, once, whichever rules say so.

    `rules` are ids, the first the one that counts; `saves` is the callback cost that the mend prevents [homeowner minutes]; `or_else`
    names what it may be besides; `hurts` that it can hurt somebody before it annoys anybody, `danger` how, in plain words; `meanwhile`
    whether it may be run until then, where a hazard's rule is broken and nothing about it is a danger yet. `may_decline` is that a customer
    may decline its mend: a licensed trade's work that hurts nobody; `declined` that they did, by the sheet.
    """

    rules: list[str]
    check: str
    title: str
    said: str
    text: str
    limits: str
    whose: str
    leads_to: list[Leads]
    saves: float
    mend: Mend
    or_else: list[str]
    hurts: bool
    danger: str = ""
    meanwhile: str = ""
    may_decline: bool = False
    declined: bool = False


MEANWHILE = "It may be run until then. Have it mended soon, before it is a callback or a danger."


def findings(
    network: Network, filled: FilledSheet, broken: list[SurveyLine], proofs: list[Proved], beliefs: list[Belief]
) -> list[Defect]:
    """Return what was found: what can hurt first, then by what its mend saves; what costs nothing that the kb can count comes last.

    Parameters
    ----------
    network : Network
    filled : FilledSheet
    broken : list of SurveyLine
        The lines that are broken and counted, in the order of the walk.
    proofs : list of Proved
    beliefs : list of Belief
        What all readings make likely: for a proof that failed.
    """
    together: dict[tuple[str, str], list[SurveyLine]] = {}
    for line in broken:
        together.setdefault((line.check or line.rule, line.side or line.node), []).append(line)
    # What one line is seen to be stands behind the others that it would explain, however rare it is in general.
    kb = network.kb
    seen = {
        c.id
        for lines in together.values()
        for c in kb.causes.values()
        if _defined(c, kb.rules[lines[0].rule], lines[0])
    }
    out = [_found(network, filled, lines, seen) for lines in together.values()]
    # A mend that was declined is declined for all that it would put right.
    passed = {f.mend.cause for f in out if f.declined and f.mend.cause}
    out = [structs.replace(f, declined=f.declined or (f.may_decline and f.mend.cause in passed)) for f in out]
    out += [_failed(network, filled, p, beliefs) for p in proofs if not p.passed]
    return sorted(out, key=lambda f: (not f.hurts, -f.saves))


def _found(network: Network, filled: FilledSheet, lines: list[SurveyLine], seen: set[str]) -> Defect:
    kb, line = network.kb, lines[0]
    rule = kb.rules[line.rule]
    home = kb.rules[rule.replaces[0]] if rule.replaces and not line.node else rule
    behind = behind_break(network, home, line.side, filled.facts, line.node)
    danger, hurts = _danger(network.kb, filled, lines)
    off = any(s.check == line.check and s.act in (OFF, OFF_AT_MAIN) for s in stops(kb, filled))
    cause = None if rule.replaces else _cause(kb, home, line, behind, seen)
    mend = mend_of(kb, kb.causes[cause], filled.facts) if cause else _limit(kb, line, behind, off)
    if taps_stuck(kb, filled):
        mend = structs.replace(mend, steps=[at_the_main(s) for s in mend.steps])
    guarded = any(kb.rules[x.rule].guarded for x in lines)
    # What can hurt, what a hazard's rule guards, and what whoever installs owes, nobody declines.
    may = not danger and not guarded and mend.by in ("plumber", "electrician")
    return Defect(
        rules=[x.rule for x in lines],
        check=line.check,
        title=line.title,
        said=line.said,
        text=line.text,
        limits=line.limits,
        whose=line.whose,
        leads_to=line.leads_to,
        saves=round(saved(network, behind), 6),
        mend=mend,
        or_else=[kb.causes[c].title for c, p in behind.items() if c != cause and p >= LIKELY] if cause else [],
        hurts=hurts,
        danger=danger,
        meanwhile=MEANWHILE if guarded and not danger else "",
        may_decline=may,
        declined=may and line.check in filled.declined,
    )


def _cause(kb: model.KB, rule: model.Rule, line: SurveyLine, behind: dict[str, float], seen: set[str]) -> str | None:
    """Return the cause whose mend a break gets: the one that the answer is, else one that another line is, else the likeliest."""
    is_it = [c for c in behind if _defined(kb.causes[c], rule, line)]
    if is_it:
        # Where one look is two causes, the one that it is before all others: its own first answer.
        return next((c for c in is_it if _first(kb.causes[c], line)), is_it[0])
    own = own_mend(kb, kb.rules[line.rule], line.side)
    if own and own.before_likely and not seen & {*behind}:
        return None
    likely = next((c for c in behind if c in seen), next(iter(behind), None))
    breaks = [c for c in behind if (b := kb.causes[c].breaks) and b.rule == rule.id and b.side == line.side]
    if likely and (likely in seen or behind[likely] >= LIKELY):
        return likely
    return breaks[0] if breaks else None


def _defined(cause: model.Cause, rule: model.Rule, line: SurveyLine) -> bool:
    d = cause.defines
    if d is None or d.why_hidden:
        return False
    if d.check:
        return line.node in {graph.answer_node(d.check, a) for a in (d.answer, *d.also) if a}
    return (d.rule, d.side) == (rule.id, line.side)


def _first(cause: model.Cause, line: SurveyLine) -> bool:
    d = cause.defines
    return bool(d and d.check and line.node == graph.answer_node(d.check, d.answer or ""))


def _failed(network: Network, filled: FilledSheet, proof: Proved, beliefs: list[Belief]) -> Defect:
    """Return a proof that failed as a finding: whatever the readings make likeliest of what it would prove, and nothing surer."""
    kb = network.kb
    node = graph.answer_node(proof.check, filled.readings[proof.check])
    shown = network.shown.get(node, {})
    proven = {c.id for c in kb.causes.values() if c.proof.check == proof.check} | set(shown)
    behind = {b.cause: b.present for b in beliefs if b.cause in proven and b.kind != "normal"}
    behind = dict(sorted(behind.items(), key=lambda x: (-x[1], x[0])))
    likely = [kb.causes[c] for c in behind][:3]
    check = kb.checks[proof.check]
    cost = max((complains(network, c.id) * callback_cost(kb, c) for c in likely), default=0.0)
    steps = [f"Look first for: {'; '.join(c.title.lower() for c in likely)}."] if likely else []
    steps.append("dryfloor walk --role technician goes on from here.")
    return Defect(
        rules=[],
        check=proof.check,
        title=check.title,
        said=proof.said,
        text=f"{proof.said}: the proof failed",
        limits=list(check.answers.values())[-1].says if check.answers else "",
        whose="seen in the machine's own run",
        leads_to=[],
        saves=round(cost, 6),
        mend=Mend(
            cause="",
            title="Find out why before anybody leaves",
            steps=steps,
            minutes=None,
            parts=[],
            by="technician",
            by_text=BY["technician"],
            hazards=_notes(kb, check.hazards, filled.facts),
        ),
        or_else=[],
        hurts=False,
    )


def _danger(kb: model.KB, filled: FilledSheet, lines: list[SurveyLine]) -> tuple[str, bool]:
    """Return what a break can do in plain words, and whether it can hurt somebody at once."""
    name = lines[0].check
    stop = next((s for s in stops(kb, filled) if s.check == name), None)
    if stop and stop.danger:
        return stop.danger, stop.grave
    danger = danger_of(kb, filled, kb.checks[name]) if name else None
    return (kb.hazards[danger.hazard].danger or kb.hazards[danger.hazard].says, True) if danger else ("", False)


def mend_of(kb: model.KB, cause: model.Cause, facts: dict[str, str]) -> Mend:
    """Return the mend of a cause as a sheet tells it, in the hands that these facts put it in."""
    remedy = cause.remedy
    by = remedy.by
    for other in remedy.by_where:
        if all(f in facts for f in other.when) and holds(other.when, facts):
            by = other.by
            break
    return Mend(
        cause=cause.id,
        title=remedy.title,
        steps=remedy.steps,
        minutes=remedy.minutes,
        parts=[kb.parts[p].title for p in dict.fromkeys(remedy.parts)],
        by=by,
        by_text=BY[by],
        hazards=_notes(kb, remedy.hazards, facts),
    )


def _limit(kb: model.KB, line: SurveyLine, behind: dict[str, float], off: bool) -> Mend:
    """Return what there is to say where no cause's remedy mends a break: what the rule itself says of its mend, else its limit.

    Whose work it is follows from the remedy of a cause that breaks this rule on this side, else from the rule's own mend; the part of the
    house says nothing of it: an overtight nut is no plumber's.
    """
    rule = kb.rules[line.rule]
    rules = {line.rule, *rule.replaces}
    own = own_mend(kb, rule, line.side)
    by: model.Trade = own.by if own else "technician"
    for cause in behind if own is None else ():
        breaks = kb.causes[cause].breaks
        # Whoever mends another rule that the same break bears on does not mend this one.
        if breaks and breaks.rule in rules and breaks.side == line.side:
            by = kb.causes[cause].remedy.by
            break
    until = ["Until it is done the washer is not run: its breaker off, from a dry place."] if off else []
    return Mend(
        cause="",
        title=own.title if own else _wanted(rule, line, by),
        steps=[*until, *(own.steps if own else [])],
        minutes=None,
        parts=[],
        by=by,
        by_text=BY[by],
        hazards=_notes(kb, kb.checks[line.check].hazards, {}) if line.check else [],
    )


def without_meanwhile(found: Defect) -> Defect:
    """Return a finding as it is told before delivery: what to do until the mend is for a washer that stands there."""
    steps = [s for s in found.mend.steps if not s.lower().startswith("until then")]
    return structs.replace(found, mend=structs.replace(found.mend, steps=steps), meanwhile="")


def own_mend(kb: model.KB, rule: model.Rule, side: str | None) -> model.RuleMend | None:
    """Return what a rule says of its own mend on a side, else what the rule says that it stands in the place of.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> own_mend(kb, kb.rules["fill-coupling-turn"], "above").by, own_mend(kb, kb.rules["fill-coupling-turn"], "below")
    ('anyone', None)
    """
    every = [m for r in (rule, *(kb.rules[x] for x in rule.replaces)) for m in r.mends]
    return next((m for m in every if m.side in (None, side)), None)


def _wanted(rule: model.Rule, line: SurveyLine, by: model.Trade) -> str:
    """Return what is wanted of a rule for which the kb has no mend: what must be seen, or between which limits it must read."""
    have = by in ("plumber", "electrician")
    if rule.measures == "state":
        return f"{'Have it put right' if have else 'Put it right'}, so that {rule.must}"
    return f"{'Have it changed' if have else 'Change it'} until it reads {line.limits}"


def _notes(kb: model.KB, hazards: list[str], facts: dict[str, str]) -> list[Note]:
    records = [kb.hazards[h] for h in hazards if holds(kb.hazards[h].when, facts)]
    return [Note(signal=h.signal, title=h.title, says=h.says, hazard=h.id) for h in records]
