"""Exact least distance between two chains of lines and arcs, with both witness points."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.profile import Profile
from bodycad.geometry.segments import Segments

TOUCH = 1e-9


def chain_gap(one: Segments, two: Segments) -> tuple[float, np.ndarray, np.ndarray]:
    """Least distance (mm) between two chains and the points (2,) where it is reached; 0 where they cross.

    Exact: the least distance of two segments is reached at an end of one, or where the line through
    centres or the perpendicular from a centre meets both, or where they cross.
    """
    ends_one, ends_two = np.vstack([one.a, one.b[-1:]]), np.vstack([two.a, two.b[-1:]])
    foot_two, d_two = two.feet(ends_one)
    foot_one, d_one = one.feet(ends_two)
    i, j = np.unravel_index(np.argmin(d_two), d_two.shape)
    best, at_one, at_two = d_two[i, j], ends_one[i], foot_two[i, j]
    i, j = np.unravel_index(np.argmin(d_one), d_one.shape)
    if d_one[i, j] < best:
        best, at_one, at_two = d_one[i, j], foot_one[i, j], ends_two[i]
    rows, columns = _box_pairs(one.boxes, two.boxes, best)
    if len(rows):
        for p, q in _inner_candidates(one.take(rows), two.take(columns)):
            distance = np.hypot(*(p - q).T)
            if len(distance) and distance.min() < best:
                k = int(np.argmin(distance))
                best, at_one, at_two = distance[k], p[k], q[k]
    return float(best), at_one, at_two


def plan_gap(one: Profile, two: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least distance (mm) between two filled profiles and its witness points; 0 where they share area."""
    if one.circle:
        return _circle_gap(one, two)
    if two.circle:
        distance, q, p = _circle_gap(two, one)
        return distance, p, q
    distance, p, q = chain_gap(one.segments, two.segments)
    if distance > 0.0:
        if two.segments.encloses(one.vertices[:1, :2])[0]:
            point = one.vertices[0, :2]
            return 0.0, point, point
        if one.segments.encloses(two.vertices[:1, :2])[0]:
            point = two.vertices[0, :2]
            return 0.0, point, point
    return distance, p, q


