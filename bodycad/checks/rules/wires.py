"""`wire-path`, `ground-path`: every drilled way and every connection that needs one."""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.wood.doorway import doorway, plainly
from bodycad.checks.wood.near import near_voids, open_into
from bodycad.checks.wood.onward import FAR, toward
from bodycad.checks.wood.shank import LEVEL, STEP, shank
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Bush, Post, Screw, StringHole, Terminal, Way
from bodycad.layout.layout import Layout, Link
from bodycad.layout.void import Void
from bodycad.safety import Danger
from bodycad.words import Operation, Wire

Graph = dict[str, dict[str, float]]
WIRE_PAGE = Page(
    asks="Can each channel be drilled (shank clear of the rims, drill long enough, chuck clear of "
    "the body), does it open fully where it should, and has every wire a way wide enough, and room "
    "beside the others that share it?",
    why="A drill that starts over a rim too steeply leaves by the back; a missing channel is found "
    "when the wiring is in hand.",
    limits=("wire-path.open", "wire-path.shank", "wire-path.reach", "wire-path.bundle")
    + ("wire-path.shared",),
    cures="Change the channel's start, end or diameter; add one where a connection has no way.",
    dangers=(Danger.DRILL, Danger.MAINS),
)
GROUND_PAGE = Page(
    asks="Is there a hole from under each metal part that the strings touch to a cavity, for its "
    "ground wire, hidden by the part?",
    why="It is the hole most often forgotten, at first hum, when the finish is already on.",
    limits=("ground-path",),
    cures="Add a ground channel that starts under the bridge plate.",
)


def wire_path(layout: Layout) -> Iterator[Finding]:
    """Each way for wires that is cut, then each wired connection."""
    stated = {way.hole: way for way in layout.stated(Way)}
    cut = [v for v in layout.voids if v.operation is Operation.CHANNEL or v.id in stated]
    for void in cut:
        targets = stated[void.id].through if void.id in stated else tuple(sorted(void.meets))
        yield from drilled_way(layout, void, targets)
    graph = ways(layout) if layout.links else {}
    shared: dict[str, list[Link]] = {}
    for link in layout.links:
        names = link.one, link.two
        width, path = way_between(layout, graph, [ends(layout, name) for name in names])
        yield _connection(layout, link, width, path)
        for name in path:
            shared.setdefault(name, []).append(link)
    for name, links in shared.items():
        hole = layout.by_id[name].shape.hole
        if hole is not None and len(links) > 1:
            yield _shared(layout, name, hole, links)
    if not cut and not layout.links:
        yield skip("wire-path", "this design declares no channels and no connections")


def drilled_way(layout: Layout, void: Void, targets: tuple[str, ...]) -> Iterator[Finding]:
    """How one way for wires, a void of the body, opens into its targets and how its drill gets
    there."""
    if not targets:
        text = f"{void.id} is said to open into nothing"
        yield failed("wire-path.open", (void.id,), text, "name the voids that it leads through")
    shape, shop = void.shape.hole, layout.shop
    if shape is None:
        words = f"{void.id} is routed, not drilled: how wide it opens is asked of each connection"
        yield passed("wire-path.routed", (void.id,), words)
        return
    for target in targets:
        percent, spot = opening(shape, layout.by_id[target])
        limit = shop.limit("wire-path.open")
        text = f"{percent:.0f} % of {void.id}'s section opens into {target}"
        cure = f"aim {void.id} at the middle of {target}"
        if percent < limit.warn:
            longer = replace(shape, length=shape.length + FAR)
            if opening(longer, layout.by_id[target])[0] >= limit.fail:
                cure = f"lengthen {void.id} or {cure}"
        yield judge((void.id, target), percent, limit, text, cure, at=(spot, spot), unit="%")
    drill = shank(void, shape, layout)
    # A point of the shank that is nearest to the wood has no name: the axis point stands for both.
    limit = shop.limit("wire-path.shank")
    text = f"the drill for {void.id} clears the wood behind its start by {drill.spare:.2f} mm"
    cure = f"tilt {void.id} so that its drill leaves through the open face"
    yield judge((void.id, "shank"), drill.spare, limit, text, cure, at=(drill.at, drill.at))
    if drill.chuck is None:
        what = f"no drill on hand of up to {drill.longest:g} mm"
        text = f"{what} brings its chuck clear of the body for {void.id}"
        cure = f"tilt {void.id} more steeply or use a longer drill"
        yield failed("wire-path.reach", (void.id, "chuck"), text, cure)
    else:
        limit, spare = shop.limit("wire-path.reach"), drill.longest - drill.need
        what = f"the longest on hand is {drill.longest:g} mm"
        text = f"{void.id} needs a drill {drill.need:.0f} mm long out of the chuck; {what}"
        cure, at = "use a longer drill or split the channel", (shape.end, drill.chuck)
        yield judge((void.id, "chuck"), spare, limit, text, cure, at=at)


