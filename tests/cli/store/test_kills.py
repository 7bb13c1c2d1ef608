"""SIGKILL at every write of a store's life in turn: what was confirmed is there, nothing is half there, nothing else is harmed."""

import os

import pytest

from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.store.store import Store
from dryfloor.cli.walk.installed import tell_installation
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.installed import Left, installation, surveyed
from dryfloor.engine.diagnosis.network import network_of
from tests.support.killing import killed_at, traced

MARKER = "MARKER-of-a-forgotten-case"
OTHER = [Event(heard="it siphons", complaints=["siphons"]), Event(note="another one")]
PHOTO = bytes(range(256)) * 60  # some pages
# Each move is confirmed before the next begins.
MOVES = [
    ("add", Event(role="desk")),
    ("add", Event(heard="it hops", complaints=["walks"])),
    ("add", Event(fact="onset", is_="new")),
    ("undo", 1),
    ("add", Event(fact="onset", is_="moved")),
    ("put", 1, Event(heard="it hops about", complaints=["walks"])),
    ("add", Event(check="rocks-by-hand", answer="rocks")),
    ("add", Event(note="½ ° é " + "x" * 9000)),  # more than a page
    ("photograph", PHOTO, b"small"),
    ("forget",),
    ("add", Event(remedy="foot-unloaded", did="done")),
    ("add", Event(closed="given-up", why="for the test")),
]


def after(count):
    """The events after so many moves, by a plain list."""
    held = []
    for move in MOVES[:count]:
        if move[0] == "add":
            held.append(move[1])
        elif move[0] == "undo":
            del held[-move[1] :]
        elif move[0] == "put":
            held[move[1]] = move[2]
    return held


def work(path, said):
    """Do all moves on a new case, beside one that stays and one that is forgotten; confirm each in a file."""
    with Store.open(path) as store:
        case = store.begin("mine")
        store.hold(case)
        other = store.find(text="siphons")[0].id
        assert other != case
        os.write(said, b"0")
        for move in MOVES:
            if move[0] == "forget":
                store.forget(store.find(reference="forgotten")[0].id)
            else:
                getattr(store, move[0])(case, *move[1:])
            os.write(said, b".")


def prepared(path):
    with Store.open(path) as store:
        for reference, more in (("stays", OTHER), ("forgotten", [*OTHER, Event(note=MARKER)])):
            case = store.begin(reference)
            for event in more:
                store.add(case, event)
            if event.note == MARKER:
                store.photograph(case, MARKER.encode() * 900, MARKER.encode())


def once(folder, point):
    """Kill at a point and look at what is left; return whether the work came to its end, and how many writes there were."""
    path = folder / "cases.db"
    prepared(path)
    said = os.open(folder / "said", os.O_CREAT | os.O_RDWR)
    ended, writes = killed_at(lambda: work(path, said), point)
    confirmed = (folder / "said").read_bytes().count(b".")
    begun = (folder / "said").read_bytes().startswith(b"0")
    os.close(said)
    with Store.open(path) as store:
        mine = store.find(reference="mine")
        assert len(mine) == 1 or not begun
        if mine:
            assert store.events(mine[0].id) in (after(confirmed), after(confirmed + 1)), (point, confirmed)
            kept = [store.photo(mine[0].id, p.number) for p in store.photos(mine[0].id)]
            assert kept in ([], [(PHOTO, b"small")])
            assert bool(kept) or confirmed <= MOVES.index(("photograph", PHOTO, b"small"))
            # The dead hold nothing.
            store.hold(mine[0].id)
            store.note(mine[0].id, "gone on with")
        stays = store.find(reference="stays")[0]
        assert store.events(stays.id) == OTHER
        forgotten = bool(store.find(reference="forgotten"))
        assert forgotten or confirmed >= MOVES.index(("forget",))
        assert store._db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        # The one that opens it next finishes what was begun, and not only when it closes.
        assert forgotten or not any(MARKER.encode() in p.read_bytes() for p in folder.iterdir())
    return ended, writes


needs_trace = pytest.mark.skipif(not traced(), reason="needs Linux on x86-64, and leave to trace a child")


@needs_trace
@pytest.mark.parametrize("every", [29, pytest.param(7, marks=pytest.mark.slow)])
def test_a_kill_at_some_writes_loses_nothing(tmp_path, every):
    whole = tmp_path / "whole"
    whole.mkdir()
    ended, writes = once(whole, 10**9)
    assert ended
    assert writes > 100
    for point in range(1, writes + 1, every):
        folder = tmp_path / str(point)
        folder.mkdir()
        # A life takes a few writes more or fewer: only one with fewer may come to its end.
        ended, made = once(folder, point)
        assert not ended or made < point


@needs_trace
@pytest.mark.slow
def test_a_kill_at_every_write_in_turn_loses_nothing(tmp_path):
    """Two hundred runs and more."""
    whole = tmp_path / "whole"
    whole.mkdir()
    _, writes = once(whole, 10**9)
    runs = 0
    for point in range(1, writes + 1):
        folder = tmp_path / str(point)
        folder.mkdir()
        once(folder, point)
        runs += 1
    assert runs >= 200


DRIP = Left("drip-rate", "Dry with the taps open", "it drips")
CALLBACK = [
    Event(role="technician"),
    Event(complaints=["water-on-floor"]),
    Event(remedy="coupling-not-tight", did="done"),
    Event(proof="dry-paper-ten-minutes", answer="dry"),
]


def at_the_end(kb, folder, point):
    """Kill while a case is closed that an installation is told of; return the end of both and what is left to mend, and how it went."""
    path = folder / "cases.db"
    with Store.open(path) as store:
        put = store.begin("installed")
        for event in installation(None, {}, {"drip-rate": "dripping"}, [], [], "technician", "broken", to_mend=[DRIP]):
            store.add(put, event)
        case = store.begin("callback", earlier=put)
        for event in CALLBACK:
            store.add(case, event)

    def work():
        with Store.open(path) as store:
            log = EventLog(store, case, CALLBACK, range(len(CALLBACK)), len(CALLBACK))
            tell_installation(kb, log, put)
            log.add(Event(closed="solved"))

    ended, writes = killed_at(work, point)
    with Store.open(path) as store:
        closed = [store.events(c)[-1].closed for c in (case, put)]
        return (*closed, surveyed(store.events(put)).to_mend), ended, writes


@needs_trace
def test_a_kill_while_an_installation_is_told_leaves_both_as_they_were_or_both_told(tmp_path, kb):
    """Every write of the closing in turn: never a case that is solved with an installation that knows nothing of it, nor the other way."""
    before, after = (None, "to-mend", [DRIP]), ("solved", "installed", [])
    network_of(kb)  # made once, not in every child
    (tmp_path / "whole").mkdir()
    found, ended, writes = at_the_end(kb, tmp_path / "whole", 10**9)
    assert (found, ended) == (after, True)
    seen = []
    for point in range(1, writes + 1):
        (tmp_path / str(point)).mkdir()
        found, _, _ = at_the_end(kb, tmp_path / str(point), point)
        assert found in (before, after), point
        seen.append(found)
    assert before in seen
