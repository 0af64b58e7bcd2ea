"""How a tool follows a grid of heights: dropped onto it along passes, and what it then takes.

The tip stands at each place of a pass as low as the tool's surface, lowered onto the grid, lets it:
the greatest over the tool's footprint of the grid's height less the rise of the tool. What is left
is the least over all places of the tip's height and the tool's rise, so that ridges between passes
are real. Heights are linear between the grid's nodes; the footprint is sampled `ALONG` mm apart,
which lets a ball of radius R sink by ALONG^2 / 8 (1 / R + 1 / r) at most into a face that bends by
radius r, and a flat cutter by ALONG times the slope.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.simulation.grid import Grid, Window
from bodycad.simulation.job import Heights, Move
from bodycad.simulation.tool import Tool, footprint

ALONG = 0.5
"""How far apart (mm) the tool is dropped along a pass, and its footprint sampled, at most."""
SKIN = 1e-4
"""A face that is shaped by less than this (mm) is not followed."""


@dataclass(frozen=True, eq=False)
class Followed:
    """What following a grid leaves: `depth` (rows, columns) below the plain face at the nodes
    (x0 + column * along, y0 + row * across) of a file's own frame."""

    depth: np.ndarray
    x0: float
    y0: float
    along: float
    across: float


def dropped(depth: np.ndarray, pitch: float, tool: Tool) -> np.ndarray:
    """How deep (rows, columns) the tip of a tool stands over each node of a grid of depths of
    `pitch` mm when it is lowered onto it. Beyond the grid lies its rim, as far as it goes."""
    rows, columns = depth.shape
    n = math.floor(tool.reach / pitch + 1e-9)
    wide = np.pad(depth, n, mode="edge")
    found = np.full(depth.shape, math.inf, depth.dtype)
    for j, i, rise in footprint(tool, pitch):
        under = wide[n + j : n + j + rows, n + i : n + i + columns]
        np.minimum(found, under + depth.dtype.type(rise), out=found)
    return found


def taken(tips: np.ndarray, pitch: float, tool: Tool) -> np.ndarray:
    """The depth (rows, columns) that is cut over each node when the tip stands at every node as
    deep as `tips` says."""
    rows, columns = tips.shape
    n = math.floor(tool.reach / pitch + 1e-9)
    wide = np.pad(tips, n, constant_values=-math.inf)
    found = np.full(tips.shape, -math.inf, tips.dtype)
    for j, i, rise in footprint(tool, pitch):
        over = wide[n + j : n + j + rows, n + i : n + i + columns]
        np.maximum(found, over - tips.dtype.type(rise), out=found)
    return found


def followed(heights: Heights, across: float) -> Followed:
    """What a tool leaves that runs over a grid of heights in passes along x, `stepover` mm apart,
    where the face is shaped; its rows `across` mm apart."""
    tool, table = heights.tool, heights.depth
    low, high = _shaped(table, math.ceil(tool.reach / heights.pitch) + 1)
    (j0, i0), (j1, i1) = low, high
    y0, y1 = (heights.y0 + heights.pitch * j for j in (j0, j1))
    along = heights.pitch / max(math.ceil(heights.pitch / ALONG - 1e-9), 1)
    xs = (
        heights.x0
        + np.arange(round(heights.pitch * i0 / along), round(heights.pitch * i1 / along) + 1)
        * along
    )
    ys = y0 + across * np.arange(math.floor((y1 - y0) / across + 1e-9) + 1)
    depth = swept(heights, xs, ys, y0)
    return Followed(np.maximum(depth, 0.0), float(xs[0]), y0, along, across)


def swept(heights: Heights, xs: np.ndarray, ys: np.ndarray, first: float) -> np.ndarray:
    """How deep (ys, xs) a grid is cut by passes along x, the first of them at `first`; `xs` are
    evenly spaced, the tool is dropped at each."""
    along, step = float(xs[1] - xs[0]) if len(xs) > 1 else ALONG, heights.stepover
    passes = first + step * np.arange(max(math.ceil((ys[-1] - first) / step - 1e-9), 0) + 1)
    tips = _tips(heights, heights.tool, xs, passes, along)
    return _swept(tips, passes, ys, along, heights.tool, step)


