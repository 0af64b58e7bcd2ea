"""A guard cut from sheet that lies on the front; controls and pickups hang from it over routes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated

from bodycad.declare import Count, CutId, Spot, declared, mm
from bodycad.errors import number
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.geometry.distance.plan import plan_gap
from bodycad.geometry.plane.profile import Plan
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Chamfer, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.interface import Hides, Interface, Land, Mass, Screw
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void, mouth
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.units import default
from bodycad.words import SIDES, Face, HeadForm, HideKind, Operation, RoomKind

CHOICE = {"size": False}
SHEET = 1.4e-6
"""Kilograms of a mm3 of plastic sheet (from memory)."""
SLAB = 0.3
"""What a bevel leaves square of the side, at least, mm (common practice, no source)."""


@dataclass(frozen=True, eq=False)
@declared()
class Guard:
    """A guard, or a plate for controls, cut from sheet and screwed to the front.

            bevel            a control's bush, a pickup
          __/-------| |--------|   |--------\\__   ^ thickness
         |__________| |________|   |__________|   v
        ====|:|====.               .======|:|====  the front
            |:|    |     route     |      |:|     pilot, pilot_depth
            screw  '---------------'

    plan: its outline in its own (u, v), the notch for the neck with it; screws: (u, v) of its
    screws, countersunk, screw_hole wide in the sheet. What hangs from it (`guard=` of controls and
    pickups) cuts its own opening. It hides every route and channel that opens under it in the
    front and not in the edge, but for those in `shows`, which something else hides."""

    plan: Plan = field(metadata=CHOICE)
    screws: Annotated[tuple[tuple[Spot, Spot], ...], Count(2, 60)] = field(metadata=CHOICE)
    thickness: Annotated[float, mm(0.5, 12.0)] = default(2.4, 0.1)
    bevel: Annotated[float, mm(0.0, 10.0)] = default(1.5)
    screw_hole: Annotated[float, mm(0.5, 20.0)] = default(3.6)
    pilot: Annotated[float, mm(0.5, 12.0)] = default(1.6)
    pilot_depth: Annotated[float, mm(1.0, 100.0)] = default(11.0)
    shows: Annotated[tuple[CutId, ...], Count(0, 100)] = field(default=(), metadata=CHOICE)

    def __post_init__(self) -> None:
        remedy = "use a narrower bevel or a thicker sheet"
        number("a guard's bevel", self.bevel, high=self.thickness - SLAB, remedy=remedy)

    def fitted(self, part: str, drawn: Guard, made: Made) -> Guard:
        """Plan and holes are those drawn; the sheet's thickness is its own."""
        if self.thickness == drawn.thickness:
            return drawn
        return replace(drawn, thickness=self.thickness)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """The pilots of its screws."""
        found = []
        for k, (u, v) in enumerate(self.screws, 1):
            name, start = f"{part}.screw.{k}", (*place.point(u, v), 0.0)
            hole = bore(start, (0, 0, -1), self.pilot, place.below(self.pilot_depth), name=name)
            front = frozenset({Face.FRONT})
            found.append(Void(name, part, Face.FRONT, Operation.PILOT, hole, front))
        return tuple(found)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The sheet, without its openings."""
        sheet = Prism(place.profile(self.plan), place.z, place.z + self.thickness)
        return (Room(f"{part}.plate", part, RoomKind.GUARD, sheet),)

    def pieces(self, part: str, place: Place, piece: Workpiece) -> tuple[Workpiece, ...]:
        """The sheet from the front; datum: the guard's own."""
        name, flip = f"{part}.plate", -1.0 if place.flipped else 1.0
        holes = []
        for k, (u, v) in enumerate(self.screws, 1):
            own, size = f"{name}.screw.{k}", (self.screw_hole, self.thickness)
            shape = bore((u, flip * v, 0.0), (0, 0, -1), *size, name=own)
            holes.append(Void(own, part, Face.FRONT, Operation.BORE, shape, frozenset(SIDES)))
        plan = self.plan.mirrored() if place.flipped else self.plan
        skin = Skin(plan, self.thickness, Chamfer(self.bevel) if self.bevel else Square(), Square())
        frame = Frame(place.x, place.y, place.z + self.thickness, place.turn_deg)
        title = "the guard" if part == "guard" else f"the guard {part}"
        return (Workpiece(name, skin, tuple(holes), None, frame, part, title, sheet=True),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Its flat, its screws, its mass and what it hides."""
        name, plan = f"{part}.plate", place.profile(self.plan)
        thread, top = self.pilot / PILOT_SHARE, self.thickness
        screws = tuple(
            Screw(
                part=part,
                number=k,
                hole=f"{part}.screw.{k}",
                at=place.at(u, v, top),
                way=(0.0, 0.0, -1.0),
                flange=HEAD_SHARE * thread,
                thread=thread,
                reach=top + self.pilot_depth,
                length=top + self.pilot_depth,
                free=f"{name}.screw.{k}",
                head=HeadForm.COUNTERSUNK,
            )
            for k, (u, v) in enumerate(self.screws, 1)
        )
        found: list[Interface] = [Land(part=part, name=name, face=Face.FRONT, plan=plan), *screws]
        if hidden := self.hidden(plan, piece):
            found.append(
                Hides(
                    part=part,
                    kind=HideKind.ON,
                    name="guard",
                    rim=plan,
                    room=name,
                    face=Face.FRONT,
                    voids=hidden,
                    screws=tuple(screw.hole for screw in screws),
                )
            )
        return *found, Mass(part=part, kg=SHEET * plan.area * self.thickness)

    def hidden(self, plan: Plan, piece: Workpiece) -> tuple[str, ...]:
        """The routes and channels of the body that open under a placed plan."""
        found = []
        for void in piece.voids:
            routed = void.operation.routed or void.operation is Operation.CHANNEL
            if routed and Face.FRONT in void.opens and Face.EDGE not in void.opens:
                under = plan_gap(mouth(void, Face.FRONT, piece.thickness), plan)[0] <= 0.0
                if under and void.id not in self.shows:
                    found.append(void.id)
        return tuple(found)
