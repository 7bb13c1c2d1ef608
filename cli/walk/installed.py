"""A walk that comes after a surveyed installation begins with what was known there, and says there what it mended."""

from contextlib import suppress
from typing import TYPE_CHECKING

from ...engine import model
from ...engine.case.events import Event
from ...engine.case.installed import Surveyed, later, put_right, surveyed
from ...engine.errors import InvalidInputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..store.event_log import EventLog
    from ..store.store import Store


def from_installation(kb: model.KB, store: "Store | None", case: str) -> list[Event]:
    """Return what a new case begins with: of an installation its facts and its readings of then; nothing of any other case."""
    if store is None:
        return []
    from ...engine.case.case_file import take_up

    events, _, _ = take_up(kb, store.events(case))
    return later(kb, case, events, store.line(case).touched[:10])


def tell_installation(kb: model.KB, log: "EventLog", earlier: str) -> None:
    """Have a case say to the installation that it comes after what it put right there, in one write with its own end.

    Parameters
    ----------
    kb : KB
    log : EventLog
        Of the case.
    earlier : str
        The case before it; where that is no installation nothing is said.
    """

    def solved(store: "Store", case: str) -> None:
        tell(kb, store, earlier, case, log.events)

    log.solved = solved


def tell(kb: model.KB, store: "Store", earlier: str, case: str, events: list[Event]) -> None:
    """Write to an installation what a case after it put right there; nothing where it is none, is damaged or in other hands.

    Parameters
    ----------
    kb : KB
    store : Store
        In one write with the event that closes the case.
    earlier, case : str
        The installation, and the case that was solved.
    events : list of Event
        Of that case, with its proof.
    """
    with suppress(InvalidInputError):
        if store.held(earlier) or store.line(earlier).damage:
            return
        installed = store.events(earlier)
        for event in put_right(kb, installed, events, _behind(kb, installed), f"{case}, {store.today()}"):
            store.add(earlier, event)


def _behind(kb: model.KB, installed: list[Event]) -> "Callable[[str], set[str]]":
    """Return what gives the causes that the break of a line of an installation may have come from."""
    from ...engine.case.state import Earlier
    from ...engine.diagnosis.earlier import behind
    from ...engine.diagnosis.network import network_of

    read = {e.check: e.answer or e.value or "" for e in installed if e.check in kb.checks}
    return lambda check: (
        behind(network_of(kb), Earlier(check, read[check], "technician", "left")) if check in read else set()
    )


def became(store: "Store | None", earlier: str | None) -> Surveyed | None:
    """Return what an installation has open, and what was mended of it, or None where there is none."""
    if store is None or earlier is None:
        return None
    with suppress(InvalidInputError):
        return surveyed(store.events(earlier))
    return None
