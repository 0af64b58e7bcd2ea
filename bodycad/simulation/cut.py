"""What a job takes from one face of the wood: how deep each cell is cut, as its files say."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.segments import Segments
from bodycad.simulation.centre import cleared, off_way
from bodycad.simulation.fill import filled
from bodycad.simulation.grid import Box, Grid, Window, within
from bodycad.simulation.job import Cut, Job, Move, box_of
from bodycad.simulation.surface import followed, laid
from bodycad.simulation.tool import EDGES, ToolKind

FULL = 1e-9
"""A cell whose middle lies so little (mm) outside a drill is cut by it."""


def depths(job: Job, move: Move, grid: Grid) -> np.ndarray:
    """How deep (ny, nx) each cell of the wood's grid is cut from the job's face, mm below the plain
    face; `move` carries the job's coordinates onto the wood's."""
    found = np.zeros(grid.shape, np.float32)
    for cut in job.cuts:
        chain = move.chain(cut.chain)
        if cut.tool.kind is ToolKind.DRILL:
            _drill(found, cut, move, grid)
        elif cut.follows:
            _follow(found, cut, chain, move, grid)
        else:
            _clear(found, cut, chain, grid)
    if job.heights is not None:
        for part, depth in laid(followed(job.heights, grid.pitch), move, grid):
            np.maximum(found[part], depth, out=found[part])
    return found


def _drill(found: np.ndarray, cut: Cut, move: Move, grid: Grid) -> None:
    """A hole where the contour's middle lies, as wide as the drill, and its point below."""
    x, y = move.points(np.array([cut.centre]))[0]
    r, tool = cut.tool.radius, cut.tool
    window = grid.window((x - r, y - r, x + r, y + r))
    out = np.hypot(grid.xs[window[1]][None, :] - x, grid.ys[window[0]][:, None] - y)
    depth = np.where(out <= r + FULL, cut.depth + tool.point - out * (tool.point / r), 0.0)
    np.maximum(found[window], depth, out=found[window], casting="unsafe")


def _clear(found: np.ndarray, cut: Cut, chain: Segments, grid: Grid) -> None:
    """All on the left of closed contours, as far as the cutter gets."""
    window = grid.window(box_of(chain))
    taken = cleared(chain, cut.tool.radius, grid, window)
    if cut.tool.kind is ToolKind.FLAT:
        _deepen(found, window, np.where(taken, np.float32(cut.depth), np.float32(0.0)))
        return
    inner = np.where(taken, np.float32(cut.depth), np.float32(0.0))
    beside = np.zeros_like(inner)
    for part, out, _ in off_way(chain, cut.tool.radius, grid, window, cut.tool.reach):
        own = within(part, window)
        beside[own] = np.where(np.isfinite(out), cut.depth - cut.tool.rise(out), 0.0)
        deep = _deep_inside(chain, cut.tool.radius, grid, part)
        inner[own] = np.where(deep, inner[own], beside[own])
    _deepen(found, window, inner)


def _deep_inside(chain: Segments, radius: float, grid: Grid, part: Window) -> np.ndarray:
    """Which cells lie at least the radius off every contour."""
    far = chain.away(grid.points(part))[0] >= radius
    deep: np.ndarray = far.reshape(part[0].stop - part[0].start, -1)
    return deep


def _follow(found: np.ndarray, cut: Cut, chain: Segments, move: Move, grid: Grid) -> None:
    """As wide as the tool is, along the contours; less deep at tabs."""
    tool, r = cut.tool, cut.tool.radius
    window = grid.window(box_of(chain), r + tool.reach)
    tabs = [(move.chain(tab.chain), tab) for tab in cut.tabs]
    for part, out, _ in off_way(chain, r, grid, window, tool.reach):
        if tool.kind in EDGES:
            depth = np.where(out < r, cut.depth, cut.depth - tool.rise(np.maximum(out, r)))
        else:
            depth = cut.depth - tool.rise(out)
        depth = np.maximum(np.where(np.isfinite(depth), depth, 0.0), 0.0)
        for plan, tab in tabs:
            if _meets(box_of(plan), grid, part):
                held = filled(plan, grid, part)
                depth = np.where(held, np.minimum(depth, tab.depth), depth)
        _deepen(found, part, depth)


def _meets(box: Box, grid: Grid, part: Window) -> bool:
    """Whether a box holds the middle of a cell of a part of the grid."""
    rows, columns = grid.window(box)
    up = bool(rows.start < part[0].stop and part[0].start < rows.stop)
    return up and bool(columns.start < part[1].stop and part[1].start < columns.stop)


def _deepen(found: np.ndarray, window: Window, depth: np.ndarray) -> None:
    np.maximum(found[window], depth, out=found[window], casting="unsafe")
