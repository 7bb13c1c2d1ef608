"""Where a case stands on the page: in an address, or in the store; its events as this face sees them, and how to go on from it."""

import hashlib
from collections.abc import Sequence
from functools import cached_property

from msgspec import Struct, structs

from ....engine import model
from ....engine.case.clearance import without_clearances
from ....engine.case.events import Event
from ....engine.case.rows import leading
from ....engine.case.state import fold
from . import address as addresses
from .address import Address

GATES = ("cleared", "stopped", "resumed")  # asked anew by every page that is opened


class CaseLocation(Struct, frozen=True, kw_only=True, dict=True):
    """One case at one face.

    Parameters
    ----------
    base : str
        The path of its page.
    role : str
        Who looks at it.
    address : Address
        What its address says; of a kept case only what waits to be confirmed, and the question that is asked.
    kept : tuple of Event, optional
        The events of a kept case, gates and all; None where the address carries the case.
    last : int
        The number of the kept case's last row.
    case : str
        The id of the kept case.
    stop : int
        The number of the row in which the kept case was last stopped for safety; 0 where it never was.
    halted : str
        The hazard of that stop.
    photos : tuple of (int, str)
        The number of each photo that is kept with it, and when it was kept (UTC).
    """

    base: str
    role: model.Role
    address: Address
    kept: tuple[Event, ...] | None = None
    last: int = 0
    case: str = ""
    stop: int = 0
    halted: str = ""
    photos: tuple[tuple[int, str], ...] = ()

    @property
    def face(self) -> str:
        """The first part of its path: the face's own page."""
        return "/" + self.base.split("/")[1]

    @property
    def name(self) -> str:
        """What a note of clearance is bound to: the kept case as it was stopped last, in these hands; empty where the address is the case."""
        return f"{self.case} {self.role} {self.stop}" if self.kept is not None else ""

    @property
    def events(self) -> list[Event]:
        """The case as this role sees it, without gates."""
        if self.kept is None:
            return [Event(role=self.role), *self.address.events]
        seen = [e for e in self.kept if leading(e) not in GATES]
        return seen if _role(seen) == self.role else [*seen, Event(role=self.role)]

    @cached_property
    def step(self) -> str:
        """What a form must name to be answered here: one that was made at another address, or before something was added, is old."""
        return f"{self.last}-{hashlib.blake2b(self.url().encode(), digest_size=6).hexdigest()}"

    def before_stop(self, step: str) -> bool:
        """Return whether a form was made before the kept case was last stopped for safety."""
        last = step.partition("-")[0]
        return self.stop > (int(last) if last.isascii() and last.isdigit() and len(last) < 19 else 0)

    @property
    def query(self) -> str:
        """The query of its address, which a form carries, so that the page after it can see where it comes from."""
        return self.url().partition("?")[2]

    def url(self, address: Address | None = None) -> str:
        """Return the address of this case, or of it with another question or something heard."""
        return self._own if address is None else self._led_to(address)

    @cached_property
    def _own(self) -> str:
        # Every form and link of a page carries it.
        return self._led_to(self.address)

    def _led_to(self, wanted: Address) -> str:
        if self.kept is not None:
            wanted = structs.replace(wanted, events=())
        said = addresses.query(wanted)
        return f"{self.base}?{said}" if said else self.base

    def after(self, event: Event) -> str:
        """Return the address once something more was said; of a kept case it stays the same."""
        return self.url(self.address.plus(event)) if self.kept is None else ""

    def asking(self, name: str) -> str:
        """Return the address of another question of this case; with an empty name, of whatever comes next."""
        return self.url(self.address.asking(name))

    def unstopped(self) -> str:
        """Return the address of the same place once a stop is over: what was heard besides still waits there."""
        return self.url(structs.replace(self.address, stop=""))

    def role_missing(self) -> bool:
        """Return whether the store does not know yet that this role took the case up."""
        return self.kept is not None and _role(self.kept) != self.role

    def kept_at(self, event: Event) -> int:
        """Return where an event of the case stands in the store."""
        assert self.kept is not None
        return next(n for n in reversed(range(len(self.kept))) if self.kept[n] is event)


def fold_stop(events: Sequence[Event]) -> str:
    """Return the hazard at which a case stands stopped, or an empty text; a clearance that was kept once ends no stop by itself.

    Examples
    --------
    >>> fold_stop([Event(stopped="gas-smell")]), fold_stop([Event(stopped="gas-smell"), Event(resumed=True)])
    ('gas-smell', '')
    """
    stopped = ""
    for event in without_clearances(events):
        if event is None:
            continue
        if event.stopped is not None:
            stopped = event.stopped
        elif event.role or event.hands or event.resumed or event.trial:
            stopped = ""
    return stopped


def _role(events: Sequence[Event]) -> str:
    return next((e.role for e in reversed(events) if e.role), "homeowner")


def earlier(kb: model.KB, events: list[Event], name: str) -> tuple[int, bool] | None:
    """Return where a check or fact was answered last, and whether a new answer must stand in its place.

    Asked anew after a remedy, or by other hands, a new answer would count as seen then; what is meant is the earlier one.

    Parameters
    ----------
    kb : KB
    events : list of Event
    name : str
    """
    at = next((n for n in reversed(range(len(events))) if name in (events[n].check, events[n].fact)), None)
    if at is None:
        return None
    before, after = fold(kb, events[: at + 1]), fold(kb, events)
    return at, (before.epoch, before.hands) != (after.epoch, after.hands)
