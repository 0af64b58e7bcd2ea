"""`string-path`: each string behind its saddle, to what holds its end."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from bodycad.checks.finding import Finding, both_ways, judge, judge_gap, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import necks
from bodycad.checks.strings_served import bearing, by_string, held_ends, running, string_holes
from bodycad.checks.wood.near import of_the_skin, rod_gap
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.plane.region import near_pairs
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.seat import Seat
from bodycad.layout.interface import Anchor, Saddle, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.words import RoomKind

NONE = "no string of this design has both a saddle and something that holds its end"
INSIDE = 0.5
"""A room that reaches within this of a string's held end holds it there: it is not in the way, mm
(common practice, no source)."""
AHEAD = 10.0
"""The playing string's rise is taken over this much of it before the saddle, mm."""
NEAR = 3.0
"""What a string, or a neighbour's bridge, clears by more is not listed, mm."""
PASSED = (RoomKind.SADDLE, RoomKind.SWING, RoomKind.PLUG, RoomKind.NECK, RoomKind.BOARD)
"""What a string behind its saddle does not run into: saddles, which it leaves, and room for what
moves in the wood."""
STOOD = (RoomKind.SADDLE, RoomKind.PLATE)

PAGE = Page(
    asks="Does each string bend down over its saddle, and how far aside, on its way to what holds "
    "its end; does it clear the bridge's rear and all else on that way; does it pass its hole; "
    "and do bridges of neighbouring strings stand clear of each other?",
    why="A string that does not bear down buzzes and jumps off; one that rests on the bridge's "
    "rear edge bends its posts and sounds dead; a thick bass string does not go through a hole "
    "for a guitar's; single bridges that touch cannot be set apart.",
    limits=(
        "string-path.break",
        "string-path.aside",
        "string-path.clear",
        "string-path.hole",
        "string-path.apart",
    ),
    cures="Lower the tailpiece or move it back or up to the bridge, move it across the strings, "
    "drill wider string holes, use narrower single bridges.",
)


@dataclass(frozen=True)
class Behind:
    """A string behind its saddle: where it bears, where its end is held, and by whom.

    rise: how much the playing string rises toward the saddle, mm a mm. hole: what it passes there,
    mm. bar: an anchor holds it, no hole in the body. lift: how far the bar that carries the saddle
    is up, mm."""

    number: int
    saddle: Saddle
    start: Point3
    end: Point3
    holder: str
    rise: float
    hole: float | None
    bar: bool
    lift: float

    @property
    def run(self) -> float:
        """From saddle to held end in plan, mm."""
        return math.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def break_deg(self) -> float:
        """How far the string bends down over its saddle, degrees."""
        down = math.atan2(self.start[2] - self.end[2], self.run)
        return math.degrees(down + math.atan(self.rise))


def string_path(layout: Layout) -> Iterator[Finding]:
    """Every string from its saddle to what holds its end, and bridges beside each other."""
    rows = list(strings_behind(layout))
    if not rows:
        yield skip("string-path", NONE)
    pairs: dict[tuple[str, str], list[Behind]] = {}
    for row in rows:
        pairs.setdefault((row.saddle.part, row.holder), []).append(row)
    for subjects, some in pairs.items():
        yield _break(layout, subjects, some)
        if any(row.bar for row in some):
            yield _aside(layout, subjects, some)
        yield from _passes(layout, subjects[1], some)
    yield from _clear(layout, rows)
    yield from _apart(layout)


