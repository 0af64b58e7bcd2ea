"""How far a void pokes out of the wood where it should not."""

from __future__ import annotations

import itertools
import math

import numpy as np

from bodycad.geometry.distance.shelf import in_shelves
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3, Shape, point3

SPACING = 0.5
"""Spacing of the points at which a void's surface is tested at first, mm."""
LOST = 1.0
"""What pokes out most lies near a point that pokes out less by no more than this (mm): the depth of
an edge or a side changes at most as one walks, that of a face by its slope."""
MOST = 32
"""From so many of those points the search goes on."""
FINEST = 1e-3
"""The last step of the search, mm."""
POKE_BOUND = 0.005
"""How far a void breaks out is stated to within this, mm."""
_CUBE = np.array([w for w in itertools.product((-1.0, 0.0, 1.0), repeat=3) if any(w)])
WAYS = _CUBE / np.linalg.norm(_CUBE, axis=1)[:, None]
"""Directions (26, 3) in which the search tries a step."""


def poke(shape: Shape, skin: Skin, face: str) -> tuple[float, Point3]:
    """How far (mm) a shape pokes out of "front", "back" or "edge", and its point that pokes out
    most.

    Through a face: upward (downward at the back) from the shaped face; through the edge: out of the
    side, roundover or ledge, square to it. Tested on points `SPACING` mm apart; from those that
    poke out most one walks on within the shape, to steps of `FINEST`. 0 where it does not.
    """
    points = surface(shape)
    out = _out(points, skin, face)
    best = float(out.max())
    if best <= 0.0:
        return 0.0, point3(points[int(np.argmax(out))])
    near = np.argsort(-out, kind="stable")
    near = near[out[near] > max(best - LOST, 0.0)]
    # Spread over those, the best one first.
    points = points[near[np.unique(np.linspace(0, len(near) - 1, MOST).astype(int))]]
    out, step = _out(points, skin, face), SPACING
    while step > FINEST:
        tried = (points[:, None] + step * WAYS).reshape(-1, 3)
        found = shape.closest(tried)[1]
        ahead = _out(found, skin, face).reshape(len(points), -1)
        k = np.argmax(ahead, axis=1)
        rows = np.arange(len(points))
        better = ahead[rows, k] > out + 1e-12
        points = np.where(better[:, None], found.reshape(len(points), -1, 3)[rows, k], points)
        out = np.where(better, ahead[rows, k], out)
        if not better.any() or step < SPACING / 2.0 and not better[np.argmax(out)]:
            keep = np.argsort(-out, kind="stable")[: max(4, len(out) // 2)]
            points, out, step = points[keep], out[keep], step / 2.0
    k = int(np.argmax(out))
    return float(out[k]), point3(points[k])


def _out(points: np.ndarray, skin: Skin, face: str) -> np.ndarray:
    """How far (m,) each of `points` (m, 3) lies out of a face or the edge, mm; 0 or less, or -inf,
    where it does not."""
    if face == "edge":
        flat = np.column_stack([skin.inset(points[:, :2]), points[:, 2]])
        out = np.where(
            (flat[:, 1] <= skin.level("front")) & (flat[:, 1] >= skin.level("back")),
            -skin.edge_air.signed_distance(flat),
            0.0,
        )
        deep: np.ndarray = np.maximum(out, in_shelves(skin, points))
        return deep
    inside = skin.inset(points[:, :2], 0.0) > 0.0
    out = np.full(len(points), -np.inf)
    if inside.any():
        over = points[inside, 2] - skin.height(face, points[inside, :2])
        out[inside] = over if face == "front" else -over
    return out


def surface(shape: Shape) -> np.ndarray:
    """Points (m, 3) over the shape's side, about SPACING apart, and over its ends."""
    first, last = shape.ends
    length = float(np.linalg.norm(last.rim - first.rim, axis=1).max())
    share = np.linspace(0.0, 1.0, max(2, math.ceil(length / SPACING) + 1))[:, None, None]
    side = (last.rim + share * (first.rim - last.rim)).reshape(-1, 3)
    return np.vstack([side, shape.cover])
