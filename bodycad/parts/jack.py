"""Jacks: in a cup let into the edge, on a plate on the edge, in a barrel through it, and in a
tilted cup let into the front."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import Id, between, declared, mm
from bodycad.errors import number
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Bush, Hides, Interface, Land, Mass, Screw, Sweep, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.parts.part import wood_screws
from bodycad.parts.strap import CHOICE, EDGE, Height, inward
from bodycad.parts.strap import StrapButton as StrapButton
from bodycad.units import default
from bodycad.words import Face, HeadForm, HideKind, Operation, RoomKind, SweepKind, Wire

Reach = Annotated[float, mm(1.0, 500.0)]
Across = Annotated[float, mm(1.0, 80.0)]
Plug = Annotated[float, mm(1.0, 200.0)]
Plate = Annotated[float, mm(2.0, 150.0)]
Pilot = Annotated[float, mm(0.5, 12.0)]


class Jack:
    """What jacks share: an axis from a face into the wood, a bore along it, and the way of the plug
    past the panel that the jack sits in.

    Subclasses have `cavity` (id of the placed cavity that the bore opens into; None for a jack
    whose wires leave by a channel), `reach` (how far along the axis the bore goes), `hole` (its
    diameter), `plug` (how far a plug's tip goes past the panel) and `plug_room` (the clear way it
    needs); `seat`: how far along the axis the panel lies; `face`: the one it is let into."""

    cavity: str | None
    reach: float
    hole: float
    plug: float
    plug_room: float
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

    def into(self) -> frozenset[str]:
        """The cavity that the bore opens into."""
        return frozenset({f"{self.cavity}.cavity"} if self.cavity else ())

    def plug_way(self, place: Place) -> Bore:
        """The clear way the plug's tip needs past the panel."""
        start, way = self.axis(place, self.seat)
        return bore(start, way, self.plug_room, self.plug)

    def plugged(self, part: str, piece: Workpiece, own: tuple[str, ...]) -> tuple[Interface, ...]:
        """The plug's way in air, and where the wires end; the last of `own` leads it in."""
        air = (*own, *(hollows(piece, self.cavity) if self.cavity else ()))
        into, room = next(iter(self.into()), own[0]), f"{part}.plug"
        kind, bored = SweepKind.PLUG, own[-1]
        return (
            Sweep(part=part, kind=kind, room=room, within=air, bore=bored, into=into),
            Terminal(part=part, kind=Wire.SIGNAL, voids=own),
            Mass(part=part, kg=0.05),
        )

    def tube(
        self, part: str, word: str, place: Place, diameter: float, start: float, end: float
    ) -> Room:
        """A round solid of the jack about its axis, from one distance along it to another."""
        begin, way = self.axis(place, start)
        return Room(f"{part}.{word}", part, RoomKind.JACK, bore(begin, way, diameter, end - start))

    def plug_room_of(self, part: str, place: Place) -> Room:
        """The plug's way as a room."""
        return Room(f"{part}.plug", part, RoomKind.PLUG, self.plug_way(place))


class Cupped(Jack):
    """A jack at the bottom of a round `cup`, `cup_depth` deep along its axis."""

    cup: float
    cup_depth: float

    @property
    def seat(self) -> float:
        """The jack sits in the bottom of its cup."""
        return self.cup_depth

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
    panel; plug_room: diameter of the clear way it needs (its lugs bend round it)."""

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
        return sweep, land, *rest

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return (
            self.tube(part, "sleeve", place, self.cup - 0.2, 0.0, self.cup_depth),
            self.tube(part, "lip", place, self.lip, -self.lip_thickness, 0.0),
            self.plug_room_of(part, place),
        )


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
    length; hole: bore for it; plug, plug_room: as of an `EndJack`, from the plate."""

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
                head=HeadForm.COUNTERSUNK,
            )
            for k, spot in enumerate(self.spots(place, -self.plate_thickness), 1)
        )
        return *self.plugged(part, piece, (f"{part}.bore",)), land, *screws

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        size, half = (self.plate_thickness, self.plate_width), self.plate_height / 2.0
        plan = place.profile(rectangle(*size, 0.0, -self.plate_thickness / 2.0))
        plate = Prism(plan, self.z - half, self.z + half)
        return (
            Room(f"{part}.plate", part, RoomKind.JACK, plate),
            self.tube(part, "body", place, self.body, 0.0, self.body_length),
            self.plug_room_of(part, place),
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
    held; washer: of its washers. The plug's tip ends within the barrel, whose end needs room."""

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
        return bush, lip, nut, *self.plugged(part, piece, (own,))

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        (start, way), high = self.axis(place, self.wall + CLEAR), self.nut_height + JAW
        wrench = bore(start, way, self.wrench, high)
        return (
            self.tube(part, "barrel", place, self.thread, 0.0, self.length),
            self.tube(part, "outer", place, self.washer, -self.nut_height, 0.0),
            Room(f"{part}.nut", part, RoomKind.TOOL, wrench),
            self.plug_room_of(part, place),
        )


CLEAR, JAW = 0.5, 5.0
"""How far off the wall the inner nut of a barrel is held, and what the wrench needs past it, mm
(common practice, no source)."""


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
    a channel brings the wires; plug, plug_room: as of an `EndJack`."""

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
            *wood_screws(part, piece, pilots, place.z),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(self.plate)
        plate = Prism(plan, place.z, place.z + self.plate_thickness)
        return (
            Room(f"{part}.plate", part, RoomKind.PLATE, plate),
            self.tube(part, "sleeve", place, self.cup - 0.2, 0.0, self.cup_depth),
            self.plug_room_of(part, place),
        )
