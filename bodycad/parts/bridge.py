"""A string-through hardtail bridge with individual saddles and ferrules at the back."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated

from bodycad.declare import Count, Spot, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Interface, Land, Mass, Saddle, StringHole, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.part import wood_screws
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind, Wire

CHOICE = {"size": False}


@dataclass(frozen=True)
@declared("a ferrule")
class Ferrule:
    """A string ferrule at the back: a plain sleeve let in `depth` mm.

    `hole` is the diameter drilled for it. The string's ball end seats on its floor. It ends flush
    with the plain back, or stands out of it by `proud` mm where that is meant."""

    hole: Annotated[float, mm(1.0, 40.0)] = default(7.9, 0.1)
    depth: Annotated[float, mm(0.5, 80.0)] = default(11.0, 0.3)
    proud: Annotated[float, mm(0.0, 20.0)] = field(default=0.0, metadata=CHOICE)


Travel = Annotated[float, mm(-100.0, 150.0)]
"""Where a saddle may stand along the strings."""


@dataclass(frozen=True)
@declared("a bridge")
class Hardtail:
    """A fixed bridge plate; its datum is the middle of the row of string holes.

          u <---- toward the nut
        +-----------------------------+   ^
        |  s       [====]         o   |   |      o: string holes, hole_pitch apart
        |          [====]         o   |   plate_width
        |  s       [====]         o   |   |      s: screws (u, v)
        |          [====]         o   |   |
        +-----------------------------+   v
        <--front-->             row <-rear->     window: least and greatest u of the string's point
                                                 on a saddle

    The plate reaches `plate_front` mm from the row toward the nut and `plate_rear` behind it.
    saddle_low, saddle_high: height of the string's point over the plain front at both ends of
    travel. Without a ferrule (None) the ball ends bear on bare wood, which `string-holes` fails."""

    spread: Annotated[float, mm(5.0, 200.0)]
    hole_pitch: Annotated[float, mm(1.0, 60.0)] = default(10.5, 0.05)
    strings: Annotated[int, between(1, 18)] = field(default=6, metadata=CHOICE)
    window_rear: Travel = default(9.0, 0.5)
    window_front: Travel = default(21.0, 0.5)
    saddle_low: Annotated[float, mm(0.5, 60.0)] = default(9.5, 0.5)
    saddle_high: Annotated[float, mm(0.5, 60.0)] = default(14.0, 0.5)
    plate_front: Annotated[float, mm(1.0, 200.0)] = default(33.0, 0.3)
    plate_rear: Annotated[float, mm(-200.0, 200.0)] = default(7.0, 0.3)
    plate_width: Annotated[float, mm(5.0, 300.0)] = default(80.0, 0.3)
    plate_thickness: Annotated[float, mm(0.3, 30.0)] = default(2.5, 0.2)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.2)
    ferrule: Ferrule | None = Ferrule()
    screws: Annotated[tuple[tuple[Spot, Spot], ...], Count(0, 50)] = field(
        default=((27.0, -30.0), (27.0, 0.0), (27.0, 30.0), (-2.0, -34.0), (-2.0, 34.0)),
        metadata=CHOICE,
    )
    screw_pilot: Annotated[float, mm(0.5, 12.0)] = default(2.4)
    screw_depth: Annotated[float, mm(1.0, 100.0)] = default(20.0)

    def __post_init__(self) -> None:
        number("a bridge's plate_rear", self.plate_rear, above=-self.plate_front)
        for index, (u, v) in enumerate(self.screws, 1):
            thing, remedy = f"the u of a bridge's screw {index}", "screws go through the plate"
            number(thing, u, -self.plate_rear, self.plate_front, remedy=remedy)
            thing, remedy = f"the v of a bridge's screw {index}", "screws go through the plate"
            number(thing, v, -self.plate_width / 2.0, self.plate_width / 2.0, remedy=remedy)
        if not self.window_rear < self.window_front:
            thing, allowed = "a bridge's saddle window", "window_rear less than window_front"
            raise InputError(thing, (float(self.window_rear), float(self.window_front)), allowed)
        if not self.saddle_low < self.saddle_high:
            thing, allowed = "a bridge's saddle heights", "saddle_low less than saddle_high"
            raise InputError(thing, (float(self.saddle_low), float(self.saddle_high)), allowed)
        if self.ferrule and self.ferrule.hole <= self.string_hole:
            allowed = f"more than the {self.string_hole:g} mm string hole"
            raise InputError("a ferrule's hole", float(self.ferrule.hole), allowed)

    @property
    def hole_offsets(self) -> tuple[float, ...]:
        """v of each string hole, treble side (-v) first, mm."""
        return tuple((i - (self.strings - 1) / 2.0) * self.hole_pitch for i in range(self.strings))

    @property
    def saddle_offsets(self) -> tuple[float, ...]:
        """v of each saddle, treble side (-v) first, mm."""
        step = self.spread / max(self.strings - 1, 1)
        first = -self.spread / 2.0 if self.strings > 1 else 0.0
        return tuple(first + i * step for i in range(self.strings))

    def shared_sizes(self) -> dict[str, str]:
        """The saddles' spread is the instrument's."""
        return {"spread": "bridge_spread"}

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        if self.ferrule:
            thing = f"the depth of {part}'s ferrules"
            remedy = "use thicker stock or shorter ferrules"
            number(thing, self.ferrule.depth, high=thickness - 1.0, remedy=remedy)
        front, back = frozenset({Face.FRONT}), frozenset({Face.BACK})
        found, down = list[Void](), (0.0, 0.0, -1.0)
        for index, v in enumerate(self.hole_offsets, 1):
            x, y = place.point(0.0, v)
            name, sleeve = f"{part}.string.{index}", f"{part}.ferrule.{index}"
            hole = bore((x, y, 0.0), down, self.string_hole, thickness, name=name)
            meets = frozenset({sleeve} if self.ferrule else ())
            found.append(Void(name, part, Face.FRONT, Operation.BORE, hole, front | back, meets))
            if self.ferrule:
                seat = self._sleeve(x, y, thickness, 0.0, self.ferrule)
                found.append(Void(sleeve, part, Face.BACK, Operation.BORE, seat, back))
        for index, (u, v) in enumerate(self.screws, 1):
            name, start = f"{part}.screw.{index}", (*place.point(u, v), 0.0)
            pilot = bore(start, down, self.screw_pilot, self.screw_depth, name=name)
            found.append(Void(name, part, Face.FRONT, Operation.PILOT, pilot, front))
        return tuple(found)

    def _sleeve(self, x: float, y: float, thickness: float, less: float, ferrule: Ferrule) -> Bore:
        """A ferrule's place at the back, `less` mm narrower than its hole."""
        return bore((x, y, -thickness), (0.0, 0.0, 1.0), ferrule.hole - less, ferrule.depth)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles and string holes (number 1 is the treble's), plate screws, the flats of plate and
        ferrules, the ground under the plate, and 0.25 kg (common practice, no source)."""
        middle = (self.window_front + self.window_rear) / 2.0
        half = (self.window_front - self.window_rear) / 2.0
        turn = math.radians(place.turn_deg)
        plate, found = f"{part}.plate", list[Interface]()
        along, low, high = (math.cos(turn), math.sin(turn), 0.0), self.saddle_low, self.saddle_high
        for k, v in enumerate(self.saddle_offsets, 1):
            at, own = (*place.point(middle, v), low), f"{part}.saddle.{k}"
            saddle = Saddle(
                part=part, id=own, at=at, along=along, ahead=half, behind=half, low=low, high=high
            )
            found.append(saddle)
        found.append(Land(part=part, name=plate, face=Face.FRONT, plan=self._plate(place)))
        for k, v in enumerate(self.hole_offsets, 1):
            x, y = place.point(0.0, v)
            sleeve = f"{part}.ferrule.{k}"
            seat = sleeve if sleeve in piece.by_id else None
            hole, at = f"{part}.string.{k}", (x, y, 0.0)
            if self.ferrule and seat:
                rise, proud = self.ferrule.depth + self.ferrule.proud, self.ferrule.proud
                held = StringHole(
                    part=part,
                    hole=hole,
                    seat=seat,
                    at=at,
                    rise=rise,
                    flange=self.ferrule.hole,
                    proud=proud,
                )
                found.append(held)
                plan = circle(self.ferrule.hole, x, y)
                found.append(Land(part=part, name=sleeve, face=Face.BACK, plan=plan))
            else:
                found.append(StringHole(part=part, hole=hole, at=at))
        pilots = (f"{part}.screw.{k}" for k in range(1, len(self.screws) + 1))
        found += wood_screws(part, piece, pilots)
        found.append(Terminal(part=part, kind=Wire.GROUND, under=plate, linked=False))
        return *found, Mass(part=part, kg=0.25)

    def _plate(self, place: Place) -> Profile:
        """The plate's outline in plan."""
        middle = (self.plate_front - self.plate_rear) / 2.0
        length = self.plate_front + self.plate_rear
        return place.profile(rectangle(length, self.plate_width, 3.0, middle, 0.0))

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plate = Prism(self._plate(place), 0.0, self.plate_thickness)
        found = [Room(f"{part}.plate", part, RoomKind.PLATE, plate)]
        width = min(self.spread / max(self.strings - 1, 1) - 0.3, 10.2)
        length = self.window_front - self.window_rear
        middle = (self.window_rear + self.window_front) / 2.0
        for index, v in enumerate(self.saddle_offsets, 1):
            block = place.profile(rectangle(length, width, 0.5, middle, v))
            solid = Prism(block, self.plate_thickness, self.saddle_low)
            found.append(Room(f"{part}.saddle.{index}", part, RoomKind.SADDLE, solid))
        if self.ferrule:
            for index, v in enumerate(self.hole_offsets, 1):
                sleeve = self._sleeve(*place.point(0.0, v), thickness, 0.05, self.ferrule)
                found.append(Room(f"{part}.sleeve.{index}", part, RoomKind.FERRULE, sleeve))
        return tuple(found)
