"""The instrument put together: every room where it stands once all is fitted, and the strings.

Rooms say how a part is drawn; records say where it goes from there. The neck stands where strings
and scale want it, let down onto the floor of its pocket or the shim on it. A pickup is taken over
the whole of its travel, from rest to as far down as its Fit says. Screws that are stated without a
room are cylinders of their thread.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.polygon import where_negative
from bodycad.geometry.plane.profile import Point, Profile, trusted
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape
from bodycad.instrument.neck import board_half_width, mouth_x
from bodycad.instrument.seat import Seat
from bodycad.layout.interface import Core, Fit, Joint, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.words import RoomKind

BEYOND = 1.0
"""How far past the outline a fretboard counts as over the body, mm."""
FLUSH = 0.01
"""A seat that stands no higher than this over the front is planed flush with it, mm."""
SHAFT, SLIMMER = 8.0, 0.8
"""No neck is less deep than this under its fretboard (mm), nor narrower than this share of it there
(common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Seated:
    """A stated neck as strings and scale want it: its heel block in the pocket, its fretboard over
    the body, and what at least of its shaft lies over the body past the block's mouth, None where
    that is at the body's end. A neck that runs through the body has neither block nor shaft over
    it. board_end: the middle of the fretboard's bridge-side end in plan."""

    stated: Joint | Core
    seat: Seat
    heel: Prism | None
    board: Prism
    shaft: Prism | None
    board_end: Point


@dataclass(frozen=True)
class Standing:
    """The seat of a fretboard on a core, wood that stands over the front: x of its bridge-side end
    and how high it stands there; x where the neck leaves the body, and how high there, mm."""

    end: tuple[float, float]
    mouth: tuple[float, float]

    @property
    def high(self) -> float:
        """The highest of it, mm."""
        return max(self.end[1], self.mouth[1])


def standing(layout: Layout) -> Standing | None:
    """The seat on the body's core; None where none stands over the front."""
    for core in layout.stated(Core):
        board = layout.rooms_by_id[core.board].shape.prism
        if board is not None:
            ends = ((x, float(board.floor(x, core.end[1]))) for x in (board.box[0], core.end[0]))
            found = Standing(*ends)
            return found if found.high > FLUSH else None
    return None


def assembled(layout: Layout) -> Mapping[str, Room]:
    """Every room by its id, as it stands or moves in the finished instrument."""
    down: dict[str, float] = {}
    for fit in layout.stated(Fit):
        if fit.below:
            down[fit.room] = max(fit.below, down.get(fit.room, 0.0))
    stands: dict[str, Shape] = {}
    for neck in seated(layout):
        stands[neck.stated.board] = neck.board
        if isinstance(neck.stated, Joint) and neck.heel is not None:
            stands[neck.stated.heel] = neck.heel
    found = {}
    for room in layout.rooms:
        shape = stands.get(room.id, room.shape)
        shape = lowered(shape, down[room.id]) if room.id in down else shape
        found[room.id] = room if shape is room.shape else replace(room, shape=shape)
    return found


def lowered(shape: Shape, by: float) -> Shape:
    """What a shape sweeps when it goes down by `by` mm."""
    first, last = shape.ends
    return shape.stretched(by, 0.0) if first.out[2] < last.out[2] else shape.stretched(0.0, by)


def rest(joint: Joint, pocket: Prism, mouth: Point) -> Prism:
    """What a joint's block rests on: its pocket, the floor raised by the shims. mouth: the middle
    of the block's mouth in plan."""
    if not (joint.shim_mouth or joint.shim_end):
        return pocket
    (ax, ay, _), (sx, sy) = joint.ahead, pocket.slope
    long = math.dist(mouth, joint.end[:2])
    more = (joint.shim_mouth - joint.shim_end) / long if long > 0.0 else 0.0
    slope = sx + more * ax, sy + more * ay
    low = pocket.floor(*mouth) + joint.shim_mouth
    return replace(pocket, low=float(low), slope=slope, slope_at=mouth)


def core_seat(layout: Layout, core: Core) -> Seat | None:
    """The instrument's neck where a core's fretboard lies: its floor is the front where the neck
    leaves the body. None where that room is no prism, or lies as no fretboard does."""
    board = layout.rooms_by_id[core.board].shape.prism
    if board is None:
        return None
    x = mouth_x(layout.instrument.neck)
    angle, under = -math.atan(board.slope[0]), float(board.floor(x, 0.0))
    top = board.high - board.floor_range[1]
    if under < 0.0 or not -5.0 <= math.degrees(angle) <= 10.0:
        return None
    return Seat(layout.instrument, 0.0, math.degrees(angle), under * math.cos(angle) + top)


def seated(layout: Layout) -> tuple[Seated, ...]:
    """Each stated neck whose pocket, or whose fretboard on a core, is a prism, where strings and
    scale want it."""
    found: tuple[Seated, ...] | None = layout.memo.get("seated")
    if found is None:
        found = layout.memo["seated"] = tuple(_seated(layout))
    return found


def _seated(layout: Layout) -> Iterator[Seated]:
    own = layout.instrument
    for joint in layout.stated(Joint):
        pocket = layout.by_id[joint.pocket].shape.prism
        if pocket is None:
            continue
        pocket = rest(joint, pocket, (mouth_x(own.neck), 0.0))
        depth = -pocket.floor(mouth_x(own.neck), 0.0)
        angle = -math.degrees(math.atan(pocket.slope[0]))
        if depth < 0.0 or not -5.0 <= angle <= 10.0:
            continue
        seat = Seat(own, depth, angle)
        board, low, top = _board(layout, seat)
        heel = Prism(seat.block, pocket.low, top, pocket.slope, pocket.slope_at)
        shaft, reach = None, _past_mouth(layout, board.profile, seat.mouth[0])
        if reach > BEYOND:
            wide = SLIMMER * board_half_width(own.neck, mouth_x(own.neck))
            plan = rectangle(reach, 2.0 * wide, 0.0, seat.mouth[0] + reach / 2.0, 0.0)
            shaft = Prism(plan, low - SHAFT, top, board.slope)
        yield Seated(joint, seat, heel, board, shaft, _board_end(seat))
    for core in layout.stated(Core):
        level = core_seat(layout, core)
        if level is not None:
            board, _, _ = _board(layout, level)
            yield Seated(core, level, None, board, None, _board_end(level))


def _board(layout: Layout, seat: Seat) -> tuple[Prism, float, float]:
    """The fretboard as far as body lies under it, its underside on the scale line and the highest
    of it."""
    far, rows = layout.skin.outline.box[2] + BEYOND, seat.board.vertices[:, :2]
    past = max(far, float(rows[:, 0].min()) + BEYOND)  # a scale far too long: all lies past
    plan = trusted(where_negative(rows, rows[:, 0] - past).tolist(), "the fretboard")
    low, ahead = seat.underside(np.array([(0.0, 0.0), (1.0, 0.0)])).tolist()
    slope = ahead - low
    top = max(low + slope * x for x in plan.box[::2])
    thick = layout.instrument.neck.board_thickness
    return Prism(plan, low, top + thick, (slope, 0.0)), low, top


def _board_end(seat: Seat) -> Point:
    """The middle of the fretboard's bridge-side end in plan."""
    return seat.point(seat.instrument.board_end.x, 0.0, 0.0)[:2]


def _past_mouth(layout: Layout, board: Profile, mouth: float) -> float:
    """How far (mm) the body reaches past a block's mouth under the middle of the neck."""
    along = np.arange(mouth, board.box[2], BEYOND)
    spots = np.column_stack([along, np.zeros(len(along))])
    inside = layout.skin.outline.segments.encloses(spots)
    return float(along[inside][-1] - mouth) + BEYOND if inside.any() else 0.0


def strung(layout: Layout, seat: Seat, number: int, pressed: bool) -> Bore:
    """One string as a round rod from its saddle to the last fret, open or pressed there. Its action
    is the air under it: its axis lies half its gauge higher."""
    own = layout.instrument
    far = own.fret_line(own.neck.frets).x_at(own.lines[number - 1].y_at(0.0))
    at = seat.pressed if pressed else seat.string
    one, two = at(number, own.saddle_points[number - 1][0]), at(number, far)
    way, gauge = (two[0] - one[0], two[1] - one[1], two[2] - one[2]), own.strings[number - 1].gauge
    return bore((one[0], one[1], one[2] + gauge / 2.0), way, gauge, math.dist(one, two))


def screws(layout: Layout) -> Mapping[str, Room]:
    """Every stated screw as a cylinder of its thread from seat to tip, by the id of its hole."""
    found = {}
    for one in layout.stated(Screw):
        if one.reach > 0.0:
            shape = bore(one.at, one.way, one.thread, one.reach)
            found[one.hole] = Room(one.hole, one.part, RoomKind.SCREW, shape)
    return found
