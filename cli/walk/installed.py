"""A walk that comes after a surveyed installation begins with what was known there."""

from typing import TYPE_CHECKING

from ...engine import model
from ...engine.case.events import Event
from ...engine.case.installed import later

if TYPE_CHECKING:
    from ..store.store import Store


def from_installation(kb: model.KB, store: "Store | None", case: str) -> list[Event]:
    """Return what a new case begins with: of an installation its facts, and its readings as notes; nothing of any other case."""
    if store is None:
        return []
    from ...engine.case.case_file import take_up

    events, _, _ = take_up(kb, store.events(case))
    return later(kb, case, events)
