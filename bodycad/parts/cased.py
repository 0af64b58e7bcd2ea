"""What all pickups share: cases in their routes, rows of poles or blades over them, what holds them
and their height under the strings."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Annotated, ClassVar, Self

from bodycad.declare import between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.boolean import union
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import (
    Fit,
    Hardware,
    Hides,
    Interface,
    Land,
    Mass,
    Poles,
    Screw,
    Sprung,
    Terminal,
)
from bodycad.layout.place import DEPTH, Depth, Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.mount import CHOICE, DirectMount, Ears, GuardMount, screwed, worked_out
from bodycad.parts.part import wood_screws
from bodycad.units import Size, default, follows, guessed
from bodycad.words import SIDES, Face, FitKind, HeadForm, HideKind, Operation, RoomKind, Wire

THIN = 0.01
"""A pole that ends flush with the cover is drawn this high, mm."""
POLE = 4.8
"""Diameter of a pole piece, mm (common practice, no source)."""
HEAD_IN = 3.0
"""How far the head of a screw inside a cover lies under its top, mm (common practice, no
source)."""
WIDE = 53.0
"""Poles up to 53 mm apart, first to last, share one frame; wider ones lengthen frame, feet, ring
and cover by as much (common practice, no source)."""
DOWN = (0.0, 0.0, -1.0)
FRONT = frozenset({Face.FRONT})
Across = Annotated[float, mm(5.0, 250.0)]
Along = Annotated[float, mm(3.0, 250.0)]
Deep = Annotated[float, mm(1.0, 80.0)]


@dataclass(frozen=True)
@declared()
class Under:
    """A pickup's height that follows the strings: `gap` is the least air between its poles and the
    strings pressed at the last fret, mm. 2 mm is usual (common practice, no source)."""

    gap: Annotated[float, mm(0.0, 20.0)] = default(2.0, 0.5)


Rest = Annotated[float, mm(-60.0, 60.0)] | Under


@dataclass(frozen=True)
@declared()
class Blade:
    """A bar over each coil in place of poles.

        <------------- length ------------->      width: along the strings
        ====================================      length: past the outer strings at both ends

    Left out, `length` is the pole spacing and 6 mm (common practice, no source)."""

    length: Across = follows(58.0, 0.3)
    width: Annotated[float, mm(0.5, 20.0)] = default(3.0, 0.2)


@dataclass(frozen=True)
class Step:
    """One solid of a case and the cut that takes it, in the pickup's own (u, v), heights over the
    face. below: how far the solid must still go down from rest."""

    name: str
    room: Profile
    low: float
    high: float
    cut: str
    plan: Profile
    depth: Depth
    below: float


@dataclass(frozen=True)
class Case:
    """One of a pickup's cases: its middle (u, v), how many strings it serves, and their numbers
    where its place does not say so."""

    u: float
    v: float
    poles: int
    strings: tuple[int, ...] = ()


@dataclass(frozen=True)
class Rim:
    """What lies on the front and hides a route: its name, its outline as it must hide, its plan as
    it lies, its height, its screws in the front, and how many mm its base falls in each mm toward
    the nut."""

    name: str
    outline: Profile
    plan: Profile
    height: float
    screws: tuple[Point, ...]
    pilot: float
    pilot_depth: float
    falls: float = 0.0


@dataclass(frozen=True)
@declared("a pickup")
class Cased(ABC):
    """What every kind of pickup has; each kind's own docstring draws it.

    pole_spacing: from the first to the last pole of a row; poles: one a string or a course.
    frame_length, frame_width: of the case across and along the strings; body_depth: from its top
    to its underside. rest_height: of the top over the front when set up, by default under the
    strings; travel: how far it must go down from there. gap: room left each side in the route;
    corner: its corner radius; route: its depth. pole_height: of the poles over the top; pole_pair:
    distance of the two poles of a string, 0 where it has one. blade: a bar in place of the poles.
    mount: what holds it."""

    pole_spacing: Annotated[float, mm(5.0, 200.0)]
    poles: Annotated[int, between(2, 36)] = field(default=6, metadata=CHOICE)
    frame_length: Across = follows(70.0, 0.5)
    frame_width: Along = default(38.0, 0.5)
    body_depth: Deep = default(20.0, 0.7)
    rest_height: Rest = Under()
    travel: Annotated[float, mm(0.0, 50.0)] = default(4.0)
    gap: Annotated[float, mm(0.0, 20.0)] = default(1.0)
    corner: Annotated[float, mm(0.1, 60.0)] = default(3.2)
    route: Annotated[Depth, DEPTH] = Depth(19.0)
    pole_height: Annotated[float, mm(0.0, 20.0)] = default(0.5, 0.3)
    pole_pair: Annotated[float, mm(0.0, 30.0)] = default(0.0)
    blade: Blade | None = None
    mount: DirectMount | GuardMount | Ears | None = None

    USUAL: ClassVar[float] = 8.0
    """Height over the front where nothing says how high the strings run, mm."""
    LONGER: ClassVar[tuple[str, ...]] = ("frame_length",)
    """The sizes that grow with the poles."""
    KG: ClassVar[float] = 0.16
    WHAT: ClassVar[str] = "pickup"
    """What it is bought as."""
    CORNER: ClassVar[float] = 2.0
    """Corner radius of its case, mm."""

    def __post_init__(self) -> None:
        usual = {name: getattr(type(self), name) for name in self.LONGER}
        worked_out(self, **{name: value + self.longer for name, value in usual.items()})
        if self.blade is not None:
            blade = replace(self.blade)
            worked_out(blade, length=self.pole_spacing + 6.0)
            object.__setattr__(self, "blade", blade)
        ends = [(case.v, v) for case, row in self._sensed() for _, v in row]
        reach = max(abs(v - middle) for middle, v in ends) + self.pole_pair / 2.0
        remedy = "its poles or its blade would stand beyond its case"
        number("a pickup's frame_length", self.frame_length, 2.0 * reach, remedy=remedy)
        if isinstance(self.mount, (DirectMount, GuardMount)):
            object.__setattr__(self, "mount", screwed(self.mount, self.screws))
        if isinstance(self.mount, Ears):
            cover = self.frame_length
            object.__setattr__(self, "mount", self.mount.sized(cover + 26.5, cover + 14.5))
            if not isinstance(self.rest_height, Under):
                thing, allowed = "a pickup's rest_height", "none with Ears"
                remedy = "its ears lie on the front: give Ears(height=...)"
                raise InputError(thing, float(self.rest_height), allowed, remedy)

    @property
    def longer(self) -> float:
        """How much longer than usual its case is for its poles, mm."""
        return max(self.pole_spacing - WIDE, 0.0)

    @property
    def rest(self) -> float:
        """Height of the top over the front under it, mm."""
        if isinstance(self.mount, Ears):
            return float(self.mount.height)
        return self.USUAL if isinstance(self.rest_height, Under) else float(self.rest_height)

    def under_strings(self, place: Place, pressed: Callable[[float, float], float]) -> Self:
        """The pickup at the height that its Under asks for; see `layout.heights`."""
        if not isinstance(self.rest_height, Under) or isinstance(self.mount, Ears):
            return self
        gap = self.rest_height.gap
        lowest = min(pressed(*place.point(*spot)) for _, row in self._sensed() for spot in row)
        top = lowest - gap - self.pole_height - place.z
        own = gap if isinstance(gap, Size) else Size(gap, "claimed")
        return replace(self, rest_height=Size(top, own.origin, own.tolerance))

    # What a kind says of itself.

    @property
    @abstractmethod
    def screws(self) -> tuple[Point, ...]:
        """(u, v) of its height screws from the middle of a case, where its mount gives none."""

    @property
    def cases(self) -> tuple[Case, ...]:
        """Its cases."""
        return (Case(0.0, 0.0, self.poles),)

    @property
    def rows(self) -> tuple[float, ...]:
        """u of each row of poles from the middle of a case, the nut's side first, mm."""
        return (0.0,)

    @property
    def hold(self) -> tuple[float, float]:
        """Depths under the top of the two faces of what its height screws go through, mm."""
        return HEAD_IN, float(self.body_depth)

    @property
    def steps(self) -> tuple[tuple[Step, ...], ...]:
        """Of each case its solids with their cuts: the case itself first, last what the height
        screws go through."""
        wide, long, below = float(self.frame_width), float(self.frame_length), float(self.travel)
        if isinstance(self.mount, Ears):
            wide, long, below = wide - 2.0 * self.mount.over, long - 2.0 * self.mount.over, 0.0
        room, cut = rectangle(wide, long, self.CORNER), self.round(wide, long)
        low, high = self.rest - self.body_depth, self.rest
        return ((Step("body", room, low, high, "route", cut, self.route, below),),)

    @property
    def rim(self) -> Rim | None:
        """What lies on the front round the route, and hides it."""
        if not isinstance(self.mount, Ears):
            return None
        cover = self.mount.rim(self.frame_width, self.frame_length, self.CORNER)
        pilot = self.mount.pilot, self.mount.pilot_depth
        return Rim("cover", cover, cover, self.rest, self.mount.screws, *pilot)

    def round(self, width: float, length: float, u: float = 0.0, v: float = 0.0) -> Profile:
        """The plan of a cut round a solid."""
        return rectangle(width + 2.0 * self.gap, length + 2.0 * self.gap, self.corner, u, v)

    # Its answers.

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        found = dict[str, Void]()
        for first, *others in self.steps:
            for step in (first, *others):
                name, plan = f"{part}.{step.cut}", place.profile(step.plan)
                meets = frozenset({f"{part}.{first.cut}"} - {name})
                shape = from_front(plan, _deep(step.depth, place, thickness, name))
                cut = Void(name, part, Face.FRONT, Operation.POCKET, shape, FRONT, meets)
                found.setdefault(name, cut)
        if rim := self.rim:
            for name, spot in zip(_screws(part, rim), rim.screws, strict=True):
                start, deep = (*place.point(*spot), 0.0), place.below(rim.pilot_depth)
                pilot = bore(start, DOWN, rim.pilot, deep, name=name)
                found[name] = Void(name, part, Face.FRONT, Operation.PILOT, pilot, FRONT)
        if isinstance(mount := self.mount, DirectMount):
            marked = any(map(guessed, mount.screws))
            for step, spots in self._screwed(part):
                floor = found[f"{part}.{step.cut}"]
                for name, spot in spots:
                    start = (*place.point(*spot), floor.low)
                    pilot = bore(start, DOWN, mount.pilot, mount.pilot_depth, name=name)
                    cut = Void(name, part, Face.FRONT, Operation.PILOT, pilot)
                    found[name] = replace(cut, meets=frozenset({floor.id}), guessed=marked)
        return tuple(found.values())

    def openings(self, part: str, place: Place, piece: Workpiece) -> tuple[Void, ...]:
        """What it cuts in the guard that it hangs from: the opening for its cover, and the holes
        of its height screws."""
        mount, both, low = self.mount, frozenset(SIDES), -piece.thickness
        if not isinstance(mount, GuardMount) or piece.part != mount.guard:
            return ()
        size = self.frame_width + 2.0 * mount.opening, self.frame_length + 2.0 * mount.opening
        radius, found = max(self.CORNER + mount.opening, self.corner), list[Void]()
        cover = union([rectangle(*size, radius, case.u, case.v) for case in self.cases])
        for k, region in enumerate(cover, 1):
            name = f"{part}.window" if len(cover) == 1 else f"{part}.window.{k}"
            plan = piece.frame.own_profile(place.profile(region.outer))
            shape = Prism(plan, low, 0.0)
            found.append(Void(name, part, Face.FRONT, Operation.POCKET, shape, both))
        marked = any(map(guessed, mount.screws))
        for name, spot in (row for _, spots in self._screwed(part) for row in spots):
            x, y, _ = piece.frame.own((*place.point(*spot), 0.0))
            free = bore((x, y, 0.0), DOWN, mount.hole, piece.thickness, name=name)
            hole = Void(name, part, Face.FRONT, Operation.BORE, free, both, guessed=marked)
            found.append(hole)
        return tuple(found)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        z, kind, found = place.z, RoomKind.PICKUP, list[Room]()
        for step in (step for steps in self.steps for step in steps):
            solid = Prism(place.profile(step.room), z + step.low, z + step.high)
            found.append(Room(f"{part}.{step.name}", part, kind, solid))
        if rim := self.rim:
            (x, y), (x1, y1) = place.point(0.0, 0.0), place.point(1.0, 0.0)
            slope = rim.falls * (x - x1), rim.falls * (y - y1)
            solid = Prism(place.profile(rim.plan), z, z + rim.height, slope, (x, y))
            found.append(Room(f"{part}.{rim.name}", part, RoomKind.RING, solid))
        top = z + self.rest
        high = top + max(self.pole_height, THIN)
        for index, plan in enumerate(self._poles(), 1):
            pole = Prism(place.profile(plan), top, high)
            found.append(Room(f"{part}.pole.{index}", part, RoomKind.POLE, pole))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Its sensing points, the fit of each solid with the travel below it, what holds it, the
        wires' ends and its mass (common practice, no source)."""
        top, bar, found = self.rest + self.pole_height, self.blade is not None, list[Interface]()
        for case, row in self._sensed():
            points = tuple(place.at(*spot, top) for spot in row)
            found.append(Poles(part=part, points=points, bar=bar, strings=case.strings))
        steps = [step for steps in self.steps for step in steps]
        for step in steps:
            fit = Fit(
                part=part,
                kind=FitKind.PICKUP,
                name=step.name,
                room=f"{part}.{step.name}",
                outer=f"{part}.{step.cut}",
                below=step.below,
            )
            found.append(fit)
        cuts = tuple(dict.fromkeys(f"{part}.{step.cut}" for step in steps))
        if self.rim:
            found += self._lying(part, place, piece, self.rim, cuts)
        found += self._sprung(part, place, piece)
        found.append(Terminal(part=part, kind=Wire.SIGNAL, voids=cuts))
        return *found, Mass(part=part, kg=self.KG), *self.bought(part)

    def bought(self, part: str) -> Iterator[Hardware]:
        """The pickup as it is bought, with the cover that hides its route."""
        kinds = [RoomKind.PICKUP, RoomKind.POLE]
        kinds += [RoomKind.RING] if isinstance(self.mount, Ears) else []
        sizes = ("pole spacing", self.pole_spacing), ("length", self.frame_length)
        more = ("width", self.frame_width), ("depth", self.body_depth)
        words = f"{self.WHAT} with blades" if self.blade else f"{self.WHAT}, {self.poles} poles"
        words += " and ears" if isinstance(self.mount, Ears) else ""
        yield Hardware(part=part, what=words, fills=tuple(kinds), sizes=(*sizes, *more))

    def _lying(
        self, part: str, place: Place, piece: Workpiece, rim: Rim, cuts: tuple[str, ...]
    ) -> Iterator[Interface]:
        pilots = _screws(part, rim)
        yield Hides(
            part=part,
            kind=HideKind.ON,
            name=rim.name,
            rim=place.profile(rim.outline),
            room=f"{part}.{rim.name}",
            face=Face.FRONT,
            voids=cuts,
            screws=pilots,
        )
        plan = place.profile(rim.plan)
        yield Land(part=part, name=f"{part}.{rim.name}", face=Face.FRONT, plan=plan)
        yield from wood_screws(part, piece, pilots, place.z, rim.height)

    def _sprung(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        """Its height screws, and the springs on them, where they hold in wood or hang from a
        guard; those of a ring are the ring's own."""
        mount, number = self.mount, len(self.rim.screws) if self.rim else 0
        upper, lower = (place.z + self.rest - deep for deep in self.hold)
        at, names, press = list[Point3](), tuple[str, ...](), lower
        for step, spots in self._screwed(part):
            if isinstance(mount, GuardMount):
                at = [(*place.point(*spot), place.z + mount.thickness) for _, spot in spots]
                press = upper
            elif isinstance(mount, DirectMount):
                holes = {name: piece.by_id[name].shape.hole for name, _ in spots}
                at = [(*hole.start[:2], upper) for hole in holes.values() if hole]
                names = tuple(holes)
                for name, spot in zip(names, at, strict=True):
                    number += 1
                    yield Screw(
                        part=part,
                        number=number,
                        hole=name,
                        at=spot,
                        way=DOWN,
                        flange=mount.head,
                        thread=mount.thread,
                        reach=mount.screw_length,
                        length=mount.screw_length,
                        head=HeadForm.FLAT,
                    )
            else:
                return
            yield Sprung(
                part=part,
                room=f"{part}.{step.name}",
                at=tuple(at),
                reach=mount.screw_length,
                press=press,
                holes=names,
                thread=mount.thread,
                bite=lower,
                travel=self.travel,
                free=mount.spring_free,
                flat=mount.spring_flat,
            )

    def _screwed(self, part: str) -> Iterator[tuple[Step, list[tuple[str, Point]]]]:
        """Of each case the solid that its height screws go through, with each screw's id and its
        (u, v)."""
        count, mount = 0, self.mount
        own = mount.screws if isinstance(mount, (DirectMount, GuardMount)) else self.screws
        for case, steps in zip(self.cases, self.steps, strict=True):
            spots = [(case.u + u, case.v + v) for u, v in own]
            yield steps[-1], [(f"{part}.hold.{count + k}", s) for k, s in enumerate(spots, 1)]
            count += len(spots)

    def _sensed(self) -> Iterator[tuple[Case, tuple[Point, ...]]]:
        """Each row of each case with the (u, v) of what it senses: one a string, or a blade's two
        ends."""
        step = self.pole_spacing / (self.poles - 1)
        for case in self.cases:
            half = step * (case.poles - 1) / 2.0
            spots = [case.v - half + step * i for i in range(case.poles)]
            if self.blade is not None:
                half += (self.blade.length - self.pole_spacing) / 2.0
                spots = [case.v - half, case.v + half]
            for u in self.rows:
                yield case, tuple((case.u + u, v) for v in spots)

    def _poles(self) -> Iterator[Profile]:
        """What stands over the case: each pole piece, each pair of them, or each blade."""
        for _, row in self._sensed():
            if self.blade is not None:
                (u, v0), (_, v1) = row
                yield rectangle(self.blade.width, v1 - v0, 0.0, u, (v0 + v1) / 2.0)
            elif self.pole_pair > 0.0:
                yield from (slot(self.pole_pair + POLE, POLE, *spot, 90.0) for spot in row)
            else:
                yield from (circle(POLE, *spot) for spot in row)


def _screws(part: str, rim: Rim) -> tuple[str, ...]:
    """Ids of the pilots of a rim's screws."""
    return tuple(f"{part}.screw.{k}" for k in range(1, len(rim.screws) + 1))


def _deep(depth: Depth, place: Place, thickness: float, name: str) -> float:
    """How deep a cut goes from the plain front, where its depth is told from the face there."""
    found = depth.below(thickness, name)
    if depth.leave is not None:
        return found
    return number(f"the depth of {name}", place.below(found), 0.0, thickness)
