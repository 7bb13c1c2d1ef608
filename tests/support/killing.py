"""Killing a process at its n-th write: a child is traced by the kernel, and gets SIGKILL as it enters the call.

Linux on x86-64 only; elsewhere `traced()` is False and the tests that need it are skipped.
"""

import ctypes
import os
import platform
import signal
import sys
from collections.abc import Callable

TRACEME, GETREGS, SYSCALL, SETOPTIONS = 0, 12, 24, 0x4200
EXITKILL, SYSGOOD = 0x100000, 1
ORIG_RAX = 15  # its place among the 27 registers
# write, pwrite64, writev, fsync, fdatasync, truncate, ftruncate, rename, unlink, openat, and fallocate
WRITES = {1, 18, 20, 74, 75, 76, 77, 82, 87, 257, 285, 263, 264, 316}


def traced() -> bool:
    """Whether a child can be traced here."""
    if sys.platform != "linux" or platform.machine() != "x86_64":
        return False
    try:
        return killed_at(lambda: None, 10**9)[0]
    except OSError:
        return False


def killed_at(work: Callable[[], None], point: int) -> tuple[bool, int]:
    """Run work in a child and kill it as it enters its `point`-th write (from 1); return whether it came to its end, and its writes."""
    libc = ctypes.CDLL(None, use_errno=True)
    libc.ptrace.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]
    libc.ptrace.restype = ctypes.c_long
    child = os.fork()
    if child == 0:
        code = 3
        try:
            libc.ptrace(TRACEME, 0, None, None)
            os.kill(os.getpid(), signal.SIGSTOP)
            work()
            code = 0
        finally:
            os._exit(code)
    os.waitpid(child, 0)
    if libc.ptrace(SETOPTIONS, child, None, EXITKILL | SYSGOOD) < 0:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        raise OSError(ctypes.get_errno(), "tracing is not permitted")
    registers = (ctypes.c_ulong * 27)()
    writes, entering, passed = 0, True, 0
    while True:
        libc.ptrace(SYSCALL, child, None, passed)
        _, status = os.waitpid(child, 0)
        if os.WIFEXITED(status):
            assert os.WEXITSTATUS(status) == 0, "the work failed"
            return True, writes
        if os.WIFSIGNALED(status):
            return False, writes
        passed = 0
        if os.WSTOPSIG(status) != signal.SIGTRAP | 0x80:
            passed = os.WSTOPSIG(status)
            continue
        if entering:
            libc.ptrace(GETREGS, child, None, ctypes.byref(registers))
            if registers[ORIG_RAX] in WRITES:
                writes += 1
                if writes == point:
                    os.kill(child, signal.SIGKILL)
                    os.waitpid(child, 0)
                    return False, writes
        entering = not entering
