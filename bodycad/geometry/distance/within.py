"""The distance from a shape to what a contour takes inside the outline of a body.

A carve runs on past the body's side; what it takes there is no wood to be measured to. Inside, a
contour is open to its face, so that it is all the upright lines from its surface outward: the least
distance to it is that to the nearest line. The plan is searched in square cells."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.geometry.distance.search import BOUND, MOST_CELLS, Best, Gap
from bodycad.geometry.distance.shelf import to_uprights
from bodycad.geometry.plane.segments import Segments, portions
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.geometry.solids.solid import Shape
from bodycad.words import Face

CELL = 8.0
"""Side of the cells that a search begins with, mm."""
SPACING = 0.5
"""Spacing of the places of the outline that are looked at first, mm."""
ACROSS = 4
"""A cell is cut into as many parts across, and along."""
PARTS = np.stack(np.meshgrid(*2 * [np.arange(1.0 - ACROSS, ACROSS, 2.0)]), -1).reshape(-1, 2)
"""The middles of those parts, in halves of their side."""
SHARE = 0.005
"""Of a distance that is searched; it is far under what limits tell apart."""
RIM = 1e-9
"""A point that lies no farther than this (mm) out of the outline lies on it."""


def contour_gap_within(shape: Shape, contour: Contour, skin: Skin) -> Gap | None:
    """Least distance from a shape to what a contour takes inside the outline, to within
    `search.BOUND` or SHARE of it; None where it takes nothing there."""
    best, carve, face = Best(math.inf, np.zeros(3), np.zeros(3)), contour.carve, contour.face
    rim, cells, half = shape.plan.segments, _first(shape, contour, skin), CELL / 2.0
    # What is nearest often lies on the outline itself, which the middle of no cell does.
    spots = _on_outline(shape, skin)
    _offer(best, shape, spots, contour, np.zeros(len(spots)))
    spots = rim.at(np.full(len(rim), 0.5))
    _offer(best, shape, spots, contour, skin.inset(spots))
    near = None
    while len(cells) and not best.settled:
        radius = half * math.sqrt(2.0)
        deepest = carve.deepest(cells, np.full(len(cells), radius), face)
        best.bound = max(BOUND, SHARE * best.distance) if math.isfinite(best.distance) else BOUND
        less = _least(shape, cells, deepest, radius, face) < best.distance - best.bound
        cells = cells[np.isfinite(deepest) & less]
        near = _near(skin, cells) if near is None else near
        inset = _inset(skin, near, cells)
        _offer(best, shape, cells, contour, inset)
        cells = cells[inset > -radius]
        if len(cells) > MOST_CELLS // 4:
            best.bound = max(best.bound, radius)
            break
        half /= ACROSS
        cells = (cells[:, None, :] + half * PARTS).reshape(-1, 2)
    found = replace(best.gap(), between=(shape, contour.id))
    return found if math.isfinite(best.distance) else None


def _offer(best: Best, shape: Shape, plan: np.ndarray, contour: Contour, inset: np.ndarray) -> None:
    """Offer the least distance to the upright lines over those of plan points (m, 2) that lie in
    the body, `inset` (m,) mm in."""
    height = contour.carve.height(plan, contour.face)
    real = np.isfinite(height) & (inset >= -RIM)
    if real.any():
        best.offer(*to_uprights(shape, plan[real], height[real], contour.face))


def _on_outline(shape: Shape, skin: Skin) -> np.ndarray:
    """Plan points (m, 2) of the outline over the box of a shape, about SPACING apart."""
    x0, y0, _, x1, y1, _ = shape.box
    s = skin.outline.segments
    a, b, c, d = s.boxes.T
    s = s.take(np.flatnonzero((a <= x1) & (c >= x0) & (b <= y1) & (d >= y0)))
    index, place = portions(np.maximum(np.ceil(s.length / SPACING), 1.0).astype(int))
    count = np.bincount(index, minlength=len(s))
    return s.take(index).at((place + 0.5) / count[index])


def _near(skin: Skin, plan: np.ndarray) -> Segments:
    """The pieces of the outline that come nearer to the box of plan points than a cell."""
    s = skin.outline.segments
    (x0, y0), (x1, y1) = plan.min(axis=0, initial=np.inf), plan.max(axis=0, initial=-np.inf)
    a, b, c, d = s.boxes.T
    return s.take(
        np.flatnonzero((a < x1 + CELL) & (c > x0 - CELL) & (b < y1 + CELL) & (d > y0 - CELL))
    )


def _inset(skin: Skin, near: Segments, plan: np.ndarray) -> np.ndarray:
    """How far (m,) in from the outline plan points (m, 2) lie; infinitely far out, or no less than
    a cell in, where no piece of it is near."""
    away = near.nearest(plan)[0] if len(near) and len(plan) else np.full(len(plan), np.inf)
    return np.where(skin.outline.segments.encloses(plan), away, -away)


def _first(shape: Shape, contour: Contour, skin: Skin) -> np.ndarray:
    """The middles (m, 2) of cells over all that shape and contour could be nearest at: no nearest
    line is farther in plan than the body is thick."""
    one, two, near = shape.box, skin.outline.box, skin.thickness
    low = np.maximum(np.array(one[:2]) - near, two[:2])
    high = np.minimum(np.array(one[3:5]) + near, two[2:])
    count = np.maximum(np.ceil((high - low) / CELL), 0).astype(int)
    axes = [low[k] + (np.arange(count[k]) + 0.5) * CELL for k in range(2)]
    cells = np.stack(np.meshgrid(*axes), -1).reshape(-1, 2)
    beside = contour.carve.deepest(cells, np.full(len(cells), CELL), contour.face)
    return cells[np.isfinite(beside)]


def _least(
    shape: Shape, cells: np.ndarray, deepest: np.ndarray, radius: float, face: Face
) -> np.ndarray:
    """A distance (m,) that the shape keeps at least to the upright lines of each cell."""
    prism = shape.prism
    if prism is None:
        return to_uprights(shape, cells, deepest, face)[0] - radius
    beside = np.maximum(prism.profile.signed_distance(cells) - radius, 0.0)
    if face is Face.FRONT:
        over = deepest - prism.high
    else:
        over = prism.floor_at(cells) - radius * math.hypot(*prism.slope) - deepest
        over = np.maximum(over, prism.floor_range[0] - deepest)
    return np.hypot(beside, np.maximum(over, 0.0))
