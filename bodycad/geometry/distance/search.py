"""The search for the least distance from a bore to any solid that gives its nearest points.

The distance that `closest` gives changes at most as fast as one walks, so a cell of half-size h
round a sample cannot come nearer than the sample's distance less h. Cells that cannot hold the
least distance are dropped, the others are halved."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3, Solid, point3

BOUND = 0.01
"""A searched distance is stated to within this, mm."""

MOST_CELLS = 60_000
"""A search stops refining here; its bound is then the cell size reached."""

MEETS = 1e-9
"""Shapes nearer than this (mm) meet."""

Closest = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Gap:
    """A least distance in mm, how far it may be overstated, and its two witness points.

    `between`: the two solids; "front", "back" or "edge" stands for that surface of the skin, the id
    of a contour for what it takes inside the outline."""

    distance: float
    bound: float
    at: tuple[Point3, Point3]
    between: tuple[Solid | str, Solid | str] | None = field(default=None, compare=False, repr=False)

    def swapped(self) -> Gap:
        """The gap from the second solid to the first."""
        return Gap(self.distance, self.bound, self.at[::-1], self.between and self.between[::-1])


@dataclass
class Best:
    """The least distance found so far, its witnesses, and how far below it the true one may lie.

    `least`: what the distance is known not to fall below; a search that reaches it is over."""

    distance: float
    point: np.ndarray
    foot: np.ndarray
    bound: float = BOUND
    least: float = 0.0

    def offer(self, distances: np.ndarray, points: np.ndarray, feet: np.ndarray) -> None:
        """Take the least of `distances` (m,) with its pair of points (m, 3), if it is less."""
        k = int(np.argmin(distances))
        if distances[k] < self.distance:
            self.distance, self.point, self.foot = float(distances[k]), points[k], feet[k]

    @property
    def settled(self) -> bool:
        """Whether nothing nearer can be found."""
        return self.distance <= self.least + MEETS

    def gap(self) -> Gap:
        """What was found."""
        bound = 0.0 if self.settled else self.bound
        distance = 0.0 if self.distance <= MEETS else self.distance
        return Gap(distance, bound, (point3(self.point), point3(self.foot)))


def bore_gap(shape: Bore, closest: Closest, least: float = 0.0) -> Gap:
    """Least distance from a bore to whatever `closest` measures.

    Where the nearest point of the axis has its foot square to the axis, the side's distance is that
    less the radius; only the ends can then come nearer. Otherwise the whole surface is searched.
    `least`: what the distance is known not to fall below."""
    along = _least_along(shape, closest)
    ends = shape.at(np.array([0.0, along, shape.shoulder]))
    d, foot = closest(ends)
    r = shape.radius
    inside = shape.closest(foot)[0]
    if inside.min() <= MEETS:
        k = int(np.argmin(inside))
        return Best(0.0, foot[k], foot[k]).gap()
    axis, near = ends[1], foot[1]
    reach = float((near - np.array(shape.start)) @ shape.axes[2])
    best = Best(math.inf, axis, near, least=least)
    if -1e-6 <= reach <= shape.shoulder + 1e-6:
        side = axis + (near - axis) * min(r / d[1], 1.0)
        best = Best(max(float(d[1]) - r, 0.0), side, near, least=least)
    # No point of an end lies farther than this from the axis's end, nor nearer than d less it.
    if d[0] - r < best.distance:
        _search_patch(shape, (0.0, 0.0), (0.0, r), closest, best)
    if d[2] - max(r, shape.tip) < best.distance:
        _search_patch(shape, (shape.shoulder, r), (shape.length, 0.0), closest, best)
    if not -1e-6 <= reach <= shape.shoulder + 1e-6 and d[1] - r < best.distance:
        _search_patch(shape, (0.0, r), (shape.shoulder, r), closest, best)
    return best.gap()


def _whole_ball(shape: Bore, along: np.ndarray) -> np.ndarray:
    """Whether the ball of the bore's radius about the axis at `along` lies wholly in the bore."""
    return (along >= shape.radius) & (along <= shape.shoulder - shape.radius)


def _least_along(shape: Bore, closest: Closest) -> float:
    """Where along the axis (mm) the distance is least, to BOUND / 2; or where it plainly meets."""
    t = np.linspace(0.0, shape.shoulder, 17)
    f = closest(shape.at(t))[0]
    meets = np.flatnonzero((f <= shape.radius) & _whole_ball(shape, t))
    if len(meets):
        return float(t[meets[0]])
    step = t[1] - t[0]
    left, f_left, right, f_right = t[:-1], f[:-1], t[1:], f[1:]
    k = int(np.argmin(f))
    best_t, best = float(t[k]), float(f[k])
    while step > BOUND / 2.0:
        floor = (f_left + f_right - step) / 2.0
        keep = floor < best - 1e-4
        if not keep.any():
            break
        left, right, f_left, f_right = left[keep], right[keep], f_left[keep], f_right[keep]
        middle = (left + right) / 2.0
        f_middle = closest(shape.at(middle))[0]
        k = int(np.argmin(f_middle))
        if f_middle[k] < best:
            best_t, best = float(middle[k]), float(f_middle[k])
        left, right = np.concatenate([left, middle]), np.concatenate([middle, right])
        f_left, f_right = np.concatenate([f_left, f_middle]), np.concatenate([f_middle, f_right])
        step /= 2.0
    return best_t


def _search_patch(
    shape: Bore, one: tuple[float, float], two: tuple[float, float], closest: Closest, best: Best
) -> None:
    """Branch and bound over the patch turned about the axis from (along, radius) `one` to `two`."""
    (a0, r0), (a1, r1) = one, two
    slant, rim = math.hypot(a1 - a0, r1 - r0), max(r0, r1)
    rows = max(2, min(16, round(slant / rim * 2)))
    q, turn = np.meshgrid((np.arange(rows) + 0.5) / rows, (np.arange(16) + 0.5) * math.pi / 8.0)
    q, turn, half_q, half_turn = q.ravel(), turn.ravel(), 0.5 / rows, math.pi / 16.0
    while len(q):
        off = r0 + q * (r1 - r0)
        across = np.cos(turn)[:, None] * shape.axes[0] + np.sin(turn)[:, None] * shape.axes[1]
        points = shape.at(a0 + q * (a1 - a0)) + off[:, None] * across
        d, feet = closest(points)
        best.offer(d, points, feet)
        radius = np.hypot(half_q * slant, half_turn * np.minimum(off + half_q * abs(r1 - r0), rim))
        if best.settled or radius.max() <= BOUND / 2.0:
            return
        if len(q) > MOST_CELLS:
            best.bound = max(best.bound, float(radius.max()))
            return
        keep = d - radius < best.distance - BOUND / 2.0
        q, turn = q[keep], turn[keep]
        half_q, half_turn = half_q / 2.0, half_turn / 2.0
        q = np.concatenate([q - half_q, q - half_q, q + half_q, q + half_q])
        turn = np.tile(np.concatenate([turn - half_turn, turn + half_turn]), 2)
