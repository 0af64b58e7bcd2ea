"""Jacks in a cup let into the edge, and in a tilted cup let into the front."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import Id, between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Hardware, Hides, Interface, Land, Mass, Sweep, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.parts.part import wood_screws
from bodycad.parts.strap import CHOICE, Height, inward
from bodycad.parts.strap import StrapButton as StrapButton
from bodycad.units import default
from bodycad.words import Face, HideKind, Operation, RoomKind, SweepKind, Wire

Reach = Annotated[float, mm(1.0, 500.0)]
Across = Annotated[float, mm(1.0, 80.0)]
Plug = Annotated[float, mm(1.0, 200.0)]
Plate = Annotated[float, mm(2.0, 150.0)]
Pilot = Annotated[float, mm(0.5, 12.0)]


CLEAR_OF_THE_LIP = 2.5
"""A grip counts as outside from so far before the face on, past lip, plate or nut, mm."""


class Jack:
    """What jacks share: an axis from a face into the wood, a bore along it, and the way of the plug
    past the panel that the jack sits in.

    Subclasses have `cavity` (id of the placed cavity that the bore opens into; None for a jack
    whose wires leave by a channel), `reach` (how far along the axis the bore goes), `hole` (its
    diameter), `plug` (how far a plug's tip goes past the panel), `plug_room` (the clear way it
    needs), `grip` and `grip_length` (what a hand holds of it); `seat`: how far along the axis the
    panel lies; `face`: the one it is let into."""

    cavity: str | None
    reach: float
    hole: float
    plug: float
    plug_room: float
    grip: float
    grip_length: float
    face: ClassVar[Face] = Face.EDGE

    @property
    def seat(self) -> float:
        """How far along the axis the jack's panel lies, mm."""
        raise NotImplementedError

    def axis(self, place: Place, start: float = 0.0) -> tuple[Point3, Point3]:
        """The point `start` mm along the axis from the face, and the unit way in."""
        raise NotImplementedError

    def bored(
        self,
        part: str,
        word: str,
        place: Place,
        size: tuple[float, float],
        meets: frozenset[str],
        mouth: float = 0.0,
    ) -> Void:
        """A hole of (diameter, depth along the axis) that begins in the air, as far out as one
        `mouth` mm wide would."""
        name, (_, way) = f"{part}.{word}", self.axis(place)
        level = math.hypot(way[0], way[1])
        lead = (mouth or size[0]) / 2.0 * (level / -way[2] if way[2] else 1.0)
        start, _ = self.axis(place, -lead)
        shape = bore(start, way, size[0], size[1] + lead, name=name)
        return Void(name, part, self.face, Operation.BORE, shape, frozenset({self.face}), meets)

    def round_grip(self, part: str) -> tuple[str, ...]:
        """The void that the grip goes into, none where it stays outside."""
        return ()

    def into(self) -> frozenset[str]:
        """The cavity that the bore opens into."""
        return frozenset({f"{self.cavity}.cavity"} if self.cavity else ())

    def plug_way(self, place: Place) -> Bore:
        """The clear way the plug's tip needs past the panel."""
        start, way = self.axis(place, self.seat)
        return bore(start, way, self.plug_room, self.plug)

    def plugged(
        self, part: str, piece: Workpiece, own: tuple[str, ...], ends: tuple[str, ...] = ()
    ) -> tuple[Interface, ...]:
        """The plug's way in air, and where the wires end, in `own` unless `ends` are given; the
        last of `own` leads the plug in."""
        air = (*own, *(hollows(piece, self.cavity) if self.cavity else ()))
        into, room = next(iter(self.into()), own[0]), f"{part}.plug"
        kind, bored = SweepKind.PLUG, own[-1]
        return (
            Sweep(part=part, kind=kind, room=room, within=air, bore=bored, into=into),
            Sweep(
                part=part, kind=SweepKind.GRIP, room=f"{part}.grip", within=self.round_grip(part)
            ),
            Terminal(part=part, kind=Wire.SIGNAL, voids=ends or own),
            Mass(part=part, kg=0.05),
        )

    def tube(
        self, part: str, word: str, place: Place, diameter: float, start: float, end: float
    ) -> Room:
        """A round solid of the jack about its axis, from one distance along it to another."""
        begin, way = self.axis(place, start)
        return Room(f"{part}.{word}", part, RoomKind.JACK, bore(begin, way, diameter, end - start))

    def plug_rooms(self, part: str, place: Place) -> tuple[Room, Room]:
        """The plug's way inside, and its grip outside, from where it stands clear of the face."""
        _, (ax, ay, az) = self.axis(place)
        lead = CLEAR_OF_THE_LIP + self.grip / 2.0 * (math.hypot(ax, ay) / -az if az else 0.0)
        start, _ = self.axis(place, -lead)
        held = bore(start, (-ax, -ay, -az), self.grip, self.grip_length)
        return (
            Room(f"{part}.plug", part, RoomKind.PLUG, self.plug_way(place)),
            Room(f"{part}.grip", part, RoomKind.PLUG, held),
        )


