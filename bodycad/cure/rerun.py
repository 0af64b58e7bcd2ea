"""Re-runs of a script with one parameter changed: each once, a large batch on several processes.

A run lays out and checks, in this process or in a fresh one; its answer is the same either way, so
that neither the machine nor its load decides what is found.
"""

from __future__ import annotations

import contextlib
import io
import multiprocessing
import os
import signal
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.checks.table import CHECKS
from bodycad.script import Script, load, make

MOST_RUNS = 300
"""Re-runs of all checks at the most; further ones count as refused, and `Runs.spent` says so."""
MOST_PARTS = 1500
"""Re-runs of some of the checks at the most; likewise."""
POOL_FROM = 16
"""A batch of so many new runs, one of some checks counted as a quarter, is worth the start of
processes (about half a second)."""
MOST_PROCESSES = 8

Ask = tuple[str, float, str]
"""A parameter's name, its new value, and the names of the checks to run, with spaces between (""
for all of them)."""


@dataclass(frozen=True)
class Outcome:
    """What one run answered: findings, and ids of parts and voids. `whole`: of all checks."""

    findings: tuple[Finding, ...]
    ids: frozenset[str]
    whole: bool = True

    @cached_property
    def failing(self) -> Counter[tuple[str, tuple[str, ...]]]:
        """How many findings fail or are in error, by code and subjects."""
        return Counter(f.identity for f in self.findings if f.status in ("fail", "error"))


def outcome(report: Report, whole: bool = True) -> Outcome:
    """The outcome of a report."""
    layout = report.layout
    ids = {p.id for p in layout.placed} | {v.id for v in layout.voids}
    return Outcome(report.findings, frozenset(ids), whole)


def run_once(script: Script, values: Mapping[str, Any], only: str = "") -> Outcome | None:
    """One run of the checks named ("": of all), in silence; None where the values are refused."""
    with contextlib.redirect_stderr(io.StringIO()):
        try:
            layout = make(script, values).layout()
            checks = [one for one in CHECKS if not only or one.name in only.split()]
            return outcome(run(layout, checks), not only)
        # Whatever a script or a part does with an impossible value, the value is refused.
        except Exception:
            return None


def _apart(job: tuple[str, dict[str, Any], str]) -> Outcome | None:
    """A run in a process of its own, which reads the script afresh."""
    path, values, only = job
    with contextlib.redirect_stderr(io.StringIO()):
        script = load(path)
    return run_once(script, values, only)


def _deaf() -> None:
    """The parent alone answers the keyboard."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


class Runs:
    """Runs of one script about one set of values, each remembered. Use as a context: it ends its
    processes.

    `count` and `parts` are how many runs of all checks and of some there were; `spent` is True
    once a bound kept one from being made."""

    def __init__(
        self, script: Script, values: Mapping[str, Any], tell: Callable[[str], None] | None = None
    ) -> None:
        self.script, self.values, self.tell = script, dict(values), tell or (lambda step: None)
        self.count, self.parts, self.spent = 0, 0, False
        self._known: dict[Ask, Outcome | None] = {}
        self._pool: ProcessPoolExecutor | None = None
        self._processes = min(os.cpu_count() or 1, MOST_PROCESSES)

    def __enter__(self) -> Runs:
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def many(self, asks: Sequence[Ask]) -> list[Outcome | None]:
        """The outcome of each, None where refused. A run of all checks answers for some too."""
        asks = [
            (name, value, "") if (name, value, "") in self._known else (name, value, only)
            for name, value, only in asks
        ]
        new, left = [], {True: MOST_RUNS - self.count, False: MOST_PARTS - self.parts}
        for ask in dict.fromkeys(asks):
            if ask not in self._known:
                left[not ask[2]] -= 1
                if left[not ask[2]] >= 0:
                    new.append(ask)
                else:
                    self.spent = True
        if new:
            self.tell(f"looking for cures, {self.count} runs so far")
            whole = sum(not only for _, _, only in new)
            self.count, self.parts = self.count + whole, self.parts + len(new) - whole
            self._known.update(zip(new, self._made(new)))
        return [self._known.get(ask) for ask in asks]

    def _made(self, asks: Sequence[Ask]) -> list[Outcome | None]:
        jobs = [
            (str(self.script.path), self.values | {name: value}, only) for name, value, only in asks
        ]
        worth = sum(0.25 if only else 1.0 for _, _, only in asks)
        if self._processes > 1 and len(jobs) > 1 and (self._pool is not None or worth >= POOL_FROM):
            try:
                if self._pool is None:
                    self._pool = ProcessPoolExecutor(
                        self._processes, multiprocessing.get_context("spawn"), _deaf
                    )
                return list(self._pool.map(_apart, jobs))
            # A machine that allows no further process: do it here.
            except (BrokenProcessPool, OSError):
                self._processes, self._pool = 1, None
        return [run_once(self.script, values, only) for _, values, only in jobs]
