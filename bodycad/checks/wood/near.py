"""Which voids of a workpiece come near each other, which meet, and what is remembered of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

import numpy as np

from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import gap, meet
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.region import near_pairs
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import BODY, Workpiece

T = TypeVar("T")

REACH = 12.0
"""Walls thicker than this (mm) are not listed: no limit is near them."""


def remembered(layout: Layout, key: tuple[Any, ...], make: Callable[[], T]) -> T:
    """`make()`, worked out once for this layout."""
    return _once(layout.memo, key, make)


def room_inside(
    layout: Layout, inner: Profile, outer: Profile
) -> tuple[float, np.ndarray, np.ndarray]:
    """`inside_gap` of two plans, worked out once for bodies of one skin."""
    key = "inside", inner, outer
    return of_the_skin(layout.body, key, lambda: inside_gap(inner, outer))


def rod_gap(layout: Layout, rod: Bore, other: Shape) -> Gap:
    """The gap from a string or the like to a solid, worked out once for bodies of one skin."""
    key = "rod", rod.start, rod.direction, rod.diameter, rod.length, other
    return of_the_skin(layout.body, key, lambda: gap(rod, other))


def of_the_cuts(piece: Workpiece, key: tuple[Any, ...], make: Callable[[], T]) -> T:
    """`make()`, which depends on the cuts and the skin alone, worked out once for them."""
    return _once(piece.cut_memo, key, make)


def of_the_skin(piece: Workpiece, key: tuple[Any, ...], make: Callable[[], T]) -> T:
    """`make()`, which depends on the skin alone, worked out once for it."""
    return _once(piece.skin.memo, key, make)


def _once(memo: dict[Any, Any], key: tuple[Any, ...], make: Callable[[], T]) -> T:
    if key not in memo:
        memo[key] = make()
    found: T = memo[key]
    return found


def near_voids(piece: Workpiece, reach: float = REACH) -> Iterator[tuple[Void, Void]]:
    """Pairs of voids whose boxes are within `reach` mm."""
    boxes = _boxes(piece)[:, [0, 1, 3, 4, 2, 5]]
    for i, j in near_pairs(boxes, reach):
        yield piece.voids[i], piece.voids[j]


def voids_near(piece: Workpiece, void: Void, reach: float) -> list[Void]:
    """The voids whose boxes are within `reach` mm of that of a void, or of a part of one, on every
    axis."""
    return voids_within(piece, void.shape.box, reach)


def voids_within(piece: Workpiece, box: Sequence[float], reach: float = 0.0) -> list[Void]:
    """The voids whose boxes are within `reach` mm of a box on every axis."""
    boxes, own = _boxes(piece), np.array(box)
    apart = np.maximum(boxes[:, :3] - own[3:], own[:3] - boxes[:, 3:])
    return [piece.voids[k] for k in np.flatnonzero((apart <= reach).all(axis=1))]


def _boxes(piece: Workpiece) -> np.ndarray:
    """(voids, 6): low and high corner of each void."""
    return of_the_cuts(
        piece, ("boxes",), lambda: np.array([v.shape.box for v in piece.voids]).reshape(-1, 6)
    )


def related(piece: Workpiece, one: Void, two: Void) -> bool:
    """Whether no wall is meant between two voids: one part's own in the body (its own checks judge
    them), voids declared to open into each other, or a way into one step of a stepped pocket."""
    if (one.part == two.part and piece.id == BODY) or piece.meant(one, two):
        return True
    steps = ("POCKET", "RECESS")
    for a, b in ((one, two), (two, one)):
        if b.operation in steps:
            for c in piece.voids_of(b.part):
                if c.operation in steps and piece.meant(a, c) and piece.meant(b, c):
                    return True
    return False


def open_into(piece: Workpiece, one: Void, two: Void) -> bool:
    """Whether two voids of the workpiece meet."""
    return of_the_cuts(
        piece, ("meet", frozenset((one.id, two.id))), lambda: meet(one.shape, two.shape)
    )


def ball_bounds(piece: Workpiece) -> Mapping[str, Mapping[str, float]]:
    """For each void, by id: a distance (mm) that it, or any part of it, cannot come nearer than,
    to each contour and to the body's "edge"; from the ball round its box, for all voids at once."""
    return of_the_cuts(piece, ("ball bounds",), lambda: _ball_bounds(piece))


def _ball_bounds(piece: Workpiece) -> Mapping[str, Mapping[str, float]]:
    if not piece.voids:
        return {}
    boxes = _boxes(piece)
    low, high = boxes[:, :3], boxes[:, 3:]
    centres, halves = (low + high) / 2.0, (high - low) / 2.0
    skin, ball = piece.skin, np.sqrt((halves * halves).sum(axis=1))
    columns = {"edge": skin.inset(centres[:, :2]) - np.hypot(*halves[:, :2].T) - skin.reach}
    columns |= {c.id: c.carve.closest(centres)[0] - ball for c in skin.contours}
    rows = np.column_stack(list(columns.values())).tolist()
    return {void.id: dict(zip(columns, row)) for void, row in zip(piece.voids, rows)}


def side_gap(void: Void, piece: Workpiece) -> Gap | None:
    """Wood from a void, or a part of it, to the body's side, or None when it is plainly farther
    than REACH."""
    return None if ball_bounds(piece)[void.id]["edge"] > REACH else edge_gap(void.shape, piece.skin)
