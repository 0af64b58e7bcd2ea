"""How much wood stands between two voids, or between a void and the air: distance, witnesses, error bound.

Upright shapes are exact (hypot of plan distance and height gap; edge and contour distances in the
plane of their section), and so are two bores that face each other; where an end takes part, projection
closes in on them (`bores`). A tilted bore beside anything else is searched along its axis with the
1-Lipschitz lower bound of `closest`, then over its end (`search`). A tilted floor, a tilted sweep, and a
sweep that ends beside a prism are searched along the edges of both solids (`curves`).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.geometry.distance.bores import as_bore, bore_prism_gap, bores_gap, capsules_apart
from bodycad.geometry.distance.carves import prism_carve_gap
from bodycad.geometry.distance.curves import (
    arcs_facing,
    curtain,
    search_curves,
)
from bodycad.geometry.distance.plan import plan_gap
from bodycad.geometry.distance.search import MEETS, Best, Gap, bore_gap
from bodycad.geometry.solids.shapes import Bore, Carve, Point3, Prism, Shape, boxes_apart
from bodycad.geometry.solids.skin import Skin

AXIS = 17
"""Places of a bore's axis that are looked at before anything is searched."""

TILE = 8.0
"""Side of the tiles in which a shape's box is held against a carve, mm."""


def gap(one: Shape, two: Shape) -> Gap:
    """Least distance between two shapes; 0 where they meet."""
    round_one, round_two = as_bore(one), as_bore(two)
    found = bores_gap(round_one, round_two) if round_one and round_two else None
    return replace(found or _gap(upright(one), upright(two)), between=(one, two))


def at_least(one: Shape, two: Shape) -> float:
    """A distance (mm) that two shapes cannot come nearer than, at a small part of the cost of
    `gap`."""
    apart = boxes_apart(one, two)
    round_one, round_two = as_bore(one), as_bore(two)
    if round_one and round_two:
        return max(apart, capsules_apart(round_one, round_two))
    if isinstance(one, Bore) or isinstance(two, Bore):
        return max(
            apart, _axis_at_least(one, two) if isinstance(one, Bore) else _axis_at_least(two, one)
        )
    return apart


def meet(one: Shape, two: Shape) -> bool:
    """Whether two shapes meet: whether their gap is 0."""
    for a, b in ((one, two), (two, one)):
        if isinstance(a, Bore) and _axis_in(a, b):
            return True
    return at_least(one, two) <= MEETS and gap(one, two).distance <= MEETS


def _axis_at_least(shape: Bore, other: Shape) -> float:
    """`at_least` from balls along a bore's axis."""
    away = other.closest(shape.at(np.linspace(0.0, shape.length, AXIS)))[0]
    return float(away.min()) - shape.length / (2.0 * (AXIS - 1)) - shape.radius


def _gap(one: Shape, two: Shape) -> Gap:
    if isinstance(one, Prism) and isinstance(two, Prism):
        return _tilted_prisms(one, two) if one.tilted or two.tilted else _prisms(one, two)
    if isinstance(one, Prism) and isinstance(two, Carve):
        return prism_carve_gap(one, two)
    if isinstance(one, Carve) and isinstance(two, Prism):
        return prism_carve_gap(two, one).swapped()
    if isinstance(one, Bore):
        return _bore_gap(one, two)
    if isinstance(two, Bore):
        return _bore_gap(two, one).swapped()
    raise TypeError(f"no gap between a {type(one).__name__} and a {type(two).__name__}")


def _bore_gap(shape: Bore, other: Shape) -> Gap:
    if isinstance(other, Prism) and not other.tilted:
        found = _axis_in(shape, other) or bore_prism_gap(shape, other)
        if found is not None:
            return found
    return bore_gap(shape, other.closest, boxes_apart(shape, other))


