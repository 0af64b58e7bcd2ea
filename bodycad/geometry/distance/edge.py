"""The distance from a solid to the air beside the body's edge.

Where the edge is the same all round, the air beside it is a profile in (s, z), s being the plan
distance in from the outline; a distance in that plane is the distance in space. A level prism is
exact; a tilted floor, a bore, and what runs along a stretch of the outline or follows a contour are
searched to within `search.BOUND`."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.geometry.distance.curves import floor_rim, search_curves, search_floor, to_shape
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.distance.search import Best, Gap, bore_gap
from bodycad.geometry.distance.shelf import search_shelf
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape, point3

STRIPS = (0.0, 0.25, 0.5, 0.7, 0.85, 0.95, 1.0)
"""Borders of the strips in which a level bore's half height is looked at, as parts of it."""
LEVEL = 1e-9
"""A direction that climbs by less than this a millimetre is level; so much is one figure."""


def edge_gap(shape: Shape, skin: Skin) -> Gap:
    """Least distance from a void to the body's side and its edges; 0 where it breaks out."""
    plain = shape.prism or shape
    found = _edge_gap(plain, skin)
    if skin.shelves and found.distance > 0.0:
        best = Best(found.distance, np.array(found.at[0]), np.array(found.at[1]))
        for shelf in skin.shelves:
            search_shelf(plain, shelf, skin, best)
        found = best.gap() if best.distance < found.distance else found
    return replace(found, between=(shape, "edge"))


def _edge_gap(shape: Shape, skin: Skin) -> Gap:
    if not isinstance(shape, Prism):
        assert shape.hole
        plain = _beside_level(shape.hole, skin)
        return plain or bore_gap(shape.hole, lambda points: to_edge(points, skin))
    s, inner, outer = _to_outline(shape.profile, skin.outline)
    if s <= 0.0 or not skin.outline.contains(*inner):
        return Gap(0.0, 0.0, (point3((*inner, shape.high)), point3((*outer, shape.high))))
    low, high = shape.floor(*inner), shape.high
    distance, p, q = _wall_to_edge(s, low, high, skin)
    out = (outer - inner) / s
    foot = inner + out * (s - q[0])
    found = Gap(distance, 0.0, (point3((*inner, p[1])), point3((*foot, q[1]))))
    # A tilted floor, lower elsewhere, may come nearer to the back's edge treatment there.
    lower = shape.tilted and _wall_to_edge(s, shape.floor_range[0], high, skin)[0] < distance - 1e-9
    return _lower_floor(shape, skin, found) if lower else found


def _beside_level(bore: Bore, skin: Skin) -> Gap | None:
    """The gap of a level bore whose nearest place is at half its height, beside the flat of the
    side: its plan's; None where an edge treatment comes nearer, or it breaks out."""
    if abs(bore.direction[2]) > LEVEL:
        return None
    r, z = bore.radius, bore.start[2]
    s, inner, outer = _plan_gap(bore, r, skin)
    if s <= 0.0 or not skin.outline.contains(*inner):
        return None
    # The air beside the edge reaches in farther the nearer to a face: where both borders of a strip
    # keep the distance on full width, all of the strip does.
    borders, air = np.array(STRIPS), skin.edge_air.segments
    heights = np.concatenate([z - r * borders, z + r * borders])
    ends = np.column_stack([np.full(len(heights), s), heights])
    far = (air.away(ends)[0] >= s - LEVEL) & ~air.encloses(ends)
    free = far.reshape(2, -1).all(axis=0).tolist()
    for low, high, inner_free, outer_free in zip(STRIPS, STRIPS[1:], free, free[1:]):
        if inner_free and outer_free:
            continue
        strips = (z - high * r, z - low * r), (z + low * r, z + high * r)
        # So far over and under half its height it is no wider than at the strip's inner border.
        beside = _plan_gap(bore, r * math.sqrt(1.0 - low * low), skin)[0] if low else s
        if any(_wall_to_edge(beside, a, b, skin)[0] < s - LEVEL for a, b in strips):
            return None
    return Gap(s, 0.0, (point3((*inner, z)), point3((*outer, z))))


def _plan_gap(bore: Bore, half: float, skin: Skin) -> tuple[float, np.ndarray, np.ndarray]:
    """Least plan distance to the outline of what of a level bore lies `half` mm beside its axis."""
    axis = bore.at(np.array([0.0, bore.shoulder, bore.length]))[:, :2]
    across = half * np.array([-bore.direction[1], bore.direction[0]])
    rows = [axis[0] - across, axis[1] - across, axis[2], axis[1] + across, axis[0] + across]
    corners = np.array(rows if bore.tip else [*rows[:2], *rows[3:]])
    chain = Segments(corners, np.roll(corners, -1, axis=0), np.zeros(len(corners)))
    return chain_gap(chain, skin.outline.segments)


def _to_outline(shape: Profile, outline: Profile) -> tuple[float, np.ndarray, np.ndarray]:
    """Least plan distance of a profile to the outline's chain; of a circle from its centre."""
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
    """Distance of an upright wall, `s` mm in, to the edge's air; both points (s, z).

    The air reaches in farther the nearer to a face, so an end of the wall is nearest, or all."""
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
        return to_edge(points, skin)

    search_curves(floor_rim(prism), to_shape(closest), best)
    search_floor(prism, closest, best)
    return best.gap()


def to_edge(points: np.ndarray, skin: Skin) -> tuple[np.ndarray, np.ndarray]:
    """Distance (m,) from points (m, 3) to the air beside the edge, shelves apart, and its nearest
    points (m, 3); 0 in the air."""
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
