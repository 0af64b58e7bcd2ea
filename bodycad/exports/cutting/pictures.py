"""Drawings of the cut order, as SVG in a page that has the style sheet: what each set-up cuts, and
the blank."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.exports.coordinates import bass_or_treble
from bodycad.exports.plan import contour_extent
from bodycad.exports.svg import View, drawing, element, group, line, num, path, view_of, words
from bodycad.geometry.plane.arrange import Region
from bodycad.layout.core import beside_neck
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void, mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.making.blank_plan import WASHER, BlankPlan, blank_plan
from bodycad.making.ledges import rings
from bodycad.making.step import SetUp, Step
from bodycad.words import SIDES, Face

MARGIN = 12.0
"""Sheet round what is drawn, mm."""
LETTER = 9.0
"""Height of the figures of a step on a body's drawing, mm; less on a small piece."""


def set_up_picture(layout: Layout, one: SetUp, done: Iterable[Job]) -> tuple[str, float] | None:
    """What a set-up cuts, its steps' numbers beside it, over what is cut already; and its width in
    mm. None at the bench."""
    if one.hold is Hold.BENCH:
        return None
    piece, face = one.piece, one.face if one.face in SIDES else Face.FRONT
    view = view_of(face or "front")
    x0, y0, x1, y1 = box = _box(piece, view, one.hold is Hold.FLAT)
    body = piece.skin.outline
    freed = any(job.work is Work.OUTLINE and job.piece is piece for job in done)
    drawn = [path(view.path(body), "wood")]
    if piece.blank is not None and not freed:
        drawn.append(path(view.path(piece.blank.plan), "blank"))
    drawn += [path(view.path(v.shape.plan), "hidden") for v in _before(piece, done)]
    drawn.append(path(view.path(body), "line"))
    tall = min(LETTER, (x1 - x0) / 14.0)
    for step in one.steps:
        drawn += _shapes(layout, step, face or Face.FRONT, view)
    if piece.blank is not None and not freed:
        drawn.append(_pins(piece, view))
    drawn += _numbers(one, view, tall)
    title = f"{layout.name}: set-up {one.number}, {piece.id}"
    return drawing(box, title, group(drawn), False, "setup"), x1 - x0


def _box(piece: Workpiece, view: View, waste: bool) -> tuple[float, float, float, float]:
    """The sheet round a piece, with its blank where that is still there."""
    x0, y0, x1, y1 = piece.skin.outline.box
    blank = piece.blank
    if blank is not None and waste:
        x0, y0, x1, y1 = blank.x0, blank.y0, blank.x1, blank.y1
    edge = min(MARGIN, (x1 - x0) / 12.0)
    low, high = sorted((view.up * y0, view.up * y1))
    return x0 - edge, low - edge, x1 + edge, high + edge


def _pins(piece: Workpiece, view: View) -> str:
    assert piece.blank is not None
    rows = []
    for pin in piece.blank.pins:
        x, y = view.point(pin.x, pin.y)
        title = element("title", "datum pin")
        rows.append(element("circle", title, cx=x, cy=y, r=pin.diameter / 2.0, class_="line"))
    return group(rows)


def _before(piece: Workpiece, done: Iterable[Job]) -> Iterator[Void]:
    for job in done:
        if job.void is not None and job.piece is piece and job.work is Work.VOID:
            yield job.void


def _shapes(layout: Layout, step: Step, face: Face, view: View) -> Iterator[str]:
    """What a step cuts, filled."""
    for job in step.jobs:
        title = f"step {step.number}: {job.ids[0] if job.ids else job.work.value}"
        if job.void is not None:
            plan = job.void.shape.plan
            if not job.void.shape.upright and job.void.face in SIDES and job.void.opens:
                yield path(view.path(mouth(job.void, job.void.face, job.piece.thickness)), "line")
            yield path(view.path(plan), "void d3", title)
        elif job.contour is not None:
            for region, _ in contour_extent(job.contour, job.piece):
                yield _region(region, view, "level", title)
        elif job.work is Work.LEDGE:
            for ring in rings(job.piece, str(face)):
                yield _region(ring.region, view, "void d2", title)
        elif job.work is Work.WASTE:
            yield from _waste(layout, view, title)
        elif job.work in (Work.OUTLINE, Work.EDGE, Work.BINDING):
            for way in beside_neck(job.piece, 0.0, 0.0):
                data = view.path(job.piece.skin.outline) if way is None else view.way(way)
                yield path(data, "flange", title)


def _waste(layout: Layout, view: View, title: str) -> Iterator[str]:
    plan = blank_plan(layout)
    for region in plan.approach if plan is not None else ():
        yield _region(region, view, "void d2", title)


def _region(region: Region, view: View, style: str, title: str) -> str:
    data = "".join(view.path(shape) for shape in (region.outer, *region.holes))
    return path(data, style, title, fill_rule="evenodd")


