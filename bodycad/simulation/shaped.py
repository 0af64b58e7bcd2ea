"""What following a shaped face with a ball nose must leave, worked out from the layout: fillets in
hollows that are tighter than the ball, and ridges between passes, which are higher on a slope and
in a crease that no pass runs along."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.solids.skin import Skin
from bodycad.simulation.grid import Grid
from bodycad.simulation.job import Heights
from bodycad.simulation.surface import swept
from bodycad.simulation.tool import Tool, ToolKind
from bodycad.words import Face

NODE = 0.5
"""How far apart (mm) the face is looked at, about: a fillet changes slowly."""
RIDGE = 0.1
"""A ridge on a level face may be so high, mm; what a wider step leaves is too much (common
practice, no source)."""
PHASES = 4
"""In so many ways do passes fall beside a crease; the worst counts."""


def left_by_ball(
    skin: Skin, face: Face, diameter: float, stepover: float, grid: Grid
) -> np.ndarray | None:
    """How much (ny, nx) a ball nose leaves of a face in passes `stepover` mm apart, mm; None where
    no contour shapes the face."""
    boxes = np.array([c.carve.box for c in skin.contours if c.face is face])
    if not len(boxes):
        return None
    low, high = boxes[:, :2].min(axis=0), boxes[:, 3:5].max(axis=0)
    window = grid.window((*low.tolist(), *high.tolist()))
    rows, columns = (s.stop - s.start for s in window)
    if not (rows and columns):
        return None
    every = max(round(NODE / grid.pitch), 1)
    pitch, radius = every * grid.pitch, diameter / 2.0
    more = int(diameter / pitch) + 2
    ys, xs = (
        first + pitch * np.arange(-more, count // every + 2 + more)
        for first, count in (
            (grid.ys[window[0].start], rows),
            (grid.xs[window[1].start], columns),
        )
    )
    x, y = np.meshgrid(xs, ys)
    depth = skin.fall(face, np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
    depth = np.minimum(depth, skin.thickness).astype(np.float32)
    widest = 2.0 * math.sqrt(radius**2 - max(radius - RIDGE, 0.0) ** 2)
    ball, step = Tool(ToolKind.BALL, diameter), min(stepover, widest)
    left = np.zeros(depth.shape, np.float32)
    for phase in range(PHASES):
        shifted = ys[0] + step * (phase / PHASES - 1.0)
        own = Heights(depth, float(xs[0]), float(ys[0]), pitch, ball, step)
        np.maximum(left, depth - swept(own, xs, ys, shifted), out=left)
    left = left[more:-more, more:-more]
    found = np.zeros(grid.shape, np.float32)
    found[window] = _between(left, every, rows, columns)
    return found


def _between(nodes: np.ndarray, every: int, rows: int, columns: int) -> np.ndarray:
    """Values at nodes brought onto every cell: the greatest of the nodes about it."""
    wide = nodes.copy()
    wide[:-1] = np.maximum(wide[:-1], nodes[1:])
    found = wide.copy()
    found[:, :-1] = np.maximum(found[:, :-1], wide[:, 1:])
    cells = np.repeat(np.repeat(found, every, axis=0), every, axis=1)
    return cells[:rows, :columns]


def add(one: np.ndarray | None, two: np.ndarray | None) -> np.ndarray | None:
    """The sum of two fields of which either may be missing."""
    if one is None or two is None:
        return two if one is None else one
    found: np.ndarray = one + two
    return found
