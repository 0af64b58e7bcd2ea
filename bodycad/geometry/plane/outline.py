"""Closed outlines through given points: a smooth curve, then tangent-continuous arcs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.arcfit import TOLERANCE, fit_arcs
from bodycad.geometry.plane.build import OFF_AXIS, mirrored_half
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.profile import Point, Profile, profile

APART = 1e-6
"""Two outline points nearer than this (mm) are one point given twice."""


@dataclass(frozen=True, eq=False)
class Spline:
    """A curvature-continuous cubic by `points` (n, 2), `knots` (n,), second derivatives `bends`.

    The knots are the running chord length: measured on unevenly sampled outlines, centripetal knots
    strayed up to eight times further from the sampled shape."""

    knots: np.ndarray
    points: np.ndarray
    bends: np.ndarray

    def point(self, t: np.ndarray) -> np.ndarray:
        """Positions (m, 2) at parameters `t` (m,)."""
        k, h, u, v = self._span(t)
        p, m = self.points, self.bends
        return v * p[k] + u * p[k + 1] + h**2 / 6.0 * ((v**3 - v) * m[k] + (u**3 - u) * m[k + 1])

    def slope(self, t: np.ndarray) -> np.ndarray:
        """First derivatives (m, 2) at parameters `t` (m,)."""
        k, h, u, v = self._span(t)
        p, m = self.points, self.bends
        bend = (3.0 * u**2 - 1.0) * m[k + 1] - (3.0 * v**2 - 1.0) * m[k]
        return (p[k + 1] - p[k]) / h + h / 6.0 * bend

    def _span(self, t: np.ndarray) -> tuple[np.ndarray, ...]:
        k = np.clip(np.searchsorted(self.knots, t, side="right") - 1, 0, len(self.knots) - 2)
        h = (self.knots[k + 1] - self.knots[k])[:, None]
        u = (t - self.knots[k])[:, None] / h
        return k, h, u, 1.0 - u


def closed_spline(points: np.ndarray) -> Spline:
    """The periodic cubic through `points` (n, 2) and back (a cyclic tridiagonal system)."""
    ring = np.vstack([points, points[:1]])
    h = np.hypot(*np.diff(ring, axis=0).T)
    rate = np.diff(ring, axis=0) / h[:, None]
    n, before = len(points), np.roll(h, 1)
    matrix, every = np.zeros((n, n)), np.arange(n)
    # Added, not set: with two points both neighbours are the same one.
    np.add.at(matrix, (every, every), 2.0 * (before + h))
    np.add.at(matrix, (every, (every - 1) % n), before)
    np.add.at(matrix, (every, (every + 1) % n), h)
    bends = np.linalg.solve(matrix, 6.0 * (rate - np.roll(rate, 1, axis=0)))
    return Spline(np.concatenate([[0.0], np.cumsum(h)]), ring, np.vstack([bends, bends[:1]]))


def open_spline(points: np.ndarray) -> Spline:
    """The cubic through `points` (n, 2) that ends in parabolas; a line for two points."""
    h = np.hypot(*np.diff(points, axis=0).T)
    rate = np.diff(points, axis=0) / h[:, None]
    n = len(points)
    matrix, right = np.eye(n), np.zeros((n, 2))
    if n > 2:
        matrix[0, 1] = matrix[-1, -2] = -1.0
        inner = np.arange(1, n - 1)
        matrix[inner, inner - 1], matrix[inner, inner + 1] = h[:-1], h[1:]
        matrix[inner, inner] = 2.0 * (h[:-1] + h[1:])
        right[1:-1] = 6.0 * np.diff(rate, axis=0)
    return Spline(np.concatenate([[0.0], np.cumsum(h)]), points, np.linalg.solve(matrix, right))


def smooth_outline(
    points: Sequence[Point],
    tolerance: float = TOLERANCE,
    corners: Sequence[int] = (),
    name: str = "an outline",
) -> Profile:
    """A closed outline of tangent-continuous arcs through (x, y) `points` in order, mm.

    The arcs stay within `tolerance` mm of a curve of continuous curvature and pass through every
    point. `corners` lists the indices of sharp points; between two neighbouring corners runs a
    straight line, or a smooth curve when there are points between them. Raises InputError naming
    `name` for fewer than three points, repeated points, or an outline that crosses itself."""
    given = _given(points, 3, name)
    _apart(np.vstack([given, given[:1]]), name)
    sharp = _corners(corners, len(given), name)
    rows = _rows(given, sharp, tolerance, name, len(given))
    _sound(Profile(rows), name)
    return profile(rows, name)


def smooth_half(
    points: Sequence[Point],
    tolerance: float = TOLERANCE,
    corners: Sequence[int] = (),
    name: str = "an outline",
) -> Profile:
    """An outline symmetric about the centreline y = 0 from the points of its +y half, mm.

    The first and the last point lie on y = 0, where the outline runs square to the centreline
    unless the point is listed in `corners`. Otherwise as `smooth_outline`."""
    half = _given(points, 3, name)
    if np.any(np.abs(half[[0, -1], 1]) > 1e-9):
        raise InputError(name, *OFF_AXIS)
    if np.any(half[1:-1, 1] <= 0.0):
        low = tuple(half[1 + int(np.argmin(half[1:-1, 1]))].tolist())
        raise InputError(name, f"a point {low} between the ends of its half", "y above 0 there")
    half[[0, -1], 1] = 0.0
    _apart(half, name)
    last = len(half) - 1
    sharp = _corners(corners, len(half), name)
    whole = np.vstack([half, half[-2:0:-1] * [1.0, -1.0]])
    both = sorted({*sharp, *((2 * last - k) % (2 * last) for k in sharp)})
    return _sound(mirrored_half(_rows(whole, both, tolerance, name, last), name), name)


def _rows(
    points: np.ndarray, sharp: list[int], tolerance: float, name: str, spans: int
) -> np.ndarray:
    """Vertices of the first `spans` spans of the closed curve, and the end if not the first."""
    n = len(points)
    ring = np.vstack([points, points])
    rows = []
    if not sharp:
        curve = closed_spline(points)
        rows = [fit_arcs(curve.point, curve.slope, curve.knots[: spans + 1], tolerance, name)]
    elif spans == n:
        for one, two in zip(sharp, [*sharp[1:], sharp[0] + n]):
            curve = open_spline(ring[one : two + 1])
            rows.append(fit_arcs(curve.point, curve.slope, curve.knots, tolerance, name))
    else:
        # The first half of a mirrored ring: corner chains that straddle an end are fitted in part.
        for one, two in zip([sharp[-1] - n, *sharp], [*sharp, sharp[0] + n]):
            begin, end = max(one, 0), min(two, spans)
            if begin < end:
                curve = open_spline(ring[one % n : one % n + two - one + 1])
                knots = curve.knots[begin - one : end - one + 1]
                rows.append(fit_arcs(curve.point, curve.slope, knots, tolerance, name))
    chain = np.vstack([*(part[:-1] for part in rows), rows[-1][-1:]])
    return chain[:-1] if spans == n else chain


def _sound(shape: Profile, name: str) -> Profile:
    crossed = crossings(shape)
    if len(crossed):
        x, y = crossed[0]
        found = f"an outline that crosses or touches itself at ({x:.3f}, {y:.3f})"
        raise InputError(name, found, "a simple closed outline", "check the order of its points")
    return shape


def _given(points: Sequence[Point], least: int, name: str) -> np.ndarray:
    try:
        rows = np.array([tuple(map(float, p)) for p in points], float)
    except (TypeError, ValueError):
        wrong = "a point that is not a pair of numbers"
        raise InputError(name, wrong, "(x, y) points in mm") from None
    if len(rows) < least:
        raise InputError(name, f"{len(rows)} points", f"at least {least} points")
    if rows.ndim != 2 or rows.shape[1] != 2 or not np.isfinite(rows).all():
        raise InputError(name, "a point that is not two finite numbers", "(x, y) points in mm")
    return rows


def _apart(rows: np.ndarray, name: str) -> None:
    same = np.flatnonzero(np.hypot(*np.diff(rows, axis=0).T) < APART)
    if len(same):
        k = int(same[0])
        found = f"point {k}, {tuple(rows[k].tolist())}, given twice in a row"
        remedy = "leave the repeated point out; the outline closes by itself"
        raise InputError(name, found, "distinct points", remedy)


def _corners(corners: Sequence[int], count: int, name: str) -> list[int]:
    for k in corners:
        if isinstance(k, bool) or not isinstance(k, (int, np.integer)) or not 0 <= k < count:
            raise InputError(f"{name}: a corner", k, f"an index from 0 to {count - 1}")
    return sorted({int(k) for k in corners})
