"""How far a void pokes out of the wood where it should not."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.shapes import Bore, Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.tilted import floor_at

STEP = 0.5
"""Spacing of the points at which a void's surface is tested, mm."""


def poke(shape: Prism | Bore, skin: Skin, face: str) -> tuple[float, tuple[float, float, float]]:
    """How far (mm) a shape pokes out of "front", "back" or "edge", and its point that pokes out
    most.

    Through a face: upward (downward at the back) from the shaped face; through the edge: out of the
    side, roundover or ledge, square to it. Tested on points `STEP` mm apart; 0 where it does not.
    """
    points = surface(shape, face)
    if face == "edge":
        flat = np.column_stack([skin.inset(points[:, :2]), points[:, 2]])
        out = np.where(
            (flat[:, 1] <= 0.0) & (flat[:, 1] >= -skin.thickness),
            -skin.edge_air.signed_distance(flat),
            0.0,
        )
        out = np.maximum(out, skin.in_shelves(points))
    else:
        inside = skin.inset(points[:, :2]) > 0.0
        plain = points[:, 2] if face == "front" else -skin.thickness - points[:, 2]
        out = np.where(inside, plain, -np.inf)
        if inside.any():
            xy, z = points[inside, :2], points[inside, 2]
            out[inside] = z - skin.front_height(xy) if face == "front" else skin.back_height(xy) - z
    k = int(np.argmax(out))
    return max(float(out[k]), 0.0), tuple(map(float, points[k]))


def surface(shape: Prism | Bore, face: str) -> np.ndarray:
    """Points (m, 3) over a shape's surface: of a prism its side and the end toward `face`."""
    if isinstance(shape, Bore):
        turn = np.arange(96) * math.pi / 48.0
        ring = np.cos(turn)[:, None] * shape.axes[0] + np.sin(turn)[:, None] * shape.axes[1]
        along = np.linspace(0.0, shape.shoulder, max(2, math.ceil(shape.shoulder / STEP) + 1))
        side = (shape.at(along)[:, None, :] + shape.radius * ring).reshape(-1, 3)
        return np.vstack([side, np.array([shape.end])])
    rim = flatten(shape.profile, 0.01)
    ahead = np.roll(rim, -1, axis=0) - rim
    count = np.maximum(np.ceil(np.hypot(*ahead.T) / STEP), 1).astype(int)
    index = np.repeat(np.arange(len(rim)), count)
    share = (np.arange(len(index)) - (np.cumsum(count) - count)[index]) / count[index]
    rim = rim[index] + share[:, None] * ahead[index]
    floor = floor_at(shape, rim)
    if face == "edge":
        levels = np.linspace(
            0.0, 1.0, max(2, math.ceil((shape.high - shape.floor_range[0]) / STEP) + 1)
        )
        return np.vstack([np.column_stack([rim, floor + k * (shape.high - floor)]) for k in levels])
    x0, y0, x1, y1 = shape.profile.box
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 61), np.linspace(y0, y1, 61)), -1).reshape(
        -1, 2
    )
    plan = np.vstack([rim, grid[shape.profile.segments.encloses(grid)]])
    if face == "front":
        return np.column_stack([plan, np.full(len(plan), shape.high)])
    return np.column_stack([plan, floor_at(shape, plan)])
