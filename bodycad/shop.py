"""The shop: limits with their sources, cutters and drills on hand, finish film."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Annotated

from bodycad.declare import Among, Count, Name, Text, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.guides import BEARING_BITS, BUSHES, SHEETS, BearingBit, GuideBush
from bodycad.pace import Pace
from bodycad.units import inch
from bodycad.words import EdgeForm

PRACTICE = "common practice, no source"
SHORT = (
    "half of what the strings' pull needs, for a knock is short: the NDS doubles what wood holds "
    "under impact (load duration factor 2.0, from memory)"
)


@dataclass(frozen=True)
@declared()
class Limit:
    """A figure under (or over) which a finding fails, and one under (or over) which it warns.

    `source`: where it comes from. `most`: True when the value must stay below the limit, False when
    it must stay above. `name`: its name in the shop, which is also the code of the findings that it
    judges; the shop sets it. Raises InputError for anything but numbers and a source, and for a
    warning on the wrong side of the failure."""

    fail: Annotated[float, between(-1e4, 1e4)]
    warn: Annotated[float, between(-1e4, 1e4)]
    source: Text = PRACTICE
    most: bool = False
    name: Name = ""

    def __post_init__(self) -> None:
        if (self.warn > self.fail) if self.most else (self.warn < self.fail):
            side = "at most" if self.most else "at least"
            thing = "a warning limit"
            raise InputError(thing, self.warn, f"{side} the failing limit {self.fail:g}")


LIMITS: Mapping[str, Limit] = MappingProxyType(
    {
        name: replace(limit, name=name)
        for name, limit in {
            "outline.length": Limit(150.0, 150.0),
            "outline.length.most": Limit(900.0, 900.0, most=True),
            "outline.width": Limit(90.0, 90.0),
            "outline.width.most": Limit(700.0, 700.0, most=True),
            "outline.holds": Limit(50.0, 50.0),
            "floor": Limit(3.0, 5.0),
            "floor.sheet": Limit(0.8, 1.0),
            "floor.pocket": Limit(8.0, 10.0),
            "wall": Limit(3.0, 5.0),
            "wall.sheet": Limit(1.5, 2.0),
            "edge": Limit(5.0, 8.0),
            "edge.sheet": Limit(1.0, 1.5),
            "edge.contour": Limit(3.0, 5.0),
            "mitre": Limit(0.0, 0.0),
            "mitre.angle": Limit(1.0, 1.0, most=True),
            "breakout": Limit(0.0, 0.0),
            "contour-end": Limit(0.2, 0.1, most=True),
            "contour-end.wood": Limit(5.0, 8.0),
            "contour-end.wood.sheet": Limit(0.8, 1.0),
            "bolt-seat": Limit(0.0, 0.5),
            "bolt-seat.wood": Limit(6.0, 9.0),
            "bolt-seat.wall": Limit(3.0, 4.0),
            "bolt-seat.tilt": Limit(2.0, 1.0, most=True),
            "bolt-seat.proud": Limit(0.0, 0.0),
            "heel-hand": Limit(75.0, 60.0, most=True),
            "bolt-grip": Limit(12.0, 14.0),
            "bolt-grip.insert": Limit(
                1.0,
                1.5,
                "a nut's height of thread, about one diameter, in steel; 1.5 in brass (from "
                "memory), common practice",
            ),
            "bolt-grip.bottom": Limit(0.0, 1.0),
            "bolt-grip.free": Limit(0.1, 0.3),
            "bolt-tip": Limit(1.0, 2.0),
            "bolt-tip.rod": Limit(1.5, 2.5),
            "bolt-edge": Limit(3.0, 4.0),
            "bolt-edge.diameters": Limit(
                1.5,
                2.5,
                "NDS commentary's spacing of wood screws: 2.5 diameters to an edge, 1.5 where the "
                "hole is prebored (from memory)",
            ),
            "bolt-edge.insert": Limit(
                1.0,
                1.5,
                "NDS: bolts and lag screws 1.5 diameters from an edge (from memory); 1.0 to fail "
                "is common practice, no source",
            ),
            "pocket-fit.least": Limit(0.0, 0.05),
            "pocket-fit.most": Limit(0.5, 0.3, most=True),
            "pocket-fit.most.glue": Limit(
                0.4,
                0.25,
                "0.1 to 0.15 mm of glue a side (from memory), common practice",
                most=True,
            ),
            "pocket-fit.wall": Limit(4.0, 5.5),
            "pocket-fit.tongue": Limit(3.0, 5.0),
            "neck-place.along": Limit(1.0, 0.5, most=True),
            "neck-place.heel": Limit(0.7, 0.35, most=True),
            "neck-place.nut": Limit(2.0, 1.0, most=True),
            "neck-place.end": Limit(1.5, 0.8, most=True),
            "neck-place.size": Limit(0.5, 0.25, most=True),
            "neck-place.fitted": Limit(3.0, 1.5, most=True),
            "neck-core.joint": Limit(0.5, 0.25, most=True),
            "neck-core.width": Limit(0.0, 1.0),
            "neck-core.along": Limit(1.0, 0.5, most=True),
            "neck-core.aside": Limit(0.7, 0.35, most=True),
            "neck-core.board": Limit(0.5, 0.25, most=True),
            "neck-core.end": Limit(0.0, 1.0),
            "neck-core.glue": Limit(50.0, 70.0),
            "neck-core.load": Limit(
                1.6,
                3.1,
                "3.1 is the average strength over ASTM D245's 2.3 for bending in hardwoods, taken "
                "off the 5th percentile (both from memory); half of it to fail is common practice, "
                "no source",
            ),
            "board-air": Limit(0.0, 0.3),
            "board-air.core": Limit(0.0, 0.0, "the fretboard is glued to the core it lies on"),
            "board-air.part": Limit(0.3, 0.8),
            "stack": Limit(0.0, 0.5),
            "saddle-window": Limit(0.0, 1.5),
            "string-margin": Limit(2.5, 3.0),
            "string-margin.difference": Limit(1.0, 0.5, most=True),
            "pole-offset": Limit(2.5, 1.5, most=True),
            "pole-offset.bar": Limit(0.0, 1.0),
            "string-clearance": Limit(0.8, 1.2),
            "string-clearance.most": Limit(10.0, 6.0, most=True),
            "pickup-room.side": Limit(0.0, 0.5),
            "pickup-room.depth": Limit(0.0, 2.0),
            "pickup-room.neck": Limit(0.5, 1.0),
            "pickup-mount.rim": Limit(0.0, 0.5),
            "pickup-mount.bite": Limit(5.0, 7.0),
            "pickup-mount.pilot": Limit(-1.0, 0.0),
            "pickup-mount.reach": Limit(0.0, 1.0),
            "pickup-mount.flat": Limit(0.0, 0.5),
            "pickup-mount.slack": Limit(0.0, 1.0),
            "pickup-mount.hole": Limit(0.0, 0.1),
            "pickup-mount.sheet": Limit(0.5, 0.25, most=True),
            "ring-cover": Limit(1.5, 2.5),
            "ring-cover.screw": Limit(3.0, 4.0),
            "string-holes.pitch": Limit(0.3, 0.2, most=True),
            "string-holes.way": Limit(1.0, 0.5, most=True),
            "string-holes.drift": Limit(0.5, 0.4, most=True),
            "string-holes.wood": Limit(12.0, 15.0),
            "string-holes.proud": Limit(-0.3, -0.1),
            "ferrule-wall": Limit(2.0, 2.5),
            "string-path.break": Limit(3.0, 6.0),
            "string-path.aside": Limit(6.0, 3.0, most=True),
            "string-path.clear": Limit(0.05, 0.3),
            "string-path.hole": Limit(0.2, 0.4),
            "string-path.apart": Limit(0.05, 0.2),
            "control-clamp": Limit(0.0, 1.0),
            "control-clamp.play": Limit(0.0, 0.05),
            "control-clamp.play.most": Limit(1.5, 1.0, most=True),
            "control-clamp.seat": Limit(0.0, 0.5),
            "control-clamp.askew": Limit(1.5, 0.8, most=True),
            "control-clamp.sheet": Limit(0.5, 0.25, most=True),
            "control-clamp.screw": Limit(0.0, 1.0),
            "control-clamp.screw.play": Limit(0.1, 0.2),
            "control-room.depth": Limit(0.0, 2.0),
            "control-room.out": Limit(0.0, 0.0),
            "control-room.side": Limit(1.0, 2.0),
            "jack-path.plug": Limit(0.0, 3.0),
            "jack-path.wood": Limit(0.0, 0.5),
            "jack-path.plate": Limit(1.0, 0.5, most=True),
            "jack-path.nut": Limit(0.0, 1.0),
            "jack-path.grip": Limit(0.0, 2.0),
            "wire-path.open": Limit(90.0, 99.0),
            "wire-path.shank": Limit(0.0, 0.5),
            "wire-path.reach": Limit(0.0, 10.0),
            "wire-path.bundle": Limit(0.0, 0.5),
            "wire-path.shared": Limit(
                100.0,
                70.0,
                "seven equal round bundles fill 78 % of a hole, three 65 % (circle packing, from "
                "memory); more must be squeezed: common practice, no source",
                most=True,
            ),
            "ground-path": Limit(0.0, 1.0),
            "cover-fit.gap": Limit(0.05, 0.1),
            "cover-fit.gap.most": Limit(0.5, 0.35, most=True),
            "cover-fit.gap.finished": Limit(0.0, 0.05),
            "cover-fit.ledge": Limit(2.5, 3.5),
            "cover-fit.boss": Limit(7.0, 8.0),
            "piece-fit.room": Limit(1e-6, 1e-6, "the same numbers, but for rounding", most=True),
            "piece-fit.screw": Limit(0.0, 0.1),
            "piece-fit.head": Limit(0.0, 0.3),
            "piece-fit.proud": Limit(0.0, 0.0),
            "piece-fit.centre": Limit(0.2, 0.1, most=True),
            "piece-fit.window": Limit(0.0, 0.25),
            "cutter-corner": Limit(0.0, 0.0),
            "cutter-reach": Limit(0.0, 2.0),
            "complete": Limit(0.0, 0.0),
            "assembly.wood": Limit(-0.1, -0.05),
            "assembly.rest": Limit(1.0, 0.5, most=True),
            "assembly.sunk": Limit(-0.1, -0.05),
            "assembly.parts": Limit(-0.1, -0.05),
            "assembly.neck": Limit(1.0, 0.5, most=True),
            "assembly.screw": Limit(1.0, 2.0),
            "assembly.string": Limit(0.0, 0.5),
            "assembly.saddle": Limit(1.0, 0.5, most=True),
            "assembly.pole": Limit(0.0, 0.0),
            "assembly.step": Limit(0.5, 0.2, most=True),
            "assembly.fin": Limit(1.0, 2.0),
            "joint-load": Limit(
                2.75,
                5.5,
                "5.5 is the Wood Handbook's ultimate over the NDS allowable withdrawal (15,700 and "
                "2850 G^2 D); half of it to fail is common practice, no source",
            ),
            "joint-load.crush": Limit(1.0, 1.5),
            "joint-load.push": Limit(1.4, 2.75, SHORT),
            "joint-load.twist": Limit(1.4, 2.75, SHORT),
            "joint-load.side.open": Limit(
                1.0,
                1.5,
                "the screws' proportional limit sideways (Wood Handbook, K D^2, from memory): a "
                "pocket that is open on one side has no wall there that holds too",
            ),
            "joint-load.side": Limit(
                0.5,
                1.0,
                "the screws' proportional limit sideways (Wood Handbook, K D^2, from memory); half "
                "of it to fail, for the pocket's walls hold too: common practice, no source",
            ),
            "joint-load.driver": Limit(
                0.12,
                0.24,
                "a fortieth and a twentieth of what a hand reaches with a screwdriver, 4.86 N m "
                "(Ergonomics 50, 2007, 1404): less is not felt (common practice, no source)",
            ),
            "joint-load.pilot": Limit(
                0.9,
                0.8,
                "strength falls sharply once the hole exceeds the root (J. Soc. Mat. Sci. Jpn 28, "
                "1979, 617); root 2/3 (cut) to 4/5 (rolled, from memory) of the thread",
                most=True,
            ),
            "joint-load.pilot.insert": Limit(0.95, 0.9, most=True),
            "joint-load.glue": Limit(
                2.9,
                5.8,
                "5.8 is the average strength over ASTM D245's 4.5 for shear in hardwoods, taken "
                "off the 5th percentile (both from memory); half of it to fail is common practice, "
                "no source",
            ),
            "joint-load.glue.knock": Limit(1.45, 2.9, SHORT),
            "pocket-fit.season": Limit(0.0, 0.0),
            "cover-fit.season": Limit(0.0, 0.0),
            "ferrule-wall.season": Limit(0.2, 0.1, most=True),
            "land": Limit(0.0, 1.0),
            "land.off": Limit(2.0, 1.0, most=True),
            "land.arch": Limit(1.0, 0.5, most=True),
            "pilot-tip": Limit(3.0, 5.0),
            "pilot-tip.edge": Limit(3.0, 4.0),
            "drill-reach": Limit(0.0, 5.0),
            "drill-reach.ratio": Limit(15.0, 10.0, most=True),
            "drill-reach.shank": Limit(0.0, 0.5),
            "drill-reach.chuck": Limit(0.0, 10.0),
            "post-web": Limit(6.0, 10.0),
            "control-reach.string": Limit(12.0, 20.0),
            "control-reach.edge": Limit(8.0, 12.0),
            "rod-reach": Limit(0.3, 1.0),
            "rod-reach.part": Limit(0.5, 1.5),
            "vibrato-swing": Limit(0.0, 2.0),
            "vibrato-swing.back": Limit(0.0, 1.5),
            "glue-joint": Limit(0.0, 0.0),
            "stock": Limit(0.0, 6.0),
            "stock.pin": Limit(3.0, 5.0),
            "stock.pin.cutter": Limit(0.0, 2.0),
            "stock.pins": Limit(0.3, 1.0),
            "stock.thickness": Limit(0.3, 0.15, most=True),
            "size-claim": Limit(3.0, 0.3, most=True),
            "cut-order.pin": Limit(6.0, 10.0),
            "balance.share": Limit(100.0, 70.0, most=True),
            "balance.strap": Limit(0.0, 10.0),
        }.items()
    }
)
"""Limits by check name, or `check.figure` where one check judges several figures; mm unless the
check's page says otherwise. All are starting values to be replaced by the shop's own."""


@dataclass(frozen=True)
@declared()
class Cutter:
    """A router cutter: diameter and the greatest depth it reaches below the face, mm."""

    diameter: Annotated[float, mm(0.5, 100.0)]
    reach: Annotated[float, mm(1.0, 1000.0)]


SAME = 0.15
"""A drill within this of a hole's diameter makes it, mm (common practice, no source)."""
ROUNDED = EdgeForm.ROUNDOVER, EdgeForm.COVE, EdgeForm.CHAMFER
"""What a bit with a bearing cuts along an edge."""
FLAT = 180.0
"""Point angle of a bit that leaves a flat floor (flat, brad-point, saw-tooth), degrees."""
TWIST = 118.0
"""Point angle of a twist drill, degrees (from memory)."""


