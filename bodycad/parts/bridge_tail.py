"""A tail block for headless tuning: the strings are held and tuned behind their saddles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, ClassVar

from bodycad.declare import declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Anchor, Interface, Mass, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_shared import FRONT, Plate
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind, Wire


@dataclass(frozen=True)
@declared("a tail block")
class TailBlock(Plate):
    """A bridge plate whose jaws hold and tune the strings; its datum is the middle of the row of
    jaws.

          u <---- toward the nut                                finger: room for fingers past the
        +--------------------------------+                        knobs and under them
        |  s     [====]          |jaw|===|====[knob]  ^
        |        [====]          |jaw|===|====[knob]  knob: diameter
        |  s     [====]          |jaw|===|====[knob]  v
        +--------------------------------+    <-knob_length->
        <---------- front --------> row  rear
                                    <------- reach --------->

    held: the string in its jaw over the face; axis: of the knobs over the face. Where the body goes
    on under the knobs, a recess `recess` deep is cut from the plate's end out of the body's edge,
    `recess_length` long and `recess_width` wide (0 deep: none). Hole pitch is that of the jaws;
    plate width and screws follow the rules of every plate unless they are given."""

    held: Annotated[float, mm(0.0, 30.0)] = default(6.0, 0.3)
    axis: Annotated[float, mm(0.0, 40.0)] = default(7.0, 0.5)
    reach: Annotated[float, mm(2.0, 120.0)] = default(38.0, 0.5)
    knob: Annotated[float, mm(2.0, 30.0)] = default(9.5, 0.2)
    knob_length: Annotated[float, mm(1.0, 60.0)] = default(12.0, 0.5)
    finger: Annotated[float, mm(0.0, 40.0)] = default(9.0)
    recess: Annotated[float, mm(0.0, 60.0)] = default(12.0)
    recess_length: Annotated[float, mm(5.0, 300.0)] = default(80.0)
    recess_width: Annotated[float, mm(10.0, 300.0)] = default(92.0)
    recess_corner: Annotated[float, mm(0.1, 30.0)] = default(6.4)

    WHAT: ClassVar[str] = "tail block that holds and tunes the strings"
    ITS_OWN: ClassVar[tuple[RoomKind, ...]] = (RoomKind.PLATE, RoomKind.SADDLE, RoomKind.PART)

    def __post_init__(self) -> None:
        super().__post_init__()
        least, remedy = self.plate_rear + self.knob_length, "the knobs stand behind the plate"
        number("a tail block's reach", self.reach, low=least, remedy=remedy)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        own = tuple(self.fixed(part, place))
        if not self.recess:
            return own
        middle = -self.plate_rear - self.recess_length / 2.0
        size = self.recess_length, self.recess_width, self.recess_corner
        plan = place.profile(rectangle(*size, middle, 0.0))
        shape, opens = from_front(plan, place.below(self.recess)), FRONT | {Face.EDGE}
        return Void(f"{part}.recess", part, Face.FRONT, Operation.POCKET, shape, opens), *own

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles, the jaws, plate screws, the plate's flat, the ground under it, the recess that
        stays empty, and 0.45 kg (common practice, no source)."""
        at = tuple(place.at(0.0, v, self.held) for v in self.hole_offsets)
        jaws = Anchor(part=part, at=at, strings=self.strings)
        found = *self.standing(part, place, piece), jaws, Mass(part=part, kg=0.45)
        if not self.recess:
            return found
        # A hollow for fingers, which stays empty; what must clear it are the rooms.
        hollow = (f"{part}.recess",)
        return *found, Terminal(part=part, kind=Wire.SIGNAL, voids=hollow, linked=False)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return *self.solids(part, place), *self._turned(part, place)

    def _turned(self, part: str, place: Place) -> Iterator[Room]:
        """The knobs, and the room for fingers round them."""
        low, high = self.axis - self.knob / 2.0, self.axis + self.knob / 2.0
        wide = self.hole_offsets[-1] - self.hole_offsets[0] + self.knob
        for name, more in (("knobs", 0.0), ("fingers", self.finger)):
            front = self.knob_length - self.reach
            rear = -self.reach - more
            size = front - rear, wide + 2.0 * more
            plan = place.profile(rectangle(*size, 0.0, (front + rear) / 2.0, 0.0))
            solid = Prism(plan, place.z + low - more, place.z + high)
            yield Room(f"{part}.{name}", part, RoomKind.PART, solid)
