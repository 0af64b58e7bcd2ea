"""The corner of a chain made round by an arc tangent to both of its sides, be they lines, arcs or
several of these."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.meet import meetings
from bodycad.geometry.plane.profile import Point
from bodycad.geometry.plane.segments import Segments, turning

SLACK = 1e-6
"""A foot that lies farther from the centre than the radius and this (mm) is none."""


def filleted(rows: np.ndarray, corners: Iterable[tuple[Point, float]], name: str) -> np.ndarray:
    """A closed chain (n, 3) with an arc in place of each of the vertices at the points `corners`,
    of the radius given with it.

    What an arc takes away ends before the next sharp vertex. Raises InputError naming `name` where
    it does not fit there."""
    for spot, radius in corners:
        k = int(np.argmin(np.hypot(*(rows[:, :2] - spot).T)))
        rows = _rounded(np.roll(rows, -k, axis=0), radius, name)
    return rows


def _rounded(rows: np.ndarray, radius: float, name: str) -> np.ndarray:
    """The chain with an arc in place of its first vertex."""
    n, points = len(rows), rows[:, :2]
    s = Segments(points, np.roll(points, -1, axis=0), rows[:, 2])
    ones = np.ones(n)
    leaving, arriving = s.tangent(0.0 * ones), np.roll(s.tangent(ones), 1, axis=0)
    turn = turning(arriving, leaving)
    if abs(turn[0]) < 1e-6 or abs(turn[0]) > math.pi - 1e-6:
        x, y = points[0].tolist()
        given = f"a fillet at ({x:g}, {y:g}), where it runs on smoothly or folds back"
        raise InputError(name, given, "fillets at corners")
    side = math.copysign(1.0, turn[0])
    sharp = np.flatnonzero(np.abs(turn[1:]) > math.radians(1.0)) + 1
    low, high = (int(sharp[0]), int(sharp[-1])) if len(sharp) else (n, 0)
    after, before = np.arange(low), np.arange(n - 1, high - 1, -1)
    found = _centre(s, before, after, radius, side)
    if found is None:
        x, y = points[0].tolist()
        given = f"a fillet of {radius:g} mm at ({x:g}, {y:g}) that does not fit between its sides"
        raise InputError(name, given, "one that leaves some of both sides", "use a smaller radius")
    i, j, centre = found
    feet = s.foot_on(np.array([centre, centre]), np.array([i, j]))
    ends = feet - centre
    sweep = math.atan2(ends[0, 0] * ends[1, 1] - ends[0, 1] * ends[1, 0], float(ends[0] @ ends[1]))
    sweep = sweep if sweep * side > 0.0 else sweep + side * math.tau
    start, stop = _share(s, i, feet[0]), _share(s, j, feet[1])
    out = rows[j : i + 1].copy()
    out[0] = [*feet[1], math.tan((1.0 - stop) * s.sweep[j] / 4.0)]
    # One segment from the arc round to the arc is shortened at both of its ends.
    first = stop if i == j else 0.0
    out[-1, 2] = math.tan((start - first) * s.sweep[i] / 4.0)
    return np.vstack([out, [*feet[0], math.tan(sweep / 4.0)]])


def _centre(
    s: Segments, before: np.ndarray, after: np.ndarray, radius: float, side: float
) -> tuple[int, int, np.ndarray] | None:
    """The segments that the arc touches, and its centre: where parallels to both sides meet, as
    near to the corner as they do."""
    order = np.concatenate([before, after])
    chosen = s.take(order)
    zeros, ones = np.zeros(len(order)), np.ones(len(order))
    left = [way[:, ::-1] * [-1.0, 1.0] for way in (chosen.tangent(zeros), chosen.tangent(ones))]
    live = ~chosen.arc | (chosen.radius - side * np.sign(chosen.bulge) * radius > SLACK)
    shifted = Segments(
        (chosen.a + side * radius * left[0])[live],
        (chosen.b + side * radius * left[1])[live],
        chosen.bulge[live],
    )
    whose = np.flatnonzero(live)
    found = meetings(shifted)
    best = None
    for one, two, spot in zip(found.first.tolist(), found.second.tolist(), found.points):
        one, two = sorted((int(whose[one]), int(whose[two])))
        if one >= len(before) or two < len(before):
            continue
        i, j = int(order[one]), int(order[two])
        feet = s.foot_on(np.array([spot, spot]), np.array([i, j]))
        if np.abs(np.hypot(*(feet - spot).T) - radius).max() > SLACK:
            continue
        cost = one + (two - len(before))
        if best is None or cost < best[0]:
            best = cost, i, j, spot
    return None if best is None else best[1:]


def _share(s: Segments, k: int, spot: np.ndarray) -> float:
    """How far along segment `k` a point of it lies, 0 to 1."""
    if not s.arc[k]:
        return float(np.hypot(*(spot - s.a[k])) / s.chord[k])
    lever = spot - s.centre[k]
    angle = math.atan2(lever[1], lever[0]) - float(s.start[k])
    sweep = float(s.sweep[k])
    return (angle * math.copysign(1.0, sweep) % math.tau) / abs(sweep)
