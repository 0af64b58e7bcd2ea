"""Jobs beside the work of this process, each in a copy of it: what is in memory needs no handing
over, only the answer does."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import traceback
from collections.abc import Callable
from typing import Generic, NoReturn, TypeVar

from bodycad.processes import STOPS, end_with

T = TypeVar("T")


class Ended(Exception):
    """The copy that did the job `step` ended with `status`, which is the negative number of a
    signal where one ended it."""

    def __init__(self, step: str, status: int) -> None:
        super().__init__(f"the process that was {step} ended with status {status}")
        self.step, self.status = step, status

    def follow(self) -> NoReturn:
        """End this process as the copy was ended."""
        if self.status < 0:
            os.kill(os.getpid(), -self.status)
        os._exit(abs(self.status))


class Beside(Generic[T]):
    """A job in a copy of this process, named by its `step`; `answer` waits for what it returns.

    Only Linux copies a process safely that holds the kernel; elsewhere the job is done when its
    answer is asked for. The copy ends with this process, and hears of no interrupt but through
    it."""

    def __init__(self, step: str, job: Callable[[], T]) -> None:
        self.step, self.job, self.copy = step, job, 0
        if sys.platform != "linux":
            return
        sys.stdout.flush()
        sys.stderr.flush()
        (self.given, taken), (watched, self.held), parent = os.pipe(), os.pipe(), os.getpid()
        self.copy = os.fork()
        if self.copy == 0:
            os.close(self.held)
            _work(job, parent, watched, taken)
        os.close(taken)
        os.close(watched)

    def answer(self) -> T:
        """What the job returns. Raises Ended where its copy did not live to say it; what it said
        besides stands where this process says such things."""
        if not self.copy:
            return self.job()
        with open(self.given, "rb", closefd=False) as source:
            told = source.read()
        status = self._end()
        if status:
            raise Ended(self.step, status)
        found: T = pickle.loads(told)
        return found

    def stop(self) -> None:
        """End the copy if it still works."""
        if self.copy:
            os.kill(self.copy, signal.SIGKILL)
            self._end()

    def _end(self) -> int:
        """Wait for the copy and close what ties it to this process; the status it ended with."""
        status = os.waitstatus_to_exitcode(os.waitpid(self.copy, 0)[1])
        self.copy = 0
        os.close(self.given)
        os.close(self.held)
        return status


def _work(job: Callable[[], object], parent: int, watched: int, taken: int) -> NoReturn:
    """What a copy does: the job, its answer into the pipe, and an end of its own."""

    def told() -> None:
        answer = pickle.dumps(job())
        with open(taken, "wb") as out:
            out.write(answer)

    alone(told, parent, watched)


def alone(job: Callable[[], None], parent: int, watched: int) -> NoReturn:
    """Do a job in a process that was just copied from `parent`, and end: with that, where its end
    of the pipe `watched` is closed, and with status 1 where the job fails."""
    status = 1
    try:
        for number in STOPS:
            signal.signal(number, signal.SIG_IGN)
        end_with(parent, watched)
        job()
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)
