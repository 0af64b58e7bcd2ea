"""Where a drill enters the board."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Skin


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
