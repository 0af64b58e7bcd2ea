"""How much wood stands between two voids, or between a void and the air: distance, witnesses, error bound.

Upright shapes are exact (hypot of plan distance and height gap; edge and contour distances in the
plane of their section). A tilted bore is searched along its axis with the 1-Lipschitz lower bound of
`closest`, then over its end where the least distance may lie off the axis.
"""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.nearest import chain_gap, plan_gap
from bodycad.geometry.search import BOUND, Gap, bore_gap
from bodycad.geometry.segments import Segments
from bodycad.geometry.shapes import Bore, Carve, Point3, Prism, Shape, support_range
from bodycad.geometry.skin import Skin

TILE = 8.0
"""Side of the tiles in which a shape's box is held against a carve, mm."""


def gap(one: Shape, two: Shape) -> Gap:
    """Least distance between two shapes; 0 where they meet."""
    one, two = _upright(one), _upright(two)
    if isinstance(one, Prism) and isinstance(two, Prism):
        return _prisms(one, two)
    if isinstance(one, Prism) and isinstance(two, Carve):
        return _prism_carve(one, two)
    if isinstance(one, Carve) and isinstance(two, Prism):
        return _prism_carve(two, one).swapped()
    if isinstance(one, Bore):
        return bore_gap(one, two.closest)
    if isinstance(two, Bore):
        return bore_gap(two, one.closest).swapped()
    raise TypeError(f"no gap between a {type(one).__name__} and a {type(two).__name__}")


def face_gap(shape: Shape, skin: Skin, face: str) -> Gap:
    """Least distance from a void to the plain front or back plane; 0 where it reaches it."""
    shape = _upright(shape)
    x0, y0, z0, x1, y1, z1 = shape.box
    height = 0.0 if face == "front" else -skin.thickness
    if isinstance(shape, Prism):
        x, y = _plan_point(shape)
        z = z1 if face == "front" else z0
    else:
        x, y, z = _bore_extreme(shape, 1.0 if face == "front" else -1.0)
    distance = (height - z) if face == "front" else (z - height)
    return Gap(max(distance, 0.0), 0.0, ((x, y, z), (x, y, height)))


def contour_gap(shape: Shape, carve: Carve) -> Gap:
    """Least distance from a void to a contour's carve; 0 where they meet."""
    return gap(shape, carve)


def contour_at_least(shape: Shape, carve: Carve) -> float:
    """A distance that shape and carve cannot come nearer than, at the cost of a few points: from balls
    round tiles of the shape's box."""
    low, high = np.array(shape.box[:3]), np.array(shape.box[3:])
    count = np.clip(np.ceil((high - low) / TILE), 1, 12).astype(int)
    axes = [low[k] + (np.arange(n) + 0.5) * (high[k] - low[k]) / n for k, n in enumerate(count)]
    centres = np.stack(np.meshgrid(*axes), -1).reshape(-1, 3)
    return float(carve.closest(centres)[0].min() - np.linalg.norm((high - low) / count) / 2.0)


def edge_gap(shape: Shape, skin: Skin) -> Gap:
    """Least distance from a void to the body's side, roundover or binding ledge; 0 where it breaks out."""
    shape = _upright(shape)
    if isinstance(shape, Bore):
        return bore_gap(shape, lambda points: _to_edge(points, skin))
    s, inner, outer = chain_gap(shape.profile.segments, skin.outline.segments)
    if s <= 0.0 or not skin.outline.contains(*inner):
        return Gap(0.0, 0.0, ((*map(float, inner), shape.high), (*map(float, outer), shape.high)))
    low, high = shape.floor_range[0], shape.high
    wall = Segments(np.array([[s, low]]), np.array([[s, high]]), np.zeros(1))
    distance, p, q = chain_gap(wall, skin.edge_air.segments)
    if skin.edge_air.contains(s, (low + high) / 2.0):
        distance, q = 0.0, p
    out = (outer - inner) / s
    foot = inner + out * (s - q[0])
    slack = shape.floor_range[1] - low
    return Gap(distance, slack, ((*map(float, inner), float(p[1])), (*map(float, foot), float(q[1]))))


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
    a, b = one.floor_range, two.floor_range
    low, high = max(a[0], b[0]), min(one.high, two.high)
    climb = max(low - high, 0.0)
    # Where a floor is tilted, its lowest height stands in: never more wood than there is.
    bound = 0.0 if climb == 0.0 and max(a[1], b[1]) <= high else (a[1] - a[0]) + (b[1] - b[0])
    if climb == 0.0:
        z_one = z_two = (low + high) / 2.0
    elif one.high < b[0]:
        z_one, z_two = one.high, b[0]
    else:
        z_one, z_two = a[0], two.high
    return Gap(math.hypot(flat, climb), bound, ((*map(float, p), z_one), (*map(float, q), z_two)))