@dataclass(frozen=True)
@declared()
class Drill:
    """A drill on hand: diameter and the greatest depth that its point reaches below the face, mm.

    point_deg: the angle of its point, `TWIST` or another, `FLAT` for a bit that leaves a flat
    floor, whose spur is left out."""

    diameter: Annotated[float, mm(0.3, 100.0)]
    reach: Annotated[float, mm(1.0, 2000.0)]
    point_deg: Annotated[float, between(60.0, FLAT, "degrees")] = TWIST

    @property
    def point(self) -> float:
        """How far the point stands before the full diameter, mm."""
        return self.diameter / 2.0 / math.tan(math.radians(self.point_deg / 2.0))


@dataclass(frozen=True)
@declared()
class EdgeBit:
    """A router bit whose bearing follows the side: its form, its size (the radius, or the greatest
    width of a chamfer) and the bearing's diameter, mm."""

    form: Annotated[EdgeForm, Among(ROUNDED)]
    size: Annotated[float, mm(0.3, 60.0)]
    bearing: Annotated[float, mm(1.0, 60.0)] = 9.5


def _twists() -> Iterator[Drill]:
    """Whole and half millimetres from 1 to 13; sixteenths of an inch to 1/2 and the 7/64 of a no. 8
    pilot, which hardware is made for; as deep as the flutes of the long series go (ISO 494, from
    memory)."""
    flutes = {1: 33, 1.5: 45, 2: 56, 2.5: 62, 3: 66, 3.2: 69, 3.5: 73, 4: 78, 4.5: 82, 5: 87, 6: 91}
    flutes |= {6.5: 97, 7.5: 102, 8.5: 109, 9.5: 115, 10.5: 121, 11.5: 128, 13: 134}
    inches = inch("7/64"), *(inch(k / 16.0) for k in range(1, 9))
    for size in sorted([*(k / 2.0 for k in range(2, 27)), *inches]):
        yield Drill(size, float(min(deep for most, deep in flutes.items() if size <= most)))


