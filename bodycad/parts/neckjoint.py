"""A bolt-on neck: pocket, screws and their single recessed ferrules at any points of the heel."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Any

from bodycad.declare import Count, Spot, Text, between, declared, mm, over
from bodycad.errors import number
from bodycad.geometry.plane.build import circle, rounded
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.instrument.seat import heel_plan
from bodycad.layout.interface import Interface, Joint, Land, Mass, Screw
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default
from bodycad.wood import Species, species
from bodycad.words import Face, Grain, HeadForm, Mount, Operation, RoomKind

CHOICE = {"size": False}
AS_CUT = ("side_clearance", "end_clearance", "corner", "hole", "pilot")
KG = 0.06
"""Of screws and ferrules together, about the middle of the heel; common practice, no source."""
REMEDY = (
    "for a head that bears on a washer or on the bare wood give NeckFerrule(flange=its diameter, "
    "height=its thickness, web=its thickness)"
)


@dataclass(frozen=True)
@declared()
class NeckFerrule:
    """A cup that takes one screw head and sits in its own counterbore.

             <- flange ->
        _____            _____   seat (wood)
             |__      __|   ^
        web  |  |    |  |   | height
             |__|    |__|   v      the screw head bears on the web, `web` mm from the seat

    `fit` is what the counterbore is wider than the flange. form: the head's; the screw's length is
    told from `web` mm behind the seat, under a flat head of the height `head`, and from the rim of
    a countersunk one. Ferrule and head lie under the shaped back, or stand out of it by at most
    `proud` mm where that is meant."""

    flange: Annotated[float, mm(2.0, 60.0)] = default(14.0, 0.1)
    height: Annotated[float, mm(0.2, 40.0)] = default(6.0, 0.2)
    web: Annotated[float, mm(0.2, 40.0)] = default(2.0, 0.2)
    fit: Annotated[float, mm(0.0, 5.0)] = default(0.15)
    head: Annotated[float, mm(0.0, 20.0)] = default(3.0, 0.3)
    form: HeadForm = field(default=HeadForm.FLAT, metadata=CHOICE)
    proud: Annotated[float, mm(0.0, 20.0)] = field(default=0.0, metadata=CHOICE)

    def __post_init__(self) -> None:
        number("a neck ferrule's web", self.web, high=self.height)

    @property
    def rise(self) -> float:
        """How far ferrule and head stand out from the seat, mm."""
        sunk = self.form is HeadForm.COUNTERSUNK
        return max(float(self.height), self.web + (0.0 if sunk else self.head))


@dataclass(frozen=True)
@declared("a neck screw")
class Bolt:
    """One neck screw: (u, v) from the bridge-side end of the heel on the centreline (u toward the
    nut, v toward the bass), the wood left between the ferrule's seat and the pocket floor, and the
    screw's length as it is bought (under a flat head, over all with a countersunk one), mm."""

    u: Spot = field(metadata=CHOICE)
    v: Spot = field(metadata=CHOICE)
    wood: Annotated[float, over(100.0)] = field(metadata=CHOICE)
    length: Annotated[float, mm(5.0, 200.0)] = default(35.0, 0.5)


