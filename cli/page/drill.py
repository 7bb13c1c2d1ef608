"""The drill on the page, for a phone each in a classroom: the round travels in the page's own form and address, and nothing of it is kept here.

After a move the browser is sent to the address of the round so far: whoever reloads, goes back, or opens the phone again after a break is where
they were.
"""

import asyncio
from collections import OrderedDict
from contextlib import suppress
from typing import Any
from urllib.parse import quote

import msgspec
from msgspec import Struct
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ...engine.diagnosis.network import network_of
from ...engine.drill import naming
from ...engine.drill.debrief import BEST, HARD, LIKELY, debrief, prepare
from ...engine.drill.first_round import READING, first_order, held_back, is_first, lesson
from ...engine.drill.marks import apart
from ...engine.drill.moves import LONGEST, MOST_MOVES, SOUND, TRADES, Act
from ...engine.drill.naming import Named
from ...engine.drill.round import Round
from ...engine.errors import InvalidInputError, Problem
from ...engine.exercises.at_the_door import at_door
from ...engine.exercises.order import MINUTES, Order, check_order
from ...engine.exercises.sealing import opened, seal
from ...engine.exercises.site import exercise, house
from ...engine.language.sanitize import typed_line
from ...engine.measurement import quantity
from ...engine.measurement.quantity import QuantityProblem
from ...engine.planning import roles
from ..terminal.yes_no import agreed
from .answers.taken import Form, one
from .answers.workers import Busy
from .context import Context, form_of

MOST_ADDRESS = 6000  # letters of an address that every browser keeps; a longer round goes on without it
WARMED = 64  # installations whose own way is worked out beforehand, at most
SOUNDS = ("sound", "nothing", "nothing is wrong", "healthy", "normal")
VERDICT = ("wrong", "cause", "rule", "rule_id", "limit", "datum", "mend", "by", "sentence", "sure")


class Shown(Struct, kw_only=True):
    """What a page of a round shows beside the round: what was typed, why it was not taken, and what may be meant."""

    say: str = ""
    typed: str = ""
    offered: list[Named] = []
    unclear: str = ""
    causes: list[Named] = []
    rules: list[Named] = []
    said: dict[str, str] = msgspec.field(default_factory=lambda: dict.fromkeys(VERDICT, ""))


