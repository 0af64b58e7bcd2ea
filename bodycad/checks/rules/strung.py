"""The strings of an instrument put together: over its parts, on their saddles, over the poles."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from bodycad.checks.finding import Finding, Witness, judge
from bodycad.checks.strings_served import by_string
from bodycad.geometry.distance.gap import gap
from bodycad.instrument.seat import Seat
from bodycad.layout.assembly import strung
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.words import RoomKind

BEARS = (RoomKind.NECK, RoomKind.BOARD, RoomKind.SADDLE, RoomKind.TOOL)
"""What strings bear on, are judged over by the frets' height, or are put aside for."""


def over_parts(layout: Layout, rooms: Mapping[str, Room], seat: Seat) -> Iterator[Finding]:
    """The air between each part over the front and the string that comes nearest to it, open or
    pressed at the last fret."""
    solids = [r for r in rooms.values() if r.kind not in BEARS and r.shape.box[5] > 0.0]
    if not solids:
        return
    boxes = np.array([room.shape.box for room in solids])
    poses = [
        (line.number, pressed, strung(layout, seat, line.number, pressed))
        for line in layout.instrument.lines
        for pressed in (False, True)
    ]
    starts, ends = (np.array([p[2].start for p in poses]), np.array([p[2].end for p in poses]))
    radius = np.array([p[2].radius for p in poses])
    # Over the x of each room (rooms, strings, 2 ends): the part of the string that is there.
    low, high = boxes[:, None, 0], boxes[:, None, 3]
    x = np.clip(np.stack([low, high], -1), starts[:, 0, None], ends[:, 0, None])
    share = (x - starts[:, 0, None]) / (ends[:, 0] - starts[:, 0])[:, None]
    y, z = (s[:, None] + share * (e - s)[:, None] for s, e in zip(starts.T[1:], ends.T[1:]))
    beside = np.maximum(boxes[:, None, 1] - y.max(-1), y.min(-1) - boxes[:, None, 4]) - radius
    over = (high > starts[:, 0]) & (low < ends[:, 0]) & (beside < 0.0)
    air = np.where(over, z.min(-1) - radius - boxes[:, None, 5], np.inf)
    for i, (room, row) in enumerate(zip(solids, air, strict=True)):
        k = int(np.argmin(row))
        if not math.isfinite(row[k]):
            continue
        number, pressed, rod = poses[k]
        value, low_end = float(row[k]), int(np.argmin(z[i, k]))
        spot, top = (float(x[i, k, low_end]), float(y[i, k, low_end])), room.shape.box[5]
        at = (*spot, top), (*spot, top + value)
        if value < 0.0 and (found := gap(rod, room.shape)).distance > 0.0:
            value, at = found.distance, found.at
        pose = "pressed at the last fret" if pressed else "open"
        yield judge(
            (room.part,),
            value,
            layout.shop.limit("assembly.string"),
            f"string {number}, {pose}, clears {room.id} by {value:.2f} mm",
            f"lower {room.part}, or raise the strings",
            at=at,
        )


def _top(room: Room) -> Witness:
    """The middle of a room's top."""
    x0, y0, _, x1, y1, z = room.shape.box
    at = (x0 + x1) / 2.0, (y0 + y1) / 2.0, z
    return at, at


def on_saddles(layout: Layout, seat: Seat) -> Iterator[Finding]:
    """How far each string's own bearing point lies from all that its saddle reaches."""
    own = layout.instrument
    for number, saddle in by_string(layout).items():
        x, y, z = seat.string(number, own.saddle_points[number - 1][0])
        (ax, ay, _), (ux, uy, _) = saddle.at, saddle.along
        along = (x - ax) * ux + (y - ay) * uy
        past = max(along - saddle.ahead, -saddle.behind - along, 0.0)
        aside = abs((y - ay) * ux - (x - ax) * uy)
        tall = max(saddle.low - z, z - saddle.high, 0.0)
        value = math.hypot(past, aside, tall)
        yield judge(
            (saddle.part,),
            value,
            layout.shop.limit("assembly.saddle"),
            f"string {number} bears {value:.2f} mm beside, over or under what {saddle.id} reaches",
            f"move {saddle.part}, or choose a bridge with the strings' spacing and height",
            at=((x, y, z), saddle.at),
        )


def over_poles(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[Finding]:
    """How far inside the rim of each drawn pole the string nearest to it passes over it."""
    lines = layout.instrument.lines
    for room in rooms.values():
        if room.kind is not RoomKind.POLE:
            continue
        plan = room.shape.plan
        x, y = plan.centroid
        line = min(lines, key=lambda one: abs(one.y_at(x) - y))
        if plan.circle:
            value = plan.circle[1] - abs(line.y_at(x) - y) * math.cos(math.radians(line.angle_deg))
        else:
            spots = np.linspace(plan.box[0], plan.box[2], 17)
            over = np.column_stack([spots, [line.y_at(float(s)) for s in spots]])
            value = float(-plan.signed_distance(over).min())
        where = f"{value:.2f} mm inside" if value >= 0.0 else f"{-value:.2f} mm outside"
        yield judge(
            (room.part,),
            value,
            layout.shop.limit("assembly.pole"),
            f"string {line.number} passes {where} the rim of {room.id}",
            f"turn or move {room.part}, or choose another pole spacing",
            at=_top(room),
        )
