"""Where a drill enters the board, and how far under its face a cut begins."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.void import Void
from bodycad.words import Face


def entry(shape: Bore, skin: Skin) -> float:
    """How far along a bore, in mm from its start, its axis enters the plain board, through a face
    or the side; 0 where it starts inside, its whole length where it never enters."""
    (x, y, z), (dx, dy, dz) = shape.start, shape.direction
    along, low = 0.0, -skin.thickness
    for out, pace in ((z, -dz), (low - z, dz)):
        if out > 0.0:
            along = max(along, out / pace) if pace > 0.0 else shape.length
    here = np.array([[x + along * dx, y + along * dy]])
    if along < shape.length and not skin.outline.segments.encloses(here)[0]:
        along += float(
            crossed(
                skin.outline.segments, here, np.array([[dx, dy]]), 0.0, shape.length - along
            ).min(initial=shape.length - along)
        )
    return min(along, shape.length)


def under_face(void: Void, thickness: float) -> float:
    """How far (mm) under its plain face an upright cut begins, in the cuts over it; 0 for any
    other."""
    if not void.shape.upright or void.face is Face.EDGE:
        return 0.0
    return max(void.low + thickness if void.face is Face.BACK else -void.high, 0.0) + 0.0
