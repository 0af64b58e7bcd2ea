"""How much wood contours leave between the shaped front and back of a piece."""

from __future__ import annotations

import math

import numpy as np

from bodycad.checks.wood.near import of_the_skin
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

CELL = 16.0
"""Side of the cells that a search begins with, mm."""
FINE = 0.02
"""Cells are halved until their middle and all of them differ by no more than this, mm."""
MOST = 20_000
"""A search ends with so many cells; what they may hide is then the bound."""
CORNERS = np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]])
Wood = tuple[float, float, tuple[float, float]]
"""mm of wood, how much less it may be, and where."""


def least_between(piece: Workpiece, enough: float) -> Wood | None:
    """The least upright wood between the shaped faces where contours shape them; None where there
    is `enough` everywhere."""
    key = "between the faces", enough
    return of_the_skin(piece, key, lambda: _least_between(piece.skin, enough))


def _least_between(skin: Skin, enough: float) -> Wood | None:
    x0, y0, x1, y1 = skin.outline.box
    xs, ys = (np.arange(a + CELL / 2.0, b + CELL, CELL) for a, b in ((x0, x1), (y0, y1)))
    cells, half = np.stack(np.meshgrid(xs, ys), -1).reshape(-1, 2), CELL / 2.0
    best, bound = enough, FINE
    spot: tuple[float, float] = (0.0, 0.0)
    while len(cells):
        radius = half * math.sqrt(2.0)
        least = _at_least(skin, cells, radius)
        cells, least = cells[least < best - FINE], least[least < best - FINE]
        inset = skin.inset(cells, radius) if len(cells) else np.zeros(0)
        inside = cells[inset >= 0.0]
        wood = skin.thickness - skin.fall("front", inside) - skin.fall("back", inside)
        if len(wood) and wood.min() < best:
            x, y = inside[int(wood.argmin())]
            best, spot = float(wood.min()), (float(x), float(y))
        if len(cells) > MOST:
            bound = best - float(least.min())
            break
        cells = cells[(inset > -radius) & (least < best - FINE)]
        half /= 2.0
        if half < FINE / 8.0:
            break
        cells = (cells[:, None] + half * CORNERS).reshape(-1, 2)
    return (best, bound, spot) if best < enough else None


def _at_least(skin: Skin, cells: np.ndarray, radius: float) -> np.ndarray:
    """A thickness (m,) that no place of cells about plan points (m, 2) falls below, mm."""
    left = np.full(len(cells), skin.thickness)
    for face in SIDES:
        deep, level = np.zeros(len(cells)), skin.level(face)
        for contour in skin.contours:
            if contour.face is face:
                z = contour.carve.deepest(cells, np.full(len(cells), radius), face)
                deep = np.fmax(deep, level - z if face is Face.FRONT else z - level)
        left = left - deep
    return left
