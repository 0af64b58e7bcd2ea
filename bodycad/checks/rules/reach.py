"""`drill-reach`, `control-reach`, `vibrato-swing`: reach of drills, of hands, and of a swinging block."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, advise, failed, judge, skip
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.entry import entry
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void

SAME = 0.15
"""A drill within this of a hole's diameter makes it, mm (common practice, no source)."""

DRILL_PAGE = Page(
    asks="Does a drill on hand reach the bottom of every hole, and how deep is the hole for its diameter?",
    why="A drill that is too short stops at the chuck; a hole deeper than about ten diameters wanders and packs with chips. Long wire "
    "ways are judged by wire-path.",
    limits=("drill-reach", "drill-reach.ratio"),
    cures="Buy the long drill, drill from both faces off one datum, back out often to clear the chips, or make the hole shallower.",
)
CONTROL_PAGE = Page(
    asks="Is every knob far enough from the outer strings for the hand, and far enough from the body's edge for a sleeve?",
    why="A knob under the playing hand is turned by accident; one at the edge is knocked.",
    limits=("control-reach.string", "control-reach.edge"),
    cures="Move the control away from the strings or the edge, or use a smaller knob.",
)
SWING_PAGE = Page(
    asks="Does a vibrato's block keep clear of its route over its whole swing?",
    why="A block that touches the wood stops the arm and chips the route's edge.",
    limits=("vibrato-swing",),
    cures="Lengthen the route on the side the block swings to, deepen it, or limit the swing.",
)


def drill_reach(layout: Layout) -> Iterator[Finding]:
    """Each group of like holes of a part against the drill that makes it."""
    groups: dict[tuple, list[Void]] = {}
    for void in layout.voids:
        if void.shape.hole and void.operation != "CHANNEL":
            both = {"front", "back"} <= void.opens
            depth = _depth(void, layout) / (2.0 if both else 1.0)
            groups.setdefault(
                (void.part, round(void.shape.diameter, 3), round(depth, 3), both), []
            ).append(void)
    if not groups:
        yield skip("drill-reach", "this design has no drilled holes")
    for (_, diameter, depth, both), voids in groups.items():
        yield from _drilled(layout, voids, diameter, depth, " from each face" if both else "")


def _depth(void: Void, layout: Layout) -> float:
    """How far (mm) the drill goes below the face or the edge where it enters."""
    shape = void.shape
    if "edge" not in void.opens:
        return shape.length
    return shape.length - entry(shape, layout.skin)


def _drilled(
    layout: Layout, voids: list[Void], diameter: float, depth: float, how: str
) -> Iterator[Finding]:
    shop, ids = layout.shop, tuple(v.id for v in voids)
    what = ids[0] if len(ids) == 1 else f"{ids[0]} and {len(ids) - 1} more like it"
    fits = [d.reach for d in shop.drills if abs(d.diameter - diameter) <= SAME]
    at = (voids[0].shape.start, voids[0].shape.end)
    if shop.drills and not fits:
        yield failed(
            "drill-reach",
            ids,
            f"no drill on hand makes the {diameter:g} mm hole {what}",
            "add the drill to the shop or change the hole to one you have",
            at=at,
        )
        return
    longest = max(fits, default=shop.drill_reach)
    yield judge(
        ids,
        longest - depth,
        shop.limit("drill-reach"),
        f"{what} goes {depth:.1f} mm deep{how}, {depth / diameter:.1f} diameters; the longest {diameter:g} mm drill "
        f"reaches {longest:g} mm",
        "use a longer drill, drill from both faces, or make the hole shallower",
        at=at,
    )
    deep = advise(
        ids,
        depth / diameter,
        shop.limit("drill-reach.ratio"),
        f"{what} is {depth / diameter:.1f} times as deep{how} as its {diameter:g} mm width",
        "clear the chips often, guide the drill, or drill from both faces",
        at=at,
        unit="times",
    )
    if deep.status != "pass":
        yield deep


def control_reach(layout: Layout) -> Iterator[Finding]:
    """Each knob's edge to the nearest string between nut and saddle, and to the outline, in
    plan."""
    knobs = [r for r in layout.rooms if r.kind == "knob" and r.shape.hole]
    if not knobs:
        yield skip("control-reach", "this design has no knobs")
    for knob in knobs:
        yield _to_strings(layout, knob)
        x, y, z = knob.shape.start
        spot = np.array([[x, y]])
        spare = float(layout.skin.inset(spot)[0]) - knob.shape.radius
        foot = tuple(map(float, layout.skin.outline.segments.nearest(spot)[1][0]))
        yield judge(
            (knob.id, "edge"),
            spare,
            layout.shop.limit("control-reach.edge"),
            f"{spare:.2f} mm from {knob.part}'s knob to the body's edge",
            f"move {knob.part} inward or use a smaller knob",
            at=((x, y, z), (*foot, z)),
        )


def _to_strings(layout: Layout, knob: Room) -> Finding:
    x, y, z = knob.shape.start
    found = []
    for line, saddle in zip(layout.instrument.lines, layout.instrument.saddle_points):
        a, d = np.array(saddle), np.array(line.nut) - np.array(saddle)
        t = float(np.clip((np.array([x, y]) - a) @ d / (d @ d), 0.0, 1.0))
        foot = a + t * d
        found.append(
            (
                float(np.hypot(*(foot - [x, y]))) - knob.shape.radius,
                line.number,
                (*map(float, foot), z),
            )
        )
    spare, string, foot = min(found)
    return judge(
        (knob.id, f"string.{string}"),
        spare,
        layout.shop.limit("control-reach.string"),
        f"{spare:.2f} mm from {knob.part}'s knob to string {string}",
        f"move {knob.part} away from the strings",
        at=((x, y, z), foot),
    )


def vibrato_swing(layout: Layout) -> Iterator[Finding]:
    """Each room of kind "swing" (what a vibrato's block sweeps) in the cut of its own part that
    holds it best."""
    swings = [r for r in layout.rooms if r.kind == "swing" and r.shape.hole is None]
    if not swings:
        yield skip(
            "vibrato-swing", "this design has no vibrato with a block that swings in the wood"
        )
    for room in swings:
        found = [_in_cut(room, v) for v in layout.voids_of(room.part) if v.shape.hole is None]
        if not found:
            yield failed(
                "vibrato-swing",
                (room.id,),
                f"{room.id} swings in no cut of {room.part}",
                f"give {room.part} a route for its block",
            )
            continue
        spare, what, at = max(found, key=lambda f: f[0])
        words = (
            f"clears {what} by {spare:.2f} mm"
            if spare >= 0.0
            else f"runs {-spare:.2f} mm into the wood round {what}"
        )
        yield judge(
            (room.id, what),
            spare,
            layout.shop.limit("vibrato-swing"),
            f"{room.id} {words}",
            f"make {what} longer or deeper where the block swings",
            at=at,
        )


def _in_cut(room: Room, void: Void) -> tuple[float, str, tuple[Point3, Point3]]:
    side, p, q = inside_gap(room.shape.profile, void.shape.profile)
    low, high = room.shape.low, room.shape.high
    under = low - void.shape.floor_range[1] if "back" not in void.opens else side
    over = void.shape.high - high if "front" not in void.opens else side
    z = (low + high) / 2.0
    return min(side, under, over), void.id, ((*map(float, p), z), (*map(float, q), z))
