"""The distance from a bore to a bore, to a prism, and to a carve.

Two bores whose sides face each other have a closed form: the distance of their axes less both
radii. Where an end takes part, the nearest point of each solid to the other's is found in turn.
The two planes square to the line between these points, which no point of either solid crosses, are
never farther apart than the solids; once they are as far apart as the points, the turns end. A
bore in a bay of a prism, over a tilted floor or beside a carve is searched along axis and ends."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from bodycad.geometry.distance.carves import prism_carve_gap
from bodycad.geometry.distance.plan import plan_gap
from bodycad.geometry.distance.prisms import prisms_gap
from bodycad.geometry.distance.search import MEETS, Gap, bore_gap
from bodycad.geometry.plane.profile import support_range
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3, Solid, boxes_apart, point3

CLOSE = 1e-4
"""The turns end once the planes show that the distance is overstated by no more than this, mm."""
ROUNDS, FEW_ROUNDS = 300, 60
"""A pair that needs more turns than this (edges that nearly run along each other) is searched: of
bores, and with a prism, whose nearest points cost more."""
PLACES, FEW_PLACES = 17, 9
"""Places of a bore's axis that are looked at before anything is searched, and before the turns
with a prism."""
ROUNDING = 1e-6
"""What the distance of two nearly parallel axes may be off, mm."""
SQUARE = 1e-9
"""A line whose share along an axis is under this is square to it."""

Reach = Callable[[Point3], float]
"""How far a solid reaches at most along a unit vector, mm from the origin."""


def bores_gap(one: Bore, two: Bore) -> Gap:
    """Least distance between two bores."""
    a, b = one.prism, two.prism
    if a and b:
        return prisms_gap(a, b)
    found = _bores_facing(one, two)
    if found is not None:
        return found
    return _searched(two, a).swapped() if a else _searched(one, b or two)


def bore_prism_gap(shape: Bore, prism: Prism) -> Gap:
    """Least distance between a bore and a prism."""
    if shape.prism:
        return prisms_gap(shape.prism, prism)
    drilled = as_bore(prism)
    found = _bores_facing(shape, drilled) if drilled else None
    return found if found is not None else _searched(shape, prism)


def bore_carve_gap(shape: Bore, carve: Carve) -> Gap:
    """Least distance between a bore and a carve."""
    return prism_carve_gap(shape.prism, carve) if shape.prism else _searched(shape, carve)


def bores_apart(one: Bore, two: Bore) -> float:
    """A distance (mm) that two bores keep at least: each lies in the capsule about its axis."""
    return math.dist(*_axes_feet(one, two)) - one.radius - two.radius - ROUNDING


def bore_apart(shape: Bore, other: Solid) -> float:
    """A distance (mm) that a bore cannot come nearer to a prism or a carve than."""
    drilled = as_bore(other) if isinstance(other, Prism) else None
    if drilled:
        return bores_apart(shape, drilled)
    # Balls about places of the axis hold the bore.
    away = other.closest(shape.at(np.linspace(0.0, shape.length, PLACES)))[0]
    return float(away.min()) - shape.length / (2.0 * (PLACES - 1)) - shape.radius


def axis_inside(shape: Bore, prism: Prism) -> Gap | None:
    """No gap, where one of the PLACES of a bore's axis lies in a level prism."""
    if prism.tilted:
        return None
    spots = shape.at(np.linspace(0.0, shape.length, PLACES))
    spots = spots[(spots[:, 2] >= prism.low) & (spots[:, 2] <= prism.high)]
    inside = np.flatnonzero(prism.profile.segments.encloses(spots[:, :2]))
    if not len(inside):
        return None
    spot = point3(spots[inside[len(inside) // 2]])
    return Gap(0.0, 0.0, (spot, spot))


def as_bore(prism: Prism) -> Bore | None:
    """A level round prism as the bore that it is, else None."""
    if prism.tilted or not prism.profile.circle:
        return None
    (x, y), radius = prism.profile.circle
    return Bore((x, y, prism.high), (0.0, 0.0, -1.0), 2.0 * radius, prism.high - prism.low)


def _searched(shape: Bore, other: Solid) -> Gap:
    """Turns with a level prism where they close in, else a search."""
    if isinstance(other, Prism) and not other.tilted:
        found = axis_inside(shape, other) or _beside(shape, other)
        if found is None:
            away, feet = other.closest(shape.at(np.linspace(0.0, shape.length, FEW_PLACES)))
            start = point3(feet[int(away.argmin())])
            found = _turns(shape, other, _prism_reach(other), start, FEW_ROUNDS)
        if found is not None:
            return found
    return bore_gap(shape, other.closest, boxes_apart(shape, other))


def _beside(shape: Bore, prism: Prism) -> Gap | None:
    """Exact, where an upright bore stands with its full width beside a level prism: in plan."""
    along = np.linspace(0.0, shape.length, FEW_PLACES)
    heights = shape.start[2] + shape.direction[2] * along[along <= shape.shoulder]
    beside = heights[(heights >= prism.low) & (heights <= prism.high)]
    if not (shape.upright and len(beside)):
        return None
    away, p, q = plan_gap(shape.plan, prism.profile)
    z = beside[0]
    return Gap(away, 0.0, (point3((*p, z)), point3((*q, z)))) if away > MEETS else None


def _bores_facing(one: Bore, two: Bore) -> Gap | None:
    """The distance of two bores by their sides or by turns; None where neither finds it."""
    return _sides(one, two) or _turns(one, two, _bore_reach(two), _axes_feet(one, two)[1], ROUNDS)


def _sides(one: Bore, two: Bore) -> Gap | None:
    """Exact, where the shortest line between the axes is square to both on full width."""
    p, q = _axes_feet(one, two)
    away = math.dist(p, q)
    for shape, foot in ((one, p), (two, q)):
        along = _dot(_less(foot, shape.start), shape.direction)
        lean = abs(_dot(_less(q, p), shape.direction))
        if not 0.0 <= along <= shape.shoulder or lean > SQUARE * max(away, 1.0):
            return None
    if away <= one.radius + two.radius:
        spot = _on(p, q, min(one.radius, away) / away) if away > MEETS else p
        return Gap(0.0, 0.0, (spot, spot))
    feet = _on(p, q, one.radius / away), _on(q, p, two.radius / away)
    return Gap(away - one.radius - two.radius, 0.0, feet)


def _turns(one: Bore, two: Bore | Prism, reach: Reach, start: Point3, rounds: int) -> Gap | None:
    """From `start`, the nearest points in turn; None where `rounds` do not close in."""
    q, own = start, _bore_reach(one)
    for _ in range(rounds):
        p = point3(one.closest(np.array([q]))[1][0])
        q = point3(two.closest(np.array([p]))[1][0])
        away = math.dist(p, q)
        if away <= MEETS:
            return Gap(0.0, 0.0, (q, q))
        x, y, z = ((b - a) / away for a, b in zip(p, q))
        over = away + own((x, y, z)) + reach((-x, -y, -z))
        if over <= CLOSE:
            return Gap(away, max(over, 0.0), (p, q))
    return None


def _prism_reach(prism: Prism) -> Reach:
    """Of a level prism, and so of its convex hull."""

    def reach(way: Point3) -> float:
        flat, turn = math.hypot(way[0], way[1]), math.atan2(way[1], way[0])
        plan = flat * support_range(prism.profile, turn)[1] if flat > 0.0 else 0.0
        return plan + max(way[2] * prism.low, way[2] * prism.high)

    return reach


def _bore_reach(shape: Bore) -> Reach:
    def reach(way: Point3) -> float:
        along = _dot(shape.direction, way)
        disc = shape.radius * math.sqrt(max(1.0 - along * along, 0.0))
        ends = max(disc, shape.shoulder * along + disc, shape.length * along)
        return _dot(shape.start, way) + ends

    return reach


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
    (x, y, z), (u, v, w) = shape.start, shape.direction
    return x + t * u, y + t * v, z + t * w


def _on(p: Point3, q: Point3, share: float) -> Point3:
    (x, y, z), (u, v, w) = p, q
    return x + share * (u - x), y + share * (v - y), z + share * (w - z)


def _less(p: Point3, q: Point3) -> Point3:
    return p[0] - q[0], p[1] - q[1], p[2] - q[2]


def _dot(p: Point3, q: Point3) -> float:
    return p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
