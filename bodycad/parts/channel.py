"""Drilled ways for wires: between cavities, and from under the bridge for the ground wire."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated, Literal

from bodycad.declare import Count, CutId, declared, mm
from bodycad.errors import InputError
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Interface, Way
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default
from bodycad.words import Face, Operation, Wire

CHOICE = {"size": False}


@dataclass(frozen=True)
@declared()
class Channel:
    """A long straight hole from `start` to `end` (x, y, z) that opens into `through`.

        drill
          '-._   start                diameter: of the drill
    ______    '-._|____________ front
          | first '-._  wood
          |_________| '-._ ________
                          '-| last |  end: well inside the last void
    ________________________|______|_ back

    The drill comes from behind `start`, on the line of the hole. `from_face` is "front" when it
    begins on the plain front (a ground hole under the bridge), else "" when it begins in a void.
    `kind` says what runs in it: "wire" or "signal", "ground", "power". Without a place of its own,
    start and end are the body's x, y and z; with one they are shifted and turned as any part is."""

    start: Point3 = field(metadata=CHOICE)
    end: Point3 = field(metadata=CHOICE)
    through: Annotated[tuple[CutId, ...], Count(0, 100)] = field(metadata=CHOICE)
    diameter: Annotated[float, mm(0.5, 60.0)] = default(6.35)
    from_face: Literal["", "front", "back"] = ""
    kind: Literal["wire", "signal", "ground", "power"] = "wire"

    def __post_init__(self) -> None:
        if math.dist(self.start, self.end) <= self.diameter:
            thing = "a channel's length"
            raise InputError(thing, math.dist(self.start, self.end), "more than its diameter")
        if self.from_face and abs(self.end[2] - self.start[2]) < 1.0:
            raise InputError("a channel from a face", self.end, "an end below that face")

    @property
    def length(self) -> float:
        """Start to end, mm."""
        return math.dist(self.start, self.end)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        (x, y, z), (x1, y1, z1) = ((*place.point(*p[:2]), p[2]) for p in (self.start, self.end))
        dx, dy, dz = (x1 - x) / self.length, (y1 - y) / self.length, (z1 - z) / self.length
        lead = 0.0
        if self.from_face:
            # Begin wholly in the air: the slanted disc must clear the face.
            rise = abs(dz)
            lead = self.diameter / 2.0 * math.sqrt(1.0 - rise**2) / rise + 1.0
        start = x - lead * dx, y - lead * dy, z - lead * dz
        hole = bore(start, (dx, dy, dz), self.diameter, self.length + lead, name=part)
        opens = frozenset({Face(self.from_face)} if self.from_face else ())
        face = Face(self.from_face or "front")
        return (Void(part, part, face, Operation.CHANNEL, hole, opens, frozenset(self.through)),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        kind = Wire.SIGNAL if self.kind == "wire" else Wire(self.kind)
        return (Way(part=part, hole=part, kind=kind, through=self.through),)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return ()
