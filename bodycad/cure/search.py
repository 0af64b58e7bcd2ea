"""Computed cures: for a finding that fails or warns, the least change of a parameter that mends it.

Every answer is a run of the script itself: `set` a parameter to the value named, and the finding
holds while nothing fails that did not fail before. Values are sought on a grid a maker can set
(GRIDS, whole steps for an int), within SPAN of the present ones, outward from them:

1. a small step of every parameter both ways tells which of them move a finding, and how far the
   limit is;
2. from the nearest on, secant and bisection over the grid find the first value at which it holds;
3. where none does, values at LADDER from the present ones are tried, and the nearest that serves is
   narrowed down.

A finding that is gone counts as held when its parts and voids are still there and its check still
answers. "Least" is by the change itself, in the parameter's own unit; of equals the relatively
smaller.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.table import NETS
from bodycad.cure.goal import Goal, curable
from bodycad.cure.rerun import MOST_RUNS, Ask, Outcome, Runs, outcome
from bodycad.script import Script

SPAN = 32.0
"""No parameter is changed by more than this, in its own unit."""
GRIDS = (0.05, 0.01, 0.001)
"""Values are rounded to the first of these that is at most half of the change; where that breaks
something else, to the last."""
STEP = 0.5
"""The small step of a float, or an eighth of its value where that is less; an int's is 1."""
LADDER = (1.0, 3.0, 9.0)
"""Changes tried where no small one tells anything (times half the value, where that is less than
1)."""
STEPS = 12
"""Runs on the way to one value at the most."""
WALLS = 3
"""So many refused or worse values on that way, and it is given up."""

Search = Generator[list[Ask], list[Outcome | None], "Cure | None"]
Step = tuple["Number", int, float, Outcome | None]
"""A parameter, the way it is moved, by how much, and what that gave."""


@dataclass(frozen=True)
class Number:
    """A parameter that may be changed: name, present value, whether it is a whole number."""

    name: str
    now: float
    whole: bool

    @property
    def unit(self) -> float:
        """1, or half the value where that is less: what a rung of the ladder is counted in."""
        return 1.0 if self.whole or self.now == 0.0 else min(1.0, abs(self.now) / 2.0)

    def grid(self, change: float) -> float:
        """The grid for values about `change` away: the first that is at most half of it."""
        return 1.0 if self.whole else next((g for g in GRIDS if g <= change / 2.0), GRIDS[-1])


@dataclass(frozen=True)
class Rungs:
    """The grid values of a parameter on one side of its present one, counted from 1."""

    number: Number
    sign: int
    grid: float

    def at(self, k: int) -> float:
        if self.number.whole:
            return int(self.number.now) + self.sign * k
        base = self.sign * math.floor(self.sign * self.number.now / self.grid + 1e-9)
        return round((base + self.sign * k) * self.grid, 6)

    def offset(self, k: float) -> float:
        """Change at rung k (0: none)."""
        return abs(self.at(int(k)) - self.number.now) if k else 0.0

    def first(self, change: float) -> int:
        """The first rung at least `change` away."""
        k = max(int(change / self.grid) - 1, 1)
        while self.offset(k) < change - 1e-9:
            k += 1
        return k

    def last(self, change: float) -> int:
        """The last rung at most `change` away."""
        k = self.first(change)
        return k if self.offset(k) <= change + 1e-9 else k - 1

    def ask(self, k: int, check: str = "") -> Ask:
        return self.number.name, self.at(k), check


@dataclass(frozen=True)
class Cure:
    """A change with its proof."""

    number: Number
    value: float
    proof: Outcome

    @property
    def size(self) -> float:
        return abs(self.value - self.number.now)

    @property
    def key(self) -> tuple[float, float, str]:
        """Smallest first; of equals the relatively smaller."""
        relative = self.size / abs(self.number.now) if self.number.now else math.inf
        return round(self.size, 9), relative, self.number.name


