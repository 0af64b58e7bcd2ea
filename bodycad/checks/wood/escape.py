"""How far a void pokes out of the wood where it should not."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.distance.shelf import in_shelves
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3, Shape, point3

SPACING = 0.5
"""Spacing of the points at which a void's surface is tested, mm."""


def poke(shape: Shape, skin: Skin, face: str) -> tuple[float, Point3]:
    """How far (mm) a shape pokes out of "front", "back" or "edge", and its point that pokes out
    most.

    Through a face: upward (downward at the back) from the shaped face; through the edge: out of the
    side, roundover or ledge, square to it. Tested on points `SPACING` mm apart; 0 where it does
    not.
    """
    points = surface(shape)
    if face == "edge":
        flat = np.column_stack([skin.inset(points[:, :2]), points[:, 2]])
        out = np.where(
            (flat[:, 1] <= skin.level("front")) & (flat[:, 1] >= skin.level("back")),
            -skin.edge_air.signed_distance(flat),
            0.0,
        )
        out = np.maximum(out, in_shelves(skin, points))
    else:
        inside = skin.inset(points[:, :2]) > 0.0
        sign = 1.0 if face == "front" else -1.0
        out = np.where(inside, sign * (points[:, 2] - skin.level(face)), -np.inf)
        if inside.any():
            xy, z = points[inside, :2], points[inside, 2]
            out[inside] = (z - skin.height(face, xy)) * (1.0 if face == "front" else -1.0)
    k = int(np.argmax(out))
    return max(float(out[k]), 0.0), point3(points[k])


def surface(shape: Shape) -> np.ndarray:
    """Points (m, 3) over the shape's side, about SPACING apart, and over its ends."""
    first, last = shape.ends
    length = float(np.linalg.norm(last.rim - first.rim, axis=1).max())
    share = np.linspace(0.0, 1.0, max(2, math.ceil(length / SPACING) + 1))[:, None, None]
    side = (last.rim + share * (first.rim - last.rim)).reshape(-1, 3)
    return np.vstack([side, shape.cover])
