"""A command runs in a process of its own under this one, which outlives it and puts right what it
leaves.

A design script may end its process (`os._exit`), a library may crash it, the system may kill it:
this process then removes what is half done beside the build, says in one line how the other ended,
and returns a status that promises nothing. Where this process is killed, the other is told to
stop.
"""

from __future__ import annotations

import math
import os
import select
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import FrameType

from bodycad.cli import console
from bodycad.processes import STOPS, end_with, left_running

Placing = Callable[[Path, str], None]

LEAVING_SECONDS = 5.0
"""A process that has done its work is ended after this."""
LETTING_GO_SECONDS = 2.0
"""So long copies of a dead process may take to end, which end with it."""


class Stopped(KeyboardInterrupt):
    """A signal stopped the command."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def supervised(work: Callable[[Placing], int]) -> int:
    """The exit status of `work`, done in a process under this one; here where the system has no
    such. `work` is given what it calls with the folder and the name of each build beside which it
    makes files."""
    if not hasattr(os, "fork"):
        return work(lambda place, name: None)
    told, tell = os.pipe()
    watched, held = os.pipe()  # nothing is written: its end tells that this process ended
    mine = os.getpid()
    worker = os.fork()
    if worker:
        os.close(tell)
        os.close(watched)
        return _outlived(worker, told)
    os.close(told)
    os.close(held)
    _stoppable()
    end_with(mine, watched, hard=False)
    import threading

    threads = set(threading.enumerate())

    def say(line: str) -> None:
        with suppress(OSError):
            os.write(tell, f"{line}\n".encode("ascii"))

    status = work(lambda place, name: say(f"place {os.fsencode(place).hex()} {name}"))
    say(f"end {status}")
    if left_running(threads):
        sys.stdout.flush()
        os._exit(status)  # the interpreter would wait for them
    return status


def _stoppable() -> None:
    """Have each signal that stops raise one `Stopped`; those that were ignored stay so."""
    numbers = [one for one in STOPS if signal.getsignal(one) != signal.SIG_IGN]

    def stop(number: int, _: FrameType | None) -> None:
        for one in numbers:
            signal.signal(one, signal.SIG_IGN)  # a second one must not break into the clearing up
        raise Stopped(number)

    for one in numbers:
        signal.signal(one, stop)


def _outlived(worker: int, told: int) -> int:
    """Wait for the worker, hand signals on to it, and put right what it left."""
    for number in STOPS:
        if signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, lambda number, _: _hand_on(worker, number))
    text, status = b"", None
    while status is None:
        # A script's own children may hold the pipe: its end is not waited for alone.
        if select.select([told], [], [], 0.5)[0]:
            piece = os.read(told, 65536)
            text += piece
            if b"end " in text:
                status = _waited(worker, LEAVING_SECONDS)
            elif not piece:
                status = _waited(worker)
        else:
            ended, code = os.waitpid(worker, os.WNOHANG)
            status = code if ended else None
    rows = [line.split() for line in text.decode("ascii").splitlines()]
    ends = [int(row[1]) for row in rows if row[0] == "end"]
    if ends:
        return ends[0]
    for row in rows:
        with suppress(Exception):
            _swept(Path(os.fsdecode(bytes.fromhex(row[1]))), row[2])
    if os.WIFSIGNALED(status):
        number = os.WTERMSIG(status)
        name = signal.Signals(number).name if number in set(signal.Signals) else f"signal {number}"
        console.message(f"ended by {name}; nothing half done was left")
        return 128 + number
    code = os.WEXITSTATUS(status)
    console.message(
        f"the design's own code ended the program (status {code}); allowed: code that runs to its "
        "end and returns. Take os._exit and the like out of it"
    )
    return 2


def _swept(place: Path, name: str) -> None:
    """Put right what the worker left beside a build, once its copies have let go of it."""
    from bodycad.exports import stage

    until = time.monotonic() + LETTING_GO_SECONDS
    while not stage.sweep(place, name) and time.monotonic() < until:
        time.sleep(0.02)


def _waited(worker: int, seconds: float = math.inf) -> int:
    """The worker's wait status; one that does not end by itself within `seconds` is ended."""
    until = time.monotonic() + seconds
    while seconds < math.inf and time.monotonic() < until:
        ended, status = os.waitpid(worker, os.WNOHANG)
        if ended:
            return status
        time.sleep(0.002)
    if seconds < math.inf:
        os.kill(worker, signal.SIGKILL)
    return os.waitpid(worker, 0)[1]


def _hand_on(worker: int, number: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(worker, number)
