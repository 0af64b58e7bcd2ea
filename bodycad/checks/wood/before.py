"""Which contours take away the place that a cut's depth counts from, so that it comes first."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.entry import entry
from bodycad.layout.void import Void, mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

EXTENT = 0.05
"""A contour counts as cutting the face where it is at least this deep, mm."""
FIRST, ROUNDS = 3.0, 6
"""Pitch of the grid on which the deepest place of a contour is looked for at first, mm, and how
often that is made closer."""
AROUND = np.stack(np.meshgrid(*[np.linspace(-1.0, 1.0, 9)] * 2), axis=-1).reshape(-1, 2)
"""Places about one of a grid, in steps of a quarter of its pitch."""


def before(void: Void, piece: Workpiece) -> tuple[str, ...]:
    """The contours that lower the place that its depth counts from, so that the void comes first:
    those of its own face over an upright void; over the mouth of a slanted hole; and those that
    cut the side away where the axis of a hole from the edge enters it."""
    hole = void.shape.hole
    if hole is not None and not hole.upright and entry(hole, piece.skin) <= 0.0:
        return ()
    if void.face is Face.EDGE:
        return tuple(_over_the_side(hole, piece)) if hole is not None else ()
    plan = mouth(void, void.face, piece.thickness)
    points = np.vstack([flatten(plan, 0.1), [plan.centroid]])
    found = []
    for contour in piece.skin.contours:
        if contour.face == void.face:
            height = contour.carve.height(points, contour.face)
            deep = -height if contour.face is Face.FRONT else height + piece.thickness
            if np.nan_to_num(deep, nan=-1.0).max() > EXTENT:
                found.append(contour.id)
    return tuple(found)


def deepest(contour: Contour, piece: Workpiece, within: Profile) -> float:
    """How deep a contour goes under its plain face at most inside a plan, on its rim too, mm; 0
    where it does not come there. The rim and a grid are asked, and the best place ever closer."""
    down, level = -1.0 if contour.face is Face.FRONT else 1.0, piece.skin.level(contour.face)
    s, count = within.segments, len(within.segments)

    def deep(points: np.ndarray) -> np.ndarray:
        height = contour.carve.height(points, contour.face)
        found: np.ndarray = np.nan_to_num(down * (height - level), nan=0.0)
        return found

    def on_rim(along: np.ndarray) -> np.ndarray:
        share = along % count
        own = np.minimum(share.astype(int), count - 1)
        return s.take(own).at(share - own)

    def inside(points: np.ndarray) -> np.ndarray:
        return np.where(within.signed_distance(points) <= 0.0, deep(points), 0.0)

    along, step = np.linspace(0.0, count, 64 * count, endpoint=False), 1.0 / 64.0
    (x0, y0, x1, y1), pitch = within.box, FIRST
    spots = np.stack(np.meshgrid(np.arange(x0, x1, pitch), np.arange(y0, y1, pitch)), axis=-1)
    spots, best = spots.reshape(-1, 2), 0.0
    for _ in range(ROUNDS):
        rim, area = deep(on_rim(along)), inside(spots) if len(spots) else np.zeros(1)
        best = max(best, float(rim.max(initial=0.0)), float(area.max(initial=0.0)))
        along = along[int(rim.argmax())] + step * np.linspace(-1.0, 1.0, 33)
        step /= 16.0
        if len(spots):
            spots = spots[int(area.argmax())] + pitch * AROUND
        pitch /= 4.0
    return best


def _over_the_side(hole: Bore, piece: Workpiece) -> Iterator[str]:
    """The contours that reach the height of a hole's axis where it enters the side."""
    x, y, z = hole.at(np.array([entry(hole, piece.skin)]))[0].tolist()
    for contour in piece.skin.contours:
        height = float(contour.carve.height(np.array([[x, y]]), contour.face)[0])
        if height < z if contour.face is Face.FRONT else height > z:
            yield contour.id
