"""`pole-offset`, `pickup-room`, `ring-cover`: each pickup against its strings, its route and its ring."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.wood.near import remembered
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.plan import inside_gap, plan_gap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.shapes import boxes_apart
from bodycad.instrument.neck import board_half_width
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.void import Void
from bodycad.parts.pickup import Humbucker

NONE = "this design has no pickups"

POLE_PAGE = Page(
    asks="How far is each pole piece from its string, across the strings?",
    why="Poles beside their strings look wrong and can sound uneven; spread differs at neck and bridge.",
    limits=("pole-offset",),
    cures="Choose another pole spacing, or move the pickup along the strings.",
)
ROOM_PAGE = Page(
    asks="Do frame and feet fit their route on every side, with the travel wanted below, and does the ring clear the fretboard's end, the bridge's plate and the other rings?",
    why="A pickup that sits on the route's floor cannot be lowered; a foot that fouls a wall is found after finishing.",
    limits=("pickup-room.side", "pickup-room.depth", "pickup-room.neck"),
    cures="Route deeper or wider where wood allows, or use a lower ring.",
)
RING_PAGE = Page(
    asks="Does the ring hide the whole route, and do its screws stand in wood?",
    why="A corner of the route that shows, or a screw that falls into it, cannot be mended under a clear finish.",
    limits=("ring-cover", "ring-cover.screw"),
    cures="Use a smaller route or a larger ring; tighter corners need a smaller cutter.",
)


def pole_offset(layout: Layout) -> Iterator[Finding]:
    """The worst pole of each pickup against its string."""
    pickups = layout.parts(Humbucker)
    if not pickups:
        yield skip("pole-offset", NONE)
    lines = layout.instrument.lines
    for placed in pickups:
        if placed.part.poles != len(lines):
            yield failed(
                "pole-offset",
                (placed.id,),
                f"{placed.id} has {placed.part.poles} poles for {len(lines)} strings",
                "choose a pickup with one pole a string",
            )
            continue
        # Side by side across the body, so that a pickup turned end for end meets the same strings.
        spots = sorted(
            (placed.place.point(0.0, v) for v in placed.part.pole_offsets), key=lambda p: p[1]
        )
        across = sorted(lines, key=lambda line: line.y_at(placed.place.x))
        offsets = [(abs(y - line.y_at(x)), line, (x, y)) for (x, y), line in zip(spots, across)]
        worst, line, (x, y) = max(offsets, key=lambda o: (round(o[0], 9), -o[1].number))
        wanted = layout.instrument.spread_at(placed.place.x)
        yield judge(
            (placed.id, f"string.{line.number}"),
            worst,
            layout.shop.limit("pole-offset"),
            f"the poles of {placed.id} miss their strings by {worst:.2f} mm at most, at string {line.number}",
            f"a pole spacing of {wanted:.1f} mm follows the strings here",
            at=((x, y, 0.0), (x, line.y_at(x), 0.0)),
        )


def pickup_room(layout: Layout) -> Iterator[Finding]:
    """Room beside and below each pickup, and from its ring to the fretboard's end."""
    pickups = layout.parts(Humbucker)
    if not pickups:
        yield skip("pickup-room", NONE)
    for placed in pickups:
        part, route, ears = (
            placed.part,
            layout.by_id[f"{placed.id}.route"],
            layout.by_id[f"{placed.id}.ears"],
        )
        rooms = {room.id: room for room in layout.rooms if room.part == placed.id}
        for name, void, lowest in (
            ("body", route, part.body_depth),
            ("feet", ears, part.foot_depth),
        ):
            solid = rooms[f"{placed.id}.{name}"].shape
            side, p, q = inside_gap(solid.profile, void.shape.profile)
            yield judge(
                (placed.id, void.id),
                side,
                layout.shop.limit("pickup-room.side"),
                f"{side:.2f} mm of room beside the {name} of {placed.id}",
                f"make {void.id} wider",
                at=((*map(float, p), void.low), (*map(float, q), void.low)),
            )
            bottom = part.rest_height - lowest - part.travel
            spare = bottom - void.low
            x, y = placed.place.x, placed.place.y
            yield judge(
                (placed.id, void.id),
                spare,
                layout.shop.limit("pickup-room.depth"),
                f"{spare:.2f} mm left under the {name} of {placed.id} when it is lowered {part.travel:g} mm",
                f"make {void.id} deeper by {max(-spare, 0.0) + 2.0:.1f} mm, or accept less travel",
                at=((x, y, bottom), (x, y, void.low)),
            )
        yield from _ring_to_board(layout, placed)
    yield from _ring_to_others(layout)


