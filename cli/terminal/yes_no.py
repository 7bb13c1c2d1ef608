"""What people type for yes and for no: one place for whatever asks a question that can be answered so."""

from __future__ import annotations

YES = frozenset(
    (
        "yes", "y", "yes please", "yeah", "yea", "yep", "yup", "right", "that's right", "that is right", "ok", "okay", "sure", "correct",
        "exactly", "that's it", "that is it", "that one", "this one", "go on",
    )
)  # fmt: skip
NO = frozenset(
    (
        "no", "n", "no thanks", "nope", "nah", "wrong", "none", "none of these", "none of them", "neither", "not that", "not that one",
        "not this", "not this one",
    )
)  # fmt: skip


def agreed(typed: str) -> bool | None:
    """Return whether a typed line is a yes or a no; None where it is neither.

    Parameters
    ----------
    typed : str
        As typed; capitals, a comma and a mark at its end make no difference.

    Examples
    --------
    >>> agreed("Yes!"), agreed(" n "), agreed("yes it hops")
    (True, False, None)
    """
    low = " ".join(typed.lower().replace("’", "'").replace(",", " ").split()).rstrip(".! ")
    return True if low in YES else False if low in NO else None