def _flats() -> Iterator[Drill]:
    """Brad-point bits to 13 mm, flat and saw-tooth bits above, 150 mm long (common practice, no
    source)."""
    yield from (Drill(float(k), 40.0 if k <= 5 else 70.0, FLAT) for k in range(3, 14))
    above = [*range(14, 27), 28, 30, 32, 35, 38, 40, inch("7/8"), inch(1)]
    yield from (Drill(float(size), 110.0, FLAT) for size in above)


DRILLS: tuple[Drill, ...] = (
    *_twists(),
    *(Drill(inch("7/64"), 300.0), Drill(3.2, 150.0), Drill(6.35, 300.0)),
    *_flats(),
)
"""What a shop has that names no drills of its own: sets of twist drills and flat bits, two long
drills for wires, and one for the screws of a spring claw (common practice, no source)."""
BITS: tuple[EdgeBit, ...] = tuple(
    EdgeBit(form, size)
    for form, sizes in (
        (EdgeForm.ROUNDOVER, (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 6.35, 8.0, 9.5, 10.0, 12.0, 12.7)),
        (EdgeForm.COVE, (3.0, 4.0, 6.0, 6.35, 8.0, 9.5, 10.0, 12.7)),
        (EdgeForm.CHAMFER, (12.0,)),
    )
    for size in sizes
)
"""What a shop has that names no edge bits of its own, with 9.5 mm bearings (common practice, no
source)."""


