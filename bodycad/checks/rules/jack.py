"""`jack-path`: the recessed jack at the edge."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np

from bodycad.checks.finding import Finding, Witness, advise, failed, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.balance import strap_buttons
from bodycad.checks.rules.wires import opening
from bodycad.checks.wood.near import of_the_cuts, open_into
from bodycad.checks.wood.onward import FAR, toward
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3, Shape, boxes_apart
from bodycad.layout.interface import Fit, Land, Sweep
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.words import Face, FitKind, RoomKind, SweepKind

STEP = 1.0
"""Spacing of the sections at which the plug's way is tested, mm."""
LOOK = 6.0
"""Room beyond this (mm) round the plug is not measured."""
FINE = 0.005
"""A film of wood thinner than this (mm) between two voids counts as air."""
THIN = 0.08
"""The longest step (mm) along a wall that a line lies in."""
ASIDE = 12.0
"""What stands farther than this (mm) from a plug's grip is not listed."""
STRAP, OUT, AXIS = 60.0, 4.0, 0.005
"""What stands farther than this (mm) from a strap button's axis is not listed; how far out of the
edge that is asked; half as thick as the axis is taken, mm."""
INSIDE = (RoomKind.CAN, RoomKind.BATTERY, RoomKind.PART)
"""What a plug must not touch, beside all that states a fit in a cavity."""

PAGE = Page(
    asks="Does the jack's bore reach its cavity, does a plug's tip clear wood and controls, does "
    "the lip or plate lie on the edge as flat or as bent as it is, does a wrench reach a nut in "
    "the cavity, has the plug's grip air outside, and does a strap's end lie over it?",
    why="A plug that touches a pot shorts; a lip on a curved edge rocks and cracks the finish; a "
    "nut that no wrench reaches lets the jack turn until its wires break; a strap button or a knob "
    "beside a jack stands in the plug's way. So does the end of a strap, some 50 mm broad, about a "
    "button that the plug alone would clear: advice, never a failure.",
    limits=(
        "jack-path.plug",
        "jack-path.wood",
        "jack-path.plate",
        "jack-path.nut",
        "jack-path.grip",
        "jack-path.strap",
    ),
    cures="Lengthen the bore where it ends short of the cavity, turn or move the jack where it "
    "passes beside it, move the control, move the jack to a straighter part of the edge, or dish a "
    "seat for it.",
)


def jack_path(layout: Layout) -> Iterator[Finding]:
    """Bore to cavity, plug's way, and the flat under each lip on the edge."""
    plugs = [sweep for sweep in layout.stated(Sweep) if sweep.kind is SweepKind.PLUG]
    lips = [land for land in layout.stated(Land) if land.face is Face.EDGE and land.flat]
    if not plugs and not lips:
        yield skip("jack-path", "no part of this design takes a plug or lies flat on the edge")
    hung = {fit.room for fit in layout.stated(Fit) if fit.kind is FitKind.CONTROL}
    for sweep in plugs:
        yield _into_the_cavity(layout, sweep)
        plug = layout.rooms_by_id[sweep.room].shape.hole
        if plug is None:
            words = f"{sweep.room} is no Bore: the way of its plug cannot be judged"
            cure = "make the room of the plug a bore along its way"
            yield failed("jack-path.plug-shape", (sweep.room,), words, cure)
            continue
        lines = _lines(layout, plug, sweep.within)
        spare, at = plug_room(plug, lines)
        subjects = (sweep.room, "wood")
        words = f"a plug in {sweep.part} clears the wood by {spare:.2f} mm"
        cure = _wider(layout, sweep, plug, at[0])
        limit, of = layout.shop.limit("jack-path.wood"), partial(plug_rooms, lines)
        yield judge(subjects, spare, limit, words, cure, at=at, of=of)
        inside = [r for r in layout.rooms if r.kind in INSIDE or r.id in hung]
        if inside:
            yield _nearest_room(layout, sweep, plug, inside)
    yield from _nuts(layout)
    yield from _grips(layout)
    yield from _straps(layout, {sweep.part for sweep in plugs})
    for land in lips:
        bend, at = edge_bend(layout, land)
        subjects = (land.name, "edge")
        words = f"the edge leaves the flat of {land.name} by {bend:.2f} mm"
        cure = f"move {land.part} to a straighter part of the edge or cut a flat"
        yield judge(subjects, bend, layout.shop.limit("jack-path.plate"), words, cure, at=at)


