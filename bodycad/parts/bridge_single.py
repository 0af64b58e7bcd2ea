"""Bridges of one string each, for fanned scales; and the foil that grounds them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Annotated

from bodycad.declare import Id, between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.lines import Instrument
from bodycad.layout.interface import Anchor, Hardware, Interface, Land, Mass
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_shared import (
    CHOICE,
    Ferrule,
    Spots,
    Tall,
    bored,
    fitting,
    ground,
    in_order,
    pilots,
    saddle,
    saddle_room,
    sleeves,
    threaded,
    usual,
)
from bodycad.parts.part import wood_screws
from bodycad.units import default
from bodycad.words import Face, RoomKind

ROW = (0.0,)
"""The one string of such a bridge runs along the middle of its plate."""


@dataclass(frozen=True)
@declared("a single bridge")
class SingleBridge:
    """A bridge for one string on a plate of its own; its datum is the middle of its saddle's
    travel, u along the string.

          u <---- toward the nut
        +-----------------------------------+  ^
        |  s     [ <-- travel --> ]   o   s |  width        o: the string's end, `end` mm behind
        +-----------------------------------+  v               the middle; s: screws (u, v)
        <----- front ----->|<---- rear ----->

    saddle_low, saddle_high: height of the string's point over the face at both ends of its screws.
    through: the string goes through the body to a ferrule; otherwise the plate's rear edge holds
    it, `held` mm over the face. thickness: of the plate; foil: of what lies under it. grounded: a
    ground wire of its own comes out under the plate; bridges without one share a foil, or another's
    metal. string: which it serves; None: told by where it stands. screws: left out, one 3.5 mm
    inside each end of the plate."""

    travel: Annotated[float, mm(1.0, 60.0)] = default(10.0, 0.5)
    saddle_low: Tall = default(9.5, 0.5)
    saddle_high: Tall = default(14.0, 0.5)
    front: Annotated[float, mm(1.0, 100.0)] = default(13.0, 0.3)
    rear: Annotated[float, mm(1.0, 100.0)] = default(25.0, 0.3)
    width: Annotated[float, mm(2.0, 60.0)] = default(9.0, 0.2)
    thickness: Annotated[float, mm(0.3, 30.0)] = default(2.5, 0.2)
    end: Annotated[float, mm(0.0, 100.0)] = default(14.0, 0.3)
    through: bool = True
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.2)
    ferrule: Ferrule = Ferrule(hole=default(7.0, 0.1))
    held: Annotated[float, mm(0.0, 30.0)] = default(4.0, 0.3)
    foil: Annotated[float, mm(0.0, 2.0)] = field(default=0.0, metadata=CHOICE)
    grounded: bool = False
    screws: Spots | None = None
    screw_pilot: Annotated[float, mm(0.5, 12.0)] = default(2.0)
    screw_depth: Annotated[float, mm(1.0, 100.0)] = default(14.0)
    string: Annotated[int, between(1, 36)] | None = field(default=None, metadata=CHOICE)

    def __post_init__(self) -> None:
        in_order("saddle heights", "saddle_low", self.saddle_low, "saddle_high", self.saddle_high)
        number("a single bridge's travel", self.travel, high=2.0 * min(self.front, self.rear))
        number("a single bridge's end", self.end, high=self.rear)
        fitting(self.ferrule, self.string_hole)
        if self.screws is None:
            ends = (self.front - 3.5, 0.0), (3.5 - self.rear, 0.0)
            object.__setattr__(self, "screws", usual(ends))
        for u, _ in self.screws or ():
            number("the u of a single bridge's screw", u, -self.rear, self.front)

    @property
    def idle(self) -> tuple[str, ...]:
        """The sizes that play no part in it as it is."""
        return ("held",) if self.through else ("ferrule",)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        own = pilots(part, place, self.screws or (), self.screw_pilot, self.screw_depth)
        if not self.through:
            return tuple(own)
        row = self.string_hole, self.ferrule
        return *bored(part, place, ROW, *row, thickness, -self.end), *own

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """The saddle, what holds its string, the screws, the plate's flat, the ground where it has
        its own, and 0.04 kg (common practice, no source)."""
        half, name = self.travel / 2.0, f"{part}.plate"
        window, heights = (-half, half), (self.saddle_low, self.saddle_high)
        one = saddle(f"{part}.saddle", part, place, 0.0, window, heights, self.string)
        at = place.at(-self.end, 0.0, self.held)
        held: tuple[Interface, ...] = (
            Anchor(part=part, at=(at,), strings=1, string=self.string, passes=self.string_hole),
        )
        if self.through:
            ends = threaded(part, place, ROW, self.ferrule, piece, -self.end, self.string)
            held = tuple(ends)
        names = (f"{part}.screw.{k}" for k in range(1, len(self.screws or ()) + 1))
        screws = wood_screws(part, piece, names, place.z, self.foil + self.thickness)
        wire = (ground(part, under=name),) if self.grounded else ()
        land = Land(part=part, name=name, face=Face.FRONT, plan=self._plan(place))
        bought = Hardware(
            part=part,
            what="single bridge for one string",
            fills=(RoomKind.PLATE, RoomKind.SADDLE),
            sizes=(("length", self.front + self.rear), ("width", self.width)),
        )
        return one, *held, land, *screws, *wire, Mass(part=part, kg=0.04), bought

    def _plan(self, place: Place) -> Profile:
        """The plate in plan."""
        length, middle = self.front + self.rear, (self.front - self.rear) / 2.0
        corner = min(1.0, self.width / 4.0)
        return place.profile(rectangle(length, self.width, corner, middle, 0.0))

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        top, half = self.foil + self.thickness, self.travel / 2.0
        plate = Prism(self._plan(place), place.z + self.foil, place.z + top)
        width, span = 0.8 * self.width, (top, max(self.saddle_low, top + 0.1))
        block = saddle_room(f"{part}.saddle", part, place, 0.0, width, (-half, half), span)
        base = Room(f"{part}.plate", part, RoomKind.PLATE, plate)
        back = sleeves(part, place, ROW, self.ferrule, thickness, -self.end)
        return base, block, *(back if self.through else ())


@dataclass(frozen=True)
@declared("a ground foil")
class GroundFoil:
    """A copper foil that lies under single bridges and grounds them; the ground hole comes out
    under it. Its datum is its middle.

        +--------------------------+  ^
        |                          |  length, along the strings
        +--------------------------+  v
        <---------- width --------->     across them; thickness: of the foil
    """

    width: Annotated[float, mm(2.0, 300.0)] = field(metadata=CHOICE)
    length: Annotated[float, mm(2.0, 300.0)] = field(default=12.0, metadata=CHOICE)
    thickness: Annotated[float, mm(0.01, 2.0)] = default(0.1, 0.05)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return ()

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """The ground under it and 0.005 kg (common practice, no source)."""
        sizes = (("across the strings", self.width), ("along them", self.length))
        kinds = (RoomKind.PART,)
        foil = Hardware(part=part, what="copper foil for the ground", fills=kinds, sizes=sizes)
        return ground(part, under=f"{part}.foil"), Mass(part=part, kg=0.005), foil

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(rectangle(self.length, self.width))
        solid = Prism(plan, place.z, place.z + self.thickness)
        return (Room(f"{part}.foil", part, RoomKind.PART, solid),)


@declared("single bridges")
def single_bridges(
    instrument: Instrument,
    bridge: SingleBridge,
    name: Id = "bridge",
    ahead: Annotated[float, mm(0.0, 60.0)] | None = None,
) -> tuple[Placed, ...]:
    """A bridge of that kind under each string of an instrument: `name`.1 under the treble's.

    Each stands along its own string, where that is in tune: with `ahead` mm of its saddle's travel
    left toward the nut, or half of it where nothing is said. Raises InputError where it has not so
    much."""
    half = bridge.travel / 2.0
    room = half if ahead is None else number("the travel left ahead", ahead, 0.0, bridge.travel)
    found = []
    for line, (x, y) in zip(instrument.lines, instrument.saddle_points, strict=True):
        turn, back = math.radians(line.angle_deg), half - room
        place = Place(x - back * math.cos(turn), y - back * math.sin(turn), line.angle_deg)
        own = replace(bridge, string=line.number)
        found.append(Placed(f"{name}.{line.number}", own, place))
    return tuple(found)