Within = Annotated[float, mm(0.0, 5.0)]
"""How far the shop's own work may be off."""
Humid = Annotated[float, between(0.0, 95.0, "%")]
Sheet = Annotated[float, mm(2.0, 60.0)]


@dataclass(frozen=True)
@declared("the shop")
class Shop:
    """What the maker works with and to. `limits` overrides LIMITS name by name.

    `finish` is the film a face gains in mm; `wander_deg` the tilt a long drill may take;
    `drill_reach` the longest drill for wires, `chuck` the chuck's diameter, mm. `drills`, `bits`:
    those on hand, `DRILLS` and `BITS` where none are named. `humidity`: the driest and the
    dampest air the instrument will live in, percent, at `temperature` C. `measured_stock`:
    thickness of the planed blank as measured, mm. `pass_depth`: how deep a router cuts at once, as
    a share of its cutter's diameter (half of it: common practice, no source). `pace`: how fast the
    shop works.

    What guides the hand router along a template: `bushes`, `bearing_bits`, the sheets that the
    templates are made of (`template_thickness`, the first choice first), and the diameter of the
    router's base (`router_base`), mm: common practice, no source.

    What the shop's own work may be off, each way (`bodycad check --chance`): `template_repeat`, in
    x and in y, of all that is cut with one setting of a template or a fixture (one placed part),
    mm; `depth_stop`, of every depth, mm; `thickness_tolerance`, of the planed stock, mm;
    `contour_tolerance`, of every shaped surface, in x, in y and in depth, mm: 0.5 carved by hand to
    lines and a template, about 0.1 by a machine; `wander_deg`, of every hole. Common practice, no
    source.

    What a neck joint is asked to hold besides its strings (`joint-load`): `neck_push`, a push or a
    fall on the headstock, N toward the back at the nut; `neck_twist`, the same at the edge of a
    headstock (150 N, 100 mm off the centreline), N m about the neck's length; `neck_side`, a hand's
    push aside, N at the nut (a harder knock is for the pocket's walls). Assumed: common practice,
    no source. Raises InputError that names what cannot be."""

    limits: Mapping[Name, Limit] = field(default_factory=dict)
    cutters: Annotated[tuple[Cutter, ...], Count(1, 200)] = (
        Cutter(6.35, 32.0),
        Cutter(9.5, 38.0),
        Cutter(12.7, 51.0),
    )
    finish: Annotated[float, mm(0.0, 2.0)] = 0.12
    wander_deg: Annotated[float, between(0.0, 5.0, "degrees")] = 0.4
    drill_reach: Annotated[float, mm(10.0, 2000.0)] = 300.0
    chuck: Annotated[float, mm(5.0, 200.0)] = 40.0
    drills: Annotated[tuple[Drill, ...], Count(1, 1000)] = DRILLS
    bits: Annotated[tuple[EdgeBit, ...], Count(0, 1000)] = BITS
    humidity: tuple[Humid, Humid] = (35.0, 65.0)
    temperature: Annotated[float, between(-1.2, 43.4, "C")] = 21.0
    measured_stock: Annotated[float, mm(5.0, 200.0)] | None = None
    template_repeat: Within = 0.15
    depth_stop: Within = 0.2
    thickness_tolerance: Within = 0.2
    contour_tolerance: Within = 0.5
    neck_push: Annotated[float, between(0.0, 5000.0, "N")] = 150.0
    neck_side: Annotated[float, between(0.0, 5000.0, "N")] = 50.0
    neck_twist: Annotated[float, between(0.0, 500.0, "N m")] = 15.0
    pass_depth: Annotated[float, between(0.05, 2.0)] = 0.5
    pace: Pace = field(default_factory=Pace)
    bushes: Annotated[tuple[GuideBush, ...], Count(0, 200)] = BUSHES
    bearing_bits: Annotated[tuple[BearingBit, ...], Count(0, 200)] = BEARING_BITS
    template_thickness: Annotated[tuple[Sheet, ...], Count(1, 20)] = SHEETS
    router_base: Annotated[float, mm(30.0, 500.0)] = 150.0

    def __post_init__(self) -> None:
        for name, limit in self.limits.items():
            if name not in LIMITS:
                near = difflib.get_close_matches(str(name), LIMITS, n=1)
                remedy = f"did you mean {near[0]}?" if near else ""
                raise InputError("a shop limit's name", name, ", ".join(LIMITS), remedy)
            if limit.most != LIMITS[name].most:
                thing = f"the sense of the shop limit {name}"
                raise InputError(thing, limit.most, f"most={LIMITS[name].most}")
        dry, damp = self.humidity
        number("the dampest air in percent", damp, dry, 95.0)

    @cached_property
    def _named(self) -> Mapping[str, Limit]:
        return {**LIMITS, **{n: replace(limit, name=n) for n, limit in self.limits.items()}}

    def limit(self, name: str) -> Limit:
        """The limit in force, by its name in LIMITS."""
        return self._named[name]

    def drill_for(self, diameter: float, depth: float = 0.0, flat: bool = False) -> Drill | None:
        """The drill on hand that makes a hole of `diameter`: of those that are `depth` deep at
        their full diameter the one nearest in size, a pointed one before a flat one, else the
        longest. flat: only one that leaves a flat floor. None where the shop has none."""
        able = [d for d in self.drills if abs(d.diameter - diameter) <= SAME + 1e-9]
        able = [d for d in able if d.point_deg == FLAT or not flat]
        reaching = [d for d in able if d.reach >= depth + d.point]
        if reaching:
            return min(reaching, key=lambda d: (abs(d.diameter - diameter), d.point_deg, d.reach))
        return max(able, key=lambda d: d.reach, default=None)
