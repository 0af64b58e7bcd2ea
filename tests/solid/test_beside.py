"""Jobs in copies of a process: their answers, and what becomes of copies and of their process when
one of them ends early."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from bodycad.solid import child
from bodycad.solid.beside import Beside, Ended

ROOT = Path(__file__).parents[2]
linux = pytest.mark.skipif(sys.platform != "linux", reason="only Linux copies processes here")


def ended(number: int) -> None:
    os.kill(os.getpid(), number)


def broken() -> None:
    raise RuntimeError("the kernel said no")


def test_answers_come_from_what_is_in_memory():
    held = {"rows": list(range(100_000))}
    answers = [Beside(f"adding {k}", lambda k=k: sum(held["rows"]) + k) for k in range(3)]
    assert [one.answer() for one in answers] == [4999950000 + k for k in range(3)]


@linux
def test_each_job_has_a_process_of_its_own():
    first, second = (Beside("asking", os.getpid) for _ in range(2))
    assert len({first.answer(), second.answer(), os.getpid()}) == 3


@linux
def test_a_copy_that_ends_early_says_at_which_step(capfd):
    with pytest.raises(Ended) as told:
        Beside("writing a.step", lambda: ended(signal.SIGKILL)).answer()
    assert (told.value.step, told.value.status) == ("writing a.step", -signal.SIGKILL)
    with pytest.raises(Ended) as told:
        Beside("writing b.step", broken).answer()
    assert (told.value.step, told.value.status) == ("writing b.step", 1)
    assert capfd.readouterr().err.strip().endswith("RuntimeError: the kernel said no")


@linux
def test_a_copy_that_is_stopped_is_gone():
    one = Beside("waiting", lambda: time.sleep(600.0))
    copy = one.copy
    one.stop()
    one.stop()
    assert not alive(copy)


FOLLOWS = """
import os, signal, sys
from pathlib import Path
from bodycad.solid import child
from bodycad.solid.beside import Beside

end = lambda: os.kill(os.getpid(), int(sys.argv[2]))
child._answer = lambda *given: Beside("writing a.step", end).answer()
child.main(Path(sys.argv[1]))
"""


@linux
def test_the_kernels_process_ends_as_its_copy_did(tmp_path):
    (tmp_path / child.JOB).write_bytes(pickle.dumps(("make",)))
    command = [sys.executable, "-c", FOLLOWS, str(tmp_path), str(int(signal.SIGSEGV))]
    assert subprocess.run(command, cwd=ROOT, check=False).returncode == -signal.SIGSEGV
    assert (tmp_path / child.PROGRESS).read_text() == "writing a.step"
    assert not (tmp_path / child.RESULT).exists()


LEAVES = """
import os, time
from bodycad.solid.beside import Beside

for _ in range(2):
    kept = Beside("waiting", lambda: (print(os.getpid(), flush=True), time.sleep(600)))
time.sleep(600)
"""


@linux
def test_copies_end_with_their_process():
    with subprocess.Popen(
        [sys.executable, "-c", LEAVES], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as process:
        copies = [int(process.stdout.readline()) for _ in range(2)]
        assert all(map(alive, copies))
        process.kill()
    until = time.monotonic() + 30.0
    while any(map(alive, copies)) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(map(alive, copies))


def alive(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False