def _grips(layout: Layout) -> Iterator[Finding]:
    """What a hand holds of each plug: in its cup, and outside to what is fitted beside it."""
    limit = layout.shop.limit("jack-path.grip")
    for sweep in layout.stated(Sweep):
        grip = layout.rooms_by_id[sweep.room].shape.hole
        if sweep.kind is not SweepKind.GRIP or grip is None:
            continue
        for name in sweep.within:
            cup = layout.by_id[name].shape.hole
            if cup is not None:
                at = (grip.start, grip.start)
                words = f"the grip of a plug in {sweep.part} has {{:.2f}} mm round it in {name}"
                spare = cup.radius - grip.radius - cup.off_axis(grip.start)
                cure = f"widen {name}, or use a slimmer plug"
                yield judge((sweep.room, name), spare, limit, words.format(spare), cure, at=at)
        beside = [
            room
            for room in layout.rooms
            if room.part != sweep.part and boxes_apart(grip, room.shape) < ASIDE
        ]
        if beside:
            found, room = _nearest_can(grip, beside)
            clear = found.distance if found.distance > 0.0 else -_overlap(grip, room)
            words = f"the grip of a plug in {sweep.part} clears {room.id} by {clear:.2f} mm"
            two, cure = found.between if clear > 0.0 else None, f"move {sweep.part} or {room.part}"
            subjects, bound = (sweep.room, room.id), found.bound
            yield judge(subjects, clear, limit, words, cure, at=found.at, bound=bound, between=two)


def _straps(layout: Layout, jacks: set[str]) -> Iterator[Finding]:
    """What of each jack on the edge, its lip or the grip of its plug, comes nearest to the axis of
    a strap button."""
    lips = [one for one in layout.stated(Land) if one.part in jacks and one.face is Face.EDGE]
    grips = [one for one in layout.stated(Sweep) if one.kind is SweepKind.GRIP]
    limit = layout.shop.limit("jack-path.strap")
    for button in strap_buttons(layout):
        axis = _on_edge(replace(button, diameter=2.0 * AXIS, width=0.0, height=0.0))
        for lip in lips:
            shapes = [layout.rooms_by_id[one.room].shape for one in grips if one.part == lip.part]
            found = min(
                (gap(axis, one) for one in (_on_edge(lip), *shapes)), key=lambda f: f.distance
            )
            if found.distance < STRAP:
                off = found.distance + AXIS
                words = f"{off:.1f} mm from the axis of {button.name} to {lip.name} or the plug in "
                words += "it, for a strap's end to turn in"
                subjects, cure = (button.name, lip.name), f"move {lip.part} or {button.part}"
                yield advise(subjects, off, limit, words, cure, at=found.at)


def _on_edge(land: Land) -> Shape:
    """What lies on the edge, OUT thick: a round one, or a plate along the edge."""
    assert land.at and land.inward
    (x, y, z), (a, b, _) = land.at, land.inward
    if not (land.width > 0.0 and land.height > 0.0):
        out = -land.inward[0], -land.inward[1], -land.inward[2]
        return bore(land.at, out, land.diameter, OUT)
    plan = rectangle(OUT, land.width, 0.0, -OUT / 2.0, 0.0)
    plan = plan.moved(x, y, math.degrees(math.atan2(b, a)))
    return Prism(plan, z - land.height / 2.0, z + land.height / 2.0)


def _nuts(layout: Layout) -> Iterator[Finding]:
    """The room for a wrench about each nut inside."""
    for sweep in layout.stated(Sweep):
        if sweep.kind is not SweepKind.WRENCH:
            continue
        wrench = layout.rooms_by_id[sweep.room].shape.hole
        if wrench is None:
            words = f"{sweep.room} is no Bore: the room for its wrench cannot be judged"
            cure = "make the room of the wrench a bore about the nut's axis"
            yield failed("jack-path.nut-shape", (sweep.room,), words, cure)
            continue
        lines = _lines(layout, wrench, sweep.within)
        spare, at = plug_room(wrench, lines)
        words = f"a wrench on the nut of {sweep.part} has {spare:.2f} mm to the wood"
        cure = f"bring {sweep.part}'s bore in at the middle of a wall, or make the cavity roomier"
        limit, of = layout.shop.limit("jack-path.nut"), partial(plug_rooms, lines)
        yield judge((sweep.room, "wood"), spare, limit, words, cure, at=at, of=of)