def _circle_gap(one: Profile, two: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """`plan_gap` of a circle: the distance of its centre less its radius."""
    (x, y), radius = one.circle
    centre = np.array([x, y])
    if two.circle:
        (x2, y2), other = two.circle
        distance, near = np.hypot(x2 - x, y2 - y) - other, np.array([x2, y2])
        near = near + (centre - near) * (other / max(distance + other, TOUCH)) if distance > 0.0 else centre
    else:
        away, foot, _ = two.segments.nearest(centre[None, :])
        distance, near = float(away[0]), foot[0]
        if two.segments.encloses(centre[None, :])[0]:
            distance, near = 0.0, centre
    if distance <= radius:
        return 0.0, near, near
    return float(distance - radius), centre + (near - centre) * (radius / distance), near


def inside_gap(inner: Profile, outer: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least room (mm) between an inner profile and the chain round it; negative where it pokes out.

    When the inner profile leaves the outer one, the figure is how far its farthest vertex, or the
    deepest point found along its arcs, lies outside.
    """
    distance, p, q = chain_gap(inner.segments, outer.segments)
    step = np.linspace(0.0, 1.0, 9)[:-1]
    s = inner.segments
    probe = np.vstack([s.at(np.full(len(s), t)) for t in step])
    signed = outer.signed_distance(probe)
    k = int(np.argmax(signed))
    if signed[k] > TOUCH:
        return -float(signed[k]), probe[k], outer.segments.nearest(probe[k : k + 1])[1][0]
    return distance, p, q


def _box_pairs(one: np.ndarray, two: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    dx = np.maximum(one[:, None, 0] - two[None, :, 2], two[None, :, 0] - one[:, None, 2])
    dy = np.maximum(one[:, None, 1] - two[None, :, 3], two[None, :, 1] - one[:, None, 3])
    gap = np.hypot(np.maximum(dx, 0.0), np.maximum(dy, 0.0))
    return np.nonzero(gap <= reach + TOUCH)


def _inner_candidates(one: Segments, two: Segments):
    """Pairs of points (p on one, q on two), row by row, where an inner least distance can lie."""
    lines = np.flatnonzero(~one.arc & ~two.arc)
    if len(lines):
        yield _line_line(one.take(lines), two.take(lines))
    mixed = np.flatnonzero(~one.arc & two.arc)
    if len(mixed):
        yield from _line_arc(one.take(mixed), two.take(mixed))
    mixed = np.flatnonzero(one.arc & ~two.arc)
    if len(mixed):
        for q, p in _line_arc(two.take(mixed), one.take(mixed)):
            yield p, q
    arcs = np.flatnonzero(one.arc & two.arc)
    if len(arcs):
        yield from _arc_arc(one.take(arcs), two.take(arcs))


def _line_line(one: Segments, two: Segments):
    d, e, w = one.b - one.a, two.b - two.a, two.a - one.a
    cross = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    safe = np.where(cross != 0, cross, 1.0)
    s = (w[:, 0] * e[:, 1] - w[:, 1] * e[:, 0]) / safe
    t = (w[:, 0] * d[:, 1] - w[:, 1] * d[:, 0]) / safe
    hit = (cross != 0) & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    point = one.a[hit] + s[hit, None] * d[hit]
    return point, point


def _on_line(line: Segments, points: np.ndarray) -> np.ndarray:
    d = line.b - line.a
    t = ((points - line.a) * d).sum(axis=1) / np.where(line.chord > 0, line.chord**2, 1.0)
    return (t >= 0) & (t <= 1)


def _on_arc(arc: Segments, points: np.ndarray) -> np.ndarray:
    out = points - arc.centre
    return arc.spans(np.arctan2(out[:, 1], out[:, 0]), np.arange(len(arc)))


def _line_arc(line: Segments, arc: Segments):
    d = (line.b - line.a) / np.where(line.chord > 0, line.chord, 1.0)[:, None]
    along = ((arc.centre - line.a) * d).sum(axis=1)
    foot = line.a + along[:, None] * d
    out = foot - arc.centre
    off = np.hypot(out[:, 0], out[:, 1])
    normal = np.where(off[:, None] > TOUCH, out / np.where(off > TOUCH, off, 1.0)[:, None],
                      np.stack([-d[:, 1], d[:, 0]], axis=1))
    on_line = _on_line(line, foot)
    for side in (1.0, -1.0):
        q = arc.centre + side * arc.radius[:, None] * normal
        ok = on_line & _on_arc(arc, q)
        yield foot[ok], q[ok]
    half = np.sqrt(np.maximum(arc.radius**2 - off**2, 0.0))
    for side in (1.0, -1.0):
        point = foot + side * half[:, None] * d
        ok = (off <= arc.radius) & _on_line(line, point) & _on_arc(arc, point)
        yield point[ok], point[ok]


def _arc_arc(one: Segments, two: Segments):
    between = two.centre - one.centre
    span = np.hypot(between[:, 0], between[:, 1])
    apart = span > TOUCH
    u = between / np.where(apart, span, 1.0)[:, None]
    for s in (1.0, -1.0):
        p = one.centre + s * one.radius[:, None] * u
        on = apart & _on_arc(one, p)
        for t in (1.0, -1.0):
            q = two.centre + t * two.radius[:, None] * u
            ok = on & _on_arc(two, q)
            yield p[ok], q[ok]
    safe = np.where(apart, span, 1.0)
    x = (span**2 + one.radius**2 - two.radius**2) / (2.0 * safe)
    square = one.radius**2 - x**2
    meets = apart & (square >= 0)
    y = np.sqrt(np.maximum(square, 0.0))
    normal = np.stack([-u[:, 1], u[:, 0]], axis=1)
    for s in (1.0, -1.0):
        point = one.centre + x[:, None] * u + s * y[:, None] * normal
        ok = meets & _on_arc(one, point) & _on_arc(two, point)
        yield point[ok], point[ok]
