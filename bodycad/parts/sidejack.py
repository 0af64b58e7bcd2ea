"""Jacks through the side: on a plate that is screwed to the edge, and in a barrel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated

from bodycad.declare import Id, declared, mm
from bodycad.errors import number
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Bush, Hardware, Interface, Land, Screw, Sweep
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.parts.jack import Across, Jack, Pilot, Plate, Plug, Reach
from bodycad.parts.strap import CHOICE, EDGE, Height, inward
from bodycad.units import default
from bodycad.words import Face, HeadForm, Operation, RoomKind, SweepKind

CLEAR, JAW = 0.5, 5.0
"""How far off the wall the inner nut of a barrel is held, and what the wrench needs past it, mm
(common practice, no source)."""


@dataclass(frozen=True)
@declared("a side jack")
class SideJack(Jack):
    """A jack on a plate screwed to the edge; datum: where its axis meets the edge, u inward.

        <- plate_width ->            edge |
        +---------------+  ^              |_______________________
        | o     _     o |  |         plate|   hole (bore)            -> cavity
        |      (_)      |  plate_height   |_______________________
        | o           o |  |              |
        +---------------+  v              <--------- reach ------>

    o: screws, screw_span apart along the edge and screw_rise upright; plate_thickness: of the
    plate; bow: how far the plate's middle stands off its ends where it is bent to a round edge (0:
    flat); z: height of the axis; body: diameter of the jack behind the plate, body_length its
    length; hole: bore for it; plug, plug_room, grip, grip_length: as of an `EndJack`."""

    cavity: Id = field(metadata=CHOICE)
    z: Height = field(metadata=CHOICE)
    reach: Reach = field(metadata=CHOICE)
    plate_width: Plate = default(38.0, 0.3)
    plate_height: Plate = default(32.0, 0.3)
    plate_thickness: Annotated[float, mm(0.3, 10.0)] = default(1.6, 0.1)
    bow: Annotated[float, mm(-20.0, 20.0)] = default(0.0, 0.2)
    screw_span: Plate = default(29.0, 0.2)
    screw_rise: Plate = default(17.0, 0.2)
    pilot: Pilot = default(2.0)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(14.0)
    body: Across = default(18.5, 0.5)
    body_length: Plate = default(26.0, 1.0)
    hole: Across = default(20.0)
    plug: Plug = default(34.0, 1.0)
    plug_room: Across = default(14.0, 1.0)
    grip: Across = default(15.0, 1.0)
    grip_length: Plate = default(45.0, 5.0)

    def __post_init__(self) -> None:
        number("a side jack's screw_span", self.screw_span, high=self.plate_width)
        number("a side jack's screw_rise", self.screw_rise, high=self.plate_height)

    @property
    def seat(self) -> float:
        """The plate is the jack's panel."""
        return 0.0

    def axis(self, place: Place, start: float = 0.0) -> tuple[Point3, Point3]:
        """Level, at the height z."""
        return inward(place, self.z, start)

    def spots(self, place: Place, start: float) -> Iterator[Point3]:
        """Its four screws, `start` mm in from the plate's back."""
        v, w = self.screw_span / 2.0, self.screw_rise / 2.0
        for side, up in ((v, w), (v, -w), (-v, w), (-v, -w)):
            yield (*place.point(start, side), self.z + up)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        _, way = self.axis(place)
        found = [self.bored(part, "bore", place, (self.hole, self.reach), self.into())]
        lead = max(2.0 * self.pilot, abs(self.bow) + 1.0)
        for k, start in enumerate(self.spots(place, -lead), 1):
            name = f"{part}.screw.{k}"
            hole = bore(start, way, self.pilot, self.pilot_depth + lead, name=name)
            found.append(Void(name, part, Face.EDGE, Operation.PILOT, hole, EDGE))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        at, way = self.axis(place)
        thread = self.pilot / PILOT_SHARE
        land = Land(
            part=part,
            name=f"{part}.plate",
            face=Face.EDGE,
            at=at,
            inward=way,
            width=self.plate_width,
            height=self.plate_height,
            bow=self.bow,
            flat=True,
        )
        screws = (
            Screw(
                part=part,
                number=k,
                hole=f"{part}.screw.{k}",
                at=spot,
                way=way,
                flange=HEAD_SHARE * thread,
                thread=thread,
                reach=self.plate_thickness + self.pilot_depth,
                length=self.plate_thickness + self.pilot_depth,
                head=HeadForm.COUNTERSUNK,
            )
            for k, spot in enumerate(self.spots(place, -self.plate_thickness), 1)
        )
        bought = Hardware(
            part=part,
            what="jack on a plate for the side",
            fills=(RoomKind.JACK,),
            sizes=(
                ("plate width", self.plate_width),
                ("plate height", self.plate_height),
                ("jack behind the plate", self.body_length),
            ),
        )
        return *self.plugged(part, piece, (f"{part}.bore",)), land, *screws, bought

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        size, half = (self.plate_thickness, self.plate_width), self.plate_height / 2.0
        plan = place.profile(rectangle(*size, 0.0, -self.plate_thickness / 2.0))
        plate = Prism(plan, self.z - half, self.z + half)
        return (
            Room(f"{part}.plate", part, RoomKind.JACK, plate),
            self.tube(part, "body", place, self.body, 0.0, self.body_length),
            *self.plug_rooms(part, place),
        )


