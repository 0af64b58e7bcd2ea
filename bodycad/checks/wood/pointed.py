"""Wood that a drill's point leaves beyond the flat end that a hole is drawn with."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from bodycad.checks.wood.inwood import face_wood, in_wood, leads_out
from bodycad.checks.wood.near import side_gap, voids_near
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.search import Gap
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

NEARER = 1e-6
"""A point that comes no more than this nearer (mm) than the flat end changes nothing."""


def point_wood(
    piece: Workpiece, points: Mapping[str, float], within: float
) -> Iterator[tuple[Void, Gap, str]]:
    """Of each hole of a workpiece in `points`, which has its drill's point in degrees by the hole's
    id: the least wood that the point leaves, and to what, where that is under `within` mm and less
    than what the flat end leaves there."""
    if not points:
        return
    made = replace(piece, voids=tuple(_pointed(void, points) for void in piece.voids))
    for drawn, void in zip(piece.voids, made.voids, strict=True):
        if drawn.id not in points:
            continue
        near = list(_round(void, made, within))
        before = (
            {what: found.distance for found, what in _round(drawn, piece, within)} if near else {}
        )
        near = [row for row in near if row[0].distance < before.get(row[1], math.inf) - NEARER]
        if near:
            yield void, *min(near, key=lambda row: (row[0].distance, row[1]))


def _pointed(void: Void, points: Mapping[str, float]) -> Void:
    hole = void.shape.hole
    if hole is None or void.id not in points:
        return void
    return replace(void, shape=hole.with_point(points[void.id]))


def _round(void: Void, piece: Workpiece, within: float) -> Iterator[tuple[Gap, str]]:
    """What wood of less than `within` mm stands between a hole and the voids that it is not meant
    to open into, the faces that it does not open, and, of a slanted or level one, the side."""
    for found, what in _all_round(void, piece, within):
        if found.distance - found.bound < within:
            yield found, what


def _all_round(void: Void, piece: Workpiece, within: float) -> Iterator[tuple[Gap, str]]:
    own = in_wood(void, piece)
    for other in voids_near(piece, void, within):
        if other.id == void.id or piece.meant(void, other):
            continue
        walls = [gap(a.shape, b.shape) for a in own for b in in_wood(other, piece)]
        if walls:
            yield min(walls, key=lambda found: found.distance), other.id
    for face in SIDES:
        if face not in void.opens and not leads_out(void, piece, face):
            found, what = face_wood(void, piece, face)
            yield found, f"the plain {face}" if what == face else what
    if Face.EDGE not in void.opens and not void.shape.upright:
        for one in own:
            side = side_gap(one, piece)
            if side is not None:
                yield side, piece.edge
