"""From which side a hole is drilled, and in which cuts it starts."""

from __future__ import annotations

import numpy as np

from bodycad.checks.wood.near import voids_within
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

HELD = 1e-6
"""A hole that starts this near (mm) to a cut starts in it."""


def started_in(void: Void, piece: Workpiece) -> tuple[Void, ...]:
    """The cuts in which a hole starts, under its face or away from the side: they come first."""
    bore = void.shape.hole
    assert bore is not None
    x, y, z = bore.start
    if void.face is Face.EDGE or not -piece.thickness + HELD < z < -HELD:
        return ()
    near = voids_within(piece, (x, y, z, x, y, z), HELD)
    held = (v for v in near if v is not void and piece.meant(v, void))
    start = np.array([bore.start])
    return tuple(v for v in held if float(v.shape.closest(start)[0][0]) <= HELD)


def drilled_from(void: Void, piece: Workpiece) -> Face:
    """The side that a void's tool comes from, and which therefore lies up: its own face. Of a hole
    at an angle to the faces it is the other one where the hole starts there, or in cuts that open
    to that one alone, as a cavity in the back does."""
    hole = void.shape.hole
    if hole is None or hole.upright or void.face is Face.EDGE:
        return void.face
    opened = {face for cut in started_in(void, piece) for face in cut.opens if face in SIDES}
    if hole.start[2] >= -HELD:
        opened = {Face.FRONT}
    elif hole.start[2] <= HELD - piece.thickness:
        opened = {Face.BACK}
    return void.face.opposite if opened and void.face not in opened else void.face
