"""How a cut is worked: the depth of a drilled hole both ways, and what it must come before."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.chance.built import ends_in_air
from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.entry import entry
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void, mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.making.upright import depth_of
from bodycad.shop import FLAT, Drill
from bodycad.words import Face

EXTENT = 0.05
"""A contour counts as cutting the face where it is at least this deep, mm."""


@dataclass(frozen=True)
class Drilled:
    """How deep a hole is drilled, mm: `full` at full diameter, `tip` to the tip of a drill whose
    point has `point_deg` degrees (`FLAT`: it must be left with a flat floor).

    Depths run from the plain face of an upright hole; along another one from where its axis enters
    the plain board, or from its start in a cut, where `from_cut`. through: its end is meant to be
    open, so that the point runs out into air."""

    diameter: float
    full: float
    tip: float
    point_deg: float
    through: bool = False
    from_cut: bool = False

    @property
    def words(self) -> str:
        """Both depths in a few words."""
        through = " through" if self.through else ""
        if self.point_deg >= FLAT:
            return f"depth {self.full:.2f}{through}, flat floor"
        point = f"tip {self.tip:.2f} ({self.point_deg:g} deg)"
        return f"depth {self.full:.2f}{through}, {point}"


def drilled(void: Void, piece: Workpiece, layout: Layout) -> Drilled | None:
    """How deep a void is drilled; None for what is no hole.

    A hole with a flat end that is meant to open takes whatever drill of the shop makes it; one that
    ends in wood is flat there, for the part says so and every check took it so."""
    hole = void.shape.hole
    if hole is None:
        return None
    along = 0.0 if hole.upright else entry(hole, piece.skin)
    full = depth_of(void, piece.thickness) if hole.upright else hole.shoulder - along
    alone = layout if piece is layout.body else replace(layout, pieces=(piece,))
    through = ends_in_air(void, alone)
    point_deg = hole.tip_deg
    if through and not hole.tip > 0.0:
        drill = layout.shop.drill_for(hole.diameter, full) or Drill(hole.diameter, hole.length)
        point_deg = drill.point_deg
    point = hole.radius / math.tan(math.radians(point_deg) / 2.0) if point_deg < FLAT else 0.0
    from_cut = not hole.upright and along <= 0.0
    return Drilled(hole.diameter, full, full + point, point_deg, through, from_cut)


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
