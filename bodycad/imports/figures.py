"""What a maker asks of an outline before anything is placed in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.profile import Point, Profile
from bodycad.geometry.plane.region import grown, nearest, polygon
from bodycad.layout.measures import measures

STEP, SPAN = 2.0, 0.02
"""A neck of wood is looked for at widths this far apart, and then told to within the second,
mm."""
SAGITTA = 0.01


@dataclass(frozen=True)
class Figures:
    """Sizes of an outline, mm and mm2. `inside`: the least radius of its hollows, 0 where they are
    sharp, None where it has none, and where; `neck`: the narrowest neck of wood, and where, None
    where no part hangs on a narrower one; `asymmetry`: how far it is off its mirror image."""

    length: float
    width: float
    around: float
    area: float
    inside: float | None
    inside_at: Point | None
    neck: float | None
    neck_at: Point | None
    asymmetry: float


def figures(shape: Profile) -> Figures:
    """The figures of an outline."""
    points, radii = shape.outside_corners
    tight = int(radii.argmin()) if len(radii) else None
    found = narrowest(shape)
    return Figures(
        *measures(shape),
        around=shape.length,
        area=shape.area,
        inside=None if tight is None else float(radii[tight]),
        inside_at=None if tight is None else (float(points[tight, 0]), float(points[tight, 1])),
        neck=found[0] if found else None,
        neck_at=found[1] if found else None,
        asymmetry=asymmetry(shape),
    )


def narrowest(shape: Profile) -> tuple[float, Point] | None:
    """The narrowest neck of wood: the width (mm) of the least disc that no longer passes from one
    part of the shape into another, and the middle of that place; None where there is no such."""
    whole, width = polygon(shape, SAGITTA), STEP
    while True:
        inner = grown(whole, -width / 2.0)
        if inner.is_empty:
            return None
        if inner.geom_type == "MultiPolygon":
            break
        width += STEP
    low, high = width - STEP, width
    while high - low > SPAN:
        middle = (low + high) / 2.0
        tried = grown(whole, -middle / 2.0)
        if tried.geom_type == "MultiPolygon":
            high, inner = middle, tried
        else:
            low = middle
    parts = sorted(inner.geoms, key=lambda part: -part.area)
    (x0, y0), (x1, y1) = nearest(parts[0], parts[1])
    return low, ((x0 + x1) / 2.0, (y0 + y1) / 2.0)


def asymmetry(shape: Profile) -> float:
    """How far the outline is off its own mirror image about the centreline, mm."""
    s = shape.segments
    count = np.clip(np.ceil(s.length).astype(int), 2, 400)
    index = np.repeat(np.arange(len(s)), count)
    share = np.concatenate([np.arange(n) / n for n in count.tolist()])
    points = s.take(index).at(share) * [1.0, -1.0]
    size = max(1, 400_000 // len(s))
    parts = [s.away(points[k : k + size])[0].max() for k in range(0, len(points), size)]
    return float(max(parts, default=math.nan))
