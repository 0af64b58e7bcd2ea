"""The kernel in its child process: files, findings, and every way it can die."""

from __future__ import annotations

import os
import pickle
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import dataclass, replace

import pytest

from bodycad.geometry.plane.build import circle
from bodycad.layout.layout import Placed
from bodycad.solid import child
from bodycad.solid.body import BODY_COLOUR, NamedSolid, body_solid, room_solids
from bodycad.solid.glb import write_glb
from bodycad.solid.step import write_body
from tests.sample import THICKNESS, Loose, design
from tests.solid.bodies import board, pocket


@dataclass(frozen=True)
class OnlyHere:
    """A part of a class that the child cannot import."""


def slow(handle, seconds=20.0):
    """Wait until the child has said that it loads the kernel."""
    until = time.monotonic() + seconds
    while time.monotonic() < until and child._step(handle) != "loading the kernel":
        time.sleep(0.01)


def test_files_and_findings_of_the_sample(tmp_path):
    layout = design().layout()
    handle = child.start(layout, tmp_path)
    assert handle.process.poll() is None, "start waits"
    (found,) = child.finish(handle)
    assert found.status == "pass" and found.check == "solid" and found.subjects == ("body",)
    names = sorted(child.files_of("sample", shaped=True))
    assert sorted(p.name for p in tmp_path.iterdir()) == names
    assert not handle.job.exists()
    other = tmp_path / "here" / "sample-body.step"
    other.parent.mkdir()
    write_body(body_solid(layout), other, "sample-body", THICKNESS)
    assert other.read_bytes() == (tmp_path / "sample-body.step").read_bytes()
    things = (NamedSolid("body", BODY_COLOUR, body_solid(layout)), *room_solids(layout))
    write_glb(things, other.parent / "sample-body.glb", "sample")
    assert (other.parent / "sample-body.glb").read_bytes() == (
        tmp_path / "sample-body.glb"
    ).read_bytes()


def test_faults_come_back_as_findings_that_name_the_void(tmp_path):
    layout = board(
        pocket("lost", circle(10, 300, 0), 10.0),
        pocket("nil.pocket", circle(10), 1e-8, -5.0, opens=""),
    )

    @dataclass(frozen=True)
    class Own(Loose):
        """A part that cannot go to another process: only this function knows its class."""

    layout = replace(layout, placed=(Placed("p", Own()),), parameters={"f": lambda: None})
    found = child.finish(child.start(layout, tmp_path))
    assert [(f.status, f.subjects) for f in found if f.status != "warn"] == [
        ("fail", ("lost",)),
        ("fail", ("nil.pocket",)),
        ("error", ("nil.pocket",)),
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_killed_child_names_signal_and_step(tmp_path):
    handle = child.start(design().layout(), tmp_path)
    slow(handle)
    os.kill(handle.process.pid, signal.SIGSEGV)
    (found,) = child.finish(handle)
    assert (
        found.status == "error"
        and "ended by SIGSEGV while it was loading the kernel" in found.text
        and found.cure
    )


def test_a_slow_child_is_ended_at_the_limit(tmp_path):
    handle = child.start(design().layout(), tmp_path, time_limit=0.3)
    (found,) = child.finish(handle)
    assert handle.process.poll() is not None
    assert found.status == "error" and "did not finish within 0.3 s; it was" in found.text
    assert not handle.job.exists()


def test_stop_ends_it_and_cleans_up(tmp_path):
    handle = child.start(design().layout(), tmp_path)
    child.stop(handle)
    assert handle.process.poll() is not None and not handle.job.exists()


def test_a_machine_without_libgl_is_told_the_package(tmp_path, monkeypatch):
    fake = tmp_path / "fake" / "OCP"
    fake.mkdir(parents=True)
    (fake / "__init__.py").write_text(
        "raise ImportError('libGL.so.1: cannot open shared object file: No such file or directory')"
    )
    monkeypatch.setenv("PYTHONPATH", str(fake.parent))
    (found,) = child.finish(child.start(design().layout(), tmp_path))
    assert (
        found.status == "error"
        and "the kernel needs libGL.so.1" in found.text
        and "loading the kernel" in found.text
    )
    assert found.cure == "install it: apt-get install libgl1"


@pytest.mark.parametrize(
    "message, said, cure",
    [
        (
            "ImportError: libX11.so.6: cannot open shared object file: No such file",
            "needs libX11.so.6",
            "libx11-6",
        ),
        (
            "ImportError: libfoo.so.1: cannot open shared object file",
            "needs libfoo.so.1",
            "package that holds that library",
        ),
        (
            "ModuleNotFoundError: No module named 'cadquery'",
            "not installed",
            "pip install 'cadquery>=2.8,<2.9'",
        ),
        ("MemoryError", "MemoryError", "run again"),
        ("", "said nothing", "run again"),
    ],
)
def test_failures_are_explained(message, said, cure):
    text, remedy = child.explained(message)
    assert said in text and cure in remedy


def test_findings_survive_the_way_back():

    from bodycad.checks.finding import Finding

    one = Finding(
        "solid",
        "warn",
        ("a", "b"),
        "text",
        1.0,
        0.1,
        2.0,
        3.0,
        True,
        "mm3",
        ((0.0, 1.0, 2.0), (3.0, 4.0, 5.0)),
        "cure",
    )
    assert pickle.loads(pickle.dumps(one)) == one


def test_a_used_layout_still_pickles():
    layout = design().layout()
    layout.by_id, layout.skin.outline.area, [v.shape.box for v in layout.voids]
    back = pickle.loads(pickle.dumps(child._slim(layout)))
    assert [v.id for v in back.voids] == [
        v.id for v in layout.voids
    ] and back.skin.outline.area == layout.skin.outline.area


def test_the_parent_side_never_loads_the_kernel():
    code = (
        "import bodycad.solid.child, sys; "
        "print([m for m in sys.modules if m.split('.')[0] in ('cadquery', 'OCP', 'ezdxf')])"
    )
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=os.getcwd()
    )
    assert out.stdout.strip() == "[]"


STARTS = """
import sys, time
from bodycad.solid import child
from tests.sample import design
handle = child.start(design().layout(), sys.argv[1])
print(handle.process.pid, handle.job, flush=True)
time.sleep(60)
"""


def runs(pid):
    """Whether a process runs; one that has ended and was not yet asked for does not."""
    try:
        with open(f"/proc/{pid}/stat", encoding="ascii", errors="replace") as found:
            return found.read().rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


@pytest.mark.skipif(not os.path.exists("/proc/self/stat"), reason="asks the system's /proc")
def test_a_child_ends_with_a_killed_parent(tmp_path):
    """No kernel goes on by itself where the parent is killed and cannot stop it."""
    command = [sys.executable, "-c", STARTS, str(tmp_path)]
    parent = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=os.getcwd())
    pid, job = parent.stdout.readline().split()
    assert runs(int(pid))
    parent.kill()
    parent.wait()
    parent.stdout.close()
    until = time.monotonic() + 10.0
    while runs(int(pid)) and time.monotonic() < until:
        time.sleep(0.02)
    assert not runs(int(pid))
    shutil.rmtree(job)
