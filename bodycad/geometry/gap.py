"""How much wood stands between two voids, or between a void and the air: distance, witnesses, error bound.

Upright shapes are exact (hypot of plan distance and height gap; edge and contour distances in the
plane of their section). A tilted bore is searched along its axis with the 1-Lipschitz lower bound of
`closest`, then over its end where the least distance may lie off the axis. A tilted floor, a tilted
sweep, and a sweep that ends beside a prism are searched along the edges of both solids (`curves`).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.geometry.curves import (
    arcs_facing, carve_curves, curtain, floor_rim, search_curves, search_floor, to_shape, top_rim, uprights,
)
from bodycad.geometry.nearest import chain_gap, plan_gap
from bodycad.geometry.profile import Profile
from bodycad.geometry.search import Best, Gap, bore_gap
from bodycad.geometry.segments import Segments
from bodycad.geometry.shapes import Bore, Carve, Point3, Prism, Shape, support_range
from bodycad.geometry.skin import Skin

TILE = 8.0
"""Side of the tiles in which a shape's box is held against a carve, mm."""


def gap(one: Shape, two: Shape) -> Gap:
    """Least distance between two shapes; 0 where they meet."""
    return replace(_gap(_upright(one), _upright(two)), between=(one, two))


def _gap(one: Shape, two: Shape) -> Gap:
    if isinstance(one, Prism) and isinstance(two, Prism):
        return _tilted_prisms(one, two) if one.tilted or two.tilted else _prisms(one, two)
    if isinstance(one, Prism) and isinstance(two, Carve):
        return _prism_carve(one, two)
    if isinstance(one, Carve) and isinstance(two, Prism):
        return _prism_carve(two, one).swapped()
    if isinstance(one, Bore):
        return bore_gap(one, two.closest, _boxes_apart(one, two))
    if isinstance(two, Bore):
        return bore_gap(two, one.closest, _boxes_apart(one, two)).swapped()
    raise TypeError(f"no gap between a {type(one).__name__} and a {type(two).__name__}")


def face_gap(shape: Shape, skin: Skin, face: str) -> Gap:
    """Least distance from a void to the plain front or back plane; 0 where it reaches it."""
    upright, sign = _upright(shape), 1.0 if face == "front" else -1.0
    height = 0.0 if face == "front" else -skin.thickness
    x, y, z = _prism_extreme(upright, sign) if isinstance(upright, Prism) else _bore_extreme(upright, sign)
    return Gap(max(sign * (height - z), 0.0), 0.0, ((x, y, z), (x, y, height)), (shape, face))


def contour_gap(shape: Shape, carve: Carve) -> Gap:
    """Least distance from a void to a contour's carve; 0 where they meet."""
    return gap(shape, carve)


def contour_at_least(shape: Shape, carve: Carve, enough: float = math.inf) -> float:
    """A distance that shape and carve cannot come nearer than, at the cost of a few points: from balls
    round tiles of the shape's box, or from the ball round the whole box where that is `enough`."""
    low, high = np.array(shape.box[:3]), np.array(shape.box[3:])
    whole = float(carve.closest((low + high)[None, :] / 2.0)[0][0] - np.linalg.norm(high - low) / 2.0)
    if whole >= enough:
        return whole
    count = np.clip(np.ceil((high - low) / TILE), 1, 12).astype(int)
    axes = [low[k] + (np.arange(n) + 0.5) * (high[k] - low[k]) / n for k, n in enumerate(count)]
    centres = np.stack(np.meshgrid(*axes), -1).reshape(-1, 3)
    return float(carve.closest(centres)[0].min() - np.linalg.norm((high - low) / count) / 2.0)


