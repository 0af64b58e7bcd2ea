"""`jack-path`: the recessed jack at the edge."""

from __future__ import annotations

import math
from typing import Iterator

import numpy as np

from bodycad.checks.air import depth_inside
from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.wires import opening
from bodycad.geometry.gap import gap
from bodycad.geometry.shapes import Bore
from bodycad.layout.body import Layout
from bodycad.parts.jack import EndJack

PAGE = Page(
    asks="Does the jack's bore reach its cavity, does a plug's tip clear wood and controls, and does the lip lie flat on the edge?",
    why="A plug that touches a pot shorts; a lip on a curved edge rocks and cracks the finish.",
    limits=("jack-path.plug", "jack-path.plate"),
    cures="Lengthen the bore, move the control, move the jack to a straighter part of the edge, or dish a seat for it.",
)


def jack_path(layout: Layout) -> Iterator[Finding]:
    """Bore to cavity, plug's way, lip on the edge."""
    jacks = layout.parts(EndJack)
    if not jacks:
        yield skip("jack-path", "this design has no jack in the edge")
    for placed in jacks:
        part, bore = placed.part, layout.by_id[f"{placed.id}.bore"]
        cavity = layout.by_id[f"{part.cavity}.cavity"]
        percent, spot = opening(bore.shape, cavity)
        if percent < 50.0:
            yield failed("jack-path", (bore.id, cavity.id), f"{bore.id} opens {percent:.0f} % into {cavity.id}",
                         f"lengthen {placed.id}'s reach", at=(spot, spot))
        else:
            yield passed("jack-path", (bore.id, cavity.id), f"{bore.id} opens into {cavity.id}")
        plug: Bore = next(r.shape for r in layout.rooms if r.id == f"{placed.id}.plug")
        along = plug.at(np.arange(0.0, plug.length + 0.25, 0.5))
        room = np.maximum(depth_inside(bore, along), depth_inside(cavity, along))
        k = int(np.argmin(room))
        spare = float(room[k]) - plug.radius
        yield judge("jack-path", (f"{placed.id}.plug", "wood"), spare, layout.shop.limit("jack-path.wood"),
                    f"a plug in {placed.id} clears the wood by {spare:.2f} mm", f"lengthen {placed.id}'s reach or widen its bore",
                    at=(tuple(map(float, along[k])), plug.start))
        cans = [r for r in layout.rooms if r.kind == "can"]
        if cans:
            found, can = min(((gap(plug, c.shape), c) for c in cans), key=lambda f: f[0].distance)
            yield judge("jack-path", (f"{placed.id}.plug", can.id), found.distance, layout.shop.limit("jack-path.plug"),
                        f"a plug in {placed.id} clears {can.part} by {found.distance:.2f} mm", f"move {can.part} away from the jack",
                        at=found.at, bound=found.bound)
        bend, at = edge_bend(layout, placed.place.x, placed.place.y, math.radians(placed.place.turn_deg), part.lip / 2.0)
        z = plug.start[2]
        yield judge("jack-path", (f"{placed.id}.lip", "edge"), bend, layout.shop.limit("jack-path.plate"),
                    f"the edge leaves the flat of {placed.id}'s lip by {bend:.2f} mm",
                    "move the jack to a straighter part of the edge or cut a flat", at=tuple((*p, z) for p in at))


def edge_bend(layout: Layout, x: float, y: float, turn: float, reach: float):
    """How far (mm) the outline departs from the line square to `turn` within `reach` of (x, y), and the
    two points that show it."""
    s = layout.skin.outline.segments
    axis, side = np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])
    t = np.linspace(0.0, 1.0, 65)
    points = np.vstack([s.at(np.full(len(s), k)) for k in t])
    out = points - np.array([x, y])
    near = (np.abs(out @ side) <= reach) & (np.abs(out @ axis) <= 2.0 * reach)
    depth = out[near] @ axis
    if not len(depth):
        return 2.0 * reach, ((x, y), (x, y))
    spots = points[near]
    return (float(depth.max() - depth.min()),
            (tuple(map(float, spots[depth.argmin()])), tuple(map(float, spots[depth.argmax()]))))
