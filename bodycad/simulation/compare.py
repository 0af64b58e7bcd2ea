"""What is left and what is gouged: the cut wood against what should be left, cell by cell.

A cell's wood is what stands between the front's and the back's depth. What is left may reach as far
as the wood that should be anywhere in the three by three cells about it, and must reach as far as
that everywhere in them: so a wall may stand a cell off, no more, and a depth may be off by what is
stated for its face.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.simulation.grid import Grid
from bodycad.simulation.target import Target

BAND = 256
"""Rows that are compared at once."""
GONE = 1e-3
"""Wood thinner than this (mm) is none."""
SPOTS = 50
"""Of a place about so many cells are kept, to tell what lies there."""
PATCH = 3.0
"""Cells that are wrong and lie within so many mm of each other are one place."""


@dataclass(frozen=True, eq=False)
class Patch:
    """A place where wood is left or gouged. spot: its worst cell (x, y, z), z in the middle of what
    is wrong there. deep: how much is wrong there, mm. volume: of the whole patch, mm3. box: its
    plan."""

    spot: tuple[float, float, float]
    deep: float
    volume: float
    box: tuple[float, float, float, float]
    spots: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, eq=False)
class Cells:
    """Cells by row and column, how much is wrong in each (mm), and the height of its middle."""

    row: np.ndarray
    column: np.ndarray
    deep: np.ndarray
    height: np.ndarray


@dataclass(frozen=True, eq=False)
class Compared:
    """The whole comparison of a piece. `left`, `gouged`: the cells in which more wood stands than
    may, or less than must. `stated`: what is left in corners that no cutter on hand reaches and at
    tabs, mm3; `within`: what is left, and what is missing, within the stated tolerance, mm3;
    `wood`: all that is left within the outline, mm3."""

    left: Cells
    gouged: Cells
    left_at: tuple[Patch, ...]
    gouged_at: tuple[Patch, ...]
    stated: float
    within: tuple[float, float]
    wood: float


def compared(
    front: np.ndarray,
    back: np.ndarray,
    target: Target,
    thickness: float,
    grid: Grid,
    off: tuple[float, float],
    keep: tuple[np.ndarray, np.ndarray] | None = None,
    more: np.ndarray | None = None,
) -> Compared:
    """The wood cut to depths `front` and `back` against the target. off: how far a depth may be off
    where a face is plain, and where it is shaped, mm. keep: the highest and the lowest to which
    tabs may leave wood; -inf and inf elsewhere."""
    wrong: dict[str, list[Cells]] = {"left": [], "gouged": []}
    stated = wood = 0.0
    spare = [0.0, 0.0]
    for rows in _bands(grid.ny):
        wide = slice(max(rows.start - 1, 0), min(rows.stop + 1, grid.ny))
        own = slice(rows.start - wide.start, rows.stop - wide.start)
        ok = target.wood[rows]
        asked, stands = ok | target.ring[rows], ok | target.neck[rows]
        if not (asked | stands).any():
            continue
        there = target.wood[wide] | target.neck[wide]
        top, low = _interval(target.front[wide], target.back[wide], thickness, there)
        most = _about(top, np.maximum)[own], _about(low, np.minimum)[own]
        least = _about(top, np.minimum)[own], _about(low, np.maximum)[own]
        have = _interval(front[rows], back[rows], thickness, np.ones_like(ok))
        slack = np.where(target.shaped[rows], np.float32(off[1]), np.float32(off[0]))
        plain = _beyond(have, (top[own], low[own]), 0.0)[0]
        spare_top = slack if more is None else slack + more[rows]
        corner = stays = target.corners[rows]
        if keep is not None:
            held = keep[0][rows], keep[1][rows]
            most = np.maximum(most[0], held[0]), np.minimum(most[1], held[1])
            stays = corner | (held[0] > held[1])
        over, above = _beyond(have, most, spare_top)
        over = np.where(asked, over, 0.0)
        over[corner] = 0.0
        stated += float(plain[stays & asked & (over == 0.0)].sum()) * grid.cell
        under, below = _beyond(least, have, slack)
        under = np.where(stands, under, 0.0)
        missing = _beyond((top[own], low[own]), have, 0.0)[0]
        spare[0] += float(plain[ok & ~stays & (over == 0.0)].sum()) * grid.cell
        spare[1] += float(missing[ok & (under == 0.0)].sum()) * grid.cell
        wood += float(np.where(ok, np.maximum(have[0] - have[1], 0.0), 0.0).sum()) * grid.cell
        wrong["left"].append(_cells(over, above, rows.start))
        wrong["gouged"].append(_cells(under, below, rows.start))
    left, gouged = (_all(cells) for cells in wrong.values())
    places = tuple(_patches(left, grid)), tuple(_patches(gouged, grid))
    return Compared(left, gouged, *places, stated, (spare[0], spare[1]), wood)


def _cells(deep: np.ndarray, height: np.ndarray, first: int) -> Cells:
    row, column = np.nonzero(deep)
    return Cells(row + first, column, deep[row, column], height[row, column])


def _all(parts: list[Cells]) -> Cells:
    if not parts:
        none = np.zeros(0, int)
        return Cells(none, none, none.astype(np.float32), none.astype(np.float32))
    rows = ((c.row, c.column, c.deep, c.height) for c in parts)
    return Cells(*(np.concatenate(table) for table in zip(*rows)))


def _bands(rows: int) -> Iterator[slice]:
    for first in range(0, rows, BAND):
        yield slice(first, min(first + BAND, rows))


def _interval(
    front: np.ndarray, back: np.ndarray, thickness: float, wood: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Top and bottom of the wood in each cell; -inf and inf where there is none."""
    top, low = -front, back - np.float32(thickness)
    none = ~wood | (top - low < GONE)
    return np.where(none, -np.inf, top), np.where(none, np.inf, low)


