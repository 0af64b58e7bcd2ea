"""A copy of a process that is waited for like a child started by name."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from bodycad.solid.forked import Forked
from tests.solid.test_beside import alive, linux

ROOT = Path(__file__).parents[2]
pytestmark = linux


def copy(job, folder):
    return Forked(job, folder / "log.txt", folder)


def test_a_copy_works_in_its_folder_and_says_what_it_says_into_its_log(tmp_path, capfd):
    def job():
        Path("made").write_text("here")
        print("printed")
        os.write(2, b"by the descriptor")

    one = copy(job, tmp_path)
    assert one.wait(60.0) == 0 == one.poll()
    one.stdin.close()
    assert (tmp_path / "made").read_text() == "here"
    log = (tmp_path / "log.txt").read_text()
    assert "printed" in log and "by the descriptor" in log
    assert capfd.readouterr() == ("", "") and Path.cwd() != tmp_path


def test_a_fault_stands_last_in_the_log(tmp_path):
    def job():
        raise RuntimeError("the kernel said no")

    one = copy(job, tmp_path)
    assert one.wait() == 1
    one.stdin.close()
    log = (tmp_path / "log.txt").read_text().strip()
    assert log.endswith("RuntimeError: the kernel said no")


def test_it_is_waited_for_as_long_as_asked_and_ends_when_it_is_ended(tmp_path):
    one, since = copy(lambda: time.sleep(600.0), tmp_path), time.monotonic()
    with pytest.raises(subprocess.TimeoutExpired):
        one.wait(0.2)
    assert 0.2 <= time.monotonic() - since < 60.0 and one.poll() is None
    one.kill()
    assert one.wait(60.0) == -signal.SIGKILL
    one.kill()
    one.stdin.close()


HERE = """
import sys, time
from dataclasses import dataclass, replace
from bodycad.layout.layout import Placed
from bodycad.solid import child
from bodycad.solid.forked import Forked
from tests.sample import Loose, design

@dataclass(frozen=True)
class Own(Loose):
    "A part of a class that no other process can load."

layout = design().layout()
layout = replace(layout, placed=(*layout.placed, Placed("own", Own())))
handle = child.start(layout, sys.argv[1], claims=())
assert isinstance(handle.process, Forked), handle.process
judged = child.judged(handle)
made = child.made(handle)
print([one.status for one in made.findings], "OCP" in sys.modules, handle.job.exists())
print(judged == made, len(made.figures))
"""


def test_the_kernel_works_in_a_copy_of_a_process_that_does_not_hold_it(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", HERE, str(tmp_path)], cwd=ROOT, capture_output=True, text=True
    )
    assert done.stdout.splitlines() == ["['pass'] False False", "True 1"], done.stderr
    ends = "body.glb", "body.step", "contours.step", "layout.step"
    names = [f"sample-{end}" for end in ends]
    assert sorted(one.name for one in tmp_path.iterdir()) == names


LEAVES = """
import os, sys, time
from pathlib import Path
from bodycad.solid.forked import Forked

place = Path(sys.argv[1])
print(Forked(lambda: time.sleep(600.0), place / "log.txt", place).pid, flush=True)
time.sleep(600)
"""


def test_a_copy_ends_with_its_process(tmp_path):
    command = [sys.executable, "-c", LEAVES, str(tmp_path)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        pid = int(process.stdout.readline())
        assert alive(pid)
        process.kill()
    until = time.monotonic() + 30.0
    while alive(pid) and time.monotonic() < until:
        time.sleep(0.05)
    assert not alive(pid)
