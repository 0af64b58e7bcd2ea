"""Kills builds: the command, the process at work, the kernel's or a copy of it, or all at once, at
random moments and at every step of putting a build in place.

    python -m tests.oracle.kills 60

After each the earlier build or the new one stands whole under its name, the maker's own files are
there, nothing runs and nothing lies about; where every process was killed at once, after the next
build. Needs a system with /proc.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from bodycad.processes import STOPS

ROOT = Path(__file__).parents[2]
SEED = 9
MARK = "BODYCAD_KILLED_CASE"
OWN = {
    "notes.txt": b"mine",
    "sample-notes.txt": b"mine",
    "sample-front-toolpaths.dxf": b"toolpaths of mine",
    "jig/sample-front.dxf": b"a drawing of mine",
}
"""A maker's own files in the folder of a build."""
STEPS = (
    *(("listed", "write_list", k) for k in range(1)),
    *(("stage", "open_stage", k) for k in range(1)),
    *(("stage", "publish", k) for k in range(1)),
    *(("stage", "_link", k) for k in range(2)),
    *(("swap", "exchange", k) for k in range(1)),
    *(("stage", "_settled", k) for k in range(2)),
    *(("stage", "_moved", k) for k in range(2)),
    *(("stage", "_cleared", k) for k in range(1)),
    *(("stage", "close", k) for k in range(1)),
)
"""The steps of a build that puts itself in place: module, function, which of its calls."""
SCRIPT = """
import os, signal, time
from tests.sample import design as sample

def design(left_handed: bool = False):
    return sample(left_handed=left_handed)

if os.environ.get("QUICK"):
    from tests.exports import quick
    quick.patch(setattr)

def killed_at(module, name, which, after, whom):
    import importlib
    owner = importlib.import_module(f"bodycad.exports.{module}")
    function, calls = getattr(owner, name), []

    def kill():
        for process in {"command": [os.getppid()], "work": [os.getpid()], "all": []}[whom]:
            os.kill(process, signal.SIGKILL)
        if whom == "all":
            os.killpg(os.getpgid(0), signal.SIGKILL)

    def called(*given, **named):
        calls.append(1)
        mine = len(calls) == which + 1
        if mine and not after:
            kill()
        made = function(*given, **named)
        if mine and after:
            kill()
        return made

    setattr(owner, name, called)

if os.environ.get("KILL"):
    module, name, which, after, whom = os.environ["KILL"].split()
    killed_at(module, name, int(which), after == "after", whom)
"""


@dataclass(frozen=True)
class Case:
    """Who is killed by which signal, and when: at a `step` (module, function, which call, "before"
    or "after"), or at a `share` of the time that a build takes. real: with the CAD kernel."""

    whom: str
    number: signal.Signals
    step: tuple[str, str, int, str] | None = None
    share: float = 0.0
    real: bool = False

    def __str__(self) -> str:
        when = " ".join(map(str, self.step)) if self.step else f"at {self.share:.2f} of the time"
        return f"{self.number.name} to {self.whom} {when}{' with the kernel' * self.real}"


