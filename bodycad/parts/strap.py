"""Strap buttons on the edge, and strap locks let into it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated

from bodycad.declare import declared, mm
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Hardware, Interface, Land, Mass, Screw
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind

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
@declared()
class StrapButton:
    """A strap button on the edge; datum: its screw on the edge, u inward.

        edge |
         ____|
        |    ||=========>  pilot: diameter
        |____||         pilot_depth: from the edge to its end
         base|

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
            Hardware(
                part=part,
                what="strap button",
                fills=(RoomKind.BUTTON,),
                sizes=(("foot", base),),
            ),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        out, axis = inward(place, self.z, -12.0)
        return (Room(f"{part}.button", part, RoomKind.BUTTON, bore(out, axis, self.base, 12.0)),)


@dataclass(frozen=True)
@declared()
class StrapLock:
    """A strap lock whose cup is let into the edge; datum: its axis on the edge, u inward.

        edge |<- cup_depth ->|
        _____|_______________|
         lip |      cup      |____________
        _____|               |= = pilot = =   pilot_depth beyond the cup
             |_______________|

    z: height of the axis; cup: bore for the cup; lip: diameter of its flange, lip_thickness high;
    pilot and pilot_depth: the hole for the screw in its bottom."""

    z: Height = field(metadata=CHOICE)
    cup: Annotated[float, mm(2.0, 60.0)] = default(16.0, 0.1)
    cup_depth: Annotated[float, mm(0.5, 80.0)] = default(13.0, 0.3)
    lip: Annotated[float, mm(2.0, 80.0)] = default(20.0, 0.5)
    lip_thickness: Annotated[float, mm(0.1, 10.0)] = default(1.2, 0.2)
    pilot: Annotated[float, mm(0.5, 15.0)] = default(2.8)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(15.0)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        lead = self.cup / 2.0
        start, axis = inward(place, self.z, -lead)
        cup, name = f"{part}.cup", f"{part}.screw"
        deep = lead + self.cup_depth
        wide = bore(start, axis, self.cup, deep, name=cup)
        hole = bore(start, axis, self.pilot, deep + self.pilot_depth, name=name)
        return (
            Void(cup, part, Face.EDGE, Operation.BORE, wide, EDGE),
            Void(name, part, Face.EDGE, Operation.PILOT, hole, EDGE, frozenset({cup})),
        )

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        (at, axis), thread = inward(place, self.z, 0.0), self.pilot / PILOT_SHARE
        floor, _ = inward(place, self.z, self.cup_depth)
        button, edge = f"{part}.button", Face.EDGE
        return (
            Screw(
                part=part,
                number=1,
                hole=f"{part}.screw",
                seat=f"{part}.cup",
                at=floor,
                way=axis,
                flange=HEAD_SHARE * thread,
                thread=thread,
                reach=self.pilot_depth,
            ),
            Land(
                part=part,
                name=button,
                face=edge,
                at=at,
                inward=axis,
                diameter=self.lip,
                flat=True,
            ),
            Mass(part=part, kg=0.03),
            Hardware(
                part=part,
                what="strap lock with a cup let in",
                fills=(RoomKind.BUTTON, RoomKind.PART),
                sizes=(("cup", self.cup), ("cup depth", self.cup_depth), ("lip", self.lip)),
            ),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        start, axis = inward(place, self.z, 0.0)
        out, _ = inward(place, self.z, -self.lip_thickness)
        sleeve, lip = f"{part}.sleeve", f"{part}.button"
        inside = bore(start, axis, self.cup - 0.1, self.cup_depth)
        return (
            Room(lip, part, RoomKind.BUTTON, bore(out, axis, self.lip, self.lip_thickness)),
            Room(sleeve, part, RoomKind.PART, inside),
        )
