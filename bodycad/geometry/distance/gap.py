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
    floor_rim,
    search_curves,
    search_floor,
    to_shape,
)
from bodycad.geometry.distance.plan import chain_gap, plan_gap
from bodycad.geometry.distance.search import MEETS, Best, Gap, bore_gap
from bodycad.geometry.plane.profile import Profile
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
    return replace(found or _gap(_upright(one), _upright(two)), between=(one, two))


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


def edge_gap(shape: Shape, skin: Skin) -> Gap:
    """Least distance from a void to the body's side, roundover or binding ledge; 0 where it breaks
    out."""
    return replace(_edge_gap(_upright(shape), skin), between=(shape, "edge"))


def _edge_gap(shape: Shape, skin: Skin) -> Gap:
    if isinstance(shape, Bore):
        return bore_gap(shape, lambda points: _to_edge(points, skin))
    s, inner, outer = _to_outline(shape.profile, skin.outline)
    if s <= 0.0 or not skin.outline.contains(*inner):
        return Gap(0.0, 0.0, ((*map(float, inner), shape.high), (*map(float, outer), shape.high)))
    low, high = shape.floor(*inner), shape.high
    distance, p, q = _wall_to_edge(s, low, high, skin)
    out = (outer - inner) / s
    foot = inner + out * (s - q[0])
    found = Gap(
        distance, 0.0, ((*map(float, inner), float(p[1])), (*map(float, foot), float(q[1])))
    )
    # A tilted floor, lower elsewhere, may come nearer to the back's edge treatment there.
    lower = shape.tilted and _wall_to_edge(s, shape.floor_range[0], high, skin)[0] < distance - 1e-9
    return _lower_floor(shape, skin, found) if lower else found


def _to_outline(shape: Profile, outline: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least plan distance of a profile to the outline's chain, from the centre where it is a
    circle."""
    if not shape.circle:
        return chain_gap(shape.segments, outline.segments)
    centre, radius = np.array(shape.circle[0]), shape.circle[1]
    away, foot, _ = outline.segments.nearest(centre[None, :])
    if away[0] <= radius:
        return 0.0, foot[0], foot[0]
    return float(away[0]) - radius, centre + (foot[0] - centre) * (radius / away[0]), foot[0]


def _wall_to_edge(
    s: float, low: float, high: float, skin: Skin
) -> tuple[float, np.ndarray, np.ndarray]:
    """Distance from an upright wall `s` mm in from the outline to the edge's air, and both points
    in (s, z).

    The air reaches in farther the nearer to a face, so that one end of the wall is nearest, or all
    of it as near."""
    ends = np.array([[s, low], [s, high]])
    away, foot, _ = skin.edge_air.segments.nearest(ends)
    k = int(away.argmin())
    inside = skin.edge_air.segments.encloses(np.vstack([ends, [[s, (low + high) / 2.0]]]))
    if inside.any():
        spot = np.array([s, (low, high, (low + high) / 2.0)[int(inside.argmax())]])
        return 0.0, spot, spot
    return float(away[k]), ends[k], foot[k]


def _lower_floor(prism: Prism, skin: Skin, found: Gap) -> Gap:
    best = Best(found.distance, np.array(found.at[0]), np.array(found.at[1]))

    def closest(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return _to_edge(points, skin)

    search_curves(floor_rim(prism), to_shape(closest), best)
    search_floor(prism, closest, best)
    return best.gap()


def _to_edge(points: np.ndarray, skin: Skin) -> tuple[np.ndarray, np.ndarray]:
    distance, foot, _ = skin.outline.segments.nearest(points[:, :2])
    inside = skin.outline.segments.encloses(points[:, :2])
    s = np.where(inside, distance, -distance)
    flat = np.column_stack([s, points[:, 2]])
    away, near, _ = skin.edge_air.segments.nearest(flat)
    air = skin.edge_air.segments.encloses(flat)
    out = (foot - points[:, :2]) / np.where(distance > 1e-12, distance, 1.0)[:, None]
    plan = points[:, :2] + out * (s - near[:, 0])[:, None]
    spot = np.where(air[:, None], points, np.column_stack([plan, near[:, 1]]))
    return np.where(air, 0.0, away), spot


def _upright(shape: Shape) -> Shape:
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