def _about(table: np.ndarray, pick: np.ufunc) -> np.ndarray:
    """The greatest or the least of the three by three cells about each."""
    rows = table.copy()
    pick(rows[1:], table[:-1], out=rows[1:])
    pick(rows[:-1], table[1:], out=rows[:-1])
    found = rows.copy()
    pick(found[:, 1:], rows[:, :-1], out=found[:, 1:])
    pick(found[:, :-1], rows[:, 1:], out=found[:, :-1])
    return found


def _beyond(
    one: tuple[np.ndarray, np.ndarray],
    two: tuple[np.ndarray, np.ndarray],
    slack: np.ndarray | float,
) -> tuple[np.ndarray, np.ndarray]:
    """How much of the first interval lies outside the second grown by `slack`, and the height of
    the middle of the longer piece of it."""
    (top, low), (upper, lower) = one, two
    there = top > low
    none = ~(upper > lower)
    with np.errstate(invalid="ignore"):
        above = np.where(none, top - low, top - np.maximum(upper + slack, low))
        below = np.where(none, 0.0, np.minimum(lower - slack, top) - low)
        above = np.where(there, np.maximum(above, 0.0), 0.0)
        below = np.where(there, np.maximum(below, 0.0), 0.0)
        middle = np.where(above >= below, top - above / 2.0, low + below / 2.0)
    total = above + below
    return (
        np.where(total > GONE, total, 0.0).astype(np.float32),
        np.where(total > GONE, middle, 0.0).astype(np.float32),
    )


def _patches(cells: Cells, grid: Grid) -> Iterator[Patch]:
    """The places where cells are wrong, the largest volume first."""
    if not len(cells.row):
        return
    group = _grouped(cells.row, cells.column, max(round(PATCH / grid.pitch), 1))
    order = np.argsort(group, kind="stable")
    found = []
    for own in np.split(order, np.flatnonzero(np.diff(group[order])) + 1):
        deep = cells.deep[own]
        # Of many that are as bad, the one in the middle.
        bad = own[np.flatnonzero(deep >= deep.max() - GONE)]
        worst = int(bad[len(bad) // 2])
        y, x = grid.ys[cells.row[own]], grid.xs[cells.column[own]]
        spot = (
            float(grid.xs[cells.column[worst]]),
            float(grid.ys[cells.row[worst]]),
            float(cells.height[worst]),
        )
        box = float(x.min()), float(y.min()), float(x.max()), float(y.max())
        volume = float(deep.sum()) * grid.cell
        some = slice(None, None, max(len(own) // SPOTS, 1))
        spots = np.column_stack([x[some], y[some], cells.height[own[some]]]).tolist()
        spread = tuple((a, b, c) for a, b, c in spots)
        found.append(Patch(spot, float(deep.max()), volume, box, spread))
    yield from sorted(found, key=lambda patch: (-patch.volume, patch.spot))


def _grouped(j: np.ndarray, i: np.ndarray, apart: int) -> np.ndarray:
    """The number (m,) of the group of each cell: squares of `apart` cells that touch are one."""
    keys, of = np.unique(np.column_stack([j // apart, i // apart]), axis=0, return_inverse=True)
    number = {tuple(key): k for k, key in enumerate(keys.tolist())}
    group = np.full(len(keys), -1)
    count = 0
    for start in range(len(keys)):
        if group[start] >= 0:
            continue
        group[start], ahead = count, [start]
        while ahead:
            a, b = keys[ahead.pop()].tolist()
            for p in (a - 1, a, a + 1):
                for q in (b - 1, b, b + 1):
                    k = number.get((p, q))
                    if k is not None and group[k] < 0:
                        group[k] = count
                        ahead.append(k)
        count += 1
    return group[of.ravel()]
