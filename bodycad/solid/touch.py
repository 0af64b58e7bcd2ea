"""Whether two plan profiles nearly touch: walls that almost coincide, corners that almost meet.

Measured here (four pairs of bores in one cut, volumes against exact plan areas): the kernel is
right where walls coincide or are tangent from inside exactly, and wrong, while `isValid()`, where
bores are tangent from outside within 0..1e-7 mm, where equal bores are 1e-6 mm apart, and where a
bore is tangent to a wall from inside within 1e-6 mm.
"""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments

NEAR = 1e-3
"""Closer than this (mm), and not the same, is a near miss."""
SAME = 1e-9
"""Closer than this (mm) is the same place."""


def near_miss(one: Profile, two: Profile) -> float | None:
    """The least distance (mm) at which two profiles nearly touch, or None where they are clearly
    apart, clearly cross, or share a wall exactly. Profiles that touch exactly from outside give
    0."""
    p, q = _near(one.segments, two.segments), _near(two.segments, one.segments)
    if not len(p) or not len(q):
        return None
    rows, columns = np.nonzero(_boxes_near(p.boxes, q.boxes))
    found = [*_corners(p, q), *_corners(q, p)]
    if len(rows):
        found += _tangents(p.take(rows), q.take(columns))
    return min(found, default=None)


def _near(s: Segments, other: Segments) -> Segments:
    return s.take(np.flatnonzero(_boxes_near(s.boxes, other.boxes).any(axis=1)))


def _boxes_near(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    one, two = one[:, None], two[None]
    near = (one[..., :2] < two[..., 2:] + NEAR) & (two[..., :2] < one[..., 2:] + NEAR)
    return np.asarray(near.all(axis=-1))


def _corners(one: Segments, two: Segments) -> list[float]:
    """Distances from the ends of `one` to `two` that are near misses; 0 for walls back to back."""
    found = []
    for t, points in ((0.0, one.a), (1.0, one.b)):
        way = one.tangent(np.full(len(one), t))
        foot, distance = two.feet(points)
        close = (distance > SAME) & (distance < NEAR)
        found += distance[close].tolist()
        rows, columns = np.nonzero(distance <= SAME)
        if len(rows):
            other = two.take(columns)
            share = shares(other, foot[rows, columns])
            inside = (share > 1e-9) & (share < 1.0 - 1e-9)
            back = (way[rows] * other.tangent(share)).sum(axis=1) < -1.0 + 1e-12
            found += [0.0] * int((inside & back).sum())
    return found


def shares(s: Segments, points: np.ndarray) -> np.ndarray:
    """Fraction of each segment at which its own point lies."""
    d = s.b - s.a
    line = ((points - s.a) * d).sum(axis=1) / np.maximum(s.chord**2, 1e-300)
    out = points - s.centre
    turn = np.arctan2(out[:, 1], out[:, 0]) - s.start
    sweep = np.where(s.arc, s.sweep, 1.0)
    turn = np.where(sweep > 0, turn % (2.0 * np.pi), -((-turn) % (2.0 * np.pi)))
    share: np.ndarray = np.where(s.arc, turn / sweep, line)
    return share


def _tangents(one: Segments, two: Segments) -> list[float]:
    """Near misses inside both segments of each pair: where a line through centres, or a
    perpendicular from a centre, meets both."""
    found = []
    both = np.flatnonzero(one.arc & two.arc)
    if len(both):
        p, q = one.take(both), two.take(both)
        across = q.centre - p.centre
        far = np.hypot(*across.T)
        unit = across / np.where(far > SAME, far, 1.0)[:, None]
        for s in (1.0, -1.0):
            at_p = p.centre + s * p.radius[:, None] * unit
            for t in (1.0, -1.0):
                at_q = q.centre + t * q.radius[:, None] * unit
                found += _judged(p, at_p, q, at_q, far > SAME)
    for line, arc in ((one, two), (two, one)):
        pick = np.flatnonzero(~line.arc & arc.arc)
        if len(pick):
            p, q = line.take(pick), arc.take(pick)
            d = p.tangent(np.zeros(len(p)))
            foot = p.a + ((q.centre - p.a) * d).sum(axis=1)[:, None] * d
            out = foot - q.centre
            far = np.hypot(*out.T)
            unit = out / np.where(far > SAME, far, 1.0)[:, None]
            found += _judged(p, foot, q, q.centre + q.radius[:, None] * unit, far > SAME)
    return found


def _judged(
    p: Segments, at_p: np.ndarray, q: Segments, at_q: np.ndarray, real: np.ndarray
) -> list[float]:
    """Distances of candidate contacts that lie on both segments and are near misses; 0 for exact
    ones from outside, where the chains run opposite ways."""
    distance = np.hypot(*(at_p - at_q).T)
    share_p, share_q = shares(p, at_p), shares(q, at_q)
    for share in (share_p, share_q):
        real = real & (share > -1e-9) & (share < 1.0 + 1e-9)
    real = real & (distance < NEAR)
    opposite = (p.tangent(share_p) * q.tangent(share_q)).sum(axis=1) < 0.0
    return [float(d) for d in distance[real & ((distance > SAME) | opposite)]]
