"""One damaged byte anywhere in a store: what is shown is what was kept or is said to be damaged, and nothing ends in a fault."""

import io
import random

import msgspec
import pytest

from dryfloor.cli.main import main
from dryfloor.cli.store import store as store_module
from dryfloor.cli.store.glance import glance
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.env import Env
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.rows import UncertainRowError
from dryfloor.engine.errors import InvalidInputError
from tests.support.stored import EVENTS, marked

COUNTED = (
    "reference",
    "state",
    "complaints",
    "words",
    "began",
    "touched",
    "answers",
    "earlier",
    "closed",
    "why",
    "role",
)


class Dice:
    """Ids and links that are the same in each run."""

    def __init__(self, seed):
        self.choice = random.Random(seed).choice

    def token_urlsafe(self, size):
        return "".join(self.choice("abcdefgh") for _ in range(size))


class Truth:
    """A store as it was written: its bytes, and what is in it."""

    def __init__(self, path):
        now = [1_700_000_000.0]
        with Store.open(path, now=lambda: now[0]) as store:
            first = None
            for n in range(6):
                now[0] += 86_400
                case = store.begin(f"Alder Lane {n}" if n % 2 else "", earlier=first if n == 4 else None, kb="0123")
                first = first or case
                for event in EVENTS[: 3 + n % 4]:
                    store.add(case, event)
                store.undo(case, 1)
                store.put(case, 1, Event(heard=f"it drips {n} ½", complaints=["siphons"]))
                store.note(case, f"the neighbour at {n} rings back")
                if n in (1, 3):
                    store.add(case, Event(closed=("solved", "handed-on")[n // 2], why="Book a plumber."))
                if n == 2:
                    store.decline(case)
                    marked(store, case, "attic", 12, "1", "another")
                    store.note(case, "a note that waits until the case is free")
                if n == 5:
                    store.saw(case, 2, '["check:x", "", 0.5]')
            self.links = {store.link(line.id): line.id for line in store.find()[:2]}
            self.cases = {line.id: self.case(store, line.id) for line in store.find()}
        self.offer = self.glanced(path)
        self.raw = path.read_bytes()
        assert path.with_name(path.name + "-wal").stat().st_size == 0

    @staticmethod
    def case(store, name):
        line = store.line(name)
        said = [store.stamped(name), store.seen(name), store.journal(name)]
        return [getattr(line, field) for field in COUNTED], store.events(name), said

    @staticmethod
    def glanced(path):
        found = glance(path)
        return found and (found.id, found.state, found.words, found.answers)


@pytest.fixture(scope="module")
def truth(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(store_module, "secrets", Dice(19))
        return Truth(tmp_path_factory.mktemp("whole") / "cases.db")


def damaged(raw, rng):
    """The store with one byte damaged: a bit turned, the byte lost, or any other in its place."""
    out = bytearray(raw)
    at = rng.randrange(len(out))
    while (
        not out[at] and rng.random() < 0.95
    ):  # most of the file is free; what is damaged there is damaged to nobody's loss
        at = rng.randrange(len(out))
    out[at] = rng.choice([out[at] ^ 1 << rng.randrange(8), 0, 0xFF, rng.randrange(256)])
    return bytes(out)


def problems(call):
    """Do something with a damaged store; return the codes of what it was refused with."""
    try:
        call()
    except InvalidInputError as refused:
        return {p.code for p in refused.problems}
    return set()


def trial(truth, path, rng, kept_kb):
    """Look at a damaged store from all sides; return whether it was seen to be damaged."""
    path.write_bytes(damaged(truth.raw, rng))
    seen = []
    glanced = None
    try:
        glanced = truth.glanced(path)
    except UncertainRowError:
        seen.append("glance")
    else:
        assert glanced in (truth.offer, None) or glanced[0] in truth.cases

    def look():
        with Store.open(path, write=False) as store:
            lines = {line.id: line for line in store.find()}
            for name, whole in truth.cases.items():
                assert name in lines, f"{name} is not listed"
                if lines[name].damage:
                    seen.append(name)
                    assert lines[name].state == "damaged"
                    store.events(name)
                else:
                    assert truth.case(store, name) == whole
            others = set(lines) - set(truth.cases)
            assert all(lines[name].damage for name in others)
            seen.extend(others)
            for token, name in truth.links.items():
                assert store.by_link(token) in (name, None)
                seen.extend(["link"] if store.by_link(token) is None else [])
            offered = store.offered()
            if glanced or not seen:
                assert glanced == (offered and (offered.id, offered.state, offered.words, offered.answers))
            found = store.verify()[2]
            assert found or not set(seen) - {"glance"}, f"{seen} but verified"

    refused = problems(look)
    assert refused <= {"J001", "J010", "J012", "J013"}
    run(truth, path, rng, kept_kb)
    return bool(seen or refused)


def run(truth, path, rng, kept_kb):
    """The commands end in words, and a note in one case leaves the others what they were."""
    name = rng.choice([*truth.cases])
    environ = {"HOME": str(path.parent), "DRYFLOOR_DATA_DIR": str(path.parent), "DRYFLOOR_CACHE_DIR": str(kept_kb)}
    codes = {}
    commands = [["cases"], ["cases", "--verify", "--json"], ["export", name], ["note", name, "rings"]]
    if rng.random() < 0.02:  # what comes next is worked out of the whole kb
        commands.append(["show", name])
    for argv in commands:
        env = Env(io.StringIO(""), io.StringIO(), io.StringIO(), environ)
        code = main([*argv, "--store", str(path)], env)
        assert code in (0, 1, 2), env.stderr.getvalue()
        codes[argv[0]] = code
        if "--json" in argv:
            msgspec.json.decode(env.stdout.getvalue())

    def look():
        with Store.open(path, write=False) as store:
            for line in store.find():
                if line.id != name and line.id in truth.cases and not line.damage:
                    assert truth.case(store, line.id) == truth.cases[line.id]
                elif line.id == name and not line.damage:
                    assert store.events(name) == [
                        *truth.cases[name][1],
                        *([] if codes["note"] else [Event(note="rings")]),
                    ]

    problems(look)


def trials(truth, folder, kept_kb, count, seed):
    rng = random.Random(seed)
    found = 0
    for n in range(count):
        path = folder / f"{n}.db"
        found += trial(truth, path, rng, kept_kb)
        for made in folder.glob(f"{n}.*"):
            made.unlink()
    return found


def test_a_damaged_byte_is_said_and_the_rest_goes_on(truth, tmp_path, kept_kb):
    assert trials(truth, tmp_path, kept_kb, 60, 20) > 5


@pytest.mark.slow
@pytest.mark.parametrize("part", range(4))
def test_thousands_of_damaged_bytes_are_said_and_the_rest_goes_on(truth, tmp_path, kept_kb, part):
    assert trials(truth, tmp_path, kept_kb, 600, 21 + part) > 200
