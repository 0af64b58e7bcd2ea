"""Which voids are upright cuts from a face, so that a plan contour and a depth say all."""

from __future__ import annotations

from bodycad.checks.wood.drilled import drilled_from
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.tools import FLAT
from bodycad.words import SIDES


def in_plan(void: Void, face: str) -> bool:
    """Whether a void is an upright cut from `face`, so that its plan contour and depth say all."""
    return void.face == face and void.shape.upright


def set_aside(piece: Workpiece, face: str) -> tuple[Void, ...]:
    """The voids a person at this face must know of that the cut sheet leaves out: tilted and edge
    bores."""
    return tuple(
        void
        for void in piece.voids
        if not in_plan(void, face) and drilled_from(void, piece) in (face, "edge")
    )


def tilted_floor(void: Void) -> Prism | None:
    """The prism of a cut whose floor is tilted. A prism's top is level: from the back that is its
    floor, and what is tilted is its mouth."""
    prism = void.shape.prism
    return prism if prism is not None and prism.tilted and void.face == "front" else None


def ends_flat(void: Void) -> bool:
    """Whether a hole is drawn with a flat end that stays in the wood."""
    hole = void.shape.hole
    blind = not {*SIDES} <= void.opens and not void.meets
    return hole is not None and hole.tip_deg >= FLAT and blind


def depth_of(void: Void, thickness: float) -> float:
    """Depth in mm from the plain plane of its face to the deepest point of a cut, of an upright
    hole to the end of its full diameter."""
    deepest = thickness + void.high if void.face == "back" else -void.low
    hole = void.shape.hole
    return deepest - hole.tip if hole and hole.upright else deepest


def level_depth(void: Void, thickness: float) -> float:
    """The same of a cut with a level tool: down to the highest place of a floor that is tilted, for
    deeper it would take wood that is to stay."""
    prism = tilted_floor(void)
    return depth_of(void, thickness) if prism is None else -prism.floor_range[1]
