"""The blank on paper: joints, grain, pins, what is cut beside the body, tabs, and where the blank
may be held down, clear of every cutter's way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.checks.order.approach import approach
from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.layout.blank import Blank
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.rest import beyond, hull
from bodycad.making.stock import Size, boards
from bodycad.making.tabs import Tab, tabs
from bodycad.words import SIDES, Face

WASHER = 16.0
"""What holds the blank down is no wider than this: a screw of 5 mm with its washer, mm (common
practice, no source)."""
CLEAR = 5.0
"""A cutter passes a hold-down by so much at least, mm (common practice, no source)."""
BESIDE = 12.0
"""Wood between a hold-down and a datum pin, mm (common practice, no source)."""
MOST, FEWEST = 6, 3
"""So many hold-down places are named, where there are any; fewer than three hold nothing flat."""
GRID = 4.0
"""Places are looked for on a grid of this pitch, mm."""


@dataclass(frozen=True, eq=False)
class BlankPlan:
    """The blank of a workpiece, in that piece's own frame, mm.

    holds: middles of the places where a washer of `WASHER` mm lies clear of every cutter's way, by
    `CLEAR` and more; firm: whether those hold the body from all sides. way: how wide the cutter is
    that they keep clear of. approach: waste that is cleared for the neck to `approach_depth`.
    core: what of the core runs on past the blank as the neck, to the nut; None where none does.
    boards: the width of each board between the joints, in the order of y. rough: length, width and
    thickness of each as it is bought."""

    piece: Workpiece
    blank: Blank
    holds: tuple[Point, ...]
    firm: bool
    way: float
    approach: tuple[Region, ...]
    approach_depth: float
    tabs: tuple[Tab, ...]
    core: Profile | None
    boards: tuple[float, ...]
    rough: tuple[Size, ...]

    @property
    def bought(self) -> str:
        """The boards as they are bought, length by width by thickness, in words."""
        sizes = (f"{long:.0f} x {wide:.0f} x {thick:.0f}" for long, wide, thick in self.rough)
        return ", ".join(sizes)


def blank_plan(layout: Layout) -> BlankPlan | None:
    """The blank of the body; None where none is drawn."""
    return remembered(layout, ("making", "blank plan"), lambda: _plan(layout))


def _plan(layout: Layout) -> BlankPlan | None:
    piece = layout.body
    blank = piece.blank
    if blank is None:
        return None
    ways = [found for j in layout.stated(Joint) if (found := approach(layout, j)) is not None]
    regions = tuple(region for way in ways for region in way.regions)
    deep = max((way.depth for way in ways), default=0.0)
    wide = widest(layout)
    holds = _holds(piece, blank, regions, wide)
    middle = np.array([piece.skin.outline.centroid])
    firm = len(holds) >= FEWEST and beyond(hull(np.array(holds)), middle)[0] <= 0.0
    bought = tuple(boards(layout))
    return BlankPlan(
        piece,
        blank,
        holds,
        bool(firm),
        wide,
        regions,
        deep,
        tuple(tab for tab in tabs(layout) if tab.piece == piece.id),
        _runs_on(piece, blank),
        tuple(board.net[1] for board in bought),
        tuple(board.rough for board in bought),
    )


def _runs_on(piece: Workpiece, blank: Blank) -> Profile | None:
    if piece.neck is None or piece.neck.box[2] <= blank.x1:
        return None
    _, y0, x1, y1 = piece.neck.box
    return rectangle(x1 - blank.x1, y1 - y0, 0.0, (blank.x1 + x1) / 2.0, (y0 + y1) / 2.0)


def widest(layout: Layout) -> float:
    """The diameter of the widest router cutter on hand, mm: any of them may run there."""
    return max(float(cutter.diameter) for cutter in layout.shop.cutters)


def off_the_way(piece: Workpiece, regions: Sequence[Region], spots: np.ndarray) -> np.ndarray:
    """How far (m,) points (m, 2) lie from all that is cut in plan, and from a core that runs on:
    outline, what opens beside it, what is cleared for the neck; mm, less than 0 within."""
    away = piece.skin.outline.signed_distance(spots)
    if piece.neck is not None:
        away = np.minimum(away, piece.neck.signed_distance(spots))
    for void in piece.voids:
        if void.face in SIDES and void.shape.upright and Face.EDGE in void.opens:
            away = np.minimum(away, void.shape.plan.signed_distance(spots))
    for region in regions:
        away = np.minimum(away, region.outer.signed_distance(spots))
    return away


def _holds(
    piece: Workpiece, blank: Blank, regions: Sequence[Region], wide: float
) -> tuple[Point, ...]:
    """Places in the waste, each as far as may be from those before it."""
    half = WASHER / 2.0
    xs = np.arange(blank.x0 + half, blank.x1 - half + 1e-9, GRID)
    ys = np.arange(blank.y0 + half, blank.y1 - half + 1e-9, GRID)
    if not (len(xs) and len(ys)):
        return ()
    spots = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    spots = spots[piece.skin.outline.signed_distance(spots) >= wide + CLEAR + half]
    if len(spots):
        spots = spots[off_the_way(piece, regions, spots) >= wide + CLEAR + half]
    for pin in blank.pins:
        apart = np.hypot(spots[:, 0] - pin.x, spots[:, 1] - pin.y)
        spots = spots[apart >= pin.diameter / 2.0 + BESIDE + half]
    return _spread(spots, np.array(piece.skin.outline.centroid))


def _spread(spots: np.ndarray, middle: np.ndarray) -> tuple[Point, ...]:
    """Spots at the most even steps round a middle: of each sector the one farthest out."""
    found = []
    turn = np.arctan2(spots[:, 1] - middle[1], spots[:, 0] - middle[0]) if len(spots) else spots
    for k in range(MOST):
        low = -math.pi + k * 2.0 * math.pi / MOST
        own = spots[(turn >= low) & (turn < low + 2.0 * math.pi / MOST)] if len(spots) else spots
        if len(own):
            far = np.hypot(*(own - middle).T)
            x, y = own[int(np.argmax(far))].tolist()
            found.append((x, y))
    return tuple(found)
