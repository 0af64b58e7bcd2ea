"""The shop: limits with their sources, cutters and drills on hand, finish film."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Annotated

from bodycad.declare import Count, Name, Text, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.guides import BEARING_BITS, BUSHES, SHEETS, BearingBit, DrillBush, GuideBush
from bodycad.pace import Pace
from bodycad.tools import BITS, CUTTERS, DRILLS, FLAT, SAME, Cutter, Drill, EdgeBit
from bodycad.words import EdgeForm, Nose, Paper, Zero

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
            "bolt-seat.proud.plate": Limit(-0.5, -0.3),
            "heel-hand": Limit(75.0, 60.0, most=True),
            "heel-hand.fingers": Limit(
                25.0,
                35.0,
                "a hand is 24 to 38 mm thick at its knuckles (Pheasant, Bodyspace, from memory)",
            ),
            "heel-hand.thumb": Limit(
                17.0,
                26.0,
                "a thumb is 17 to 26 mm broad (Pheasant, Bodyspace, from memory)",
            ),
            "bolt-grip": Limit(12.0, 14.0),
            "bolt-grip.insert": Limit(
                1.0,
                1.5,
                "a nut's height of thread, about one diameter, in steel; 1.5 in brass (from "
                "memory), common practice",
            ),
            "bolt-grip.flush": Limit(0.0, 0.5),
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
            "neck-place.board": Limit(3.0, 1.5, most=True),
            "neck-place.taper": Limit(-0.5, 0.0),
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
            "string-margin.nut": Limit(1.5, 2.0),
            "string-margin.apart": Limit(3.5, 4.5),
            "string-stress": Limit(
                100.0,
                85.0,
                "music wire breaks at 2211 / d^0.145 MPa at least (ASTM A228: Shigley's Mechanical "
                "Engineering Design, table 10-4, from memory); 85 is common practice, no source",
                most=True,
            ),
            "string-stress.slack": Limit(10.0, 25.0),
            "pole-offset": Limit(2.5, 1.5, most=True),
            "pole-offset.bar": Limit(0.0, 1.0),
            "pickup-place": Limit(5.0, 10.0),
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
            "jack-path.strap": Limit(25.0, 25.0),
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
            "fixing": Limit(2.0, 2.0),
            "fixing.far": Limit(130.0, 80.0, most=True),
            "fixing.pull": Limit(
                0.5,
                1.0,
                "the screws' proportional limit sideways (Wood Handbook, K D^2, from memory); half "
                "of it to fail, for friction holds too: common practice, no source",
            ),
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
            "land.rim": Limit(0.5, 1.0),
            "land.arch": Limit(1.0, 0.5, most=True),
            "pilot-tip": Limit(3.0, 5.0),
            "pilot-tip.edge": Limit(3.0, 4.0),
            "screw-grip": Limit(5.0, 7.0),
            "screw-grip.thread": Limit(0.0, 1.0),
            "drill-reach": Limit(0.0, 5.0),
            "drill-reach.ratio": Limit(15.0, 10.0, most=True),
            "drill-reach.play": Limit(0.0, 0.0, "what is thicker than its hole does not go in"),
            "drill-reach.press": Limit(0.12, 0.06, most=True),
            "drill-reach.point": Limit(3.0, 5.0),
            "drill-reach.point.sheet": Limit(0.8, 1.0),
            "drill-reach.shank": Limit(0.0, 0.5),
            "drill-reach.chuck": Limit(0.0, 10.0),
            "post-web": Limit(6.0, 10.0),
            "post-web.crush": Limit(1.0, 1.5),
            "control-reach.string": Limit(12.0, 20.0),
            "control-reach.edge": Limit(8.0, 12.0),
            "control-reach.apart": Limit(1.0, 8.0),
            "rod-reach": Limit(0.3, 1.0),
            "rod-reach.part": Limit(0.5, 1.5),
            "vibrato-swing": Limit(0.0, 2.0),
            "vibrato-swing.back": Limit(0.0, 1.5),
            "vibrato-swing.holes": Limit(0.0, 1.0),
            "glue-joint": Limit(0.0, 0.0),
            "glue-joint.board": Limit(2.0, 10.0),
            "stock": Limit(0.0, 6.0),
            "stock.pin": Limit(3.0, 5.0),
            "stock.pin.cutter": Limit(0.0, 2.0),
            "stock.pins": Limit(0.3, 1.0),
            "stock.thickness": Limit(0.3, 0.15, most=True),
            "size-claim": Limit(3.0, 0.3, most=True),
            "cut-order.pin": Limit(6.0, 10.0),
            "balance.span": Limit(150.0, 250.0),
            "balance.share": Limit(100.0, 70.0, most=True),
            "balance.strap": Limit(0.0, 10.0),
            "simulation.left": Limit(0.1, 0.05, most=True),
            "simulation.gouge": Limit(0.1, 0.05, most=True),
            "simulation.pins": Limit(0.1, 0.05, most=True),
        }.items()
    }
)
"""Limits by check name, or `check.figure` where one check judges several figures; mm unless the
check's page says otherwise. All are starting values to be replaced by the shop's own."""


PAPERS = Paper.ROLL, Paper.A4, Paper.LETTER
"""What a shop prints on that names no papers of its own."""


Within = Annotated[float, mm(0.0, 5.0)]
"""How far the shop's own work may be off."""
Humid = Annotated[float, between(0.0, 95.0, "%")]
Sheet = Annotated[float, mm(2.0, 60.0)]


