"""`drill-reach`, `control-reach`: reach of drills and hands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from bodycad.checks.finding import Finding, Witness, advise, failed, judge, judge_gap, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each, piece_limit
from bodycad.checks.wood.ends import ends_in_air
from bodycad.checks.wood.pointed import point_wood
from bodycad.checks.wood.shank import in_a_wall, on_hand, out_of_chuck, shank
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.plan import chain_gap, inside_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import boxes_apart
from bodycad.layout.blank import Pin
from bodycad.layout.entry import entry, under_face
from bodycad.layout.interface import Bush, Screw, StringHole, Sweep
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.safety import Danger
from bodycad.shop import Shop
from bodycad.tools import FLAT, SAME, Drill
from bodycad.words import SIDES, Face, Operation, RoomKind, SweepKind

TIGHT = 0.06
"""What is drawn no more than this (mm) narrower than its hole is pressed in (common practice, no
source)."""
ASIDE = 40.0
"""Controls farther from each other than this are not listed, mm."""
DRILL_PAGE = Page(
    asks="Does a drill on hand make every hole, those of the datum pins too, and reach its "
    "bottom, flat where something seats on it, and how deep is the hole for its diameter? Does the "
    "head, ferrule, screw or bush that its record names still go into the hole that this drill "
    "makes, and does what is pressed in still hold there? Where a blind hole is drawn flat, but "
    "only a pointed drill is on hand, how much wood does its point leave?",
    why="A drill that is too short stops at the chuck; a hole deeper than about ten diameters "
    "wanders and packs with chips; a ferrule rocks on the cone of a twist drill. The drill for a "
    f"hole may be {SAME:g} mm narrower than the hole is drawn. A point goes deeper than the flat "
    "end that every other check asks about. Whether a wire's way can be drilled from where it "
    "begins is judged by wire-path; of a pilot in the wall of a cavity, as a claw's screws need, "
    "it is asked here whether the drill's shank clears the far rim, and whether the drill is long "
    "enough for its chuck to clear it.",
    limits=(
        "drill-reach",
        "drill-reach.ratio",
        "drill-reach.play",
        "drill-reach.press",
        "drill-reach.point",
        "drill-reach.point.sheet",
        "drill-reach.shank",
        "drill-reach.chuck",
    ),
    cures="Buy the long drill, drill from both faces off one datum, back out often to clear the "
    "chips, or make the hole shallower. A flat bit leaves the end as it is drawn.",
    dangers=(Danger.DRILL, Danger.DUST),
)
CONTROL_PAGE = Page(
    asks="Is every knob, lever and tip far enough from the outer strings for the hand, far enough "
    "from the body's edge for a sleeve, and far enough from the next for fingers between them?",
    why="A knob under the playing hand is turned by accident; one at the edge is knocked. Knobs "
    "that rub turn each other, and one that fingers do not get round cannot be turned alone.",
    limits=("control-reach.string", "control-reach.edge", "control-reach.apart"),
    cures="Move the control away from the strings, the edge or the next control, or use a smaller "
    "knob.",
)


@dataclass(frozen=True)
class LikeHoles:
    """Like holes of a part in one piece: how deep each is drilled at its full diameter, mm, from
    each face where `both`, and how far under it each begins; flat: something seats on their floor.
    out: how far their drill must stand out of its chuck, mm."""

    voids: tuple[Void, ...]
    diameter: float
    depth: float
    start: float
    both: bool
    flat: bool
    out: float


def like_holes(layout: Layout, piece: Workpiece) -> tuple[LikeHoles, ...]:
    """The holes of a piece, those alike together."""
    seats = {screw.seat for screw in layout.stated(Screw)}
    seats |= {hole.seat for hole in layout.stated(StringHole)}
    groups: dict[tuple[str, float, float, float, bool, bool], list[Void]] = {}
    for void in piece.voids:
        if (shape := void.shape.hole) is not None:
            both = {*SIDES} <= void.opens
            depth = (_depth(void, shape, piece) - shape.tip) / (2.0 if both else 1.0)
            sizes = shape.diameter, depth, under_face(void, piece.thickness)
            size, deep, start = (round(one, 3) for one in sizes)
            key = void.part, size, deep, start, both, void.id in seats
            groups.setdefault(key, []).append(void)
    made = []
    for key, voids in groups.items():
        outs = [out for v in voids if (out := out_of_chuck(v, layout)) is not None]
        made.append(LikeHoles(tuple(voids), *key[1:], max(outs, default=key[2] + key[3])))
    return tuple(made)


def drill_reach(layout: Layout) -> Iterator[Finding]:
    """Each group of like holes of a part against the drill that makes it."""

    def asked(piece: Workpiece, shop: Shop) -> Answers:
        groups = like_holes(layout, piece)
        for one in groups:
            how = " from each face" if one.both else ""
            yield from _drilled(shop, one, how)
        yield from _points(layout, piece, groups)
        yield from _pins(piece, shop)
        return len(groups)

    if not (yield from of_each(layout, asked)):
        yield skip("drill-reach", "this design has no drilled holes")
    yield from _played(layout)
    yield from _pressed(layout)
    for void in layout.voids:
        if in_a_wall(void):
            yield from _from_within(layout, void)


def _goes_in(layout: Layout) -> Iterator[tuple[str, float, str, bool]]:
    """What must go into a hole without biting it: the void, its diameter, what it is, and whether
    it seats there."""
    for screw in layout.stated(Screw):
        name = f"{screw.part} screw {screw.number}"
        if screw.free is not None:
            yield screw.free, float(screw.thread), name, False
        if screw.bites is not None and screw.hole != screw.free:
            yield screw.hole, float(screw.thread), name, False
        if screw.seat is not None:
            yield screw.seat, float(screw.flange), f"the head or ferrule of {name}", True
    for bush in layout.stated(Bush):
        if bush.diameter is not None:
            yield bush.hole, float(bush.diameter), f"the bush of {bush.part}", False


def _played(layout: Layout) -> Iterator[Finding]:
    """What does not go into the hole that the drill on hand makes; of several the widest."""
    limit = layout.shop.limit("drill-reach.play")
    widest = {row[0]: row for row in sorted(_goes_in(layout), key=lambda row: row[1])}
    for name, wide, what, seats in widest.values():
        shape = layout.by_id[name].shape.hole
        if shape is None:
            continue
        drill = layout.shop.drill_for(shape.diameter, shape.shoulder, seats)
        if drill is None or drill.diameter >= shape.diameter:
            continue
        words = f"{what}, {wide:.2f} mm, goes into {name}, drawn {shape.diameter:.2f} mm, which "
        words += f"the drill on hand makes {drill.diameter:.2f} mm wide"
        cure = f"add a drill of {shape.diameter:g} mm to the shop, or make {name} wider"
        found = judge(
            (name, "drill"),
            drill.diameter - wide,
            limit,
            words,
            cure,
            at=(shape.start, shape.end),
        )
        if found.status != "pass":
            yield found


def _pressed(layout: Layout) -> Iterator[Finding]:
    """What is drawn as wide as its hole, and drops out of the one that the drill on hand makes; of
    several that are made alike the first."""
    limit, told = layout.shop.limit("drill-reach.press"), set[tuple[str, float, float]]()
    for room, void in _tight(layout):
        hole = void.shape.hole
        assert hole is not None
        sizes, flat = (layout.shop, hole.diameter, hole.shoulder), hole.tip_deg >= FLAT
        drill = on_hand(*sizes, flat) or on_hand(*sizes)
        if drill is None or (key := (room.part, hole.diameter, drill.diameter)) in told:
            continue
        told.add(key)
        words = f"{room.id} is pressed into {void.id}, drawn {hole.diameter:.2f} mm, which the "
        words += f"drill on hand makes {drill.diameter:.2f} mm wide"
        cure = f"add a drill of {hole.diameter:g} mm to the shop, or glue it in"
        at, wider = (hole.start, hole.end), drill.diameter - hole.diameter
        found = judge((void.id, "press"), wider, limit, words, cure, at=at)
        if found.status != "pass":
            yield found


def _tight(layout: Layout) -> Iterator[tuple[Room, Void]]:
    """Sleeves and bushes, each with the hole of its part that it fills."""
    for room in layout.rooms:
        own = room.shape.hole
        if own is None or room.kind not in (RoomKind.FERRULE, RoomKind.POST):
            continue
        for void in layout.voids:
            hole = void.shape.hole
            if hole is None or void.part != room.part:
                continue
            if max(abs(hole.diameter - own.diameter), hole.off_axis(own.start)) <= TIGHT:
                yield room, void


def _from_within(layout: Layout, void: Void) -> Iterator[Finding]:
    """A pilot in a cavity's wall: its drill comes in over the cavity's far rim."""
    shape = void.shape.hole
    assert shape
    shop, drill = layout.shop, shank(void, shape, layout)
    words = f"the drill for {void.id} clears the wood behind its start by {drill.spare:.2f} mm"
    cure, at = f"tilt {void.id} more, so that its drill leaves the cavity", (drill.at, drill.at)
    limit = shop.limit("drill-reach.shank")
    yield judge((void.id, "shank"), drill.spare, limit, words, cure, at=at)
    if drill.chuck is None:
        words = f"no drill of up to {drill.longest:g} mm brings its chuck clear for {void.id}"
        yield failed("drill-reach.chuck", (void.id, "chuck"), words, cure)
        return
    limit, spare = shop.limit("drill-reach.chuck"), drill.longest - drill.need
    words = f"{void.id} needs a drill {drill.need:.0f} mm long out of the chuck"
    words = f"{words}; the longest on hand is {drill.longest:g} mm"
    at = shape.end, drill.chuck
    yield judge((void.id, "chuck"), spare, limit, words, "use a longer drill", at=at)


def _depth(void: Void, shape: Bore, piece: Workpiece) -> float:
    """How far (mm) the hole goes below the face or the edge where it enters."""
    if Face.EDGE not in void.opens:
        return shape.length
    return shape.length - entry(shape, piece.skin)


def _drilled(shop: Shop, one: LikeHoles, how: str) -> Iterator[Finding]:
    voids = one.voids
    shape, ids = voids[0].shape.hole, tuple(v.id for v in voids)
    assert shape
    remedy = "" if {*SIDES} <= voids[0].opens else ", or make the hole shallower"
    hole = ids, one.diameter, one.depth, (shape.start, shape.end)
    yield from _reached(shop, *hole, how, one.flat, remedy, one.start, one.out)
    if voids[0].operation is not Operation.CHANNEL:
        yield from _slender(shop, *hole, how)


def _pins(piece: Workpiece, shop: Shop) -> Iterator[Finding]:
    """The holes of the datum pins, those of one size together: drilled through from one face, for
    the pins of both faces stand in them."""
    groups: dict[float, list[tuple[str, Pin]]] = {}
    for name, pin in piece.pins.items():
        groups.setdefault(float(pin.diameter), []).append((name, pin))
    for diameter, pins in groups.items():
        x, y = pins[0][1].x, pins[0][1].y
        at = (x, y, 0.0), (x, y, -piece.thickness)
        hole = tuple(name for name, _ in pins), diameter, piece.thickness, at
        yield from _reached(shop, *hole, remedy=", or give the blank pins that you have one for")
        yield from _slender(shop, *hole)


def _reached(
    shop: Shop,
    ids: tuple[str, ...],
    diameter: float,
    depth: float,
    at: Witness,
    how: str = "",
    flat: bool = False,
    remedy: str = "",
    start: float = 0.0,
    out: float = 0.0,
) -> Iterator[Finding]:
    """Whether a drill on hand makes like holes, and reaches their ends. start, out: as of
    `LikeHoles`; out is no less than the depth."""
    limit, what = shop.limit("drill-reach"), _likes(ids)
    drill = on_hand(shop, diameter, max(out, depth), flat)
    if drill is None:
        kind = "no bit with a flat floor" if flat else "no drill"
        words = f"{kind} on hand makes the {diameter:g} mm hole {what}"
        able = [d.diameter for d in shop.drills if d.point_deg == FLAT or not flat]
        near = min(able, key=lambda size: abs(size - diameter), default=None)
        other = "one you have" if near is None else f"{near:g} mm, which you have one for"
        cure = f"add the drill to the shop or change the hole to {other}"
        yield failed("drill-reach", ids, words, cure, at=at)
        return
    deep = f"{what} goes {depth:.1f} mm deep{how}, {depth / diameter:.1f} diameters"
    deep += f", from {start:.1f} mm under the face" if start > 0.05 else ""
    point = f", {drill.point:.1f} of it the point" if drill.point > 0.05 else ""
    words = f"{deep}; the {drill.diameter:g} mm drill for it reaches {drill.reach:g} mm{point}"
    cure = f"add a longer drill to the shop{remedy}"
    spare = drill.reach - start - depth - drill.point
    yield judge(ids, spare, limit, words, cure, at=at)


def _slender(
    shop: Shop, ids: tuple[str, ...], diameter: float, depth: float, at: Witness, how: str = ""
) -> Iterator[Finding]:
    """Like holes that are so deep for their width that the drill wanders."""
    limit, what = shop.limit("drill-reach.ratio"), _likes(ids)
    words = f"{what} is {depth / diameter:.1f} times as deep{how} as its {diameter:g} mm width"
    cure = "clear the chips often and guide the drill"
    times = advise(ids, depth / diameter, limit, words, cure, at=at, unit="times")
    if times.status != "pass":
        yield times


def _likes(ids: tuple[str, ...]) -> str:
    return ids[0] if len(ids) == 1 else f"{ids[0]} and {len(ids) - 1} more like it"


def _points(layout: Layout, piece: Workpiece, groups: tuple[LikeHoles, ...]) -> Iterator[Finding]:
    """Blind holes that are drawn flat but drilled with a point: what wood the point leaves. Where
    something seats, only a flat bit will do, which is asked already."""
    shop, drills = layout.shop, dict[str, Drill]()
    alone = layout if piece is layout.body else replace(layout, pieces=(piece,))
    for one in groups:
        drill = None if one.both or one.flat else _pointed(shop, one)
        for void in one.voids:
            hole = void.shape.hole
            if drill and hole and not hole.tip and not ends_in_air(void, alone):
                drills[void.id] = drill
    limit = piece_limit(shop, piece, "drill-reach.point")
    points = {name: drill.point_deg for name, drill in drills.items()}
    for void, found, what in point_wood(piece, points, limit.warn):
        drill = drills[void.id]
        words = f"{void.id} is drawn flat, but the shop's drill has a point: it goes "
        words += f"{drill.point:.2f} mm deeper and leaves {found.distance:.2f} mm of wood to {what}"
        cure = f"take a flat bit of {drill.diameter:g} mm, or stop {void.id} {drill.point:.1f} mm "
        yield judge_gap((void.id, what), found, limit, words, f"{cure}higher")


def _pointed(shop: Shop, one: LikeHoles) -> Drill | None:
    """The drill with a point that like holes are drilled with; None where a flat bit on hand
    reaches their end, or none makes them."""
    flat = shop.drill_for(one.diameter, one.out, flat=True)
    if flat is not None and flat.reach >= one.out:
        return None
    drill = on_hand(shop, one.diameter, one.out)
    return drill if drill is not None and drill.point_deg < FLAT else None


def control_reach(layout: Layout) -> Iterator[Finding]:
    """Each knob's edge to the nearest string between nut and saddle, and to the outline, in plan,
    and to those of other controls. A knob that no Sweep states is judged too."""
    hands = {one.room for one in layout.stated(Sweep) if one.kind is SweepKind.HAND}
    knobs = [r for r in layout.rooms if r.kind is RoomKind.KNOB or r.id in hands]
    if not knobs:
        yield skip("control-reach", "this design has no knobs")
    for knob in knobs:
        plan, z = knob.shape.plan, knob.shape.box[2]
        yield _to_strings(layout, knob, plan, z)
        if plan.circle:
            centre, radius = plan.circle
            spot = np.array([centre])
            spare, p = float(layout.skin.inset(spot)[0]) - radius, spot[0]
            q = layout.skin.outline.segments.nearest(spot)[1][0]
        else:
            spare, p, q = inside_gap(plan, layout.skin.outline)
        limit = layout.shop.limit("control-reach.edge")
        words = f"{spare:.2f} mm from {knob.part}'s knob to the body's edge"
        cure = f"move {knob.part} inward or use a smaller knob"
        yield judge((knob.id, "edge"), spare, limit, words, cure, at=witness(p, q, z))
    yield from _apart(layout, knobs)


def _apart(layout: Layout, knobs: list[Room]) -> Iterator[Finding]:
    """What two controls have beside each other, at one height: knobs one over the other are worked
    one by one."""
    limit = layout.shop.limit("control-reach.apart")
    for one, two in combinations(sorted(knobs, key=lambda room: room.id), 2):
        low, high = (one.shape.box[k] for k in (2, 5))
        level = low < two.shape.box[5] and two.shape.box[2] < high
        if one.part == two.part or not level or boxes_apart(one.shape, two.shape) > ASIDE:
            continue
        found = gap(one.shape, two.shape)
        words = f"{found.distance:.2f} mm between {one.id} and {two.id}"
        cure = f"move {one.part} and {two.part} apart, or use smaller knobs"
        yield judge_gap((one.id, two.id), found, limit, words, cure)


def _to_strings(layout: Layout, knob: Room, plan: Profile, z: float) -> Finding:
    lines, saddles = layout.instrument.lines, layout.instrument.saddle_points
    ends = [(np.array(s), np.array(line.nut)) for line, s in zip(lines, saddles, strict=True)]
    found = [(*_to_line(plan, *pair), line.number) for pair, line in zip(ends, lines)]
    spare, p, q, string = min(found, key=lambda row: (row[0], row[3]))
    limit = layout.shop.limit("control-reach.string")
    words = f"{spare:.2f} mm from {knob.part}'s knob to string {string}"
    cure = f"move {knob.part} away from the strings"
    return judge((knob.id, f"string.{string}"), spare, limit, words, cure, at=witness(p, q, z))


def _to_line(plan: Profile, a: np.ndarray, b: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Plan distance (mm) from a knob to a straight line between two points, with both witness
    points; a round knob over the line counts less than 0, any other 0."""
    if plan.circle:
        centre, d = np.array(plan.circle[0]), b - a
        foot = a + float(np.clip((centre - a) @ d / (d @ d), 0.0, 1.0)) * d
        return float(np.hypot(*(foot - centre))) - plan.circle[1], centre, foot
    return chain_gap(plan.segments, Segments(a[None, :], b[None, :], np.zeros(1)))
