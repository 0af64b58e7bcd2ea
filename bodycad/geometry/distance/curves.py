"""Branch and bound along curves: the rims, uprights and sweep lines of prisms and carves.

Where two faces come nearest they share their normal. On prisms and carves such points fill straight
lines or lie on the curves given here, so one of the two nearest points always lies on one of these
curves. The other is the nearest point of the other solid, which `closest` gives."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.distance.search import BOUND, MOST_CELLS, Best, Closest
from bodycad.geometry.plane.profile import arcs_facing
from bodycad.geometry.plane.segments import portions
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism

CELL = 8.0
"""Length of the pieces of curve that a search begins with, mm."""

Measure = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray, np.ndarray]]
"""For curve points (m, 3): distance (m,), and the pair of points (m, 3) that shows it."""


@dataclass(frozen=True, eq=False)
class Curves:
    """n curves: `at(index, t)` are the points (m, 3) of curves `index` (m,) at fractions `t` (m,);
    `length` (n,) is how far at most a point travels over each whole curve, mm, at a steady pace."""

    length: np.ndarray
    at: Callable[[np.ndarray, np.ndarray], np.ndarray]


def search_curves(curves: Curves, measure: Measure, best: Best) -> None:
    """Offer `best` the least distance along the curves, to within BOUND / 2.

    `measure` must not change faster than one travels along a curve."""
    count = np.maximum(np.ceil(curves.length / CELL), 1.0).astype(int)
    index, place = portions(count)
    t, half = (place + 0.5) / count[index], 0.5 / count[index]
    while len(index):
        distance, one, two = measure(curves.at(index, t))
        best.offer(distance, one, two)
        radius = half * curves.length[index]
        if best.settled:
            return
        if len(index) > MOST_CELLS:
            best.bound = max(best.bound, float(radius.max()))
            return
        keep = distance - radius < best.distance - BOUND / 2.0
        index, t, half = index[keep], t[keep], half[keep] / 2.0
        index, t, half = np.tile(index, 2), np.concatenate([t - half, t + half]), np.tile(half, 2)


def to_shape(closest: Closest, swapped: bool = False) -> Measure:
    """The measure from a curve's points to what `closest` measures; `swapped` turns pairs round."""

    def measure(points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        distance, foot = closest(points)
        return (distance, foot, points) if swapped else (distance, points, foot)

    return measure


def top_rim(prism: Prism) -> Curves:
    """The outline of a prism's level top."""
    s = prism.profile.segments
    return Curves(s.length, lambda index, t: _lifted(s.take(index).at(t), prism.high))


def floor_rim(prism: Prism) -> Curves:
    """The outline of a prism's floor, as it climbs and falls."""
    s = prism.profile.segments

    def at(index: np.ndarray, t: np.ndarray) -> np.ndarray:
        plan = s.take(index).at(t)
        return np.column_stack([plan, prism.floor_at(plan)])

    return Curves(s.length * math.hypot(1.0, *prism.slope), at)


def uprights(prism: Prism, way: float) -> Curves:
    """The upright lines of a prism's walls at its corners and where an arc faces the plan direction
    `way` (radians) or turns away from it."""
    s = prism.profile.segments
    plan = np.vstack([s.a, arcs_facing(s, (way, way + math.pi))])
    return lines(np.column_stack([plan, prism.floor_at(plan)]), _lifted(plan, prism.high))


def carve_curves(carve: Carve, angles: tuple[float, ...]) -> tuple[Curves, Curves]:
    """The outlines of a carve's two ends, and its sweep lines: through the section's corners and
    where an arc of it faces one of `angles` (radians in the section's own plane)."""
    s = carve.section.segments
    n = len(s)

    def swept(flat: np.ndarray, along: np.ndarray) -> np.ndarray:
        return carve.world(np.column_stack([flat[:, 0], along, flat[:, 1]]))

    def ends(index: np.ndarray, t: np.ndarray) -> np.ndarray:
        flat = s.take(index % n).at(t)
        return swept(flat, np.array(carve.span)[index // n])

    spots = np.vstack([s.a, arcs_facing(s, angles)])
    one, two = (swept(spots, np.full(len(spots), v)) for v in carve.span)
    return Curves(np.tile(s.length, 2), ends), lines(one, two)


def lines(one: np.ndarray, two: np.ndarray) -> Curves:
    """Straight lines from points `one` (n, 3) to points `two` (n, 3)."""
    way = two - one
    return Curves(np.linalg.norm(way, axis=1), lambda k, t: one[k] + t[:, None] * way[k])


def curtain(one: Prism, two: Prism) -> tuple[Curves, Measure]:
    """The wall of prism `one`, as its plan outline, and for each plan point the distance from the
    whole upright line of the wall there to prism `two`, with the pair of points that shows it."""
    s, top = two.profile.segments, one.high

    def measure(points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        plan, rows = points[:, :2], np.arange(len(points))
        feet, away = s.feet(plan)
        inside = s.encloses(plan)
        feet = np.concatenate([feet, plan[:, None, :]], axis=1)
        away = np.column_stack([away, np.where(inside, 0.0, np.inf)])
        low = np.maximum(one.floor_at(plan)[:, None], two.floor_at(feet))
        high = min(top, two.high)
        distance = np.hypot(away, np.maximum(low - high, 0.0))
        k = np.argmin(distance, axis=1)
        own, other = one.floor_at(plan), two.floor_at(feet[rows, k])
        middle = (low[rows, k] + high) / 2.0
        p = np.column_stack([plan, np.clip(middle, own, top)])
        q = np.column_stack([feet[rows, k], np.clip(middle, other, two.high)])
        distance = distance[rows, k]
        if two.tilted:
            under, foot = two.closest(_lifted(plan, top))
            nearer = under < distance
            p[nearer], q[nearer] = _lifted(plan, top)[nearer], foot[nearer]
            distance = np.minimum(distance, under)
        return distance, p, q

    pace, wall = math.hypot(1.0, *one.slope), top_rim(one)
    return Curves(wall.length * pace, wall.at), measure


def search_floor(prism: Prism, closest: Closest, best: Best) -> None:
    """Offer `best` the least distance from the floor's face off its rim, to within BOUND / 2."""
    s, steep = prism.profile.segments, math.hypot(1.0, *prism.slope)
    x0, y0, x1, y1 = prism.profile.box
    side = max(x1 - x0, y1 - y0) / 8.0
    half = side / 2.0
    grid = np.meshgrid(np.arange(x0 + half, x1 + side, side), np.arange(y0 + half, y1 + side, side))
    cells = np.stack(grid, -1).reshape(-1, 2)
    while len(cells):
        radius = half * math.sqrt(2.0)
        inside = s.encloses(cells)
        reaches = inside | (s.nearest(cells)[0] <= radius)
        cells, inside = cells[reaches], inside[reaches]
        points = np.column_stack([cells, prism.floor_at(cells)])
        distance, foot = closest(points)
        if inside.any():
            best.offer(distance[inside], points[inside], foot[inside])
        if len(cells) > MOST_CELLS:
            best.bound = max(best.bound, radius * steep)
            return
        cells = cells[distance - radius * steep < best.distance - BOUND / 2.0]
        half /= 2.0
        corners = half * np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]])
        cells = (cells[:, None, :] + corners).reshape(-1, 2)


def _lifted(plan: np.ndarray, z: float) -> np.ndarray:
    return np.column_stack([plan, np.full(len(plan), z)])