def _numbers(one: SetUp, view: View, tall: float) -> Iterator[str]:
    """Each step's number where it cuts, clear of the numbers before it."""
    taken: list[tuple[float, float]] = []
    for step in one.steps:
        for x, y in _spots(step, view):
            while any(abs(x - a) < 1.3 * tall and abs(y - b) < 1.05 * tall for a, b in taken):
                y += 1.1 * tall
            taken.append((x, y))
            yield words(
                x, y + 0.36 * tall, str(step.number), tall, "label", "middle", font_weight=700
            )


def _spots(step: Step, view: View) -> list[tuple[float, float]]:
    """Where a step cuts; of a row of holes the first and the last place."""
    spots = []
    for job in step.jobs:
        if job.void is not None:
            spots.append(view.point(*job.void.shape.plan.centroid))
        elif job.contour is not None:
            extent = contour_extent(job.contour, job.piece)
            spots += [view.point(*region.outer.centroid) for region, _ in extent]
        elif job.work is Work.WASTE and job.piece.blank is not None:
            spots.append(view.point(job.piece.blank.x1 - 4.0 * LETTER, 0.0))
        elif job.work in (Work.OUTLINE, Work.EDGE, Work.LEDGE):
            x, y = job.piece.skin.outline.vertices[0, :2].tolist()
            spots.append(view.point(x, y))
    holes = all(job.void is not None and job.void.shape.hole is not None for job in step.jobs)
    return [spots[0], spots[-1]] if holes and len(spots) > 2 else spots


def blank_picture(layout: Layout, plan: BlankPlan) -> tuple[str, float]:
    """The blank seen from the front: joints, grain, waste, pins, tabs, hold-downs."""
    blank, view = plan.blank, view_of("front")
    low, high = -blank.y1, -blank.y0
    far = blank.x1 if plan.core is None else plan.core.box[2]
    box = blank.x0 - 40.0, low - 30.0, max(blank.x1 + 40.0, far + 12.0), high + 34.0
    board = view.path(blank.plan)
    rows = [path(board, "wood"), *_grain(blank.x0, blank.x1, low, high), path(board, "line")]
    if plan.core is not None:
        core = view.path(plan.core)
        rows += [path(core, "wood", "the core runs on"), path(core, "line")]
    rows += [_region(region, view, "void d2", "cleared for the neck") for region in plan.approach]
    rows += [line((blank.x0, -y), (blank.x1, -y), "glue") for y in blank.joints]
    rows.append(line((blank.x0 - 12.0, 0.0), (blank.x1 + 12.0, 0.0), "axis"))
    rows.append(line((0.0, low - 12.0), (0.0, high + 12.0), "axis"))
    rows.append(path(view.path(layout.skin.outline), "line", "the outline"))
    rows += [path(view.path(tab.region.outer), "bar", "tab") for tab in plan.tabs]
    rows += [_hold(*view.point(x, y), k) for k, (x, y) in enumerate(plan.holds, 1)]
    for k, pin in enumerate(blank.pins, 1):
        x, y = view.point(pin.x, pin.y)
        r = pin.diameter / 2.0
        rows.append(element("circle", cx=x, cy=y, r=r, class_="line"))
        rows += [line((x - 2 * r, y), (x + 2 * r, y), "thin"), line((x, y - 2 * r), (x, y + 2 * r))]
        rows.append(words(x + 2.4 * r, y - 1.4 * r, f"pin {k}", 7.0, "label"))
    rows += _sizes(plan, low, high)
    side = bass_or_treble(layout)
    rows.append(words(blank.x0 + 4.0, low - 14.0, f"{side} side", 7.0))
    rows.append(words(blank.x1 - 4.0, low - 14.0, "neck end", 7.0, None, "end"))
    title = f"{layout.name}: the blank, seen from the front"
    return drawing(box, title, group(rows), False, "blankplan"), box[2] - box[0]


def _grain(x0: float, x1: float, low: float, high: float) -> Iterator[str]:
    """Lines along the grain."""
    count = 9
    for k in range(1, count):
        y = low + (high - low) * k / count
        inset = 14.0 + 22.0 * (k % 3)
        yield line((x0 + inset, y), (x1 - inset, y), "hatch")


def _hold(x: float, y: float, k: int) -> str:
    title = element("title", f"hold-down {k}")
    disc = element("circle", title, cx=x, cy=y, r=WASHER / 2.0, class_="clear")
    return group([disc, words(x, y + 2.4, f"H{k}", 6.5, "label", "middle")])


def _sizes(plan: BlankPlan, low: float, high: float) -> Iterator[str]:
    blank = plan.blank
    across = f"{blank.x1 - blank.x0:.1f} mm"
    foot, side = high + 16.0, blank.x1 + 16.0
    yield line((blank.x0, foot), (blank.x1, foot), "dim")
    yield words((blank.x0 + blank.x1) / 2.0, foot + 10.0, across, 8.0, None, "middle")
    yield line((side, low), (side, high), "dim")
    tall = f"{blank.y1 - blank.y0:.1f} mm"
    turned = f"rotate(-90 {num(side + 10.0)} {num((low + high) / 2.0)})"
    yield words(side + 10.0, (low + high) / 2.0, tall, 8.0, None, "middle", transform=turned)
