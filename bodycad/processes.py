"""Processes that end together, a child with the process that started it; and threads that were
left."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Collection

STOPS = tuple(getattr(signal, n) for n in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, n))
"""Signals by which a maker or the system stops a command."""
GRACE = 0.5
"""Seconds that a thread has to end by itself."""
_PR_SET_PDEATHSIG = 1
"""From `linux/prctl.h`: the signal that a process gets when the thread that started it ends."""


def end_with(parent: int, pipe: int, hard: bool = True) -> None:
    """Have this process end when `parent`, the process that started it, has ended: at once where
    `hard`, else by SIGTERM.

    On Linux the system sees to it. Everywhere a thread waits for the end of the descriptor `pipe`,
    of which only the parent may hold the other side; that comes late while the interpreter is held
    in other code. The thread that started this process must outlive it."""
    if sys.platform == "linux":
        import ctypes

        number = signal.SIGKILL if hard else signal.SIGTERM
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, number, 0, 0, 0)
    threading.Thread(target=_watch, args=(pipe, hard), daemon=True).start()
    if os.name == "posix" and os.getppid() != parent:
        _end(hard)  # it ended before it was watched


def _watch(pipe: int, hard: bool) -> None:
    try:
        while os.read(pipe, 1):
            pass
    except OSError:
        pass
    _end(hard)


def _end(hard: bool) -> None:
    if hard:
        os._exit(1)
    os.kill(os.getpid(), signal.SIGTERM)


def left_running(before: Collection[threading.Thread]) -> list[str]:
    """The names of the threads that run and were not among those `before`."""
    until = time.monotonic() + GRACE
    left = [one for one in threading.enumerate() if one not in before]
    for one in left:
        one.join(max(until - time.monotonic(), 0.0))
    return [one.name for one in left if one.is_alive()]
