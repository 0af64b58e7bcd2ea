"""The cut order: every operation by set-up, with tools, passes, what comes before and why, where to
stop and measure, and how long it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from bodycad.checks.order.jobs import Hold, Job, Work, shown
from bodycad.checks.order.rules import Rule, Why, floor
from bodycad.checks.order.sequence import sequence
from bodycad.checks.wood.near import remembered
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.rest import Rest, rests
from bodycad.making.runs import cut_by, runs_of, time_of
from bodycad.making.step import CutOrder, SetUp, Step
from bodycad.making.stops import stops_of
from bodycad.making.told import dangers_of, notes_of, words_of


def cut_order(layout: Layout) -> CutOrder:
    """The order of work of a layout, worked out once. Where no order keeps every rule it ends
    before the jobs that cannot be done: `cut-order` then fails."""
    return remembered(layout, ("making", "order"), lambda: _order(layout))


def steps_of(layout: Layout, piece: Workpiece, face: str) -> Mapping[str, tuple[int, ...]]:
    """The numbers of the steps that cut a workpiece from a face, by the id of what they cut."""
    found: dict[str, tuple[int, ...]] = {}
    for step in cut_order(layout).steps:
        for job in step.jobs:
            here = job.piece.id == piece.id and job.face == face
            if here and (job.work.cuts or job.work is Work.MEET):
                for name in cut_by(job):
                    found[name] = (*found.get(name, ()), step.number)
    return found


def _order(layout: Layout) -> CutOrder:
    found = sequence(layout)
    lies = rests(found.jobs)
    groups = [list(own) for _, own in groupby(found.jobs, key=lambda job: job.place)]
    steps = [[list(own) for _, own in groupby(group, key=_alike)] for group in groups]
    number = {
        job.name: k for k, jobs in enumerate((s for g in steps for s in g), 1) for job in jobs
    }
    needs: dict[str, list[tuple[int, Why]]] = {}
    for rule in found.rules:
        if rule.first in number and rule.then in number:
            needs.setdefault(rule.then, []).append((number[rule.first], rule.why))
    set_ups = []
    for k, (group, own) in enumerate(zip(groups, steps), 1):
        first = group[0]
        made = tuple(_steps(own, layout, number, needs, lies, found.given))
        setup = 0.0 if first.hold is Hold.BENCH else layout.shop.pace.setup
        set_ups.append(SetUp(k, first.piece, first.hold, first.face, made, setup))
    return CutOrder(tuple(set_ups))


def _steps(
    groups: Sequence[list[Job]],
    layout: Layout,
    number: dict[str, int],
    needs: dict[str, list[tuple[int, Why]]],
    lies: Mapping[str, Rest],
    given: Sequence[Rule],
) -> Iterator[Step]:
    tool = ""
    for jobs in groups:
        own = number[jobs[0].name]
        after = {pair for job in jobs for pair in needs.get(job.name, []) if pair[0] != own}
        runs, first = runs_of(jobs, layout), jobs[0].work
        ids = tuple(dict.fromkeys(one for job in jobs for one in job.ids))
        yield Step(
            number=own,
            jobs=tuple(jobs),
            words=words_of(jobs, layout),
            ids=ids,
            runs=runs,
            by_hand=not runs and (first.cuts or first in (Work.WASTE, Work.MEET)),
            after=tuple(sorted(after, key=lambda pair: (list(Why).index(pair[1]), pair[0]))),
            dangers=dangers_of(jobs, layout),
            notes=(*notes_of(jobs, layout), *_given(jobs, given)),
            stops=tuple(stops_of(jobs, layout)),
            time=time_of(jobs, layout, tool),
            rest=lies.get(jobs[0].name),
        )
        tool = runs[-1].tool if runs else tool


def _given(jobs: Sequence[Job], given: Sequence[Rule]) -> Iterator[str]:
    """The rules that gave way at a step."""
    names = {job.name for job in jobs}
    for rule in given:
        if rule.then in names:
            yield f"it cannot wait for {shown(rule.first)}, as it should: {rule.why.value}"


def _alike(job: Job) -> tuple[object, ...]:
    """Jobs with the same answer, one after the other, are one step."""
    if job.work is Work.TEST or job.void is None:
        return (job.name,)
    hole = job.void.shape.hole
    if hole is None:
        deep = round(floor(job.void, job.piece), 2) if job.hold is Hold.FLAT else job.name
        return job.work, job.void.operation, deep
    upright = job.hold is Hold.FLAT
    deep = round(floor(job.void, job.piece), 2) if upright else round(hole.length, 2)
    return job.work, "" if upright else job.name, round(hole.diameter, 3), deep
