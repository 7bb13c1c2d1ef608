"""A PostgreSQL server of the tests' own: a cluster in a temporary folder, reached by a socket in it, as its own user.

A machine without Debian's package `postgresql`, or without psycopg, skips those tests and says so in a warning at the end of the run; where CI is `true`
in the environment they fail instead. `.ci/run` brings both where it can. DRYFLOOR_POSTGRES names the folder of another server's programs.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

from tests.support.missing import missing

USERS = ("postgres", "nobody")  # whom a server runs as where the tests run as root: it refuses to be root itself
SPEED = ("fsync=off", "full_page_writes=off")  # no test of the quick run pulls a plug
SETTINGS = (
    "listen_addresses=",
    "unix_socket_permissions=0777",
    "max_connections=100",
    "shared_buffers=16MB",
    "autovacuum=off",
    "recovery_init_sync_method=syncfs",  # one call after a kill, in place of one a file
)


def programs():
    """The folder of a server's programs, or None."""
    named = os.environ.get("DRYFLOOR_POSTGRES")
    found = (
        [Path(named)] if named else sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: int(p.parent.name))
    )
    found += [Path(p).parent for p in (shutil.which("postgres"),) if p]
    return next((folder for folder in reversed(found) if (folder / "initdb").exists()), None)


class Cluster:
    """A server that was started; `stop` ends it and removes it.

    Parameters
    ----------
    through : bool
        Whether it writes through to the disk, as one that is killed must.
    """

    def __init__(self, through=False):
        self.bin = programs()
        if self.bin is None:
            missing("NOT TESTED ON A SERVER", "no PostgreSQL on this machine", "Install Debian's package postgresql.")
        try:
            import psycopg  # noqa: F401
        except ImportError:
            missing("NOT TESTED ON A SERVER", "no psycopg for this Python", "Install the extra dryfloor[shop].")
        self.folder = Path(tempfile.mkdtemp(prefix="dryfloor-pg-", dir="/tmp"))
        self.user = None
        if os.geteuid() == 0:
            self.user = next(u for u in USERS if u in {p.pw_name for p in pwd.getpwall()})
            shutil.chown(self.folder, self.user)
        self.folder.chmod(0o755)
        self.data = self.folder / "data"
        self.disk = None  # a small disk for tables, where a test mounts one
        self.settings = [f"unix_socket_directories={self.folder}", *SETTINGS, *(() if through else SPEED)]
        self.run("initdb", "-D", self.data, "-U", "shop", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
        self.start()

    def run(self, program, *args):
        """Run one of the server's programs as its user."""
        command = [str(self.bin / program), *map(str, args)]
        if self.user:
            command = [
                "setpriv",
                f"--reuid={self.user}",
                f"--regid={pwd.getpwnam(self.user).pw_gid}",
                "--clear-groups",
                *command,
            ]
        done = subprocess.run(command, check=False, cwd=self.folder, capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, done.stderr + done.stdout

    def start(self):
        """Start it, and wait until it answers."""
        options = " ".join(f"-c '{setting}'" for setting in self.settings)
        self.run("pg_ctl", "-D", self.data, "-w", "-l", self.folder / "log", "-o", options, "start")

    def halt(self, how="fast"):
        """Stop it; `immediate` is as a plug that is pulled."""
        self.run("pg_ctl", "-D", self.data, "-w", "-m", how, "stop")

    def url(self, database="postgres"):
        """The address of one of its databases."""
        return f"postgresql:///{database}?host={self.folder}&user=shop"

    def database(self, name):
        """Make an empty database, and return its address."""
        import psycopg

        with psycopg.connect(self.url(), autocommit=True) as db:
            db.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
            db.execute(f'CREATE DATABASE "{name}"')
        return self.url(name)

    def on_disk(self, name):
        """Put the tables of a database onto the small disk; nobody may be connected to it, so whoever is is cut off."""
        import psycopg

        with psycopg.connect(self.url(), autocommit=True) as db:
            if not db.execute("SELECT 1 FROM pg_tablespace WHERE spcname='small'").fetchone():
                db.execute(f"CREATE TABLESPACE small LOCATION '{self.disk}'")
            db.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS false')
            try:
                db.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname=%s", (name,))
                for _ in range(50):
                    if not db.execute("SELECT 1 FROM pg_stat_activity WHERE datname=%s", (name,)).fetchone():
                        break
                    time.sleep(0.1)
                db.execute(f'ALTER DATABASE "{name}" SET TABLESPACE small')
            finally:
                db.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS true')

    def stop(self):
        """End it and remove all of it."""
        try:
            self.halt("immediate")
        except (AssertionError, subprocess.TimeoutExpired):
            time.sleep(0.1)  # it was stopped by its test
        shutil.rmtree(self.folder, ignore_errors=True)