@dataclass(frozen=True)
@declared()
class NeckJoint:
    """Pocket and screws; its datum is the middle of the heel's bridge-side end, u toward the nut.

    depth: pocket depth at the mouth; angle_deg: tilt of the floor that raises the strings toward
    the bridge; overrun: how far the pocket is routed on past the heel's mouth, out of the body.
    side_clearance is the total of both sides, end_clearance the room past the heel's end; corner is
    the pocket's corner radius; masked: the pocket is kept free of finish. screw, hole and pilot are
    the diameters of thread, body hole and hole in the neck; species and grain ("tangential" for a
    flatsawn neck, "radial" for a quartersawn one) are its wood. cut_for: the heel that the pocket
    was cut for, when it is not the one that is fitted."""

    heel: Heel
    depth: Annotated[float, over(60.0)] = field(metadata=CHOICE)
    board_thickness: Annotated[float, mm(2.0, 20.0)]
    bolts: Annotated[tuple[Bolt, ...], Count(2, 50)]
    ferrule: Annotated[NeckFerrule, REMEDY] = field(default_factory=NeckFerrule)
    angle_deg: Annotated[float, between(-5.0, 10.0, "degrees")] = field(
        default=0.0, metadata=CHOICE
    )
    side_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.3)
    end_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.3)
    overrun: Annotated[float, mm(0.0, 300.0)] = field(default=15.0, metadata=CHOICE)
    corner: Annotated[float, mm(0.0, 60.0)] = default(6.35)
    masked: bool = False
    species: Text | Species | None = field(default=None, metadata=CHOICE)
    grain: Grain = field(default=Grain.TANGENTIAL, metadata=CHOICE)
    screw: Annotated[float, mm(1.0, 15.0)] = default(4.2, 0.1)
    hole: Annotated[float, mm(1.0, 30.0)] = default(4.8)
    pilot: Annotated[float, mm(0.5, 15.0)] = default(3.1)
    cut_for: Heel | None = field(default=None, metadata=CHOICE)

    def __post_init__(self) -> None:
        thing = "the neck screw's body hole"
        remedy = "the screw must fall through the body, and its ferrule must not"
        number(thing, self.hole, low=self.screw, high=self.ferrule.flange, remedy=remedy)
        number("the neck screw's pilot", self.pilot, high=self.screw)
        number("the fretboard's thickness", self.board_thickness, high=self.heel.thickness)
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))

    @property
    def pocket_heel(self) -> Heel:
        """The heel that the pocket is cut for."""
        return self.cut_for or self.heel

    @cached_property
    def pocket_profile(self) -> Profile:
        """The pocket's plan in (u, v), run on past the mouth."""
        h = self.pocket_heel
        end, mouth = h.width_end + self.side_clearance, h.width_mouth + self.side_clearance
        far = h.length + self.overrun
        u, taper = -self.end_clearance, (mouth - end) / h.length
        near, widest = end + taper * u, end + taper * far
        plan = [(u, -near / 2), (far, -widest / 2), (far, widest / 2), (u, near / 2)]
        return rounded(plan, (self.corner, 0.0, 0.0, self.corner), "the neck pocket")

    @cached_property
    def heel_profile(self) -> Profile:
        """The heel block's plan in (u, v)."""
        return heel_plan(self.heel)

    @cached_property
    def board_profile(self) -> Profile:
        """The fretboard over heel and overlap in (u, v), as wide as the heel's sides carried on:
        what is wider lies over the front, which the instrument's own board is held against."""
        h = self.heel
        taper = (h.width_end - h.width_mouth) / h.length
        near, mouth = h.width_end + taper * h.board_overlap, h.width_mouth
        u, far = -h.board_overlap, h.length
        return profile(
            [(u, -near / 2.0), (far, -mouth / 2.0), (far, mouth / 2.0), (u, near / 2.0)],
            "the fretboard",
        )

    def floor(self, u: float) -> float:
        """Height of the pocket floor at u, mm (negative)."""
        return -self.depth + math.tan(math.radians(self.angle_deg)) * (self.heel.length - u)

    def seat(self, bolt: Bolt) -> float:
        """Height of a ferrule's seat, mm (negative)."""
        return self.floor(bolt.u) - bolt.wood

    def with_screws(self, screws: Sequence[Any]) -> NeckJoint:
        """This joint with other screws; each has u, v, wood and length as a Bolt has."""
        return replace(self, bolts=tuple(Bolt(s.u, s.v, s.wood, s.length) for s in screws))

    def fitted(self, part: str, drawn: NeckJoint, made: Made) -> NeckJoint:
        """This neck in the pocket, holes and counterbores that were cut for `drawn`."""
        deeper = made.depth(f"{part}.pocket")
        bolts = tuple(
            replace(
                bolt,
                u=old.u,
                v=old.v,
                wood=old.wood - deeper - made.depth(f"{part}.bolt.{i}.seat") + made.thicker,
            )
            for i, (bolt, old) in enumerate(zip(self.bolts, drawn.bolts), 1)
        )
        room = max(drawn.ferrule.fit + (drawn.ferrule.flange - self.ferrule.flange), 0.0)
        return replace(
            self,
            cut_for=drawn.cut_for if self.heel == drawn.heel else drawn.pocket_heel,
            depth=drawn.depth + deeper,
            bolts=bolts,
            ferrule=replace(self.ferrule, fit=room),
            **{name: getattr(drawn, name) for name in AS_CUT},
        )

    def shared_sizes(self) -> dict[str, str]:
        """Heel and fretboard are those of the instrument's neck."""
        return {"heel.": "neck.heel.", "board_thickness": "neck.board_thickness"}

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        remedy = "use thicker stock or a shallower pocket"
        number("the pocket depth", self.depth, high=thickness - 1.0, remedy=remedy)
        slope = -math.tan(math.radians(self.angle_deg))
        turn = math.radians(place.turn_deg)
        mouth, plan = place.point(self.heel.length, 0.0), place.profile(self.pocket_profile)
        tilt = slope * math.cos(turn), slope * math.sin(turn)
        pocket = Prism(plan, -self.depth, 0.0, tilt, mouth)
        cut, opens = f"{part}.pocket", frozenset({Face.FRONT, Face.EDGE})
        found = [Void(cut, part, Face.FRONT, Operation.POCKET, pocket, opens)]

        def drilled(name: str, bolt: Bolt, diameter: float, top: float, meets: set[str]) -> None:
            start = (*place.point(bolt.u, bolt.v), -thickness)
            hole = bore(start, (0, 0, 1), diameter, thickness + top, name=name)
            opens, meeting = frozenset({Face.BACK}), frozenset(meets)
            found.append(Void(name, part, Face.BACK, Operation.BORE, hole, opens, meeting))

        for index, bolt in enumerate(self.bolts, 1):
            name, meets = f"{part}.bolt.{index}", {cut}
            # A seat at or behind the back needs no counterbore; `bolt-seat` judges it.
            if thickness + self.seat(bolt) > 1e-9:
                meets.add(f"{name}.seat")
                drilled(f"{name}.seat", bolt, self.bed, self.seat(bolt), set())
            drilled(f"{name}.hole", bolt, self.hole, self.floor(bolt.u), meets)
        return tuple(found)

    @property
    def bed(self) -> float:
        """Diameter of a ferrule's counterbore, mm."""
        return self.ferrule.flange + self.ferrule.fit

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return tuple(self._stated(part, place, piece))

    def _stated(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        turn = math.radians(place.turn_deg)
        middle = self.heel.length / 2.0
        yield Mass(part=part, kg=KG, at=(*place.point(middle, 0.0), self.floor(middle)))
        yield Joint(
            part=part,
            mount=Mount.SCREWS,
            pocket=f"{part}.pocket",
            heel=f"{part}.heel",
            board=f"{part}.board",
            end=(*place.point(0.0, 0.0), self.floor(0.0)),
            ahead=(math.cos(turn), math.sin(turn), 0.0),
            rod_width=self.heel.rod_width,
            rod_depth=self.heel.rod_depth,
            masked=self.masked,
            species=self.species,
            grain=self.grain,
        )
        for index, bolt in enumerate(self.bolts, 1):
            x, y = place.point(bolt.u, bolt.v)
            name = f"{part}.bolt.{index}"
            yield Screw(
                part=part,
                number=index,
                hole=f"{name}.hole",
                seat=f"{name}.seat" if f"{name}.seat" in piece.by_id else None,
                at=(x, y, self.seat(bolt)),
                way=(0.0, 0.0, 1.0),
                flange=self.ferrule.flange,
                thread=self.screw,
                reach=bolt.length - self.ferrule.web,
                length=bolt.length,
                clamps=f"{part}.pocket",
                bites=f"{part}.heel",
                pilot=self.pilot,
                loaded=True,
                head=self.ferrule.form,
                rise=self.ferrule.rise,
                proud=self.ferrule.proud,
            )
            plan = circle(self.bed, x, y)
            yield Land(part=part, name=f"{name}.seat", face=Face.BACK, plan=plan, carved=True)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        low = self.floor(self.heel.length)
        top, block = low + self.heel.thickness, place.profile(self.heel_profile)
        under, name = top - self.board_thickness, f"{part}.bolt"
        found = [
            Room(f"{part}.heel", part, RoomKind.NECK, Prism(block, low, under)),
            Room(
                f"{part}.board",
                part,
                RoomKind.BOARD,
                Prism(place.profile(self.board_profile), under, top),
            ),
        ]
        cup, up = self.ferrule, (0, 0, 1)
        for i, bolt in enumerate(self.bolts, 1):
            x, y = place.point(bolt.u, bolt.v)
            ferrule = bore((x, y, self.seat(bolt) - cup.height), up, cup.flange, cup.height)
            screw = bore((x, y, self.seat(bolt) - cup.web), up, self.screw, bolt.length)
            found.append(Room(f"{name}.{i}.ferrule", part, RoomKind.FERRULE, ferrule))
            found.append(Room(f"{name}.{i}.screw", part, RoomKind.SCREW, screw))
        return tuple(found)
