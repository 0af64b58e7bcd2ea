"""`board-air`: the fretboard, where it lies over the body, in air."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from bodycad.checks.finding import Finding, judge, judge_gap, passed
from bodycad.checks.page import Page
from bodycad.checks.rules.pickups import shown_rims
from bodycad.checks.rules.seated import Held, held, unasked
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import overlay
from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import boxes_apart
from bodycad.instrument.neck import mouth_x
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import Face

SAGITTA = 0.005
"""Round rims are measured by chords that leave them by at most this, mm."""
STEP, FINE = 1.0, 0.05
"""Spacing of the points at which a shaped front is looked at, and about the highest of them, mm."""
STEEPEST = 1.0
"""No contour rises faster than this where a board lies over it (45 degrees)."""
NEAR = 5.0
"""What stands farther than this from the fretboard is not listed, mm."""

PAGE = Page(
    asks="Does the fretboard, where it lies over the body past the pocket and beside it, stand in "
    "air: over the front as it is shaped, and clear of everything fitted there?",
    why="The fretboard's overlap comes down on uncut wood before the heel reaches the pocket's "
    "floor: the neck rocks on it, and the screws pull it bent. A board that just touches (0 mm) is "
    "usual under a glued neck, and only a warning.",
    limits=("board-air", "board-air.core", "board-air.part"),
    cures="Make the pocket shallower, or cut the front's relief under the board: a shallow pocket "
    "from the front. Move what stands in the board's way.",
)


def board_air(layout: Layout) -> Iterator[Finding]:
    """Air under each neck's fretboard over wood and cuts, and to what is fitted near it. The board
    is the instrument's, where strings and scale want it, as high as pocket and block put it."""
    yield from unasked(layout, "board-air", pocketed=False)
    for neck in held(layout):
        yield _over_body(layout, neck, neck.seat)
        yield from _beside_parts(layout, neck, neck.seat)


def _over_body(layout: Layout, neck: Held, seat: Seat) -> Finding:
    subjects = neck.board, "front"
    found = [f for f in (_over_front(layout, seat), *_over_cuts(layout, seat)) if f is not None]
    if not found:
        return passed("board-air", subjects, f"no wood lies under the fretboard of {neck.id}")
    air, bound, under, over, what = min(found, key=lambda f: f[0])
    side = "over" if air >= 0.0 else "under"
    words = f"the fretboard of {neck.id} lies {abs(air):.2f} mm {side} {what}"
    relief = "relieve the front under the fretboard"
    relief = relief if what == "the front" else f"lower {what}"
    cure = f"make {neck.cut} shallower, or {relief}" if neck.depth is not None else relief
    limit = layout.shop.limit("board-air" if neck.depth is not None else "board-air.core")
    each, at = [one[0] for one in found], (under, over)
    return judge(
        subjects, air, limit, words, cure, at=at, bound=bound, of=lambda: each, code="board-air"
    )


Point3 = tuple[float, float, float]
Air = tuple[float, float, Point3, Point3, str]


def _cuts(layout: Layout, seat: Seat) -> list[Void]:
    """The routed voids from the front that come under the board's box."""
    x0, y0, x1, y1 = seat.board.box
    near = []
    for void in layout.voids:
        u0, v0, _, u1, v1, _ = void.shape.box
        under = u0 < x1 and x0 < u1 and v0 < y1 and y0 < v1
        if under and Face.FRONT in void.opens and void.shape.prism:
            near.append(void)
    return near


def _over_front(layout: Layout, seat: Seat) -> Air | None:
    """Air over the front where nothing is cut."""
    plans = [v.shape.plan for v in _cuts(layout, seat)]
    if not seat.angle_deg:
        # A level board lies equally high over all plain wood: one place of it will do.
        spots = seat.board.vertices[:, :2]
        cut = np.any([plan.segments.encloses(spots) for plan in plans], axis=0)
        spots = spots[layout.skin.outline.segments.encloses(spots) & ~cut]
        for x, y in spots[layout.skin.height("front", spots) == 0.0].tolist():
            air = float(seat.underside(np.array([[x, y]]))[0])
            return air, 0.0, (x, y, air), (x, y, 0.0), "the front"
    wood = overlay(
        (seat.board, layout.skin.outline, *plans),
        lambda inside: inside[0] & inside[1] & ~np.any(inside[2:], axis=0),
    )
    rim = _rim(wood)
    if not len(rim):
        return None
    # A plane over the plain front comes nearest at a corner: if one of those is not lowered by edge
    # or contour, that is it.
    plain = seat.underside(rim)
    heights = layout.skin.height("front", rim)
    air, lowest, bound = plain - heights, float(plain.min()), 0.0
    if float(air.min()) > lowest + 1e-9:
        rim = _spread(wood, STEP)
        air = seat.underside(rim) - layout.skin.height("front", rim)
        best = rim[np.argsort(air)[:8]]
        fine = np.arange(-STEP, STEP + FINE / 2.0, FINE)
        around = np.stack(np.meshgrid(fine, fine), -1).reshape(-1, 2)
        more = np.concatenate([around + spot for spot in best])
        rim = np.vstack([rim, more[_inside(wood, more)]])
        heights = layout.skin.height("front", rim)
        air = seat.underside(rim) - heights
        slope = math.tan(math.radians(abs(seat.angle_deg)))
        bound = min(float(air.min()) - lowest, FINE * (STEEPEST + slope))
    k = int(np.argmin(air))
    x, y, z = (*map(float, rim[k]), float(heights[k]))
    return float(air[k]), max(bound, 0.0), (x, y, z + float(air[k])), (x, y, z), "the front"


