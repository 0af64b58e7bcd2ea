"""A full-size humbucker on a mounting ring, or mounted straight to the wood."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product
from typing import Annotated

from bodycad.declare import between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Fit, Hides, Interface, Land, Mass, Poles, Terminal
from bodycad.layout.place import DEPTH, Depth, Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.part import wood_screws
from bodycad.units import default
from bodycad.words import Face, FitKind, HideKind, Operation, RoomKind, Wire

CHOICE = {"size": False}
THIN = 0.01
"""A pole that ends flush with the cover is drawn this high, mm."""


@dataclass(frozen=True)
@declared()
class Ring:
    """The mounting ring that hides the route.

        +----------------------------+  ^
        | o                        o |  |
        |   +--------------------+   |  width (along the strings)
        |   +--------------------+   |  |
        | o                        o |  |
        +----------------------------+  v
        <--------- length ----------->      o: screws, screw_length apart across the strings,
                                               screw_width apart along them

    `height` is the ring's own height; the pilots are for its four wood screws."""

    length: Annotated[float, mm(5.0, 250.0)] = default(91.0, 0.5)
    width: Annotated[float, mm(5.0, 250.0)] = default(46.5, 0.5)
    height: Annotated[float, mm(0.2, 50.0)] = default(5.0, 0.5)
    screw_length: Annotated[float, mm(1.0, 250.0)] = default(82.0, 0.3)
    screw_width: Annotated[float, mm(1.0, 250.0)] = default(37.5, 0.3)
    pilot: Annotated[float, mm(0.5, 12.0)] = default(2.0)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(10.0)

    def __post_init__(self) -> None:
        number("a ring's screw_length", self.screw_length, high=self.length)
        number("a ring's screw_width", self.screw_width, high=self.width)

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of the four screws: u along the strings, v across them."""
        u, v = self.screw_width / 2.0, self.screw_length / 2.0
        return (u, v), (u, -v), (-u, v), (-u, -v)


@dataclass(frozen=True)
@declared("a pickup")
class Humbucker:
    """A two-coil pickup hung from a ring by its feet; its datum is the centre of the frame.

                 feet_span
        <------------------------->
        +--+--------------------+--+  ^ feet_width
        |  |  o  o  o  o  o  o  |  |  |     o: pole pieces, pole_spacing from first to last, a row
        |  |  o  o  o  o  o  o  |  |  |        over each coil, coil_spacing apart
        +--+--------------------+--+  v
           <--- frame_length --->           frame_width: across this view, along the strings

    rest_height: cover top over the plain front when set up; pole_height: of the poles over the
    cover; body_depth: cover top to the underside; leg_depth: to the lowest point of the feet;
    foot_depth: at rest, to the tips of the height screws; travel: how far it must go down from
    rest. The height screws hang from the ring and stay where they are when the pickup goes down;
    without a ring they go with it. gap: room left each side in the route; corner: the route's
    corner radius.
    `route` and `ears` are the depths of the main route and of the deeper slot for the feet. Without
    a ring (None) it is mounted to the wood: there is no rim to cover the route and there are no
    ring screws; its room in the route and its way to fretboard, plate and other pickups are asked
    as ever."""

    pole_spacing: Annotated[float, mm(5.0, 200.0)]
    poles: Annotated[int, between(2, 36)] = field(default=6, metadata=CHOICE)
    frame_length: Annotated[float, mm(5.0, 250.0)] = default(70.0, 0.5)
    frame_width: Annotated[float, mm(3.0, 250.0)] = default(38.0, 0.5)
    feet_span: Annotated[float, mm(5.0, 250.0)] = default(83.0, 0.7)
    feet_width: Annotated[float, mm(1.0, 250.0)] = default(14.0, 0.5)
    body_depth: Annotated[float, mm(1.0, 80.0)] = default(20.0, 0.7)
    leg_depth: Annotated[float, mm(1.0, 80.0)] = default(24.0, 0.7)
    foot_depth: Annotated[float, mm(1.0, 100.0)] = default(27.0, 1.0)
    rest_height: Annotated[float, mm(-60.0, 60.0)] = default(8.0, 0.5)
    travel: Annotated[float, mm(0.0, 50.0)] = default(4.0)
    gap: Annotated[float, mm(0.0, 20.0)] = default(1.0)
    corner: Annotated[float, mm(0.1, 60.0)] = default(3.2)
    route: Annotated[Depth, DEPTH] = Depth(19.0)
    ears: Annotated[Depth, DEPTH] = Depth(26.0)
    ring: Ring | None = Ring()
    coil_spacing: Annotated[float, mm(0.0, 100.0)] = default(19.0, 0.5)
    pole_height: Annotated[float, mm(0.0, 20.0)] = default(0.5, 0.3)

    def __post_init__(self) -> None:
        number("a pickup's coil_spacing", self.coil_spacing, high=self.frame_width)

    @property
    def pole_offsets(self) -> tuple[float, ...]:
        """v of each pole piece, treble side (-v) first, mm."""
        step = self.pole_spacing / (self.poles - 1)
        return tuple(-self.pole_spacing / 2.0 + step * i for i in range(self.poles))

    @property
    def rows(self) -> tuple[float, float]:
        """u of the two rows of poles, the nut's side first, mm."""
        return self.coil_spacing / 2.0, -self.coil_spacing / 2.0

    @property
    def sinks(self) -> float:
        """How far below the lowest end at rest the feet come, lowered by the travel, mm: the height
        screws of a pickup that hangs from a ring do not sink with it."""
        if self.ring is None:
            return float(self.travel)
        return max(self.leg_depth + self.travel - max(self.foot_depth, self.leg_depth), 0.0)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        route, front, found = f"{part}.route", frozenset({Face.FRONT}), list[Void]()
        for name, width, length, depth in (
            (route, self.frame_width, self.frame_length, self.route),
            (f"{part}.ears", self.feet_width, self.feet_span, self.ears),
        ):
            plan = rectangle(width + 2 * self.gap, length + 2 * self.gap, self.corner)
            shape = from_front(place.profile(plan), depth.below(thickness, name))
            meets = frozenset({route} - {name})
            found.append(Void(name, part, Face.FRONT, Operation.POCKET, shape, front, meets))
        if ring := self.ring:
            for index, (u, v) in enumerate(ring.screws, 1):
                name, start = f"{part}.screw.{index}", (*place.point(u, v), 0.0)
                pilot = bore(start, (0.0, 0.0, -1.0), ring.pilot, ring.pilot_depth, name=name)
                found.append(Void(name, part, Face.FRONT, Operation.PILOT, pilot, front))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Poles of both coils, the fit of body and feet with the travel below them, the wires' ends
        and 0.16 kg (common practice, no source); with a ring, what it hides, its flat, screws."""
        steps = f"{part}.route", f"{part}.ears"
        top, found = self.rest_height + self.pole_height, list[Interface]()
        for u in self.rows:
            points = tuple((*place.point(u, v), top) for v in self.pole_offsets)
            found.append(Poles(part=part, points=points))
        for name, outer in zip(("body", "feet"), steps, strict=True):
            room, kind = f"{part}.{name}", FitKind.PICKUP
            below = self.travel if name == "body" else self.sinks
            fit = Fit(part=part, kind=kind, name=name, room=room, outer=outer, below=below)
            found.append(fit)
        if self.ring:
            found += self._ring(part, place, piece, self.ring, steps)
        found.append(Terminal(part=part, kind=Wire.SIGNAL, voids=steps))
        return *found, Mass(part=part, kg=0.16)

    def _ring(
        self, part: str, place: Place, piece: Workpiece, ring: Ring, steps: tuple[str, ...]
    ) -> Iterator[Interface]:
        name = f"{part}.ring"
        pilots = tuple(f"{part}.screw.{k}" for k in range(1, len(ring.screws) + 1))
        yield Hides(
            part=part,
            kind=HideKind.ON,
            name="ring",
            rim=place.profile(rectangle(ring.width, ring.length)),
            room=name,
            face=Face.FRONT,
            voids=steps,
            screws=pilots,
        )
        plan = place.profile(rectangle(ring.width, ring.length, 2.0))
        yield Land(part=part, name=name, face=Face.FRONT, plan=plan)
        yield from wood_screws(part, piece, pilots)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        top, under = self.rest_height, self.rest_height - self.body_depth
        frame = place.profile(rectangle(self.frame_width, self.frame_length, 2.0))
        feet = place.profile(rectangle(self.feet_width, self.feet_span, 1.0))
        low, kind = top - max(self.foot_depth, self.leg_depth), RoomKind.PICKUP
        found = [
            Room(f"{part}.body", part, kind, Prism(frame, under, top)),
            Room(f"{part}.feet", part, kind, Prism(feet, low, under + 2)),
        ]
        if self.ring:
            ring = place.profile(rectangle(self.ring.width, self.ring.length, 2.0))
            solid = Prism(ring, 0.0, self.ring.height)
            found.append(Room(f"{part}.ring", part, RoomKind.RING, solid))
        high = top + max(self.pole_height, THIN)
        for index, (u, v) in enumerate(product(self.rows, self.pole_offsets), 1):
            pole = Prism(circle(4.8, *place.point(u, v)), top, high)
            found.append(Room(f"{part}.pole.{index}", part, RoomKind.POLE, pole))
        return tuple(found)
