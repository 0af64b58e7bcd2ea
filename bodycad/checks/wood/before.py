"""Which contours take away the place that a cut's depth counts from, so that it comes first."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.entry import entry
from bodycad.layout.void import Void, mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

EXTENT = 0.05
"""A contour counts as cutting the face where it is at least this deep, mm."""


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


def _over_the_side(hole: Bore, piece: Workpiece) -> Iterator[str]:
    """The contours that reach the height of a hole's axis where it enters the side."""
    x, y, z = hole.at(np.array([entry(hole, piece.skin)]))[0].tolist()
    for contour in piece.skin.contours:
        height = float(contour.carve.height(np.array([[x, y]]), contour.face)[0])
        if height < z if contour.face is Face.FRONT else height > z:
            yield contour.id
