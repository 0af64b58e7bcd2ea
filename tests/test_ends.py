"""How commands end: whatever the design's own code does, whatever becomes of the streams and the
processes, the exit status tells the truth and stdout holds results alone."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.exports.test_report_files import contents
from tests.oracle.kills import heard
from tests.solid.test_child import runs

ROOT = Path(__file__).parents[1]
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="asks a system with fork")

PART = """
import os, signal, sys, threading, time
from dataclasses import dataclass, replace
from bodycad import Placed
from tests.exports import quick
from tests.sample import Loose, design as sample
{top}

quick.patch(setattr)

def act():
    {act}

@dataclass(frozen=True)
class Own(Loose):
    def voids(self, *given):
        {voids}
        return ()
    def rooms(self, *given):
        {rooms}
        return ()
    def interfaces(self, *given):
        {interfaces}
        return ()

def design(left_handed: bool = False):
    {design}
    made = sample(left_handed=left_handed)
    return replace(made, parts=(*made.parts, Placed("own", Own())))
"""
QUESTIONS = ("design", "voids", "rooms", "interfaces")


def script(folder, where="design", act="pass", top=""):
    """A design whose own code does `act` in one place; its builds are quick."""
    words = {one: "act()" if one == where else "pass" for one in QUESTIONS}
    path = folder / "body.py"
    path.write_text(PART.format(act=act, top=top, **words))
    return path


def bodycad(*argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=None, shell=""):
    """A finished run of the command; `shell` are redirections."""
    words = [sys.executable, "-m", "bodycad", *map(str, argv)]
    if shell:
        words = ["sh", "-c", f'exec "$@" {shell}', "sh", *words]
    paths = f"{ROOT}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"
    return subprocess.run(
        words,
        stdout=stdout,
        stderr=stderr,
        text=True,
        cwd=cwd or ROOT,
        env={**os.environ, "PYTHONPATH": paths},
        timeout=60,
    )


WAYS = {
    "sys.exit(0)": "SystemExit: 0",
    "sys.exit()": "SystemExit",
    "sys.exit('enough')": "SystemExit: enough",
    "raise GeneratorExit": "GeneratorExit",
    "raise type('Odd', (BaseException,), {})('x')": "Odd: x",
    "1 / 0": "ZeroDivisionError",
    "threading.Thread(target=time.sleep, args=(99,), name='idle').start()": "thread idle running",
    "os._exit(0)": "ended the program (status 0)",
    "os._exit(1)": "ended the program (status 1)",
}


# Voids and rooms are asked as interfaces are: two ways out of them will do.
@pytest.mark.parametrize(
    "where, way",
    [
        (where, way)
        for way in WAYS
        for where in QUESTIONS
        if where in ("design", "interfaces") or way in ("sys.exit(0)", "os._exit(0)")
    ],
)
def test_no_way_out_of_a_script_is_a_verdict(tmp_path, where, way):
    """Exit status 2, nothing on stdout, one line that names the script's own line."""
    done = bodycad("build", script(tmp_path, where, way), "--out", tmp_path / "out")
    assert (done.returncode, done.stdout) == (2, ""), done
    assert done.stderr.count("\n") == 1 and WAYS[way] in done.stderr and len(done.stderr) < 400
    if "_exit" not in way and "Thread" not in way:
        assert "body.py, line 12" in done.stderr
        assert where == "design" or f"{where} of the part " in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_part_in_a_file_beside_the_script_is_named_with_its_line(tmp_path):
    path = script(tmp_path, "interfaces", "sys.exit(0)")
    path.rename(tmp_path / "shelf.py")
    path.write_text("from shelf import design\n")
    done = bodycad("check", path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "interfaces of the part " in done.stderr and "(shelf.py, line 12)" in done.stderr


def test_a_note_of_the_makers_own_is_no_part(tmp_path):
    path = tmp_path / "body.py"
    path.write_text("error = ValueError('no')\nerror.add_note('mine')\nraise error\n")
    done = bodycad("check", path)
    assert done.returncode == 2 and "mine" not in done.stderr
    assert f"the script {path}, line 3 is 'ValueError: no'" in done.stderr


def test_a_part_that_leaves_later_is_no_verdict_either(tmp_path):
    """In a body as built, long after it was laid out."""
    act = "sys.exit(0) if sys._getframe(2).f_code.co_filename.endswith('built.py') else None"
    path = script(tmp_path, "rooms", act)
    path.write_text(path.read_text().replace("quick.patch(setattr)", ""))
    done = bodycad("check", path, "--no-cures", "--chance", "10")
    assert (done.returncode, done.stdout) == (2, "")
    assert re.search(r"at body.py line 12 is 'SystemExit: 0'", done.stderr)


def test_the_keyboard_is_no_fault_of_the_script(tmp_path):
    done = bodycad("check", script(tmp_path, act="raise KeyboardInterrupt"))
    assert (done.returncode, done.stdout) == (130, "") and "stopped" in done.stderr


def test_a_process_that_crashes_says_so(tmp_path):
    """The system ends it: the line names the signal, the status is no verdict."""
    path = script(tmp_path, act="os.kill(os.getpid(), signal.SIGSEGV)")
    done = bodycad("check", path)
    assert (done.returncode, done.stdout) == (128 + signal.SIGSEGV, "")
    assert done.stderr == "bodycad: ended by SIGSEGV; nothing half done was left\n"


PRINTS = """print("by print"); sys.stdout.write("by write\\n")
    sys.stdout.buffer.write(b"by buffer\\n")
    sys.stdout.flush(); os.system("echo by a child"); os.write(1, b"by descriptor\\n")
    print("by its own", file=sys.__stdout__, flush=True)"""


@pytest.mark.parametrize(
    "command, where", [("check", "interfaces"), *(("build", where) for where in QUESTIONS)]
)
def test_what_a_script_prints_goes_to_stderr(tmp_path, where, command):
    """In any way, so that the document on stdout stays one."""
    path = script(tmp_path, where, PRINTS)
    more = ["--out", tmp_path / "out"] if command == "build" else ["--no-cures"]
    done = bodycad(command, path, "--json", *more)
    assert json.loads(done.stdout)["design"] == "sample"
    said = ("print", "write", "buffer", "a child", "descriptor", "its own")
    assert all(f"by {way}\n" in done.stderr for way in said), done.stderr


@pytest.mark.parametrize("where", QUESTIONS)
def test_a_script_that_moves_moves_neither_itself_nor_the_files(tmp_path, where):
    (tmp_path / "elsewhere").mkdir()
    script(tmp_path, where, f"os.chdir({str(tmp_path / 'elsewhere')!r})")
    done = bodycad("build", "body.py", "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done
    assert done.stdout.splitlines()[-1] == f"Files: out{os.sep}sample{os.sep}"
    assert (tmp_path / "out" / "sample" / "report.json").exists()
    assert os.listdir(tmp_path / "elsewhere") == []


def test_a_script_knows_where_it_lies(tmp_path):
    """Its `__file__` stays true when it moves."""
    act = "os.chdir('/'); assert os.path.samefile(__file__, HERE)"
    script(tmp_path, act=act, top=f"HERE = {str(tmp_path / 'body.py')!r}")
    assert bodycad("build", "body.py", cwd=tmp_path).returncode == 0


full = pytest.mark.skipif(not os.path.exists("/dev/full"), reason="asks for /dev/full")


@full
@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_full_stdout_is_no_reason_to_say_that_nothing_was_written(tmp_path, more):
    """The files are there: the status stays the verdict's, and a line says what was not printed."""
    path = script(tmp_path)
    done = bodycad("build", path, "--out", tmp_path / "out", *more, shell=">/dev/full")
    assert done.returncode == 0 and (tmp_path / "out" / "sample" / "report.json").exists()
    assert done.stderr.count("\n") == 1 and "No space left on device" in done.stderr
    assert f"Files: {tmp_path / 'out' / 'sample'}" in done.stderr


@full
@pytest.mark.parametrize("argv", [["check"], ["check", "--json"], ["--version"], ["--help"]])
def test_a_full_stdout_is_no_verdict_where_that_is_all_there_is(tmp_path, argv):
    path = [script(tmp_path), "--no-cures"] if argv[0] == "check" else []
    done = bodycad(*argv, *path, shell=">/dev/full")
    assert done.returncode == 2 and done.stderr.count("\n") == 1
    assert "could not be written to stdout (No space left on device)" in done.stderr


@pytest.mark.parametrize(
    "command, closed",
    [
        ("check", ">&- 2>&-"),
        *(("build", closed) for closed in (">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-")),
    ],
)
def test_closed_streams_change_no_status_and_reach_no_file(tmp_path, closed, command):
    """What is printed there must not end up in a file that got the descriptor."""
    path = script(tmp_path, act=PRINTS)
    out = ["--out", tmp_path / "out"] if command == "build" else []
    done = bodycad(command, path, "--no-cures", *out, shell=closed)
    assert done.returncode == (0 if out else 1), "the verdict, for these builds ask nothing"
    if out:
        clean = bodycad("build", script(tmp_path), "--out", tmp_path / "clean")
        assert clean.returncode == 0
        assert contents(tmp_path / "out") == contents(tmp_path / "clean")


@pytest.mark.parametrize("streams", ["2>&-", ">&- 2>&-", "2>/dev/full"])
@pytest.mark.parametrize("argv", [["check", "none.py"], ["build", "SCRIPT"], ["bogus"]])
def test_unusable_input_is_2_though_nobody_can_be_told(tmp_path, streams, argv):
    path = script(tmp_path, act="sys.exit(0)")
    done = bodycad(*[path if word == "SCRIPT" else word for word in argv], shell=streams)
    assert done.returncode == 2


@pytest.mark.parametrize(
    "most, status, said", [(60_000, 2, "File too large; nothing"), (300_000, 1, "Files: none; ")]
)
def test_a_limit_on_the_size_of_files_publishes_nothing_cut_off(tmp_path, most, status, said):
    """The drawings meet it, or the kernel's files alone: the earlier build stays as it was."""
    import resource

    path = script(tmp_path)
    assert bodycad("build", path, "--out", tmp_path / "out").returncode == 0
    before = contents(tmp_path / "out")
    # Coarse grids of heights, so that they are smaller than the kernel's files.
    path.write_text(
        "from dataclasses import replace\nfrom tests import sample\n"
        "def design():\n    made = sample.design()\n"
        "    return replace(made, shop=replace(made.shop, grid=5.0))\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "bodycad", "build", path, "--no-cures", "--out", tmp_path / "out"],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
        capture_output=True,
        text=True,
        cwd=ROOT,
    )
    assert done.returncode == status and said in done.stdout + done.stderr
    assert contents(tmp_path / "out") == before and os.listdir(tmp_path / "out") == ["sample"]


def started(tmp_path, path, *more):
    """A build that has begun to make its files, in a session of its own."""
    words = [sys.executable, "-m", "bodycad", "build", str(path), "--out", str(tmp_path / "out")]
    process = subprocess.Popen(
        [*words, *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        start_new_session=True,
        preexec_fn=heard,
    )
    until = time.monotonic() + 30.0
    while not list((tmp_path / "out").glob(".sample-*.part/new/report.json")):
        assert process.poll() is None and time.monotonic() < until, process.communicate()
        time.sleep(0.01)
    return process


def worker_of(process):
    """The process at work under a command's."""
    (found,) = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
    return int(found)


WAITS = """
import bodycad.exports.listed as listed
write_list = listed.write_list
def slow(*given):
    if os.environ.get("WAIT"):
        time.sleep(60)
    return write_list(*given)
listed.write_list = slow
"""


@pytest.fixture(scope="module")
def earlier(tmp_path_factory):
    """The folder of a whole build."""
    folder = tmp_path_factory.mktemp("earlier")
    assert bodycad("build", script(folder, top=WAITS), "--out", folder / "out").returncode == 0
    return folder / "out"


@pytest.fixture
def half(tmp_path, monkeypatch, earlier):
    """A build over an earlier one that waits where it has made all its files."""
    path = script(tmp_path, top=WAITS)
    shutil.copytree(earlier, tmp_path / "out")
    (tmp_path / "out" / "sample" / "mine.txt").write_text("mine")
    before = contents(tmp_path / "out")
    monkeypatch.setenv("WAIT", "1")
    return started(tmp_path, path, "--set", "left_handed=yes"), before


@pytest.mark.skipif(not os.path.exists("/proc/self/task"), reason="asks the system's /proc")
@pytest.mark.parametrize("whom", ["the command", "the work", "both"])
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP", "SIGKILL"])
def test_a_build_that_is_stopped_leaves_nothing(tmp_path, half, whom, name):
    """The keyboard, a closed terminal, a kill of either process: the earlier build, and nothing
    that runs or lies about. Where both are killed at once, the next build clears up."""
    process, before = half
    worker, number = worker_of(process), getattr(signal, name)
    if whom == "both":
        os.killpg(process.pid, number)
    else:
        os.kill(process.pid if whom == "the command" else worker, number)
    out, err = process.communicate(timeout=10)
    until = time.monotonic() + 10.0
    while time.monotonic() < until and (runs(worker) or contents(tmp_path / "out") != before):
        if whom == "both" and name == "SIGKILL" and not runs(worker):
            break
        time.sleep(0.02)
    assert not runs(worker)
    if name != "SIGKILL":
        assert (
            process.returncode == 128 + number and err == "bodycad: stopped; nothing was replaced\n"
        )
    elif whom == "the work":
        assert process.returncode == 128 + number and err.startswith("bodycad: ended by SIGKILL")
    if whom == "both" and name == "SIGKILL":
        assert bodycad("build", script(tmp_path), "--out", tmp_path / "out").returncode == 0
    assert contents(tmp_path / "out") == before and os.listdir(tmp_path / "out") == ["sample"]
    assert out == ""
