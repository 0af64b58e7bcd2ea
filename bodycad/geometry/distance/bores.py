"""The distance from a drilled hole to another, or to a level prism: closed where two sides face each other, else by
projection.

A bore is convex and lies in the capsule about its axis, so the distance of the axes less both radii is
never overstated, and exact where the shortest line between the axes is square to both on full width.
Otherwise an end takes part: each hole's nearest point to the other's is found in turn, until the two
planes square to the line between them, which no point of either hole crosses, are as far apart as the points.
"""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.distance.search import MEETS, Gap
from bodycad.geometry.solids.shapes import Bore, Point3, Prism, Shape, support_range

CLOSE = 1e-4
"""Projection stops once the planes show that it overstates the distance by no more than this,
mm."""
ROUNDS, FEW_ROUNDS = 300, 60
"""A pair that needs more turns than this (edges that nearly run along each other) is searched
instead: of bores, and with a prism, whose nearest points cost more."""
AXIS = 9
"""Places of a bore's axis from which a prism is looked at first."""
ROUNDING = 1e-6
"""What the distance of two nearly parallel axes may be off, mm."""
SQUARE = 1e-9
"""A line whose share along an axis is under this is square to it."""


def as_bore(shape: Shape) -> Bore | None:
    """A bore as it is, a level round prism as the bore that it is, else None."""
    if isinstance(shape, Prism) and not shape.tilted and shape.profile.circle:
        (x, y), radius = shape.profile.circle
        return Bore((x, y, shape.high), (0.0, 0.0, -1.0), 2.0 * radius, shape.high - shape.low)
    return shape if isinstance(shape, Bore) else None


def capsules_apart(one: Bore, two: Bore) -> float:
    """A distance (mm) that two bores cannot come nearer than."""
    return max(math.dist(*_axes_feet(one, two)) - one.radius - two.radius - ROUNDING, 0.0)


def bores_gap(one: Bore, two: Bore) -> Gap | None:
    """Least distance between two bores; None where neither way finds it, and where both are upright
    with flat ends (they are prisms, which have a closed form of their own)."""
    if one.upright and two.upright and one.tip == two.tip == 0.0:
        return None
    return _sides(one, two) or _projected(one, two, _axes_feet(one, two)[1], ROUNDS)


def bore_prism_gap(shape: Bore, prism: Prism) -> Gap | None:
    """Least distance between a bore and a level prism that lies wholly beyond the plane square to
    it there; None where there is no such plane (in a bay of the prism) or projection does not find
    it."""
    axis = shape.at(np.linspace(0.0, shape.length, AXIS))
    away, feet = prism.closest(axis)
    return _projected(shape, prism, tuple(map(float, feet[int(away.argmin())])), FEW_ROUNDS)


def _sides(one: Bore, two: Bore) -> Gap | None:
    """Exact, where the shortest line between the axes is square to both on full width."""
    p, q = _axes_feet(one, two)
    away = math.dist(p, q)
    for shape, foot in ((one, p), (two, q)):
        along = _dot(_less(foot, shape.start), shape.direction)
        if not 0.0 <= along <= shape.shoulder or abs(
            _dot(_less(q, p), shape.direction)
        ) > SQUARE * max(away, 1.0):
            return None
    if away <= one.radius + two.radius:
        spot = _on(p, q, min(one.radius, away) / away) if away > MEETS else p
        return Gap(0.0, 0.0, (spot, spot))
    return Gap(
        away - one.radius - two.radius,
        0.0,
        (_on(p, q, one.radius / away), _on(q, p, two.radius / away)),
    )


def _projected(one: Bore, two: Bore | Prism, start: Point3, rounds: int) -> Gap | None:
    """From `start`, the nearest point of each to the other's in turn; None where that does not
    close in."""
    q, nearest, reach = (
        start,
        *((nearest_point, _reach) if isinstance(two, Bore) else (_prism_point, _prism_reach)),
    )
    for _ in range(rounds):
        p = nearest_point(one, q)
        q = nearest(two, p)
        away = math.dist(p, q)
        if away <= MEETS:
            return Gap(0.0, 0.0, (q, q))
        way = tuple((b - a) / away for a, b in zip(p, q))
        over = away + _reach(one, way) + reach(two, tuple(-c for c in way))
        if over <= CLOSE:
            return Gap(away, max(over, 0.0), (p, q))
    return None


def _prism_point(prism: Prism, point: Point3) -> Point3:
    return tuple(map(float, prism.closest(np.array([point]))[1][0]))


def _prism_reach(prism: Prism, way: Point3) -> float:
    """`_reach` of a level prism, and so of its hull: what no part of it crosses either."""
    flat = math.hypot(way[0], way[1])
    plan = flat * support_range(prism.profile, math.atan2(way[1], way[0]))[1] if flat > 0.0 else 0.0
    return plan + max(way[2] * prism.low, way[2] * prism.high)


def _reach(shape: Bore, way: Point3) -> float:
    """How far a bore reaches at most along the unit vector `way`, mm from the origin."""
    along = _dot(shape.direction, way)
    disc = shape.radius * math.sqrt(max(1.0 - along * along, 0.0))
    return _dot(shape.start, way) + max(disc, shape.shoulder * along + disc, shape.length * along)


def nearest_point(shape: Bore, point: Point3) -> Point3:
    """The point of a bore nearest to `point`, which itself when inside."""
    d, out = shape.direction, _less(point, shape.start)
    along = _dot(out, d)
    across = tuple(o - along * c for o, c in zip(out, d))
    off = math.sqrt(_dot(across, across))
    a, r = min(max(along, 0.0), shape.shoulder), min(off, shape.radius)
    if shape.tip > 0.0 and along > shape.shoulder:
        slant = math.hypot(shape.tip, shape.radius)
        lead = shape.tip / slant, -shape.radius / slant
        beyond, over = along - shape.shoulder, off - shape.radius
        if along <= shape.length and off <= shape.radius * (shape.length - along) / shape.tip:
            a, r = along, off
        else:
            t = min(max(beyond * lead[0] + over * lead[1], 0.0), slant)
            a, r = shape.shoulder + t * lead[0], shape.radius + t * lead[1]
    share = r / off if off > 1e-12 else 0.0
    return tuple(s + a * c + share * x for s, c, x in zip(shape.start, d, across))


def _axes_feet(one: Bore, two: Bore) -> tuple[Point3, Point3]:
    """The nearest points of two bores' axes, tips included."""
    d, e, w = one.direction, two.direction, _less(one.start, two.start)
    b, c, f = _dot(d, e), _dot(d, w), _dot(e, w)
    apart = 1.0 - b * b
    s = min(max((b * f - c) / apart, 0.0), one.length) if apart > 1e-12 else 0.0
    t = b * s + f
    if not 0.0 <= t <= two.length:
        t = min(max(t, 0.0), two.length)
        s = min(max(b * t - c, 0.0), one.length)
    return _along(one, s), _along(two, t)


def _along(shape: Bore, t: float) -> Point3:
    return tuple(s + t * d for s, d in zip(shape.start, shape.direction))


def _on(p: Point3, q: Point3, share: float) -> Point3:
    return tuple(a + share * (b - a) for a, b in zip(p, q))


def _less(p: Point3, q: Point3) -> Point3:
    return p[0] - q[0], p[1] - q[1], p[2] - q[2]


def _dot(p: Point3, q: Point3) -> float:
    return p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
