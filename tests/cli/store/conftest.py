"""Places for a store: a file of its own, and a database on a server of the tests' own."""

import pytest

from dryfloor.cli.store.database.place import ServerPlace
from dryfloor.cli.store.store import Store
from tests.support.postgres import Cluster


@pytest.fixture(scope="session")
def cluster():
    """A server, started once for all tests of this process."""
    made = Cluster()
    yield made
    made.stop()


@pytest.fixture(scope="session")
def database(cluster):
    """An empty database of it."""
    return ServerPlace(cluster.database("stores"))


@pytest.fixture
def server(database):
    """The place of an empty store on a server."""
    import psycopg

    with psycopg.connect(database.url, autocommit=True) as db:
        db.execute("DROP SCHEMA IF EXISTS dryfloor CASCADE")
    return database


@pytest.fixture(params=["file", "server"])
def place(request, tmp_path):
    """The place of an empty store, of each kind."""
    return tmp_path / "data" / "cases.db" if request.param == "file" else request.getfixturevalue("server")


@pytest.fixture
def store(place):
    """An empty store of each kind, open."""
    with Store.open(place) as made:
        yield made