def with_cures(
    report: Report,
    script: Script,
    values: Mapping[str, Any] | None = None,
    tell: Callable[[str], None] | None = None,
) -> Report:
    """The report with the cure of every finding that fails or warns worked out, in MOST_RUNS
    re-runs at the most (and MOST_PARTS of some of the checks).

    `values` are those that the report's design was made with in place of the script's defaults. A
    report without such findings is returned as it is, and nothing is run."""
    base = outcome(report)
    sought = {k: Goal(f, base) for k, f in enumerate(report.findings) if curable(f)}
    if any(goal.check not in NETS for goal in sought.values()):
        sought = {k: goal for k, goal in sought.items() if goal.check not in NETS}
    if not sought:
        return report
    numbers = _numbers(script, values or {})
    with Runs(script, values or {}, tell) as runs:
        steps = _small_steps(
            numbers, " ".join(sorted({goal.check for goal in sought.values()})), runs
        )
        found = dict(
            zip(sought, _together([_search(goal, steps) for goal in sought.values()], runs))
        )
        none = (
            f"no single parameter was found in {MOST_RUNS} re-runs that cures this"
            if runs.spent
            else "no single parameter of the script cures this"
        )
    told = (
        _told(f, sought[k], found[k], none) if k in sought else f
        for k, f in enumerate(report.findings)
    )
    return replace(report, findings=tuple(told))


def _told(finding: Finding, goal: Goal, cure: Cure | None, none: str) -> Finding:
    """The finding with its computed cure, or the words of `none`, before the usual ones."""
    if cure is None:
        return replace(finding, cure=f"{none}; {finding.cure}".removesuffix("; "))
    words = goal.words(cure.number.name, cure.value, cure.number.now, cure.proof)
    words = f"{words}; or {finding.cure}".removesuffix("; or ")
    return replace(finding, cure=words, change=(cure.number.name, cure.value))


def _numbers(script: Script, values: Mapping[str, Any]) -> tuple[Number, ...]:
    """The script's float and int parameters at their present values."""
    found = []
    for one in script.parameters:
        now = values.get(one.name, one.default)
        if one.kind in (int, float) and isinstance(now, (int, float)) and not isinstance(now, bool):
            found.append(
                Number(one.name, int(now) if one.kind is int else float(now), one.kind is int)
            )
    return tuple(found)


def _small_steps(numbers: Sequence[Number], checks: str, runs: Runs) -> list[Step]:
    """(parameter, direction, step, outcome) of a small step each way; if refused, of an eighth."""
    sides = []
    for number in numbers:
        small = 1.0 if number.whole else min(STEP, abs(number.now) / 8.0) if number.now else STEP
        sides += [(number, sign, small) for sign in (1, -1)]
    found = list(zip(sides, runs.many([(*_moved(*side), checks) for side in sides])))
    again = {
        k: (n, s, h / 8.0)
        for k, ((n, s, h), made) in enumerate(found)
        if made is None and not n.whole
    }
    for k, made in zip(again, runs.many([(*_moved(*side), checks) for side in again.values()])):
        found[k] = again[k], made
    return [(*side, made) for side, made in found]


def _moved(number: Number, sign: int, by: float) -> tuple[str, float]:
    value = number.now + sign * by
    return number.name, int(value) if number.whole else round(value, 9)


def _together(searches: Sequence[Search], runs: Runs) -> list[Cure | None]:
    """Drive the searches side by side, so that the runs they ask for come in batches."""
    results: list[Cure | None] = [None] * len(searches)
    waiting: dict[int, list[Ask]] = {}
    answers: dict[int, list[Outcome | None]] = {k: [] for k in range(len(searches))}
    started: set[int] = set()
    while answers:
        for k, answer in answers.items():
            try:
                waiting[k] = searches[k].send(answer) if k in started else next(searches[k])
                started.add(k)
            except StopIteration as end:
                results[k] = end.value
        made = iter(runs.many([ask for asks in waiting.values() for ask in asks]))
        answers = {k: [next(made) for _ in asks] for k, asks in waiting.items()}
        waiting = {}
    return results


def _search(goal: Goal, steps: Sequence[Step]) -> Search:
    """The least cure of one finding."""
    best: Cure | None = None
    for number, sign, far in _promising(goal, steps):
        most = SPAN if best is None else best.size
        if far <= 2.0 * most:
            found = yield from _near(goal, number, sign, far, most)
            best = min((c for c in (best, found) if c), key=lambda c: c.key, default=None)
    if best is None:
        best = yield from _ladder(goal, steps)
    return best


def _promising(goal: Goal, steps: Sequence[Step]) -> list[tuple[Number, int, float]]:
    """Parameters and directions that better the finding, by how far the limit seems."""
    found = []
    for number, sign, small, made in steps:
        if made is None:
            continue
        short = goal.short(made)
        if goal.short_now is not None and short is not None and short < goal.short_now - 1e-9:
            found.append((number, sign, small * goal.short_now / (goal.short_now - short)))
        elif goal.held(made):
            found.append((number, sign, small))
    return sorted(found, key=lambda c: (c[2], c[0].name, c[1]))