def _axis_in(shape: Bore, other: Shape) -> Gap | None:
    """No gap, where a place of a bore's axis lies plainly in a level prism."""
    if not isinstance(other, Prism) or other.tilted:
        return None
    spots = shape.at(np.linspace(0.0, shape.length, AXIS))
    spots = spots[(spots[:, 2] >= other.low) & (spots[:, 2] <= other.high)]
    inside = np.flatnonzero(other.profile.segments.encloses(spots[:, :2]))
    if not len(inside):
        return None
    spot = tuple(map(float, spots[inside[len(inside) // 2]]))
    return Gap(0.0, 0.0, (spot, spot))


def face_gap(shape: Shape, skin: Skin, face: str) -> Gap:
    """Least distance from a void to the plain front or back plane; 0 where it reaches it."""
    sign, height = (1.0, 0.0) if face == "front" else (-1.0, -skin.thickness)
    x, y, z = (
        _prism_extreme(shape, sign) if isinstance(shape, Prism) else _bore_extreme(shape, sign)
    )
    return Gap(max(sign * (height - z), 0.0), 0.0, ((x, y, z), (x, y, height)), (shape, face))


def contour_gap(shape: Shape, carve: Carve) -> Gap:
    """Least distance from a void to a contour's carve; 0 where they meet."""
    return gap(shape, carve)


def contour_at_least(shape: Shape, carve: Carve) -> float:
    """A distance (mm) that shape and carve cannot come nearer than, from balls round tiles of the
    shape's box."""
    low, high = np.array(shape.box[:3]), np.array(shape.box[3:])
    count = np.clip(np.ceil((high - low) / TILE), 1, 12).astype(int)
    axes = [low[k] + (np.arange(n) + 0.5) * (high[k] - low[k]) / n for k, n in enumerate(count)]
    centres = np.stack(np.meshgrid(*axes), -1).reshape(-1, 3)
    return float(carve.closest(centres)[0].min() - np.linalg.norm((high - low) / count) / 2.0)


def upright(shape: Shape) -> Shape:
    """An upright bore with a flat end as the prism that it is, any other shape as it is."""
    if isinstance(shape, Bore):
        return shape.as_prism() or shape
    return shape


def _prisms(one: Prism, two: Prism) -> Gap:
    flat, p, q = plan_gap(one.profile, two.profile)
    low, high = max(one.low, two.low), min(one.high, two.high)
    climb = max(low - high, 0.0)
    if climb == 0.0:
        z_one = z_two = (low + high) / 2.0
    else:
        z_one, z_two = (one.high, two.low) if one.high < two.low else (one.low, two.high)
    return Gap(math.hypot(flat, climb), 0.0, ((*map(float, p), z_one), (*map(float, q), z_two)))


def _tilted_prisms(one: Prism, two: Prism) -> Gap:
    """Exact where the walls face each other at the least plan distance, or where a level floor
    stands over the other's top; else one of the nearest points is on a wall or a rim, and those are
    searched."""
    flat, p, q = plan_gap(one.profile, two.profile)
    low = max(one.floor(*p), two.floor(*q))
    high = min(one.high, two.high)
    if low <= high:
        z = (low + high) / 2.0
        return Gap(flat, 0.0, ((*map(float, p), z), (*map(float, q), z)))
    for under, over in ((one, two), (two, one)):
        if not over.tilted and over.low > under.high:
            heights = (under.high, over.low) if under is one else (over.low, under.high)
            return Gap(
                math.hypot(flat, over.low - under.high),
                0.0,
                ((*map(float, p), heights[0]), (*map(float, q), heights[1])),
            )
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=boxes_apart(one, two))
    search_curves(*curtain(one, two), best)
    curves, measure = curtain(two, one)
    search_curves(curves, lambda points: (lambda d, p, q: (d, q, p))(*measure(points)), best)
    return best.gap()


def _prism_extreme(prism: Prism, sign: float) -> Point3:
    """A point of a prism's top (sign 1), or where its floor is lowest (sign -1)."""
    if sign < 0.0 and prism.tilted:
        angle = math.atan2(-prism.slope[1], -prism.slope[0])
        spots = np.vstack(
            [prism.profile.vertices[:, :2], arcs_facing(prism.profile.segments, (angle,))]
        )
        x, y = map(float, min(spots, key=lambda p: prism.floor(*p)))
        return x, y, prism.floor(x, y)
    x, y = prism.profile.centroid
    if not prism.profile.contains(x, y):
        x, y = map(float, prism.profile.vertices[0, :2])
    return x, y, prism.high if sign > 0.0 else prism.low


def _bore_extreme(shape: Bore, sign: float) -> Point3:
    """The point of a bore that reaches highest (sign 1) or lowest (sign -1)."""
    if shape.upright:
        return max(shape.start, shape.end, key=lambda p: sign * p[2])
    d = np.array(shape.direction)
    across = np.array([0.0, 0.0, sign]) - sign * d[2] * d
    size = np.linalg.norm(across)
    rim = shape.radius * across / size if size > 1e-12 else np.zeros(3)
    start = np.array(shape.start)
    spots = [start + rim, start + shape.shoulder * d + rim, np.array(shape.end)]
    return tuple(map(float, max(spots, key=lambda p: sign * p[2])))
