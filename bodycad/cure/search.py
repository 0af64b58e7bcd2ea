"""Computed cures: for a finding that fails or warns, one number of the script that mends it.

Every answer is a run of the script itself: `set` a number to the value named, and the finding holds
while nothing fails that did not fail before. A maker's reluctance decides which number
(`number.Reluctance`), then the least change that brings the finding to its limit. That number is
then moved on to where the finding no longer warns, where that breaks nothing and warns of nothing
new. Values are those a maker can set (`number.GRIDS`), within SPAN of the present ones:

1. a small step of every number tells what it stands for, whether it moves the finding, and how far
   the limit is;
2. the numbers that move it are followed to the limit, those first that a maker is least unwilling
   to change (`line`);
3. where none serves, each number is tried over its whole span.

A finding that is gone counts as held when its parts and voids are still there and its check still
answers. The search is bounded by time; what it did not come to, it says.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.table import NETS
from bodycad.cure.goal import Goal, Outcome, curable, outcome
from bodycad.cure.line import NARROW, dip, flat, narrowed, nearest, onward, samples, window
from bodycad.cure.number import GRIDS, SPAN, Number, Reluctance, numbers
from bodycad.cure.runs import EVERY, Cure, Runs, Search, Wish
from bodycad.cure.worker import Ask, Task
from bodycad.script import Script

SECONDS = 2.0
"""So long is looked for cures, unless the maker says otherwise."""
STEPS, MORE = 24, 10
"""Rounds of runs on the line of one number, and on the way from its limit to where it no longer
warns, at the most."""
DIPS = 4
"""So often a dip of the figure is looked for between values that were stepped over."""
ABREAST = 2
"""Lines that one search follows at a time."""
PROOFS = 4
"""So many values of one line are put to all checks at the most."""

Line = Generator[list[Ask], Sequence[Outcome | None], Cure | None]
Values = Mapping[float, Outcome | None]


@dataclass(frozen=True)
class Told:
    """A finding of the report, what was found for it in words, and the setting that cures it; or
    the numbers that were not tried to the end."""

    finding: Finding
    words: str
    change: tuple[str, float] | None = None
    left: tuple[str, ...] = ()

    @property
    def improved(self) -> Finding:
        """The finding with these words before its usual cure."""
        joint = "; or " if self.change else "; "
        words = f"{self.words}{joint}{self.finding.cure}" if self.finding.cure else self.words
        return replace(self.finding, cure=words, change=self.change)


def with_cures(report: Report, told: Sequence[Told]) -> Report:
    """The report with what was found for its findings."""
    found = {one.finding.identity: one.improved for one in told}
    return replace(report, findings=tuple(found.get(f.identity, f) for f in report.findings))


def cures(
    report: Report,
    script: Script,
    values: Mapping[str, Any] | None = None,
    seconds: float = SECONDS,
    tell: Callable[[str], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
    since: float | None = None,
) -> tuple[Told, ...]:
    """What cures each finding of a report that fails or warns, as far as `seconds` allow, by
    `clock`, from `since` on (from now).

    `values` are those that the report's design was made with in place of the script's defaults. For
    a report without such findings, or without time, nothing is run."""
    until = (clock() if since is None else since) + seconds
    base = outcome(report)
    wrong = [f for f in report.findings if curable(f)]
    # A net says over again what another check says by name; where it is alone, it is heard.
    named = {f.status for f in wrong if f.check not in NETS}
    wrong = [f for f in wrong if f.check not in NETS or not named & {"fail", f.status}]
    goals = [Goal(f, base, clear=f.status == "warn") for f in wrong]
    if not goals or seconds <= 0.0:
        return ()
    own = numbers(script, values or {})
    task = Task(script.path, script.text, dict(values or {}), script.tables)
    every = frozenset(goal.check for goal in goals)
    with Runs(task, until, clock, tell) as runs:
        wishes = runs.drive([_search(goal, own, every) for goal in goals])
    # A run made for one finding may have cured another that was not come to.
    ends = [
        replace(wish, best=runs.cured(goal.cured, own)) if wish.best is None else wish
        for goal, wish in zip(goals, wishes)
    ]
    return tuple(_told(goal, wish, runs.late, seconds) for goal, wish in zip(goals, ends))


def _told(goal: Goal, wish: Wish, late: bool, seconds: float) -> Told:
    best = wish.best
    if best is not None:
        clear = goal.to_clear()
        goal = clear if clear.cured(best.proof) else goal
        words = goal.words(best.number.name, best.value, best.number.now, best.proof)
        if best.proof.reluctance is Reluctance.LAST:
            words += f"; {best.number.name} is measured, or neck's or stock's: change it last"
        if late and wish.left and best.proof.reluctance > Reluctance.FREE:
            words += f"; a better one may lie in what was not searched: {', '.join(wish.left)}"
        return Told(goal.finding, words, (best.number.name, best.value))
    if late and wish.left:
        names = ", ".join(wish.left)
        words = f"no cure was found in {seconds:g} s; not searched to the end: {names}"
        words += f" (--cures {10.0 * seconds:g} looks longer)"
        return Told(goal.finding, words, None, wish.left)
    return Told(goal.finding, "no single number of the script cures this")


def _search(goal: Goal, own: Sequence[Number], every: frozenset[str]) -> Search:
    """The cure of one finding, as `runs.Runs` drives it. `every`: the checks of all searches, asked
    together where all want the same values.

    The numbers that change what the finding is about come before the others, of each those first
    that a maker is least unwilling to change. All are followed by their slopes before any is tried
    over its whole span; where the finding has no figure, each as its turn comes."""
    names = tuple(number.name for number in own)
    made = yield Wish(tuple((n.name, n.moved(n.step), frozenset[str]()) for n in own), None, names)
    kinds = {n: Reluctance.FREE if run is None else run.reluctance for n, run in zip(own, made)}
    about = {n: run is None or goal.about(run) for n, run in zip(own, made)}
    left = tuple(n.name for n in own if kinds[n] is not Reluctance.NEVER)
    probes = dict[Number, dict[float, Outcome | None]]()

    best: Cure | None = None
    near, wide = [(True, False), (False, False)], [(True, True), (False, True)]
    if goal.short_now is None:  # no slope leads anywhere
        near, wide = [(True, False), (True, True)], [(False, False), (False, True)]
    for related, far in (*near, *wide):
        for kind in (Reluctance.FREE, Reluctance.SIZE, Reluctance.LAST):
            if best is not None and kind >= best.proof.reluctance:
                break
            group = [n for n in own if kinds[n] is kind and about[n] is related]
            if not far:
                probes |= yield from _probed(group, every, best, left)
                group = [n for n in group if _distance(goal, n, probes[n]) < 2.0 * SPAN]
            group.sort(key=lambda n: (_distance(goal, n, probes[n]), n.name))
            lines = [
                (
                    n,
                    _distance(goal, n, probes[n]),
                    _line(goal, n, probes[n], every if far else None),
                )
                for n in group
            ]
            found, left = yield from _abreast(lines, left, best, far)
            best = found or best
    return Wish((), best, left)


def _probed(
    group: Sequence[Number], every: frozenset[str], best: Cure | None, left: tuple[str, ...]
) -> Generator[Wish, Sequence[Outcome | None], dict[Number, dict[float, Outcome | None]]]:
    """Each number with a small step up; where that is refused, down."""
    probes: dict[Number, dict[float, Outcome | None]] = {number: {} for number in group}
    for sign in (1, -1):
        asks = [(n, n.moved(sign * n.step)) for n in group if not any(probes[n].values())]
        made = yield Wish(tuple((n.name, value, every) for n, value in asks), best, left)
        for (number, value), run in zip(asks, made):
            probes[number][value] = run
    return probes


def _distance(goal: Goal, number: Number, probes: Values) -> float:
    """How far the limit seems by a small step: infinite where that moves nothing."""
    found = float("inf")
    for value, run in probes.items():
        short = goal.short(run)
        if goal.held(run):
            found = min(found, number.change(value))
        elif short is not None and goal.short_now is not None and short != goal.short_now:
            found = min(found, goal.short_now * number.change(value) / abs(short - goal.short_now))
    return found


def _abreast(
    lines: Sequence[tuple[Number, float, Line]],
    left: tuple[str, ...],
    fallback: Cure | None,
    far: bool,
) -> Generator[Wish, Sequence[Outcome | None], tuple[Cure | None, tuple[str, ...]]]:
    """Follow lines, ABREAST at a time, each with how far the limit seems; the best cure, and the
    numbers left (of lines that go `far`). `fallback`: what is told until one is found."""
    best, waiting, active = None, list(lines), list[tuple[Number, Line, list[Ask]]]()
    while True:
        while waiting and len(active) < ABREAST:
            number, distance, line = waiting.pop(0)
            if best is None or far or distance < 2.0 * best.number.change(best.enough):
                active.append((number, line, []))
        if not active:
            return best, left
        asks = tuple(ask for _, _, own in active for ask in own)
        made = iter((yield Wish(asks, best or fallback, left, far)))
        going = list[tuple[Number, Line, list[Ask]]]()
        for number, line, own in active:
            try:
                wanted = line.send([next(made) for _ in own]) if own else next(line)
                going.append((number, line, wanted))
            except StopIteration as end:
                found: Cure | None = end.value
                best = min((c for c in (best, found) if c), key=lambda c: c.key, default=None)
                left = tuple(name for name in left if not far or name != number.name)
        active = going


def _line(goal: Goal, number: Number, known: Values, every: frozenset[str] | None) -> Line:
    """The nearest cure on the line of one number, moved on to where the finding no longer warns if
    that can be. `every`: the number is tried over its whole span, at values that other searches may
    want with those checks."""
    runs = dict(known)
    held = yield from _reached(goal, number, runs, every, STEPS, first=True)
    if held is None:
        return None
    if not goal.clear:
        found = yield from _proven(goal.to_clear(), number, runs, None, MORE)
        if found is not None:
            return replace(found, enough=held)
    return (yield from _proven(goal, number, runs, every, STEPS))


def _proven(
    goal: Goal,
    number: Number,
    runs: dict[float, Outcome | None],
    every: frozenset[str] | None,
    steps: int,
) -> Line:
    """The nearest cure on a line, by a run of all checks. What that breaks must hold too from then
    on."""
    spot: float | None = None
    for _ in range(PROOFS):
        spot = yield from _reached(goal, number, runs, every, steps, spot)
        if spot is None:
            return None
        (run,) = yield [(number.name, spot, EVERY)]
        runs[spot] = run if run is not None and run.whole else None
        if run is not None and goal.cured(run):
            return Cure(number, spot, run, spot)
        if run is not None and run.whole:
            goal = goal.watching(goal.broken(run))
    return None


def _reached(
    goal: Goal,
    number: Number,
    runs: dict[float, Outcome | None],
    every: frozenset[str] | None,
    steps: int,
    spot: float | None = None,
    first: bool = False,
) -> Generator[list[Ask], Sequence[Outcome | None], float | None]:
    """The nearest value on a line at which the finding holds, and what is watched (`first`: the
    first one found); the runs are put to the others. `spot`: a value where the finding held and
    something else did not."""
    rungs = number.rungs if every and spot is None else []
    dips = steps if every else DIPS
    fine, asked = spot is not None, dict[float, frozenset[str]]()
    for _ in range(steps + len(rungs)):
        tried, checks = samples(goal, number, runs), goal.checks
        held = nearest(number, tried)
        values: list[float | None]
        if held is not None and goal.watch and not asked.get(held.value, frozenset()) >= checks:
            values = [held.value]  # what is watched may not have been asked there
        elif held is not None:
            values = [narrowed(number, tried, GRIDS[-1] if fine else None)]
            if first or values == [None]:
                return held.value
        else:
            values = [None if spot is None else window(number, tried, spot)]
            if values == [None]:
                spot, values = None, [onward(number, tried, sign) for sign in (1, -1)]
            if values == [None, None] and rungs:
                values, rungs = list(rungs[:2]), rungs[2:]
                checks |= every or checks
            elif values == [None, None] and dips and not flat(tried):
                values, dips = [dip(number, tried, NARROW * number.unit)], dips - 1
        found = [value for value in values if value is not None]
        if not found:
            return None
        made = yield [(number.name, value, checks) for value in found]
        for value, run in zip(found, made):
            runs[value] = run
            asked[value] = asked.get(value, frozenset()) | checks
    return None
