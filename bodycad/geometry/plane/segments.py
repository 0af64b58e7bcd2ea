"""Lines and circular arcs as arrays: the one place where arc arithmetic is written down."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from bodycad.geometry.plane.boxes import BLOCK, blocks, least_of_runs, to_boxes

CARRIED = frozenset({"arc", "boxes", "centre", "chord", "radius", "lever"})
"""What a choice of segments takes over where it has been worked out."""
LEFT, OUTWARD = np.array([-1.0, 1.0]), np.array([-1.0, -1.0, 1.0, 1.0])
"""Signs of a direction's (y, x) turned to the left; of a box's sides, low then high."""
TAU = 2.0 * np.pi
FLATTEST = 1e-6
"""Bulge under which an arc is crossed as its chord."""
ENDS = 1e-9
"""By so much of its length a segment is taken longer at both ends where lines cross it."""
FEW = 2000
"""Up to this many pairs of point and segment are looked at all at once."""
MANY = 4000
"""From this many pairs of point and segment on, boxes of a long chain are compared first."""


@dataclass(frozen=True, eq=False)
class Segments:
    """n segments from `a` to `b` (n, 2) in mm with `bulge` (n,): tan(sweep/4), 0 for a line.

    A positive bulge turns counter-clockwise. Every array below is (n,) or (n, 2); the values of
    arc-only arrays (`centre`, `radius`, `start`) are meaningless where `arc` is False."""

    a: np.ndarray
    b: np.ndarray
    bulge: np.ndarray

    def __len__(self) -> int:
        return len(self.bulge)

    def take(self, index: np.ndarray) -> Segments:
        """The segments at `index`, with what is known of them."""
        a, b = self.a.take(index, axis=0), self.b.take(index, axis=0)
        made = Segments(a, b, self.bulge.take(index))
        for name in CARRIED & self.__dict__.keys():
            made.__dict__[name] = self.__dict__[name].take(index, axis=0)
        for name in ("_frame", "_chord"):
            if name in self.__dict__:
                made.__dict__[name] = self.__dict__[name].take(index, axis=1)
        return made

    @cached_property
    def joined(self) -> bool:
        """Whether each segment begins where the one before it ends."""
        return bool((self.b[:-1] == self.a[1:]).all())

    @cached_property
    def straightened(self) -> Segments:
        """The same with arcs flatter than FLATTEST as their chords, which they leave by less than
        half of it per mm: their circles are too large to be crossed by their centres."""
        flat = self.arc & (np.abs(self.bulge) < FLATTEST) if self.curved else self.arc
        return Segments(self.a, self.b, np.where(flat, 0.0, self.bulge)) if flat.any() else self

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
    def height(self) -> np.ndarray:
        """How far the centre lies to the left of the chord."""
        return self._rise * self.chord

    @cached_property
    def _rise(self) -> np.ndarray:
        bulge = np.where(self.arc, self.bulge, 1.0)
        return (1.0 - bulge**2) / (4.0 * bulge)

    @cached_property
    def lever(self) -> np.ndarray:
        return self.centre - self.a

    @cached_property
    def centre(self) -> np.ndarray:
        return self._middle + self._rise[:, None] * ((self.b - self.a)[:, ::-1] * LEFT)

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
        boxes = np.hstack([np.minimum(self.a, self.b), np.maximum(self.a, self.b)])
        if self.curved:
            k = self.arcs
            middle, ahead, left = self._middle[k], self.ahead[k], self.ahead[k, ::-1] * LEFT
            half, _, h, sine, cosine, radius, _ = self._bent
            # Toward -x, -y, +x, +y: how far an arc reaches from its chord's middle.
            along, up = (np.concatenate([-way, way], axis=1) for way in (ahead, left))
            lift, turned = np.abs(h)[:, None], up * np.where(h < 0.0, -1.0, 1.0)[:, None]
            # Where centre and way are opposite, without the difference of two large numbers.
            rise = (half**2 / np.where(half > 0.0, radius + np.abs(h), 1.0))[:, None]
            short = rise + lift * along**2 / (1.0 + np.abs(turned))
            out = np.where(turned < 0.0, short, radius[:, None] + lift * turned)
            on = sine[:, None] * up >= cosine[:, None] * np.abs(along)
            reach = np.where(on, OUTWARD * out + np.concatenate([middle, middle], axis=1), boxes[k])
            boxes[k] = OUTWARD * np.maximum(OUTWARD * reach, OUTWARD * boxes[k])
        return boxes

    def spans(self, angle: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Whether arc `index` passes through `angle` (radians about its centre), ends included."""
        sweep = self.sweep[index]
        turn = np.where(sweep >= 0, angle - self.start[index], self.start[index] - angle) % TAU
        slack = 1e-12
        return (turn <= np.abs(sweep) + slack) | (turn >= TAU - slack)

    def at(self, t: np.ndarray) -> np.ndarray:
        """Points (n, 2) at fraction `t` (n,) of each segment."""
        # By chords from `a`, not the centre: a flat arc loses nothing to its large radius.
        half = np.where(self.arc, self.sweep / 2.0, 1.0)
        share = np.where(self.arc, np.sin(t * half) / np.sin(half), t)
        return self.a + share[:, None] * _turned(self.b - self.a, (t - 1.0) * self.sweep / 2.0)

    def tangent(self, t: np.ndarray) -> np.ndarray:
        """Unit directions of travel (n, 2) at fraction `t` (n,) of each segment."""
        return _turned(self.ahead, (t - 0.5) * self.sweep)

    @cached_property
    def _frame(self) -> np.ndarray:
        """(7, n): what the chord's own frame needs beside `_chord`."""
        bulge, square = self.bulge, self.bulge**2
        quarter = self.chord / (4.0 * np.where(self.arc, bulge, np.inf))
        # The sine and cosine of half the included angle, from its quarter's tangent. An end counts
        # as far as it overshoots for an arc; a line's own length does not count.
        return np.stack(
            [
                self.chord / 2.0,
                np.where(self.arc, -np.inf, 0.0),
                quarter * (1.0 - square),
                -2.0 * bulge / (1.0 + square),
                # A line has no angle, and no point is within it.
                np.where(self.arc, (1.0 - square) / (1.0 + square), np.nan),
                np.where(self.arc, np.abs(quarter) * (1.0 + square), 1.0),
                self.arc,
            ]
        )

    @cached_property
    def _bent(self) -> np.ndarray:
        """`_frame` of the arcs alone."""
        return self._frame[:, self.arcs]

    @cached_property
    def _chord(self) -> np.ndarray:
        """(2, n): the middle of each chord, and its direction turned over, as complex numbers: x +
        iy less the one, times the other, is the place along the chord and to its left. Without
        length it points along x."""
        way = np.where(self.chord > 0.0, np.conj(places(self.ahead)), 1.0)
        return np.stack([places(self._middle), way])

    @cached_property
    def arcs(self) -> np.ndarray | slice:
        """Where the arcs are, as an index."""
        return slice(None) if self.arc.all() else np.flatnonzero(self.arc)

    def squares(self, spots: np.ndarray, index: np.ndarray | None = None) -> np.ndarray:
        """Square of the distance (m, n) of `spots` x + iy (m, 1) to every segment, or (k,) to
        segment `index` (k,) of each of (k,) spots.

        In the frame of the chord: no large numbers are subtracted, however flat an arc."""
        chord, frame = self._chord, self._frame
        if index is not None:
            chord, frame = chord.take(index, axis=1), frame.take(index, axis=1)
        c, least, h, sine, cosine, radius, _ = frame
        local = (spots - chord[0]) * chord[1]
        x, v = local.real, local.imag
        along = np.abs(x)
        over = np.maximum(along - c, least)
        square = over * over + v * v
        if self.curved:
            y = v - h
            beyond = ((x - c) * (x + c) + v * (y - h)) / (np.sqrt(x * x + y * y) + radius)
            # Within the arc's angle: sin(half of it less the point's angle) >= 0.
            square = np.where(sine * y >= cosine * along, beyond * beyond, square)
        return square

    def foot_on(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Nearest point (k, 2) of segment `index` (k,) to each of `points` (k, 2)."""
        if len(index) == 1:
            return self._foot(points[0], int(index[0]))
        middle, way = self._chord.take(index, axis=1)
        c, _, h, sine, cosine, radius, arc = self._frame.take(index, axis=1)
        place = places(points)
        local = (place - middle) * way
        x, v = local.real, local.imag
        foot = middle + np.minimum(np.maximum(x, -c), c) * np.conj(way)
        if self.curved:
            y = v - h
            reach = np.sqrt(x * x + y * y)
            on = (arc > 0.0) & (sine * y >= cosine * np.abs(x)) & (reach > 0.0)
            # Off its angle an arc is nearest at an end, as a line is beyond its own.
            end = np.where(x < 0.0, places(self.a[index]), places(self.b[index]))
            foot = np.where(arc > 0.0, end, foot)
            share = ((x - c) * (x + c) + v * (y - h)) / (reach + radius) / np.where(on, reach, 1.0)
            foot = np.where(on, place - share * (local - 1j * h) * np.conj(way), foot)
        return foot.view(float).reshape(-1, 2)

    def _foot(self, point: np.ndarray, k: int) -> np.ndarray:
        """`foot_on` (1, 2) of one point (2,) on segment `k`, in plain numbers."""
        middle, way = self._chord[:, k].tolist()
        c, _, h, sine, cosine, radius, arc = self._frame[:, k].tolist()
        place = complex(point[0], point[1])
        local = (place - middle) * way
        x, v = local.real, local.imag
        if not arc:
            foot = middle + min(max(x, -c), c) * way.conjugate()
            return np.array([[foot.real, foot.imag]])
        y = v - h
        reach = math.sqrt(x * x + y * y)
        if reach > 0.0 and sine * y >= cosine * abs(x):
            share = ((x - c) * (x + c) + v * (y - h)) / (reach + radius) / reach
            foot = place - share * (local - 1j * h) * way.conjugate()
            return np.array([[foot.real, foot.imag]])
        return np.array([self.a[k] if x < 0.0 else self.b[k]], float)

    def faces(self, spots: np.ndarray) -> np.ndarray:
        """Whether each arc spans the direction from its centre of `spots` x + iy (..., n)."""
        middle, way = self._chord
        _, _, h, sine, cosine, radius, _ = self._frame
        local = (spots - middle) * way
        return sine * (local.imag - h) >= cosine * np.abs(local.real) - 1e-12 * radius

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """For each of `points` (m, 2): distance (m,), nearest point (m, 2), segment index (m,)."""
        distance, index = self.away(points)
        return distance, self.foot_on(points, index), index

    def away(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For each of `points` (m, 2): distance (m,) and the index (m,) of the nearest segment."""
        if len(self) > 4 * BLOCK and len(points) * len(self) > MANY:
            return away_by_blocks(self, points)
        square = self.squares(places(points)[:, None])
        index = square.argmin(axis=1)
        return np.sqrt(square[np.arange(len(points)), index]), index

    def distances(self, points: np.ndarray) -> np.ndarray:
        """Distance (m, n) of each of `points` (m, 2) to each segment."""
        return np.sqrt(self.squares(places(points)[:, None]))

    def feet(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Nearest point (m, n, 2) on each segment to each of `points` (m, 2); distance (m, n)."""
        index = np.tile(np.arange(len(self)), len(points))
        foot = self.foot_on(np.repeat(points, len(self), axis=0), index)
        return foot.reshape(len(points), len(self), 2), self.distances(points)

    def encloses(self, points: np.ndarray) -> np.ndarray:
        """Whether each of `points` (m, 2) lies inside the chain, which must be closed.

        By the parity of the chord polygon, turned over where a point lies between chord and arc."""
        if len(points) * len(self) > FEW:
            return _enclosed(self, points)
        x, y = points[:, :1], points[:, 1:]
        ax, ay, by, lean = self.chords
        above = ay > y
        before = x < ax + (y - ay) * lean
        odd = np.logical_xor.reduce((above != (by > y)) & before, axis=1)
        if self.curved:
            ax, ay, cx, cy, some, level, forth, rises, right = self.bows
            before, above = before[:, self.arcs], above[:, self.arcs]
            left = before == rises
            if some:
                left = np.where(level, forth != above, left)
            nx, ny = x - ax, y - ay
            within = nx * (nx - cx) + ny * (ny - cy) < 0.0
            odd ^= np.logical_xor.reduce(within & (left == right), axis=1)
        return odd

    @cached_property
    def blocks(self) -> np.ndarray:
        """Common boxes of each BLOCK of `boxes` (n, 4) in a row."""
        return blocks(self.boxes)

    @cached_property
    def chords(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Starts x and y, ends y, and dx/dy of the chords (0 for a level one)."""
        rise = self.b[:, 1] - self.a[:, 1]
        lean = (self.b[:, 0] - self.a[:, 0]) / np.where(rise == 0.0, 1.0, rise)
        ax, ay, by = map(np.ascontiguousarray, (self.a[:, 0], self.a[:, 1], self.b[:, 1]))
        return ax, ay, by, lean

    @cached_property
    def bows(self) -> tuple[Any, ...]:
        """Of the arcs: start x and y; twice the centre from there, x and y; whether the chord is
        level anywhere, each level, leads toward +x, rises; whether it turns clockwise."""
        k, double = self.arcs, 2.0 * self.lever
        a, b = self.a[k], self.b[k]
        level = b[:, 1] == a[:, 1]
        ax, ay = map(np.ascontiguousarray, a.T)
        forth, rises = (b > a).T
        right = self.bulge[k] < 0
        return ax, ay, double[k, 0], double[k, 1], bool(level.any()), level, forth, rises, right

    @cached_property
    def kinds(self) -> tuple[Segments, Segments]:
        """The lines, and the arcs."""
        return self.take(np.flatnonzero(~self.arc)), self.take(np.flatnonzero(self.arc))

    @cached_property
    def curved(self) -> bool:
        """Whether any is an arc."""
        return bool(self.arc.any())


def places(points: np.ndarray) -> np.ndarray:
    """Points (m, 2) as x + iy (m,)."""
    return np.ascontiguousarray(points, float).view(complex)[:, 0]


def portions(count: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Of `count` (n,) places each, for each place: the index of its owner, and its own number."""
    index = np.repeat(np.arange(len(count)), count)
    return index, np.arange(len(index)) - (np.cumsum(count) - count)[index]


def turning(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Angles (m,) in radians from directions `u` to `v` (m, 2), positive to the left."""
    return np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1))


def _turned(v: np.ndarray, angle: np.ndarray) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * v[:, 0] - s * v[:, 1], s * v[:, 0] + c * v[:, 1]], axis=1)


