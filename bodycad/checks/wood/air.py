"""How much air is round a point: the free radius for drills, plugs and chucks."""

from __future__ import annotations

import math

import numpy as np

from bodycad.checks.wood.near import of_the_skin
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
    return free
