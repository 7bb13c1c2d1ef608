"""The case in its order, for a report: each answer with the weight that it had for what was found."""

from .. import model
from ..advice import Frozen
from ..advising.analysis import Analysis
from ..advising.explain import chance_of, left_out, said, way
from ..case.events import DEFAULT_HANDS, Event
from ..case.rows import leading
from ..case.state import State, fold
from ..language.sanitize import printable
from ..planning import roles
from . import handover

LEAST = 0.005  # a change of a chance that is smaller is none to speak of (judgement) [prob]
# How strongly an answer speaks, by how far it moves the chance (judgement) [prob].
STRONG = ((0.3, "strongly"), (0.05, ""), (LEAST, "a little"))


class Trail(Frozen, frozen=True, kw_only=True):
    """One thing of the case, in its order; `weight` is how far it moves the finding's chance, None where nothing was asked.

    `bar` is the weight as a share of the heaviest one, from -1 (against) to 1 (for) [-].
    """

    n: int
    who: str
    what: str
    weight: float | None
    bar: float
    says: str


def trail_of(
    kb: model.KB, events: list[Event], upto: list[Event], causes: list[str], then: Analysis, expert: bool
) -> list[Trail]:
    """Return the case in its order, each answer with its weight for what was found: what leaving it out would change."""
    less = dict(left_out(kb, upto)) if causes else {}
    now = chance_of(then, causes[0]) if causes else 0.0
    weights = {n: now - without.get(causes[0], 0.0) for n, without in less.items()}
    most = max([abs(w) for w in weights.values()], default=0.0)
    role: str = "homeowner"
    hands: str = "homeowner"
    out: list[Trail] = []
    for n, event in enumerate(events):
        if leading(event) in ("role", "hands"):
            role = event.role or role
            hands = event.hands or DEFAULT_HANDS[role]
        what = _what(kb, event)
        if not what:
            continue
        weight, bar, says = None, 0.0, ""
        if n in weights:
            weight = round(weights[n], 6)
            bar = round(weights[n] / most, 3) if abs(weights[n]) >= LEAST else 0.0
            says = way(now - weights[n], now) if expert else _strength(weights[n])
        whom = "" if leading(event) in ("role", "closed") else _who(role, hands)
        out.append(Trail(n=len(out) + 1, who=whom, what=what, weight=weight, bar=bar, says=says))
    return out


def _who(role: str, hands: str) -> str:
    if hands == "technician":
        return "technician"
    return "household" if role == "homeowner" else f"household, asked by the {role}"


def trail_text(kb: model.KB, causes: list[str]) -> str:
    """Return what the weights of the trail are for."""
    if not causes:
        return "Nothing was found yet, so no answer carries weight."
    title = kb.causes[causes[0]].title
    return f"In the order in which it went, with what each answer did for this finding: {title[0].lower()}{title[1:]}."


def trail_key(trail: list[Trail]) -> str:
    """Return what the bars of the trail stand for; empty where there are none."""
    most = max([abs(t.weight) for t in trail if t.weight is not None], default=0.0)
    if most < LEAST:
        return ""
    return f"A full bar to the right speaks for it, an open bar to the left against it. The longest bar moves its chance by {100 * most:.0f} in 100."


def _strength(change: float) -> str:
    """Return how strongly an answer speaks, in words."""
    word = next((w for least, w in STRONG if abs(change) >= least), None)
    if word is None:
        return "changes nothing by itself"
    return f"speaks {word + ' ' if word else ''}{'for' if change > 0 else 'against'} it"


def _what(kb: model.KB, event: Event) -> str:
    """Return one event in words; empty where it is nothing to tell."""
    kind = leading(event)
    if kind == "heard":
        return f"Said: \u201c{printable(event.heard or '', 300)}\u201d"
    if kind in ("check", "fact"):
        return printable(said(kb, event))
    if kind == "earlier" and event.earlier in kb.checks:
        found = fold(kb, [event]).earlier[0]
        return f"At the installation. {handover.then(kb, found)}"
    if kind == "proof":
        return f"Proof. {printable(said(kb, event))}"
    if kind == "remedy":
        did = "done" if (event.did or "done") == "done" else "could not be done"
        return f"Fix. {kb.causes[event.remedy or ''].remedy.title}: {did}"
    if kind in ("cleared", "stopped"):
        hazard = kb.hazards[(event.cleared or event.stopped) or ""]
        return f"Safety. {hazard.title}: {'clear' if kind == 'cleared' else 'not safe, stopped'}"
    if kind in ("cant", "skip"):
        name = (event.cant or event.skip) or ""
        (text,) = handover.passed_over(kb, State(passed_over=((name, kind),)))
        return text
    if kind == "still":
        left = "; ".join(kb.complaints[c].title for c in event.still or []) or "nothing"
        return f"What is left: {left}"
    if kind == "closed":
        return f"Closed: {(event.closed or '').replace('-', ' ')}"
    if kind == "role" and event.role:
        return f"From here: {roles.role_card(kb, event.role).title.lower()}"
    return ""