def edge_gap(shape: Shape, skin: Skin) -> Gap:
    """Least distance from a void to the body's side, roundover or binding ledge; 0 where it breaks out."""
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
    found = Gap(distance, 0.0, ((*map(float, inner), float(p[1])), (*map(float, foot), float(q[1]))))
    # A tilted floor, lower elsewhere, may come nearer to the back's edge treatment there.
    lower = shape.tilted and _wall_to_edge(s, shape.floor_range[0], high, skin)[0] < distance - 1e-9
    return _lower_floor(shape, skin, found) if lower else found


def _to_outline(shape: Profile, outline: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least plan distance of a profile to the outline's chain, from the centre where it is a circle."""
    if not shape.circle:
        return chain_gap(shape.segments, outline.segments)
    centre, radius = np.array(shape.circle[0]), shape.circle[1]
    away, foot, _ = outline.segments.nearest(centre[None, :])
    if away[0] <= radius:
        return 0.0, foot[0], foot[0]
    return float(away[0]) - radius, centre + (foot[0] - centre) * (radius / away[0]), foot[0]


def _wall_to_edge(s: float, low: float, high: float, skin: Skin) -> tuple[float, np.ndarray, np.ndarray]:
    """Distance from an upright wall `s` mm in from the outline to the edge's air, and both points in (s, z)."""
    distance, p, q = chain_gap(Segments(np.array([[s, low]]), np.array([[s, high]]), np.zeros(1)), skin.edge_air.segments)
    return (0.0, p, p) if skin.edge_air.contains(s, (low + high) / 2.0) else (distance, p, q)


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


def _boxes_apart(one: Shape, two: Shape) -> float:
    """Distance of two shapes' boxes, mm: the shapes cannot come nearer."""
    a, b = one.box, two.box
    return math.hypot(*(max(a[k] - b[k + 3], b[k] - a[k + 3], 0.0) for k in range(3)))


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
    """Exact where the walls face each other at the least plan distance, or where a level floor stands over
    the other's top; else one of the nearest points is on a wall or a rim, and those are searched."""
    flat, p, q = plan_gap(one.profile, two.profile)
    low = max(one.floor(*p), two.floor(*q))
    high = min(one.high, two.high)
    if low <= high:
        z = (low + high) / 2.0
        return Gap(flat, 0.0, ((*map(float, p), z), (*map(float, q), z)))
    for under, over in ((one, two), (two, one)):
        if not over.tilted and over.low > under.high:
            heights = (under.high, over.low) if under is one else (over.low, under.high)
            return Gap(math.hypot(flat, over.low - under.high), 0.0, ((*map(float, p), heights[0]), (*map(float, q), heights[1])))
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=_boxes_apart(one, two))
    search_curves(*curtain(one, two), best)
    curves, measure = curtain(two, one)
    search_curves(curves, lambda points: (lambda d, p, q: (d, q, p))(*measure(points)), best)
    return best.gap()


def _prism_carve(prism: Prism, carve: Carve) -> Gap:
    """The prism's block in the plane of the section against the section.

    Exact for a level sweep that runs past a level prism at both ends: the prism's shadow along the
    sweep is then a rectangle. Otherwise the edges of both are searched.
    """
    u_range, v_range = _local_range(prism, carve, 0), _local_range(prism, carve, 1)
    past = carve.span[0] <= v_range[0] and v_range[1] <= carve.span[1]
    if prism.tilted or not (carve.level and past):
        return _prism_carve_searched(prism, carve)
    low, high = prism.low, prism.high
    rows = np.array([[u_range[0], low], [u_range[1], low], [u_range[1], high], [u_range[0], high]])
    block = Segments(rows, np.roll(rows, -1, axis=0), np.zeros(4))
    section = carve.section.segments
    flat, p, q = chain_gap(block, section)
    if flat > 0.0 and section.encloses(rows[:1])[0]:
        flat, q = 0.0, p
    elif flat > 0.0 and block.encloses(carve.section.vertices[:1, :2])[0]:
        flat, p = 0.0, q
    spot = _spot_at(prism, carve, float(p[0]))
    v = float(carve.local(np.array([[*spot, 0.0]]))[0, 1])
    foot = carve.world(np.array([[q[0], v, q[1]]]))[0]
    return Gap(flat, 0.0, ((*spot, float(p[1])), tuple(map(float, foot))))


