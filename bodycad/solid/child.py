"""The kernel in a child process with a time limit: a crash or a hang becomes a finding that names
the step.

    handle = start(layout, directory)      # returns at once; other exports run beside it
    findings = finish(handle)              # waits for the rest of the time limit
    handle = start_proof(skin, questions)  # a second child, so that one that dies takes nothing
    with it answers, findings = finish_proof(handle)

This module itself never loads the kernel.
"""

from __future__ import annotations

import os
import pickle
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from bodycad.checks.finding import Finding
from bodycad.checks.rules.assembly import Claim
from bodycad.checks.rules.kernel import SOLID
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.layout import Layout
from bodycad.layout.volume import BodyFigures
from bodycad.processes import end_with
from bodycad.shop import Shop
from bodycad.solid.beside import Beside, Ended
from bodycad.solid.compare import Question
from bodycad.solid.due import Due, due, tools_of
from bodycad.solid.forked import Forked

JOB, PROGRESS, LOG = "job.pickle", "step.txt", "log.txt"
JUDGED, RESULT = "judged.pickle", "result.pickle"
ASK = 0.005
"""How often it is looked for what a child left, s."""
CHECK = SOLID.name
PACKAGES = MappingProxyType(
    {
        "libGL": "libgl1",
        "libEGL": "libegl1",
        "libX11": "libx11-6",
        "libXext": "libxext6",
        "libXrender": "libxrender1",
        "libSM": "libsm6",
        "libICE": "libice6",
        "libgomp": "libgomp1",
        "libfontconfig": "libfontconfig1",
        "libXi": "libxi6",
    }
)
"""Shared libraries the kernel asks for and the Debian packages that hold them."""


def files_of(name: str, shaped: bool = False) -> tuple[str, ...]:
    """The names of the files that `start` has made for a layout of that name when all went well;
    `shaped`: whether it has a contour."""
    more = (f"{name}-contours.step",) if shaped else ()
    return f"{name}-body.step", f"{name}-layout.step", f"{name}-body.glb", *more


@dataclass(frozen=True, eq=False)
class Handle:
    """A running job: its process, its private folder, and its deadline (monotonic s)."""

    process: subprocess.Popen[bytes] | Forked
    job: Path
    deadline: float
    time_limit: float


def start(
    layout: Layout,
    directory: Path | str,
    time_limit: float = 120.0,
    claims: Sequence[Claim] = (),
    place: Path | None = None,
) -> Handle:
    """Start making the solids of `layout`, and putting what the `claims` speak of into them; files
    are written into `directory`, which must exist. The job's private folder is made in `place`, or
    where the system keeps temporary files.

    The child ends with this process, and with the thread that calls this."""
    work = "make", _slim(layout), str(Path(directory).resolve()), tuple(claims)
    return _launch(work, time_limit, place)


def start_proof(
    skin: Skin,
    questions: Sequence[Question],
    time_limit: float = 300.0,
    place: Path | None = None,
) -> Handle:
    """Start measuring the gaps of `questions` again with the kernel."""
    return _launch(("measure", skin, tuple(questions)), time_limit, place)


def _launch(work: tuple[object, ...], time_limit: float, place: Path | None) -> Handle:
    """Start a child on its work: the name of what it does and its arguments."""
    job = Path(tempfile.mkdtemp(prefix="bodycad-solid-", dir=place)).resolve()
    # A copy of a process that holds the kernel would lack the threads that the kernel works with.
    if sys.platform == "linux" and "OCP" not in sys.modules:
        copy = Forked(lambda: leave(job, work), job / LOG, job)
        return Handle(copy, job, time.monotonic() + time_limit, time_limit)
    (job / JOB).write_bytes(pickle.dumps(work))
    root = str(Path(__file__).resolve().parents[2])
    old = os.environ.get("PYTHONPATH")
    environment = {**os.environ, "PYTHONPATH": root + (os.pathsep + old if old else "")}
    command = [sys.executable, "-m", "bodycad.solid.child", str(job), str(os.getpid())]
    with open(job / LOG, "wb") as log:
        # Nothing is written into the pipe: its end is how the child knows that this process ended.
        process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=log, stderr=log, env=environment, cwd=job
        )
    return Handle(process, job, time.monotonic() + time_limit, time_limit)


def _slim(layout: Layout) -> Layout:
    """The layout without what the kernel does not read: parts may be of classes that only a script
    knows."""
    return replace(layout, parameters={}, placed=(), links=(), shop=Shop())


class Made(NamedTuple):
    """What the kernel found, and the layout's own figures of each workpiece; no figures where it
    did not live to see them."""

    findings: tuple[Finding, ...]
    figures: tuple[BodyFigures, ...] = ()


def finish(handle: Handle) -> tuple[Finding, ...]:
    """Wait for the job and return its findings; never raises for what the kernel did."""
    return made(handle).findings


def judged(handle: Handle) -> Made | None:
    """Wait for what the job found before it writes its files; None where it ends without that."""
    known = handle.job / JUDGED
    while not known.exists():
        if handle.process.poll() is not None or time.monotonic() > handle.deadline:
            return None
        time.sleep(ASK)
    return Made(*pickle.loads(known.read_bytes()))


