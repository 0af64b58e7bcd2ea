"""What lies in a cavity beside the controls, and a box for a battery let in from the back."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import Id, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Fit, Hardware, Hides, Interface, Land, Mass, Terminal
from bodycad.layout.place import DEPTH, Depth, Place
from bodycad.layout.void import Room, Void, from_back
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.parts.control import CHOICE, Panel
from bodycad.parts.part import wood_screws
from bodycad.units import default
from bodycad.words import Face, FitKind, HideKind, Operation, RoomKind, Side, Wire

Size = Annotated[float, mm(0.5, 200.0)]


class Stowed:
    """What things that lie in a cavity share: a block fixed to the cavity's bottom.

    Subclasses are dataclasses with `cavity` (id of the placed cavity), `panel` (from the front down
    to the cavity's bottom, mm: the wood over a cavity from the back, the depth of one from the
    front), `length` (along u), `width`, `height` and `face`, from which the cavity is routed."""

    cavity: str
    panel: float
    length: float
    width: float
    height: float
    face: Face
    word: ClassVar[str]
    kind: ClassVar[RoomKind]
    kg: ClassVar[float]
    what: ClassVar[str]
    many: ClassVar[int] = 1

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """None: it lies in another part's cavity."""
        return ()

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(rectangle(self.length, self.width))
        end = place.z - self.panel
        low = end if self.face is Face.FRONT else end - self.height
        block = Prism(plan, low, low + self.height)
        return (Room(f"{part}.{self.word}", part, self.kind, block),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        fit = Fit(
            part=part,
            kind=FitKind.CONTROL,
            name=self.word,
            room=f"{part}.{self.word}",
            outer=f"{self.cavity}.cavity",
            hangs=True,
        )
        sizes = ("length", self.length), ("width", self.width), ("height", self.height)
        what, kinds = self.what, (self.kind,)
        bought = Hardware(part=part, what=what, count=self.many, fills=kinds, sizes=sizes)
        return fit, Mass(part=part, kg=self.kg), bought


@dataclass(frozen=True)
@declared()
class Capacitor(Stowed):
    """A capacitor's room beside the controls, on its leads; datum: its middle, long along u.

    ====+----------+====  bottom of the cavity, `panel` under the front
        |          | height
        +----------+
        <- length ->      width: across; face: from which the cavity is routed"""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Size = default(22.0, 1.0)
    width: Size = default(8.0, 0.5)
    height: Size = default(14.0, 0.5)
    face: Side = field(default=Face.BACK, metadata=CHOICE, kw_only=True)
    word: ClassVar[str] = "capacitor"
    what: ClassVar[str] = "capacitor"
    kind: ClassVar[RoomKind] = RoomKind.PART
    kg: ClassVar[float] = 0.005


@dataclass(frozen=True)
@declared("a wire room")
class WireRoom(Stowed):
    """The room that a bundle of wires takes where it lies in a cavity; datum: its middle.

    ====+----------+====  bottom of the cavity, `panel` under the front
        |  o o o   | height
        +----------+
        <- length ->      width: across; face: from which the cavity is routed"""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Size = default(30.0, 5.0)
    width: Size = default(8.0, 1.0)
    height: Size = default(8.0, 1.0)
    face: Side = field(default=Face.BACK, metadata=CHOICE, kw_only=True)
    word: ClassVar[str] = "wires"
    what: ClassVar[str] = "room for wires"
    many: ClassVar[int] = 0
    kind: ClassVar[RoomKind] = RoomKind.PART
    kg: ClassVar[float] = 0.01


@dataclass(frozen=True)
@declared()
class Battery(Stowed):
    """A 9 V battery that lies in a plain compartment under a cover; datum: its middle, long along
    u. Its sizes are the largest of the standard one (IEC 60086-2, 6LR61, from memory).

        ====+----------+====  bottom of the cavity, `panel` under the front
            | battery  | height
            +----------+
            <- length ->      width: across; face: from which the cavity is routed"""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Size = default(48.5)
    width: Size = default(26.5)
    height: Size = default(17.5)
    face: Side = field(default=Face.BACK, metadata=CHOICE, kw_only=True)
    word: ClassVar[str] = "battery"
    what: ClassVar[str] = "9 V battery with its clip"
    kind: ClassVar[RoomKind] = RoomKind.BATTERY
    kg: ClassVar[float] = 0.046

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Its fit, its clip's wires and its mass."""
        ends = Terminal(part=part, kind=Wire.POWER, voids=hollows(piece, self.cavity))
        return *super().interfaces(part, place, piece), ends


@dataclass(frozen=True)
@declared()
class BatteryBox:
    """A box with a lid that flips up, let in from the back by its flange; datum: its middle.

             front                          <--- flange_length --->     u along the box
        -------------------               +-------------------------+ ^
            |  route  |                   | o +-----------------+ o | |
            |+-------+| gap: each side    |   | length by width |   | | flange_width
            ||  box  || depth             |   +-----------------+   | |
        ====+=========+==== flange        +-------------------------+ v
             back                           o: screws, screw_span apart

    flange: its thickness; route: how deep it is routed from the back, clip and wires counted;
    corner: the route's corner radius; pilot, pilot_depth: for its two wood screws."""

    length: Size = default(54.0, 0.3)
    width: Size = default(29.0, 0.3)
    depth: Size = default(22.0, 0.5)
    flange_length: Size = default(77.0, 0.5)
    flange_width: Size = default(38.0, 0.5)
    flange: Annotated[float, mm(0.3, 10.0)] = default(1.5, 0.2)
    screw_span: Size = default(69.0, 0.3)
    gap: Annotated[float, mm(0.0, 10.0)] = default(2.0)
    corner: Annotated[float, mm(0.1, 60.0)] = default(3.2)
    route: Annotated[Depth, DEPTH] = field(default=Depth(27.0), metadata=CHOICE)
    pilot: Annotated[float, mm(0.5, 12.0)] = default(2.0)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(12.0)

    def __post_init__(self) -> None:
        number("a battery box's flange_length", self.flange_length, low=self.length)
        number("a battery box's flange_width", self.flange_width, low=self.width)
        number("a battery box's screw_span", self.screw_span, high=self.flange_length)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        route, back = f"{part}.route", frozenset({Face.BACK})
        size = self.length + 2.0 * self.gap, self.width + 2.0 * self.gap
        plan, deep = place.profile(rectangle(*size, self.corner)), self.route
        shape = from_back(plan, deep.below(thickness + place.z, route), thickness)
        found = [Void(route, part, Face.BACK, Operation.POCKET, shape, back)]
        for k, u in enumerate((self.screw_span / 2.0, -self.screw_span / 2.0), 1):
            name, start = f"{part}.screw.{k}", (*place.point(u, 0.0), -thickness)
            hole = bore(start, (0, 0, 1), self.pilot, self.pilot_depth, name=name)
            found.append(Void(name, part, Face.BACK, Operation.PILOT, hole, back))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        name, route = f"{part}.flange", f"{part}.route"
        plan = place.profile(rectangle(self.flange_length, self.flange_width, 3.0))
        pilots = (f"{part}.screw.1", f"{part}.screw.2")
        return (
            Fit(
                part=part,
                kind=FitKind.CONTROL,
                name="box",
                room=f"{part}.box",
                outer=route,
                hangs=True,
                plate=name,
            ),
            Hides(
                part=part,
                kind=HideKind.ON,
                name="flange",
                rim=plan,
                room=name,
                face=Face.BACK,
                voids=(route,),
                screws=pilots,
            ),
            Land(part=part, name=name, face=Face.BACK, plan=plan),
            Terminal(part=part, kind=Wire.POWER, voids=(route,)),
            Mass(part=part, kg=0.07),
            *wood_screws(part, piece, pilots, through=self.flange),
            Hardware(
                part=part,
                what="battery box with a lid and a clip",
                fills=(RoomKind.BATTERY, RoomKind.PLATE),
                sizes=(
                    ("box length", self.length),
                    ("box width", self.width),
                    ("depth", self.depth),
                    ("flange length", self.flange_length),
                ),
            ),
            Hardware(part=part, what="9 V battery for its box"),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        box = place.profile(rectangle(self.length, self.width, 3.0))
        rim = place.profile(rectangle(self.flange_length, self.flange_width, 3.0))
        back = -thickness
        inside, flange = Prism(box, back, back + self.depth), Prism(rim, back - self.flange, back)
        return (
            Room(f"{part}.box", part, RoomKind.BATTERY, inside),
            Room(f"{part}.flange", part, RoomKind.PLATE, flange),
        )
