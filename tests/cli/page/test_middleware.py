"""Limits: sizes, times, tries; and every answer carries the headers."""

import asyncio
import socket
import threading
import time

import pytest
import uvicorn
from starlette.requests import Request
from starlette.responses import PlainTextResponse

from dryfloor.cli.page import middleware
from dryfloor.cli.page.middleware import HEADERS, Guard, Rate, Timed, TooLarge, TooSlow


async def echo(scope, receive, send):
    request = Request(scope, receive)
    try:
        body = await request.body()
    except TooLarge:
        await PlainTextResponse("large", 413)(scope, receive, send)
        return
    except TooSlow:
        await PlainTextResponse("slow", 408)(scope, receive, send)
        return
    await PlainTextResponse(str(len(body)))(scope, receive, send)


def ask(app, messages):
    """Return the status and headers that an application gives to a request whose body comes in these messages."""
    got = []

    async def receive():
        if not messages:
            await asyncio.sleep(60)
        return messages.pop(0)

    async def send(message):
        got.append(message)

    scope = {"type": "http", "method": "POST", "path": "/", "headers": [], "query_string": b""}
    asyncio.run(Guard(app, lambda r, e: PlainTextResponse("fault", 500))(scope, receive, send))
    return got[0]["status"], dict(got[0]["headers"])


def part(size, more=True):
    return {"type": "http.request", "body": b"x" * size, "more_body": more}


def test_a_body_is_held_to_its_size_however_it_comes():
    assert ask(echo, [part(middleware.BODY, False)])[0] == 200
    assert ask(echo, [part(middleware.BODY + 1, False)])[0] == 413
    assert ask(echo, [part(1000) for _ in range(middleware.BODY // 1000 + 1)])[0] == 413


def test_a_body_that_does_not_arrive_is_given_up(monkeypatch):
    monkeypatch.setattr(middleware, "BODY_S", 0.05)
    assert ask(echo, [part(10)])[0] == 408


def test_every_answer_carries_the_headers_a_fault_too():
    async def broken(scope, receive, send):
        raise RuntimeError

    for app, status in ((echo, 200), (broken, 500)):
        got, headers = ask(app, [part(1, False)])
        assert got == status
        assert {k.encode() for k in HEADERS} <= set(headers)


def test_tries_come_back_with_time_and_callers_are_forgotten():
    now = [0.0]
    rate = Rate(2, 100, 10.0, lambda: now[0])
    assert [rate.allows("a") for _ in range(3)] == [True, True, False]
    now[0] = 10.0
    assert rate.allows("a")
    for n in range(3 * Rate.CALLERS):
        rate.allows(f"caller {n}")
        now[0] += 1
    assert len(rate.tries) <= Rate.CALLERS


@pytest.fixture
def quick(monkeypatch):
    """The port of a server that waits a fifth of a second for a head."""
    monkeypatch.setattr(middleware, "HEAD_S", 0.2)
    server = uvicorn.Server(
        uvicorn.Config(
            Guard(echo, lambda r, e: PlainTextResponse("fault", 500)),
            port=0,
            http=Timed,
            lifespan="off",
            log_config=None,
        )
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield server.servers[0].sockets[0].getsockname()[1]
    server.should_exit = True
    thread.join(10)


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"POST / HTTP/1.1\r\nHost: x\r\nX-Slow: ",
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\n\r\nyGET / HT",
    ],
)
def test_a_head_that_does_not_arrive_ends_the_connection(quick, sent):
    with socket.create_connection(("127.0.0.1", quick)) as line:
        line.sendall(sent)
        line.settimeout(5)
        answer = b""
        while more := line.recv(4096):
            answer += more
    assert (b"200 OK" in answer) == (b"\r\n\r\n" in sent)


def test_a_body_that_takes_longer_than_a_head_may_is_waited_for(quick):
    with socket.create_connection(("127.0.0.1", quick)) as line:
        line.sendall(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 4\r\n\r\nxx")
        time.sleep(0.5)
        line.sendall(b"xx")
        line.settimeout(5)
        assert b"200 OK" in line.recv(4096)


def hung_up(begin_answer):
    """What an application came to whose caller hangs up once the request is whole: its end, and what was sent."""
    came, got = [part(3, False), {"type": "http.disconnect"}], []
    ends = []

    async def slow(scope, receive, send):
        await receive()
        if begin_answer:
            await send({"type": "http.response.start", "status": 200, "headers": []})
        try:
            await asyncio.sleep(0.3)
            ends.append("finished")
        except asyncio.CancelledError:
            ends.append("ended")
            raise

    async def receive():
        if len(came) == 1:
            await asyncio.sleep(0.05)
        return came.pop(0)

    async def send(message):
        got.append(message)

    scope = {"type": "http", "method": "POST", "path": "/", "headers": [], "query_string": b""}
    asyncio.run(Guard(slow, lambda r, e: PlainTextResponse("fault", 500))(scope, receive, send))
    return ends, got


def test_who_hangs_up_is_not_worked_for_any_more():
    assert hung_up(False) == (["ended"], [])


def test_an_answer_that_began_is_not_cut_off():
    ends, got = hung_up(True)
    assert ends == ["finished"]
    assert len(got) == 1


def test_a_server_that_is_told_to_end_ends_what_it_works_out():
    """The task of a request is cancelled from outside: that is passed on, and not taken for a caller who hung up."""
    seen = []

    async def slow(scope, receive, send):
        try:
            await asyncio.sleep(60)
        except asyncio.CancelledError:
            seen.append("ended")
            raise

    async def receive():
        await asyncio.sleep(60)

    async def told():
        scope = {"type": "http", "method": "POST", "path": "/", "headers": [], "query_string": b""}
        task = asyncio.ensure_future(Guard(slow, lambda r, e: None)(scope, receive, None))
        await asyncio.sleep(0.05)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task

    asyncio.run(told())
    assert seen == ["ended"]
