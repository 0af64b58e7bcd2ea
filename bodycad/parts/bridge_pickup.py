"""A plate bridge that carries a pickup in an opening of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated, ClassVar

from bodycad.declare import Turn, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.strings import even_centres
from bodycad.layout.heights import Pressed
from bodycad.layout.interface import (
    Anchor,
    Fit,
    Hardware,
    Hides,
    Interface,
    Mass,
    Poles,
    Terminal,
)
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_shared import (
    FRONT,
    Ferrule,
    Plate,
    bored,
    fitting,
    sleeves,
    threaded,
)
from bodycad.parts.cased import POLE, Rest, Under
from bodycad.units import Size, default
from bodycad.words import Face, FitKind, HideKind, Operation, RoomKind, Wire

USUAL = 5.0
"""Height of a coil's top where no strings say so, mm (common practice, no source)."""


@dataclass(frozen=True)
@declared("a coil in a bridge")
class Coil:
    """The pickup that hangs from a bridge's plate.

         <------- length ------->
        (  o   o   o   o   o   o )   width     o: poles, pole_spacing from first to last

    u: its middle before the row of the strings' ends; slant_deg: turned so far that the bass end is
    nearer the nut; top: of its cover over the face at rest, by default under the strings;
    pole_height: of the poles over that; depth: from the cover's top to the lowest point under it;
    travel: how far it must go down."""

    pole_spacing: Annotated[float, mm(5.0, 200.0)] = default(52.0, 0.3)
    u: Annotated[float, mm(5.0, 200.0)] = default(48.0, 0.5)
    slant_deg: Turn = default(10.0, 0.5)
    length: Annotated[float, mm(5.0, 250.0)] = default(70.0, 0.5)
    width: Annotated[float, mm(3.0, 100.0)] = default(18.0, 0.3)
    top: Rest = Under()
    pole_height: Annotated[float, mm(0.0, 20.0)] = default(1.5, 0.3)
    depth: Annotated[float, mm(1.0, 60.0)] = default(20.0, 0.7)
    travel: Annotated[float, mm(0.0, 30.0)] = default(2.0)

    def __post_init__(self) -> None:
        thing = "the pole spacing of a bridge's pickup"
        number(thing, self.pole_spacing, high=self.length - POLE)

    @property
    def rest(self) -> float:
        """Height of its top over the face, mm."""
        return USUAL if isinstance(self.top, Under) else float(self.top)

    def plan(self, more: float = 0.0) -> Profile:
        """Its outline in the bridge's own (u, v), `more` mm larger all round."""
        size, corner = (self.width + 2.0 * more, self.length + 2.0 * more), self.width / 2.5 + more
        return rectangle(*size, corner).moved(self.u, 0.0, -self.slant_deg)


