"""Which voids are upright cuts from a face, so that a plan contour and a depth say all."""

from __future__ import annotations

from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece


def in_plan(void: Void, face: str) -> bool:
    """Whether a void is an upright cut from `face`, so that its plan contour and depth say all."""
    return void.face == face and void.shape.upright


def set_aside(piece: Workpiece, face: str) -> tuple[Void, ...]:
    """The voids a person at this face must know of that the cut sheet leaves out: tilted and edge
    bores."""
    return tuple(v for v in piece.voids if v.face in (face, "edge") and not in_plan(v, face))


def depth_of(void: Void, thickness: float) -> float:
    """Depth in mm from the plain plane of its face to the deepest point of a cut, of an upright
    hole to the end of its full diameter."""
    deepest = thickness + void.high if void.face == "back" else -void.low
    hole = void.shape.hole
    return deepest - hole.tip if hole and hole.upright else deepest
