"""Searches for cures side by side, on children that run the script, until they end or their time is
up.

A search is a generator: it yields a `Wish`, the runs it wants next and what it has found so far,
and is sent their outcomes. Each run is made once.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field, replace
from multiprocessing.connection import wait

from bodycad.checks.table import CHECKS
from bodycad.cure.goal import Outcome
from bodycad.cure.number import Number, Reluctance
from bodycad.cure.worker import Ask, Task, Worker, start

EVERY = frozenset(check.name for check in CHECKS)
MOST_PROCESSES = 8
TURN = 8
"""So many rounds a search has before others go first: enough for a plain one."""
TIMES, LEAST, SHARE = 8.0, 3.0, 0.25
"""A run is given up after TIMES what the longest took; while none has answered, after that SHARE of
the whole time; never before LEAST s."""


@dataclass(frozen=True)
class Cure:
    """A change with its proof. `enough`: the value from which on the finding does not fail."""

    number: Number
    value: float
    proof: Outcome
    enough: float

    @property
    def key(self) -> tuple[int, float, float, str]:
        """Best first: what a maker is least unwilling to change, then the smallest change, of
        equals the relatively smaller."""
        size, now = self.number.change(self.enough), abs(self.number.now)
        relative = size / now if now else float("inf")
        return self.proof.reluctance, round(size, 9), relative, self.number.name


@dataclass(frozen=True)
class Wish:
    """The runs that a search wants next, the best cure so far, the numbers that it has not yet
    tried over their whole span, and whether it can wait for others that look near by."""

    asks: tuple[Ask, ...]
    best: Cure | None = None
    left: tuple[str, ...] = ()
    far: bool = False


Search = Generator[Wish, Sequence[Outcome | None], Wish]


@dataclass(eq=False)
class Runs:
    """Runs of one script about one set of values. Use as a context: it ends its children.

    until: when the time is up, by `clock` (s). `count`: runs made so far; `late`: whether the time
    ran out, or the machine allowed no child, before the searches ended."""

    task: Task
    until: float
    clock: Callable[[], float] = time.monotonic
    tell: Callable[[str], None] | None = None
    count: int = 0
    late: bool = False
    _known: dict[tuple[str, float], Outcome | None] = field(default_factory=dict)
    _asked: dict[tuple[str, float], frozenset[str]] = field(default_factory=dict)
    _idle: list[Worker] = field(default_factory=list)
    _busy: dict[Worker, tuple[Ask, float]] = field(default_factory=dict)
    _longest: float = 0.0
    _whole: float = 0.0

    def __enter__(self) -> Runs:
        self._whole = self.until - self.clock()
        return self

    def __exit__(self, *_: object) -> None:
        for worker in (*self._idle, *self._busy):
            worker.kill()
        self._idle, self._busy = [], {}

    def drive(self, searches: Sequence[Search]) -> list[Wish]:
        """Drive searches to their ends; what each has found when it ends or the time is up.

        Where the machine is busy, those come first that look near by, of these those that have
        had the fewest TURNs, and of these the first."""
        wishes: list[Wish | None] = [None] * len(searches)
        active, rounds = dict(enumerate(searches)), [0] * len(searches)
        while active:
            for k, search in list(active.items()):
                before = wishes[k]
                wishes[k], goes_on = self._advanced(search, before)
                rounds[k] += wishes[k] is not before
                if not goes_on:
                    del active[k]
            first = sorted(active, key=lambda k: (_far(wishes[k]), rounds[k] // TURN))
            wanted = dict.fromkeys(
                ask for k in first for ask in self._missing(wishes[k]) if not self._under_way(ask)
            )
            if active and (self.clock() >= self.until or not self._work(list(wanted))):
                self.late = True
                break
        for search in active.values():
            search.close()
        return [wish or Wish(()) for wish in wishes]

    def cured(self, holds: Callable[[Outcome], bool], own: Sequence[Number]) -> Cure | None:
        """The best cure among the runs that were made for whatever search."""
        named = {number.name: number for number in own}
        found = (
            Cure(named[name], value, run, value)
            for (name, value), run in self._known.items()
            if run is not None and run.whole and holds(run)
        )
        return min(found, key=lambda cure: cure.key, default=None)

    def _advanced(self, search: Search, wish: Wish | None) -> tuple[Wish, bool]:
        """A search's next wish that needs a run, or its last; and whether it goes on."""
        try:
            while wish is None or not self._missing(wish):
                given = None if wish is None else [self._known[ask[:2]] for ask in wish.asks]
                wish = next(search) if given is None else search.send(given)
            return wish, True
        except StopIteration as end:
            done: Wish = end.value
            return done, False

    def _missing(self, wish: Wish | None) -> list[Ask]:
        """The runs of a wish that are still to be made, each of the checks not yet asked."""
        found = []
        for name, value, checks in wish.asks if wish else ():
            key = name, value
            more = checks - self._asked.get(key, frozenset())
            if key not in self._known or (more and not self._settled(self._known[key])):
                found.append((name, value, more))
        return found

    @staticmethod
    def _settled(outcome: Outcome | None) -> bool:
        """Whether no further check would be answered: refused, or of a number never changed."""
        return outcome is None or outcome.reluctance is Reluctance.NEVER

    def _under_way(self, ask: Ask) -> bool:
        return any(ask[:2] == job[:2] and ask[2] <= job[2] for job, _ in self._busy.values())

    def _work(self, wanted: list[Ask]) -> bool:
        """Hand out runs, wait for the next answer, and note it; False where no child works."""
        for ask in wanted:
            worker = self._free(ask)
            if worker is None:
                break
            worker.give(ask)
            self._busy[worker] = ask, self.clock()
        if not self._busy:
            return False
        limit = max(TIMES * self._longest or SHARE * self._whole, LEAST)
        ends = {worker: since + limit for worker, (_, since) in self._busy.items()}
        left = min(self.until, *ends.values()) - self.clock()
        ready = wait([worker.pipe for worker in self._busy], max(left, 0.0))
        for worker in [one for one in self._busy if one.pipe in ready]:
            self._note(worker)
        for worker in [one for one in self._busy if self.clock() >= ends[one] < self.until]:
            self._answer(self._busy.pop(worker)[0], None)
            worker.kill()
        return True

    def _free(self, ask: Ask) -> Worker | None:
        """An idle child, that which has laid these values out already if it can be; else a new
        one, if there may be one more."""
        self._idle.sort(key=lambda worker: ask[:2] in worker.kept)
        if self._idle:
            return self._idle.pop()
        if len(self._busy) >= processes():
            return None
        try:
            return start(self.task)
        except OSError:
            return None

    def _note(self, worker: Worker) -> None:
        """Take a child's answer; one that died on it refused it."""
        ask, since = self._busy.pop(worker)
        try:
            answer: Outcome | None = worker.pipe.recv()
            self._idle.append(worker)
            self._longest = max(self._longest, self.clock() - since)
        # It may have died, or been made to say something else.
        except Exception:
            answer = None
            worker.kill()
        self._answer(ask, answer)

    def _answer(self, ask: Ask, answer: Outcome | None) -> None:
        key, before = ask[:2], self._known.get(ask[:2])
        asked = self._asked.get(key, frozenset()) | ask[2]
        if answer is not None:
            known = answer if before is None else before.with_more(answer)
            before = replace(known, whole=asked >= EVERY)
        # What was answered before stands, but no further check is asked where one was refused.
        self._known[key], self._asked[key] = before, asked if answer else EVERY
        self.count += 1
        if self.tell:
            left = max(self.until - self.clock(), 0.0)
            self.tell(f"looking for cures, {self.count} runs, {left:.0f} s left at the most")


def _far(wish: Wish | None) -> bool:
    return wish is not None and wish.far


def processes() -> int:
    """How many children may work at once."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(cores or 1, MOST_PROCESSES)
