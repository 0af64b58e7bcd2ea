"""Jobs beside the work of this process, each in a copy of it: what is in memory needs no handing
over, only the answer does."""

from __future__ import annotations

import os
import pickle
import sys
import traceback
from collections.abc import Callable
from typing import NoReturn, TypeVar

from bodycad.processes import end_with

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


def beside(step: str, job: Callable[[], T]) -> Callable[[], T]:
    """Start `job`, named by its `step`, in a copy of this process, and return what waits for its
    answer.

    Only Linux copies a process safely that holds the kernel; elsewhere the job is done when its
    answer is asked for. The copy ends with this process. The answer raises Ended where the copy did
    not live to give it; what it said stands in this process's own log."""
    if sys.platform != "linux":
        return job
    sys.stdout.flush()
    sys.stderr.flush()
    (given, taken), (watched, held), parent = os.pipe(), os.pipe(), os.getpid()
    copy = os.fork()
    if copy == 0:
        status = 1
        try:
            os.close(held)
            end_with(parent, watched)
            found = pickle.dumps(job())
            with open(taken, "wb") as out:
                out.write(found)
            status = 0
        except BaseException:
            traceback.print_exc()
            sys.stderr.flush()
        finally:
            os._exit(status)
    os.close(taken)
    os.close(watched)

    def answer() -> T:
        with open(given, "rb") as source:
            told = source.read()
        status = os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1])
        os.close(held)
        if status:
            raise Ended(step, status)
        said: T = pickle.loads(told)
        return said

    return answer