@dataclass(frozen=True)
@declared("a barrel jack")
class BarrelJack(Jack):
    """A jack in a long threaded barrel that clamps the wood between the edge and its cavity; datum:
    where its axis meets the edge, u inward.

          outer nut | edge          cavity | inner nut
                 __ |______________________| __
        plug -> |  ||  hole                ||  |===== barrel, thread: its diameter
                |__||______________________||__|
                 <---|------- wall --------|---------> length: from the edge to the barrel's end

    z: height of the axis; wall: wood between the edge and the cavity along it; nut: across the
    corners of its nuts, nut_height theirs; wrench: diameter of the room in which the inner nut is
    held; washer: of its washers. The plug's tip ends within the barrel, whose end needs room; grip,
    grip_length: what a hand holds of the plug, outside."""

    cavity: Id = field(metadata=CHOICE)
    z: Height = field(metadata=CHOICE)
    wall: Reach = field(metadata=CHOICE)
    thread: Across = default(12.0, 0.1)
    hole: Across = default(12.7)
    length: Plate = default(60.0, 1.0)
    nut: Across = default(17.0, 0.5)
    nut_height: Annotated[float, mm(0.5, 20.0)] = default(3.0, 0.3)
    washer: Across = default(17.0, 0.5)
    wrench: Across = default(20.0)
    grip: Across = default(15.0, 1.0)
    grip_length: Plate = default(45.0, 5.0)

    def __post_init__(self) -> None:
        number("a barrel jack's wall", self.wall, high=self.length)
        number("a barrel jack's washer", self.washer, low=self.hole)

    @property
    def reach(self) -> float:  # type: ignore[override]
        """Through the wall, and a little into the cavity."""
        return self.wall

    @property
    def seat(self) -> float:
        """Where the inner nut ends: what is beyond needs air."""
        return self.wall + self.nut_height

    @property
    def plug(self) -> float:  # type: ignore[override]
        """From there to the barrel's end."""
        return max(self.length - self.seat, 0.5)

    @property
    def plug_room(self) -> float:  # type: ignore[override]
        """The barrel itself, its lugs bent along it."""
        return self.thread

    def axis(self, place: Place, start: float = 0.0) -> tuple[Point3, Point3]:
        """Level, at the height z."""
        return inward(place, self.z, start)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return (self.bored(part, "bore", place, (self.hole, self.wall), self.into()),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        at, way = self.axis(place)
        own, into = f"{part}.bore", f"{self.cavity}.cavity"
        air, kind = (own, *hollows(piece, self.cavity)), SweepKind.WRENCH
        bush = Bush(
            part=part,
            hole=own,
            under=into,
            at=at,
            clamps=self.length - 2.0 * self.nut_height,
            washer=self.washer / 2.0,
            diameter=self.thread,
        )
        lip = Land(
            part=part,
            name=f"{part}.outer",
            face=Face.EDGE,
            at=at,
            inward=way,
            diameter=self.washer,
            flat=True,
        )
        nut = Sweep(part=part, kind=kind, room=f"{part}.nut", within=air, bore=own, into=into)
        # The barrel fills its bore: its lugs stand in the cavity.
        sizes = ("thread", self.thread), ("length", self.length), ("nut", self.nut)
        what, kinds = "jack in a threaded barrel", (RoomKind.JACK,)
        bought = Hardware(part=part, what=what, fills=kinds, sizes=sizes)
        ends = self.plugged(part, piece, (own,), hollows(piece, self.cavity))
        return bush, lip, nut, *ends, bought

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        (start, way), high = self.axis(place, self.wall + CLEAR), self.nut_height + JAW
        wrench = bore(start, way, self.wrench, high)
        return (
            self.tube(part, "barrel", place, self.thread, 0.0, self.length),
            self.tube(part, "outer", place, self.washer, -self.nut_height, 0.0),
            Room(f"{part}.nut", part, RoomKind.TOOL, wrench),
            *self.plug_rooms(part, place),
        )
