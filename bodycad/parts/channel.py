"""Drilled ways for wires: between cavities, and from under the bridge for the ground wire."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from bodycad.errors import InputError, number
from bodycad.geometry.solids.shapes import Point3, bore
from bodycad.layout.interface import Interface
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default

CHOICE = {"size": False}


@dataclass(frozen=True)
class Channel:
    """A long straight hole from `start` to `end` (x, y, z in the body frame) that opens into
    `through`.

    The drill comes from behind `start`, on the line of the hole. `from_face` is "front" when it
    begins on the plain front (a ground hole under the bridge), else "" when it begins in a void.
    `kind` is "wire" or "ground". A channel needs no place of its own.
    """

    start: Point3 = field(metadata=CHOICE)
    end: Point3 = field(metadata=CHOICE)
    through: tuple[str, ...] = field(metadata=CHOICE)
    diameter: float = default(6.35)
    from_face: str = ""
    kind: str = "wire"

    def __post_init__(self) -> None:
        for name, point in (("start", self.start), ("end", self.end)):
            if len(point) != 3:
                raise InputError(f"a channel's {name}", point, "(x, y, z) in mm")
            for axis, value in zip("xyz", point):
                number(f"a channel's {name} {axis}", value)
        number("a channel's diameter", self.diameter, above=0.0)
        if math.dist(self.start, self.end) <= self.diameter:
            raise InputError(
                "a channel's length", math.dist(self.start, self.end), "more than its diameter"
            )
        if self.from_face not in ("", "front", "back"):
            raise InputError("a channel's from_face", self.from_face, '"", "front" or "back"')
        if self.from_face and abs(self.end[2] - self.start[2]) < 1.0:
            raise InputError("a channel from a face", self.end, "an end below that face")

    @property
    def direction(self) -> Point3:
        """Unit vector from start to end."""
        length = math.dist(self.start, self.end)
        return tuple((e - s) / length for s, e in zip(self.start, self.end))

    @property
    def length(self) -> float:
        """Start to end, mm."""
        return math.dist(self.start, self.end)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        lead = 0.0
        if self.from_face:
            # Begin wholly in the air: the slanted disc must clear the face.
            rise = abs(self.direction[2])
            lead = self.diameter / 2.0 * math.sqrt(1.0 - rise**2) / rise + 1.0
        start = tuple(s - lead * d for s, d in zip(self.start, self.direction))
        face = self.from_face or "front"
        return (
            Void(
                part,
                part,
                face,
                "CHANNEL",
                bore(start, self.direction, self.diameter, self.length + lead, name=part),
                frozenset({self.from_face} if self.from_face else ()),
                frozenset(self.through),
            ),
        )

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return ()

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return ()
