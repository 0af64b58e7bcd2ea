"""Voids, rooms and places: what leaves the wood, what fills it, and where a part sits."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bodycad.errors import InputError, number
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.shapes import Bore, Point3, Prism

FACES = ("front", "back", "edge")


@dataclass(frozen=True, eq=False)
class Void:
    """One cut with a stable id such as `pickup.bridge.route` or `bridge.string.3`.

    part: id of the placed part it serves. face: where the tool comes from. operation: the trade
    word used in layer names (POCKET, RECESS, BORE, PILOT, CHANNEL). opens: the faces whose air it
    is meant to reach. meets: ids of the voids it is meant to open into."""

    id: str
    part: str
    face: str
    operation: str
    shape: Prism | Bore
    opens: frozenset[str] = frozenset()
    meets: frozenset[str] = frozenset()

    @property
    def low(self) -> float:
        """Lowest height, mm."""
        return self.shape.box[2]

    @property
    def high(self) -> float:
        """Highest height, mm."""
        return self.shape.box[5]


@dataclass(frozen=True, eq=False)
class Room:
    """The room a part takes once fitted: a simple solid with an id, its part and what it is."""

    id: str
    part: str
    kind: str
    shape: Prism | Bore


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
    """How deep a cut goes from its face: a depth, or the wood to leave to the opposite plain
    face."""

    depth: float | None = None
    leave: float | None = None

    def __post_init__(self) -> None:
        if (self.depth is None) == (self.leave is None):
            raise InputError(
                "a depth", (self.depth, self.leave), "either depth=... or leave=... in mm"
            )
        number(
            "a depth" if self.leave is None else "the wood to leave",
            self.depth if self.leave is None else self.leave,
            low=0.0,
        )

    def below(self, thickness: float, name: str) -> float:
        """Depth in mm from the face in stock of `thickness`; InputError when nothing would be
        cut."""
        found = self.depth if self.leave is None else thickness - self.leave
        if not 0.0 < found <= thickness:
            raise InputError(
                f"the depth of {name}",
                float(found),
                f"more than 0 and at most the {thickness:g} mm thickness",
                "change the depth, the wood to leave or the thickness",
            )
        return found


def from_front(profile: Profile, depth: float) -> Prism:
    """The prism that a cut of `depth` mm from the front takes."""
    return Prism(profile, -depth, 0.0)


def from_back(profile: Profile, depth: float, thickness: float, start: float = 0.0) -> Prism:
    """The prism that a cut of `depth` mm from the back takes, beginning `start` mm below it."""
    return Prism(profile, -thickness + start, -thickness + depth)


def mirrored_void(void: Void) -> Void:
    """A void reflected in the centreline (y -> -y)."""
    return replace(void, shape=mirrored_shape(void.shape))


def mirrored_shape(shape: Prism | Bore) -> Prism | Bore:
    """A prism or bore reflected in the centreline (y -> -y)."""
    if isinstance(shape, Prism):
        return Prism(
            shape.profile.mirrored(),
            shape.low,
            shape.high,
            (shape.slope[0], -shape.slope[1]),
            (shape.slope_at[0], -shape.slope_at[1]),
        )
    return replace(shape, start=_flip(shape.start), direction=_flip(shape.direction))


def _flip(point: Point3) -> Point3:
    return point[0], -point[1], point[2]