def opening(shape: Bore, target: Void) -> tuple[float, Point3]:
    """Greatest part (percent) of a bore's section that lies inside another void, and where."""
    along = np.arange(0.0, shape.shoulder + STEP / 2.0, STEP)
    along = np.append(along[along < shape.shoulder], shape.shoulder)
    spots, box = shape.at(along)[:, :2], np.array(target.shape.box)
    near = ((spots >= box[:2] - shape.radius) & (spots <= box[3:5] + shape.radius)).all(axis=1)
    along = along[near] if near.any() else along[-1:]
    turn = np.arange(24) * math.pi / 12.0
    ring = [(0.0, 0.0), *((r * math.cos(a), r * math.sin(a)) for r in (0.5, 0.99) for a in turn)]
    disc = shape.radius * np.array(ring) @ shape.axes[:2]
    # Where a few sections show a whole opening there is no larger one.
    for some in (along[::8], along):
        held = target.air.holds((shape.at(some)[:, None, :] + disc).reshape(-1, 3))
        inside = held.reshape(len(some), -1).mean(axis=1)
        k = int(np.argmax(inside))
        if inside[k] == 1.0:
            break
    x, y, z = shape.at(some[k : k + 1])[0].tolist()
    return 100.0 * float(inside[k]), (x, y, z)


def ways(layout: Layout) -> Graph:
    """Which voids open into each other, and the width (mm) of the narrower: void id -> id ->
    width. Screws, strings, posts and bushes fill their holes: no wire goes there."""
    dry = (Operation.PILOT, Operation.POST)
    filled: set[str | None] = {v.id for v in layout.voids if v.operation in dry}
    filled |= {name for one in layout.stated(Screw) for name in (one.hole, one.seat)}
    filled |= {name for one in layout.stated(StringHole) for name in (one.hole, one.seat)}
    filled |= {one.hole for one in layout.stated(Post)} | {b.hole for b in layout.stated(Bush)}
    graph: Graph = {void.id: {} for void in layout.voids}
    for one, two in near_voids(layout.body, 0.0):
        if not {one.id, two.id} & filled and open_into(layout.body, one, two):
            width = min(_width(one), _width(two))
            graph[one.id][two.id] = graph[two.id][one.id] = width
    return graph


def _width(void: Void) -> float:
    return void.shape.hole.diameter if void.shape.hole else math.inf


def widest(graph: Graph, starts: Iterable[str], ends: Collection[str]) -> tuple[float, list[str]]:
    """Width of the way whose narrowest place is widest, and the voids along it; (0, []) without a
    way."""
    queue: list[tuple[float, str, tuple[str, ...]]] = [(-math.inf, s, (s,)) for s in starts]
    seen: set[str] = set()
    heapq.heapify(queue)
    while queue:
        width, here, path = heapq.heappop(queue)
        if here in ends:
            return -width, list(path)
        if here in seen:
            continue
        seen.add(here)
        for other, step in graph.get(here, {}).items():
            if other not in seen:
                heapq.heappush(queue, (max(width, -step), other, (*path, other)))
    return 0.0, []


def ends(layout: Layout, part: str) -> tuple[str, ...]:
    """The voids in which a part's wires end, and the ground ways under its metal on a face."""
    found = [one for one in layout.stated(Terminal) if one.part == part]
    under = [
        way.hole
        for one in found
        for way in (_grounds(layout) if one.under else ())
        if _share(_grounded(layout, way, one)) >= 0.0
    ]
    return *(name for one in found for name in one.voids), *under


def way_between(
    layout: Layout, graph: Graph, both: Sequence[tuple[str, ...]]
) -> tuple[float, list[str]]:
    """`widest` for a connection. Doorways between pockets are measured, and noted in `graph`, only
    where a way leads through them and they are not plainly as wide as the rest of it; until then
    each is as wide as one likes."""
    plain: set[tuple[str, str]] = set()
    while True:
        width, path = widest(graph, *both)
        steps = [step for step in zip(path, path[1:]) if step not in plain]
        unknown = [(a, b) for a, b in steps if math.isinf(graph[a][b])]
        if not unknown:
            return width, path
        for a, b in unknown:
            one, two = layout.by_id[a].shape, layout.by_id[b].shape
            if plainly(one, two) >= width:
                plain.add((a, b))
            else:
                graph[a][b] = graph[b][a] = doorway(one, two)


