"""How much air is round a point: the free radius for drills, plugs and chucks."""

from __future__ import annotations

import math

import numpy as np

from bodycad.checks.wood.near import of_the_skin
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

BEFORE = 2.0
"""How many of its radii before its mouth in the side a hole still lets a drill pass."""
NIL = 1e-3
"""An area (mm2) that is none."""


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
    front, back = (piece.skin.level(face) for face in ("front", "back"))
    free: np.ndarray = np.maximum.reduce(
        [points[:, 2] - front, back - points[:, 2], np.hypot(*out.T)]
    )
    close = np.flatnonzero(free < enough)
    free[close] = _free_radius(piece, points[close], voids)
    return free


def _free_radius(piece: Workpiece, points: np.ndarray, voids: tuple[Void, ...]) -> np.ndarray:
    # Lines behind a drilled way are asked for again and again as cuts beside them change.
    plan = points[:, :2]
    beside = -of_the_skin(piece, ("inset", plan.tobytes()), lambda: piece.skin.inset(plan))
    z = points[:, 2]
    front, back = (piece.skin.level(face) for face in ("front", "back"))
    free: np.ndarray = np.maximum.reduce([z - front, back - z, beside])
    for height in (z - front, back - z):
        rim = np.where(height > 0.0, np.hypot(np.maximum(beside, 0.0), height), -np.inf)
        free = np.maximum(free, rim)
    boxes = np.array([void.shape.box for void in voids]).reshape(-1, 6)[:, None, :]
    over = np.all((plan >= boxes[..., :2]) & (plan <= boxes[..., 3:5]), axis=2)
    for k in np.flatnonzero(np.any(over, axis=1)):
        near = np.flatnonzero(over[k])
        free[near] = np.maximum(free[near], voids[k].air.free(points[near], front, back))
    for void in voids:
        hole = void.shape.hole
        if hole is not None and Face.EDGE in void.opens and _clear_before(piece, hole):
            across, over, along = ((points - np.array(hole.start)) @ hole.axes.T).T
            before = (along <= 0.0) & (along >= -BEFORE * hole.radius)
            inside = hole.radius - np.hypot(across, over)
            free = np.where(before & (inside > 0.0), np.maximum(free, inside), free)
    return free


def _clear_before(piece: Workpiece, hole: Bore) -> bool:
    """Whether no wood lies in the way of a hole from the side, in plan, as far before its start as
    a ball of its own radius reaches that stands `BEFORE` radii before it."""

    def clear() -> bool:
        r, back = hole.radius, (BEFORE + 1.0) * hole.radius
        (x, y, _), (dx, dy, _) = hole.start, hole.direction
        level = math.hypot(dx, dy)
        if level < 0.5:
            return False  # it runs rather down than in from the side
        middle = x - dx / level * back / 2.0, y - dy / level * back / 2.0
        swept = rectangle(back, 2.0 * r).moved(*middle, math.degrees(math.atan2(dy, dx)))
        shared = intersection(swept, piece.skin.outline)
        return sum(piece.outer.area for piece in shared) < NIL

    return of_the_skin(piece, ("before", hole), clear)
