"""The grid that wood is cut on: square cells over the plan of a piece, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.errors import InputError

PITCH = 0.1
"""The side of a cell unless another is asked for, mm."""
FINEST, COARSEST = 0.05, 1.0
"""Between these (mm) a pitch is of use: below, a body asks for gigabytes; above, cutters are a few
cells wide."""
SHARP = 0.2
"""Above this (mm) a pitch tells too little of walls for a pass."""
TILE = 64
"""Cells along the side of a tile, in which distances to the contours near it are worked out."""
MOST_CELLS = 120_000_000
"""The most cells of a grid: what two fields of heights and their comparison hold in 3 GB."""

Box = tuple[float, float, float, float]
Window = tuple[slice, slice]
"""Rows (y), columns (x) of a grid."""


@dataclass(frozen=True)
class Grid:
    """`ny` rows of `nx` square cells of `pitch` mm; (x0, y0) is the low corner of the first. A cell
    stands for its middle; rows run along x, in the order of y."""

    x0: float
    y0: float
    pitch: float
    nx: int
    ny: int

    @cached_property
    def xs(self) -> np.ndarray:
        """Abscissas (nx,) of the cells' middles."""
        return self.x0 + self.pitch * (np.arange(self.nx) + 0.5)

    @cached_property
    def ys(self) -> np.ndarray:
        """Ordinates (ny,) of the cells' middles."""
        return self.y0 + self.pitch * (np.arange(self.ny) + 0.5)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.ny, self.nx

    @property
    def cell(self) -> float:
        """The area of a cell, mm2."""
        return self.pitch**2

    @property
    def judged(self) -> str:
        """How well walls are told, in words: a cell is judged by its middle, and a wall may stand
        one cell off, so that only two cells are told for sure."""
        off = f"{2.0 * self.pitch:g} mm"
        return f"are judged to one cell of {self.pitch:g} mm: one off by less than {off} may pass"

    def window(self, box: Box, more: float = 0.0) -> Window:
        """The cells whose middles lie in a box grown by `more` mm, as far as the grid goes."""
        low = (box[0] - more, box[1] - more)
        high = (box[2] + more, box[3] + more)
        (a, c), (b, d) = (
            [(v - o) / self.pitch - 0.5 for v, o in zip(end, (self.x0, self.y0))]
            for end in (low, high)
        )
        return _span(c, d, self.ny), _span(a, b, self.nx)

    def points(self, window: Window) -> np.ndarray:
        """Middles (m, 2) of a window's cells, row by row."""
        x, y = np.meshgrid(self.xs[window[1]], self.ys[window[0]])
        return np.column_stack([x.ravel(), y.ravel()])

    def tiles(self, window: Window, size: int = TILE) -> Iterator[tuple[Window, Box]]:
        """A window in tiles of at most `size` cells a side, each with the box of its middles."""
        rows, columns = window
        for j in range(rows.start, rows.stop, size):
            for i in range(columns.start, columns.stop, size):
                part = (
                    slice(j, min(j + size, rows.stop)),
                    slice(i, min(i + size, columns.stop)),
                )
                x, y = self.xs[part[1]], self.ys[part[0]]
                yield part, (float(x[0]), float(y[0]), float(x[-1]), float(y[-1]))


def _span(low: float, high: float, count: int) -> slice:
    """The whole numbers from `low` to `high` of those below `count`."""
    start = min(max(math.ceil(low), 0), count)
    return slice(start, max(min(math.floor(high) + 1, count), start))


def grid_over(box: Box, pitch: float = PITCH) -> Grid:
    """The grid that covers a box, with cells whose corners lie on multiples of the pitch. Raises
    InputError for a pitch that is not of use, or a grid of too many cells."""
    if not FINEST <= pitch <= COARSEST:
        allowed = f"{FINEST:g} to {COARSEST:g} mm"
        raise InputError("the pitch of a simulation", pitch, allowed, f"{PITCH:g} is usual")
    i, j = (math.floor(v / pitch + 1e-9) for v in box[:2])
    k, m = (math.ceil(v / pitch - 1e-9) for v in box[2:])
    if (k - i) * (m - j) > MOST_CELLS:
        found = f"{k - i} by {m - j} cells"
        raise InputError("a simulation", found, f"at most {MOST_CELLS} cells", "a wider pitch")
    return Grid(i * pitch, j * pitch, pitch, k - i, m - j)


def within(part: Window, window: Window) -> Window:
    """A part of a grid as a part of a window of it."""
    (r, c), (rows, columns) = part, window
    return (
        slice(r.start - rows.start, r.stop - rows.start),
        slice(c.start - columns.start, c.stop - columns.start),
    )
