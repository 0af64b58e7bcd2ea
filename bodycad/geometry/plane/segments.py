"""Lines and circular arcs as arrays: the one place where arc arithmetic is written down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.geometry.plane.blocks import BLOCK, away_by_blocks
from bodycad.geometry.plane.inside import encloses

CARRIED = frozenset({"arc", "boxes", "centre", "chord", "radius", "lever"})
"""What a choice of segments takes over where it has been worked out."""
LEFT, OUTWARD = np.array([-1.0, 1.0]), np.array([-1.0, -1.0, 1.0, 1.0])
"""Signs of a direction's (y, x) turned to the left; of a box's sides, low then high."""
TAU = 2.0 * np.pi
FLATTEST = 1e-6
"""Bulge under which an arc is crossed as its chord."""
MANY = 4000
"""From this many pairs of point and segment on, boxes of a long chain are compared first."""


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

    def take(self, index: np.ndarray) -> Segments:
        """The segments at `index`, with what is known of them."""
        made = Segments(self.a[index], self.b[index], self.bulge[index])
        for name in CARRIED & self.__dict__.keys():
            made.__dict__[name] = self.__dict__[name][index]
        for name in ("_frame", "_chord"):
            if name in self.__dict__:
                made.__dict__[name] = self.__dict__[name][:, index]
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
        bulge = np.where(self.arc, self.bulge, 1.0)
        return (1.0 - bulge**2) / (4.0 * bulge) * self.chord

    @cached_property
    def lever(self) -> np.ndarray:
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
        boxes = np.hstack([np.minimum(self.a, self.b), np.maximum(self.a, self.b)])
        if self.curved:
            k = self.arcs
            middle, ahead, left = self._middle[k], self.ahead[k], self.ahead[k, ::-1] * LEFT
            half, _, h, sine, cosine, radius, _ = self._bent
            # Toward -x, -y, +x, +y: how far an arc that faces that way reaches from the middle of
            # its chord.
            along, up = (
                np.concatenate([-ahead, ahead], axis=1),
                np.concatenate([-left, left], axis=1),
            )
            lift, turned = np.abs(h)[:, None], up * np.where(h < 0.0, -1.0, 1.0)[:, None]
            # Where centre and way are opposite, without the difference of two large numbers.
            short = (half**2 / np.where(half > 0.0, radius + np.abs(h), 1.0))[
                :, None
            ] + lift * along**2 / (1.0 + np.abs(turned))
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
        # By chords from `a`, never by way of the centre: a nearly flat arc loses nothing to its
        # large radius.
        half = np.where(self.arc, self.sweep / 2.0, 1.0)
        share = np.where(self.arc, np.sin(t * half) / np.sin(half), t)
        return self.a + share[:, None] * _turned(self.b - self.a, (t - 1.0) * self.sweep / 2.0)

    def tangent(self, t: np.ndarray) -> np.ndarray:
        """Unit directions of travel (n, 2) at fraction `t` (n,) of each segment."""
        return _turned(self.ahead, (t - 0.5) * self.sweep)

    @cached_property
    def _frame(self) -> np.ndarray:
        """(7, n): what the chord's own frame needs besides its middle and direction (see
        `_chord`)."""
        bulge, square = self.bulge, self.bulge**2
        quarter = self.chord / (4.0 * np.where(self.arc, bulge, np.inf))
        # The sine and cosine of half the included angle, from its quarter's tangent. An end counts
        # as far as it
        # overshoots for an arc; a line's own length does not count.
        return np.stack(
            [
                self.chord / 2.0,
                np.where(self.arc, -np.inf, 0.0),
                quarter * (1.0 - square),
                -2.0 * bulge / (1.0 + square),
                (1.0 - square) / (1.0 + square),
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
        iy less the one, times the other, is the place along the chord and to its left. A chord
        without length points along x."""
        return np.stack(
            [places(self._middle), np.where(self.chord > 0.0, np.conj(places(self.ahead)), 1.0)]
        )

    @cached_property
    def arcs(self) -> np.ndarray | slice:
        """Where the arcs are, as an index."""
        return slice(None) if self.arc.all() else np.flatnonzero(self.arc)

    def squares(self, spots: np.ndarray, index: np.ndarray | None = None) -> np.ndarray:
        """Square of the distance (m, n) of `spots` x + iy (m, 1) to every segment, or (k,) to
        segment `index` (k,) of each of (k,) spots.

        In the frame of the chord: no large numbers are subtracted, however flat an arc.
        """
        chord, frame = (
            (self._chord, self._frame)
            if index is None
            else (self._chord[:, index], self._frame[:, index])
        )
        local = (spots - chord[0]) * chord[1]
        x, v = local.real, local.imag
        along = np.abs(x)
        over = np.maximum(along - frame[0], frame[1])
        square = over * over + v * v
        if self.curved:
            k = self.arcs if index is None else np.flatnonzero(frame[6])
            c, _, h, sine, cosine, radius, _ = self._bent if index is None else frame[:, k]
            k = (..., k)
            x, v, along = x[k], v[k], along[k]
            y = v - h
            beyond = ((x - c) * (x + c) + v * (y - h)) / (np.sqrt(x * x + y * y) + radius)
            # Within the arc's angle: sin(half of it less the point's angle from its middle) is not
            # negative.
            square[k] = np.where(sine * y >= cosine * along, beyond * beyond, square[k])
        return square

    def foot_on(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Nearest point (k, 2) of segment `index` (k,) to each of `points` (k, 2)."""
        (middle, way), (c, _, h, sine, cosine, radius, arc) = (
            self._chord[:, index],
            self._frame[:, index],
        )
        place = places(points)
        local = (place - middle) * way
        x, v = local.real, local.imag
        foot = middle + np.minimum(np.maximum(x, -c), c) * np.conj(way)
        if self.curved:
            y = v - h
            reach = np.sqrt(x * x + y * y)
            on = (arc > 0.0) & (sine * y >= cosine * np.abs(x)) & (reach > 0.0)
            # Off its angle an arc is nearest at an end, as a line is beyond its own.
            foot = np.where(
                arc > 0.0, np.where(x < 0.0, places(self.a[index]), places(self.b[index])), foot
            )
            share = ((x - c) * (x + c) + v * (y - h)) / (reach + radius) / np.where(on, reach, 1.0)
            foot = np.where(on, place - share * (local - 1j * h) * np.conj(way), foot)
        return foot.view(float).reshape(-1, 2)

    def faces(self, spots: np.ndarray) -> np.ndarray:
        """Whether each arc spans the direction of `spots` x + iy seen from its centre; they
        broadcast with (n,)."""
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

    def encloses(self, points: np.ndarray) -> np.ndarray:
        """Whether each of `points` (m, 2) lies inside the closed chain these segments form."""
        return encloses(self, points)

    @cached_property
    def chords(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Starts x and y, ends y, and dx/dy of the chords (0 for a level one, which no level line
        crosses)."""
        rise = self.b[:, 1] - self.a[:, 1]
        lean = (self.b[:, 0] - self.a[:, 0]) / np.where(rise == 0.0, 1.0, rise)
        return (
            np.ascontiguousarray(self.a[:, 0]),
            np.ascontiguousarray(self.a[:, 1]),
            np.ascontiguousarray(self.b[:, 1]),
            lean,
        )

    @cached_property
    def bows(self) -> tuple[np.ndarray | bool, ...]:
        """Of the arcs: start x and y; twice the centre from there, x and y; whether the chord is
        level anywhere, each level, leads toward +x, rises; whether it turns clockwise."""
        k, double = self.arcs, 2.0 * self.lever
        a, b = self.a[k], self.b[k]
        level = b[:, 1] == a[:, 1]
        return (
            np.ascontiguousarray(a[:, 0]),
            np.ascontiguousarray(a[:, 1]),
            double[k, 0],
            double[k, 1],
            bool(level.any()),
            level,
            b[:, 0] > a[:, 0],
            b[:, 1] > a[:, 1],
            self.bulge[k] < 0,
        )

    @cached_property
    def curved(self) -> bool:
        """Whether any is an arc."""
        return bool(self.arc.any())


def places(points: np.ndarray) -> np.ndarray:
    """Points (m, 2) as x + iy (m,)."""
    return np.ascontiguousarray(points, float).view(complex)[:, 0]


def _turned(v: np.ndarray, angle: np.ndarray) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * v[:, 0] - s * v[:, 1], s * v[:, 0] + c * v[:, 1]], axis=1)