def cases(count: int, seed: int = SEED) -> list[Case]:
    """So many cases: every second one at a step, the others at random moments, of these two of
    three with the kernel."""
    draw, found = random.Random(seed), list[Case]()
    steps = [(*step, when) for step in STEPS for when in ("before", "after")]
    draw.shuffle(steps)
    for k in range(count):
        whom = ("work", "command", "all")[(k // 2 + k // 2 // len(steps)) % 3]
        if k % 2 == 0:
            found.append(Case(whom, signal.SIGKILL, steps[k // 2 % len(steps)]))
            continue
        real = k % 6 != 1
        if real:
            whom = ("kernel", "copy", "work", "command", "all")[k // 2 % 5]
        gentle = (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)[k % 3]
        number = gentle if k % 5 == 4 and whom != "copy" else signal.SIGKILL
        found.append(Case(whom, number, None, draw.uniform(0.1, 1.05), real))
    return found


def heard() -> None:
    """Hear the signals that stop a command, though this may run where they are ignored."""
    for number in STOPS:
        signal.signal(number, signal.SIG_DFL)


@dataclass(frozen=True)
class Bench:
    """A folder with a script, and how long its builds take (s): quick ones and real ones."""

    folder: Path
    quick: float
    real: float

    def build(self, real: bool, *more: str, **also: str) -> subprocess.Popen[str]:
        """A build that has been started, in a session and with a temporary place of its own."""
        words = [sys.executable, "-m", "bodycad", "build", "body.py", "--no-cures", *more]
        own = {MARK: str(self.folder), "TMPDIR": str(self.folder / "tmp"), **also}
        own |= {} if real else {"QUICK": "1"}
        paths = f"{ROOT}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"
        return subprocess.Popen(
            words,
            cwd=self.folder,
            env={**os.environ, "PYTHONPATH": paths, **own},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
            preexec_fn=heard,
        )


def bench(folder: Path, real: bool = True) -> Bench:
    """A bench in an empty folder, timed by a build of either kind."""
    (folder / "tmp").mkdir()
    (folder / "body.py").write_text(SCRIPT)
    taken = []
    for kind in (True, False) if real else (False,):
        began = time.monotonic()
        told = (process := Bench(folder, 0.0, 0.0).build(kind)).communicate()
        assert process.returncode in (0, 1) and "Files: out" in told[0], told
        taken.append(time.monotonic() - began)
        shutil.move(folder / "out" / "sample", folder / f"earlier-{'real' if kind else 'quick'}")
    return Bench(folder, taken[-1], taken[0])


def faults(case: Case, at: Bench) -> list[str]:
    """What is wrong after a case; nothing when all is as promised."""
    out, kind = at.folder / "out", "real" if case.real else "quick"
    shutil.rmtree(out, ignore_errors=True)
    shutil.copytree(at.folder / f"earlier-{kind}", out / "sample")
    for name, data in OWN.items():
        (out / "sample" / name).parent.mkdir(exist_ok=True)
        (out / "sample" / name).write_bytes(data)
    also = {"KILL": " ".join([*map(str, case.step), case.whom])} if case.step else {}
    began = time.monotonic()
    process = at.build(case.real, "--set", "left_handed=yes", **also)
    if case.step is None:
        time.sleep(case.share * (at.real if case.real else at.quick))
        _kill(case, process, at)
    try:
        process.communicate(timeout=60.0)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        return ["it did not end within 60 s"]
    found = [] if case.step is None or process.returncode else ["nothing was killed"]
    until = time.monotonic() + 5.0
    while (left := living(at)) and time.monotonic() < until:
        time.sleep(0.02)
    for pid in left:
        found.append(f"still running: {_words(pid)}")
        os.kill(pid, signal.SIGKILL)
    found += not_whole(out / "sample")
    if case.whom == "all" and case.number == signal.SIGKILL:
        told = (after := at.build(False, "--set", "left_handed=yes")).communicate()
        found += [] if after.returncode == 0 else [f"the next build: {told}"]
        found += not_whole(out / "sample")
    beside = set(os.listdir(out)) - {"sample"}
    found += [f"left behind: {name}" for name in (*beside, *os.listdir(at.folder / "tmp"))]
    assert time.monotonic() - began < 120.0
    return found


def not_whole(folder: Path) -> list[str]:
    """What a folder lacks of a whole build, by its own list, and of the maker's own files."""
    if not folder.is_dir():
        return ["no build under its name"]
    text = (folder / "sample-files.sha256").read_text()
    rows = dict(reversed(row.split("  ")) for row in text.splitlines())
    there = {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    due = rows.keys() | OWN.keys() | {"sample-files.sha256"}
    found = [f"missing or too much: {name}" for name in due ^ there.keys()]
    sums = {name: hashlib.sha256(data).hexdigest() for name, data in there.items()}
    found += [f"not whole: {n}" for n in rows if sums.get(n, rows[n]) != rows[n]]
    found += [f"the maker's: {name}" for name, data in OWN.items() if there.get(name) != data]
    return found + ([] if len(rows) > 8 else ["the list names too few"])


def living(at: Bench) -> list[int]:
    """The processes that this bench started, and theirs."""
    mark, found = f"{MARK}={at.folder}".encode(), list[int]()
    for place in Path("/proc").iterdir():
        if place.name.isdigit():
            try:
                if mark in (place / "environ").read_bytes().split(b"\0"):
                    found.append(int(place.name))
            except OSError:
                continue
    return sorted(found)


def _words(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except OSError:
        return ""


def _place(pid: int) -> str:
    """The directory that a process works in."""
    try:
        return os.readlink(f"/proc/{pid}/cwd")
    except OSError:
        return ""


def _kill(case: Case, process: subprocess.Popen[str], at: Bench) -> None:
    """Send the signal to whom it is for; to the process at work where there is no such."""
    kernels = [pid for pid in living(at) if "bodycad-solid-" in _place(pid)]
    work = [pid for pid in living(at) if pid != process.pid and pid not in kernels]
    copies = kernels[1:2] or work[1:2]
    chosen = {"kernel": kernels[:1], "copy": copies, "command": [process.pid]}
    try:
        if case.whom == "all":
            os.killpg(process.pid, case.number)
        for pid in [] if case.whom == "all" else chosen.get(case.whom) or work[:1]:
            os.kill(pid, case.number)
    except ProcessLookupError:
        pass  # it has ended by itself


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.oracle.kills")
    parser.add_argument("count", nargs="?", type=int, default=60)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--all", action="store_true", help="tell every case")
    given, wrong = parser.parse_args(), 0
    with tempfile.TemporaryDirectory(prefix="bodycad-kills-") as folder:
        at = bench(Path(folder))
        for case in cases(given.count, given.seed):
            found = faults(case, at)
            wrong += bool(found)
            if found or given.all:
                print(f"{case}: {'; '.join(found) or 'whole'}", flush=True)
    print(f"{given.count} kills, {wrong} of them left what they should not")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
