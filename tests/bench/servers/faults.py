"""What goes wrong while desks answer: each fault is brought about once, and ended, on a cluster and servers of the tests' own."""

import asyncio
import contextlib
import os
import shutil
import signal
import subprocess
from pathlib import Path

DOWN_S = 2.0  # what is stopped stays down so long [s]
FULL_S = 6.0  # and what is full stays full, for tables have some room left [s]
DISK_MB = 64  # of a disk that fills


async def server_killed(fleet, cluster):
    """Each server gets SIGKILL in turn, and is started again."""
    for server in fleet.servers:
        server.kill()
        await asyncio.sleep(DOWN_S)
        await asyncio.to_thread(server.start)


async def database_stopped(fleet, cluster):
    """The database is stopped within writes, as a plug that is pulled, and started again."""
    await asyncio.to_thread(cluster.halt, "immediate")
    await asyncio.sleep(DOWN_S)
    await asyncio.to_thread(cluster.start)


async def postmaster_killed(fleet, cluster):
    """The database's first process gets SIGKILL; its children end by themselves, and it is started again."""
    os.kill(int((cluster.data / "postmaster.pid").read_text().split()[0]), signal.SIGKILL)
    await asyncio.sleep(DOWN_S)
    for _ in range(100):  # until the last child has let go of what they share
        try:
            await asyncio.to_thread(cluster.start)
            return
        except AssertionError:
            await asyncio.sleep(0.2)
    raise AssertionError("it does not start again")


async def connections_cut(fleet, cluster):
    """Every connection of the servers is cut, thirty times."""
    import psycopg

    with psycopg.connect(cluster.url(), autocommit=True) as db:
        for _ in range(30):
            db.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name='dryfloor'")
            await asyncio.sleep(0.1)


async def disk_full(fleet, cluster):
    """The disk of the tables is filled to the last byte, and freed."""
    full = cluster.disk / "full"
    size = shutil.disk_usage(cluster.disk).free
    with open(full, "wb") as file, contextlib.suppress(OSError):
        while True:
            file.write(bytes(min(size, 1 << 16)))
            file.flush()
    await asyncio.sleep(FULL_S)
    full.unlink()


FAULTS = {
    "each server killed (-9) in turn": server_killed,
    "PostgreSQL stopped within writes": database_stopped,
    "PostgreSQL's postmaster killed (-9)": postmaster_killed,
    "all connections cut, 30 times": connections_cut,
    "the disk full": disk_full,
}


@contextlib.contextmanager
def disk(cluster):
    """Give a cluster a small disk for its tables (`cluster.disk`), in memory; None where this user may not mount one."""
    place = Path(cluster.folder) / "disk"
    place.mkdir()
    owner = f",uid={_id('-u', cluster)},gid={_id('-g', cluster)},mode=700" if cluster.user else ""
    options = f"size={DISK_MB}m{owner}"
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)], capture_output=True, check=False
    )
    cluster.disk = place if done.returncode == 0 else None
    try:
        yield cluster.disk
    finally:
        if cluster.disk:
            subprocess.run(["umount", "-l", str(place)], check=False)


def _id(which, cluster):
    return subprocess.run(["id", which, cluster.user], capture_output=True, text=True, check=True).stdout.strip()