def _over_cuts(layout: Layout, seat: Seat) -> Iterator[Air]:
    """Air over the floor of each shallow cut, where no deeper one takes that floor away."""
    cuts = [(void, floor) for void in _cuts(layout, seat) if (floor := void.shape.prism)]
    for void, floor in cuts:
        lowest = float(seat.underside(np.array(floor.plan.box).reshape(2, 2)).min())
        if floor.floor_range[1] < lowest - NEAR:
            continue
        deeper = (other.plan for _, other in cuts if other.low < floor.low)
        over = overlay(
            (seat.board, layout.skin.outline, floor.plan, *deeper),
            lambda inside: inside[:3].all(axis=0) & ~np.any(inside[3:], axis=0),
        )
        rim = _rim(over)
        if not len(rim):
            continue
        heights = floor.floor_at(rim)
        air = seat.underside(rim) - heights
        k = int(np.argmin(air))
        x, y, z = (*map(float, rim[k]), float(heights[k]))
        yield float(air[k]), 0.0, (x, y, z + float(air[k])), (x, y, z), f"the floor of {void.id}"


def _rim(regions: Sequence[Region]) -> np.ndarray:
    """Points (m, 2) of the rims of regions, their corners among them."""
    plans = [p for region in regions for p in (region.outer, *region.holes)]
    return np.vstack([flatten(p, SAGITTA) for p in plans]) if plans else np.zeros((0, 2))


def _spread(regions: Sequence[Region], step: float) -> np.ndarray:
    """Points (m, 2) along the rims of regions and all over them, about `step` mm apart."""
    rims = []
    for plan in (p for region in regions for p in (region.outer, *region.holes)):
        s = plan.segments
        count = max(2, math.ceil(float(s.length.max()) / step) + 1)
        rims += [s.at(np.full(len(s), t)) for t in np.linspace(0.0, 1.0, count)]
    rim = np.vstack(rims)
    (x0, y0), (x1, y1) = rim.min(axis=0), rim.max(axis=0)
    axes = np.arange(x0, x1, step), np.arange(y0, y1, step)
    grid = np.stack(np.meshgrid(*axes), -1).reshape(-1, 2)
    return np.vstack([rim, grid[_inside(regions, grid)]])


def _inside(regions: Sequence[Region], points: np.ndarray) -> np.ndarray:
    inside = np.zeros(len(points), bool)
    for region in regions:
        own = region.outer.segments.encloses(points)
        for hole in region.holes:
            own &= ~hole.segments.encloses(points)
        inside |= own
    return inside


def _beside_parts(layout: Layout, neck: Held, seat: Seat) -> Iterator[Finding]:
    """What is fitted near the board, other than the neck's own and the rims of pickups, which
    `pickup-room` holds against the board's end whatever their height."""
    x0, beyond = seat.board.box[0], layout.skin.outline.box[2] - seat.mouth[0]
    own = layout.instrument.neck
    plan = seat.board_to(min(mouth_x(own) + max(beyond, 0.0) + NEAR, own.centre_scale))
    under = seat.underside(plan.vertices[:, :2])
    top = float(under.max()) + seat.instrument.neck.board_thickness
    slope = -math.tan(math.radians(seat.angle_deg)), 0.0
    solid = Prism(plan, float(seat.underside(np.array([[x0, 0.0]]))[0]), top, slope, (x0, 0.0))
    limit, rims = layout.shop.limit("board-air.part"), {r.id for _, r, _ in shown_rims(layout)}
    for room in sorted(layout.rooms, key=lambda r: r.id):
        if room.part == neck.id or room.id in rims or boxes_apart(room.shape, solid) >= NEAR:
            continue
        found = gap(room.shape, solid)
        if found.distance < NEAR:
            words = f"{found.distance:.2f} mm between {room.id} and the fretboard"
            cure = f"move {room.part} away from the fretboard, or make it lower"
            yield judge_gap((room.id, neck.board), found, limit, words, cure)
