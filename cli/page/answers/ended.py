"""What counts no more before its time, told to every server of one store: walks that were stopped, passes that were given back.

Each server looks every `LOOK_S`, so that a page of before a stop clears nothing on another server either, a moment later. What can't be told now is told
with the next look. A server that has looked knows of the stops of before it began, and honours notes of before.
"""

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from typing import Any, Protocol

from ....engine.errors import InvalidInputError
from .signing import CLEARED_S, Signer

LOOK_S = 1.0  # [s]
TELL_S = 0.5  # nobody waits longer for it [s]
WALK, PASS = "walk", "pass"


class Passes(Protocol):
    """Passes of one door; those that were given back, and until when they would have counted."""

    cookie: str
    ended: Any


class SharedEnds:
    """What the servers of one store tell each other.

    Parameters
    ----------
    keeping : callable, optional
        Does some work on the store; without one each server knows its own.
    signer : Signer
    doors : sequence of Passes
    """

    def __init__(
        self, keeping: Callable[[Callable[[Any], Any]], Awaitable[Any]] | None, signer: Signer, doors: Sequence[Passes]
    ) -> None:
        self.keeping, self.signer = keeping, signer
        self.doors = {door.cookie: door for door in doors}
        self.untold: dict[str, float] = {}
        self.looking: asyncio.Task[None] | None = None

    async def walks(self, stopped: Sequence[str]) -> None:
        """Tell that some walks were stopped."""
        self.untold |= {f"{WALK} {walk}": self.signer.clock() + CLEARED_S for walk in stopped}
        await self._tried()

    async def given_back(self, door: Passes, name: str, until: float) -> None:
        """Tell that a pass was given back."""
        self.untold[f"{PASS} {door.cookie} {name}"] = until
        await self._tried()

    async def _tried(self) -> None:
        # Whoever stopped is told what to do now, whether or not the store answers.
        with suppress(TimeoutError):
            await asyncio.wait_for(self.tell(), TELL_S)

    async def tell(self) -> bool:
        """Tell what was not told yet; return whether all of it is."""
        if self.keeping is None:
            return False
        for mark, until in list(self.untold.items()):
            try:
                await self.keeping(lambda store, mark=mark, until=until: store.end(mark, until))  # type: ignore[misc]
            except InvalidInputError:
                return False
            self.untold.pop(mark, None)
        return True

    async def look(self) -> bool:
        """Take in what others told; return whether they could be heard."""
        if self.keeping is None or not await self.tell():
            return False
        try:
            found: dict[str, float] = await self.keeping(lambda store: store.ended())
        except InvalidInputError:
            return False
        for mark, until in found.items():
            kind, _, name = mark.partition(" ")
            if kind == WALK and name not in self.signer.ended:
                self.signer.over(name, until - CLEARED_S)
            elif kind == PASS:
                cookie, _, name = name.partition(" ")
                if cookie in self.doors:
                    self.doors[cookie].ended.setdefault(name, until)
        return True

    async def begin(self) -> None:
        """Look once, and from then on again and again."""
        if self.keeping is None:
            return
        if await self.look():
            self.signer.knows()
        self.looking = asyncio.create_task(self._watch())

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOK_S)
            await self.look()

    def stop(self) -> None:
        """Look no more."""
        if self.looking is not None:
            self.looking.cancel()
