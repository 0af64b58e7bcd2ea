"""Bridges on a plate: strings through the body, strings held by the plate's rear edge, and those of
basses, which come either way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import declared, mm
from bodycad.layout.interface import Anchor, Interface, Mass
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_shared import (
    CHOICE,
    Ferrule,
    Plate,
    Strings,
    Tall,
    Travel,
    bored,
    fitting,
    sleeves,
    threaded,
)
from bodycad.units import default

__all__ = ["BassBridge", "Ferrule", "Hardtail", "TopLoad"]

Held = Annotated[float, mm(0.0, 30.0)]
"""How high over the face the rear edge holds a string."""


@dataclass(frozen=True)
@declared("a bridge")
class Hardtail(Plate):
    """A fixed bridge plate, strings through the body; its datum is the middle of the row of string
    holes.

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
    saddle_low, saddle_high: height of the string's point over the face at both ends of travel.
    Without a ferrule (None) the ball ends bear on bare wood, which `string-holes` fails. Hole
    pitch, plate width and screws are by the rules of every plate unless they are given: the
    saddles' own pitch, 13.75 mm beside the outer strings, three screws before the saddles and two
    beside the row of holes."""

    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.2)
    ferrule: Ferrule | None = Ferrule()

    WHAT: ClassVar[str] = "bridge on a plate for strings through the body"

    def __post_init__(self) -> None:
        super().__post_init__()
        fitting(self.ferrule, self.string_hole)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        row = self.hole_offsets, self.string_hole, self.ferrule
        return *bored(part, place, *row, thickness), *self.fixed(part, place)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles and string holes (number 1 is the treble's), plate screws, the flats of plate and
        ferrules, the ground under the plate, and 0.25 kg (common practice, no source)."""
        held = threaded(part, place, self.hole_offsets, self.ferrule, piece)
        return *self.standing(part, place, piece), *held, Mass(part=part, kg=0.25)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        back = sleeves(part, place, self.hole_offsets, self.ferrule, thickness)
        return *self.solids(part, place), *back


@dataclass(frozen=True)
@declared("a bridge")
class TopLoad(Plate):
    """A fixed bridge whose bent-up rear edge holds the ball ends; its datum is the middle of the
    row of holes in that edge.

          u <---- toward the nut                     window: least and greatest u of the string's
                                                     point on a saddle
        saddle_low    /o\\                           held: height of the string in the edge, over
        saddle_high  |   |________          _|_      the face
        _____________|___|________``````---o_|  ball
        <--------------front------------->row<rear>

    The plate reaches `plate_front` mm from the row toward the nut and `plate_rear` behind it, where
    the edge and the ball ends are; string_hole: of the holes in the edge. Hole pitch, plate width
    and screws follow the rules of every plate unless they are given."""

    window_rear: Travel = default(16.0, 0.5)
    window_front: Travel = default(28.0, 0.5)
    plate_front: Annotated[float, mm(1.0, 200.0)] = default(40.0, 0.3)
    plate_rear: Annotated[float, mm(0.5, 200.0)] = default(8.0, 0.3)
    held: Held = default(4.5, 0.3)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(2.5, 0.2)

    WHAT: ClassVar[str] = "bridge on a plate whose rear edge holds the strings"

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return tuple(self.fixed(part, place))

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles, the rear edge that holds the strings, plate screws, the plate's flat, the ground
        under it, and 0.3 kg (common practice, no source)."""
        return *self.standing(part, place, piece), self.edge(part, place), Mass(part=part, kg=0.3)

    def edge(self, part: str, place: Place) -> Anchor:
        """The rear edge, which holds each string, treble first."""
        at = tuple(place.at(0.0, v, self.held) for v in self.hole_offsets)
        return Anchor(part=part, at=at, strings=self.strings, passes=self.string_hole)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return tuple(self.solids(part, place))


@dataclass(frozen=True)
@declared("a bridge")
class BassBridge(TopLoad):
    """A bass's bridge, four to six strings in its rear edge as `TopLoad` has them, or `through` the
    body, where the holes stand `holes` mm before the rear edge.

          u <---- toward the nut
        +--------------------------------+-+  ^
        | s        [=======]        o    | |  |     o: string holes where they go through
        |          [=======]        o    | |  plate_width
        | s        [=======]        o    | |  |     s: screws (u, v)
        |          [=======]        o    | |  |
        +--------------------------------+-+  v
        <---------- front -------------row rear     u = 0: the row of holes in the rear edge

    Sizes are common practice, no source. Hole pitch, plate width and screws follow the rules of
    every plate unless they are given."""

    strings: Strings = field(default=4, metadata=CHOICE)
    window_rear: Travel = default(24.0, 1.0)
    window_front: Travel = default(44.0, 1.0)
    saddle_low: Tall = default(10.0, 0.5)
    saddle_high: Tall = default(16.0, 0.5)
    plate_front: Annotated[float, mm(1.0, 200.0)] = default(56.0, 0.5)
    plate_thickness: Annotated[float, mm(0.3, 30.0)] = default(3.0, 0.3)
    screw_pilot: Annotated[float, mm(0.5, 12.0)] = default(2.8)
    screw_depth: Annotated[float, mm(1.0, 100.0)] = default(24.0)
    held: Held = default(5.0, 0.5)
    through: bool = False
    holes: Annotated[float, mm(0.0, 100.0)] = default(12.0, 0.3)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(5.0)
    ferrule: Ferrule = Ferrule(hole=default(10.0, 0.1), depth=default(13.0, 0.3))

    WHAT: ClassVar[str] = "bass bridge on a plate"

    def __post_init__(self) -> None:
        super().__post_init__()
        fitting(self.ferrule, self.string_hole)

    @property
    def idle(self) -> tuple[str, ...]:
        """The sizes that play no part in it as it is."""
        return ("held",) if self.through else ("holes", "ferrule")

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        own = tuple(self.fixed(part, place))
        if not self.through:
            return own
        row = self.hole_offsets, self.string_hole, self.ferrule
        return *bored(part, place, *row, thickness, self.holes), *own

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Those of `TopLoad`, or of string holes with ferrules in place of the rear edge; 0.5 kg
        (common practice, no source)."""
        held: tuple[Interface, ...] = (self.edge(part, place),)
        if self.through:
            held = tuple(threaded(part, place, self.hole_offsets, self.ferrule, piece, self.holes))
        return *self.standing(part, place, piece), *held, Mass(part=part, kg=0.5)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        ferrule = self.ferrule if self.through else None
        back = sleeves(part, place, self.hole_offsets, ferrule, thickness, self.holes)
        return *self.solids(part, place), *back
