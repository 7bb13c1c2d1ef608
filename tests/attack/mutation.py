"""Bytes that were a case once: a corpus of cases in every form, and damage done to them."""

import json
import random

import msgspec

from dryfloor.engine.case.case_file import dump
from dryfloor.engine.case.events import Event
from tests.support.heavy_cases import abnormal, all_abnormal, alternating, remedied

NASTY = [
    b"{}", b"[]", b"[{}]", b"{", b"[", b'"', b"'", b": ", b"- ", b",", b"\n", b"\t", b"\0", b"\xff\xfe", b"\xed\xa0\x80", b"&a", b"*a", b"!!python/object", b"|", b">", b"?", b"%",
    b"null", b"true", b"~", b"1e999", b"-0", b"9" * 320, b"0x10", b"\\ud800", b"\\u202e", b"\xe2\x80\xae", b"\x1b[2J", b"\x07", b"1/0 in", b"3\xc2\xb2in", b"x" * 3000,
]  # fmt: skip


def corpus(kb):
    """Return cases as bytes: every cause's own cases, as YAML, as JSON events, in the short form, and heavy ones."""
    out = []
    gates = [Event(cleared=h) for h, r in kb.hazards.items() if r.gate]
    for cause in kb.causes.values():
        for case in cause.cases[:2]:
            given = case.given
            short = {
                "role": given.role or "technician",
                "complaints": list(given.complaints),
                "facts": dict(given.facts),
                "answers": dict(given.answers),
            }
            if given.say:
                short["say"] = given.say
            out += [json.dumps(short).encode(), json.dumps(short | {"cleared": [g.cleared for g in gates]}).encode()]
    long = [
        all_abnormal(kb, 1), all_abnormal(kb, 2)[:100], all_abnormal(kb, 6)[:40], alternating(kb, 300, 7), remedied(kb, 40),
        [Event(role="desk"), Event(heard="it hops and smells of gas"), Event(complaints=["walks"]), *abnormal(kb)[:4]],
        [Event(role="homeowner"), *(Event(complaints=[c]) for c in kb.complaints)],
    ]  # fmt: skip
    for events in long:
        out += [dump([*events, *gates]).encode(), msgspec.json.encode({"events": events})]
    return out


def words_of(kb):
    """Return the names that a case may hold, so that what is damaged is often still a case."""
    names = [
        *kb.complaints,
        *kb.facts,
        *kb.checks,
        *kb.causes,
        *kb.hazards,
        *(f"remedy:{c}" for c in list(kb.causes)[:9]),
    ]
    options = [a for c in kb.checks.values() for a in c.answers] + [o for f in kb.facts.values() for o in f.options]
    fields = [f.encode_name for f in msgspec.structs.fields(Event)]
    return [
        w.encode()
        for w in [*names, *options, *fields, "homeowner", "desk", "technician", "31 in", "2 mm", "done", "could-not"]
    ]


def mutated(rng: random.Random, seeds, words):
    """Return one case with some damage: bytes turned, cut out, put in twice, names exchanged, two cases spliced."""
    raw = bytearray(rng.choice(seeds))
    for _ in range(rng.choice((1, 1, 1, 2, 3, 8))):
        at = rng.randrange(len(raw) + 1)
        kind = rng.randrange(8)
        if kind == 0 and raw:
            raw[at % len(raw)] = rng.randrange(256)
        elif kind == 1:
            del raw[at : at + rng.choice((1, 2, 10, 200))]
        elif kind == 2:
            raw[at:at] = rng.choice(NASTY)
        elif kind == 3:
            raw[at:at] = raw[at : at + rng.choice((5, 40, 400))] * rng.choice((1, 2, 30))
        elif kind == 4:
            other = rng.choice(seeds)
            raw[at:] = other[rng.randrange(len(other)) :]
        elif kind in (5, 6):
            old = rng.choice(words)
            place = raw.find(old, at)
            if place >= 0:
                raw[place : place + len(old)] = rng.choice(words)
        else:
            raw[at:at] = b'{"%b":"%b"},' % (rng.choice(words), rng.choice(words))
    return bytes(raw[:70_000])
