"""How much air is round a point: the free radius for drills, plugs and chucks."""

from __future__ import annotations

import math

import numpy as np

from bodycad.checks.wood.near import of_the_skin
from bodycad.geometry.plane.inside import crossed
from bodycad.geometry.solids.shapes import Bore, Prism
from bodycad.geometry.solids.tilted import floor_at
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece


def free_radius(
    piece: Workpiece, points: np.ndarray, voids: tuple[Void, ...], enough: float = math.inf
) -> np.ndarray:
    """Radius (m,) of the largest ball of air known about each of `points` (m, 3); negative in wood.

    The best of: height over the front or under the back, distance outside the outline, depth inside
    any one of `voids` (whose open faces count as air), and over a face beside the wood or over an
    open void the distance to the rim. Never more than there is; where `enough` is plain, no closer
    look is taken."""
    box = np.array(piece.skin.outline.box)
    out = np.maximum(np.maximum(box[:2] - points[:, :2], points[:, :2] - box[2:]), 0.0)
    free = np.maximum.reduce([points[:, 2], -piece.thickness - points[:, 2], np.hypot(*out.T)])
    close = np.flatnonzero(free < enough)
    free[close] = _free_radius(piece, points[close], voids)
    return free


def _free_radius(piece: Workpiece, points: np.ndarray, voids: tuple[Void, ...]) -> np.ndarray:
    # Lines behind a drilled way are asked for again and again as cuts beside them change.
    plan = points[:, :2]
    z, beside = (
        points[:, 2],
        -of_the_skin(piece, ("inset", plan.tobytes()), lambda: piece.skin.inset(plan)),
    )
    free = np.maximum.reduce([z, -piece.thickness - z, beside])
    heights = {"front": z, "back": -piece.thickness - z}
    for height in heights.values():
        free = np.maximum(
            free, np.where(height > 0.0, np.hypot(np.maximum(beside, 0.0), height), -np.inf)
        )
    boxes = np.array([void.shape.box for void in voids]).reshape(-1, 6)[:, None, :]
    over = ((plan >= boxes[..., :2]) & (plan <= boxes[..., 3:5])).all(axis=2)
    for k in np.flatnonzero(over.any(axis=1)):
        void, near = voids[k], np.flatnonzero(over[k])
        shape, there = void.shape, points[near]
        inside = -shape.profile.signed_distance(there[:, :2]) if isinstance(shape, Prism) else None
        free[near] = np.maximum(free[near], depth_inside(void, there, inside))
        for face in (void.opens & heights.keys()) if isinstance(shape, Prism) else ():
            height, floor = (
                heights[face][near],
                there[:, 2] - shape.floor_range[1] if face == "front" else shape.high - there[:, 2],
            )
            # Over an open void: to its rim, or to its floor.
            rim = np.where(
                (height > 0.0) & (inside > 0.0),
                np.minimum(np.hypot(inside, height), floor),
                -np.inf,
            )
            free[near] = np.maximum(free[near], rim)
    return free


def _beside(void: Void, points: np.ndarray) -> np.ndarray:
    """Whether each point (m, 3) lies in the void's box in plan; elsewhere it is not inside."""
    box = void.shape.box
    return ((points[:, :2] >= box[:2]) & (points[:, :2] <= box[3:5])).all(axis=1)


def depth_inside(void: Void, points: np.ndarray, walls: np.ndarray | None = None) -> np.ndarray:
    """Distance (m,) from points inside a void to its walls and floor, open faces not counted;
    negative outside. `walls`: how far inside a prism's plan each is, where that is known."""
    shape = void.shape
    if isinstance(shape, Prism):
        found = [-shape.profile.signed_distance(points[:, :2]) if walls is None else walls]
        if "back" not in void.opens:
            slope = np.hypot(1.0, np.hypot(*shape.slope))
            found.append((points[:, 2] - floor_at(shape, points[:, :2])) / slope)
        if "front" not in void.opens:
            found.append(shape.high - points[:, 2])
        return np.minimum.reduce(found)
    return _inside_bore(shape, points, bool(void.opens))


def holds(void: Void, points: np.ndarray) -> np.ndarray:
    """Whether each of `points` (m, 3) lies in a void or past its open faces: where `depth_inside`
    is not negative."""
    shape = void.shape
    if isinstance(shape, Bore):
        return _inside_bore(shape, points, bool(void.opens)) >= 0.0
    inside = _beside(void, points)
    if "back" not in void.opens:
        inside &= points[:, 2] >= floor_at(shape, points[:, :2])
    if "front" not in void.opens:
        inside &= points[:, 2] <= shape.high
    near = np.flatnonzero(inside)
    if len(near):
        inside[near] = shape.profile.segments.encloses(points[near, :2])
    return inside


def leaves(void: Void, points: np.ndarray, way: np.ndarray, most: float) -> np.ndarray:
    """How far (m,) one goes from each of `points` (m, 3) in a void along the unit `way` (m, 3)
    until its walls, or a face that is not open, are passed: exact, `most` at most."""
    shape = void.shape
    if isinstance(shape, Bore):
        return np.minimum(_leaves_bore(shape, points, way, bool(void.opens)), most)
    walls = crossed(shape.profile.segments, points[:, :2], way[:, :2], 0.0, most)
    found = [np.full(len(points), most), *walls[:, :1].T]
    if "back" not in void.opens:
        found.append(
            _until(
                points[:, 2] - floor_at(shape, points[:, :2]),
                way[:, :2] @ np.array(shape.slope) - way[:, 2],
            )
        )
    if "front" not in void.opens:
        found.append(_until(shape.high - points[:, 2], way[:, 2]))
    return np.minimum.reduce(found)


def _until(room: np.ndarray, pace: np.ndarray) -> np.ndarray:
    """How far one goes until `room` (m,) is used up at `pace` (m,) per mm; inf where it never
    is."""
    return np.where(pace > 0.0, np.maximum(room, 0.0) / np.where(pace > 0.0, pace, 1.0), np.inf)


def _leaves_bore(shape: Bore, points: np.ndarray, way: np.ndarray, open_start: bool) -> np.ndarray:
    local, along = (points - np.array(shape.start)) @ shape.axes.T, way @ shape.axes.T
    square, half = (along[:, :2] ** 2).sum(axis=1), (local[:, :2] * along[:, :2]).sum(axis=1)
    room = np.maximum(shape.radius**2 - (local[:, :2] ** 2).sum(axis=1), 0.0)
    root = np.sqrt(half * half + square * room)
    # The root that loses no digits where one goes nearly along the axis.
    side = np.where(
        half > 0.0,
        room / np.where(half + root > 0.0, half + root, 1.0),
        (root - half) / np.where(square > 0.0, square, 1.0),
    )
    found = [
        np.where(square > 1e-24, side, np.inf),
        _until(shape.shoulder - local[:, 2], along[:, 2]),
    ]
    return np.minimum.reduce(found if open_start else [*found, _until(local[:, 2], -along[:, 2])])


def _inside_bore(shape: Bore, points: np.ndarray, open_start: bool) -> np.ndarray:
    out = points - np.array(shape.start)
    along = out @ shape.axes[2]
    off = np.hypot(out @ shape.axes[0], out @ shape.axes[1])
    room = np.minimum(shape.radius - off, shape.shoulder - along)
    return room if open_start else np.minimum(room, along)
