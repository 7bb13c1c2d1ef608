"""Who holds a case: this process, one that is alive, one that is gone, one on another machine."""

import os
import socket
import subprocess
import sys

import pytest

from dryfloor.cli.store.database import lock
from dryfloor.cli.store.database.lock import alive, boot, born, can_tell, elsewhere, host, me
from tests.support.places import ROOT


@pytest.fixture
def child():
    made = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    yield made
    made.communicate(b"\n")


def test_this_machine_has_the_name_that_the_network_knows():
    assert host() == socket.gethostname()


def test_this_process_is_not_elsewhere():
    assert me() == (host(), os.getpid(), born(os.getpid()), boot())
    assert not elsewhere(me())
    assert not elsewhere(None)


def test_a_process_holds_while_it_lives(child):
    holder = (host(), child.pid, born(child.pid))
    assert holder[2]
    assert elsewhere(holder)
    child.kill()
    child.wait()
    assert not elsewhere(holder)


def test_another_process_with_the_number_holds_nothing(child):
    assert not alive(host(), child.pid, "0")
    assert alive(host(), str(child.pid), born(child.pid))


def test_who_is_on_another_machine_is_taken_to_be_at_work(child):
    child.kill()
    child.wait()
    assert elsewhere(("attic", child.pid, "0"))


@pytest.mark.skipif(not born(os.getpid()), reason="this system does not say when a process began")
def test_a_process_that_was_killed_and_not_yet_waited_for_holds_nothing(child):
    holder = (host(), child.pid, born(child.pid))
    child.kill()
    os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)  # it has ended, and its number is still taken
    os.kill(child.pid, 0)
    assert not elsewhere(holder)


HERE = "1b9d6bcd-bbfd-4b2d-9b5d-ab8dfbbd4bed pid:[4026531836]"
CONTAINER = "1b9d6bcd-bbfd-4b2d-9b5d-ab8dfbbd4bed pid:[4026532501]"
BEFORE = "6ec0bd7f-11c0-43da-975e-2a8ad9ebae0b pid:[4026531836]"


@pytest.mark.parametrize(
    ("machine", "started", "told", "at_work"),
    [
        ("here", HERE, True, False),
        ("attic", HERE, True, False),  # this machine, when it had another name
        ("here", BEFORE, True, False),  # this machine, before it was started anew
        ("here", "", True, False),  # a mark of before there were boots
        ("attic", "", False, True),
        ("attic", BEFORE, False, True),
        ("attic", CONTAINER, False, True),  # whose number 4711 is not ours
        ("here", CONTAINER, False, True),
    ],
)
def test_a_dead_process_holds_where_nothing_can_be_known_of_it(monkeypatch, machine, started, told, at_work):
    gone = 2**22 + 7  # beyond the largest number that a process may have
    monkeypatch.setattr(lock, "host", lambda: "here")
    monkeypatch.setattr(lock, "boot", lambda: HERE)
    assert can_tell(machine, started) == told
    assert alive(machine, gone, "1", started) == at_work
    if told and started != BEFORE:
        assert alive(machine, os.getpid(), born(os.getpid()), started)


def test_where_the_system_says_nothing_of_its_boot_the_name_counts(monkeypatch):
    monkeypatch.setattr(lock, "host", lambda: "here")
    monkeypatch.setattr(lock, "boot", lambda: "")
    assert (can_tell("here", HERE), can_tell("attic", HERE)) == (True, False)
    assert alive("here", os.getpid(), born(os.getpid()), HERE)


@pytest.mark.skipif(not lock.BOOT.exists(), reason="this system does not say of its boot")
def test_the_boot_is_that_of_the_system_and_stays():
    assert boot() == boot()
    assert boot().split()[0] == lock.BOOT.read_text().strip()
    done = subprocess.run(
        [sys.executable, "-c", "from dryfloor.cli.store.database.lock import boot; print(boot())"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == boot()