def _ring_to_board(layout: Layout, placed: Placed) -> Iterator[Finding]:
    """Ring to the fretboard's end, over the board's width there."""
    end, half = (
        layout.instrument.board_end,
        board_half_width(layout.instrument.neck, layout.instrument.board_end.x),
    )
    u, v = placed.part.ring.width / 2.0, placed.part.ring.length / 2.0
    corners = np.array([placed.place.point(*c) for c in ((u, v), (u, -v), (-u, -v), (-u, v))])
    spots = [c for c in corners if abs(c[1]) <= half]
    for one, two in zip(corners, np.roll(corners, -1, axis=0)):
        spots += [
            one + (y - one[1]) / (two[1] - one[1]) * (two - one)
            for y in (half, -half)
            if min(one[1], two[1]) < y < max(one[1], two[1])
        ]
    if not spots:
        return
    spare, x, y = min((float(end.x_at(y) - x), float(x), float(y)) for x, y in spots)
    if spare < 15.0:
        yield judge(
            (placed.id, "fretboard"),
            spare,
            layout.shop.limit("pickup-room.neck"),
            f"{spare:.2f} mm between the ring of {placed.id} and the fretboard's end",
            f"move {placed.id} toward the bridge",
            at=((x, y, 0.0), (end.x_at(y), y, 0.0)),
        )


def _ring_to_others(layout: Layout) -> Iterator[Finding]:
    """Rings to each other and to the bridge's plate, on the top."""
    rings = sorted((r for r in layout.rooms if r.kind == "ring"), key=lambda r: r.id)
    plates = sorted((r for r in layout.rooms if r.kind == "plate"), key=lambda r: r.id)
    for index, ring in enumerate(rings):
        for other in (*rings[index + 1 :], *plates):
            if boxes_apart(ring.shape, other.shape) >= 15.0:
                continue
            away, p, q = plan_gap(ring.shape.profile, other.shape.profile)
            if away < 15.0:
                yield judge(
                    (ring.id, other.id),
                    away,
                    layout.shop.limit("pickup-room.neck"),
                    f"{away:.2f} mm between {ring.id} and {other.id}",
                    f"move {ring.part} and {other.part} apart",
                    at=((*map(float, p), 0.0), (*map(float, q), 0.0)),
                )


def hides(layout: Layout, placed: Placed, void: Void) -> tuple[float, np.ndarray, np.ndarray]:
    """How far (mm) a pickup's ring reaches past one of its cuts, and the witness points."""
    ring = placed.part.ring
    return remembered(
        layout,
        ("ring", void.id),
        lambda: inside_gap(
            void.shape.profile, placed.place.profile(rectangle(ring.width, ring.length))
        ),
    )


def ring_cover(layout: Layout) -> Iterator[Finding]:
    """The ring over route and ears, and wood between its screws and the route."""
    pickups = layout.parts(Humbucker)
    if not pickups:
        yield skip("ring-cover", NONE)
    for placed in pickups:
        steps = [layout.by_id[f"{placed.id}.{name}"] for name in ("route", "ears")]
        for void in steps:
            hidden, p, q = hides(layout, placed, void)
            yield judge(
                (placed.id, void.id),
                hidden,
                layout.shop.limit("ring-cover"),
                f"the ring of {placed.id} covers {void.id} by {hidden:.2f} mm",
                f"make {void.id} smaller or use a larger ring",
                at=((*map(float, p), 0.0), (*map(float, q), 0.0)),
            )
        for index in range(1, len(placed.part.ring.screws) + 1):
            pilot = layout.by_id[f"{placed.id}.screw.{index}"]
            found, void = min(
                ((gap(pilot.shape, v.shape), v) for v in steps), key=lambda f: f[0].distance
            )
            yield judge(
                (pilot.id, void.id),
                found.distance,
                layout.shop.limit("ring-cover.screw"),
                f"{found.distance:.2f} mm of wood between ring screw {index} of {placed.id} and {void.id}",
                f"make {void.id} smaller there",
                at=found.at,
                bound=found.bound,
                between=found.between,
            )