def _connection(layout: Layout, link: Link, width: float, path: Sequence[str]) -> Finding:
    names = link.one, link.two
    if not path:
        code = "wire-path.bundle"
        text = f"there is no way through the wood from {link.one} to {link.two}"
        return failed(code, names, text, f"add a channel between {link.one} and {link.two}")
    words = f"{link.one} to {link.two} by way of {', '.join(path)}"
    if math.isinf(width):
        return passed("wire-path.bundle", names, f"{words}: one pocket holds both")
    text = f"{words}: {width:.3g} mm wide for a {link.bundle:g} mm bundle"
    cure = "widen the narrowest place, or use a larger drill for it"
    return judge(names, width - link.bundle, layout.shop.limit("wire-path.bundle"), text, cure)


def _shared(layout: Layout, name: str, hole: Bore, links: Sequence[Link]) -> Finding:
    """How much of a hole's section the bundles take that run through it."""
    percent = 100.0 * sum(link.bundle**2 for link in links) / hole.diameter**2
    bundles = ", ".join(f"{link.bundle:g}" for link in links)
    text = f"bundles of {bundles} mm take {percent:.0f} % of {name}'s {hole.diameter:g} mm"
    cure = f"use a larger drill for {name}, thinner leads, or a way of its own for one of them"
    limit = layout.shop.limit("wire-path.shared")
    return judge((name, "bundles"), percent, limit, text, cure, unit="%")


def ground_path(layout: Layout) -> Iterator[Finding]:
    """The ground way of each metal part: where it comes out and where it leads to."""
    terminals, grounds = layout.stated(Terminal), _grounds(layout)
    metal = [one for one in terminals if one.kind is Wire.GROUND]
    if not metal or not any(one.linked and one.kind is Wire.SIGNAL for one in terminals):
        yield skip("ground-path", "this design has no metal part to ground, or no signal to guard")
        return
    served: set[str] = set()
    for one in metal:
        found = [_grounded(layout, way, one) for way in grounds]
        best = max(found, key=_share, default=None)
        words, under = f"no ground hole from {one.part} to a cavity", one.under or one.part
        cure = f"add Channel(..., kind='ground', from_face='front') that starts under {under}"
        yield best or failed("ground-path", (one.part,), words, cure)
        served |= {best.subjects[0]} if best else set()
    for way in grounds:
        hole = layout.by_id[way.hole]
        if hole.id not in served and hole.opens:
            yield max((_grounded(layout, way, one) for one in metal), key=_share)
        for target in way.through:
            if not open_into(layout.body, hole, layout.by_id[target]):
                code, cure = "ground-path.reach", toward(hole, layout.by_id[target])
                yield failed(code, (hole.id, target), f"{hole.id} does not reach {target}", cure)


def _grounds(layout: Layout) -> list[Way]:
    return [way for way in layout.stated(Way) if way.kind is Wire.GROUND]


def _share(finding: Finding) -> float:
    """How well a ground way serves a part: its figure, or all or nothing where it has none."""
    if finding.value is not None:
        return finding.value
    return math.inf if finding.status == "pass" else -math.inf


def _grounded(layout: Layout, way: Way, one: Terminal) -> Finding:
    """How far inside a metal part's underside a ground way comes out; or, where the metal stands in
    voids, whether it leads into one of them."""
    code, names, cure = "ground-path", (way.hole, one.under or one.part), f"aim {way.hole} at it"
    if one.under is None:
        met = sorted({*one.voids} & {*way.through})
        if met:
            return passed(code, names, f"{way.hole} leads into {met[0]}, to the metal")
        return failed(code, names, f"{way.hole} leads into no void of {one.part}'s metal", cure)
    shape, room = layout.by_id[way.hole].shape.hole, layout.rooms_by_id[one.under].shape
    if shape is None or abs(shape.direction[2]) < LEVEL:
        words = f"{way.hole} is level and comes out under no plate"
        return failed(code, names, words, f"start {way.hole} on the face, under {one.under}")
    (x, y, z), (dx, dy, dz), box = shape.start, shape.direction, room.box
    level = box[2] if box[2] + box[5] > -layout.thickness else box[5]
    t = (level - z) / dz
    mouth = circle(shape.diameter / abs(dz), x + t * dx, y + t * dy)
    spare, p, q = inside_gap(mouth, room.plan)
    limit = layout.shop.limit("ground-path")
    text = f"the mouth of {way.hole} lies {spare:.2f} mm inside {one.under}"
    mend = f"start {way.hole} nearer the middle of {one.under}"
    return judge(names, spare, limit, text, mend, at=witness(p, q, level))
