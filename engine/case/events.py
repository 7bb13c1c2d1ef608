"""The events that a case is made of."""

from msgspec import Struct, field

from .. import model

DEFAULT_HANDS: dict[str, model.Hands] = {"homeowner": "homeowner", "desk": "homeowner", "technician": "technician"}


class Event(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """One thing said, answered or done; exactly one of its leading fields is set. `at` says when, and no advice hangs on it."""

    role: model.Role | None = None
    hands: model.Hands | None = None
    heard: str | None = None
    complaints: list[str] | None = None
    hazard: str | None = None
    fact: str | None = None
    is_: str | None = field(default=None, name="is")
    cleared: str | None = None
    word: str | None = None
    stopped: str | None = None
    check: str | None = None
    answer: str | None = None
    value: str | None = None
    cant: str | None = None
    skip: str | None = None
    note: str | None = None
    remedy: str | None = None
    did: str | None = None
    proof: str | None = None
    still: list[str] | None = None
    resumed: bool | None = None
    closed: str | None = None
    why: str | None = None
    trial: str | None = None
    machine: str | None = None
    earlier: str | None = None
    turned_out: str | None = None
    cause: str | None = None
    by: str | None = None
    date: str | None = None
    at: str | None = None


COMPANIONS: dict[str, tuple[str, ...]] = {
    "role": ("hands",),
    "heard": ("complaints",),
    "fact": ("is_",),
    "cleared": ("word",),
    "check": ("answer", "value"),
    "remedy": ("did",),
    "proof": ("answer", "value"),
    "trial": ("complaints",),
    "closed": ("why",),
    "earlier": ("answer", "value", "why"),
    "turned_out": ("cause", "by", "date"),
}
DID = ("done", "could-not")
CLOSED = ("solved", "handed-on", "given-up", "not-a-fault", "reported-solved", "on-trial", "installed", "to-mend")
TRIAL = ("stayed-away", "came-back")
# Beside an earlier reading, `why`: that its break was left, or declined; or that a customer told it.
LEFT = ("left", "declined", "told")
# By whose hands it was found out what it was, after a case had come to its end.
FOUND_BY = ("homeowner", "technician", "plumber", "electrician", "specialist")