def _prism_carve(prism: Prism, carve: Carve) -> Gap:
    """The prism's block in the plane of the section against the section.

    Exact for a level sweep that runs past the prism at both ends: the prism's shadow along the sweep
    is then a rectangle. Otherwise the cap that faces the carve is searched.
    """
    u_range, v_range = _local_range(prism, carve, 0), _local_range(prism, carve, 1)
    past = carve.span[0] <= v_range[0] and v_range[1] <= carve.span[1]
    if not (carve.level and past):
        return _prism_carve_searched(prism, carve)
    low, high = prism.floor_range[0], prism.high
    rows = np.array([[u_range[0], low], [u_range[1], low], [u_range[1], high], [u_range[0], high]])
    block = Segments(rows, np.roll(rows, -1, axis=0), np.zeros(4))
    section = carve.section.segments
    flat, p, q = chain_gap(block, section)
    if flat > 0.0 and (section.encloses(rows[:1])[0] or block.encloses(carve.section.vertices[:1, :2])[0]):
        flat, q = 0.0, p
    spot = _cap_point(prism, carve, float(p[0]))
    v = float(carve.local(np.array([[*spot, 0.0]]))[0, 1])
    foot = carve.world(np.array([[q[0], v, q[1]]]))[0]
    return Gap(flat, prism.floor_range[1] - low, ((*spot, float(p[1])), tuple(map(float, foot))))


def _prism_carve_searched(prism: Prism, carve: Carve) -> Gap:
    """Branch and bound over the plan of the prism, at the cap that faces the carve's air."""
    front = carve.section.box[3] >= 0.0
    x0, y0, x1, y1 = prism.profile.box

    def lift(xy: np.ndarray) -> np.ndarray:
        if front:
            z = np.full(len(xy), prism.high)
        else:
            z = prism.low + (xy - np.array(prism.slope_at)) @ np.array(prism.slope)
        return np.column_stack([xy, z])

    steep = math.hypot(1.0, math.hypot(*prism.slope))
    side = max(x1 - x0, y1 - y0) / 8.0
    grid = np.stack(np.meshgrid(np.arange(x0 + side / 2, x1 + side, side), np.arange(y0 + side / 2, y1 + side, side)), -1)
    cells, half = grid.reshape(-1, 2), side / 2.0
    best, witness = math.inf, None
    while len(cells):
        radius = half * math.sqrt(2.0)
        away, foot, _ = prism.profile.segments.nearest(cells)
        inside = prism.profile.segments.encloses(cells)
        keep = inside | (away <= radius)
        cells, foot, inside = cells[keep], foot[keep], inside[keep]
        points = lift(np.where(inside[:, None], cells, foot))
        distance, near = carve.closest(points)
        k = int(np.argmin(distance))
        if distance[k] < best:
            best, witness = float(distance[k]), (points[k], near[k])
        bound = 2.0 * radius * steep
        if best <= 1e-9 or bound <= BOUND / 2.0:
            break
        cells = cells[distance - bound < best - BOUND / 2.0]
        half /= 2.0
        cells = (cells[:, None, :] + half * np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]])).reshape(-1, 2)
    return Gap(best, 0.0 if best == 0.0 else BOUND, tuple(tuple(map(float, w)) for w in witness))


def _local_range(prism: Prism, carve: Carve, axis: int) -> tuple[float, float]:
    angle = math.radians(carve.turn_deg) + (math.pi / 2.0 if axis else 0.0)
    shift = float(np.array(carve.origin) @ carve.axes[axis, :2])
    low, high = support_range(prism.profile, angle)
    return low - shift, high - shift


def _cap_point(prism: Prism, carve: Carve, u: float) -> tuple[float, float]:
    """A plan point of the prism whose u is the given one, between the two that reach its extremes."""
    s = prism.profile.segments
    t = np.linspace(0.0, 1.0, 33)
    points = np.vstack([s.at(np.full(len(s), k)) for k in t])
    us = (points - np.array(carve.origin)) @ carve.axes[0, :2]
    k = int(np.argmin(np.abs(us - u)))
    return tuple(map(float, points[k]))


def _plan_point(prism: Prism) -> tuple[float, float]:
    x, y = prism.profile.centroid
    return (x, y) if prism.profile.contains(x, y) else tuple(map(float, prism.profile.vertices[0, :2]))


def _bore_extreme(shape: Bore, sign: float) -> Point3:
    """The point of a bore that reaches highest (sign 1) or lowest (sign -1)."""
    d = np.array(shape.direction)
    across = np.array([0.0, 0.0, sign]) - sign * d[2] * d
    size = np.linalg.norm(across)
    rim = shape.radius * across / size if size > 1e-12 else np.zeros(3)
    start = np.array(shape.start)
    spots = [start + rim, start + shape.shoulder * d + rim, np.array(shape.end)]
    return tuple(map(float, max(spots, key=lambda p: sign * p[2])))
