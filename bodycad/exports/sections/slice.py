"""Upright sections as numbers: along a line in plan, the heights of the skin and of every void and
room.

All curves are sampled where they bend: between neighbouring samples no curve leaves its chord by
more than SAGITTA mm, down to steps of LEAST_STEP mm at jumps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from bodycad.layout.layout import Layout

SAGITTA = 0.01
LEAST_STEP = 0.002
FIRST_STEP = 0.5

Point = tuple[float, float]
Heights = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]
"""Lowest and highest z (m,) over plan points (m, 2); nan where there is nothing."""


@dataclass(frozen=True, eq=False)
class Band:
    """What lies between `low` and `high` (n,) along a section; nan where it is absent."""

    id: str
    kind: str
    low: np.ndarray
    high: np.ndarray


@dataclass(frozen=True, eq=False)
class Slice:
    """A section along `s` (n,) mm from its first point: wood, voids clipped to the wood, the same
    voids whole, and rooms."""

    s: np.ndarray
    wood: Band
    voids: tuple[Band, ...]
    openings: tuple[Band, ...]
    rooms: tuple[Band, ...]


def slice_of(layout: Layout, one: Point, two: Point) -> Slice:
    """The upright section of a layout from `one` to `two` (x, y)."""
    length = math.dist(one, two)
    way = (np.array(two) - np.array(one)) / length
    sources: list[tuple[str, str, Heights]] = [("wood", "wood", partial(_wood, layout))]
    sources += [(v.id, "void", v.shape.column) for v in layout.voids]
    sources += [(r.id, r.kind, r.shape.column) for r in layout.rooms]
    box = np.array([*np.minimum(one, two), *np.maximum(one, two)])
    boxes = [*(v.shape.box for v in layout.voids), *(r.shape.box for r in layout.rooms)]
    near = [True, *(_near(one, box) for one in boxes)]
    sources = [source for source, keep in zip(sources, near) if keep]

    def table(s: np.ndarray) -> np.ndarray:
        points = np.array(one) + s[:, None] * way
        return np.stack([row for _, _, heights in sources for row in heights(points)])

    s, rows = _sampled(table, length)
    bands = [Band(*source[:2], *pair) for source, pair in zip(sources, zip(rows[::2], rows[1::2]))]
    wood = bands[0]
    count = 1 + sum(near[1 : 1 + len(layout.voids)])
    voids = [Band(b.id, b.kind, *_clipped(b, wood)) for b in bands[1:count]]
    groups = voids, bands[1:count], bands[count:]
    return Slice(s, wood, *(tuple(b for b in g if np.isfinite(b.low).any()) for g in groups))


def runs(band: Band) -> list[slice]:
    """The stretches of samples over which a band is present."""
    there = np.concatenate([[False], np.isfinite(band.low), [False]])
    change = np.flatnonzero(np.diff(there.astype(int)))
    return [slice(a, b) for a, b in zip(change[::2], change[1::2]) if b - a > 1]


def least_wood(layout: Layout, part: Slice) -> tuple[float, float, float, float] | None:
    """(thickness, s, low, high) of the thinnest wood, measured upright, between a void and the next
    void or face.

    Not counted: the wood toward a face where the void comes out, and between voids meant to open
    into each other; a feather edge there is no floor. Nor are holes from the edge. None when
    nothing remains to measure."""
    best = None
    for band in part.voids:
        void = layout.by_id[band.id]
        if void.face == "edge":
            continue
        others = [b for b in part.voids if b is not band]
        meant = [layout.meant(void, layout.by_id[b.id]) for b in others]
        for run in runs(band):
            for up in (True, False):
                found = _layer(part, band, run, others, meant, up)
                if found is not None and (best is None or found[0] < best[0]):
                    best = found
    return best


def _layer(
    part: Slice, band: Band, run: slice, others: list[Band], meant: list[bool], up: bool
) -> tuple[float, float, float, float] | None:
    """The thinnest wood over (`up`) or under one stretch of a void."""
    sign = 1.0 if up else -1.0
    edge = sign * (band.high if up else band.low)[run]
    face = sign * (part.wood.high if up else part.wood.low)[run]
    limit = face.copy() if np.all(edge < face - 1e-6) else np.full(len(edge), np.inf)
    open_above = np.zeros(len(edge), bool)
    for other, open_to in zip(others, meant):
        near, far = (sign * z[run] for z in (other.low, other.high)[:: 1 if up else -1])
        with np.errstate(invalid="ignore"):
            over = far > edge + 1e-6
        open_above |= over & open_to
        limit = np.where(over & (near < limit), near, limit)
    thick = limit - edge
    thick = np.where(np.isfinite(thick) & (thick > 0.0) & ~open_above, thick, np.inf)
    k = int(np.argmin(thick))
    if not np.isfinite(thick[k]):
        return None
    low, high = sorted((sign * float(edge[k]), sign * float(limit[k])))
    return float(thick[k]), float(part.s[run][k]), low, high


def _near(box3: Sequence[float], box: np.ndarray) -> bool:
    x0, y0, x1, y1 = box.tolist()
    return bool(box3[0] <= x1 and box3[3] >= x0 and box3[1] <= y1 and box3[4] >= y0)


def _wood(layout: Layout, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    inside = layout.skin.outline.segments.encloses(points)
    low, high = (layout.skin.height(face, points) for face in ("back", "front"))
    gone = ~inside | (low >= high)
    return np.where(gone, np.nan, low), np.where(gone, np.nan, high)


def _clipped(band: Band, wood: Band) -> tuple[np.ndarray, np.ndarray]:
    with np.errstate(invalid="ignore"):
        low, high = np.maximum(band.low, wood.low), np.minimum(band.high, wood.high)
        gone = ~(low < high)
    return np.where(gone, np.nan, low), np.where(gone, np.nan, high)


def _sampled(
    table: Callable[[np.ndarray], np.ndarray], length: float
) -> tuple[np.ndarray, np.ndarray]:
    """Samples (n,) and the table's rows (k, n) there, refined until chords are good."""
    s = np.linspace(0.0, length, max(int(math.ceil(length / FIRST_STEP)), 4) + 1)
    rows = table(s)
    all_s, all_rows = [s], [rows]
    a, b, row_a, row_b = s[:-1], s[1:], rows[:, :-1], rows[:, 1:]
    while len(a):
        middle = (a + b) / 2.0
        new = table(middle)
        bend = np.nan_to_num(np.abs(new - (row_a + row_b) / 2.0)).max(axis=0)
        jump = (np.isfinite(row_a) != np.isfinite(row_b)) | (np.isfinite(new) != np.isfinite(row_b))
        keep = ((bend > SAGITTA) | jump.any(axis=0)) & (b - a > LEAST_STEP)
        middle, new = middle[keep], new[:, keep]
        all_s.append(middle)
        all_rows.append(new)
        a, b = np.concatenate([a[keep], middle]), np.concatenate([middle, b[keep]])
        row_a, row_b = np.hstack([row_a[:, keep], new]), np.hstack([new, row_b[:, keep]])
    s, rows = np.concatenate(all_s), np.hstack(all_rows)
    order = np.argsort(s, kind="stable")
    return s[order], rows[:, order]
