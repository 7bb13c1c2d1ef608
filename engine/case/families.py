"""Families of complaints, for the one question that parts them where no words were understood."""

from collections.abc import Iterable, Sequence

QUESTION = "Is it about:"
FAMILIES = {  # what a person is asked -> complaints; one may stand in several, and an unknown one stands in all
    "water: too much, too little, or in the wrong place": (
        "water-on-floor", "leaking-coupling", "no-drain", "siphons", "standpipe-overflow", "slow-fill", "freeze-damage", "first-run",
    ),
    "movement or noise": ("walks", "noisy", "water-hammer", "first-run"),
    "power: it does nothing, it trips something, or lights dim": ("no-power", "lights-dim", "first-run", "freeze-damage"),
    "what comes out: too wet, too hot or cold, foam, a smell": ("spin-wet", "wrong-temperature", "suds-or-smell"),
}  # fmt: skip


def of_family(family: str, order: Sequence[str]) -> list[str]:
    """Return the complaints of a family in an order; one that no family knows belongs to each.

    Examples
    --------
    >>> of_family("movement or noise", ["noisy", "no-drain", "hums", "walks"])
    ['noisy', 'hums', 'walks']
    """
    known = {c for names in FAMILIES.values() for c in names}
    return [c for c in order if c in FAMILIES[family] or c not in known]


def parted(order: Iterable[str]) -> bool:
    """Return whether the question parts these complaints: more than three of them, in two families or more."""
    names = list(order)
    held = [set(of_family(f, names)) for f in FAMILIES]
    return len(names) > 3 and sum(bool(h) for h in held) > 1 and any(h != set(names) for h in held)
