"""Exact least distance between two chains of lines and arcs, with both witness points."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments, places

TOUCH = 1e-9
"""Nearer than this (mm) is touching."""
LONG = 32
"""A chain of more segments than this is first cut down to those within reach."""
EITHER = np.array([1.0, -1.0])[:, None, None]
"""Both sides, of arrays of points (n, 2)."""

Pairs = tuple[np.ndarray, np.ndarray]
"""Points (k, 2) of one chain and of another, row by row."""


def chain_gap(one: Segments, two: Segments) -> tuple[float, np.ndarray, np.ndarray]:
    """Least distance (mm) of two chains and the points (2,) where it is reached; 0 if they cross.

    Exact: the least distance of two segments is reached at an end of one, or where the line through
    centres or the perpendicular from a centre meets both, or where they cross."""
    if len(two) > LONG:
        two = _within_reach(two, one)
    if len(one) > LONG:
        one = _within_reach(one, two)
    ends_one, ends_two = (np.vstack([s.a, s.b[-1:] if s.joined else s.b]) for s in (one, two))
    d_two, d_one = two.distances(ends_one), one.distances(ends_two)
    i, k = int(d_two.argmin()), int(d_one.argmin())
    own = d_two.flat[i] <= d_one.flat[k]
    best, inner = float(d_two.flat[i] if own else d_one.flat[k]), None
    for p, q in _inner_candidates(one, two, best):
        distance = np.hypot(*(p - q).T)
        if len(distance) and distance.min() < best:
            n = int(np.argmin(distance))
            best, inner = float(distance[n]), (p[n], q[n])
    if inner is not None:
        return best, *inner
    if own:
        row, column = divmod(i, len(two))
        return best, ends_one[row], two.foot_on(ends_one[row : row + 1], np.array([column]))[0]
    row, column = divmod(k, len(one))
    return best, one.foot_on(ends_two[row : row + 1], np.array([column]))[0], ends_two[row]


def _within_reach(chain: Segments, other: Segments) -> Segments:
    """The segments of a long chain whose boxes come as near to the other's box as some end."""
    reach = chain.away(other.a[:1])[0][0]
    boxes, low, high = chain.boxes, other.boxes[:, :2].min(axis=0), other.boxes[:, 2:].max(axis=0)
    apart = np.maximum(np.maximum(boxes[:, :2] - high, low - boxes[:, 2:]), 0.0)
    return chain.take(np.flatnonzero(np.hypot(*apart.T) <= reach + TOUCH))


