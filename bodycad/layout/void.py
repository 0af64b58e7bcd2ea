"""Voids and rooms: what leaves the wood, and what fills it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Literal

from bodycad.declare import CutId, Id, Spot, declared, mm
from bodycad.errors import InputError
from bodycad.geometry.plane.build import slot
from bodycad.geometry.plane.profile import FARTHEST, Plan, Profile
from bodycad.geometry.solids.air import Air
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape
from bodycad.words import Face, Operation, RoomKind

LEVEL = 0.05
"""A hole that rises less than so many mm a mm is level: it comes out in no face."""
A_SHAPE = "make a Prism or a Bore"
Deep = Annotated[float, mm(0.0, 300.0)]


@dataclass(frozen=True, eq=False)
@declared("{part}'s void {id}")
class Void:
    """One cut with a stable id such as `pickup.bridge.route` or `bridge.string.3`.

    part: id of the placed part it serves. face: where the tool comes from. operation: the trade's
    word for the cut, which drawings use in layer names; the depth of a PILOT with a flat end is
    that at full diameter, and the layout gives it the point of the shop's drill beyond. opens: the
    faces whose air it is meant to reach. meets: ids of the voids it is meant to open into. guessed:
    True where nobody has measured where its part wants it, so that it is marked through the part.
    Words may be given as plain strings; any other word is an InputError that names part, void and
    what is allowed."""

    id: CutId
    part: Literal[""] | Id
    face: Face
    operation: Operation
    shape: Annotated[Shape, A_SHAPE]
    opens: frozenset[Face] = frozenset()
    meets: frozenset[CutId] = frozenset()
    guessed: bool = False

    def __post_init__(self) -> None:
        _in_reach(self._thing("the shape"), self.shape)

    def _thing(self, what: str) -> str:
        return f"{what} of {self.part}'s void {self.id}"

    @property
    def low(self) -> float:
        """Lowest height, mm."""
        return self.shape.box[2]

    @property
    def high(self) -> float:
        """Highest height, mm."""
        return self.shape.box[5]

    @cached_property
    def air(self) -> Air:
        """The air inside; its open faces are no walls."""
        return self.shape.air(self.opens)

    def mirrored(self) -> Void:
        """The void reflected in the centreline (y -> -y)."""
        return replace(self, shape=self.shape.mirrored())


@dataclass(frozen=True, eq=False)
@declared("{part}'s room {id}")
class Room:
    """The room a part takes once fitted: a simple solid with an id, its part and what it is.

    The kind may be given as a plain string; a word that is not a RoomKind is an InputError."""

    id: CutId
    part: Literal[""] | Id
    kind: RoomKind
    shape: Annotated[Shape, A_SHAPE]

    def __post_init__(self) -> None:
        _in_reach(f"the shape of {self.part}'s room {self.id}", self.shape)

    def mirrored(self) -> Room:
        """The room reflected in the centreline (y -> -y)."""
        return replace(self, shape=self.shape.mirrored())

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Room:
        """The room shifted by (dx, dy, dz) mm."""
        return replace(self, shape=self.shape.moved(dx, dy, dz)) if dx or dy or dz else self


def _in_reach(thing: str, shape: Shape) -> None:
    """Raise InputError where a shape is not finite, lies farther out than FARTHEST, or has no
    height."""
    if shape.plain_reach <= FARTHEST:
        return
    x0, y0, z0, x1, y1, z1 = shape.box
    if not all(abs(one) <= FARTHEST for one in shape.box):
        found = f"{x1 - x0:g} by {y1 - y0:g} by {z1 - z0:g} mm about ({x0:g}, {y0:g}, {z0:g})"
        raise InputError(thing, found, f"within {FARTHEST:g} mm", "give sizes in millimetres")
    if z0 >= z1:
        found = f"one from {z0:g} up to {z1:g} mm"
        raise InputError(thing, found, "a solid whose low lies under its high")


def mouth(void: Void, face: Face, thickness: float) -> Profile:
    """The opening of a void in the plain `face` of stock of `thickness` mm, in plan: of a slanted
    hole a slot as long and as wide as the ellipse in which it leaves the wood, which holds it."""
    hole = void.shape.hole
    if hole is None or hole.upright or not abs(hole.direction[2]) > LEVEL:
        return void.shape.plan
    (x, y, z), (dx, dy, dz) = hole.start, hole.direction
    along = ((0.0 if face is Face.FRONT else -thickness) - z) / dz
    turn, long = math.degrees(math.atan2(dy, dx)), hole.diameter / abs(dz)
    return slot(long, hole.diameter, x + along * dx, y + along * dy, turn)


@declared()
def from_front(profile: Plan, depth: Deep) -> Prism:
    """The prism that a cut of `depth` mm from the front takes."""
    return Prism(profile, -depth, 0.0)


@declared()
def from_back(profile: Plan, depth: Deep, thickness: Deep, start: Spot = 0.0) -> Prism:
    """The prism that a cut of `depth` mm from the back takes, beginning `start` mm below it."""
    return Prism(profile, -thickness + start, -thickness + depth)
