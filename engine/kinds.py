"""What kind of event an event is: the field that leads it.

Apart from the records themselves, so that where a case stands can be told without importing them.
"""

LEADING = (
    "role",
    "heard",
    "trial",
    "complaints",
    "hazard",
    "fact",
    "cleared",
    "stopped",
    "check",
    "cant",
    "skip",
    "note",
    "remedy",
    "proof",
    "still",
    "resumed",
    "closed",
    "machine",
)


def leading(event: object) -> str:
    """Return the name of the field that says what kind of event this is.

    Parameters
    ----------
    event : Event or Plain

    Examples
    --------
    >>> from dryfloor.engine.case import Event
    >>> leading(Event(heard="it hops", complaints=["walks"]))
    'heard'
    """
    for name in LEADING:
        if getattr(event, name) is not None:
            return name
    return "hands"
