"""What the tests of the page share: sites of their own, and a visitor without script."""

import warnings

import pytest

from dryfloor.cli.page.answers.signing import Signer
from dryfloor.cli.page.app import application
from dryfloor.cli.page.context import Context, Keeping
from tests.support.forms import Visitor

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the test client is about to move to another package
    from starlette.testclient import TestClient

TOKEN = "quiet-otter-under-the-sink"


class Clock:
    """A clock that a test turns."""

    def __init__(self):
        self.now = 1_000_000.0

    def __call__(self):
        return self.now


@pytest.fixture(scope="session")
def shared(kb):
    """A client of one site without a store or a desk, that keeps nothing between tests."""
    with TestClient(application(Context(kb, Signer(b"k" * 32)))) as client:
        yield client


@pytest.fixture
def clock():
    """The clock of `serve`."""
    return Clock()


@pytest.fixture
def serve(kb, tmp_path, clock):
    """Return a function that opens a client of a site of its own; `faults` collects what it reports."""
    opened = []

    def go(store=True, token=TOKEN, key=b"k" * 32, path=None, **settings):
        keeping = Keeping(path or tmp_path / "cases.db") if store else None
        context = Context(kb, Signer(key, clock), keeping, token)
        faults = []
        client = TestClient(application(context, faults.append), raise_server_exceptions=False, **settings)
        client.__enter__()
        client.context, client.faults = context, faults
        opened.append(client)
        return client

    yield go
    for client in opened:
        client.__exit__(None, None, None)


@pytest.fixture
def visit(serve):
    """A visitor of a site of its own."""
    return Visitor(serve())
