"""How much air is round a point: the free radius for drills, plugs and chucks."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.shapes import Bore, Prism
from bodycad.layout.body import Layout
from bodycad.layout.void import Void


def free_radius(layout: Layout, points: np.ndarray, voids: tuple[Void, ...]) -> np.ndarray:
    """Radius (m,) of the largest ball of air known about each of `points` (m, 3); negative in wood.

    The best of: height over the front or under the back, distance outside the outline, depth inside
    any one of `voids` (whose open faces count as air), and over a face beside the wood or over an
    open void the distance to the rim. Never more than there is.
    """
    z, beside = points[:, 2], -layout.skin.inset(points[:, :2])
    free = np.maximum.reduce([z, -layout.thickness - z, beside])
    for face, height in (("front", z), ("back", -layout.thickness - z)):
        free = np.maximum(free, np.where(height > 0.0, np.hypot(np.maximum(beside, 0.0), height), -np.inf))
        for void in voids:
            if face in void.opens and isinstance(void.shape, Prism):
                near = (height > 0.0) & _beside(void, points)
                free[near] = np.maximum(free[near], _over(void.shape, points[near], height[near], face))
    for void in voids:
        near = _beside(void, points)
        free[near] = np.maximum(free[near], depth_inside(void, points[near]))
    return free


def _beside(void: Void, points: np.ndarray) -> np.ndarray:
    """Whether each point (m, 3) lies in the void's box in plan; elsewhere it is not inside."""
    box = void.shape.box
    return ((points[:, :2] >= box[:2]) & (points[:, :2] <= box[3:5])).all(axis=1)


def _over(shape: Prism, points: np.ndarray, height: np.ndarray, face: str) -> np.ndarray:
    """Distance (m,) to the rim or the floor of an open void for points above it; -inf beside it."""
    inside = -shape.profile.signed_distance(points[:, :2])
    away = points[:, 2] - shape.floor_range[1] if face == "front" else shape.high - points[:, 2]
    return np.where(inside > 0.0, np.minimum(np.hypot(inside, height), away), -np.inf)


def depth_inside(void: Void, points: np.ndarray) -> np.ndarray:
    """Distance (m,) from points inside a void to its walls and floor, open faces not counted; negative outside."""
    shape = void.shape
    if isinstance(shape, Prism):
        walls = [-shape.profile.signed_distance(points[:, :2])]
        if "back" not in void.opens:
            slope = np.hypot(1.0, np.hypot(*shape.slope))
            floor = shape.low + (points[:, :2] - np.array(shape.slope_at)) @ np.array(shape.slope)
            walls.append((points[:, 2] - floor) / slope)
        if "front" not in void.opens:
            walls.append(shape.high - points[:, 2])
        return np.minimum.reduce(walls)
    return _inside_bore(shape, points, bool(void.opens))


def _inside_bore(shape: Bore, points: np.ndarray, open_start: bool) -> np.ndarray:
    out = points - np.array(shape.start)
    along = out @ shape.axes[2]
    off = np.hypot(out @ shape.axes[0], out @ shape.axes[1])
    room = np.minimum(shape.radius - off, shape.shoulder - along)
    return room if open_start else np.minimum(room, along)
