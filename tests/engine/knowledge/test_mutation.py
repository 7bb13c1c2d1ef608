"""Any single file of the shipped kb, broken in any single way: problems that can be mended, or a kb that still works, never a traceback.

Each mutation is made on the parsed tree of one file (or, for a file that is cut short, on its text), and only that file is
read into records again. The quick run takes a seeded sample; the slow one takes every node of every file.
"""

import functools
import gc
import random
import traceback
from collections import Counter
from itertools import islice

import pytest

from dryfloor.engine import model
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge import load, strict_yaml
from dryfloor.engine.knowledge import pieces as pieces_
from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.knowledge.pieces import LISTS, SINGLES
from dryfloor.engine.knowledge.strict_yaml import Node

SEED = 20240501
FILE_LEVEL = {"K010", "K012", "K013", "K014", "Y002", "Y010"}
CUTS = 12
PARTS = 16
ALIKE = 12
NAMING = ("answers", "facts", "when", "takes", "sizes", "limits", "options")


@functools.cache
def shipped():
    """Return the sheets and pieces of the shipped kb, made once."""
    sheets = pieces_.parse_folder(home())
    return sheets, {rel: pieces_.piece(rel, sheet) for rel, sheet in sheets.items()}


def paths(node, here=()):
    """Yield the path of every node below and with this one."""
    yield here
    steps = (
        node.value.items()
        if isinstance(node.value, dict)
        else enumerate(node.value)
        if isinstance(node.value, list)
        else ()
    )
    for step, child in steps:
        yield from paths(child, (*here, step))


def slug(node):
    """Return whether a node can be an id or a word that names something."""
    return isinstance(node.value, str) and len(node.value) < 60 and "\n" not in node.value


def mutations(rel):
    """Yield (what, path) for each way to break each node of a file."""
    sheet = shipped()[0][rel]
    for path in paths(sheet.root):
        node = at(sheet.root, path)
        if path and isinstance(path[-1], str):
            yield "drop", path
            yield "rename", path
        elif path:
            yield "drop", path
            yield "twice", path
        if slug(node):
            yield "misname", path
        yield "swap", path
        yield "empty", path
    for n in range(1, CUTS + 1):
        yield "cut", (n,)


def at(node, path):
    """Return the node at a path."""
    for step in path:
        node = node.value[step]
    return node


def spoiled(sheet, what, path):
    """Spoil a sheet in one way and return how to undo it."""
    node = at(sheet.root, path)
    if what in ("drop", "rename", "twice"):
        parent = at(sheet.root, path[:-1])
        old, keys = parent.value, parent.keys
        if isinstance(old, list):
            parent.value = [n for i, n in enumerate(old) if i != path[-1]] if what == "drop" else [*old, node]
        else:
            parent.value = {
                (f"{k}x" if k == path[-1] else k): n for k, n in old.items() if what == "rename" or k != path[-1]
            }
            parent.keys = {**keys, f"{path[-1]}x": keys[path[-1]]}
        return lambda: (setattr(parent, "value", old), setattr(parent, "keys", keys))
    old = node.value
    if what == "misname":
        node.value = f"{old}-x"
    elif what == "empty":
        node.value = type(old)() if isinstance(old, dict | list) else None
    elif isinstance(old, str):
        node.value = [Node(old, node.line, node.column, True)]
    else:
        node.value = "text" if isinstance(old, dict | list) else {"n": Node(old, node.line, node.column, True)}
    return lambda: setattr(node, "value", old)


