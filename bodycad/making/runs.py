"""Which tools make a job, in which passes, and how long that takes by the shop's pace."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bodycad.checks.order.approach import Approach, approach_to
from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.solids.edge import Ledge
from bodycad.layout.layout import Layout
from bodycad.making.bearings import rebate_bit
from bodycad.making.cuts import Cut, cuts
from bodycad.making.holes import holes
from bodycad.making.passes import passes
from bodycad.making.rest import taken
from bodycad.making.step import Minutes, Run
from bodycad.shop import Shop
from bodycad.tools import FLAT, Cutter, EdgeBit
from bodycad.words import EdgeForm

BENCH = {
    Work.TEST: 20.0,
    Work.GLUE_UP: 45.0,
    Work.PLANE: 45.0,
    Work.PINS: 10.0,
    Work.FIT: 45.0,
    Work.BINDING: 90.0,
    Work.HEEL: 20.0,
    Work.GLUE_NECK: 30.0,
    Work.ASSEMBLY: 240.0,
}
"""Minutes at the bench, drying left out: a guess (common practice, no source)."""
BY_HAND = "by hand"


def runs_of(jobs: Sequence[Job], layout: Layout) -> tuple[Run, ...]:
    """The tools of a step's jobs, in the order in which they are put in; none for the bench and
    for what is shaped by hand."""
    found: dict[tuple[object, ...], Run] = {}
    for run in _runs(jobs, layout):
        found.setdefault((run.tool, run.start, run.depth, run.rest), run)
    return tuple(found.values())


def _runs(jobs: Sequence[Job], layout: Layout) -> Iterator[Run]:
    for job in jobs:
        if job.work is Work.PINS and job.piece.blank is not None:
            for size in sorted({float(pin.diameter) for pin in job.piece.blank.pins}):
                yield Run(f"{size:g} mm drill", 0.0, job.piece.thickness)
        elif job.work is Work.WASTE:
            yield from _waste(job, layout)
        elif job.void is not None and job.void.shape.hole is not None:
            yield from _drills(job, layout)
        else:
            for cut in _cuts(job, layout):
                down = _passes(cut, layout)
                yield Run(
                    _led(job) or _named(cut.tool),
                    float(cut.start),
                    float(cut.depth),
                    down,
                    cut.rest,
                )


def _led(job: Job) -> str:
    """The bit that the side guides, of a ledge that follows a carved face."""
    return rebate_bit(job.edge) if job.hold is Hold.FREE and isinstance(job.edge, Ledge) else ""


def _drills(job: Job, layout: Layout) -> Iterator[Run]:
    """A hole's drill; where it is met from both faces, to the middle and a little on."""
    assert job.void is not None
    hole = next(h for h in holes(layout) if h.id == job.void.id and h.piece == job.piece.id)
    bit = hole.bit if hole.drill else "hole, no drill on hand"
    deep = hole.full / 2.0 + 0.5 if hole.both else hole.full
    tip = round(deep + hole.tip - hole.full, 9) if hole.point_deg < FLAT else None
    yield Run(f"{hole.size:.4g} mm {bit}", abs(hole.begin), round(deep, 9), tip=tip)


def _waste(job: Job, layout: Layout) -> Iterator[Run]:
    """The cutter that clears the way of a neck."""
    way, cutter = _way(job, layout)
    if way is not None and cutter is not None:
        down = passes(0.0, way.depth, cutter.diameter, layout.shop)
        yield Run(_named(cutter), 0.0, way.depth, down)


def _way(job: Job, layout: Layout) -> tuple[Approach | None, Cutter | None]:
    """The way of a neck, and the widest cutter that reaches so deep."""
    way = approach_to(layout, job.ids[0])
    able = [c for c in layout.shop.flat_cutters if way and c.reach >= way.depth]
    return way, max(able, key=lambda c: c.diameter, default=None)


def _cuts(job: Job, layout: Layout) -> list[Cut]:
    """The cuts of a job that is routed."""
    if job.work not in (Work.VOID, Work.MEET, Work.LEDGE, Work.EDGE, Work.OUTLINE):
        return []
    own = [c for c in cuts(layout) if c.piece == job.piece.id and c.face is job.face]
    return [c for c in own if set(c.ids) & set(cut_by(job))]


def cut_by(job: Job) -> tuple[str, ...]:
    """The ids of what a job cuts, as cuts and drawings have them."""
    if job.work is not Work.LEDGE:
        return job.ids
    return (f"{job.piece.id}.ledge.{job.stretch}" if job.stretch else f"{job.piece.id}.ledge",)


