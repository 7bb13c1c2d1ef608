"""Somebody at the washer, for tests: answers every question of a walk from what is true there."""

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dryfloor.cli.result import Result
from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.asker import Quit
from dryfloor.cli.terminal.env import Env
from dryfloor.cli.walk.loop import Walk
from dryfloor.engine import model
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event


@dataclass
class Person:
    """An asker that knows the truth: facts, answers, readings, which cause is at work, and what the proofs show.

    What it does not know it answers with the last, normal answer of a check, and with can't for a fact or a reading.
    Lines of `first` are typed before anything else. A remedy is done where it is the truth's, else it could not be.
    """

    truth: Mapping[str, str] = field(default_factory=dict)
    causes: Sequence[str] = ()
    proofs: Mapping[str, str] = field(default_factory=dict)
    first: Sequence[str] = ()
    most: int = 80
    walk: Any = None
    asked: list[str] = field(default_factory=list)
    flushed: int = 0

    def ask(self, prompt: str, words: Sequence[str] = ()) -> str:
        """Return what this person types now."""
        self.most -= 1
        if self.most < 0:
            raise AssertionError(f"the walk does not end; asked: {self.asked}")
        if self.first:
            line, *self.first = self.first
            return line
        if not any(e.heard or e.complaints for e in self.walk.events) or "yes" in words:
            return "yes"
        advice = advise(self.walk.kb, self.walk.events)
        step, card = advice.next, advice.card
        if step is None or card is None:
            raise Quit
        self.asked.append(f"{step.kind}:{step.id}")
        if step.kind == "gate":
            return card.word
        if step.kind == "remedy":
            return "done" if step.cause in self.causes or not self.causes else "could-not"
        if step.proof:
            cause = self.walk.kb.causes[step.cause]
            return self.proofs.get(step.id, cause.proof.passes)
        if step.id in self.truth:
            return self.truth[step.id]
        if step.kind == "check" and card.choices:
            return card.choices[-1].id
        return "can't"

    def pause(self, prompt: str) -> str:
        """Go on at once."""
        return ""

    def flush(self) -> None:
        """Count the flushes before gates."""
        self.flushed += 1


def quiet_env(width: int = 80, **environ: str) -> Env:
    """Return an environment whose streams are kept in memory."""
    return Env(io.StringIO(), io.StringIO(), io.StringIO(), {"COLUMNS": str(width), **environ})


def hold(
    kb: model.KB,
    role: str,
    words: str,
    asker: Any,
    events: Sequence[Event] = (),
    path: Path | None = None,
    width: int = 80,
) -> tuple[Result, Walk, str]:
    """Hold a walk and return its result, the walk and all that was on screen."""
    env = quiet_env(width)
    begun = [*events] if events else [Event(role=role)]  # type: ignore[arg-type]
    walk = Walk(env, asker, kb, log_at(path))
    if isinstance(asker, Person):
        asker.walk = walk
    for event in begun:
        walk.record(event)
    result = walk.run(words)
    walk.close()
    return result, walk, env.stdout.getvalue()  # type: ignore[attr-defined]


def log_at(path: Path | None) -> EventLog:
    """Return the log of a new case in the store of a file; without one it keeps nothing."""
    return EventLog(Store.open(path) if path else None)


def kept(path: Path) -> list[Event]:
    """Return the events of the only case in a store; none where there is no case."""
    with Store.open(path, write=False) as store:
        lines = store.find()
        assert len(lines) < 2
        return store.events(lines[0].id) if lines else []