def _shaped(table: np.ndarray, more: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """The first and last row and column between which a face is shaped, `more` nodes round it; a
    single node where it is not."""
    spans = []
    for axis in (1, 0):
        on = np.flatnonzero((table > SKIN).any(axis=axis))
        end = table.shape[1 - axis] - 1
        spans.append((max(on[0] - more, 0), min(on[-1] + more, end)) if len(on) else (0, 0))
    (j0, j1), (i0, i1) = spans
    return (int(j0), int(i0)), (int(j1), int(i1))


def _at(heights: Heights, xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """Depths (k, m) at ordinates `ys` (k,) and abscissas `xs` (m,), linear between nodes, beyond
    the grid as at its rim."""
    table = heights.depth
    j, v = _shares((ys - heights.y0) / heights.pitch, table.shape[0])
    i, u = _shares((xs - heights.x0) / heights.pitch, table.shape[1])
    rows = table[j] * (1.0 - v)[:, None] + table[j + 1] * v[:, None] if len(table) > 1 else table[j]
    if table.shape[1] < 2:
        return np.asarray(rows[:, i])
    return np.asarray(rows[:, i] * (1.0 - u) + rows[:, i + 1] * u)


def _shares(at: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """The node before each place and the share of the way to the next."""
    at = np.clip(at, 0.0, count - 1)
    before = np.clip(np.floor(at).astype(int), 0, max(count - 2, 0))
    return before, (at - before).astype(np.float32)


def _tips(
    heights: Heights, tool: Tool, xs: np.ndarray, passes: np.ndarray, along: float
) -> np.ndarray:
    """How deep the tip stands (passes, xs)."""
    n = math.floor(tool.reach / along + 1e-9)
    wide = xs[0] + along * np.arange(-n, len(xs) + n)
    found = np.full((len(passes), len(xs)), math.inf, np.float32)
    row, under = None, np.zeros(0)
    for j, i, rise in footprint(tool, along):
        if j != row:
            row, under = j, _at(heights, wide, passes + along * j).astype(np.float32)
        np.minimum(found, under[:, n + i : n + i + len(xs)] + np.float32(rise), out=found)
    return found


def _swept(
    tips: np.ndarray,
    passes: np.ndarray,
    ys: np.ndarray,
    along: float,
    tool: Tool,
    stepover: float,
) -> np.ndarray:
    """The depth (ys, xs) that the passes cut."""
    count, columns = tips.shape
    n = math.floor(tool.reach / along + 1e-9)
    wide = np.pad(tips, ((0, 0), (n, n)), constant_values=-math.inf)
    found = np.full((len(ys), columns), -math.inf, np.float32)
    home = np.rint((ys - passes[0]) / stepover).astype(int)
    for step in range(-math.ceil(tool.reach / stepover), math.ceil(tool.reach / stepover) + 1):
        own = np.clip(home + step, 0, count - 1)
        off = np.abs(passes[own] - ys)
        for i in range(-n, n + 1):
            rise = tool.rise(np.hypot(off, along * i)).astype(np.float32)
            on = np.flatnonzero(np.isfinite(rise))
            if len(on):
                first, last = int(on[0]), int(on[-1]) + 1
                over = wide[own[first:last], n + i : n + i + columns] - rise[first:last, None]
                np.maximum(found[first:last], over, out=found[first:last])
    return found


def laid(found: Followed, move: Move, grid: Grid) -> Iterator[tuple[Window, np.ndarray]]:
    """What was cut, brought onto the wood's grid: bands of it with their depths; 0 beside it."""
    rows, columns = found.depth.shape
    x1, y1 = found.x0 + found.along * (columns - 1), found.y0 + found.across * (rows - 1)
    corners = np.array([(x, y) for x in (found.x0, x1) for y in (found.y0, y1)])
    spots = move.points(corners)
    (a, b), (c, d) = spots.min(axis=0).tolist(), spots.max(axis=0).tolist()
    window, back = grid.window((a, b, c, d)), move.back()
    straight = abs(back.matrix[0, 1]) < 1e-12
    xs, size = grid.xs[window[1]], max(2_000_000 // max(grid.nx, 1), 1)
    for first in range(window[0].start, window[0].stop, size):
        part = (slice(first, min(first + size, window[0].stop)), window[1])
        ys = grid.ys[part[0]]
        if straight:
            u = back.matrix[0, 0] * xs + back.shift[0]
            v = back.matrix[1, 1] * ys + back.shift[1]
            i, p = _shares((u - found.x0) / found.along, columns)
            j, q = _shares((v - found.y0) / found.across, rows)
            band = found.depth[np.minimum(j + (q > 0.5), rows - 1)]
            depth = band[:, i] * (1.0 - p) + band[:, np.minimum(i + 1, columns - 1)] * p
        else:
            u, v = back.points(grid.points(part)).T
            i, p = _shares((u - found.x0) / found.along, columns)
            j, q = _shares((v - found.y0) / found.across, rows)
            near = np.minimum(j + (q > 0.5), rows - 1)
            after = np.minimum(i + 1, columns - 1)
            depth = found.depth[near, i] * (1.0 - p) + found.depth[near, after] * p
            out = (u < found.x0) | (u > x1) | (v < found.y0) | (v > y1)
            depth = np.where(out, 0.0, depth).reshape(len(ys), len(xs))
        yield part, depth