class Cupped(Jack):
    """A jack at the bottom of a round `cup`, `cup_depth` deep along its axis."""

    cup: float
    cup_depth: float

    @property
    def seat(self) -> float:
        """The jack sits in the bottom of its cup."""
        return self.cup_depth

    def round_grip(self, part: str) -> tuple[str, ...]:
        """The cup."""
        return (f"{part}.cup",)

    def cups(self, part: str, place: Place) -> tuple[Void, ...]:
        """The bore for the cup, and the one that goes on for jack and plug."""
        cup = f"{part}.cup"
        wide, long = (self.cup, self.cup_depth), (self.hole, self.reach)
        return (
            self.bored(part, "cup", place, wide, frozenset()),
            self.bored(part, "bore", place, long, frozenset({cup}) | self.into(), self.cup),
        )


@dataclass(frozen=True)
@declared("a jack")
class EndJack(Cupped):
    """A jack in a recessed cup let into the edge; datum: where its axis meets the edge, u inward.

        edge |<----- cup_depth ----->|
        _____|                       |________________
         lip |        cup            | panel   bore       -> cavity
        _____|                       |________________
             <------------- reach ------------------->

    z: height of the axis; cup: bore for the cup; lip: diameter of its flange; bore: the hole that
    goes on to the cavity, `reach` mm from the edge; plug: how far the plug's tip goes past the
    panel; plug_room: diameter of the clear way it needs (its lugs bend round it); grip:
    diameter of what a hand holds of it, outside; grip_length: how long that is."""

    cavity: Id = field(metadata=CHOICE)
    z: Height = field(metadata=CHOICE)
    reach: Reach = field(metadata=CHOICE)
    cup: Annotated[float, mm(2.0, 80.0)] = default(22.2, 0.1)
    cup_depth: Annotated[float, mm(0.5, 150.0)] = default(20.0, 0.5)
    lip: Annotated[float, mm(2.0, 120.0)] = default(28.0, 0.5)
    lip_thickness: Annotated[float, mm(0.1, 20.0)] = default(1.5, 0.2)
    hole: Across = default(17.0)
    plug: Plug = default(30.0, 1.0)
    plug_room: Across = default(14.0, 1.0)
    grip: Across = default(15.0, 1.0)
    grip_length: Plate = default(45.0, 5.0)

    def __post_init__(self) -> None:
        number("a jack's reach", self.reach, low=self.cup_depth)
        number("a jack's bore", self.hole, high=self.cup)

    def axis(self, place: Place, start: float = 0.0) -> tuple[Point3, Point3]:
        """Level, at the height z."""
        return inward(place, self.z, start)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return self.cups(part, place)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        at, axis = self.axis(place)
        lip, edge, own = f"{part}.lip", Face.EDGE, (f"{part}.cup", f"{part}.bore")
        land = Land(
            part=part, name=lip, face=edge, at=at, inward=axis, diameter=self.lip, flat=True
        )
        sweep, *rest = self.plugged(part, piece, own)
        sizes = ("cup", self.cup), ("cup depth", self.cup_depth), ("lip", self.lip)
        what, kinds = "jack with a recessed cup", (RoomKind.JACK,)
        bought = Hardware(part=part, what=what, fills=kinds, sizes=sizes)
        return sweep, land, *rest, bought

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return (
            self.tube(part, "sleeve", place, self.cup - 0.2, 0.0, self.cup_depth),
            self.tube(part, "lip", place, self.lip, -self.lip_thickness, 0.0),
            *self.plug_rooms(part, place),
        )