@dataclass(frozen=True)
@declared("a bridge")
class PickupBridge(Plate):
    """A bridge plate with an opening for a pickup that hangs from it; its datum is the middle of
    the row of the strings' ends.

          u <---- toward the nut
        +------------------------------------+   ^
        | s   /=/              [====]    o  s|   |      o: string holes, hole_pitch apart
        |    /=/  <- coil      [====]    o   |   plate_width
        |   /=/                [====]    o   |   |      s: screws (u, v), in the corners where
        | s/=/                 [====]    o  s|   |         none are given
        +------------------------------------+   v
        <----------- front ------------>  row rear

    The strings go through the body, or where `through` is False the plate's rear edge holds them,
    `held` over the face. Of strings in courses a pole senses each course. Under the plate lies the
    pickup's route, `route` deep, with `gap` round the pickup, which the plate hides. Raises
    InputError where the route lies beyond the plate."""

    plate_front: Annotated[float, mm(1.0, 200.0)] = default(74.0, 0.5)
    plate_rear: Annotated[float, mm(0.5, 200.0)] = default(10.0, 0.5)
    plate_thickness: Annotated[float, mm(0.3, 30.0)] = default(1.5, 0.2)
    coil: Coil = Coil()
    gap: Annotated[float, mm(0.0, 20.0)] = default(1.5)
    route: Annotated[float, mm(1.0, 60.0)] = default(19.0)
    through: bool = True
    held: Annotated[float, mm(0.0, 30.0)] = default(4.5, 0.3)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.2)
    ferrule: Ferrule = Ferrule()

    WHAT: ClassVar[str] = "bridge plate with an opening for its pickup"

    def __post_init__(self) -> None:
        super().__post_init__()
        fitting(self.ferrule, self.string_hole)
        u0, v0, u1, v1 = self.coil.plan(self.gap).box
        rear, front, half = -self.plate_rear, self.plate_front, self.plate_width / 2.0
        if not (rear < u0 and u1 < front and -half < v0 and v1 < half):
            thing, allowed = "the route of a bridge's pickup", "one that its plate covers"
            raise InputError(thing, (u0, v0, u1, v1), allowed, "use a larger plate, or move it")

    @property
    def idle(self) -> tuple[str, ...]:
        """The sizes that play no part in it as it is."""
        return ("held",) if self.through else ("ferrule",)

    def _rule(self) -> Iterator[tuple[float, float]]:
        """Screws in the corners, 5 mm inside the plate."""
        half = self.plate_width / 2.0 - 5.0
        for u in (self.plate_front - 5.0, 5.0 - self.plate_rear):
            yield from ((u, -half), (u, half))

    def under_strings(self, place: Place, pressed: Pressed) -> PickupBridge:
        """The bridge with its pickup at the height that its Under asks for; see
        `layout.heights`."""
        coil = self.coil
        if not isinstance(coil.top, Under):
            return self
        gap, lowest = coil.top.gap, min(pressed(*place.point(*spot)) for spot in self._poles())
        top = lowest - gap - coil.pole_height - place.z
        own = gap if isinstance(gap, Size) else Size(gap, "claimed")
        return replace(self, coil=replace(coil, top=Size(top, own.origin, own.tolerance)))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        name, plan = f"{part}.route", place.profile(self.coil.plan(self.gap))
        shape = from_front(plan, place.below(self.route))
        route = Void(name, part, Face.FRONT, Operation.POCKET, shape, FRONT)
        own = route, *self.fixed(part, place)
        if not self.through:
            return own
        row = self.hole_offsets, self.string_hole, self.ferrule
        return *bored(part, place, *row, thickness), *own

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles, plate, screws and ground; the strings' holes or the edge that holds them; the
        pickup's poles, its fit in the route, the route that the plate hides, its wires' end; 0.4 kg
        (common practice, no source)."""
        offsets, route, plate = self.hole_offsets, f"{part}.route", f"{part}.plate"
        ends = tuple(place.at(0.0, v, self.held) for v in offsets)
        held: tuple[Interface, ...] = (
            Anchor(part=part, at=ends, strings=self.strings, passes=self.string_hole),
        )
        if self.through:
            held = tuple(threaded(part, place, offsets, self.ferrule, piece))
        top = self.coil.rest + self.coil.pole_height
        poles = zip(self._poles(), self.courses or (1,) * self.strings, strict=True)
        points = tuple(place.at(*spot, top) for spot, many in poles for _ in range(many))
        body, travel = f"{part}.coil", self.coil.travel
        pilots = tuple(f"{part}.screw.{k}" for k in range(1, len(self.fixing) + 1))
        return (
            *self.standing(part, place, piece),
            *held,
            Poles(part=part, points=points),
            Fit(part=part, kind=FitKind.PICKUP, name="coil", room=body, outer=route, below=travel),
            Hides(
                part=part,
                kind=HideKind.ON,
                name="plate",
                rim=self.plan(place),
                room=plate,
                face=Face.FRONT,
                voids=(route,),
                screws=pilots,
            ),
            Terminal(part=part, kind=Wire.SIGNAL, voids=(route,)),
            Mass(part=part, kg=0.4),
            Hardware(
                part=part,
                what=f"pickup that hangs from a bridge's plate, {len([*self._poles()])} poles",
                fills=(RoomKind.PICKUP, RoomKind.POLE),
                sizes=(
                    ("pole spacing", self.coil.pole_spacing),
                    ("length", self.coil.length),
                    ("width", self.coil.width),
                    ("depth", self.coil.depth),
                ),
            ),
        )

    def _poles(self) -> Iterator[tuple[float, float]]:
        """(u, v) of the poles, treble first."""
        turn = Place(self.coil.u, 0.0, -self.coil.slant_deg)
        many = len(self.courses) or self.strings
        for v in even_centres(many, self.coil.pole_spacing):
            yield turn.point(0.0, v)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        coil, top = self.coil, place.z + self.coil.rest
        body = Prism(place.profile(coil.plan()), top - coil.depth, top)
        found = [*self.solids(part, place), Room(f"{part}.coil", part, RoomKind.PICKUP, body)]
        if coil.pole_height > 0.0:
            for k, (u, v) in enumerate(self._poles(), 1):
                pole = Prism(circle(POLE, *place.point(u, v)), top, top + coil.pole_height)
                found.append(Room(f"{part}.pole.{k}", part, RoomKind.POLE, pole))
        ferrule = self.ferrule if self.through else None
        return *found, *sleeves(part, place, self.hole_offsets, ferrule, thickness)