def _passes(cut: Cut, layout: Layout) -> tuple[float, ...]:
    """Where each pass ends; of an edge bit as deep at once as a cutter of its width may go."""
    if isinstance(cut.tool, EdgeBit):
        wide = cut.tool.bearing + 2.0 * cut.tool.size
        return passes(cut.start, cut.depth, wide, layout.shop)
    return cut.passes


def _named(tool: object) -> str:
    if isinstance(tool, EdgeBit):
        size = "" if tool.form is EdgeForm.CHAMFER else f"{tool.size:g} mm "
        return f"{size}{tool.form} bit, {tool.bearing:g} mm bearing"
    if isinstance(tool, Cutter):
        return f"{tool.diameter:.4g} mm router cutter"
    return f"{getattr(tool, 'diameter', 0.0):.4g} mm drill"


def time_of(jobs: Sequence[Job], layout: Layout, before: str) -> tuple[Minutes, ...]:
    """How long a step takes by the shop's pace, in parts; before: the tool that is in already."""
    return tuple(_time(jobs, layout, before))


def _time(jobs: Sequence[Job], layout: Layout, before: str) -> Iterator[Minutes]:
    pace, first = layout.shop.pace, jobs[0]
    tools = [run.tool for run in runs_of(jobs, layout)]
    changes = sum(a != b for a, b in zip([before, *tools], tools))
    if changes:
        yield Minutes(f"{_count(changes, 'tool')} put in", changes * pace.tool)
    drilled = [j for j in jobs if j.void is not None and j.void.shape.hole is not None]
    if first.work is Work.PINS and first.piece.blank is not None:
        count = len(first.piece.blank.pins)
        yield Minutes(_count(count, "pin hole"), count * pace.hole)
    if drilled:
        yield Minutes(_count(len(drilled), "hole"), len(drilled) * pace.hole)
    if first.work in BENCH and first.work is not Work.PINS:
        yield Minutes("at the bench", BENCH[first.work] * len(jobs))
    for job in jobs:
        if job.work is Work.WASTE:
            yield from _cleared(job, layout)
    if first.contour is not None:
        wood = sum(taken(job) for job in jobs) / 1000.0
        yield Minutes(f"{wood:.0f} cm3 by hand at {pace.carve:g} a minute", wood / pace.carve)
    if not drilled:
        done: list[Cut] = []
        for job in jobs:
            for cut in _cuts(job, layout):
                if not any(cut is one for one in done):
                    done.append(cut)
                    yield _routed(cut, layout)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _cleared(job: Job, layout: Layout) -> Iterator[Minutes]:
    """The time in which the way of a neck is cleared."""
    way, cutter = _way(job, layout)
    if way is not None and cutter is not None:
        area, shop = way.regions, layout.shop
        wide, count = float(cutter.diameter), len(passes(0.0, way.depth, cutter.diameter, shop))
        yield _area(sum(r.area for r in area), _rim(area), wide, count, shop)


def _routed(cut: Cut, layout: Layout) -> Minutes:
    """The time of one cut: of an outline and an edge along the rim, else area and rim."""
    shop, count = layout.shop, max(len(_passes(cut, layout)), 1)
    if isinstance(cut.tool, EdgeBit) or cut.operation == "OUTLINE":
        rim = _rim(cut.area) if cut.along is None else float(cut.along.length.sum())
        words = f"{rim / 1000.0:.2f} m x {count} at {shop.pace.feed / 1000.0:g} m a minute"
        return Minutes(words, rim * count / shop.pace.feed)
    area = sum(region.area for region in cut.area)
    return _area(area, _rim(cut.area), float(cut.tool.diameter), count, shop)


def _area(area: float, rim: float, diameter: float, count: int, shop: Shop) -> Minutes:
    """Back and forth over an area and once along its rim, in each pass."""
    pace = shop.pace
    way = area / (pace.stepover * diameter) + rim
    words = f"{area / 100.0:.0f} cm2, {way / 1000.0:.2f} m x {count} at {pace.feed / 1000.0:g}"
    return Minutes(f"{words} m a minute", way * count / pace.feed)


def _rim(area: Sequence[Region]) -> float:
    rims = (shape.segments.length for region in area for shape in (region.outer, *region.holes))
    return math.fsum(float(length.sum()) for length in rims)
