"""Where shapely comes in: flattened polygons and the broad phase over boxes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from bodycad.errors import InputError, number
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.profile import Profile, flatten

if TYPE_CHECKING:
    from shapely import Polygon

GRID = 1e-8
"""Spacing of the grid on which a union is drawn that failed without one, mm."""


def polygon(shape: Profile | Region, sagitta: float = 0.005, name: str = "a profile") -> Polygon:
    """A shapely polygon, inscribed, whose chords leave the arcs of `shape` by at most `sagitta` mm.

    Nothing is repaired: raises InputError with `name` and place when it is not valid."""
    import shapely

    number(f"{name}: the sagitta", sagitta, above=0.0)
    outer, holes = (shape.outer, shape.holes) if isinstance(shape, Region) else (shape, ())
    made = shapely.Polygon(flatten(outer, sagitta), [flatten(hole, sagitta) for hole in holes])
    if not made.is_valid:
        why, allowed = shapely.is_valid_reason(made), "a chain that does not cross or touch itself"
        raise InputError(name, why, allowed, "draw it as a simple closed chain")
    return made


def filled(polygons: Iterable[np.ndarray]) -> Any:
    """What polygons, each of vertices (m, 2), cover together, as a shapely shape."""
    import shapely

    made = [shapely.Polygon(points) for points in polygons]
    return made[0] if len(made) == 1 else shapely.union_all(made)


def self_crossing(points: np.ndarray) -> str:
    """Where the closed chain through points (m, 2) meets itself, in words; "" where it does not."""
    import shapely

    ring = shapely.LinearRing(points)
    return "" if ring.is_simple else str(shapely.is_valid_reason(shapely.Polygon(ring)))


def prepared(shape: Any) -> Any:
    """The shapely shape itself, made ready to answer many times what lies in it."""
    import shapely

    shapely.prepare(shape)
    return shape


def merged(shapes: Sequence[Any]) -> Any:
    """Shapely shapes as one; an empty one of none.

    Of valid polygons that share borders the library's union is now and then none, and then holds
    what it should not; drawn to a fine grid it is right."""
    import shapely

    if len(shapes) == 1:
        return shapes[0]
    found = shapely.union_all(shapes)
    return found if found.is_valid else shapely.union_all(shapes, grid_size=GRID)


def areas(shape: Any) -> list[Any]:
    """The polygons that a shapely shape is made of, without points and lines."""
    import shapely

    return [part for part in shapely.get_parts(shape) if part.area > 0.0]


def block(box: Sequence[float]) -> Any:
    """The rectangle x0, y0, x1, y1 as a shapely shape."""
    import shapely

    return shapely.box(*box)


def width(shape: Any, enough: float = 0.01) -> tuple[float, tuple[float, float]]:
    """Diameter (mm) of the largest disc inside a shapely shape, to within `enough`, never too
    large but for the chords of `grown`; and a point of the shape where it is that wide."""
    low, high, kept = 0.0, 2.0 * (shape.area / math.pi) ** 0.5 + enough, shape
    while high - low > enough:
        middle = (low + high) / 2.0
        inner = grown(shape, -middle / 2.0)
        if inner.is_empty:
            high = middle
        else:
            low, kept = middle, inner
    spot = kept.representative_point()
    return low, (float(spot.x), float(spot.y))


def nearest(one: Any, two: Any) -> tuple[tuple[float, float], tuple[float, float]]:
    """The points of two shapely shapes that lie nearest to each other."""
    import shapely

    (x0, y0), (x1, y1) = shapely.get_coordinates(shapely.shortest_line(one, two)).tolist()
    return (x0, y0), (x1, y1)


def near_pairs(boxes: np.ndarray, distance: float) -> np.ndarray:
    """Index pairs (m, 2), i < j in rising order, of boxes at most `distance` mm apart.

    `boxes` (n, 4): x0, y0, x1, y1; or (n, 6): x0, y0, x1, y1, z0, z1. Every pair within `distance`
    is there; one further than that by less than 1e-9 mm may be too."""
    import shapely

    number("a search distance", distance, 0.0)
    boxes = np.asarray(boxes, float)
    if boxes.size == 0:
        return np.zeros((0, 2), int)
    if boxes.ndim != 2 or boxes.shape[1] not in (4, 6) or not np.isfinite(boxes).all():
        found = f"an array of shape {boxes.shape}"
        raise InputError("boxes", found, "finite rows of 4 or 6 numbers")
    low, high = boxes[:, [0, 1]], boxes[:, [2, 3]]
    if boxes.shape[1] == 6:
        low, high = np.column_stack([low, boxes[:, 4]]), np.column_stack([high, boxes[:, 5]])
    wrong = np.flatnonzero((low > high).any(axis=1))
    if len(wrong):
        found = f"row {int(wrong[0])} with low above high"
        raise InputError("boxes", found, "low corner, then high corner")
    # Grown boxes that meet, then the true distance: the tree's own `dwithin` misses boxes without
    # an area (two points 1 mm apart are not found within 1.5 mm; GEOS 3.14).
    tree = shapely.STRtree(shapely.box(*boxes[:, :4].T))
    reach = (distance + 2e-9) * np.array([-1.0, -1.0, 1.0, 1.0])
    i, j = tree.query(shapely.box(*(boxes[:, :4] + reach).T))
    i, j = i[i < j], j[i < j]
    apart = np.maximum(np.maximum(low[i] - high[j], low[j] - high[i]), 0.0)
    near = np.sqrt((apart**2).sum(axis=1)) <= distance + 1e-9
    pairs = np.column_stack([i[near], j[near]])
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]


def grouped(count: int, pairs: Iterable[Sequence[int]]) -> list[list[int]]:
    """The numbers below `count` in groups that the pairs join, each rising, by their first ones."""
    root = list(range(count))

    def find(i: int) -> int:
        while root[i] != i:
            i = root[i]
        return i

    for i, j in pairs:
        a, b = sorted((find(int(i)), find(int(j))))
        root[b] = a
    found: dict[int, list[int]] = {}
    for i in range(count):
        found.setdefault(find(i), []).append(i)
    return list(found.values())


def grown(shape: Any, distance: float) -> Any:
    """A shapely shape grown (or, with a negative distance, shrunk) by `distance` mm, for areas and
    broad phases: its round joins are chords of a 128-sided circle, no clearance may rest on it."""
    return shape.buffer(distance, quad_segs=32)


def capsule(one: Sequence[float], two: Sequence[float], radius: float) -> Any:
    """What lies within `radius` mm of the line between two places (x, y), as a shapely shape, for
    broad phases (see `grown`)."""
    import shapely

    return grown(shapely.LineString([one[:2], two[:2]]), radius)
