"""Polygons with exactly the area of a profile, and what a straight line leaves of a convex one."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import portions


def even_polygon(shape: Profile, sagitta: float) -> np.ndarray:
    """Vertices (m, 2) of a polygon of exactly the area of `shape`; joints stay in place.

    The edges leave the arcs by at most `sagitta` mm: the inner vertices of a flattened arc are
    moved off it by about two thirds of that, so that sums over many sections do not drift."""
    s = shape.segments
    with np.errstate(divide="ignore", invalid="ignore"):
        step = 2.0 * np.arccos(np.clip(1.0 - sagitta / s.radius, -1.0, 1.0))
        count = np.where(s.arc, np.maximum(np.ceil(np.abs(s.sweep) / step), 3), 1).astype(int)
    index, place = portions(count)
    points = s.take(index).at(place / count[index])
    # Triangles about the centre: two with one vertex on the arc, n - 2 with both at the radius
    # `far` (in radii): (n - 2) far^2 + 2 far = sweep / sin(sweep / n).
    n, turn = count[s.arc], np.abs(s.sweep[s.arc])
    far = (np.sqrt(1.0 + (n - 2) * turn / np.sin(turn / n)) - 1.0) / (n - 2)
    scale = np.ones(len(s))
    scale[s.arc] = far
    inner = place > 0
    centre = s.centre[index[inner]]
    points[inner] = centre + (points[inner] - centre) * scale[index[inner]][:, None]
    return points


def convex(points: np.ndarray) -> bool:
    """Whether a counter-clockwise polygon (m, 2) turns right nowhere."""
    ahead = np.roll(points, -1, axis=0) - points
    onward = np.roll(ahead, -1, axis=0)
    return bool((ahead[:, 0] * onward[:, 1] - ahead[:, 1] * onward[:, 0]).min() >= -1e-12)


def where_negative(points: np.ndarray, rise: np.ndarray) -> np.ndarray:
    """The part (k, 2) of a convex polygon (m, 2) where linear `rise` (m,) is negative."""
    after, next_rise = np.roll(points, -1, axis=0), np.roll(rise, -1)
    cross = (rise < 0.0) != (next_rise < 0.0)
    share = rise / np.where(cross, rise - next_rise, 1.0)
    rows = np.stack([points, points + share[:, None] * (after - points)], axis=1).reshape(-1, 2)
    return rows[np.stack([rise < 0.0, cross], axis=1).ravel()]