@dataclass(frozen=True)
@declared("an angled jack")
class AngledJack(Cupped):
    r"""A jack in a tilted cup let into the front; datum: where its axis meets the front; u the way
    that the plug goes in, in plan.

            front                              seen from the front
        ====.                  .=====         .--------------.   ^
             '.     cup      .'              /       o        \  | plate_width
               '.          .'  \ tilt_deg   |      (cup)       | |
                 '.      .'     \           \        o        /  |
                   '.  .'  cup_depth: along   '--------------'   v
                     \  \  the axis, to         plate_length
                      \  \ the jack's panel
                       \  \  hole (bore): goes on for jack and plug, `reach` along the axis

    o: screws, screw_span apart across the plug's way; plate_thickness, plate_corner: of the plate.
    cavity: the id of a placed cavity that the bore opens into, None where it ends in the wood and
    a channel brings the wires; plug, plug_room, grip, grip_length: as of an `EndJack`."""

    cavity: Id | None = field(default=None, metadata=CHOICE)
    reach: Reach = field(default=53.0, metadata=CHOICE)
    tilt_deg: Annotated[float, between(15.0, 80.0, "degrees")] = default(33.0, 2.0)
    cup: Across = default(22.2, 0.3)
    cup_depth: Annotated[float, mm(0.5, 150.0)] = default(22.0, 0.5)
    hole: Across = default(17.0)
    plug: Plug = default(30.0, 1.0)
    plug_room: Across = default(14.0, 1.0)
    plate_length: Plate = default(60.0, 0.5)
    plate_width: Plate = default(50.0, 0.5)
    plate_corner: Plate = default(15.0, 1.0)
    plate_thickness: Annotated[float, mm(0.3, 10.0)] = default(1.2, 0.1)
    screw_span: Plate = default(41.0, 0.2)
    pilot: Pilot = default(2.0)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(12.0)
    grip: Across = default(15.0, 1.0)
    grip_length: Plate = default(45.0, 5.0)
    face: ClassVar[Face] = Face.FRONT

    def __post_init__(self) -> None:
        number("an angled jack's reach", self.reach, low=self.cup_depth)
        number("an angled jack's bore", self.hole, high=self.cup)
        half = min(self.plate_length, self.plate_width) / 2.0
        number("an angled jack's plate_corner", self.plate_corner, high=half)
        number("an angled jack's screw_span", self.screw_span, high=self.plate_width)

    def axis(self, place: Place, start: float = 0.0) -> tuple[Point3, Point3]:
        """Down from the front, by tilt_deg."""
        tilt = math.radians(self.tilt_deg)
        turn = math.radians(place.turn_deg)
        level, down = math.cos(tilt), -math.sin(tilt)
        x, y = place.point(start * level, 0.0)
        way = (level * math.cos(turn), level * math.sin(turn), down)
        return (x, y, place.z + start * down), way

    @property
    def plate(self) -> Profile:
        """The plate's plan about the datum."""
        return rectangle(self.plate_length, self.plate_width, self.plate_corner)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        found, front = [*self.cups(part, place)], frozenset({Face.FRONT})
        for k, v in enumerate((self.screw_span / 2.0, -self.screw_span / 2.0), 1):
            name, start = f"{part}.screw.{k}", (*place.point(0.0, v), 0.0)
            depth = place.below(self.pilot_depth)
            hole = bore(start, (0, 0, -1), self.pilot, depth, name=name)
            found.append(Void(name, part, Face.FRONT, Operation.PILOT, hole, front))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        name, own = f"{part}.plate", (f"{part}.cup", f"{part}.bore")
        plan = place.profile(self.plate)
        pilots = (f"{part}.screw.1", f"{part}.screw.2")
        return (
            *self.plugged(part, piece, own),
            Land(part=part, name=name, face=Face.FRONT, plan=plan),
            Hides(
                part=part,
                kind=HideKind.ON,
                name="plate",
                rim=plan,
                room=name,
                face=Face.FRONT,
                voids=own,
                screws=pilots,
            ),
            *wood_screws(part, piece, pilots, place.z, self.plate_thickness),
            Hardware(
                part=part,
                what="jack in an angled plate for the front",
                fills=(RoomKind.PLATE, RoomKind.JACK),
                sizes=(
                    ("plate length", self.plate_length),
                    ("plate width", self.plate_width),
                    ("cup", self.cup),
                ),
            ),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(self.plate)
        plate = Prism(plan, place.z, place.z + self.plate_thickness)
        return (
            Room(f"{part}.plate", part, RoomKind.PLATE, plate),
            self.tube(part, "sleeve", place, self.cup - 0.2, 0.0, self.cup_depth),
            *self.plug_rooms(part, place),
        )
