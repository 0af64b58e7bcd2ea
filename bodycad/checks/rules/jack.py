"""`jack-path`: the recessed jack at the edge."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.wires import opening
from bodycad.checks.wood.air import holds, leaves
from bodycad.geometry.distance.gap import Gap, gap
from bodycad.geometry.solids.shapes import Bore, boxes_apart
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.void import Room, Void
from bodycad.parts.jack import EndJack

STEP = 1.0
"""Spacing of the sections at which the plug's way is tested, mm."""
LOOK = 6.0
"""Room beyond this (mm) round the plug is not measured."""
FINE = 0.005
"""A film of wood thinner than this (mm) between two voids counts as air."""

PAGE = Page(
    asks="Does the jack's bore reach its cavity, does a plug's tip clear wood and controls, and does the lip lie flat on the edge?",
    why="A plug that touches a pot shorts; a lip on a curved edge rocks and cracks the finish.",
    limits=("jack-path.plug", "jack-path.wood", "jack-path.plate"),
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
            yield failed(
                "jack-path",
                (bore.id, cavity.id),
                f"{bore.id} opens {percent:.0f} % into {cavity.id}",
                f"lengthen {placed.id}'s reach",
                at=(spot, spot),
            )
        else:
            yield passed("jack-path", (bore.id, cavity.id), f"{bore.id} opens into {cavity.id}")
        plug: Bore = next(r.shape for r in layout.rooms if r.id == f"{placed.id}.plug")
        open_to = (*layout.voids_of(placed.id), *layout.voids_of(part.cavity))
        spare, at = plug_room(plug, tuple(v for v in open_to if v.operation != "PILOT"))
        yield judge(
            (f"{placed.id}.plug", "wood"),
            spare,
            layout.shop.limit("jack-path.wood"),
            f"a plug in {placed.id} clears the wood by {spare:.2f} mm",
            f"lengthen {placed.id}'s reach or widen its bore",
            at=at,
        )
        cans = [r for r in layout.rooms if r.kind == "can"]
        if cans:
            found, can = _nearest_can(plug, cans)
            clear = found.distance if found.distance > 0.0 else -_overlap(plug, can)
            yield judge(
                (f"{placed.id}.plug", can.id),
                clear,
                layout.shop.limit("jack-path.plug"),
                f"a plug in {placed.id} "
                + (
                    f"clears {can.part} by {clear:.2f} mm"
                    if clear > 0.0
                    else f"runs {-clear:.2f} mm into {can.part}"
                ),
                f"move {can.part} away from the jack",
                at=found.at,
                bound=found.bound,
                between=found.between if clear > 0.0 else None,
            )
        bend, at = edge_bend(layout, placed, plug.start[2])
        yield judge(
            (f"{placed.id}.lip", "edge"),
            bend,
            layout.shop.limit("jack-path.plate"),
            f"the edge leaves the flat of {placed.id}'s lip by {bend:.2f} mm",
            "move the jack to a straighter part of the edge or cut a flat",
            at=at,
        )


def _nearest_can(plug: Bore, cans: list[Room]) -> tuple[Gap, Room]:
    """The control nearest to a plug's way; those whose boxes are farther than the best found are
    left out."""
    best = None
    for can in sorted(cans, key=lambda c: (boxes_apart(plug, c.shape), c.id)):
        if best is None or boxes_apart(plug, can.shape) < best[0].distance:
            found = gap(plug, can.shape), can
            best = found if best is None or found[0].distance < best[0].distance else best
    return best


def _overlap(plug: Bore, can: Room) -> float:
    """How far (mm) a plug's way reaches into a control that it meets: its radius less its axis's
    distance."""
    away = can.shape.closest(plug.at(np.linspace(0.0, plug.length, 201)))[0]
    return max(plug.radius - float(away.min()), 1e-3)


def plug_room(plug: Bore, voids: tuple[Void, ...]):
    """Least room (mm) round the plug's way to the wood about a union of voids, and two witness
    points.

    Walked outward from the axis in 36 directions at sections `STEP` mm apart, and onward past the
    tip; negative where the way itself cuts wood.
    """
    along = np.linspace(0.0, plug.length, max(2, math.ceil(plug.length / STEP) + 1))
    turn = np.arange(36) * math.pi / 18.0
    ring = np.cos(turn)[:, None] * plug.axes[0] + np.sin(turn)[:, None] * plug.axes[1]
    base, out = np.repeat(plug.at(along), len(ring), axis=0), np.tile(ring, (len(along), 1))
    side = _free_run(base, out, voids, plug.radius + LOOK) - plug.radius
    discs = np.vstack([[np.zeros(3)], *(share * plug.radius * ring for share in (0.5, 1.0))])
    tips, ahead = np.array(plug.end) + discs, np.tile(plug.axes[2], (len(discs), 1))
    onward = _free_run(tips, ahead, voids, LOOK)
    k, j = int(np.argmin(side)), int(np.argmin(onward))
    if side[k] <= onward[j]:
        ends = base[k] + plug.radius * out[k], base[k] + (plug.radius + side[k]) * out[k]
    else:
        ends = tips[j], tips[j] + onward[j] * ahead[j]
    return float(min(side[k], onward[j])), tuple(tuple(map(float, p)) for p in ends)


def _free_run(
    base: np.ndarray, way: np.ndarray, voids: tuple[Void, ...], most: float
) -> np.ndarray:
    """How far (m,) each line from `base` (m, 3) along the unit `way` (m, 3) runs in air, `most` at
    most."""
    run, going = np.zeros(len(base)), np.arange(len(base))
    while len(going):
        points = base[going] + (run[going] + FINE)[:, None] * way[going]
        further = np.full(len(going), -np.inf)
        for void in voids:
            inside = np.flatnonzero(holds(void, points))
            if len(inside):
                further[inside] = np.maximum(
                    further[inside], leaves(void, points[inside], way[going[inside]], most)
                )
        on = further > -np.inf
        going, further = going[on], further[on]
        run[going] = np.minimum(run[going] + FINE + further, most)
        going = going[run[going] < most]
    return run


def edge_bend(layout: Layout, placed: Placed, z: float):
    """How far (mm) the outline departs from the flat of the jack's lip, measured along the jack's
    axis over the lip's width, and the two points that show it. (`land` judges roundovers under the
    lip.)"""
    turn, reach = math.radians(placed.place.turn_deg), placed.part.lip / 2.0
    axis, across = (
        np.array([math.cos(turn), math.sin(turn)]),
        np.array([-math.sin(turn), math.cos(turn)]),
    )
    here, s = np.array([placed.place.x, placed.place.y]), layout.skin.outline.segments
    middle, half = (s.boxes[:, :2] + s.boxes[:, 2:]) / 2.0, (s.boxes[:, 2:] - s.boxes[:, :2]) / 2.0
    near = np.flatnonzero((np.abs(middle - here) - half <= 3.0 * reach).all(axis=1))
    points = np.vstack(
        [
            s.take(np.array([k])).at(
                np.linspace(0.0, 1.0, max(3, math.ceil(s.length[k] / 0.1) + 1))
            )
            for k in near
        ]
        or [np.zeros((0, 2))]
    )
    out = points - here
    inside = (np.abs(out @ across) <= reach) & (np.abs(out @ axis) <= 2.0 * reach)
    points, depth = points[inside], out[inside] @ axis
    if not len(points):
        return 2.0 * reach, ((*map(float, here), z),) * 2
    low, high = int(depth.argmin()), int(depth.argmax())
    return float(depth[high] - depth[low]), tuple((*map(float, points[k]), z) for k in (low, high))
