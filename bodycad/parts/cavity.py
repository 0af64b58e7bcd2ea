"""A cavity: routed from the back, with its let-in cover and the bosses for the cover's screws, or
from the front under a guard; and its plan as a hull round what hangs in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.declare import Count, Spot, Text, declared, mm
from bodycad.errors import InputError, number
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.geometry.plane.boolean import difference
from bodycad.geometry.plane.build import circle, hull
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Plan, Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.interface import Fit, Hides, Interface, Land, Mass, Screw, Terminal
from bodycad.layout.layout import Placed
from bodycad.layout.made import Made
from bodycad.layout.place import DEPTH, Depth, Place
from bodycad.layout.void import Room, Void, from_back, from_front
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.units import default
from bodycad.words import (
    SIDES,
    Face,
    FitKind,
    HeadForm,
    HideKind,
    Operation,
    RoomKind,
    Side,
    Wire,
)

CHOICE = {"size": False}
STOWED = (RoomKind.CAN, RoomKind.BATTERY, RoomKind.PART)
"""What hangs or lies in a cavity."""
THICK = 45.0
"""The stock that controls are asked their rooms for, mm: their plans do not depend on it."""


@dataclass(frozen=True)
@declared()
class Cover:
    """A cover plate let in flush over a cavity.

        ______                                  ______  back
              |gap[========cover========]gap|          ^ thickness = depth of the recess
              +----+                   +----+          v
              ledge|      cavity       |ledge

    gap: room each side between cover and recess; screws: (u, v) of its screws in the cavity's own
    axes, countersunk; screw_hole: diameter of their holes in the plate; boss: diameter of the wood
    left standing round each screw."""

    thickness: Annotated[float, mm(0.2, 30.0)] = default(2.5, 0.2)
    gap: Annotated[float, mm(0.0, 5.0)] = default(0.2)
    ledge: Annotated[float, mm(0.5, 60.0)] = default(4.0)
    screws: Annotated[tuple[tuple[Spot, Spot], ...], Count(0, 100)] = field(
        default=(), metadata=CHOICE
    )
    boss: Annotated[float, mm(1.0, 60.0)] = default(9.0)
    pilot: Annotated[float, mm(0.5, 12.0)] = default(2.0)
    screw_hole: Annotated[float, mm(0.5, 20.0)] = default(3.6)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(12.0)

    def __post_init__(self) -> None:
        number("a cover's gap", self.gap, high=self.ledge)


@dataclass(frozen=True, eq=False)
@declared()
class Cavity:
    """A cavity with the plan `profile` in its own (u, v), `depth` as a depth from its face or as
    wood to leave to the other, and corners no tighter than `corner` (the cutter's radius), mm.

        ____            ______        ____              ____   front, under a guard
            |          |                  |            |
            |  cavity  |  back            |   cavity   | depth
           =+==cover===+=                 +------------+

    face: where it is routed from. A cavity from the front has no cover of its own (cover=None): a
    guard hides it. The wood is left under the height of the front that its place says: on an
    arched top the lowest that the front comes over it, or less (`on_front`)."""

    profile: Plan = field(metadata=CHOICE)
    depth: Annotated[Depth, DEPTH] = field(metadata=CHOICE)
    cover: Cover | None = Cover()
    corner: Annotated[float, mm(0.1, 60.0)] = default(6.35)
    face: Side = field(default=Face.BACK, metadata=CHOICE)

    def __post_init__(self) -> None:
        if self.face is Face.FRONT and self.cover is not None:
            remedy = "lay a Guard over it"
            raise InputError("the cover of a cavity from the front", "a Cover", "None", remedy)

    @cached_property
    def routed(self) -> Profile:
        """The plan as routed: less the bosses, corners rounded to the cutter.

        Raises InputError when the bosses cut the cavity in two or leave nothing."""
        shape = self.profile
        for u, v in self.cover.screws if self.cover else ():
            pieces = difference(shape, circle(self.lid.boss, u, v))
            shape = self._single([piece.outer for piece in pieces])
        radius = self.corner
        shrunk = self._single(list(offset(shape, -radius)))
        return self._single(list(offset(shrunk, radius)))

    @property
    def lid(self) -> Cover:
        """Its cover, where it has one."""
        assert self.cover is not None
        return self.cover

    @cached_property
    def recess(self) -> Profile:
        """The cover's recess in plan."""
        return self._single(list(offset(self.profile, self.lid.ledge)))

    @cached_property
    def plate(self) -> Profile:
        """The cover itself in plan."""
        return self._single(list(offset(self.profile, self.lid.ledge - self.lid.gap)))

    def _single(self, found: list[Profile]) -> Profile:
        if len(found) != 1:
            raise InputError(
                "a cavity's plan",
                f"{len(found)} pieces after its bosses and corners are cut",
                "one piece",
                "use smaller bosses, a smaller corner radius or a larger cavity",
            )
        return found[0]

    def fitted(self, part: str, drawn: Cavity, made: Made) -> Cavity:
        """Cavity and plan of the cover are those drawn; the cover's thickness is its own."""
        if self.cover is None or self.lid.thickness == drawn.lid.thickness:
            return drawn
        return replace(drawn, cover=replace(drawn.lid, thickness=self.lid.thickness))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        cavity, recess = f"{part}.cavity", f"{part}.recess"
        back, into = frozenset({Face.BACK}), frozenset({recess})
        depth = self.depth.below(thickness + place.z, cavity)
        if self.cover is None:
            plan, opens = place.profile(self.routed), frozenset({self.face})
            front, deep = self.face is Face.FRONT, place.below(depth)
            shape = from_front(plan, deep) if front else from_back(plan, depth, thickness)
            return (Void(cavity, part, self.face, Operation.POCKET, shape, opens),)
        cover = self.cover
        thing = f"the recess of {part}"
        number(thing, cover.thickness, high=depth, remedy="use a thinner cover or a deeper cavity")
        hollow = from_back(place.profile(self.routed), depth, thickness)
        seat = from_back(place.profile(self.recess), cover.thickness, thickness)
        found = [
            Void(cavity, part, Face.BACK, Operation.POCKET, hollow, back, into),
            Void(recess, part, Face.BACK, Operation.RECESS, seat, back),
        ]
        for index, (u, v) in enumerate(cover.screws, 1):
            name, head = f"{part}.screw.{index}", (*place.point(u, v), -thickness)
            length = cover.thickness + cover.pilot_depth
            hole = bore(head, (0, 0, 1), cover.pilot, length, name=name)
            found.append(Void(name, part, Face.BACK, Operation.PILOT, hole, back, into))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        room, cavity, recess = f"{part}.cover", f"{part}.cavity", f"{part}.recess"
        if self.cover is None:
            return (Terminal(part=part, kind=Wire.SIGNAL, voids=(cavity,), linked=False),)
        plan, cover = place.profile(self.recess), self.cover
        screws = tuple(
            Screw(
                part=part,
                number=index,
                hole=f"{part}.screw.{index}",
                at=(*place.point(u, v), -piece.thickness),
                way=(0.0, 0.0, 1.0),
                flange=HEAD_SHARE * cover.pilot / PILOT_SHARE,
                thread=cover.pilot / PILOT_SHARE,
                reach=cover.thickness + cover.pilot_depth,
                length=cover.thickness + cover.pilot_depth,
                free=f"{part}.cover.screw.{index}",
                head=HeadForm.COUNTERSUNK,
            )
            for index, (u, v) in enumerate(cover.screws, 1)
        )
        return (
            Fit(part=part, kind=FitKind.COVER, name="cover", room=room, outer=recess),
            Hides(
                part=part,
                kind=HideKind.IN,
                name="cover",
                rim=plan,
                room=room,
                face=Face.BACK,
                voids=(cavity,),
                recess=recess,
                screws=tuple(screw.hole for screw in screws),
            ),
            Land(part=part, name=recess, face=Face.BACK, plan=plan),
            Terminal(part=part, kind=Wire.SIGNAL, voids=(cavity, recess), linked=False),
            Mass(part=part, kg=0.03),
            *screws,
        )

    def pieces(self, part: str, place: Place, piece: Workpiece) -> tuple[Workpiece, ...]:
        """The cover from behind, its own y the other way; datum: the middle of its plan's box."""
        if self.cover is None:
            return ()
        cover, flip, name = self.cover, 1.0 if place.flipped else -1.0, f"{part}.cover"
        u0, v0, u1, v1 = self.plate.box
        middle = (u0 + u1) / 2.0, (v0 + v1) / 2.0
        plan = self.plate.moved(-middle[0], -middle[1])
        spots = [(u - middle[0], flip * (v - middle[1]), 0.0) for u, v in cover.screws]
        size = cover.screw_hole, cover.thickness
        holes = tuple(
            Void(
                f"{name}.screw.{k}",
                part,
                Face.FRONT,
                Operation.BORE,
                bore(spot, (0, 0, -1), *size, name=f"{name}.screw.{k}"),
                frozenset(SIDES),
            )
            for k, spot in enumerate(spots, 1)
        )
        x, y = place.point(*middle)
        plan = plan if place.flipped else plan.mirrored()
        skin = Skin(plan, cover.thickness, Square(), Square())
        frame = Frame(x, y, -piece.thickness, place.turn_deg, turned_over=True)
        title = f"the cover of {part}"
        return (Workpiece(name, skin, holes, frame=frame, part=part, title=title, sheet=True),)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        if self.cover is None:
            return ()
        plate = Prism(place.profile(self.plate), -thickness, -thickness + self.cover.thickness)
        return (Room(f"{part}.cover", part, RoomKind.COVER, plate),)


def hollows(piece: Workpiece, part: str) -> tuple[str, ...]:
    """Ids of a placed part's cuts that wires and plugs may enter: all but pilots for screws."""
    return tuple(v.id for v in piece.voids_of(part) if v.operation is not Operation.PILOT)


@declared("the plan of a cavity round its controls")
def cavity_round(
    *controls: Placed,
    wall: Annotated[float, mm(0.5, 60.0)] = 6.0,
    name: Text = "a cavity round its controls",
) -> Profile:
    """The plan of a cavity as a hull round all that hangs or lies in it, `wall` mm from each: for a
    `Cavity` placed at (0, 0).

    controls: the placed controls, batteries and capacitors. Raises InputError where none of them
    takes room in a cavity."""
    circles: list[tuple[float, float, float]] = []
    for one in controls:
        for room in one.part.rooms(one.id, one.place, THICK):
            if room.kind in STOWED:
                circles += _rounds(room.shape.plan, wall)
    if not circles:
        allowed = "placed controls, batteries or capacitors"
        raise InputError(name, f"{len(controls)} parts without room in a cavity", allowed)
    return hull(tuple(circles), name)


def _rounds(plan: Profile, wall: float) -> Iterator[tuple[float, float, float]]:
    """Circles (x, y, radius) whose hull stands `wall` mm off the hull of a plan: one about each of
    its corners, and one about the middle of each round that lies whole within it."""
    s = plan.segments
    for k in range(len(s)):
        (x, y), radius = map(float, s.centre[k]), float(s.radius[k])
        if s.arc[k] and s.bulge[k] > 0.0 and _within(plan, x, y, radius):
            yield x, y, radius + wall
        else:
            ends = np.linspace(0.0, 1.0, 9 if s.arc[k] else 2)
            for u, v in s.take(np.full(len(ends), k)).at(ends).tolist():
                yield u, v, wall


def _within(plan: Profile, x: float, y: float, radius: float) -> bool:
    return float(-plan.signed_distance(np.array([[x, y]]))[0]) >= radius - 1e-6
