"""Parts that enter from the edge: a recessed jack cup and strap buttons."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated

from bodycad.declare import Id, declared, mm
from bodycad.errors import number
from bodycad.fasteners import PILOT_SHARE
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Interface, Land, Mass, Screw, Sweep, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind, SweepKind, Wire

EDGE = frozenset({Face.EDGE})
CHOICE = {"size": False}


Height = Annotated[float, mm(-200.0, 200.0)]
"""Of an axis over the plain front: negative in the body."""


def inward(place: Place, z: float, start: float) -> tuple[Point3, Point3]:
    """A point `start` mm along the inward axis from the edge point, and that axis.

    A part that enters from the edge has u pointing into the body."""
    turn = math.radians(place.turn_deg)
    axis = (math.cos(turn), math.sin(turn), 0.0)
    return (place.x + start * axis[0], place.y + start * axis[1], z), axis


@dataclass(frozen=True)
@declared("a jack")
class EndJack:
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
    reach: Annotated[float, mm(1.0, 500.0)] = field(metadata=CHOICE)
    cup: Annotated[float, mm(2.0, 80.0)] = default(22.2, 0.1)
    cup_depth: Annotated[float, mm(0.5, 150.0)] = default(20.0, 0.5)
    lip: Annotated[float, mm(2.0, 120.0)] = default(28.0, 0.5)
    lip_thickness: Annotated[float, mm(0.1, 20.0)] = default(1.5, 0.2)
    hole: Annotated[float, mm(1.0, 80.0)] = default(17.0)
    plug: Annotated[float, mm(1.0, 200.0)] = default(30.0, 1.0)
    plug_room: Annotated[float, mm(1.0, 80.0)] = default(14.0, 1.0)

    def __post_init__(self) -> None:
        number("a jack's reach", self.reach, low=self.cup_depth)
        number("a jack's bore", self.hole, high=self.cup)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        lead = self.cup / 2.0
        start, axis = inward(place, self.z, -lead)
        cup, hole = f"{part}.cup", f"{part}.bore"
        wide = bore(start, axis, self.cup, self.cup_depth + lead, name=cup)
        long = bore(start, axis, self.hole, self.reach + lead, name=hole)
        into = frozenset({cup, f"{self.cavity}.cavity"})
        return (
            Void(cup, part, Face.EDGE, Operation.BORE, wide, EDGE),
            Void(hole, part, Face.EDGE, Operation.BORE, long, EDGE, into),
        )

    def plug_way(self, place: Place) -> Bore:
        """The clear way the plug's tip needs past the panel."""
        start, axis = inward(place, self.z, self.cup_depth)
        return bore(start, axis, self.plug_room, self.plug)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        at, axis = inward(place, self.z, 0.0)
        own, room, lip = (f"{part}.cup", f"{part}.bore"), f"{part}.plug", f"{part}.lip"
        plug, edge, into = SweepKind.PLUG, Face.EDGE, f"{self.cavity}.cavity"
        air = (*own, *hollows(piece, self.cavity))
        return (
            Sweep(part=part, kind=plug, room=room, within=air, bore=own[1], into=into),
            Land(part=part, name=lip, face=edge, at=at, inward=axis, diameter=self.lip, flat=True),
            Terminal(part=part, kind=Wire.SIGNAL, voids=own),
            Mass(part=part, kg=0.05),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        start, axis = inward(place, self.z, 0.0)
        out, _ = inward(place, self.z, -self.lip_thickness)
        sleeve = bore(start, axis, self.cup - 0.2, self.cup_depth)
        lip = bore(out, axis, self.lip, self.lip_thickness)
        return (
            Room(f"{part}.sleeve", part, RoomKind.JACK, sleeve),
            Room(f"{part}.lip", part, RoomKind.JACK, lip),
            Room(f"{part}.plug", part, RoomKind.PLUG, self.plug_way(place)),
        )


@dataclass(frozen=True)
@declared()
class StrapButton:
    """A strap button on the edge; datum: its screw on the edge, u inward.

    z: height of the screw; base: diameter of the button's foot; pilot and pilot_depth: its hole."""

    z: Height = field(metadata=CHOICE)
    base: Annotated[float, mm(2.0, 80.0)] = default(14.0, 0.5)
    pilot: Annotated[float, mm(0.5, 15.0)] = default(2.8)
    pilot_depth: Annotated[float, mm(1.0, 150.0)] = default(26.0)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        lead = 2.0 * self.pilot
        start, axis = inward(place, self.z, -lead)
        name = f"{part}.screw"
        hole = bore(start, axis, self.pilot, self.pilot_depth + lead, name=name)
        return (Void(name, part, Face.EDGE, Operation.PILOT, hole, EDGE),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        at, axis = inward(place, self.z, 0.0)
        foot, edge, base = f"{part}.button", Face.EDGE, self.base
        return (
            Screw(
                part=part,
                number=1,
                hole=f"{part}.screw",
                at=at,
                way=axis,
                flange=base,
                thread=self.pilot / PILOT_SHARE,
                reach=self.pilot_depth,
            ),
            Land(part=part, name=foot, face=edge, at=at, inward=axis, diameter=base),
            Mass(part=part, kg=0.015),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        out, axis = inward(place, self.z, -12.0)
        return (Room(f"{part}.button", part, RoomKind.BUTTON, bore(out, axis, self.base, 12.0)),)
