"""Where a part sits, and how deep a cut goes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bodycad.errors import InputError, number
from bodycad.geometry.plane.profile import Profile


@dataclass(frozen=True)
class Place:
    """Where a part's datum sits: (x, y) on the plan, turned by `turn_deg`, mirrored for a left
    hand.

    A part's own axes (u, v) run along +x and +y before turning. Raises InputError for anything but
    numbers."""

    x: float = 0.0
    y: float = 0.0
    turn_deg: float = 0.0
    flipped: bool = False

    def __post_init__(self) -> None:
        for name in ("x", "y", "turn_deg"):
            number(f"{name} of a place", getattr(self, name))

    def point(self, u: float, v: float) -> tuple[float, float]:
        """Plan point of a part's own (u, v)."""
        v = -v if self.flipped else v
        turn = math.radians(self.turn_deg)
        c, s = (math.cos(turn), math.sin(turn)) if self.turn_deg else (1.0, 0.0)
        return self.x + c * u - s * v, self.y + s * u + c * v

    def profile(self, local: Profile) -> Profile:
        """A part's own profile, placed."""
        return (local.mirrored() if self.flipped else local).moved(self.x, self.y, self.turn_deg)

    def mirrored(self) -> Place:
        return Place(self.x, -self.y, -self.turn_deg, not self.flipped)


@dataclass(frozen=True)
class Depth:
    """How deep a cut goes from its face: a depth, or the wood to leave to the other face."""

    depth: float | None = None
    leave: float | None = None

    def __post_init__(self) -> None:
        if (self.depth is None) == (self.leave is None):
            thing = "a depth"
            raise InputError(thing, (self.depth, self.leave), "either depth=... or leave=... in mm")
        number(
            "a depth" if self.leave is None else "the wood to leave",
            self.depth if self.leave is None else self.leave,
            low=0.0,
        )

    def below(self, thickness: float, name: str) -> float:
        """Depth in mm from the face in stock of `thickness`; InputError where nothing is cut."""
        found = self.depth or 0.0 if self.leave is None else thickness - self.leave
        if not 0.0 < found <= thickness:
            allowed = f"more than 0 and at most the {thickness:g} mm thickness"
            remedy = "change the depth, the wood to leave or the thickness"
            raise InputError(f"the depth of {name}", float(found), allowed, remedy)
        return found