def plan_gap(one: Profile, two: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least distance (mm) of two filled profiles and its witness points; 0 if they share area."""
    if one.circle:
        return _circle_gap(one, two)
    if two.circle:
        distance, q, p = _circle_gap(two, one)
        return distance, p, q
    for a, b in ((one, two), (two, one)):
        inside = np.flatnonzero(b.segments.encloses(a.vertices[:, :2]))
        if len(inside):
            point = a.vertices[inside[0], :2]
            return 0.0, point, point
    return chain_gap(one.segments, two.segments)


def _circle_gap(one: Profile, two: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """`plan_gap` of a circle: the distance of its centre less its radius."""
    assert one.circle
    (x, y), radius = one.circle
    centre = np.array([x, y])
    if two.circle:
        (x2, y2), other = two.circle
        distance, near = np.hypot(x2 - x, y2 - y) - other, np.array([x2, y2])
        near = near + (centre - near) * (other / max(distance + other, TOUCH))
        near = near if distance > 0.0 else centre
    else:
        away, foot, _ = two.segments.nearest(centre[None, :])
        distance, near = float(away[0]), foot[0]
        x0, y0, x1, y1 = two.box
        if x0 <= x <= x1 and y0 <= y <= y1 and two.segments.encloses(centre[None, :])[0]:
            distance, near = 0.0, centre
    if distance <= radius:
        return 0.0, near, near
    return float(distance - radius), centre + (near - centre) * (radius / distance), near


def inside_gap(inner: Profile, outer: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least room (mm) between an inner profile and the chain round it; negative where it pokes out.

    When the inner profile leaves the outer one, the figure is how far its farthest vertex, or the
    deepest point found along its arcs, lies outside."""
    if inner.circle:
        (x, y), radius = inner.circle
        centre = np.array([[x, y]])
        away, foot, _ = outer.segments.nearest(centre)
        if away[0] >= radius and outer.segments.encloses(centre)[0]:
            near = centre[0] + (foot[0] - centre[0]) * (radius / away[0])
            return float(away[0]) - radius, near, foot[0]
    distance, p, q = chain_gap(inner.segments, outer.segments)
    if distance > TOUCH and outer.segments.encloses(inner.vertices[:1, :2])[0]:
        return distance, p, q
    step = np.linspace(0.0, 1.0, 9)[:-1]
    s = inner.segments
    probe = np.vstack([s.at(np.full(len(s), t)) for t in step])
    signed = outer.signed_distance(probe)
    k = int(np.argmax(signed))
    if signed[k] > TOUCH:
        return -float(signed[k]), probe[k], outer.segments.nearest(probe[k : k + 1])[1][0]
    return distance, p, q


ROOMY = 1.0
"""Room that is so much more (mm) than the least is not looked at closely."""


def rooms_inside(inner: Profile, outer: Profile) -> tuple[float, ...]:
    """Least room (mm) between an inner profile and each segment of the chain round it; none where
    it is not wholly inside."""
    chain, one = outer.segments, inner.segments
    arcs = one.take(np.flatnonzero(one.arc))
    along = [arcs.at(np.full(len(arcs), t)) for t in np.arange(1, 8) / 8.0]
    spots = np.vstack([one.a, *along])
    if not chain.encloses(one.a).all():
        return ()
    found = np.minimum(chain.distances(spots).min(axis=0), one.distances(chain.a).min(axis=1))
    # An arc may come nearer between those.
    for k in np.flatnonzero(chain.arc & (found < found.min() + ROOMY)):
        found[k] = min(found[k], chain_gap(one, chain.take(np.array([k])))[0])
    return tuple(found.tolist()) if found.min() > TOUCH else ()


def _inner_candidates(one: Segments, two: Segments, best: float) -> Iterator[Pairs]:
    """Pairs of points (p on one, q on two) where a least distance under `best` may lie between
    ends."""
    one, two = one.straightened, two.straightened
    i, j, k, n = one.boxes, two.boxes, one.arc, two.arc
    dx = np.maximum(i[:, None, 0] - j[:, 2], j[:, 0] - i[:, None, 2])
    dy = np.maximum(i[:, None, 1] - j[:, 3], j[:, 1] - i[:, None, 3])
    gap = np.hypot(np.maximum(dx, 0.0), np.maximum(dy, 0.0))
    # Two lines can only cross; with an arc, the boxes must leave room for something nearer.
    round_ = k[:, None] | n
    rows, columns = np.nonzero(np.where(round_, gap < best, gap <= 0.0))
    kinds = 2 * k[rows] + n[columns]
    for kind in range(4 if len(kinds) else 0):
        here = np.flatnonzero(kinds == kind)
        if not len(here):
            continue
        p, q = one.take(rows[here]), two.take(columns[here])
        if kind == 0:
            yield _line_line(p, q)
        elif kind == 1:
            yield from _line_arc(p, q)
        elif kind == 2:
            yield from ((b, a) for a, b in _line_arc(q, p))
        else:
            yield from _arc_arc(p, q)


def _line_line(one: Segments, two: Segments) -> Pairs:
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
    t = ((points - line.a) * d).sum(axis=-1) / np.where(line.chord > 0, line.chord**2, 1.0)
    return (t >= 0) & (t <= 1)


def _faced(arc: Segments, points: np.ndarray) -> np.ndarray:
    """Whether each arc spans the direction from its centre of its points (2, n, 2): (2, n)."""
    return arc.faces(places(points.reshape(-1, 2)).reshape(2, -1))


def _line_arc(line: Segments, arc: Segments) -> Iterator[Pairs]:
    d = (line.b - line.a) / np.where(line.chord > 0, line.chord, 1.0)[:, None]
    along = ((arc.centre - line.a) * d).sum(axis=1)
    foot = line.a + along[:, None] * d
    out = foot - arc.centre
    off = np.hypot(out[:, 0], out[:, 1])
    on_line = _on_line(line, foot)
    if on_line.any():
        left, clear = np.stack([-d[:, 1], d[:, 0]], axis=1), off > TOUCH
        normal = np.where(clear[:, None], out / np.where(clear, off, 1.0)[:, None], left)
        q = arc.centre + EITHER * (arc.radius[:, None] * normal)
        ok = on_line & _faced(arc, q)
        yield np.broadcast_to(foot, q.shape)[ok], q[ok]
    meets = off <= arc.radius
    if meets.any():
        half = np.sqrt(np.maximum(arc.radius**2 - off**2, 0.0))
        point = foot + EITHER * (half[:, None] * d)
        point = point[meets & _on_line(line, point) & _faced(arc, point)]
        yield point, point


def _arc_arc(one: Segments, two: Segments) -> Iterator[Pairs]:
    between = two.centre - one.centre
    span = np.hypot(between[:, 0], between[:, 1])
    apart = span > TOUCH
    safe = np.where(apart, span, 1.0)
    u = between / safe[:, None]
    p, q = (s.centre + EITHER * (s.radius[:, None] * u) for s in (one, two))
    ok = (apart & _faced(one, p))[:, None] & _faced(two, q)
    if ok.any():
        both = (2, *p.shape)
        yield np.broadcast_to(p[:, None], both)[ok], np.broadcast_to(q, both)[ok]
    x = (span**2 + one.radius**2 - two.radius**2) / (2.0 * safe)
    square = one.radius**2 - x**2
    meets = apart & (square >= 0)
    if meets.any():
        y = np.sqrt(np.maximum(square, 0.0))
        normal = np.stack([-u[:, 1], u[:, 0]], axis=1)
        point = one.centre + x[:, None] * u + EITHER * (y[:, None] * normal)
        point = point[meets & _faced(one, point) & _faced(two, point)]
        yield point, point
