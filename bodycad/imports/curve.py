"""What a drawing is made of: tracks of lines and arcs, which stay exact, and smooth curves, which
are all rational B-splines: cubic and quadratic Beziers, arcs of ellipses and splines alike."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.segments import Segments

EXACT = 1e-9
"""Relative difference under which two radii are one, and an angle is a right one."""
FEW = 12
"""A curve is walked from so many of its knots at once."""
KINK = math.radians(0.5)
"""A curve that turns by more than this at one of its knots has a corner there."""


@dataclass(frozen=True, eq=False)
class Track:
    """An open chain of lines and arcs: rows (n, 3) x, y and the bulge of the segment that begins
    there; the last row is the end."""

    rows: np.ndarray

    @property
    def ends(self) -> np.ndarray:
        """First and last point (2, 2)."""
        return self.rows[[0, -1], :2]

    @cached_property
    def segments(self) -> Segments:
        """Its lines and arcs."""
        return Segments(self.rows[:-1, :2], self.rows[1:, :2], self.rows[:-1, 2])

    @property
    def straight(self) -> bool:
        """Whether it is lines alone."""
        return not self.rows[:-1, 2].any()

    def back(self) -> Track:
        """The same from its end to its beginning."""
        rows = self.rows[::-1].copy()
        rows[:, 2] = np.append(-self.rows[-2::-1, 2], 0.0)
        return Track(rows)

    def sampled(self, each: int) -> np.ndarray:
        """Points (m, 2) along it, `each` of every segment and the end."""
        count = len(self.rows) - 1
        index = np.repeat(np.arange(count), each)
        points = self.segments.take(index).at(np.tile(np.arange(each) / each, count))
        return np.vstack([points, self.rows[-1:, :2]])

    def moved(self, matrix: np.ndarray) -> tuple[Shape, ...]:
        """Through the affine `matrix` (2, 3). Where that makes ellipses of circles, its arcs become
        curves of their own."""
        if self.straight or similar(matrix):
            flip = math.copysign(1.0, np.linalg.det(matrix[:, :2]))
            points = placed(matrix, self.rows[:, :2])
            return (Track(np.column_stack([points, flip * self.rows[:, 2]])),)
        made: list[Shape] = []
        s = self.segments
        for k in range(len(s)):
            if s.bulge[k]:
                radius, start, sweep = float(s.radius[k]), float(s.start[k]), float(s.sweep[k])
                along, across = radius * matrix[:, 0], radius * matrix[:, 1]
                centre = placed(matrix, s.centre[k : k + 1])[0]
                made.append(elliptic(centre, along, across, start, sweep))
            else:
                made.append(line(placed(matrix, self.rows[k : k + 2, :2])))
        return tuple(made)


@dataclass(frozen=True, eq=False)
class Curve:
    """A rational B-spline of `degree` with `knots` (n + degree + 1,) and `controls` (n, 3): x and y
    times the weight, and the weight."""

    degree: int
    knots: np.ndarray
    controls: np.ndarray

    @property
    def domain(self) -> tuple[float, float]:
        """Least and greatest parameter."""
        return float(self.knots[self.degree]), float(self.knots[-self.degree - 1])

    @cached_property
    def ends(self) -> np.ndarray:
        """First and last point (2, 2)."""
        return self.point(np.array(self.domain))

    @cached_property
    def inner(self) -> np.ndarray:
        """The distinct knots within its domain."""
        low, high = self.domain
        return np.unique(self.knots[(self.knots > low) & (self.knots < high)])

    @property
    def marks(self) -> np.ndarray:
        """The distinct knots of its domain, its ends among them."""
        low, high = self.domain
        return np.concatenate([[low], self.inner, [high]])

    @cached_property
    def rates(self) -> Curve:
        """The B-spline of the derivatives of its homogeneous coordinates."""
        p = self.degree
        span = self.knots[p + 1 : -1] - self.knots[1 : -p - 1]
        step = np.diff(self.controls, axis=0) * p / np.where(span > 0.0, span, 1.0)[:, None]
        return Curve(p - 1, self.knots[1:-1], step)

    @cached_property
    def speed(self) -> float:
        """Its control polygon's length over the length of its domain."""
        spots = self.controls[:, :2] / self.controls[:, 2:]
        low, high = self.domain
        return float(np.hypot(*np.diff(spots, axis=0).T).sum()) / (high - low)

    def point(self, t: np.ndarray) -> np.ndarray:
        """Positions (m, 2)."""
        found = self._homogeneous(t)
        return found[:, :2] / found[:, 2:]

    def slope(self, t: np.ndarray) -> np.ndarray:
        """First derivatives (m, 2)."""
        whole, rate = self._homogeneous(t), self.rates._homogeneous(t)
        spot = whole[:, :2] / whole[:, 2:]
        return (rate[:, :2] - spot * rate[:, 2:]) / whole[:, 2:]

    def _homogeneous(self, t: np.ndarray) -> np.ndarray:
        p, knots = self.degree, self.knots
        span = np.clip(np.searchsorted(knots, t, side="right") - 1, p, len(self.controls) - 1)
        return de_boor(p, knots, self.controls, span, np.zeros(len(t), int), t)

    def back(self) -> Curve:
        """The same from its end to its beginning."""
        return Curve(self.degree, -self.knots[::-1], self.controls[::-1])

    def sampled(self, each: int) -> np.ndarray:
        """Points (m, 2) along it, `each` between two knots and the end."""
        share = np.arange(each) / each
        t = self.marks[:-1, None] + share * np.diff(self.marks)[:, None]
        return self.point(np.append(t.ravel(), self.marks[-1]))

    def moved(self, matrix: np.ndarray) -> tuple[Curve, ...]:
        """Through the affine `matrix` (2, 3)."""
        weight = self.controls[:, 2:]
        spots = self.controls[:, :2] @ matrix[:, :2].T + weight * matrix[:, 2]
        return (Curve(self.degree, self.knots, np.hstack([spots, weight])),)

    @cached_property
    def corners(self) -> np.ndarray:
        """The knots at which it turns sharply."""
        inner = self.inner
        if not len(inner):
            return inner
        reach = 1e-7 * np.minimum(np.diff(self.marks)[:-1], np.diff(self.marks)[1:])
        one, two = self.slope(inner - reach), self.slope(inner + reach)
        turn = np.arctan2(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0], (one * two).sum(axis=1))
        return inner[np.abs(turn) > KINK]


