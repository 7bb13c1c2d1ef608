"""What many tests share: the shipped kb, and an environment with its own streams and folders."""

import io

import pytest
from hypothesis import settings

from dryfloor.cli.main import main
from dryfloor.cli.terminal.env import Env, one_thread
from dryfloor.engine.knowledge.load import load_kb
from tests.support.chromium import audit, chromium, open_page  # noqa: F401  (fixtures of every test that opens a page)

# No test may hang on how busy the machine is.
settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")


def pytest_configure():
    """Keep linear algebra to one thread, as the program does; numpy is not loaded yet."""
    one_thread()


class Run:
    """What one command did: its exit code and what it wrote."""

    def __init__(self, code, out, err):
        self.code = code
        self.out = out
        self.err = err


@pytest.fixture(scope="session")
def kb():
    """The shipped kb, read once."""
    return load_kb()


@pytest.fixture(scope="session")
def mended(kb):
    """The report on a case that was mended and proved, for each reader."""
    from dryfloor.engine.reports.report import READERS, report
    from tests.support.telling import MENDED

    return {reader: report(kb, MENDED, reader) for reader in READERS}


@pytest.fixture(scope="session")
def open_case(kb):
    """The report on a case that was handed over, for each reader."""
    from dryfloor.engine.reports.report import READERS, report
    from tests.support.telling import HANDED_OVER

    return {reader: report(kb, HANDED_OVER, reader) for reader in READERS}


@pytest.fixture(scope="session")
def kept_kb(tmp_path_factory):
    """A cache folder that all commands of a test run share, so that one of them pays for the YAML."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def make_env(tmp_path, kept_kb):
    """Return a function that makes an Env: what is typed (text, or bytes of a pipe), folders of its own, more variables."""

    def make(typed="", **more):
        folders = {
            "HOME": str(tmp_path),
            "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
            "DRYFLOOR_CACHE_DIR": str(kept_kb),
        }
        stdin = io.TextIOWrapper(io.BytesIO(typed), "utf-8") if isinstance(typed, bytes) else io.StringIO(typed)
        return Env(stdin, io.StringIO(), io.StringIO(), folders | more)

    return make


@pytest.fixture
def run(make_env):
    """Return a function that runs a command line in its own environment: arguments, then what is piped in."""

    def go(*argv, typed="", **more):
        env = make_env(typed, **more)
        code = main(list(argv), env)
        return Run(code, env.stdout.getvalue(), env.stderr.getvalue())

    return go
