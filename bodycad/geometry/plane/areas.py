"""Areas, each a set of regions that do not overlap: joined, cut, grown and shrunk by a disc,
exactly: arcs stay arcs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import overlay
from bodycad.geometry.plane.meet import SNAP
from bodycad.geometry.plane.offset import offset, offset_regions

Area = tuple[Region, ...]
Box = tuple[float, float, float, float]


def size(area: Area) -> float:
    """Its area, mm2."""
    return sum(region.area for region in area)


def combined(areas: Sequence[Area], rule: Callable[[np.ndarray], np.ndarray]) -> Area:
    """Where `rule` holds, which maps membership (areas, m) to a choice (m,), both bool; it must
    deny a point that is in no area."""
    shapes = [shape for area in areas for r in area for shape in (r.outer, *r.holes)]

    def chosen(inside: np.ndarray) -> np.ndarray:
        rows, k = [], 0
        for area in areas:
            held = np.zeros(inside.shape[1], bool)
            for region in area:
                n = len(region.holes)
                held |= inside[k] & ~inside[k + 1 : k + 1 + n].any(axis=0)
                k += 1 + n
            rows.append(held)
        return rule(np.array(rows))

    return overlay(shapes, chosen)


def joined(*areas: Area) -> Area:
    """What lies in one area at least."""
    held = [(region,) for area in areas for region in area]
    if _apart([region.outer.box for (region,) in held]):
        return tuple(region for (region,) in held)
    return combined(held, lambda inside: np.any(inside, axis=0))


def common(one: Area, two: Area) -> Area:
    """What lies in both."""
    two = tuple(r for r in two if _meets(r, [region.outer.box for region in one]))
    one = tuple(r for r in one if _meets(r, [region.outer.box for region in two]))
    return combined((one, two), lambda inside: np.all(inside, axis=0)) if one and two else ()


def less(one: Area, *others: Area) -> Area:
    """What of one area lies in none of the others."""
    boxes = [region.outer.box for region in one]
    held = [tuple(r for r in area if _meets(r, boxes)) for area in others]
    held = [area for area in held if area]
    if not one or not held:
        return one
    return combined((one, *held), lambda inside: inside[0] & ~inside[1:].any(axis=0))


def grown(area: Area, by: float) -> Area:
    """Every point within `by` mm of the area."""
    found = []
    for region in area:
        inner = tuple(p for hole in region.holes for p in offset(hole, -by))
        for made in offset_regions(region.outer, by):
            found.append(Region(made.outer, (*made.holes, *inner)))
    return joined(tuple(found))


def shrunk(area: Area, by: float) -> Area:
    """Every point of the area that is at least `by` mm from its border."""
    found: Area = ()
    for region in area:
        inner = tuple(Region(one) for one in offset(region.outer, -by))
        islands = [offset_regions(hole, by) for hole in region.holes]
        found += less(inner, *islands)
    return found


def _meets(region: Region, boxes: Sequence[Box]) -> bool:
    x0, y0, x1, y1 = region.outer.box
    return any(a <= x1 and x0 <= c and b <= y1 and y0 <= d for a, b, c, d in boxes)


def _apart(boxes: Sequence[Box]) -> bool:
    """Whether no two boxes come within SNAP of each other."""
    table = np.array(boxes).reshape(-1, 4)
    low, high = table[:, None, :2] - SNAP, table[None, :, 2:] + SNAP
    meet = (low <= high).all(axis=2)
    return not np.triu(meet & meet.T, 1).any()