def _into_the_cavity(layout: Layout, sweep: Sweep) -> Finding:
    """Whether the bore that leads a plug in opens into its cavity."""
    assert sweep.bore and sweep.into
    bore, cavity = layout.by_id[sweep.bore], layout.by_id[sweep.into]
    if bore.shape.hole:
        percent, spot = opening(bore.shape.hole, cavity)
    else:
        percent, spot = 100.0 * open_into(layout.body, bore, cavity), bore.shape.box[:3]
    code, names = "jack-path.open", (bore.id, cavity.id)
    if percent >= 50.0:
        return passed(code, names, f"{bore.id} opens into {cavity.id}")
    words = f"{bore.id} opens {percent:.0f} % into {cavity.id}"
    return failed(code, names, words, _opened(sweep, bore, cavity), at=(spot, spot))


def _opened(sweep: Sweep, bore: Void, cavity: Void) -> str:
    """How the bore of a plug is brought into its cavity, in words: a longer one may pass beside."""
    hole = bore.shape.hole
    if hole is not None:
        longer = replace(hole, length=hole.length + FAR)
        if opening(longer, cavity)[0] >= 50.0:
            return f"lengthen {sweep.part}'s reach"
        return f"move or turn {sweep.part} so that {bore.id} meets {cavity.id} squarely"
    return toward(bore, cavity)


def _wider(layout: Layout, sweep: Sweep, plug: Bore, spot: Point3) -> str:
    """How a plug's way is given more room where it is tightest, in words."""
    assert sweep.bore and sweep.into
    bore, cavity = layout.by_id[sweep.bore], layout.by_id[sweep.into]
    if not open_into(layout.body, bore, cavity):
        return _opened(sweep, bore, cavity)
    hole = bore.shape.hole
    if hole and float((np.array(hole.end) - spot) @ np.array(plug.direction)) > 0.0:
        return f"widen {bore.id}"
    return f"make {cavity.id} roomier round the plug's way and tip, or move {sweep.part}"


def _nearest_room(layout: Layout, sweep: Sweep, plug: Bore, inside: list[Room]) -> Finding:
    """The plug's way against the nearest of what is fitted inside the body."""
    found, can = _nearest_can(plug, inside)
    clear = found.distance if found.distance > 0.0 else -_overlap(plug, can)
    words = f"clears {can.part} by" if clear > 0.0 else "runs"
    into = "" if clear > 0.0 else f" into {can.part}"
    at, bound, two = found.at, found.bound, found.between if clear > 0.0 else None
    subjects, limit = (sweep.room, can.id), layout.shop.limit("jack-path.plug")
    text = f"a plug in {sweep.part} {words} {abs(clear):.2f} mm{into}"
    cure = f"move {can.part} away from the jack"
    return judge(subjects, clear, limit, text, cure, at=at, bound=bound, between=two)


def _nearest_can(plug: Bore, cans: list[Room]) -> tuple[Gap, Room]:
    """The control nearest to a plug's way; boxes farther than the best found are left out."""
    first, *rest = sorted(cans, key=lambda c: (boxes_apart(plug, c.shape), c.id))
    best = gap(plug, first.shape), first
    for can in rest:
        if boxes_apart(plug, can.shape) < best[0].distance:
            found = gap(plug, can.shape)
            best = (found, can) if found.distance < best[0].distance else best
    return best


def _overlap(plug: Bore, can: Room) -> float:
    """How far (mm) a plug's way reaches into a control: its radius less its axis's distance."""
    away = can.shape.closest(plug.at(np.linspace(0.0, plug.length, 201)))[0]
    return max(plug.radius - float(away.min()), 1e-3)


class _Lines(NamedTuple):
    """Lines outward from a plug's way in 36 directions at sections `STEP` mm apart: where they
    begin, which way they go, how far they run in air beyond the plug, mm. The same, `tips`, `ahead`
    and `onward`, of lines past its tip."""

    starts: np.ndarray
    ways: np.ndarray
    runs: np.ndarray
    tips: np.ndarray
    ahead: np.ndarray
    onward: np.ndarray


def plug_room(plug: Bore, lines: _Lines) -> tuple[float, Witness]:
    """Least room (mm) round the plug's way to the wood about a union of voids, and two witness
    points; negative where the way itself cuts wood."""
    k, j = int(np.argmin(lines.runs)), int(np.argmin(lines.onward))
    if lines.runs[k] <= lines.onward[j]:
        start, way, near, far = lines.starts[k], lines.ways[k], plug.radius, lines.runs[k]
    else:
        start, way, near, far = lines.tips[j], lines.ahead[j], 0.0, lines.onward[j]
    ends = start + near * way, start + (near + far) * way
    return float(min(lines.runs[k], lines.onward[j])), witness(*ends)


