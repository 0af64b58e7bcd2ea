"""Each void as its tool runs: past every face it opens, and a little into the voids it meets.

Where the wood ends or another void already is, this takes nothing; where a tilted drill enters, it
takes the wedge that the drill takes. The volume and the kernel both cut with these shapes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import End, Shape
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece

OVER = 1.0
"""How far (mm) a tool runs past an open face or into a void it meets."""
REACHED = 1e-3
"""An end within this (mm) of a face or floor reaches it."""


def tool_shapes(piece: Workpiece) -> Mapping[str, Shape]:
    """The shape that each void's tool takes, by void id, in the piece's order."""
    made = {}
    for void in piece.voids:
        shape = past_faces(void, piece.skin)
        for other in piece.voids:
            if other is not void and piece.meant(void, other):
                shape = into(shape, other)
        made[void.id] = shape
    return MappingProxyType(made)


def past_faces(void: Void, skin: Skin) -> Shape:
    """The void's shape run at least `OVER` past each face that it opens and reaches."""
    first, last = (
        max((_overrun(end, face, skin) for face in sorted(void.opens)), default=0.0)
        for end in void.shape.ends
    )
    return void.shape.stretched(first, last) if first or last else void.shape


def _overrun(end: End, face: str, skin: Skin) -> float:
    """How much further (mm) an end must run to clear an open face as a whole."""
    if face == "edge":
        return _edge_overrun(end, skin)
    up = 1.0 if face == "front" else -1.0
    level = up * skin.level(face)
    if up * end.out[2] < 0.05 or up * end.reach < level - REACHED:
        return 0.0
    return max(float((level + OVER - up * end.last) / (up * end.out[2])), 0.0)


def _edge_overrun(end: End, skin: Skin) -> float:
    if math.hypot(*end.out[:2]) < 0.05 or skin.inset(end.rim[:, :2]).min() > REACHED:
        return 0.0
    across = float(np.linalg.norm(end.rim - end.rim[0], axis=1).max())
    for run in np.arange(0.0, 2.0 * across + 4.0 * OVER, 0.5):
        if skin.inset((end.rim + run * end.out)[:, :2]).max() <= -OVER:
            return float(run)
    return 0.0


def into(shape: Shape, other: Void) -> Shape:
    """The shape with any level end that stands on the other void's floor or ceiling run `OVER` into
    it.

    Only where the whole plan lies inside the other void, so that no more wood goes."""
    host = other.shape
    if not (shape.upright and host.upright):
        return shape
    low_floor, high_floor = host.floor_over(shape.plan)
    ceiling = host.full[1]
    more = []
    for end in shape.ends:
        z, up = end.last, end.out[2] > 0.0
        if end.level and up and low_floor - REACHED <= z <= high_floor + REACHED:
            more.append(max(min(high_floor + OVER, ceiling) - z, 0.0))
        elif end.level and not up and abs(z - ceiling) <= REACHED:
            more.append(max(z - max(ceiling - OVER, high_floor), 0.0))
        else:
            more.append(0.0)
    if not any(more) or inside_gap(shape.plan, host.plan)[0] < -1e-9:
        return shape
    return shape.stretched(*more)