def encloses_grid(s: Segments, xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """`encloses` over a grid: (k, m) for rising abscissas `xs` (k,) and ordinates `ys` (m,)."""
    ax, ay, by, lean = s.chords
    row, chord = np.nonzero((ay > ys[:, None]) != (by > ys[:, None]))
    # Along a row, all points before a crossing are turned over.
    before = np.searchsorted(xs, ax[chord] + (ys[row] - ay[chord]) * lean[chord])
    turns = np.zeros((len(xs) + 1, len(ys)), int)
    np.add.at(turns, (before, row), 1)
    odd = np.cumsum(turns[:0:-1], axis=0)[::-1] % 2 == 1
    if s.curved:
        arcs = np.flatnonzero(s.arc)
        x0, y0, x1, y1 = s.boxes[arcs].T
        first, rows = np.searchsorted(xs, x0), np.searchsorted(ys, y0)
        wide = np.searchsorted(xs, x1, "right") - first
        high = np.searchsorted(ys, y1, "right") - rows
        arc, place = portions(wide * high)
        column, row = first[arc] + place // high[arc], rows[arc] + place % high[arc]
        under = _under_arc(s, np.column_stack([xs[column], ys[row]]), arcs[arc])
        np.logical_xor.at(odd, (column[under], row[under]), True)
    return odd


def crossed(s: Segments, base: np.ndarray, way: np.ndarray, low: float, high: float) -> np.ndarray:
    """Where each line `base` + t `way`, both (m, 2), crosses the segments: t (m, k), rising, inf
    where there are no more; t from `low` to `high` only. A line that runs along a segment does not
    cross it; a vertex that a line passes through is there at least once, and may be twice: ask
    `encloses` between crossings, do not count them."""
    ends = np.concatenate([base + low * way, base + high * way])
    (x0, y0), (x1, y1), boxes = ends.min(axis=0), ends.max(axis=0), s.boxes
    near = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
    with np.errstate(divide="ignore", invalid="ignore"):
        straight, bent = (s.take(np.flatnonzero(near & kind)) for kind in (~s.arc, s.arc))
        t = np.hstack([_over_lines(straight, base, way), *_over_arcs(bent, base, way)])
        on = (t >= low) & (t <= high)
        return np.sort(np.where(on, t, np.inf), axis=1)[:, : int(on.sum(axis=1).max(initial=0))]


def _over_lines(s: Segments, base: np.ndarray, way: np.ndarray) -> np.ndarray:
    (bx, by), (wx, wy), (dx, dy) = base.T[:, :, None], way.T[:, :, None], (s.b - s.a).T
    across, rx, ry = wx * dy - wy * dx, s.a[:, 0] - bx, s.a[:, 1] - by
    share = (rx * wy - ry * wx) / across
    return np.where((share >= -ENDS) & (share <= 1.0 + ENDS), (rx * dy - ry * dx) / across, np.inf)


def _over_arcs(s: Segments, base: np.ndarray, way: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    (bx, by), (wx, wy), (cx, cy) = base.T[:, :, None], way.T[:, :, None], s.lever.T
    nx, ny, square = bx - s.a[:, 0], by - s.a[:, 1], wx * wx + wy * wy
    half, power = (nx - cx) * wx + (ny - cy) * wy, nx * (nx - 2.0 * cx) + ny * (ny - 2.0 * cy)
    # The root of the larger size first; the other by their product: neither loses digits.
    far = -half - np.copysign(np.sqrt(half * half - square * power), half)
    one, two = (
        np.where(s.faces((bx + t * wx) + 1j * (by + t * wy)), t, np.inf)
        for t in (far / square, power / far)
    )
    return one, two


def _enclosed(s: Segments, points: np.ndarray) -> np.ndarray:
    """`Segments.encloses` of many points: sorted by height, those at the height of a segment are
    one run, and only these are asked."""
    order = np.argsort(points[:, 1])
    heights = points[order, 1]

    def beside(low: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Points and segments of the runs that begin at `low` (n,) and end before `end` (n,)."""
        column, number = portions(end - low)
        return order[low[column] + number], column

    _, ay, by, _ = s.chords
    low, high = np.minimum(ay, by), np.maximum(ay, by)
    row, column = beside(heights.searchsorted(low), heights.searchsorted(high))
    crossings = np.bincount(row[_before(s, points[row], column)], minlength=len(points))
    if s.curved:
        x0, y0, x1, y1 = s.boxes.T
        low, end = heights.searchsorted(y0), heights.searchsorted(y1, side="right")
        row, column = beside(low, np.where(s.arc, end, low))
        x = points[row, 0]
        over = (x >= x0[column]) & (x <= x1[column])
        row, column = row[over], column[over]
        under = row[_under_arc(s, points[row], column)]
        crossings += np.bincount(under, minlength=len(points))
    return crossings % 2 == 1


def _before(s: Segments, points: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Whether each of `points` (k, 2) has chord `index` (k,) to its right, at its own height."""
    ax, ay, _, lean = (table[index] for table in s.chords)
    return points[:, 0] < ax + (points[:, 1] - ay) * lean


def _under_arc(s: Segments, points: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Whether each of `points` (k, 2) lies between chord and arc `index` (k,).

    The comparisons of the crossing count decide the side of the chord, so that a point on a chord
    is counted once: it is taken as shifted by an infinitesimal (+x, then +y)."""
    a, b, y = s.a[index], s.b[index], points[:, 1]
    rise = b[:, 1] - a[:, 1]
    level = np.where(b[:, 0] > a[:, 0], y >= a[:, 1], y < a[:, 1])
    left = np.where(rise == 0.0, level, _before(s, points, index) == (rise > 0))
    near = points - a
    within = (near * (near - 2.0 * s.lever[index])).sum(axis=1) < 0.0
    return within & (left == (s.bulge[index] < 0))


def away_by_blocks(s: Segments, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For each of `points` (m, 2): distance (m,) and the index (m,) of the nearest segment; only
    those pairs are worked out whose box comes nearer than some segment's end."""
    x, y = points[:, :1], points[:, 1:]
    ends = to_boxes(x, y, np.tile(s.a[::BLOCK], 2)).min(axis=1)
    most = ends[:, None] * (1.0 + 1e-12) + 1e-18
    row, block = np.nonzero(to_boxes(x, y, s.blocks) <= most)
    count = np.minimum(len(s) - block * BLOCK, BLOCK)
    column = np.repeat(block * BLOCK - np.cumsum(count) + count, count) + np.arange(count.sum())
    row = np.repeat(row, count)
    x, y = points[row, 0], points[row, 1]
    ends = (x - s.a[column, 0]) ** 2 + (y - s.a[column, 1]) ** 2
    least = np.repeat(*least_of_runs(ends, row))
    near = np.flatnonzero(to_boxes(x, y, s.boxes[column]) <= least * (1.0 + 1e-12) + 1e-18)
    row, column = row[near], column[near]
    square = s.squares(x[near] + 1j * y[near], column)
    least, count = least_of_runs(square, row)
    at_least = np.flatnonzero(square == np.repeat(least, count))
    pick = at_least[np.flatnonzero(row[at_least] != np.append(-1, row[at_least][:-1]))]
    return np.sqrt(least), column[pick]
