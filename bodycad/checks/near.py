"""Gaps of a layout's voids to each other and to the air, with the broad phase that keeps them cheap."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Callable, Iterator, TypeVar

import numpy as np

from bodycad.checks.air import depth_inside
from bodycad.geometry.boolean import intersection
from bodycad.geometry.gap import Gap, contour_gap, edge_gap, face_gap, gap
from bodycad.geometry.region import near_pairs
from bodycad.geometry.shapes import Bore, Prism
from bodycad.geometry.skin import Contour
from bodycad.layout.body import Layout
from bodycad.layout.void import Void

T = TypeVar("T")

REACH = 12.0
"""Walls thicker than this (mm) are not listed: no limit is near them."""


def remembered(layout: Layout, key: tuple, make: Callable[[], T]) -> T:
    """`make()`, worked out once for this layout."""
    if key not in layout.memo:
        layout.memo[key] = make()
    return layout.memo[key]


def inside_shape(void: Void, layout: Layout) -> Prism | Bore:
    """The part of a void that has wood round it: a prism open to the edge without its overrun past
    the outline, a drilled channel without the lengths that lie wholly inside voids it opens into."""
    return remembered(layout, ("inside", void.id), lambda: _inside_shape(void, layout))


def _inside_shape(void: Void, layout: Layout) -> Prism | Bore:
    shape = void.shape
    if isinstance(shape, Prism):
        if "edge" not in void.opens:
            return shape
        pieces = intersection(shape.profile, layout.skin.outline)
        return replace(shape, profile=max((p.outer for p in pieces), key=lambda p: p.area)) if pieces else shape
    if void.operation != "CHANNEL":
        return shape
    along = np.append(np.arange(0.0, shape.length, 0.25), shape.length)
    axis = shape.at(along)
    hollow = np.zeros(len(along), bool)
    for other in void.meets:
        hollow |= depth_inside(layout.by_id[other], axis) >= shape.radius
    wood = np.flatnonzero(~hollow)
    if not len(wood):
        return shape
    first, last = max(wood[0] - 1, 0), min(wood[-1] + 1, len(along) - 1)
    tip = shape.tip_deg if along[last] >= shape.length else 180.0
    return Bore(tuple(map(float, axis[first])), shape.direction, shape.diameter, float(along[last] - along[first]), tip)


def near_voids(layout: Layout, reach: float = REACH) -> Iterator[tuple[Void, Void]]:
    """Pairs of voids whose boxes are within `reach` mm."""
    boxes = np.array([v.shape.box for v in layout.voids]).reshape(-1, 6)[:, [0, 1, 3, 4, 2, 5]]
    for i, j in near_pairs(boxes, reach):
        yield layout.voids[i], layout.voids[j]


def related(layout: Layout, one: Void, two: Void) -> bool:
    """Whether no wall is meant between two voids: one part's own (its own checks judge them), voids
    declared to open into each other, or a way into one step of a stepped pocket."""
    if one.part == two.part or layout.meant(one, two):
        return True
    steps = ("POCKET", "RECESS")
    for a, b in ((one, two), (two, one)):
        if b.operation in steps:
            for c in layout.voids_of(b.part):
                if c.operation in steps and layout.meant(a, c) and layout.meant(b, c):
                    return True
    return False


def wall_gap(one: Void, two: Void) -> Gap:
    """Wood between two voids."""
    return gap(one.shape, two.shape)


def floor_gap(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    """Wood from a void to the shaped front or back, and what it is nearest to: the face or a contour's id."""
    return remembered(layout, ("floor", void.id, face), lambda: _floor_gap(void, layout, face))


def _floor_gap(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    shape = inside_shape(void, layout)
    best, what = face_gap(shape, layout.skin, face), face
    for contour in layout.skin.contours:
        if contour.face == face and _at_least(layout, contour)[void.id] < best.distance:
            found = contour_gap(shape, contour.carve)
            if found.distance < best.distance:
                best, what = found, contour.id
    return best, what


def side_gap(void: Void, layout: Layout) -> Gap | None:
    """Wood from a void to the body's side, or None when it is plainly farther than REACH."""
    x0, y0, _, x1, y1, _ = void.shape.box
    centre, radius = np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]), math.hypot(x1 - x0, y1 - y0) / 2
    spare = float(layout.skin.inset(centre)[0]) - radius - max(layout.skin.front.reach, layout.skin.back.reach)
    return None if spare > REACH else edge_gap(void.shape, layout.skin)


def escape(void: Void, layout: Layout, face: str) -> float:
    """How far (mm) a void that meets the air on a side it should not pokes out of it."""
    shape = inside_shape(void, layout)
    x0, y0, z0, x1, y1, z1 = shape.box
    if face == "edge":
        if isinstance(shape, Prism):
            points = shape.profile.vertices[:, :2]
        else:
            points = np.array([shape.start[:2], shape.end[:2]])
        reach = shape.radius if isinstance(shape, Bore) else 0.0
        return max(float((-layout.skin.inset(points)).max()) + reach, 0.0)
    plain = z1 if face == "front" else -layout.thickness - z0
    poke = max(plain, 0.0)
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 41), np.linspace(y0, y1, 41)), -1).reshape(-1, 2)
    if isinstance(shape, Prism):
        grid = grid[shape.profile.segments.encloses(grid)]
        grid = np.vstack([grid, shape.profile.vertices[:, :2]])
        reach = np.full(len(grid), z1) if face == "front" else np.array([shape.floor(x, y) for x, y in grid])
    else:
        along = shape.at(np.linspace(0.0, shape.length, 200))
        grid, reach = along[:, :2], along[:, 2] + (shape.radius if face == "front" else -shape.radius)
    grid_in = layout.skin.inset(grid) > 0.0
    if not grid_in.any():
        return poke
    skin = layout.skin.front_height(grid[grid_in]) if face == "front" else layout.skin.back_height(grid[grid_in])
    depth = reach[grid_in] - skin if face == "front" else skin - reach[grid_in]
    return max(poke, float(depth.max()))


def _at_least(layout: Layout, contour: Contour) -> dict[str, float]:
    """Distances by void id that each void cannot come nearer to a contour than: from the ball round it."""
    return remembered(layout, ("ball", contour.id), lambda: _ball_distances(layout, contour))


def _ball_distances(layout: Layout, contour: Contour) -> dict[str, float]:
    boxes = np.array([v.shape.box for v in layout.voids])
    distance, _ = contour.carve.closest((boxes[:, :3] + boxes[:, 3:]) / 2.0)
    least = distance - np.linalg.norm(boxes[:, 3:] - boxes[:, :3], axis=1) / 2.0
    return {void.id: float(d) for void, d in zip(layout.voids, least)}
