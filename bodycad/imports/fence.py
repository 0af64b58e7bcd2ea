"""A job on a file from outside, in a copy of this process that the system holds to a limit of time
and memory: what no count of ours foresees ends it, and not the maker's machine."""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from typing import NoReturn, TypeVar

from bodycad.errors import BodycadError, InputError
from bodycad.processes import STOPS, end_with

T = TypeVar("T")

SECONDS = 20.0
"""A drawing of an outline is read and fitted in well under one."""
MEMORY = 1 << 30
"""Bytes that the copy may ask for beyond what this process has."""
REMEDY = "save the outline alone, as plain lines, arcs and curves"


def fenced(job: Callable[[], T], thing: str, seconds: float = SECONDS) -> T:
    """What `job` returns; an InputError that it raises is raised here. Raises InputError for
    `thing` where it takes longer than `seconds`, more than MEMORY, or ends its process.

    Only Linux copies a process safely whatever libraries it holds; elsewhere the job is done here,
    under the counts that each reader keeps."""
    if sys.platform != "linux":
        return job()
    sys.stdout.flush()
    sys.stderr.flush()
    (given, taken), (watched, held), parent = os.pipe(), os.pipe(), os.getpid()
    copy = os.fork()
    if copy == 0:
        os.close(held)
        os.close(given)
        _work(job, parent, watched, taken, seconds)
    os.close(taken)
    os.close(watched)
    told, late = b"", False
    try:
        told, late = _heard(given, seconds)
    finally:
        with suppress(ProcessLookupError):
            os.kill(copy, signal.SIGKILL)
        os.waitpid(copy, 0)
        os.close(given)
        os.close(held)
    if late or not told:
        found = (
            f"one that takes longer than {seconds:g} s"
            if late
            else "one that ends the process that reads it"
        )
        raise InputError(thing, found, "a drawing of an outline", REMEDY)
    kind, answer = pickle.loads(told)
    if kind == "error":
        raise answer
    if kind != "done":
        found = answer or f"one that takes more than {MEMORY >> 20} MB"
        raise InputError(thing, found, "a drawing of an outline", REMEDY)
    found_value: T = answer
    return found_value


def _heard(given: int, seconds: float) -> tuple[bytes, bool]:
    """What the copy says, whole; and whether the time ran out before it did."""
    told: list[bytes] = []
    until = time.monotonic() + seconds
    while True:
        left = until - time.monotonic()
        if left <= 0.0 or not select.select([given], [], [], left)[0]:
            return b"", True
        part = os.read(given, 1 << 20)
        if not part:
            return b"".join(told), False
        told.append(part)


def _work(
    job: Callable[[], object], parent: int, watched: int, taken: int, seconds: float
) -> NoReturn:
    """What the copy does: the job under its limits, its answer into the pipe, and an end."""
    try:
        for number in STOPS:
            signal.signal(number, signal.SIG_IGN)
        end_with(parent, watched)
        _limited(seconds)
        try:
            answer = pickle.dumps(("done", job()))
        except BodycadError as error:
            answer = pickle.dumps(("error", error))
        except MemoryError:
            answer = pickle.dumps(("memory", None))
        except Exception as error:
            # A fault of ours, or of a library, that no count foresaw: the file is refused all the
            # same, and says which it was.
            words = " ".join(f"{type(error).__name__}: {error}".split())
            answer = pickle.dumps(("fault", f"one that breaks its reader ({words})"))
        with open(taken, "wb") as out:
            out.write(answer)
    finally:
        os._exit(0)


def _limited(seconds: float) -> None:
    import resource

    with open("/proc/self/statm", encoding="ascii") as source:
        have = int(source.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    with suppress(ValueError, OSError):  # a lower limit of the system's own stands
        resource.setrlimit(resource.RLIMIT_AS, (have + MEMORY, have + MEMORY))
    with suppress(ValueError, OSError):
        most = int(seconds) + 1
        resource.setrlimit(resource.RLIMIT_CPU, (most, most))
