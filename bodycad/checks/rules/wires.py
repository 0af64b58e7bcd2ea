"""`wire-path`, `ground-path`: every drilled way and every connection that needs one."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.wood.air import free_radius
from bodycad.checks.wood.doorway import doorway, plainly
from bodycad.checks.wood.near import near_voids, open_into
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.layout import Layout, Link, Placed
from bodycad.layout.void import Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.channel import Channel
from bodycad.parts.control import Control
from bodycad.parts.neckjoint import NeckJoint
from bodycad.parts.pickup import Humbucker

STEP = 0.5
"""Spacing of the sections at which a drill's way is tested, mm."""

WIRE_PAGE = Page(
    asks="Can each channel be drilled (shank clear of the rims, drill long enough, chuck clear of the body), does it open "
    "fully where it should, and has every wire a way wide enough?",
    why="A drill that starts over a rim too steeply leaves by the back; a missing channel is found when the wiring is in hand.",
    limits=("wire-path.open", "wire-path.shank", "wire-path.reach", "wire-path.bundle"),
    cures="Change the channel's start, end or diameter; add one where a connection has no way.",
)
GROUND_PAGE = Page(
    asks="Is there a hole from under the bridge to the cavity for the ground wire, hidden by the plate?",
    why="It is the hole most often forgotten, at first hum, when the finish is already on.",
    limits=("ground-path",),
    cures="Add a ground channel that starts under the bridge plate.",
)


def wire_path(layout: Layout) -> Iterator[Finding]:
    """Each drilled channel, then each wired connection."""
    channels = layout.parts(Channel)
    for placed in channels:
        yield from _channel(layout, placed)
    graph = ways(layout) if layout.links else {}
    for link in layout.links:
        yield _connection(layout, graph, link, "wire-path")
    if not channels and not layout.links:
        yield skip("wire-path", "this design declares no channels and no connections")


def _channel(layout: Layout, placed: Placed) -> Iterator[Finding]:
    void = layout.by_id[placed.id]
    shape = void.shape.hole
    shop = layout.shop
    for target in placed.part.through:
        percent, spot = opening(shape, layout.by_id[target])
        yield judge(
            (placed.id, target),
            percent,
            shop.limit("wire-path.open"),
            f"{percent:.0f} % of {placed.id}'s section opens into {target}",
            f"lengthen {placed.id} or aim it at the middle of {target}",
            at=(spot, spot),
            unit="%",
        )
    start = np.array(shape.start)
    back = np.arange(0.0, shop.drill_reach, STEP)
    line = start - back[:, None] * np.array(shape.direction)
    others = tuple(v for v in layout.voids if v.id != placed.id and v.operation != "PILOT")
    free = free_radius(layout.body, line, others, shop.chuck / 2.0)
    # From there on back the chuck, and the machine behind it, must stay clear.
    tight = np.flatnonzero(free < shop.chuck / 2.0)
    chuck_at = np.arange(tight[-1] + 1 if len(tight) else 0, len(line))
    # A drill that starts on a face is in the air from there: its way begins where it stands clear.
    lead = shape.radius / abs(shape.direction[2]) if placed.part.from_face else 0.0
    used = (back >= lead) & (back <= (back[chuck_at[0]] if len(chuck_at) else shop.drill_reach))
    k = int(np.argmin(np.where(used, free, np.inf)))
    spare = float(free[k]) - shape.radius
    # A point of the shank that is nearest to the wood has no name: the axis point stands for both.
    yield judge(
        (placed.id, "shank"),
        spare,
        shop.limit("wire-path.shank"),
        f"the drill for {placed.id} clears the wood behind its start by {spare:.2f} mm",
        f"tilt {placed.id} so that its drill leaves through the open face",
        at=(tuple(map(float, line[k])),) * 2,
    )
    need = shape.length + (float(back[chuck_at[0]]) if len(chuck_at) else math.inf)
    if math.isinf(need):
        yield failed(
            "wire-path",
            (placed.id, "chuck"),
            f"no drill of up to {shop.drill_reach:g} mm brings its chuck clear of the body "
            f"for {placed.id}",
            f"tilt {placed.id} more steeply or use a longer drill",
        )
    else:
        yield judge(
            (placed.id, "chuck"),
            shop.drill_reach - need,
            shop.limit("wire-path.reach"),
            f"{placed.id} needs a drill {need:.0f} mm long out of the chuck; the longest on hand is {shop.drill_reach:g} mm",
            "use a longer drill or split the channel",
            at=(shape.end, tuple(map(float, line[chuck_at[0]]))),
        )


def opening(shape: Bore, target: Void) -> tuple[float, tuple[float, float, float]]:
    """Greatest part (percent) of a bore's section that lies inside another void, and where."""
    along = np.arange(0.0, shape.shoulder + STEP / 2.0, STEP)
    along = np.append(along[along < shape.shoulder], shape.shoulder)
    spots, box = shape.at(along)[:, :2], np.array(target.shape.box)
    near = ((spots >= box[:2] - shape.radius) & (spots <= box[3:5] + shape.radius)).all(axis=1)
    along = along[near] if near.any() else along[-1:]
    ring = [(0.0, 0.0)] + [
        (r * math.cos(a), r * math.sin(a))
        for r in (0.5, 0.99)
        for a in np.arange(24) * math.pi / 12.0
    ]
    disc = shape.radius * np.array(ring) @ shape.axes[:2]
    # Where a few sections show a whole opening there is no larger one.
    for some in (along[::8], along):
        inside = (
            target.air.holds((shape.at(some)[:, None, :] + disc).reshape(-1, 3))
            .reshape(len(some), -1)
            .mean(axis=1)
        )
        k = int(np.argmax(inside))
        if inside[k] == 1.0:
            break
    return 100.0 * float(inside[k]), tuple(map(float, shape.at(some[k : k + 1])[0]))


