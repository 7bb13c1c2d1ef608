"""Gates before questions: which hazards must be cleared now, in which order, and what a stop says."""

import re

from msgspec import structs

from .. import model
from ..advice import HazardState, Note
from ..case.state import State, reports_of_then
from ..model import holds

RANK = {"DANGER": 0, "WARNING": 1, "CAUTION": 2, "NOTICE": 3}


def raised(kb: model.KB, state: State, heard: list[str]) -> list[str]:
    """Return the hazards with a gate in this case: by words, by complaints, by answers; each once, gravest order kept.

    Parameters
    ----------
    kb : KB
    state : State
    heard : list of str
        Hazards heard in the person's own words; these come first.
    """
    names = list(heard)
    # What was left wrong at the installation may hurt today as it did then.
    left = [e for e in reports_of_then(state) if e.left]
    said = [*((a.check, a.said) for a in state.answers), *((e.check, e.said) for e in left)]
    told = [kb.checks[check].answers.get(answer) for check, answer in sorted(said, key=lambda s: s[0])]
    seen = [record.raises for record in told if record and record.raises]
    names += sorted(seen, key=lambda g: RANK[kb.hazards[g].signal])
    gates = [g for c in state.complaints for g in kb.complaints[c].gates if g and c not in dict(state.gone)]
    names += sorted(dict.fromkeys(gates), key=lambda g: (RANK[kb.hazards[g].signal], gates.index(g)))
    known = dict(state.facts)
    return [n for n in dict.fromkeys(names) if kb.hazards[n].gate and holds(kb.hazards[n].when, known)]


def condition_only(kb: model.KB, name: str) -> bool:
    """Return whether a gate is a condition of the step that names it, and no danger that a home can be in by itself.

    Taps to be closed, a helper to be there, nothing on top: where it is not so the step is left, and the walk goes on. What a
    complaint, an answer or anybody's words can raise is a danger of the place, and ends the walk wherever it is found.

    Parameters
    ----------
    kb : KB
    name : str
        A hazard with a gate.
    """
    if kb.hazards[name].hear or any(name in c.gates for c in kb.complaints.values()):
        return False
    return not any(a.raises == name for c in kb.checks.values() for a in c.answers.values())


def first_open(kb: model.KB, state: State, hazards: list[str]) -> str | None:
    """Return the first hazard with a gate that nobody has cleared."""
    known = dict(state.facts)
    for name in hazards:
        hazard = kb.hazards[name]
        if hazard.gate and name not in state.cleared and holds(hazard.when, known):
            return name
    return None


def states(kb: model.KB, state: State, hazards: list[str]) -> list[HazardState]:
    """Return each hazard of the case with whether it is open, cleared or stopped at."""
    out = []
    for name in dict.fromkeys([*hazards, *state.cleared, *([state.stopped] if state.stopped else [])]):
        if name in kb.hazards:
            now = "stopped" if state.stopped == name else "cleared" if name in state.cleared else "open"
            out.append(HazardState(id=name, title=kb.hazards[name].title, signal=kb.hazards[name].signal, state=now))  # type: ignore[arg-type]
    return out


def notes_at_steps(kb: model.KB, state: State, remedy: model.Remedy) -> list[Note]:
    """Return the safety notes of a remedy, gravest first, each with the first step that meets its danger: the one that the kb names, else by its words.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> [(n.hazard, n.step) for n in notes_at_steps(kb, State(), kb.causes["fill-hose-pinched"].remedy)]
    [('gas-connector', 2), ('machine-shifting', 3), ('stored-pressure', 6), ('wet-floor', 6), ('overtight-plastic', 6)]
    """
    found = notes(kb, state, remedy.hazards)
    return [structs.replace(n, step=step_of(kb, n.hazard, remedy) or 1) for n in found]


def step_of(kb: model.KB, hazard: str, remedy: model.Remedy) -> int:
    """Return the first step of a remedy that meets a hazard, from 1; 0 where neither the remedy names it nor its words say so.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> remedy = kb.causes["foot-unloaded"].remedy
    >>> [step_of(kb, name, remedy) for name in ("unplug-first", "sharp-edges", "crawl-space")]
    [1, 2, 0]
    """
    if hazard in remedy.hazards_at:
        return remedy.hazards_at[hazard]
    words = kb.hazards[hazard].arises_at
    met = re.compile("|".join(rf"(?<!\w){re.escape(word)}" for word in words), re.IGNORECASE)
    return next((n for n, text in enumerate(remedy.steps, 1) if words and met.search(text)), 0)


def notes(kb: model.KB, state: State, hazards: list[str]) -> list[Note]:
    """Return the safety notes of a step, gravest first."""
    known = dict(state.facts)
    found = [kb.hazards[h] for h in dict.fromkeys(hazards) if holds(kb.hazards[h].when, known)]
    return [
        Note(signal=h.signal, title=h.title, says=h.says, hazard=h.id)
        for h in sorted(found, key=lambda h: RANK[h.signal])
    ]
