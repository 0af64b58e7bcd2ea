"""Exact distance from points to a prism with a tilted floor: its top and walls by the column at the plan
foot, its floor by the plane, the floor's rim by lines and by Newton's method on its arcs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from bodycad.geometry.distance.plan import all_feet

if TYPE_CHECKING:
    from bodycad.geometry.solids.shapes import Prism

SAMPLES = 17
"""Places along an arc of the floor's rim from which the nearest one is refined."""
STEPS = 6
"""Newton steps; each doubles the digits of a place already within an arc's 17th part."""
MOST_PAIRS = 200_000
"""Points times segments worked on together: keeps the arrays small."""


def floor_at(prism: Prism, plan: np.ndarray) -> np.ndarray:
    """Heights (...) of the floor over plan points (..., 2), mm."""
    return prism.low + (plan - np.array(prism.slope_at)) @ np.array(prism.slope)


def closest(prism: Prism, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Exact distance (m,) from `points` (m, 3) to a prism and its nearest points (m, 3); 0
    inside."""
    plan, s = points[:, :2], prism.profile.segments
    flat, foot, _ = s.nearest(plan)
    inside = s.encloses(plan)
    foot = np.where(inside[:, None], plan, foot)
    z = np.clip(points[:, 2], floor_at(prism, foot), prism.high)
    best, spot = np.hypot(np.where(inside, 0.0, flat), points[:, 2] - z), np.column_stack([foot, z])
    # Level with the foot's column or above it nothing is nearer than the plan distance or the top.
    under = np.flatnonzero(points[:, 2] < z)
    size = max(1, MOST_PAIRS // (len(s) * SAMPLES))
    for k in range(0, len(under), size):
        rows = under[k : k + size]
        for found in _from_below(prism, points[rows]):
            distance = np.linalg.norm(found - points[rows], axis=1)
            nearer = distance < best[rows]
            best[rows[nearer]], spot[rows[nearer]] = distance[nearer], found[nearer]
    return best, spot


def _from_below(prism: Prism, points: np.ndarray):
    """For points (m, 3) below the floor at their plan foot: points (m, 3) of the prism, the nearest
    among them."""
    s, slope = prism.profile.segments, np.array(prism.slope)
    rows = np.arange(len(points))
    # The floor's plane, where the foot lies on the floor.
    lift = (floor_at(prism, points[:, :2]) - points[:, 2]) / (1.0 + slope @ slope)
    foot = points + lift[:, None] * np.array([-slope[0], -slope[1], 1.0])
    on = s.encloses(foot[:, :2])
    yield np.where(on[:, None], foot, np.inf)
    # The walls, square to each segment.
    feet, distance = all_feet(s, points[:, :2])
    z = np.clip(points[:, 2:], floor_at(prism, feet), prism.high)
    k = np.argmin(np.hypot(distance, points[:, 2:] - z), axis=1)
    yield np.column_stack([feet[rows, k], z[rows, k]])
    # The floor's rim.
    lines, arcs = np.flatnonzero(~s.arc), np.flatnonzero(s.arc)
    if len(lines):
        yield _line_feet(prism, lines, points)
    if len(arcs):
        yield _arc_feet(prism, arcs, points)


def _line_feet(prism: Prism, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Nearest points (m, 3) on the rim over the straight segments `index`."""
    s, p = prism.profile.segments, points[:, None, :]
    a = np.column_stack([s.a[index], floor_at(prism, s.a[index])])
    d = np.column_stack([s.b[index], floor_at(prism, s.b[index])]) - a
    t = np.clip(((p - a) * d).sum(axis=2) / np.maximum((d * d).sum(axis=1), 1e-300), 0.0, 1.0)
    feet = a + t[..., None] * d
    k = np.argmin(((feet - p) ** 2).sum(axis=2), axis=1)
    return feet[np.arange(len(points)), k]


def _arc_feet(prism: Prism, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Nearest points (m, 3) on the rim over the arcs `index`: the best of SAMPLES places on each,
    refined."""
    s, slope, many = prism.profile.segments, np.array(prism.slope), np.arange(len(points))[:, None]
    share = np.linspace(0.0, 1.0, SAMPLES)
    spots = np.stack([s.take(index).at(np.full(len(index), t)) for t in share])
    spots = np.concatenate([spots, floor_at(prism, spots)[..., None]], axis=2)
    best = np.argmin(((spots[None] - points[:, None, None, :]) ** 2).sum(axis=3), axis=1)
    start, sweep, radius, centre = s.start[index], s.sweep[index], s.radius[index], s.centre[index]
    low, high = (start + sweep * share[np.clip(best + step, 0, SAMPLES - 1)] for step in (-1, 1))
    low, high = np.minimum(low, high), np.maximum(low, high)
    angle = start + sweep * share[best]
    for _ in range(STEPS):
        c, sn = np.cos(angle), np.sin(angle)
        out, ahead = (
            radius[:, None] * np.stack([c, sn], axis=-1),
            radius[:, None] * np.stack([-sn, c], axis=-1),
        )
        away, rise = (
            centre + out - points[:, None, :2],
            floor_at(prism, centre + out) - points[:, 2:],
        )
        first = (away * ahead).sum(axis=2) + rise * (ahead @ slope)
        second = radius**2 - (away * out).sum(axis=2) + (ahead @ slope) ** 2 - rise * (out @ slope)
        step = np.where(
            second > 0.0,
            first / np.where(second > 0.0, second, 1.0),
            np.sign(first) * (high - low) / 4.0,
        )
        angle = np.clip(angle - step, low, high)
    found = centre + radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    refined = np.concatenate([found, floor_at(prism, found)[..., None]], axis=2)
    sampled = spots[best, np.arange(len(index))]
    both = np.concatenate([refined, sampled], axis=1)
    k = np.argmin(((both - points[:, None, :]) ** 2).sum(axis=2), axis=1)
    return both[many[:, 0], k]