def ways(layout: Layout) -> dict[str, dict[str, float]]:
    """Which voids open into each other, and the width (mm) of the narrower: void id -> id ->
    width."""
    solid = {p.id for p in (*layout.parts(NeckJoint), *layout.parts(Hardtail))}
    graph: dict[str, dict[str, float]] = {void.id: {} for void in layout.voids}

    def carries(void: Void) -> bool:
        """Screws and strings fill their holes: no wire goes there."""
        return void.operation != "PILOT" and not (void.operation == "BORE" and void.part in solid)

    for one, two in near_voids(layout.body, 0.0):
        if carries(one) and carries(two) and open_into(layout.body, one, two):
            width = min(_width(one), _width(two))
            graph[one.id][two.id] = graph[two.id][one.id] = width
    return graph


def _width(void: Void) -> float:
    return void.shape.hole.diameter if void.shape.hole else math.inf


def widest(
    graph: dict[str, dict[str, float]], starts: list[str], ends: set[str]
) -> tuple[float, list[str]]:
    """Width of the way whose narrowest place is widest, and the voids along it; (0, []) without a
    way."""
    queue, seen = [(-math.inf, s, (s,)) for s in starts], set()
    heapq.heapify(queue)
    while queue:
        width, here, path = heapq.heappop(queue)
        if here in ends:
            return -width, list(path)
        if here in seen:
            continue
        seen.add(here)
        for other, step in graph[here].items():
            if other not in seen:
                heapq.heappush(queue, (max(width, -step), other, (*path, other)))
    return 0.0, []


def _ends(layout: Layout, part: str) -> list[str]:
    """The voids in which a part's wires end: a control's are those of the cavity it hangs in."""
    placed = next(p for p in layout.placed if p.id == part)
    owner = placed.part.cavity if isinstance(placed.part, Control) else part
    return [v.id for v in layout.voids_of(owner) if v.operation != "PILOT"]


def _way(layout: Layout, graph: dict[str, dict[str, float]], link: Link) -> tuple[float, list[str]]:
    """`widest` for a connection. Doorways between pockets are measured, and noted in `graph`, only
    where a way leads through them and they are not plainly as wide as the rest of it; until then
    each is as wide as one likes."""
    plain: set[tuple[str, str]] = set()
    while True:
        width, path = widest(graph, _ends(layout, link.one), set(_ends(layout, link.two)))
        unknown = [
            (a, b)
            for a, b in zip(path, path[1:])
            if math.isinf(graph[a][b]) and (a, b) not in plain
        ]
        if not unknown:
            return width, path
        for a, b in unknown:
            pockets = layout.by_id[a].shape, layout.by_id[b].shape
            if plainly(*pockets) >= width:
                plain.add((a, b))
            else:
                graph[a][b] = graph[b][a] = doorway(*pockets)


def _connection(layout: Layout, graph, link: Link, check: str) -> Finding:
    width, path = _way(layout, graph, link)
    names = link.one, link.two
    if not path:
        return failed(
            check,
            names,
            f"there is no way through the wood from {link.one} to {link.two}",
            f"add a channel between {link.one} and {link.two}",
        )
    words = f"{link.one} to {link.two} by way of {', '.join(path)}"
    if math.isinf(width):
        return passed(check, names, f"{words}: one pocket holds both")
    return judge(
        names,
        width - link.bundle,
        layout.shop.limit("wire-path.bundle"),
        f"{words}: {width:.3g} mm wide for a {link.bundle:g} mm bundle",
        "widen the narrowest place, or use a larger drill for it",
    )


def ground_path(layout: Layout) -> Iterator[Finding]:
    """A ground channel under each bridge's plate, and its connection."""
    bridges = layout.parts(Hardtail)
    if not bridges or not layout.parts(Humbucker):
        yield skip("ground-path", "this design has no metal bridge with pickups to ground")
        return
    grounds = [p for p in layout.parts(Channel) if p.part.kind == "ground"]
    plates = {p.id: next(r for r in layout.rooms if r.id == f"{p.id}.plate") for p in bridges}
    for placed in bridges:
        if not grounds:
            yield failed(
                "ground-path",
                (placed.id,),
                f"no ground hole from {placed.id} to a cavity",
                f"add Channel(..., kind='ground', from_face='front') that starts under {placed.id}'s plate",
            )
        for ground in grounds:
            shape = layout.by_id[ground.id].shape.hole
            if abs(shape.direction[2]) < 0.05:
                yield failed(
                    "ground-path",
                    (ground.id, f"{placed.id}.plate"),
                    f"{ground.id} is level and comes out under no plate",
                    f"start {ground.id} on the front, under {placed.id}'s plate",
                )
                continue
            t = -shape.start[2] / shape.direction[2]
            x, y = (s + t * d for s, d in zip(shape.start[:2], shape.direction[:2]))
            spare, p, q = inside_gap(
                circle(shape.diameter / abs(shape.direction[2]), x, y),
                plates[placed.id].shape.profile,
            )
            yield judge(
                (ground.id, f"{placed.id}.plate"),
                spare,
                layout.shop.limit("ground-path"),
                f"the mouth of {ground.id} lies {spare:.2f} mm inside the plate of {placed.id}",
                f"start {ground.id} nearer the middle of the plate",
                at=((*map(float, p), 0.0), (*map(float, q), 0.0)),
            )
            for target in ground.part.through:
                percent, spot = opening(shape, layout.by_id[target])
                if percent == 0.0:
                    yield failed(
                        "ground-path",
                        (ground.id, target),
                        f"{ground.id} does not reach {target}",
                        f"lengthen {ground.id} or aim it at {target}",
                        at=(spot, spot),
                    )