def plug_rooms(lines: _Lines) -> tuple[float, ...]:
    """The least room (mm) round the plug's way in each of the 36 directions, and past the tip."""
    return *lines.runs.reshape(-1, 36).min(axis=0).tolist(), float(lines.onward.min())


def _lines(layout: Layout, plug: Bore, within: Iterable[str]) -> _Lines:
    """The lines about a plug's way through the air of those voids, walked once for bodies of one
    cut."""
    voids = tuple(layout.by_id[name] for name in within)
    return of_the_cuts(layout.body, ("lines", plug, voids), lambda: _walked(plug, voids))


def _walked(plug: Bore, voids: tuple[Void, ...]) -> _Lines:
    along = np.linspace(0.0, plug.length, max(2, math.ceil(plug.length / STEP) + 1))
    turn = np.arange(36) * math.pi / 18.0
    ring = np.cos(turn)[:, None] * plug.axes[0] + np.sin(turn)[:, None] * plug.axes[1]
    base, out = np.repeat(plug.at(along), len(ring), axis=0), np.tile(ring, (len(along), 1))
    side = _free_run(base, out, voids, plug.radius + LOOK) - plug.radius
    discs = np.vstack([[np.zeros(3)], *(share * plug.radius * ring for share in (0.5, 1.0))])
    tips, ahead = np.array(plug.end) + discs, np.tile(plug.axes[2], (len(discs), 1))
    return _Lines(base, out, side, tips, ahead, _free_run(tips, ahead, voids, LOOK))


def _free_run(
    base: np.ndarray, way: np.ndarray, voids: tuple[Void, ...], most: float
) -> np.ndarray:
    """How far (m,), up to `most`, lines from `base` (m, 3) along unit ways (m, 3) run in air."""
    run, going, film = np.zeros(len(base)), np.arange(len(base)), np.full(len(base), FINE)
    while len(going):
        points = base[going] + (run[going] + film[going])[:, None] * way[going]
        further = np.full(len(going), -np.inf)
        for void in voids:
            inside = np.flatnonzero(void.air.holds(points))
            if len(inside):
                left = void.air.leaves(points[inside], way[going[inside]], most)
                further[inside] = np.maximum(further[inside], left)
        on = further > -np.inf
        run[going[on]] = np.minimum(run[going] + film[going] + further, most)[on]
        # A line that lies in a wall leaves at once wherever it is asked: it takes longer steps.
        lies = on & (further <= 0.0)
        on |= film[going] > FINE
        film[going] = np.where(lies, np.minimum(2.0 * film[going], THIN), FINE)
        going = going[on & (run[going] < most)]
    return run


def edge_bend(layout: Layout, land: Land) -> tuple[float, Witness]:
    """How far (mm) the outline departs from a flat on the edge, or from a plate that is bent,
    measured along its own axis over its width, and the two points that show it. (`land` judges
    roundovers under it.)"""
    assert land.at and land.inward
    (x, y, z), (ix, iy, _), reach = land.at, land.inward, land.across / 2.0
    axis, across = np.array([ix, iy]), np.array([-iy, ix])
    here, s = np.array([x, y]), layout.skin.outline.segments
    middle, half = (s.boxes[:, :2] + s.boxes[:, 2:]) / 2.0, (s.boxes[:, 2:] - s.boxes[:, :2]) / 2.0
    near = np.flatnonzero((np.abs(middle - here) - half <= 3.0 * reach).all(axis=1))
    steps = [np.linspace(0.0, 1.0, max(3, math.ceil(s.length[k] / 0.1) + 1)) for k in near]
    rows = (s.take(np.array([k])).at(step) for k, step in zip(near, steps))
    points = np.vstack([np.zeros((0, 2)), *rows])
    out = points - here
    inside = (np.abs(out @ across) <= reach) & (np.abs(out @ axis) <= 2.0 * reach)
    points, depth = points[inside], out[inside] @ axis
    aside = out[inside] @ across / reach
    depth = depth + land.bow * (1.0 - aside * aside)  # what a bent plate follows
    if not len(points):
        return 2.0 * reach, witness(here, here, z)
    low, high = int(depth.argmin()), int(depth.argmax())
    return float(depth[high] - depth[low]), witness(points[low], points[high], z)
