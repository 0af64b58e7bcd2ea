"""One child process that runs the script with one number changed, as often as it is asked.

It works from the text that was read once. What the script prints goes nowhere; what it does to its
process (an exit, a crash, a loop without end) costs that one run.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.runner import run
from bodycad.checks.table import CHECKS
from bodycad.cure.goal import Outcome
from bodycad.cure.number import Reluctance
from bodycad.cure.reluctance import meaning, unsteady
from bodycad.design import Design
from bodycad.processes import end_with
from bodycad.script import Script, load, make

KEPT = 16
"""So many bodies are kept, for further checks of the same values."""

Ask = tuple[str, float, frozenset[str]]
"""A number's name, its new value, and the names of the checks to run (none: what it stands for)."""


@dataclass(frozen=True)
class Task:
    """What every child is told: the script's path and text, the values as they stand, and the texts
    of its tables of sizes."""

    path: Path
    text: bytes
    values: Mapping[str, Any]
    tables: Mapping[str, bytes | None] = field(default_factory=dict)


@dataclass(eq=False)
class Worker:
    """A running child and the parent's ends of its pipes: that of asks and answers, and one whose
    end tells it that the parent has ended. `kept`: the values it was asked about last."""

    process: Any
    pipe: Connection
    life: Connection
    kept: list[tuple[str, float]] = field(default_factory=list)

    def give(self, ask: Ask) -> None:
        """Let it run one."""
        values = ask[:2]
        self.kept = [one for one in self.kept if one != values][-KEPT + 1 :] + [values]
        self.pipe.send(ask)

    def kill(self) -> None:
        """End it, with whatever it started."""
        if self.process.is_alive():  # then its group has its number
            with contextlib.suppress(OSError, AttributeError):
                os.killpg(self.process.pid, signal.SIGKILL)
        self.process.kill()
        self.process.join()
        self.pipe.close()
        self.life.close()


def start(task: Task) -> Worker:
    """A new child, which ends with this process and the thread that calls this. Raises OSError
    where the machine allows none."""
    # A forked child has the package and the checks loaded already.
    context: Any = multiprocessing.get_context("fork" if sys.platform == "linux" else "spawn")
    (ours, theirs), (alive, life) = context.Pipe(), context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(theirs, alive, os.getpid(), task), daemon=True)
    process.start()
    theirs.close()
    alive.close()
    return Worker(process, ours, life)


def _work(pipe: Connection, alive: Connection, parent: int, task: Task) -> None:
    """Answer asks until the parent ends it."""
    _alone()
    end_with(parent, alive.fileno())
    bench: _Bench | None = None
    while True:
        ask, answer = pipe.recv(), None
        # Whatever a script or a part does with an impossible value, the value is refused.
        with contextlib.suppress(BaseException):
            bench = bench or _bench(task)
            answer = bench.answer(ask)
        pipe.send(answer)


def _alone() -> None:
    """Cut this process off from the keyboard, the terminal and the parent's files."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "setsid"):
        os.setsid()
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    sys.stdout = sys.stderr = open(os.devnull, "w")  # noqa: SIM115


def _bench(task: Task) -> _Bench:
    script = load(task.path, task.text, task.tables)
    base, again = (make(script, task.values) for _ in range(2))
    return _Bench(task, script, base, unsteady(base, again))


@dataclass(eq=False)
class _Bench:
    """The script loaded, its design as it stands, where that differs from one run to the next, and
    the designs that were made last."""

    task: Task
    script: Script
    base: Design
    noise: frozenset[str]
    made: dict[tuple[str, float], Design] = field(default_factory=dict)

    def answer(self, ask: Ask) -> Outcome:
        """What those checks find with one number changed; without any, only what it stands for."""
        name, value, checks = ask
        design = self.design(name, value)
        unwilling, touched = meaning(self.base, design, self.noise)
        bare = Outcome((), frozenset(), False, unwilling, touched)
        if not checks or unwilling is Reluctance.NEVER:
            return bare
        layout = design.layout()
        found = run(layout, [check for check in CHECKS if check.name in checks]).findings
        ids = frozenset({p.id for p in layout.placed} | {v.id for v in layout.voids})
        return replace(bare, findings=tuple(map(_short, found)), ids=ids)

    def design(self, name: str, value: float) -> Design:
        """The design with one number changed."""
        key = name, value
        if key not in self.made:
            design = make(self.script, {**self.task.values, name: value})
            self.made = dict([*list(self.made.items())[-KEPT + 1 :], (key, design)])
        return self.made[key]


def _short(finding: Finding) -> Finding:
    """A finding without what is said of it and where."""
    return replace(finding, text="", cure="", limit_source="", at=None, between=None, of=None)
