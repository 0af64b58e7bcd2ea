"""An order of the jobs that keeps every rule, set-up by set-up; or the rules that allow none."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bodycad.checks.order.jobs import Hold, Job, Work, jobs
from bodycad.checks.order.rules import Rule, floor, rules
from bodycad.checks.wood.near import remembered
from bodycad.layout.layout import Layout
from bodycad.words import Operation

HOLDS = (Hold.BENCH, Hold.FLAT, Hold.EDGE, Hold.ANGLE, Hold.FREE)
"""Which way of holding comes first where no rule says so."""
WORKS = tuple(Work)
"""Which work comes first where no rule says so."""
AT_ONCE = (Work.WASTE, Work.FIT)
"""Work that is done as soon as it can be, for others wait for what it shows."""


@dataclass(frozen=True, eq=False)
class Order:
    """The jobs of a layout in an order that keeps the rules. clash: rules round a ring, each of
    which wants its `then` after its `first`, where no order keeps them; the order then stops
    short. given: rules of convenience that gave way, so that there is an order."""

    jobs: tuple[Job, ...]
    rules: tuple[Rule, ...]
    clash: tuple[Rule, ...] = ()
    given: tuple[Rule, ...] = ()


def sequence(layout: Layout) -> Order:
    """The order for a layout, worked out once."""
    return remembered(layout, ("sequence",), lambda: _sequence(layout))


def _sequence(layout: Layout) -> Order:
    todo = tuple(jobs(layout))
    return ordered(layout, todo, rules(layout, todo))


def ordered(layout: Layout, todo: Sequence[Job], kept: tuple[Rule, ...]) -> Order:
    """Take jobs for which nothing is left to wait for: those of the set-up at hand as long as there
    are any, then of the set-up that comes first by habit. A set-up is left at once where a job
    that others wait for can be done. Where rules run in a ring, one that yields gives way."""
    found, given = _in_order(layout, todo, kept), list[Rule]()
    while found.clash:
        weak = [rule for rule in found.clash if rule.why.yields]
        if not weak:
            break
        given.append(weak[0])
        found = _in_order(layout, todo, tuple(r for r in found.rules if r not in given))
    return replace(found, given=tuple(given))


def _in_order(layout: Layout, todo: Sequence[Job], kept: tuple[Rule, ...]) -> Order:
    waits, leads = _graph(todo, kept)
    urgent = _before([job.name for job in todo if job.work in (*AT_ONCE, Work.TEST)], waits)
    rank = {job.name: (job.name not in urgent, _rank(layout, job)) for job in todo}
    left, done, here = {job.name: job for job in todo}, list[Job](), ("", "", "")
    while left:
        ready = [job for job in left.values() if not waits[job.name]]
        if not ready:
            break
        own = [job for job in ready if job.place == here]
        at_once = [job for job in ready if job.work in AT_ONCE]
        bench = here[1] == Hold.BENCH
        job = min((own if bench else at_once) or own or ready, key=lambda job: rank[job.name])
        done.append(left.pop(job.name))
        here = job.place
        for name in leads[job.name]:
            waits[name].discard(job.name)
    return Order(tuple(done), kept, _ring(kept, left))


def _graph(
    todo: Sequence[Job], kept: Sequence[Rule]
) -> tuple[dict[str, set[str]], dict[str, set[str]]]:
    """By job: those that it waits for, and those that wait for it."""
    waits: dict[str, set[str]] = {job.name: set() for job in todo}
    leads: dict[str, set[str]] = {job.name: set() for job in todo}
    for rule in kept:
        waits[rule.then].add(rule.first)
        leads[rule.first].add(rule.then)
    return waits, leads


def _before(names: Sequence[str], waits: Mapping[str, set[str]]) -> set[str]:
    """The named jobs and every job that must come before one of them."""
    found, look = set(names), deque(names)
    while look:
        for name in waits[look.popleft()] - found:
            found.add(name)
            look.append(name)
    return found


def _rank(layout: Layout, job: Job) -> tuple[object, ...]:
    """Where a job stands by habit: its piece, how that is held, its face in the order of work, what
    it is; drills before cutters and the wider first, recesses before pockets and the shallower
    first."""
    piece = [one.id for one in layout.pieces].index(job.piece.id)
    faces = list(job.piece.faces)
    face = faces.index(job.face) if job.face in faces else len(faces)
    early = WORKS.index(job.work) if job.hold is Hold.BENCH else 0
    late = job.work in (Work.HEEL, Work.GLUE_NECK, Work.ASSEMBLY)
    work = WORKS.index(Work.VOID if job.work is Work.MEET else job.work)
    place = late, piece, HOLDS.index(job.hold), early, face, work
    void = job.void
    if void is None:
        return (*place, 0, 0.0, 0.0, job.name)
    hole, deep = void.shape.hole, floor(void, job.piece)
    routed = 0 if hole else 1 if void.operation is Operation.RECESS else 2
    wide = -hole.diameter if hole else 0.0
    return (*place, routed, round(wide, 3), round(deep, 3), job.name)


def _ring(kept: Sequence[Rule], left: Mapping[str, Job]) -> tuple[Rule, ...]:
    """A shortest ring of rules among the jobs that no order reaches; none where all are done."""
    own = [rule for rule in kept if rule.first in left and rule.then in left]
    after: dict[str, list[Rule]] = {}
    for rule in own:
        after.setdefault(rule.first, []).append(rule)
    best: tuple[Rule, ...] = ()
    for start in sorted(left):
        found = _home(start, after)
        if found and (not best or len(found) < len(best)):
            best = found
    return best


def _home(start: str, after: Mapping[str, list[Rule]]) -> tuple[Rule, ...]:
    """A shortest way from a job along the rules back to it."""
    came: dict[str, Rule] = {}
    look = deque([start])
    while look:
        here = look.popleft()
        for rule in after.get(here, ()):
            if rule.then == start:
                way = [rule]
                while way[0].first != start:
                    way.insert(0, came[way[0].first])
                return tuple(way)
            if rule.then not in came:
                came[rule.then] = rule
                look.append(rule.then)
    return ()
