"""Gaps of a layout's voids to each other and to the air, with the broad phase that keeps them cheap."""

from __future__ import annotations

import math
from typing import Callable, Iterator, TypeVar

import numpy as np

from bodycad.geometry.gap import Gap, edge_gap, gap
from bodycad.geometry.region import near_pairs
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


def side_gap(void: Void, layout: Layout) -> Gap | None:
    """Wood from a void to the body's side, or None when it is plainly farther than REACH."""
    x0, y0, _, x1, y1, _ = void.shape.box
    centre, radius = np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]), math.hypot(x1 - x0, y1 - y0) / 2
    spare = float(layout.skin.inset(centre)[0]) - radius - max(layout.skin.front.reach, layout.skin.back.reach)
    return None if spare > REACH else edge_gap(void.shape, layout.skin)
