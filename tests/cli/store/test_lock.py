"""Who holds a case: this process, one that is alive, one that is gone, one on another machine."""

import os
import socket
import subprocess
import sys

import pytest

from dryfloor.cli.store.lock import alive, born, elsewhere, host, me


@pytest.fixture
def child():
    made = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    yield made
    made.communicate(b"\n")


def test_this_machine_has_the_name_that_the_network_knows():
    assert host() == socket.gethostname()


def test_this_process_is_not_elsewhere():
    assert me() == (host(), os.getpid(), born(os.getpid()))
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