@dataclass(frozen=True)
@declared("the shop")
class Shop:
    """What the maker works with and to. `limits` overrides LIMITS name by name.

    `finish` is the film a face gains in mm; `wander_deg` the tilt a long drill may take; `chuck`
    the chuck's diameter, mm. `drills`, `bits`: those on hand, `DRILLS`
    and `BITS` where none are named. `humidity`: the driest and the dampest air the instrument will
    live in, percent, at `temperature` C. `measured_stock`: thickness of the planed blank as
    measured, mm. `pass_depth`: how deep a router cuts at once, as a share of its cutter's diameter
    (half of it: common practice, no source). `pace`: how fast the shop works.

    What guides the hand router along a template: `bushes`, `bearing_bits`, the sheets that the
    templates are made of (`template_thickness`, the first choice first), and the diameter of the
    router's base (`router_base`), mm: common practice, no source. `drill_bushes`: those for
    drilling fixtures, whose holes are of the drill's own size where there are none.

    For cutting programs: `tabs` hold a piece in its blank while its outline is cut, each
    `tab_width` mm long and `tab_height` mm high (common practice, no source); `zero`, where x = 0,
    y = 0 lies; `grid`, how far apart the heights of a shaped face stand, mm.

    `papers`: what a build prints full-size drawings on ("roll", "a4", "a3", "letter", "tabloid");
    `roll`: the width of the roll, mm (610: 24 in, as copy shops have; common practice, no source).

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
    cutters: Annotated[tuple[Cutter, ...], Count(1, 200)] = CUTTERS
    finish: Annotated[float, mm(0.0, 2.0)] = 0.12
    wander_deg: Annotated[float, between(0.0, 5.0, "degrees")] = 0.4
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
    tabs: Annotated[int, between(0, 20)] = 4
    tab_width: Annotated[float, mm(2.0, 40.0)] = 8.0
    tab_height: Annotated[float, mm(0.5, 20.0)] = 4.0
    zero: Zero = Zero.DATUM
    grid: Annotated[float, mm(0.1, 5.0)] = 0.5
    pass_depth: Annotated[float, between(0.05, 2.0)] = 0.5
    pace: Pace = field(default_factory=Pace)
    bushes: Annotated[tuple[GuideBush, ...], Count(0, 200)] = BUSHES
    bearing_bits: Annotated[tuple[BearingBit, ...], Count(0, 200)] = BEARING_BITS
    template_thickness: Annotated[tuple[Sheet, ...], Count(1, 20)] = SHEETS
    router_base: Annotated[float, mm(30.0, 500.0)] = 150.0
    drill_bushes: Annotated[tuple[DrillBush, ...], Count(0, 200)] = ()
    papers: Annotated[tuple[Paper, ...], Count(0, len(Paper))] = PAPERS
    roll: Annotated[float, mm(200.0, 2000.0)] = 610.0

    def __post_init__(self) -> None:
        for name, limit in self.limits.items():
            if name not in LIMITS:
                near = difflib.get_close_matches(str(name), LIMITS, n=1)
                remedy = f"did you mean {near[0]}?" if near else ""
                raise InputError("a shop limit's name", name, ", ".join(LIMITS), remedy)
            if limit.most != LIMITS[name].most:
                thing = f"the sense of the shop limit {name}"
                raise InputError(thing, limit.most, f"most={LIMITS[name].most}")
        if not self.flat_cutters:
            thing, allowed = "the shop's cutters", "at least one with a flat nose"
            raise InputError(thing, "ball noses alone", allowed, "add a Cutter(12.7, 51.0)")
        if len(set(self.papers)) < len(self.papers):
            raise InputError("the shop's papers", ", ".join(self.papers), "each of them once")
        dry, damp = self.humidity
        number("the dampest air in percent", damp, dry, 95.0)

    @cached_property
    def _named(self) -> Mapping[str, Limit]:
        return {**LIMITS, **{n: replace(limit, name=n) for n, limit in self.limits.items()}}

    def limit(self, name: str) -> Limit:
        """The limit in force, by its name in LIMITS."""
        return self._named[name]

    @cached_property
    def flat_cutters(self) -> tuple[Cutter, ...]:
        """The cutters that leave a flat floor and upright walls down to it."""
        return tuple(cutter for cutter in self.cutters if cutter.nose is Nose.FLAT)

    @cached_property
    def ball_cutters(self) -> tuple[Cutter, ...]:
        """The cutters that follow a shaped face."""
        return tuple(cutter for cutter in self.cutters if cutter.nose is Nose.BALL)

    def bits_for(self, form: EdgeForm, size: float) -> tuple[EdgeBit, ...]:
        """The bits on hand that cut an edge of `form` and `size` mm in one pass, the nearest in
        size first: a chamfer by any bit that is wide enough."""
        most = form is EdgeForm.CHAMFER
        own = [bit for bit in self.bits if bit.form is form]
        fits = [b for b in own if abs(b.size - size) <= SAME or (most and b.size > size)]
        return tuple(sorted(fits, key=lambda b: (abs(b.size - size), b.bearing)))

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

    def drill_bush(self, diameter: float) -> DrillBush | None:
        """The bush on hand that guides a drill of `diameter`, the closest; None where none does."""
        able = [one for one in self.drill_bushes if -1e-9 <= one.bore - diameter <= SAME]
        return min(able, key=lambda one: (one.bore, one.outside), default=None)
