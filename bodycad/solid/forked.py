"""A copy of this process that works for itself and can be waited for, like a child started by name;
it has in memory what this one has, so that nothing is loaded or handed over again."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from bodycad.solid.beside import alone

ASK = 0.02
"""Where the system cannot tell when a process ends, it is asked this often, s."""


class Forked:
    """A copy that does `job` in the directory `place`; what it says goes to the file `log`. It ends
    with this process, and hears of no interrupt but through it.

    Its methods are those of `subprocess.Popen`, for which it may stand. Linux only."""

    stdin: BinaryIO | None

    def __init__(self, job: Callable[[], None], log: Path, place: Path) -> None:
        sys.stdout.flush()
        sys.stderr.flush()
        (watched, held), parent = os.pipe(), os.getpid()
        self.returncode: int | None = None
        self.pid = os.fork()
        if self.pid == 0:
            os.close(held)
            alone(lambda: _logged(job, log, place), parent, watched)
        os.close(watched)
        self.stdin = os.fdopen(held, "wb")

    def poll(self) -> int | None:
        """Its status as `subprocess` gives it; None while it runs."""
        if self.returncode is None:
            ended, status = os.waitpid(self.pid, os.WNOHANG)
            self.returncode = os.waitstatus_to_exitcode(status) if ended else None
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """Its status when it has ended. Raises subprocess.TimeoutExpired."""
        until = None if timeout is None else time.monotonic() + timeout
        while (status := self.poll()) is None:
            left = None if until is None else until - time.monotonic()
            if left is not None and left <= 0.0:
                raise subprocess.TimeoutExpired("a copy", timeout or 0.0)
            _pause(self.pid, left)
        return status

    def kill(self) -> None:
        """End it."""
        if self.poll() is None:
            os.kill(self.pid, signal.SIGKILL)


def _logged(job: Callable[[], None], log: Path, place: Path) -> None:
    """Do a job in a directory, all that is said going to a file."""
    os.chdir(place)
    said = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    for number in (1, 2):
        os.dup2(said, number)
    # What was put in their place, as by a notebook, would say it where this process says things.
    sys.stdout = sys.stderr = os.fdopen(said, "w", 1, "utf-8", "replace")
    job()


def _pause(process: int, seconds: float | None) -> None:
    """Wait until a process has ended, or for some time."""
    try:
        end = os.pidfd_open(process)
    except OSError:
        time.sleep(ASK)
        return
    try:
        select.select([end], [], [], seconds)
    finally:
        os.close(end)