class Drill:
    """The routes of the drill.

    Parameters
    ----------
    context : Context
    """

    def __init__(self, context: Context) -> None:
        self.context = context
        self.kb = context.kb
        self.warmed: OrderedDict[Order, asyncio.Task[None]] = OrderedDict()

    async def start(self, request: Request) -> Response:
        """The first page: a number that the class shares, or a code; with one in the address the round begins."""
        seed, code = request.query_params.get("seed", ""), request.query_params.get("code", "")
        if "first" in request.query_params:
            return _to(f"/drill?code={seal(self.kb, first_order(self.kb))}")
        if not seed and not code:
            return self.context.html("drill_start.html", problem=None, typed="")
        try:
            order = self._order(seed, code, request.query_params.get("minutes", ""))
        except InvalidInputError as refused:
            return self.context.html("drill_start.html", 422, problem=refused.problems[0], typed=(code or seed)[:60])
        if not code:
            # The address shows no more of it than a number would.
            return _to(f"/drill?code={seal(self.kb, order)}")
        self._warm(order)
        try:
            game = self._round(order, _acts(request.query_params.get("acts", "")))
        except InvalidInputError as refused:
            return self.context.html("drill_start.html", 422, problem=refused.problems[0], typed="")
        return await self._page(game, Shown())

    async def play(self, request: Request) -> Response:
        """The answer to a form of a round: one more move, or a question back."""
        form = await form_of(request)
        order = self._order("", one(form, "code"), "")
        acts = _acts(one(form, "acts"))
        game = self._round(order, acts)
        shown = Shown()
        if not game.ended and len(game.acts) < MOST_MOVES:
            shown = await self.context.workers.run(lambda: _taken(game, form))
            address = f"/drill?code={seal(self.kb, order)}&acts={quote(msgspec.json.encode(game.acts))}"
            if len(game.acts) > len(acts) and not shown.say and len(address) <= MOST_ADDRESS:
                return _to(address)
        return await self._page(game, shown)

    def _order(self, seed: str, code: str, minutes: str) -> Order:
        if code:
            return opened(self.kb, code)[0]
        if not (seed.isascii() and seed.isdigit() and len(seed) < 12):
            raise InvalidInputError(
                [
                    Problem(
                        code="D001",
                        message="that is no number",
                        expected="the number that the class shares",
                        mend="type it in digits",
                    )
                ]
            )
        wanted = float(minutes) if minutes.isascii() and minutes.isdigit() and len(minutes) < 6 else MINUTES
        return check_order(self.kb, Order(seed=int(seed), minutes=wanted))

    def _round(self, order: Order, acts: list[Act]) -> Round:
        """Return a round with its moves played again."""
        network = network_of(self.kb)
        game = Round(network, exercise(network, order))
        try:
            for act in acts[: MOST_MOVES + 1]:
                game.do(act)
        except ValueError:
            raise InvalidInputError([_unreadable()]) from None
        return game

    def _warm(self, order: Order) -> None:
        """Work out our own way while the pupils look, once for each installation."""
        if order in self.warmed:
            return

        async def work() -> None:
            with suppress(Busy, InvalidInputError):
                await self.context.workers.run(lambda: prepare(network_of(self.kb), order))

        self.warmed[order] = asyncio.ensure_future(work())
        if len(self.warmed) > WARMED:
            self.warmed.popitem(last=False)[1].cancel()

    async def _page(self, game: Round, shown: Shown) -> Response:
        code = seal(self.kb, game.order)
        first = is_first(self.kb, game.order)
        values: dict[str, Any] = {
            "game": game,
            "made": game.exercise,
            "kb": self.kb,
            "code": code,
            "acts": msgspec.json.encode(game.acts).decode(),
            "shown": shown,
            "last": game.answers[-1] if game.answers and not shown.say else None,
            "trades": TRADES,
            "seen": [(a.title, a.text) for a in game.answers if a.kind in ("seen", "safe", "unsafe")],
            "machine": self._machine(game),
            "price": {o.id: self._price(game, o) for o in shown.offered},
            "first": first,
            "lesson": lesson(game) if first else None,
            "house": house(self.kb, game.exercise.site.facts),
            "door": at_door(self.kb, game.exercise),
        }
        if game.ended or len(game.acts) >= MOST_MOVES:
            if not game.ended:
                game.ended = "left"
            done = await self.context.workers.run(lambda: debrief(game.network, game.exercise, game))
            return self.context.html(
                "drill_end.html",
                done=done,
                best=BEST,
                hard=HARD,
                likely=LIKELY,
                reading=READING if first else (),
                **values,
            )
        return self.context.html("drill.html", 422 if shown.say else 200, **values)

    def _price(self, game: Round, offered: Named) -> str:
        """Return how a look is done and what it takes, as in the terminal; nothing of a gate."""
        check, fact = self.kb.checks.get(offered.id), self.kb.facts.get(offered.id)
        record = check if offered.kind == "check" else fact if offered.kind == "fact" else None
        minutes = roles.minutes_of(record.minutes, game.episode.hands) if record is not None else None
        if minutes is None:
            return ""
        return f"{check.kind if offered.kind == 'check' and check is not None else 'ask'}, {minutes:g} min"

    def _machine(self, game: Round) -> str:
        machine = game.exercise.site.facts.get("machine", "")
        return self.kb.facts["machine"].options[machine].says if machine else ""


def _to(address: str) -> Response:
    return RedirectResponse(address, 303, {"cache-control": "no-store"})


def _acts(text: str) -> list[Act]:
    try:
        return msgspec.json.decode(text or "[]", type=list[Act])
    except (msgspec.DecodeError, UnicodeError):
        raise InvalidInputError([_unreadable()]) from None


def _unreadable() -> Problem:
    return Problem(
        code="P045",
        message="this round can't be read",
        expected="a form of the drill's own page",
        mend="begin anew at /drill",
    )


def _taken(game: Round, form: Form) -> Shown:
    """Do what a form says, and return what the page shows beside it."""
    do, pick = one(form, "do"), one(form, "pick")
    if pick:
        kind, _, name = pick.partition(":")
        return _done(game, kind, name)
    if do == "leave":
        game.do(Act(kind="leave", sentence=typed_line(one(form, "now"))[:LONGEST]))
        return Shown()
    if do == "verdict":
        return _verdict(game, form)
    words = typed_line(one(form, "words"))[:LONGEST]
    safe = typed_line(one(form, "safe"))[:LONGEST]
    open_part = ""
    for part in naming.parts(safe) or [safe]:
        meant = naming.sure(naming.gates(game.kb, part, game.waiting())) if part else None
        if meant and len(game.acts) < MOST_MOVES:
            _done(game, "safe", meant.id)
        else:
            open_part = open_part or part
    if safe:
        if not open_part:
            return Shown()
        found = naming.gates(game.kb, open_part, game.waiting())
        unknown = "That names no danger that I know. Say what must be stopped, dry, closed, or not there."
        return _named(game, open_part, found, unknown)
    if agreed(words) is not None:
        return Shown(say="Press the button of the one that you mean, or say it in other words.", typed=words)
    if not words:
        return Shown(say="Nothing was typed. Name a look, such as: how high is the standpipe.")
    return _named(
        game,
        words,
        naming.looks(game.kb, words, dict(game.state.facts), game.telling(), game.senseless()),
        "I know no look of that name. Say it in other words.",
        typed_line(one(form, "unclear"))[:LONGEST],
    )


