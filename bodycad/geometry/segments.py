"""Lines and circular arcs as arrays: the one place where arc arithmetic is written down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

TAU = 2.0 * np.pi
FEW = 2000
"""Up to this many pairs of point and segment, the crossing count looks at all of them at once."""
MANY = 200
"""From this many pairs of point and segment on, boxes are compared first."""


@dataclass(frozen=True, eq=False)
class Segments:
    """n segments from `a` to `b` (n, 2) in mm with `bulge` (n,): tan(sweep/4), 0 for a line.

    A positive bulge turns counter-clockwise. Every array below is (n,) or (n, 2); the values of
    arc-only arrays (`centre`, `radius`, `start`) are meaningless where `arc` is False.
    """

    a: np.ndarray
    b: np.ndarray
    bulge: np.ndarray

    def __len__(self) -> int:
        return len(self.bulge)

    def take(self, index: np.ndarray) -> "Segments":
        """The segments at `index`."""
        return Segments(self.a[index], self.b[index], self.bulge[index])

    @cached_property
    def arc(self) -> np.ndarray:
        return self.bulge != 0.0

    @cached_property
    def sweep(self) -> np.ndarray:
        """Signed included angle in radians."""
        return 4.0 * np.arctan(self.bulge)

    @cached_property
    def chord(self) -> np.ndarray:
        return np.hypot(*(self.b - self.a).T)

    @cached_property
    def ahead(self) -> np.ndarray:
        """Unit directions (n, 2) from `a` to `b`; nil where they coincide."""
        return (self.b - self.a) / np.where(self.chord > 0, self.chord, 1.0)[:, None]

    @cached_property
    def _middle(self) -> np.ndarray:
        return (self.a + self.b) / 2.0

    @cached_property
    def _height(self) -> np.ndarray:
        """How far the centre lies to the left of the chord."""
        bulge = np.where(self.arc, self.bulge, 1.0)
        return (1.0 - bulge**2) / (4.0 * bulge) * self.chord

    @cached_property
    def _span(self) -> np.ndarray:
        """Included angle of an arc, length of a line (1 for a point)."""
        return np.where(self.arc, np.abs(self.sweep), np.where(self.chord > 0, self.chord, 1.0))

    @cached_property
    def _lever(self) -> np.ndarray:
        return self.centre - self.a

    @cached_property
    def centre(self) -> np.ndarray:
        bulge = np.where(self.arc, self.bulge, 1.0)
        rise = (1.0 - bulge**2) / (4.0 * bulge)
        d = self.b - self.a
        return (self.a + self.b) / 2.0 + rise[:, None] * np.stack([-d[:, 1], d[:, 0]], axis=1)

    @cached_property
    def radius(self) -> np.ndarray:
        bulge = np.where(self.arc, self.bulge, 1.0)
        return self.chord * (1.0 + bulge**2) / (4.0 * np.abs(bulge))

    @cached_property
    def start(self) -> np.ndarray:
        """Angle in radians of `a` seen from `centre`."""
        d = self.a - self.centre
        return np.arctan2(d[:, 1], d[:, 0])

    @cached_property
    def length(self) -> np.ndarray:
        return np.where(self.arc, self.radius * np.abs(self.sweep), self.chord)

    @cached_property
    def boxes(self) -> np.ndarray:
        """(n, 4): x0, y0, x1, y1 of each segment, arcs included exactly."""
        low, high = np.minimum(self.a, self.b), np.maximum(self.a, self.b)
        for quarter in range(4):
            turn = np.where(self.bulge > 0, quarter * np.pi / 2 - self.start, self.start - quarter * np.pi / 2) % TAU
            on = self.arc & (turn < np.abs(self.sweep))
            extreme = self.at(turn / np.where(self.arc, np.abs(self.sweep), 1.0))
            low = np.where(on[:, None], np.minimum(low, extreme), low)
            high = np.where(on[:, None], np.maximum(high, extreme), high)
        return np.hstack([low, high])

    def spans(self, angle: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Whether arc `index` passes through `angle` (radians about its centre), ends included."""
        sweep = self.sweep[index]
        turn = np.where(sweep >= 0, angle - self.start[index], self.start[index] - angle) % TAU
        slack = 1e-12
        return (turn <= np.abs(sweep) + slack) | (turn >= TAU - slack)

    def at(self, t: np.ndarray) -> np.ndarray:
        """Points (n, 2) at fraction `t` (n,) of each segment."""
        # By chords from `a`, never by way of the centre: a nearly flat arc loses nothing to its large radius.
        half = np.where(self.arc, self.sweep / 2.0, 1.0)
        share = np.where(self.arc, np.sin(t * half) / np.sin(half), t)
        return self.a + share[:, None] * _turned(self.b - self.a, (t - 1.0) * self.sweep / 2.0)

    def tangent(self, t: np.ndarray) -> np.ndarray:
        """Unit directions of travel (n, 2) at fraction `t` (n,) of each segment."""
        return _turned(self.ahead, (t - 0.5) * self.sweep)

    def along(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Fraction (...) of segment `index` at which it passes nearest to `points` (..., 2), not clamped."""
        ux, uy = self.ahead[index].T
        out = points - self._middle[index]
        x = out[..., 0] * ux + out[..., 1] * uy
        way = np.sign(self.bulge)[index]
        # From the centre, `turn` is the angle between the point and the middle of the arc.
        turn = np.arctan2(x, way * (self._height[index] - out[..., 1] * ux + out[..., 0] * uy))
        return 0.5 + np.where(way != 0.0, turn / self._span[index], x / self._span[index])

    def radial(self, points: np.ndarray, index: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Distance (...) of `points` (..., 2) outside the whole circle of arc `index`, and their unit directions from its centre."""
        near, centre = points - self.a[index], self._lever[index]
        out = near - centre
        reach = np.hypot(out[..., 0], out[..., 1])
        # The power of the point over the sum of both distances: no large numbers are subtracted.
        both = reach + self.radius[index]
        beyond = (near * (near - 2.0 * centre)).sum(axis=-1) / np.where(both > 0, both, 1.0)
        return beyond, out / np.where(reach > 0, reach, 1.0)[..., None]

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """For each of `points` (m, 2): distance (m,), nearest point (m, 2), segment index (m,)."""
        if len(points) * len(self) > MANY:
            return self._nearest_by_boxes(points)
        foot, distance = self.feet(points)
        index = np.argmin(distance, axis=1)
        rows = np.arange(len(points))
        return distance[rows, index], foot[rows, index], index

    def _nearest_by_boxes(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """`nearest`, working out only the pairs whose box comes nearer than some segment's end."""
        x, y = points[:, 0][:, None], points[:, 1][:, None]
        x0, y0, x1, y1 = self.boxes.T
        dx, dy = np.maximum(np.maximum(x0 - x, x - x1), 0.0), np.maximum(np.maximum(y0 - y, y - y1), 0.0)
        ends = (x - self.a[:, 0]) ** 2 + (y - self.a[:, 1]) ** 2
        row, column = np.nonzero(dx * dx + dy * dy <= ends.min(axis=1)[:, None] * (1.0 + 1e-12) + 1e-18)
        foot = self._pair_feet(points[row], column)
        distance = np.hypot(*(foot - points[row]).T)
        first = np.flatnonzero(np.diff(row, prepend=-1))
        least = np.minimum.reduceat(distance, first)
        at_least = np.flatnonzero(distance == np.repeat(least, np.diff(np.append(first, len(row)))))
        pick = at_least[np.flatnonzero(np.diff(row[at_least], prepend=-1))]
        return distance[pick], foot[pick], column[pick]

    def _pair_feet(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Nearest point (k, 2) of segment `index` (k,) to each of `points` (k, 2)."""
        a, b, arc = self.a[index], self.b[index], self.arc[index]
        d = b - a
        t = np.clip(((points - a) * d).sum(axis=1) / np.where(self.chord > 0, self.chord**2, 1.0)[index], 0.0, 1.0)
        foot = a + t[:, None] * d
        if arc.any():
            foot[arc] = self._arc_feet(points[arc], index[arc])
        return foot

    def feet(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Nearest point (m, n, 2) on each segment to each of `points` (m, 2), and distance (m, n)."""
        p = points[:, None, :]
        d = self.b - self.a
        square = np.where(self.chord > 0, self.chord**2, 1.0)
        t = np.clip(((p - self.a) * d).sum(axis=2) / square, 0.0, 1.0)
        foot = self.a + t[..., None] * d
        arcs = np.flatnonzero(self.arc)
        if len(arcs):
            foot[:, arcs] = self._arc_feet(p, arcs)
        return foot, np.hypot(*np.moveaxis(foot - p, 2, 0))

    def _arc_feet(self, p: np.ndarray, arcs: np.ndarray) -> np.ndarray:
        beyond, out = self.radial(p, arcs)
        t = self.along(p, arcs)
        on = (t >= 0.0) & (t <= 1.0) & out.any(axis=-1)
        a, b = self.a[arcs], self.b[arcs]
        nearer_a = ((p - a) ** 2).sum(axis=-1) <= ((p - b) ** 2).sum(axis=-1)
        ends = np.where(nearer_a[..., None], a, b)
        return np.where(on[..., None], p - beyond[..., None] * out, ends)

    def encloses(self, points: np.ndarray) -> np.ndarray:
        """Whether each of `points` (m, 2) lies inside the closed chain these segments form.

        Parity of the chord polygon, turned over wherever the point lies between a chord and its arc.
        """
        x, y = points[:, 0][:, None], points[:, 1][:, None]
        above = self.a[:, 1] > y
        straddles = above != (self.b[:, 1] > y)
        if len(points) * len(self) <= FEW:
            before = x < self.a[:, 0] + (y - self.a[:, 1]) * self._lean
            odd = (straddles & before).sum(axis=1)
            if self._curved:
                left = np.where(self._level, np.where(self.b[:, 0] > self.a[:, 0], ~above, above), before == self._rises)
                nx, ny = x - self.a[:, 0], y - self.a[:, 1]
                lever = 2.0 * self._lever
                within = nx * (nx - lever[:, 0]) + ny * (ny - lever[:, 1]) < 0.0
                odd = odd + (self.arc & within & (left == (self.bulge < 0))).sum(axis=1)
            return odd % 2 == 1
        row, column = np.nonzero(straddles)
        crossed = np.bincount(row[self._before(points[row], column)], minlength=len(points))
        if self._curved:
            x0, y0, x1, y1 = self.boxes.T
            row, column = np.nonzero(self.arc & (x >= x0) & (x <= x1) & (y >= y0) & (y <= y1))
            crossed += np.bincount(row[self._under_arc(points[row], column)], minlength=len(points))
        return crossed % 2 == 1

    @cached_property
    def _curved(self) -> bool:
        return bool(self.arc.any())

    @cached_property
    def _level(self) -> np.ndarray:
        return self.b[:, 1] == self.a[:, 1]

    @cached_property
    def _rises(self) -> np.ndarray:
        return self.b[:, 1] > self.a[:, 1]

    @cached_property
    def _lean(self) -> np.ndarray:
        """dx/dy of each chord; 0 for a level one, which no level line crosses."""
        rise = self.b[:, 1] - self.a[:, 1]
        return (self.b[:, 0] - self.a[:, 0]) / np.where(rise == 0.0, 1.0, rise)

    def _before(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Whether each of `points` (k, 2) has chord `index` (k,) to its right, at its own height."""
        a = self.a[index]
        return points[:, 0] < a[:, 0] + (points[:, 1] - a[:, 1]) * self._lean[index]

    def _under_arc(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Whether each of `points` (k, 2) lies between chord and arc `index` (k,).

        The comparisons of the crossing count decide the side of the chord, so that a point on a chord
        is counted once: it is taken as shifted by an infinitesimal (+x, then +y).
        """
        a, b, y = self.a[index], self.b[index], points[:, 1]
        rise = b[:, 1] - a[:, 1]
        left = np.where(rise == 0.0, np.where(b[:, 0] > a[:, 0], y >= a[:, 1], y < a[:, 1]),
                        self._before(points, index) == (rise > 0))
        near = points - a
        within = (near * (near - 2.0 * self._lever[index])).sum(axis=1) < 0.0
        return within & (left == (self.bulge[index] < 0))


def _turned(v: np.ndarray, angle: np.ndarray) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * v[:, 0] - s * v[:, 1], s * v[:, 0] + c * v[:, 1]], axis=1)
