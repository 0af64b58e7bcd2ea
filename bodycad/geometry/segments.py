"""Lines and circular arcs as arrays: the one place where arc arithmetic is written down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.geometry.blocks import BLOCK, away_by_blocks
from bodycad.geometry.inside import encloses

CARRIED = {"arc", "boxes", "centre", "chord", "radius", "lever"}
"""What a choice of segments takes over where it has been worked out."""
TAU = 2.0 * np.pi
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

    def take(self, index: np.ndarray) -> "Segments":
        """The segments at `index`, with what is known of them."""
        made = Segments(self.a[index], self.b[index], self.bulge[index])
        for name in CARRIED & self.__dict__.keys():
            made.__dict__[name] = self.__dict__[name][index]
        if "_frame" in self.__dict__:
            made.__dict__["_frame"] = self._frame[:, index]
        return made

    @cached_property
    def joined(self) -> bool:
        """Whether each segment begins where the one before it ends."""
        return bool((self.b[:-1] == self.a[1:]).all())

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

    @cached_property
    def _frame(self) -> np.ndarray:
        """(11, n): what the chord's own frame needs, x along the chord from its middle, v to its left."""
        (mx, my), (ux, uy), half = self._middle.T, self.ahead.T, np.where(self.arc, self.sweep, 0.0) / 2.0
        reach, turn = self.chord / 2.0, np.abs(half)
        # An end counts as far as it overshoots for an arc, a line's own length does not count.
        return np.stack([mx, my, ux, uy, reach, np.where(self.arc, -np.inf, 0.0), np.where(self.arc, self.height, 0.0),
                         -np.sign(half) * np.sin(turn), np.cos(turn), np.where(self.arc, self.radius, 1.0), self.arc])

    @cached_property
    def arcs(self) -> np.ndarray | slice:
        """Where the arcs are, as an index."""
        return slice(None) if self.arc.all() else np.flatnonzero(self.arc)

    def squares(self, px: np.ndarray, py: np.ndarray, index: np.ndarray | None = None) -> np.ndarray:
        """Square of the distance (m, n) of points (px, py), each (m, 1), to every segment, or (k,) to segment
        `index` (k,) of each of (k,) points.

        In the frame of the chord: no large numbers are subtracted, however flat an arc.
        """
        frame = self._frame if index is None else self._frame[:, index]
        x, v = px - frame[0], py - frame[1]
        x, v = x * frame[2] + v * frame[3], v * frame[2] - x * frame[3]
        along = np.abs(x)
        over = np.maximum(along - frame[4], frame[5])
        square = over * over + v * v
        if self.curved:
            k = (..., self.arcs if index is None else np.flatnonzero(frame[10]))
            c, h, sine, cosine, radius = frame[4][k], frame[6][k], frame[7][k], frame[8][k], frame[9][k]
            x, v, along = x[k], v[k], along[k]
            y = v - h
            beyond = ((x - c) * (x + c) + v * (y - h)) / (np.sqrt(x * x + y * y) + radius)
            # Within the arc's angle: sin(half of it less the point's angle from its middle) is not negative.
            square[k] = np.where(sine * y >= cosine * along, beyond * beyond, square[k])
        return square

    def foot_on(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Nearest point (k, 2) of segment `index` (k,) to each of `points` (k, 2)."""
        mx, my, ux, uy, c, _, h, sine, cosine, radius, arc = self._frame[:, index]
        x, v = points[:, 0] - mx, points[:, 1] - my
        x, v = x * ux + v * uy, v * ux - x * uy
        spot = np.minimum(np.maximum(x, -c), c)
        foot = np.column_stack([mx + spot * ux, my + spot * uy])
        if self.curved:
            y = v - h
            reach = np.sqrt(x * x + y * y)
            on = (arc > 0.0) & (sine * y >= cosine * np.abs(x)) & (reach > 0.0)
            # Off its angle an arc is nearest at an end, as a line is beyond its own.
            foot = np.where((arc > 0.0)[:, None], np.where((x < 0.0)[:, None], self.a[index], self.b[index]), foot)
            share = ((x - c) * (x + c) + v * (y - h)) / (reach + radius) / np.where(on, reach, 1.0)
            out = np.column_stack([x * ux - y * uy, x * uy + y * ux])
            foot = np.where(on[:, None], points - share[:, None] * out, foot)
        return foot

    def faces(self, px: np.ndarray, py: np.ndarray) -> np.ndarray:
        """Whether each arc spans the direction of points (px, py) seen from its centre; both broadcast with (n,)."""
        mx, my, ux, uy, _, _, h, sine, cosine = self._frame[:9]
        x, v = px - mx, py - my
        x, y = x * ux + v * uy, v * ux - x * uy - h
        return sine * y >= cosine * np.abs(x) - 1e-12 * self.radius

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """For each of `points` (m, 2): distance (m,), nearest point (m, 2), segment index (m,)."""
        distance, index = self.away(points)
        return distance, self.foot_on(points, index), index

    def away(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For each of `points` (m, 2): distance (m,) and the index (m,) of the nearest segment."""
        if len(self) > 4 * BLOCK and len(points) * len(self) > MANY:
            return away_by_blocks(self, points)
        square = self.squares(points[:, :1], points[:, 1:])
        index = square.argmin(axis=1)
        return np.sqrt(square[np.arange(len(points)), index]), index

    def distances(self, points: np.ndarray) -> np.ndarray:
        """Distance (m, n) of each of `points` (m, 2) to each segment."""
        return np.sqrt(self.squares(points[:, :1], points[:, 1:]))

    def encloses(self, points: np.ndarray) -> np.ndarray:
        """Whether each of `points` (m, 2) lies inside the closed chain these segments form."""
        return encloses(self, points)

    @cached_property
    def chords(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Starts x and y, ends y, and dx/dy of the chords (0 for a level one, which no level line crosses)."""
        rise = self.b[:, 1] - self.a[:, 1]
        lean = (self.b[:, 0] - self.a[:, 0]) / np.where(rise == 0.0, 1.0, rise)
        return np.ascontiguousarray(self.a[:, 0]), np.ascontiguousarray(self.a[:, 1]), np.ascontiguousarray(self.b[:, 1]), lean

    @cached_property
    def bows(self) -> tuple[np.ndarray, ...]:
        """Of the arcs: twice the centre from the start, x and y; whether the chord is level, leads toward +x,
        rises; whether it turns clockwise."""
        k, double = self.arcs, 2.0 * self.lever
        a, b = self.a[k], self.b[k]
        return double[k, 0], double[k, 1], b[:, 1] == a[:, 1], b[:, 0] > a[:, 0], b[:, 1] > a[:, 1], self.bulge[k] < 0

    @cached_property
    def curved(self) -> bool:
        """Whether any is an arc."""
        return bool(self.arc.any())


def _turned(v: np.ndarray, angle: np.ndarray) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * v[:, 0] - s * v[:, 1], s * v[:, 0] + c * v[:, 1]], axis=1)
