"""Where a part sits, and how deep a cut goes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Annotated

from bodycad.declare import Spot, Turn, declared, mm
from bodycad.errors import InputError
from bodycad.geometry.plane.profile import Profile

Thick = Annotated[float, mm(0.0, 200.0)]
"""A height in the wood: no body is thicker."""
DEPTH = "write Depth(depth) or Depth(leave=...)"


@dataclass(frozen=True)
@declared()
class Place:
    """Where a part's datum sits: (x, y) on the plan, turned by `turn_deg`, mirrored for a left
    hand, on a face whose height there is `z`: 0 on a plain front, less on an arched one.

    A part's own axes (u, v) run along +x and +y before turning."""

    x: Spot = 0.0
    y: Spot = 0.0
    turn_deg: Turn = 0.0
    flipped: bool = False
    z: Spot = 0.0

    def point(self, u: float, v: float) -> tuple[float, float]:
        """Plan point of a part's own (u, v)."""
        v = -v if self.flipped else v
        turn = math.radians(self.turn_deg)
        c, s = (math.cos(turn), math.sin(turn)) if self.turn_deg else (1.0, 0.0)
        return self.x + c * u - s * v, self.y + s * u + c * v

    def at(self, u: float, v: float, w: float = 0.0) -> tuple[float, float, float]:
        """Point of a part's own (u, v), `w` mm over the face that the part lies on."""
        return *self.point(u, v), self.z + w

    def below(self, depth: float) -> float:
        """Depth in mm from the plain front of a cut that goes `depth` mm under the face here: cuts
        are drawn, drilled and routed from the plain front, before the face is shaped."""
        return depth - self.z

    def profile(self, local: Profile) -> Profile:
        """A part's own profile, placed."""
        return (local.mirrored() if self.flipped else local).moved(self.x, self.y, self.turn_deg)

    def mirrored(self) -> Place:
        return replace(self, y=-self.y, turn_deg=-self.turn_deg, flipped=not self.flipped)


@dataclass(frozen=True)
@declared()
class Depth:
    """How deep a cut goes from its face: a depth, or the wood to leave to the other face."""

    depth: Thick | None = None
    leave: Thick | None = None

    def __post_init__(self) -> None:
        if (self.depth is None) == (self.leave is None):
            thing = "a depth"
            raise InputError(thing, (self.depth, self.leave), "either depth=... or leave=... in mm")

    def below(self, thickness: float, name: str) -> float:
        """Depth in mm from the face in stock of `thickness`; InputError where nothing is cut."""
        found = self.depth or 0.0 if self.leave is None else thickness - self.leave
        if not 0.0 < found <= thickness:
            allowed = f"more than 0 and at most the {thickness:g} mm thickness"
            remedy = "change the depth, the wood to leave or the thickness"
            raise InputError(f"the depth of {name}", float(found), allowed, remedy)
        return found