def strings_behind(layout: Layout) -> Iterator[Behind]:
    """Each string that has both a saddle and something that holds its end."""
    held: dict[int, tuple[StringHole | Anchor, Point3]] = {}
    for hole, line in string_holes(layout):
        if line is not None:
            held.setdefault(line.number, (hole, _mouth(layout, hole)))
    for anchor, at, line in held_ends(layout):
        first = held.get(line.number) if line else None
        if line and (first is None or isinstance(first[0], StringHole) and not first[0].seat):
            held[line.number] = anchor, at
    seat = next((neck.seat(layout) for neck in necks(layout)), None)
    for number, saddle in by_string(layout).items():
        if number in held:
            holder, end = held[number]
            start, rise = _bears(layout, seat, number, saddle)
            lift = start[2] - saddle.low if saddle.bar else 0.0
            if holder.part == saddle.part:
                end = end[0], end[1], end[2] + lift
            wide, bar = None, isinstance(holder, Anchor)
            if isinstance(holder, Anchor):
                wide = holder.passes
            elif drilled := layout.by_id[holder.hole].shape.hole:
                wide = drilled.diameter
            yield Behind(number, saddle, start, end, holder.part, rise, wide, bar, lift)


def _mouth(layout: Layout, hole: StringHole) -> Point3:
    """Where a string enters its hole: at the top of its own part's plate over it."""
    x, y, z = hole.at
    tops = [
        room.shape.box[5]
        for room in layout.rooms
        if room.part == hole.part and room.kind is RoomKind.PLATE and room.shape.plan.contains(x, y)
    ]
    return x, y, max([z, *tops])


def _bears(layout: Layout, seat: Seat | None, number: int, saddle: Saddle) -> tuple[Point3, float]:
    """Where a string bears on its saddle and how it rises toward it; at the saddle's lowest and
    level where no neck says so."""
    x, y = bearing(layout, saddle, layout.instrument.lines[number - 1])
    if seat is None:
        return (x, y, saddle.low), 0.0
    z, ahead = seat.string(number, x)[2], seat.string(number, x + AHEAD)[2]
    return (x, y, z), (z - ahead) / AHEAD


def _break(layout: Layout, subjects: tuple[str, str], rows: list[Behind]) -> Finding:
    """The string that bends down least."""
    row = min(rows, key=lambda one: one.break_deg)
    limit, holder = layout.shop.limit("string-path.break"), row.holder
    bends = f"string {row.number} bends down by {row.break_deg:.1f} degrees over its saddle"
    words = f"{bends} on its way to {holder}, the least of {len(rows)}"
    cure = f"lower what holds it in {holder}, or move that nearer to the saddles"
    at, of = (row.start, row.end), partial(tuple, [one.break_deg for one in rows])
    return judge(subjects, row.break_deg, limit, words, cure, at=at, unit="degrees", of=of)


def _aside(layout: Layout, subjects: tuple[str, str], rows: list[Behind]) -> Finding:
    """The string that bends aside most."""
    turns, runs = dict[int, float](), running(layout)
    for row in rows:
        (x, y, _), (ex, ey, _) = row.start, row.end
        way = math.degrees(math.atan2(y - ey, x - ex)) - runs[row.number].angle_deg
        turns[row.number] = (way + 180.0) % 360.0 - 180.0
    row = max(rows, key=lambda one: abs(turns[one.number]))
    most, limit = abs(turns[row.number]), layout.shop.limit("string-path.aside")
    words = f"string {row.number} bends aside by {most:.1f} degrees over its saddle, the most"
    cure = f"give {row.holder} the saddles' spacing, or move it across the strings"
    at, of = (row.start, row.end), both_ways(turns.values())
    text = f"{words} of {len(rows)}"
    return judge(subjects, most, limit, text, cure, at=at, unit="degrees", of=of)


def _passes(layout: Layout, holder: str, rows: list[Behind]) -> Iterator[Finding]:
    """The string that its hole leaves the least play."""
    gauges = [string.gauge for string in layout.instrument.strings]
    plays = [(row.hole - gauges[row.number - 1], row) for row in rows if row.hole is not None]
    if plays:
        play, row = min(plays, key=lambda one: (one[0], one[1].number))
        limit, gauge = layout.shop.limit("string-path.hole"), gauges[row.number - 1]
        words = f"{gauge:.2f} mm thick, has {play:.2f} mm of play in its hole in {holder}"
        cure, of = f"make the string holes of {holder} wider", partial(tuple, [p for p, _ in plays])
        subjects = holder, "strings"
        yield judge(subjects, play, limit, f"string {row.number}, {words}", cure, of=of)


