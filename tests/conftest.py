"""What many tests share: the shipped kb, and an environment with its own streams and folders."""

import gc
import io
import os
import shutil

import pytest
from hypothesis import settings

from dryfloor.cli.main import main
from dryfloor.cli.terminal.env import Env, one_thread
from dryfloor.engine.knowledge import cache, load
from tests.support.chromium import audit, chromium, for_files, open_page  # noqa: F401  (fixtures of every test that opens a page)
from tests.support.shipped import once, shipped

one_thread()  # linear algebra, as in the program; numpy is not loaded yet, as it may be by a folder's own conftest

# No test may hang on how busy the machine is. The quick run tries fewer examples of each property; `test_properties`
# tries all properties again in the slow run, with more.
settings.register_profile("no clock", deadline=None)
settings.register_profile("quick", deadline=None, max_examples=40)
settings.register_profile("many", deadline=None, max_examples=300)
settings.load_profile("no clock")


class SharedByDoctests:
    """Docstrings load the shipped kb as a reader would; all of them look at the one that was read."""

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item):
        """Run a docstring's examples with the kb of this process."""
        if not isinstance(item, pytest.DoctestItem):
            return (yield)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(load, "load_kb", once(load.load_kb))
            return (yield)


MEMORY = "/dev/shm"
ROOM = 1 << 30  # what all that the tests write may take, ten times over [bytes]


def pytest_configure(config):
    """Let what the quick run writes stay in memory, where that is a folder with room; the slow run writes to the disk.

    A third of the quick run's time went into waiting for the disk to take a store's every answer.
    """
    quick = config.option.markexpr == "not slow"
    if quick:
        settings.load_profile("quick")
    if quick and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", MEMORY)
    config.pluginmanager.register(SharedByDoctests())


@pytest.hookimpl(wrapper=True)
def pytest_collection():
    """Let no search for garbage look at the tests that are collected: a fifth of collecting, and a twentieth of the run, went there."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


class Run:
    """What one command did: its exit code and what it wrote."""

    def __init__(self, code, out, err):
        self.code = code
        self.out = out
        self.err = err


@pytest.fixture(scope="session")
def kb():
    """The shipped kb, read once."""
    return shipped()


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
    """A cache folder with the compiled kb in it, for all processes that a test run starts: none of them pays for the YAML."""
    folder = tmp_path_factory.mktemp("cache")
    cache.load_cached(None, folder)
    return folder


@pytest.fixture(scope="session")
def commands_cache(tmp_path_factory):
    """The cache folder of commands run in this process: a shop's kb in it drives nothing out of `kept_kb`."""
    return tmp_path_factory.mktemp("commands")


@pytest.fixture
def make_env(tmp_path, commands_cache, monkeypatch):
    """Return a function that makes an Env: what is typed (text, or bytes of a pipe), folders of its own, more variables.

    Commands with the cache folder that it names share the kb, and with it the network and the index, that the tests look at.
    """
    monkeypatch.setattr(cache, "load_cached", once(cache.load_cached, commands_cache))

    def make(typed="", **more):
        folders = {
            "HOME": str(tmp_path),
            "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
            "DRYFLOOR_CACHE_DIR": str(commands_cache),
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
