"""Wood that its cuts part from the rest of a workpiece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from bodycad.checks.wood.near import of_the_cuts
from bodycad.geometry.plane.polygon import even_polygon
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.region import areas, block, capsule, filled, grouped, grown, merged
from bodycad.geometry.solids.solid import Point3, Shape
from bodycad.layout.levels import SAGITTA, Around, around, sections, wood_at
from bodycad.layout.workpiece import Workpiece

HELD = 0.5
"""Wood narrower than this (mm) in plan holds nothing (common practice, no source)."""
AREA = 1.0
"""Two levels hang together where so much wood (mm2) goes on from one to the other."""
LEAST = 1.0
"""What is no larger than this (mm3) is dust."""
TRIED = 8
"""So many levels are tried before all are."""
BESIDE = 1.0
"""A cut this near (mm) to what comes loose takes part in it."""


@dataclass(frozen=True)
class Loose:
    """Wood that hangs on nothing: its volume (mm3), a place in it, and the cuts beside it."""

    volume: float
    at: Point3
    cuts: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Slice:
    """A polygon of wood, as high as its level, between two heights."""

    polygon: Any
    low: float
    high: float


def parted(piece: Workpiece) -> tuple[Loose, ...]:
    """What comes loose from a workpiece when all its cuts are made, largest first.

    Asked level by level, between each two heights at which a cut begins or ends, but only where the
    cuts in plan leave areas untouched that no one level joins: what lies over or under a cut alone
    is a floor, whose thickness others ask."""
    return of_the_cuts(piece, ("parted",), lambda: _parted(piece))


def _parted(piece: Workpiece) -> tuple[Loose, ...]:
    shapes = {void.id: void.shape for void in piece.voids}
    plans = {name: _plan(shape) for name, shape in shapes.items()}
    outline = _drawn(piece.skin.outline)
    apart = _holding(outline.difference(merged(list(plans.values()))) if plans else outline)
    given = list(shapes.values()), list(plans.values())
    if len(apart) < 2 or _joined(apart, *given, outline, piece):
        return ()
    slices = _slices(list(shapes.values()), around(piece.skin))
    pairs = [
        (j, k)
        for k, one in enumerate(slices)
        for j in range(k)
        if slices[j].high == one.low and _goes_on(slices[j].polygon, one.polygon)
    ]
    parts = [[slices[k] for k in own] for own in grouped(len(slices), pairs)]
    parts.sort(key=_volume, reverse=True)
    return tuple(_loose(part, plans) for part in parts[1:] if _volume(part) > LEAST)


def _plan(shape: Shape) -> Any:
    """What a cut takes in plan; of a hole a little more."""
    hole = shape.hole
    if hole is None:
        return _drawn(shape.plan)
    if not hole.upright:
        return capsule(hole.start, hole.end, hole.radius)
    x0, y0, _, x1, y1, _ = hole.box
    return block((x0, y0, x1, y1))


def _drawn(shape: Profile) -> Any:
    return filled([even_polygon(shape, SAGITTA)])


def _joined(
    apart: list[Any], shapes: list[Shape], plans: list[Any], outline: Any, piece: Workpiece
) -> bool:
    """Whether levels clear of the edges join the untouched areas, those first where least is cut.
    A shape that a level crosses is taken there as wide as it is anywhere."""
    skin, pairs = piece.skin, list[tuple[int, int]]()
    carves = [contour.carve for contour in skin.contours]
    spots = [area.representative_point() for area in apart]
    low, high = skin.drop("back") - skin.thickness, -skin.drop("front")
    marks = {round(z, 9) for one in shapes for z in one.critical_heights if low < z < high}
    heights = np.array(sorted({low, high, *marks}))
    levels = (heights[1:] + heights[:-1]) / 2.0
    boxes = np.array([one.box for one in shapes]).reshape(-1, 6)
    crossed = (boxes[:, 2] < levels[:, None]) & (levels[:, None] < boxes[:, 5])
    spread = (boxes[:, 3] - boxes[:, 0]) * (boxes[:, 4] - boxes[:, 1])
    for k in np.argsort(crossed @ spread, kind="stable")[:TRIED]:
        z = float(levels[k])
        cut = [plans[n] for n in np.flatnonzero(crossed[k])]
        cut += sections([one for one in carves if one.box[2] < z < one.box[5]], z)
        for polygon in _holding(outline.difference(merged(cut)) if cut else outline):
            own = [k for k, spot in enumerate(spots) if polygon.contains(spot)]
            pairs += pairwise(own)
        if len(grouped(len(apart), pairs)) == 1:
            return True
    return False


def _holding(shape: Any) -> list[Any]:
    """The polygons of a shape that are wide enough to hold."""
    return areas(grown(shape, -HELD / 2.0))


def _slices(shapes: list[Shape], whole: Around) -> list[_Slice]:
    """The wood that is left, from the back up, in polygons a level high."""
    skin = whole.skin
    marks = skin.edge_heights.union(*(one.critical_heights for one in (*shapes, *whole.shaping)))
    heights = sorted({round(z, 9) for z in marks if -skin.thickness <= z <= 0.0})
    found = list[_Slice]()
    for low, high in zip(heights, heights[1:]):
        left = wood_at(whole, shapes, whole.outline, (low + high) / 2.0)
        found += [_Slice(polygon, low, high) for polygon in _holding(left)]
    return found


def _goes_on(one: Any, two: Any) -> bool:
    return bool(one.intersects(two)) and bool(one.intersection(two).area > AREA)


def _volume(part: list[_Slice]) -> float:
    return sum(float(one.polygon.area) * (one.high - one.low) for one in part)


def _loose(part: list[_Slice], plans: Mapping[str, Any]) -> Loose:
    thick = max(part, key=lambda one: float(one.polygon.area) * (one.high - one.low))
    spot = thick.polygon.representative_point()
    near = grown(merged([one.polygon for one in part]), HELD + BESIDE)
    cuts = tuple(name for name, plan in plans.items() if near.intersects(plan))
    return Loose(_volume(part), (spot.x, spot.y, (thick.low + thick.high) / 2.0), cuts)
