"""`dryfloor serve`: arguments, secrets, and a server that stops gracefully."""

import argparse
import asyncio
import contextlib
import errno
import gc
import logging
import signal
import stat
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...engine.errors import InvalidInputError, Problem
from ..result import Exit, Result
from ..store.database.place import server_place
from ..terminal.env import Env

if TYPE_CHECKING:
    from ...engine import model

LEAST = 16  # letters of a token or a key
MOST = 4096  # bytes of the file of one
PORTS = 65_535
CONNECTIONS = 512
IDLE_S = 5  # an idle connection is closed [s]
GRACE_S = 10  # answers under way are finished when it stops [s]
MISSING = "the page needs packages that are not installed"
LOOPBACK = ("127.0.0.1", "::1", "localhost")


def serve(args: argparse.Namespace, env: Env, kb: "model.KB") -> Result:
    """Serve the page until it is told to stop.

    Parameters
    ----------
    args : Namespace
        host, port, store, desk_token_file, key_file.
    env : Env
    kb : KB
    """
    try:
        import uvicorn

        from .app import application
        from .context import Context, Keeping
        from .middleware import Timed
    except ImportError as error:
        raise InvalidInputError(
            [Problem(code="P070", message=f"{MISSING} ({error.name})", mend="pip install 'dryfloor[page]'")]
        ) from None
    from .answers.signing import Signer
    from .caller import networks
    from .contact import read_contact

    if not 0 <= args.port <= PORTS:
        raise InvalidInputError(
            [
                Problem(
                    code="P075",
                    message=f"{args.port} is no port",
                    expected=f"0 to {PORTS}; 0 takes a free one",
                    mend="choose another --port",
                )
            ]
        )
    token = secret(args.desk_token_file, "the desk's token") if args.desk_token_file else ""
    technician = secret(args.technician_token_file, "the technicians' token") if args.technician_token_file else ""
    if technician and technician == token:
        mend = "make another for the technicians"
        raise InvalidInputError([Problem(code="P079", message="one token can't open two doors", mend=mend)])
    key = secret(args.key_file, "the key").encode() if args.key_file else None
    proxies = networks(args.proxy)
    place = server_place(args.store) or (Path(args.store) if args.store else None)
    keeping = Keeping(place) if place else None
    contact = read_contact(args.contact) if args.contact else None
    units = args.units if args.units in ("us", "si") else "si-first" if env.metric else "both"
    context = Context(
        kb, Signer(key), keeping, token, units, proxies, args.most_kept, args.lessons, contact, technician
    )
    context.workers.warm()
    # The kb stays as long as the server does: the collector need not walk it again and again between answers.
    gc.collect()
    gc.freeze()

    def fault(error: Exception) -> None:
        report(env, error)

    app = application(context, fault)
    shown = f"[{args.host}]" if ":" in args.host else args.host
    config = uvicorn.Config(
        app,
        host=args.host,
        port=args.port,
        http=Timed,
        loop="asyncio",
        lifespan="on",
        ws="none",
        log_config=None,
        access_log=False,  # an address carries a case: it is written nowhere
        server_header=False,
        date_header=True,
        proxy_headers=False,
        limit_concurrency=CONNECTIONS,
        timeout_keep_alive=IDLE_S,
        timeout_graceful_shutdown=GRACE_S,
        h11_max_incomplete_event_size=16 * 1024,
    )

    class Server(uvicorn.Server):
        """Says where it is once it can be reached."""

        async def startup(self, sockets: Any = None) -> None:
            await super().startup(sockets)
            if self.started:
                port = self.servers[0].sockets[0].getsockname()[1] if self.servers else args.port
                env.say(f"Serving on http://{shown}:{port}/ until it is stopped (Ctrl-C).", err=True)
                env.say(
                    f"The desk's door: http://{shown}:{port}/door" if token else "No desk: no --desk-token-file.",
                    err=True,
                )
                if technician:
                    env.say(f"The technicians' door: http://{shown}:{port}/door", err=True)
                if args.lessons:
                    env.say(f"The class's drill: http://{shown}:{port}/drill (with a number: /drill?seed=7)", err=True)
                env.say(f"Kept cases: {place}" if keeping else "Nothing is kept: no --store.", err=True)
                if args.host not in LOOPBACK:
                    env.say("Reachable from other machines. Put a proxy with TLS in front of it.", err=True)
                    if not args.proxy:
                        text = "No --proxy is named: all who come through one count as one, and nothing says that they came by TLS."
                        env.say(text, err=True)

        @contextlib.contextmanager
        def capture_signals(self) -> Iterator[None]:
            """Stop gracefully when told to, and end as done; the server itself would raise the signal once more."""
            kept = {s: signal.signal(s, self.handle_exit) for s in (signal.SIGINT, signal.SIGTERM)}
            try:
                yield
            finally:
                for s, handler in kept.items():
                    signal.signal(s, handler)

    # What the server logs would go to the screen raw, a request's bytes among it; faults are said by `fault`.
    log = logging.getLogger("uvicorn")
    log.addHandler(logging.NullHandler())
    log.propagate = False
    server = Server(config)
    try:
        asyncio.run(server.serve())
    except KeyboardInterrupt:
        pass
    except (SystemExit, UnicodeError):  # a name that no host can have is not even looked up
        message = f"{args.host} port {args.port} can't be served"
        raise InvalidInputError(
            [
                Problem(
                    code="P071", message=message, expected="a free port of this machine", mend="choose another --port"
                )
            ]
        ) from None
    return Result(command="serve", status="stopped", exit=Exit.DONE, data={})


def secret(path: str, what: str) -> str:
    """Return the first line of a file that holds a secret.

    Raises
    ------
    InvalidInputError
        If it can't be read, anybody may read it, or it is too short to be one.
    """
    try:
        mode = Path(path).stat().st_mode
        if not stat.S_ISREG(mode):
            raise OSError(errno.EINVAL, "it is a folder, a pipe or a device, not a file")
        with open(path, "rb") as file:
            raw = file.read(MOST + 1)
        if len(raw) > MOST:
            raise OSError(errno.EFBIG, f"it is over {MOST} bytes, and a secret is one line")
        text = raw.decode("utf-8").strip().partition("\n")[0].strip()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is no text"
        raise InvalidInputError(
            [
                Problem(
                    code="P072",
                    file=path,
                    message=f"{what} can't be read: {why}",
                    mend="name a file with one line in it",
                )
            ]
        ) from None
    if mode & 0o077 and sys.platform != "win32":
        raise InvalidInputError(
            [
                Problem(
                    code="P073", file=path, message=f"others on this machine may read {what}", mend=f"chmod 600 {path}"
                )
            ]
        )
    if len(text) < LEAST:
        problem = Problem(
            code="P074",
            file=path,
            message=f"{what} is too short",
            expected=f"{LEAST} letters or more",
            mend="python3 -c 'import secrets; print(secrets.token_urlsafe(24))'",
        )
        raise InvalidInputError([problem])
    return text


def report(env: Env, error: Exception) -> None:
    """Keep a report of a fault, and say where it is on the server's own screen; no page ever shows it."""
    import traceback

    path = env.data_dir / "fault-report.txt"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.write_text("dryfloor serve\n" + "".join(traceback.format_exception(error)), encoding="utf-8")
        env.say(f"dryfloor: a fault ({type(error).__name__}); a report is in {path}", err=True)
    except OSError:
        env.say(f"dryfloor: a fault ({type(error).__name__}); no report could be written", err=True)
