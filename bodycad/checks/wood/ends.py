"""Whether the end of a hole is meant to be open."""

from __future__ import annotations

import math

import numpy as np

from bodycad.checks.wood.near import of_the_cuts
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void

INTO_AIR = 0.02
"""A hole whose end is this near (mm) to the void it is drilled into counts as drilled through to
it."""


def ends_in_air(void: Void, layout: Layout) -> bool:
    """Whether a hole is drilled until it comes out: through the far face, the outline, or into a
    void it is declared to meet and that is wider than itself. No depth stop sets its depth."""
    return of_the_cuts(layout.body, ("ends in air", void), lambda: _ends_in_air(void, layout))


def _ends_in_air(void: Void, layout: Layout) -> bool:
    shape = void.shape.hole
    if shape is None:
        return {"front", "back"} <= void.opens
    far = {"front": "back", "back": "front"}.get(void.face)
    if far in void.opens:
        return True
    turn, (u, v, d) = np.arange(12)[:, None] * math.pi / 6.0, shape.axes
    rim = shape.radius * (np.cos(turn) * u + np.sin(turn) * v)
    end = np.array(shape.start) + shape.shoulder * d + rim
    met = [w.shape for w in layout.voids if w is not void and layout.meant(w, void)]
    wide = [w for w in met if w.hole is None or w.hole.diameter > shape.diameter]
    away = [w.closest(end)[0] for w in wide]
    return bool(away) and bool((np.min(away, axis=0) <= INTO_AIR).all())