def made(handle: Handle) -> Made:
    """Wait for the job and return what it made; never raises for what the kernel did."""
    cure = "leave out the voids of that step one by one to find the one it cannot make"
    answer, fault = _ended(handle, CHECK, cure)
    return Made((fault,)) if fault else Made(*answer)


def finish_proof(handle: Handle) -> tuple[tuple[float | str, ...], tuple[Finding, ...]]:
    """Wait for the measuring and return its answers, one a question; none, and an error finding
    that names the step, when the kernel did not live to give them."""
    answers, fault = _ended(handle, "proof", "build without --proof, or move that pair slightly")
    return ((), (fault,)) if fault else (tuple(answers), ())


def _ended(handle: Handle, check: str, cure: str) -> tuple[Any, Finding | None]:
    """What the job left behind, or the error finding of `check` that says how it ended."""
    try:
        handle.process.wait(max(handle.deadline - time.monotonic(), 0.0))
        return _outcome(handle, check, cure)
    except subprocess.TimeoutExpired:
        text = f"the kernel did not finish within {handle.time_limit:g} s; it was {_step(handle)}"
        return None, _error(check, text, f"raise the time limit, or {cure}")
    finally:
        stop(handle)


def stop(handle: Handle) -> None:
    """End the job if it still runs and remove its private folder."""
    if handle.process.poll() is None:
        handle.process.kill()
        handle.process.wait()
    if handle.process.stdin is not None:
        handle.process.stdin.close()
    shutil.rmtree(handle.job, ignore_errors=True)


def _outcome(handle: Handle, check: str, remedy: str) -> tuple[Any, Finding | None]:
    code = handle.process.wait()
    result = handle.job / RESULT
    if code == 0 and result.exists():
        return pickle.loads(result.read_bytes()), None
    if code < 0:
        text = f"the kernel was ended by {_signal(-code)} while it was {_step(handle)}"
        return None, _error(check, text, remedy)
    said = (handle.job / LOG).read_text("utf-8", errors="replace").strip().splitlines()
    text, cure = explained(said[-1] if said else "")
    fault = f"the kernel process stopped (status {code}) while it was {_step(handle)}: {text}"
    return None, _error(check, fault, cure)


def explained(message: str) -> tuple[str, str]:
    """What an import or other failure of the child means, and what to do about it."""
    missing = re.search(r"(lib\w+)\.so[.\d]*: cannot open shared object", message)
    if missing:
        package = PACKAGES.get(missing[1])
        what = f"the kernel needs {missing[0].split(':')[0]}, which this machine lacks"
        how = f"install it: apt-get install {package}"
        return what, how if package else "install the package that holds that library"
    if "No module named 'cadquery'" in message or "No module named 'OCP'" in message:
        return "cadquery is not installed", "pip install 'cadquery>=2.8,<2.9'"
    return message or "it said nothing", "run again; if it stays, report it with the design"


def _step(handle: Handle) -> str:
    try:
        return (handle.job / PROGRESS).read_text("utf-8") or "starting"
    except OSError:
        return "starting"


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


def _error(check: str, text: str, cure: str) -> Finding:
    return Finding(check, "error", ("body",), text, cure=cure)


def main(job: Path) -> None:
    """What a child of its own does: the job in `job`."""
    leave(job, pickle.loads((job / JOB).read_bytes()))


def leave(job: Path, work: Sequence[Any]) -> None:
    """Load the kernel, do the work, and leave the answer in the folder `job`."""

    def put(name: str, held: bytes) -> None:
        (job / f"{name}.new").write_bytes(held)
        os.replace(job / f"{name}.new", job / name)

    def progress(step: str) -> None:
        put(PROGRESS, step.encode())

    what, *given = work
    progress("loading the kernel")
    try:
        answer = _answer(what, given, progress, put)
    except Ended as end:
        progress(end.step)
        end.follow()
    put(RESULT, pickle.dumps(answer))


def _answer(
    what: str,
    given: Sequence[Any],
    progress: Callable[[str], None],
    put: Callable[[str, bytes], None],
) -> Any:
    """What the job of that name answers; `put` leaves what is known before."""
    if what == "measure":
        from bodycad.solid.proof import measure

        return measure(given[0], given[1], progress)
    layout, directory, claims = given
    tools, seen = tuple(map(tools_of, layout.pieces)), list[Due]()
    copy = Beside("adding up the pieces", lambda: tuple(map(due, layout.pieces, tools)))
    from bodycad.solid.work import run

    def dues() -> Sequence[Due]:
        seen.extend(copy.answer())
        return seen

    def made(found: Sequence[Finding]) -> tuple[object, ...]:
        return tuple(found), tuple(one.figures for one in seen)

    def judged(found: Sequence[Finding]) -> None:
        put(JUDGED, pickle.dumps(made(found)))

    return made(run(layout, Path(directory), progress, claims, dues, tools, judged))


if __name__ == "__main__":
    end_with(int(sys.argv[2]), sys.stdin.fileno())
    main(Path(sys.argv[1]))