def _prism_carve_searched(prism: Prism, carve: Carve) -> Gap:
    """Branch and bound along the edges of both, and along the lines where their round faces can face each other."""
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=_boxes_apart(prism, carve))
    own, swept = to_shape(carve.closest), to_shape(prism.closest, swapped=True)
    up = np.array([-prism.slope[0], -prism.slope[1], 1.0])
    down = math.atan2(float(up @ carve.axes[2]), float(up @ carve.axes[0]))
    quarters = tuple(k * math.pi / 2.0 for k in range(4))
    search_curves(top_rim(prism), own, best)
    search_curves(floor_rim(prism), own, best)
    search_curves(uprights(prism, math.radians(carve.turn_deg)), own, best)
    for curves in carve_curves(carve, (*quarters, down, down + math.pi)):
        search_curves(curves, swept, best)
    return best.gap()


def _local_range(prism: Prism, carve: Carve, axis: int) -> tuple[float, float]:
    angle = math.radians(carve.turn_deg) + (math.pi / 2.0 if axis else 0.0)
    shift = float(np.array(carve.origin) @ carve.axes[axis, :2])
    low, high = support_range(prism.profile, angle)
    return low - shift, high - shift


def _spot_at(prism: Prism, carve: Carve, u: float) -> tuple[float, float]:
    """A point of the prism's plan outline whose u in the carve's section is the given one."""
    s, way = prism.profile.segments, carve.axes[0, :2]
    start = (s.a - np.array(carve.origin)) @ way
    ahead = (s.b - s.a) @ way
    t = np.clip((u - start) / np.where(ahead != 0.0, ahead, 1.0), 0.0, 1.0)
    spots = [(s.a + t[:, None] * (s.b - s.a))[~s.arc], s.a]
    turn = math.radians(carve.turn_deg)
    lean = np.arccos(np.clip((u - (s.centre - np.array(carve.origin)) @ way) / np.where(s.arc, s.radius, 1.0), -1.0, 1.0))
    for angle in (turn + lean, turn - lean):
        on = s.arc & s.spans(angle, np.arange(len(s)))
        spots.append((s.centre + s.radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1))[on])
    points = np.vstack(spots)
    k = int(np.argmin(np.abs((points - np.array(carve.origin)) @ way - u)))
    return tuple(map(float, points[k]))


def _prism_extreme(prism: Prism, sign: float) -> Point3:
    """A point of a prism's top (sign 1), or where its floor is lowest (sign -1)."""
    if sign < 0.0 and prism.tilted:
        angle = math.atan2(-prism.slope[1], -prism.slope[0])
        spots = np.vstack([prism.profile.vertices[:, :2], arcs_facing(prism.profile.segments, (angle,))])
        x, y = map(float, min(spots, key=lambda p: prism.floor(*p)))
        return x, y, prism.floor(x, y)
    x, y = prism.profile.centroid
    if not prism.profile.contains(x, y):
        x, y = map(float, prism.profile.vertices[0, :2])
    return x, y, prism.high if sign > 0.0 else prism.low


def _bore_extreme(shape: Bore, sign: float) -> Point3:
    """The point of a bore that reaches highest (sign 1) or lowest (sign -1)."""
    d = np.array(shape.direction)
    across = np.array([0.0, 0.0, sign]) - sign * d[2] * d
    size = np.linalg.norm(across)
    rim = shape.radius * across / size if size > 1e-12 else np.zeros(3)
    start = np.array(shape.start)
    spots = [start + rim, start + shape.shoulder * d + rim, np.array(shape.end)]
    return tuple(map(float, max(spots, key=lambda p: sign * p[2])))