def outcome(rel, what, path, whole=True):
    """Return (kb, problems) of the shipped kb with one file spoiled; with only those causes that could tell of it where not `whole`."""
    sheets, pieces = shipped()
    sheet = sheets[rel]
    if not whole:
        pieces = alone(rel) if rel.startswith("causes/") else around(rel, path[0])
    if what == "cut":
        text = "\n".join(sheet.rows) + "\n"
        made = pieces_.piece(
            rel, strict_yaml.from_bytes(text[: len(text) * (path[0] - 1) // CUTS].encode(), sheet.name)
        )
        return load.assemble([made if r == rel else p for r, p in pieces.items()])
    undo = spoiled(sheet, what, path)
    try:
        made = pieces_.piece(rel, sheet)
        return load.assemble([made if r == rel else p for r, p in pieces.items()])
    finally:
        undo()


def alone(rel):
    """Return the pieces of the kb with one cause, and a file that says that there were others: nothing is said of who names those."""
    others = pieces_.Piece("causes/others.yaml", model.Cause)
    others.lost = None
    held = {r: p for r, p in shipped()[1].items() if r == rel or not r.startswith("causes/")}
    return held | {others.name: others}


@functools.cache
def around(rel, place):
    """Return the pieces of the kb with those causes alone that name a record of a list, and a file that says that there were others."""
    sheets, pieces = shipped()
    named = at(sheets[rel].root, (place, "id")).value
    naming = {r for r, sheet in sheets.items() if r.startswith("causes/") and any(named in row for row in sheet.rows)}
    others = pieces_.Piece("causes/others.yaml", model.Cause)
    others.lost = None
    return {r: p for r, p in pieces.items() if r in naming or not r.startswith("causes/")} | {others.name: others}


def fault(rel, what, path, whole=True):
    """Return what is wrong with how one mutation is answered, or an empty text."""
    try:
        kb, problems = outcome(rel, what, path, whole)
    except Exception:
        return f"{rel} {what} {path}: {traceback.format_exc(limit=-3)}"
    if (kb is None) != bool(problems):
        return f"{rel} {what} {path}: neither a kb nor a problem, or both"
    for p in problems:
        if not (p.message and p.mend and p.code) or (not p.file and p.code != "K012"):
            return f"{rel} {what} {path}: a problem that can't be mended: {p}"
        if p.code not in FILE_LEVEL and not (p.line > 0 and p.column > 0):
            return f"{rel} {what} {path}: a problem without a place: {p}"
    return ""


def faults(batch):
    """Return the faults of several mutations."""
    return [f for f in (fault(*m) for m in batch) if f]


@functools.cache
def every():
    """Return all mutations of all files."""
    return [(rel, *m) for rel in shipped()[0] for m in mutations(rel)]


def test_the_kb_that_is_spoiled_is_good_to_begin_with():
    _, pieces = shipped()
    kb, problems = load.assemble(list(pieces.values()))
    assert problems == []
    assert kb is not None


@pytest.mark.parametrize("what", ["drop", "rename", "twice", "misname", "swap", "empty", "cut"])
def test_a_sample_of_every_kind_of_mutation(what):
    chosen = [m for m in every() if m[1] == what]
    assert len(chosen) > 400
    sample = random.Random(SEED).sample(chosen, 20)
    assert faults(sample) == []


def test_most_mutations_are_noticed_and_undone():
    """A test that spoils nothing would pass all others."""
    sample = random.Random(SEED).sample([m for m in every() if m[1] == "rename" and isinstance(m[2][-1], str)], 20)
    refused = sum(bool(outcome(*m)[1]) for m in sample)
    assert refused > 15
    kb, problems = load.assemble([pieces_.piece(rel, sheet) for rel, sheet in shipped()[0].items()])
    assert (kb is None, problems) == (False, [])


@pytest.mark.parametrize("rel", [*LISTS, *SINGLES, "causes/drain/standpipe-too-low.yaml"])
def test_each_kind_of_file_broken_in_the_simplest_ways(rel):
    root = shipped()[0][rel].root
    first = (0,) if isinstance(root.value, list) else ()
    for what in ("swap", "empty"):
        kb, _ = outcome(rel, what, ())
        assert kb is None or rel in ("decoys.yaml",), (rel, what)
        assert fault(rel, what, ()) == ""
    key = next(iter(at(root, first).value))
    for what in ("drop", "rename"):
        assert outcome(rel, what, (*first, key))[1], (rel, what, key)
        assert fault(rel, what, (*first, key)) == ""


def test_a_file_cut_in_the_middle_of_a_word_is_placed():
    # Inside brackets a cut leaves no YAML; inside plain text it may still be read. Which list is cut there hangs on their lengths today.
    def heads(rel):
        text = "\n".join(shipped()[0][rel].rows) + "\n"
        return {n: text[: len(text) * (n - 1) // CUTS] for n in range(2, CUTS + 1)}

    rel, n = next(
        (rel, n)
        for rel in ("facts.yaml", "hazards.yaml", "complaints.yaml")
        for n, head in heads(rel).items()
        if head.count("[") > head.count("]") and head[-1].isalpha()
    )
    kb, problems = outcome(rel, "cut", (n,))
    assert kb is None
    assert {p.file for p in problems} == {f"kb/{rel}"}
    assert all(p.line > 0 for p in problems)


def still_works(mutation):
    """Return what goes wrong when a spoiled kb that still loads gives advice, or an empty text."""
    kb, _ = outcome(*mutation)
    if kb is None:
        return ""
    try:
        for role in ("homeowner", "desk", "technician"):
            for complaint in sorted(kb.complaints)[:7:3]:
                advise(
                    kb,
                    [
                        Event(role=role),
                        Event(complaints=[complaint]),
                        *(Event(cleared=h) for h in sorted(kb.hazards) if kb.hazards[h].gate),
                    ],
                )
    except Exception:
        return f"{mutation}: {traceback.format_exc(limit=-4)}"
    return ""


def test_a_kb_that_still_loads_still_gives_advice():
    order = random.Random(SEED).sample(every(), 1500)
    valid = islice((m for m in order if outcome(*m)[0] is not None), 4)
    assert [f for f in map(still_works, valid) if f] == []


@pytest.mark.slow
def test_many_kbs_that_still_load_still_give_advice():
    order = [m for m in random.Random(SEED + 1).sample(every(), 20_000) if m[1] != "cut"]
    valid = list(islice((m for m in order if outcome(*m)[0] is not None), 120))
    assert len(valid) == 120
    assert [f for f in map(still_works, valid) if f] == []


@functools.cache
def shared_out():
    """Return every mutation as (file, what, path, whole) in PARTS lists that take as long as each other.

    Most of the kb is causes, and most of the time goes to checking a hundred that were not touched. Each kind of place in a cause, a check or a rule
    (`shows`, any of them, `strength`) is spoiled in each way ALIKE times beside all causes; whatever more there is of its kind, in a cause without
    the others, in a check or rule beside the causes that name it.
    """
    work = list(every())
    random.Random(SEED).shuffle(work)
    seen = Counter()
    out = [[] for _ in range(PARTS)]
    for turn, (rel, what, path) in enumerate(work):
        # The name of an answer, of a circumstance or of a limit is one of its kind, as the place in a list is.
        kind = (
            what,
            tuple(
                "any" if isinstance(step, int) or (n > 1 and path[n - 1] in NAMING) else step
                for n, step in enumerate(path)
            ),
        )
        listed = rel.startswith(("checks/", "rules/")) and path and what != "cut"
        some = rel.startswith("causes/") or (listed and isinstance(path[0], int) and len(path) > 2)
        seen[kind] += bool(some)
        out[turn % PARTS].append((rel, what, path, not some or seen[kind] <= ALIKE))
    return out


@pytest.mark.slow
def test_every_mutation_of_every_kind_of_place_is_shared_out():
    work = [m for some in shared_out() for m in some]
    assert sorted(map(repr, every())) == sorted(repr(m[:3]) for m in work)
    assert len(work) > 50_000
    assert sum(m[3] for m in work) > len(work) / 8
    for rel in shipped()[0]:
        if rel.startswith("causes/"):
            kb, problems = load.assemble([*alone(rel).values()])
            assert (kb is None, problems) == (False, []), rel
        if rel.startswith(("checks/", "rules/")):
            for place in range(0, len(shipped()[0][rel].root.value), 5):
                kb, problems = load.assemble([*around(rel, place).values()])
                assert (kb is None, problems) == (False, []), (rel, place)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_every_node_of_every_file_in_every_way(part):
    work = shared_out()[part]
    found = []
    gc.freeze()
    gc.disable()  # it would look through a kb of records again and again, and find nothing to give back
    try:
        for n in range(0, len(work), 500):
            found += faults(work[n : n + 500])
            gc.collect(1)
    finally:
        gc.enable()
        gc.unfreeze()
    assert found[:20] == []
