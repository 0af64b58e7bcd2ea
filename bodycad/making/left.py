"""How much wood a drilled hole leaves, by the layout's own distances."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from bodycad.checks.rules.screws import end_of, to_faces
from bodycad.checks.wood.near import side_gap, voids_within
from bodycad.geometry.distance.gap import gap, meet
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.hole import Wood
from bodycad.tools import FLAT
from bodycad.words import SIDES, Face

MOUTH = 0.5
"""The side is a hole's own mouth where it comes nearest before this share of the hole."""
Found = tuple[Gap, str]


def wood_left(void: Void, piece: Workpiece, through: bool) -> Wood | None:
    """The wood left under a hole with a blind end: the least from its end to the shaped faces that
    it does not open, and to any cut that its drill would come upon if it went on; of a slanted one
    to the side too. Of a slanted hole, or one from the edge, also the least between all of it and
    those faces. None where nothing of the kind is there: an upright hole with an open end."""
    hole = void.shape.hole
    assert hole is not None
    faces = tuple(face for face in SIDES if face not in void.opens)
    found: list[Found] = [] if hole.upright else list(to_faces(piece, void, faces))
    if not through:
        end = end_of(void)
        found += to_faces(piece, end, faces)
        found += _ahead(void, hole, end, piece)
        if not hole.upright and _near_side(end, piece, found):
            side = side_gap(end, piece)
            if side is not None and not _at_mouth(void, hole, side):
                found.append((side, piece.edge))
    found = [one for one in found if math.isfinite(one[0].distance)]
    if not found:
        return None
    least, what = min(found, key=lambda one: one[0].distance)
    return Wood(least.distance, least.bound, what)


def _ahead(void: Void, hole: Bore, end: Void, piece: Workpiece) -> Iterator[Found]:
    """What the drill would come upon, and how far it is from the hole's end."""
    on = replace(hole.stretched(0.0, piece.thickness), tip_deg=FLAT)
    for other in voids_within(piece, on.box):
        if other.id == void.id or piece.meant(void, other) or not meet(on, other.shape):
            continue
        near = gap(end.shape, other.shape)
        if near.distance > 0.0:
            yield near, other.id


def _near_side(end: Void, piece: Workpiece, found: Sequence[Found]) -> bool:
    """Whether the end of a hole may be nearer to the side than to all that was found."""
    best = min((near.distance for near, _ in found), default=math.inf)
    hole = end.shape.hole
    assert hole is not None
    ends = np.array([hole.start[:2], hole.end[:2]])
    inset = float(piece.skin.inset(ends).min())
    return inset - hole.length - hole.radius - piece.skin.reach < best


def _at_mouth(void: Void, hole: Bore, side: Gap) -> bool:
    """Whether the side comes nearest to a hole from the edge at the hole's own mouth."""
    along = sum((q - s) * d for q, s, d in zip(side.at[1], hole.start, hole.direction))
    return void.face is Face.EDGE and along < MOUTH * hole.shoulder