def _near(goal: Goal, number: Number, sign: int, far: float, most: float) -> Search:
    """The first grid value at which the finding holds and nothing breaks; finer where it tells."""
    grids = number.grid(far), 1.0 if number.whole else GRIDS[-1]
    low, high, short_low = 0.0, most, goal.short_now
    for grid in dict.fromkeys(grids):
        rungs = Rungs(number, sign, grid)
        start, end = rungs.last(low) if low else 0, rungs.last(high)
        k = yield from _first(goal, rungs, start, end, rungs.first(max(far, low)), short_low)
        if k is None:
            return None
        made = (yield [rungs.ask(k)])[0]
        if made is not None and goal.cured(made):
            return Cure(number, rungs.at(k), made)
        before = (yield [rungs.ask(k - 1)])[0] if k > 1 else goal.base
        if before is None or not goal.breaks_nothing(before):
            return None
        low, high = rungs.offset(k - 1), rungs.offset(k)
        short_low = goal.short(before)
    return None


def _ladder(goal: Goal, steps: Sequence[Step]) -> Search:
    """The least cure among values farther off, nearest rung first, narrowed down."""
    sides = dict.fromkeys((number, sign) for number, sign, _, _ in steps)
    tried = [
        (rung * number.unit, LADDER[n - 1] * number.unit if n else 0.0, number, sign)
        for number, sign in sides
        for n, rung in enumerate(LADDER)
    ]
    made = yield [(*_moved(number, sign, by), goal.check) for by, _, number, sign in tried]
    hits = [one for one, result in zip(tried, made) if goal.held(result)]
    best: Cure | None = None
    for by, low, number, sign in sorted(hits, key=lambda h: (h[0], h[2].name, h[3])):
        if best is not None and low >= best.size:
            continue
        name, value = _moved(number, sign, by)
        proof = (yield [(name, value, "")])[0]
        if proof is not None and goal.cured(proof):
            rungs = Rungs(number, sign, number.grid(by))
            start, end = rungs.last(low) if low else 0, rungs.first(by)
            k = yield from _first(goal, rungs, start, end, end, None, whole=True)
            if k is not None:
                value, proof = rungs.at(k), (yield [rungs.ask(k)])[0] or proof
            best = min((c for c in (best, Cure(number, value, proof)) if c), key=lambda c: c.key)
    return best


def _first(
    goal: Goal,
    rungs: Rungs,
    low: int,
    most: int,
    guess: int,
    short_low: float | None,
    whole: bool = False,
) -> Generator[list[Ask], list[Outcome | None], int | None]:
    """The first rung above `low`, up to `most`, at which the finding holds (`whole`: and nothing
    breaks), or None.

    Takes it that the rungs serve from one on. `short_low` is what is lacking at `low`, where there
    is a figure."""
    high, short_high, wall, walls, slope = None, None, most + 1, 0, None
    k = min(max(guess, low + 1), most)
    for step in range(STEPS):
        if not low < k <= most:
            break
        made = (yield [rungs.ask(k, goal.check)])[0]
        good, lack = goal.held(made), None if whole or made is None else goal.short(made)
        if good and whole:
            good = goal.cured((yield [rungs.ask(k)])[0])
        if good:
            high, short_high = k, lack
        elif high is None and (
            made is None
            or (lack is not None and short_low is not None and lack >= short_low - 1e-9)
        ):
            wall, walls = k, walls + 1
            if walls >= WALLS:
                break
        else:
            if lack is not None and short_low is not None:
                slope = (short_low - lack) / max(rungs.offset(k) - rungs.offset(low), 1e-12)
            low, short_low = k, lack
        top = wall if high is None else high
        if top - low <= 1:
            break
        k = (low + top) // 2
        lacks = None if short_low is None or short_high is None else (short_low, short_high)
        if high is not None and lacks and step < STEPS // 2:
            share = lacks[0] / max(lacks[0] - lacks[1], 1e-12)
            k = low + math.ceil(share * (high - low) - 1e-6)
        elif high is None and wall > most:
            k = (
                rungs.first(rungs.offset(low) + short_low / slope)
                if slope and short_low
                else 2 * low
            )
            k = min(k, most)
        k = min(max(k, low + 1), top - 1)
    return high
