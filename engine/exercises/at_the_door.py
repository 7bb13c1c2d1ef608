"""What anybody sees and hears at the door, and what told of a danger: nobody's round ends at something that nothing spoke of.

Said is what is there in any case, whether it is safe or not: the asking is the pupil's.
"""

from .. import model
from ..model import holds
from .site import Exercise

# What is to be seen of a gate where they complain of something that it hangs on; what nobody sees is told as not said.
SIGNS: dict[str, str] = {
    "water-running": "Water has come out, and whether more comes nobody has said.",
    "water-near-electricity": "There is water about, and the cord and its outlet are near it.",
    "sewage": "It came up out of the drain, and what it is nobody has looked at.",
    "burning-smell": "How it smelled while it ran nobody has said.",
    "gas-smell": "Whether it smells of gas anywhere nobody has said.",
    "walking-machine": "They say that it moves or shakes, and it is still plugged in.",
    "shock-tingle": "Whether anybody felt a tingle at it nobody has said.",
    "lost-neutral": "What the other lights do meanwhile nobody has said.",
    "flame-thawing": "How they tried to thaw it nobody has said.",
    "drain-cleaner": "What was poured into the drain nobody has said.",
}
# Where one complaint shows another sign of it.
OWN_SIGNS: dict[tuple[str, str], str] = {
    ("no-power", "water-near-electricity"): "Whether cord, plug and outlet are dry nobody has looked.",
    ("no-power", "burning-smell"): "How it smelled when it went dead nobody has said.",
    ("siphons", "water-near-electricity"): "Water runs through it and out, and the cord and its outlet are near it.",
    ("freeze-damage", "water-running"): "Whether water comes out of a pipe nobody has said.",
    ("freeze-damage", "water-near-electricity"): "What a split pipe lets out may have reached the cord and its outlet.",
    ("walks", "gas-smell"): "What it pushed or pulled on its way, such as a gas pipe, nobody has looked at.",
    ("suds-or-smell", "burning-smell"): "Whether anything smells burnt nobody has said.",
}
BY_A_SINK = "It drains over a sink or into its pipe, and the cord and its outlet are near it."
# What tells of a gate in the step itself, where nothing else does.
IN_THE_STEP: dict[str, str] = {
    "water-near-electricity": "The step is at the cord, the outlet or the panel, or lets water run beside them.",
    "stored-pressure": "The step opens or strains a hose that stands under the pressure of the house.",
    "scalding-supply": "Hot water runs out in the step.",
    "idle-hot-water": "Hot water that may have stood for long runs out in the step.",
    "drain-cleaner": "The step goes into the drain, and what was poured in there nobody has said.",
    "sewage": "The step is at a drain that may bring up foul water.",
    "machine-tipping": "The step tips, rocks or shifts the washer.",
    "machine-lifting": "The washer is moved in the step.",
    "walking-machine": "The washer spins in the step.",
    "burning-smell": "The washer runs in the step.",
    "shock-tingle": "The step is at a washer under voltage.",
    "lost-neutral": "The step is at a circuit whose lights went dim or bright.",
    "gas-smell": "The step is beside something that burns gas, or at a washer that smells.",
    "fuel-in-washing": "The step is at a washer that smells of what was in the load.",
    "water-running": "The step is at a pipe, hose or tap that may let water out.",
    "wet-ceiling": "The step is below or above a ceiling that got wet.",
    "stacked-dryer-falls": "The step is beside a dryer that stands on the washer.",
    "frozen-pipe": "The step is at a pipe that froze.",
    "flame-thawing": "The step is at a pipe that somebody thawed.",
}


def sign(complaint: str, gate: str) -> str:
    """Return what is to be seen of a gate where something is complained of; nothing where that is not known."""
    return OWN_SIGNS.get((complaint, gate), SIGNS.get(gate, ""))


def at_door(kb: model.KB, made: Exercise) -> list[str]:
    """Return what is told of dangers at the door, each gate once: the signs of what they complain of, and a sink beside the outlet.

    Parameters
    ----------
    kb : KB
    made : Exercise

    Examples
    --------
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.exercises.order import Order
    >>> from dryfloor.engine.exercises.site import exercise
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> at_door(kb, exercise(network_of(kb), Order(seed=3, fault="foot-unloaded")))[0]
    'They say that it moves or shakes, and it is still plugged in.'
    """
    facts = made.site.facts
    signs: dict[str, str] = {}
    for complaint in made.site.origins:
        for gate in kb.complaints[complaint].gates:
            if holds(kb.hazards[gate].when, facts) and sign(complaint, gate):
                signs.setdefault(gate, sign(complaint, gate))
    by_a_sink = [BY_A_SINK] if facts.get("drain") == "tub" else []
    return [*dict.fromkeys(signs.values()), *by_a_sink]


def told_of(kb: model.KB, made: Exercise, complaints: list[str], gate: str) -> list[str]:
    """Return what told of a gate before a step: facts that it hangs on, what they complain of; else what the step itself tells.

    Parameters
    ----------
    kb : KB
    made : Exercise
    complaints : list of str
        Those that are still there.
    gate : str
        A hazard.
    """
    facts = made.site.facts
    found = [
        f"{kb.facts[f].title}: {kb.facts[f].options[facts[f]].says}."
        for f in kb.hazards[gate].when
        if f in kb.facts and f in facts
    ]
    found += [sign(c, gate) for c in complaints if gate in kb.complaints[c].gates]
    if gate == "water-near-electricity" and not found and facts.get("drain") == "tub":
        found.append(BY_A_SINK)
    if not any(found):
        found = [IN_THE_STEP.get(gate, "")]
    return [text for text in dict.fromkeys(found) if text]
