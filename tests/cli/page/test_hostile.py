"""A thousand hostile addresses and bodies: each is answered, none with a fault, a traceback, or a path of this machine."""

import random
import string

import pytest

from tests.cli.page.conftest import TOKEN
from tests.support.places import ROOT

NASTY = [
    "", "\0", "%", "%zz", "%00", "..", "../../etc/passwd", "<script>alert(1)</script>", "'\"><svg onload=x>", "{{7*7}}", "{% include 'x' %}",
    "\u202e", "\U0001f4a5", "\ufeff", "\ud7ff", "NaN", "-1", "1e999", "9" * 400, "None", "null", "a:b:c", ":", "::", "walks", "gas-smell",
    "standpipe-height:31 in", "standpipe-height:" + "9" * 100, "standpipe-height:-0 in", "foot-gap:1/0 mm", "drain:standpipe", "x" * 2000, "&", "=", "+", "\r\nSet-Cookie: a=b",
]  # fmt: skip
KEYS = [
    "complaint",
    "fact",
    "check",
    "hazard",
    "cant",
    "skip",
    "remedy",
    "proof",
    "still",
    "trial",
    "machine",
    "heard",
    "maybe",
    "also",
    "ask",
    "cleared",
    "role",
    "x",
]
FIELDS = [
    "said",
    "words",
    "step",
    "note",
    "ask",
    "asked",
    "confirm",
    "open",
    "trial",
    "complaint",
    "fact",
    "token",
    "reference",
    "text",
    "state",
]
PATHS = [
    "/",
    "/case",
    "/keep",
    "/kept/x",
    "/kept/x/forget",
    "/advise",
    "/hear",
    "/health",
    "/door",
    "/desk",
    "/desk/cases",
    "/desk/cases/x",
    "/desk/hand-over",
    "/desk/keep",
    "/page.css",
    "/favicon.ico",
]
KINDS = [
    "application/x-www-form-urlencoded",
    "application/json",
    "application/yaml",
    "multipart/form-data; boundary=x",
    "text/plain",
    "",
    "\t",
]


def quoted(rng, text):
    from urllib.parse import quote

    return (
        quote(text, safe="")
        if rng.random() < 0.8
        else "".join(c for c in text if c in string.printable and c not in "#\r\n\t\x0b\x0c ")
    )


def some_query(rng):
    return "&".join(f"{rng.choice(KEYS)}={quoted(rng, rng.choice(NASTY))}" for _ in range(rng.randrange(6)))


def some_body(rng):
    if rng.random() < 0.3:
        return bytes(rng.randrange(256) for _ in range(rng.randrange(200)))
    if rng.random() < 0.3:
        return (
            rng.choice(['{"events": [%s]}', '{"words": %s}', "%s", "- %s"])
            .replace("%s", rng.choice(NASTY))
            .encode("utf-8", "surrogatepass")
        )
    return "&".join(f"{rng.choice(FIELDS)}={quoted(rng, rng.choice(NASTY))}" for _ in range(rng.randrange(8))).encode()


@pytest.mark.slow
def test_none_of_a_thousand_ends_in_a_fault(serve):
    rng = random.Random(20)
    client = serve()
    client.post("/door", data={"token": TOKEN})
    here = str(ROOT)
    seen = {}
    for _ in range(1100):
        method, path, query = rng.choice(["GET", "POST", "POST", "PUT", "HEAD"]), rng.choice(PATHS), some_query(rng)
        body = some_body(rng) if method == "POST" else None
        kind = rng.choice(KINDS[:1] * 4 + KINDS)
        got = client.request(
            method, path + ("?" + query if query else ""), content=body, headers={"content-type": kind} if body else {}
        )
        seen[got.status_code] = seen.get(got.status_code, 0) + 1
        assert got.status_code < 500, (method, path, query, body, client.faults)
        assert "Traceback" not in got.text
        assert here not in got.text
        assert "site-packages" not in got.text
        assert "<script>alert" not in got.text
        assert "a=b" not in str(got.headers)
    assert not client.faults
    assert {200, 404, 405, 422} <= set(seen)


def test_a_fault_is_answered_without_a_word_of_it(serve, monkeypatch):
    client = serve()

    async def broken(*_):
        raise RuntimeError("secret of /some/where")

    monkeypatch.setattr(client.context.workers, "advice", broken)
    for path, method in (("/case?complaint=walks", "GET"), ("/advise", "POST")):
        got = client.request(method, path, content=b'{"complaints": ["walks"]}' if method == "POST" else None)
        assert got.status_code == 500
        assert "secret" not in got.text
        assert got.headers["content-security-policy"]
    assert [str(f) for f in client.faults] == ["secret of /some/where"] * 2


def test_a_store_that_fails_does_not_say_where_it_is(serve, tmp_path):
    client = serve()
    (tmp_path / "cases.db").chmod(0o400)
    client.context.keeping.thread.submit(client.context.keeping.store._db.close).result()
    got = client.post("/keep?complaint=walks")
    assert got.status_code == 422
    assert str(tmp_path) not in got.text