Shape: TypeAlias = Track | Curve


def joints(curve: Curve) -> np.ndarray:
    """Where the arcs of a curve begin anew: at its corners, and at a few of its knots, from which
    all go on side by side."""
    step = -(-len(curve.inner) // FEW) or 1
    return np.unique(np.concatenate([curve.corners, curve.inner[step - 1 :: step]]))


def de_boor(
    degree: int,
    knots: np.ndarray,
    controls: np.ndarray,
    span: np.ndarray,
    before: np.ndarray,
    t: np.ndarray,
) -> np.ndarray:
    """Values (m, 3) at `t` (m,), each between the knots `span` (m,) and the next; of several
    B-splines in a row, `before` (m,) knots more than controls belong to those before it."""
    local = controls[(span - before)[:, None] + np.arange(-degree, 1)]
    for level in range(1, degree + 1):
        place = span[:, None] + np.arange(level - degree, 1)
        low, high = knots[place], knots[place + degree + 1 - level]
        width = high - low
        share = (t[:, None] - low) / np.where(width > 0.0, width, 1.0)
        local = local[:, :-1] + share[:, :, None] * (local[:, 1:] - local[:, :-1])
    return local[:, 0]


def line(points: np.ndarray) -> Track:
    """The straight lines between points (n, 2)."""
    return Track(np.column_stack([points, np.zeros(len(points))]))


def bezier(controls: np.ndarray) -> Curve:
    """The Bezier of controls (n, 2)."""
    n = len(controls)
    knots = np.repeat([0.0, 1.0], n)
    return Curve(n - 1, knots, np.column_stack([controls, np.ones(n)]))


def elliptic(
    centre: np.ndarray, along: np.ndarray, across: np.ndarray, start: float, sweep: float
) -> Shape:
    """The curve centre + along cos(t) + across sin(t) from t = start over `sweep` radians: arcs
    where it is a circle's."""
    sweep = math.copysign(min(abs(sweep), math.tau), sweep)
    count = max(math.ceil(abs(sweep) / (math.pi / 2.0) - 1e-9), 1)
    step = sweep / count
    radius = float(np.hypot(*along))
    round_ = abs(float(np.hypot(*across)) - radius) <= EXACT * radius
    if round_ and abs(float(along @ across)) <= EXACT * radius * radius:
        count = 2 if abs(sweep) > math.pi else 1
        step = sweep / count
    t = start + step * np.arange(count + 1)
    joints = centre + np.cos(t)[:, None] * along + np.sin(t)[:, None] * across
    if round_ and abs(float(along @ across)) <= EXACT * radius * radius:
        turn = math.copysign(1.0, float(along[0] * across[1] - along[1] * across[0]))
        bulge = np.full(count + 1, turn * math.tan(step / 4.0))
        bulge[-1] = 0.0
        return Track(np.column_stack([joints, bulge]))
    # Each quarter or less is a rational quadratic whose middle control has the weight cos(step/2).
    weight = math.cos(step / 2.0)
    half = t[:-1] + step / 2.0
    peaks = weight * centre + np.cos(half)[:, None] * along + np.sin(half)[:, None] * across
    controls = np.ones((2 * count + 1, 3))
    controls[0::2, :2] = joints
    controls[1::2, :2], controls[1::2, 2] = peaks, weight
    knots = np.concatenate([[0.0], np.repeat(np.arange(count + 1.0), 2), [count]])
    return Curve(2, knots, controls)


def spline(degree: int, knots: np.ndarray, points: np.ndarray, weights: np.ndarray) -> Curve:
    """The B-spline of control points (n, 2). Raises InputError for what is none."""
    n, name = len(points), "a spline"
    if not 1 <= degree <= 11 or n < degree + 1:
        raise InputError(name, f"one of degree {degree} with {n} control points", "degree 1 to 11")
    if len(knots) != n + degree + 1 or np.any(np.diff(knots) < 0.0):
        allowed = f"{n + degree + 1} knots that never fall"
        raise InputError(name, f"one of {n} control points with {len(knots)} knots", allowed)
    if len(weights) != n or weights.min() <= 0.0 or weights.max() > 1e6 * weights.min():
        raise InputError(name, "one with weights that are not above 0", "a weight each, above 0")
    made = Curve(degree, knots, np.column_stack([points * weights[:, None], weights]))
    low, high = made.domain
    if not high > low:
        raise InputError(name, "one whose knots all coincide", "knots that rise")
    return made


def similar(matrix: np.ndarray) -> bool:
    """Whether an affine matrix (2, 3) keeps circles round."""
    return bool(isinstance(elliptic(np.zeros(2), matrix[:, 0], matrix[:, 1], 0.0, 1.0), Track))


def placed(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (m, 2) through an affine matrix (2, 3)."""
    return points @ matrix[:, :2].T + matrix[:, 2]


def astray(track: Track, points: np.ndarray) -> float:
    """The farthest of `points` (m, 2) from a track."""
    size = max(1, 400_000 // len(track.rows))
    parts = range(0, len(points), size)
    return max(float(track.segments.away(points[k : k + size])[0].max()) for k in parts)