def _named(game: Round, words: str, found: list[Named], unknown: str, unclear: str = "") -> Shown:
    meant = naming.sure(found)
    if meant and meant.kind == "check" and game.over_a_gate(meant.id):
        meant = naming.sure(found, careful=True)
    if meant:
        dangers = naming.gates(game.kb, unclear, game.waiting())[: naming.MOST] if unclear else []
        if meant.kind == "check" and game.asked_back(meant.id, {d.id for d in dangers}):
            say = "Before that: you began to make sure of something. Which of these is it? Choose, then the look again."
            return Shown(say=say, typed=words, offered=dangers)
        return _done(game, "safe" if meant.kind == "gate" else meant.kind, meant.id)
    if not found:
        return Shown(say=unknown, typed=words)
    first = found[: naming.MOST]
    unclear = words if first[0].kind == "gate" else ""
    return Shown(say="Which do you mean?", typed=words, offered=first, unclear=unclear)


def _done(game: Round, kind: str, name: str) -> Shown:
    if kind not in ("fact", "check", "safe"):
        raise InvalidInputError([_unreadable()])
    try:
        act = Act(kind=kind, id=name)  # type: ignore[arg-type]
        why = held_back(game, act) if is_first(game.kb, game.order) else ""
        if why:
            return Shown(say=why)
        game.do(act)
    except ValueError:
        raise InvalidInputError([_unreadable()]) from None
    return Shown()


def _verdict(game: Round, form: Form) -> Shown:
    """Give the verdict of a form; what can't be taken is asked again with all that was typed."""
    kb = game.kb
    said = {name: typed_line(one(form, name))[:LONGEST] for name in VERDICT}
    shown = Shown(said=said)
    cause, shown.causes = _meant(
        said["cause"],
        said["wrong"],
        naming.causes(kb, said["wrong"], dict(game.state.facts), game.explaining()),
        {*kb.causes},
    )
    if said["wrong"].lower().rstrip(".!") in SOUNDS:
        cause = SOUND
    rule, shown.rules = _meant(
        said["rule_id"], said["rule"], apart(kb, naming.rules(kb, said["rule"], dict(game.state.facts))), {*kb.rules}
    )
    if said["rule"].lower().rstrip(".!") in ("none", "no", "no rule"):
        rule, shown.rules = "none", []
    if not cause:
        shown.say = (
            "Which fault do you mean? Choose below."
            if shown.causes
            else "I know no fault of that name. What is wrong, in other words?"
        )
    elif said["rule"] and not rule:
        shown.say = (
            "Which rule do you mean? Choose below."
            if shown.rules
            else "I know no rule of that name. Which, in other words? Or write none."
        )
    elif rule in kb.rules and kb.rules[rule].measures != "state" and said["limit"]:
        try:
            quantity.parse(said["limit"], kb.rules[rule].measures)
        except QuantityProblem as problem:
            shown.say = str(problem)
    if shown.say:
        return shown
    for part in naming.parts(said["sure"]):
        found = naming.gates(kb, part, game.waiting())
        meant = naming.sure(found)
        if meant is None:
            shown.say = f"Which danger do you mean by {part}? Say it in other words, or make sure of it above."
            return shown
        if len(game.acts) < MOST_MOVES and game.do(Act(kind="safe", id=meant.id)).kind == "unsafe":
            return Shown()
    if len(game.acts) >= MOST_MOVES:
        return Shown()
    act = Act(
        kind="verdict",
        id=cause,
        by=said["by"] if said["by"] in TRADES else "",
        rule=rule,
        limit=said["limit"],
        datum=said["datum"],
        mend=said["mend"],
        sentence=said["sentence"],
    )
    shown.say = held_back(game, act) if is_first(kb, game.order) else ""
    if shown.say:
        return shown
    game.do(act)
    return Shown()


def _meant(chosen: str, words: str, found: list[Named], known: set[str]) -> tuple[str, list[Named]]:
    """Return the id that was chosen or is meant, else nothing with what may be meant."""
    first = found[: naming.MOST]
    if chosen in known and chosen in {f.id for f in first}:
        return chosen, first
    meant = naming.sure(found)
    return (meant.id, []) if meant and words else ("", first)
