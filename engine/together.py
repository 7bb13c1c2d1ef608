"""Several remedies before one proof: that it is mended is seen, which of them did it is not, and the finding says so."""

import msgspec

from . import findings, graph, model
from .advice import Finding
from .cards import in_100
from .case import State, Tried
from .thought import DIGITS, Thought


def rivals(state: State, last: Tried) -> list[Tried]:
    """Return the remedies that a passed proof speaks of: all that were done since a complaint that is gone was last seen.

    Parameters
    ----------
    state : State
    last : Tried
        The remedy whose proof passed.

    Examples
    --------
    >>> a, b = Tried("a", "done", 1), Tried("b", "done", 2, True)
    >>> [t.cause for t in rivals(State(remedies=(a, b), gone=(("walks", 2),), stands=(("walks", 0),)), b)]
    ['a', 'b']
    """
    stands = dict(state.stands)
    seen = min((stands.get(c, 0) for c, at in state.gone if at == last.epoch), default=last.epoch - 1)
    return [t for t in state.remedies if t.did == "done" and seen < t.epoch <= last.epoch and t.passed is not False]


def shares(kb: model.KB, thought: Thought, tried: list[Tried]) -> dict[str, float]:
    """Return how likely each of several remedies is the one that helped, by what was believed before the first [prob].

    Parameters
    ----------
    kb : KB
    thought : Thought
        Of the case as it is.
    tried : list of Tried
        As `rivals` returns them.

    Notes
    -----
    A cause's chance to explain the complaint times its remedy's chance to cure, made to sum to 1; that both were needed is
    not counted, so it is a comparison and no more. Source: derived here.
    """
    state = thought.state
    first = min(t.epoch for t in tried)
    before = msgspec.structs.replace(
        state,
        remedies=tuple(t for t in state.remedies if t.epoch < first),
        answers=tuple(a for a in state.answers if a.epoch < first),
        gone=tuple(g for g in state.gone if g[1] < first),
        stands=tuple((c, min(at, first - 1)) for c, at in state.stands),
        epoch=first - 1,
        closed=None,
    )
    believed = {b.cause: b.p for b in Thought(thought.net, before).beliefs}
    weight = {t.cause: believed.get(t.cause, 0.0) * graph.strength(kb, kb.causes[t.cause].remedy.cures) for t in tried}
    whole = sum(weight.values())
    return {c: round(w / whole if whole else 1 / len(weight), DIGITS) for c, w in weight.items()}


def joint_finding(thought: Thought, last: Tried) -> Finding:
    """Return the finding of a case whose proof passed.

    Parameters
    ----------
    thought : Thought
    last : Tried
        The remedy whose proof passed.
    """
    kb = thought.net.kb
    tried = rivals(thought.state, last)
    if len({t.cause for t in tried}) < 2:
        return findings.finding(thought, last.cause, 1.0)
    share = shares(kb, thought, tried)
    ranked = sorted(share, key=lambda c: (-share[c], c))
    found = findings.finding(thought, ranked[0], share[ranked[0]])
    each = "; ".join(f"{kb.causes[c].title.lower()} {in_100(share[c])}" for c in ranked)
    text = (
        f"One of {len(ranked)} that were mended before the same proof, or several of them: {each}. "
        "That it is mended was seen; which of them did it was not."
    )
    return msgspec.structs.replace(found, text=text)