def _clear(layout: Layout, rows: list[Behind]) -> Iterator[Finding]:
    """Of each room the string that comes nearest to it behind its saddle."""
    worst: dict[tuple[str, str], Finding] = {}
    solids = [room for room in layout.rooms if room.kind not in PASSED]
    boxes = np.array([room.shape.box for room in solids]).reshape(-1, 6)
    limit = layout.shop.limit("string-path.clear")
    for row in rows:
        rod = _rod(layout, row)
        if rod is None:
            continue
        box = np.array(rod.box)
        apart = np.maximum(boxes[:, :3] - box[3:], box[:3] - boxes[:, 3:]).max(axis=1)
        for room in (solids[k] for k in np.flatnonzero(apart <= NEAR + row.lift)):
            room = room.moved(0.0, 0.0, row.lift) if room.id == row.saddle.bar else room
            found = rod_gap(layout, rod, room.shape)
            if found.distance > NEAR or _holds(layout, room, row.end):
                continue
            words = f"string {row.number} clears {room.id} by {found.distance:.2f} mm"
            if found.distance <= 0.0:
                words = f"string {row.number} runs into {room.id}"
            cure = f"raise what holds it in {row.holder}, or move {row.holder} away from it"
            key, text = (room.id, row.holder), f"{words} on its way to {row.holder}"
            said = judge_gap(key, found, limit, text, cure)
            first = worst.setdefault(key, said)
            if (said.value or 0.0) < (first.value or 0.0):
                worst[key] = said
    yield from worst.values()


def _rod(layout: Layout, row: Behind) -> Bore | None:
    """The string as a round rod on the saddle, its underside at the saddle's point; None where its
    end is held under it."""
    gauge = layout.instrument.strings[row.number - 1].gauge
    up = gauge / 2.0
    (x, y, z), end = row.start, np.array(row.end)
    start = np.array([x, y, z + up])
    length = float(np.linalg.norm(end - start))
    if row.run <= gauge:
        return None
    way = (end - start) / length
    return bore((x, y, z + up), (float(way[0]), float(way[1]), float(way[2])), gauge, length)


def _holds(layout: Layout, room: Room, end: Point3) -> bool:
    """Whether a room reaches the place where a string's end is held."""

    def find() -> bool:
        x, y, z = end
        dot = bore((x, y, z - INSIDE), (0.0, 0.0, 1.0), INSIDE, 2.0 * INSIDE)
        return at_least(dot, room.shape) <= 0.0 and gap(dot, room.shape).distance <= 0.0

    return of_the_skin(layout.body, ("holds", end, room.shape), find)


def _apart(layout: Layout) -> Iterator[Finding]:
    """Saddles and plates of different bridges beside each other."""
    bridges = {one.part for one in layout.stated(Saddle)}
    rooms = [r for r in layout.rooms if r.part in bridges and r.kind in STOOD]
    if len(bridges) < 2:
        return
    boxes = np.array([room.shape.box for room in rooms])[:, [0, 1, 3, 4, 2, 5]]
    worst: dict[tuple[str, str], Finding] = {}
    for i, j in near_pairs(boxes, NEAR):
        one, two = rooms[i], rooms[j]
        if one.part == two.part or at_least(one.shape, two.shape) > NEAR:
            continue
        found, limit = gap(one.shape, two.shape), layout.shop.limit("string-path.apart")
        words = f"{found.distance:.2f} mm between {one.id} and {two.id}"
        cure = f"use a narrower bridge than {one.part}, or a wider string spread"
        key = (one.part, two.part) if one.part < two.part else (two.part, one.part)
        said = judge_gap(key, found, limit, words, cure)
        first = worst.setdefault(key, said)
        if (said.value or 0.0) < (first.value or 0.0):
            worst[key] = said
    yield from worst.values()
