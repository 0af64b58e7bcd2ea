"""What cutting should leave of a piece: heights of front and back on a grid, from the layout alone.

They come from the exact functions of skin and voids, not from what the cutting files are made of.
Only what tools that stand upright on a face can make is asked for: what is drilled at an angle or
from the edge, and edges that no bit on hand cuts, is taken as made by hand, and named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from bodycad.checks.rules.cutters import halved
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Edge, Ledge
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.core import beside_neck
from bodycad.layout.void import Void
from bodycad.layout.workpiece import PAST_HALF, Workpiece
from bodycad.making.upright import in_plan
from bodycad.shop import Shop
from bodycad.simulation.centre import cleared, near_box, off_way
from bodycad.simulation.fill import filled
from bodycad.simulation.grid import Grid, Window
from bodycad.simulation.job import box_of, reversed_chain
from bodycad.tools import EdgeBit
from bodycad.words import SIDES, Face

if TYPE_CHECKING:
    from bodycad.geometry.solids.skin import Skin

NODE = 5
"""Where a face is smooth it is worked out at every so manieth cell, and is linear between."""
BEND = 0.012
"""Where it bends by more than this (mm) over three such nodes it is worked out at every cell: what
is linear between nodes is off by a quarter of that at most."""
RING = 1.0
"""How far round the outline (mm) nothing may be left when it has been cut."""
FOOT = 0.05
"""How far (mm) a ball nose may leave an edge that stands steep too wide, square to the outline: it
is filed off (common practice, no source)."""
KEPT = 5e-3
"""A corner that a cutter leaves by less than this (mm) is none."""


@dataclass(frozen=True, eq=False)
class Target:
    """What should be left. `front`, `back`: how deep (ny, nx) each cell should be cut, mm below the
    plain face. `wood`: cells within the outline. `neck`: those past it of a core that runs on, of
    which no more may go than a contour takes. `ring`: those beside it that must be gone. `corners`:
    cells where wood stays because no cutter on hand gets there, or none may beside a neck.
    `shaped`: cells where a contour lowers a face. `steep`: what a ball may leave besides of an
    edge's foot. `by_hand`: what is made by hand, in words, by its id."""

    front: np.ndarray
    back: np.ndarray
    wood: np.ndarray
    neck: np.ndarray
    ring: np.ndarray
    corners: np.ndarray
    shaped: np.ndarray
    steep: np.ndarray
    by_hand: dict[str, str]


def target(piece: Workpiece, shop: Shop, grid: Grid) -> Target:
    """What the cutting files of a piece should leave on a grid."""
    skin, by_hand = piece.skin, dict[str, str]()
    window = grid.window(skin.outline.box, RING + 2.0 * grid.pitch)
    wood = np.zeros(grid.shape, bool)
    wood[window] = filled(skin.outline.segments, grid, window)
    depths = {face: np.zeros(grid.shape, np.float32) for face in SIDES}
    shaped, steep = np.zeros(grid.shape, bool), np.zeros(grid.shape, np.float32)
    corners = np.zeros(grid.shape, bool)
    neck = np.zeros(grid.shape, bool)
    if piece.neck is not None:
        part = grid.window(piece.neck.box)
        neck[part] = filled(piece.neck.segments, grid, part) & ~wood[part]
    for face in SIDES:
        if shop.ball_cutters:
            _contours(skin, face, grid, window, depths[face])
            shaped |= depths[face] > 1e-4
        else:
            own = (c.id for c in skin.contours if c.face is face)
            by_hand |= dict.fromkeys(own, "no ball nose on hand")
        for rim in _rims(piece, face):
            if not isinstance(rim.edge, Ledge) and not _bits(rim.edge, shop):
                if shop.ball_cutters:
                    _rim_depth(face, rim, grid, depths[face], shaped, steep)
                else:
                    by_hand[rim.name] = f"{rim.edge.words}: no such bit and no ball nose on hand"
            else:
                _rim_depth(face, rim, grid, depths[face])
                _rim_corners(rim, shop, grid, window, wood, corners)
            if piece.neck is not None:
                _beside_neck(piece.neck, rim, shop, grid, corners)
        for shelf in skin.shelves:
            if shelf.face is face and shelf.carve is not None:
                name = f"{piece.id}.{face}.ledge along {shelf.contour}"
                by_hand[name] = "cut after the contour, whose surface it follows"
        np.multiply(depths[face], wood | neck, out=depths[face])
    for void in piece.voids:
        if not any(in_plan(void, face) for face in SIDES):
            by_hand[void.id] = "drilled at an angle or from the edge"
            continue
        if (prism := void.shape.prism) is not None and prism.tilted:
            low, high = prism.floor_range
            by_hand[f"{void.id}, floor"] = f"tilted, lowered by hand by up to {high - low:.2f} mm"
        _void(void, piece, grid, depths[void.face])
        _void_corners(void, piece, shop, grid, corners)
    ring = _ring(piece, shop, grid, window, wood)
    faces = depths[Face.FRONT], depths[Face.BACK]
    return Target(*faces, wood, neck, ring & ~neck, corners, shaped, steep, by_hand)


def _contours(skin: Skin, face: Face, grid: Grid, window: Window, found: np.ndarray) -> None:
    """How far the contours lower a face."""
    boxes = [c.carve.box for c in skin.contours if c.face is face]
    if not boxes:
        return
    table = np.array(boxes)
    low, high = table[:, :2].min(axis=0), table[:, 3:5].max(axis=0)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    inner = grid.window(box, grid.pitch)
    part = tuple(
        slice(max(a.start, b.start), max(min(a.stop, b.stop), a.start, b.start))
        for a, b in zip(inner, window)
    )
    found[part] = _sampled(lambda points: skin.fall(face, points), grid, (part[0], part[1]))


def _sampled(depth: Callable[[np.ndarray], np.ndarray], grid: Grid, window: Window) -> np.ndarray:
    """A function of plan points at every cell of a window: at nodes, and linear between them where
    it is smooth."""
    rows, columns = (np.arange(s.start, s.stop) for s in window)
    found = np.zeros((len(rows), len(columns)), np.float32)
    if not found.size:
        return found
    nodes = [np.arange(0, len(at) + NODE, NODE) for at in (rows, columns)]
    ys = grid.ys[rows[0]] + grid.pitch * nodes[0]
    xs = grid.xs[columns[0]] + grid.pitch * nodes[1]
    x, y = np.meshgrid(xs, ys)
    coarse = _in_portions(depth, np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
    bent = np.zeros(coarse.shape, bool)
    for axis in (0, 1):
        turn = np.abs(np.diff(coarse, 2, axis=axis)) > BEND
        inner = [slice(None), slice(None)]
        inner[axis] = slice(1, -1)
        bent[tuple(inner)] |= turn
    share = np.arange(NODE) / NODE
    for j in range(len(nodes[0]) - 1):
        strip = found[j * NODE : (j + 1) * NODE]
        across = (1.0 - share)[:, None] * coarse[j] + share[:, None] * coarse[j + 1]
        fine = across[:, :-1, None] * (1.0 - share) + across[:, 1:, None] * share
        strip[:] = fine.reshape(NODE, -1)[: len(strip), : len(columns)]
    grown = bent.copy()
    grown[1:] |= bent[:-1]
    grown[:-1] |= bent[1:]
    bent = grown.copy()
    grown[:, 1:] |= bent[:, :-1]
    grown[:, :-1] |= bent[:, 1:]
    cells = np.repeat(np.repeat(grown[:-1, :-1], NODE, 0), NODE, 1)[: len(rows), : len(columns)]
    if cells.any():
        up, along = np.nonzero(cells)
        points = np.column_stack([grid.xs[columns[along]], grid.ys[rows[up]]])
        found[up, along] = _in_portions(depth, points)
    return found


def _in_portions(depth: Callable[[np.ndarray], np.ndarray], points: np.ndarray) -> np.ndarray:
    size = 400_000
    return np.concatenate([depth(points[k : k + size]) for k in range(0, len(points), size)])


@dataclass(frozen=True, eq=False)
class _Rim:
    """An edge of a face: its name, what it is, and the chain along which it runs."""

    name: str
    edge: Edge
    chain: Segments
    run: Run | None = None

    def inset(self, points: np.ndarray, near: Segments) -> np.ndarray:
        """Plan distance (m,) in from the chain, `near` being what lies about the points; inf beyond
        the ends of a stretch."""
        if self.run is not None and not self.run.closed:
            return self.run.inset(points)
        return near.away(points)[0]


def _rims(piece: Workpiece, face: Face) -> Iterator[_Rim]:
    skin, name = piece.skin, f"{piece.id}.{face}.edge"
    if skin.edge(face).drop:
        yield _Rim(name, skin.edge(face), skin.outline.segments)
    for k, run in enumerate(skin.runs(face), 1):
        if run.edge.drop:
            yield _Rim(f"{name}.{k}", run.edge, run.chain, run)


def _bits(edge: Edge, shop: Shop) -> tuple[EdgeBit, ...]:
    """The bits on hand that cut an edge."""
    return shop.bits_for(edge.form, edge.reach) if edge.form is not None else ()


def _rim_depth(
    face: Face,
    rim: _Rim,
    grid: Grid,
    found: np.ndarray,
    shaped: np.ndarray | None = None,
    steep: np.ndarray | None = None,
) -> None:
    """How far an edge lowers a face beside its chain; a ledge is level here, for what of it follows
    a contour is cut by hand. shaped, steep: mark the cells, for no bit makes that edge, and what
    a ball may leave of its foot."""
    edge, chain = rim.edge, rim.chain
    window = grid.window(box_of(chain), edge.reach)
    for tile, near in _beside(chain, grid, window, edge.reach):
        inset, shape = rim.inset(grid.points(tile), near), found[tile].shape
        lost = edge.loss(inset).reshape(shape)
        found[tile] = np.maximum(found[tile], lost)
        if shaped is not None and steep is not None:
            shaped[tile] |= lost > 0.0
            wider = edge.loss(np.maximum(inset - FOOT, 0.0)).reshape(shape) - lost
            steep[tile] = np.maximum(steep[tile], wider)


def _beside(
    chain: Segments, grid: Grid, window: Window, reach: float
) -> Iterator[tuple[Window, Segments]]:
    """The small tiles of a window that come within `reach` of a chain, with what of it is near."""
    tiles = list(grid.tiles(window, 32))
    middle = np.array([((b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0) for _, b in tiles])
    half = np.array([math.hypot(b[2] - b[0], b[3] - b[1]) / 2.0 for _, b in tiles])
    close = chain.away(middle)[0] <= reach + half if tiles else ()
    for k in np.flatnonzero(close):
        near = near_box(chain, tiles[k][1], reach)
        if len(near):
            yield tiles[k][0], near


def _rim_corners(
    rim: _Rim, shop: Shop, grid: Grid, window: Window, wood: np.ndarray, found: np.ndarray
) -> None:
    """Mark the cells where an edge stays thicker because its bit cannot follow the outline into a
    hollow, or must stop short of the end of a stretch."""
    bits = _bits(rim.edge, shop)
    if not bits:
        return
    edge, r = rim.edge, min(bit.bearing for bit in bits) / 2.0
    way, reach = reversed_chain(rim.chain), r + edge.reach
    short = math.sqrt(reach * reach - r * r)
    for part, out, s in off_way(way, r, grid, window, reach, tight=True):
        points = grid.points(part)
        banded = wood[part] & (s < edge.reach)
        left = out > s + r + KEPT
        if rim.run is not None and not rim.run.closed:
            for end in (rim.chain.a[0], rim.chain.b[-1]):
                left |= (np.hypot(*(points - end).T) <= short + edge.reach).reshape(out.shape)
        found[part] |= banded & left


def _beside_neck(neck: Profile, rim: _Rim, shop: Shop, grid: Grid, found: np.ndarray) -> None:
    """Mark the cells where an edge stays thicker because its bit would meet the neck."""
    reach = rim.edge.reach
    half = max((bit.bearing / 2.0 for bit in _bits(rim.edge, shop)), default=0.0)
    for part, near in _beside(rim.chain, grid, grid.window(box_of(rim.chain), reach), reach):
        points = grid.points(part)
        away, foot, _ = near.nearest(points)
        out = (foot - points) / np.maximum(away, 1e-12)[:, None]
        spare = neck.signed_distance(foot + half * out) - half - reach
        met = (away < reach) & (spare < grid.pitch)
        found[part] |= met.reshape(found[part].shape)


def _void(void: Void, piece: Workpiece, grid: Grid, found: np.ndarray) -> None:
    """How deep a void is cut from its face."""
    shape = void.shape
    window = grid.window(shape.plan.box)
    if shape.hole is None:
        # Of a tilted floor no more than down to its highest place.
        floor = shape.floor_over(shape.plan)[1]
        level = -floor if void.face is Face.FRONT else piece.thickness + void.high
        depth = np.where(filled(shape.plan.segments, grid, window), level, 0.0)
    else:
        low, high = shape.column(grid.points(window))
        deep = -low if void.face is Face.FRONT else piece.thickness + high
        depth = np.nan_to_num(deep, nan=0.0).reshape(
            window[0].stop - window[0].start, window[1].stop - window[1].start
        )
    np.maximum(found[window], depth, out=found[window], casting="unsafe")


def _void_corners(void: Void, piece: Workpiece, shop: Shop, grid: Grid, found: np.ndarray) -> None:
    """Mark the cells of a routed void that the smallest cutter which reaches its floor leaves; half
    of what opens both faces is cut from each."""
    if void.shape.hole is not None:
        return
    depth = -void.low if void.face is Face.FRONT else piece.thickness + void.high
    if halved(void, piece, shop):
        depth = piece.thickness / 2.0 + PAST_HALF
    able = [c.diameter for c in shop.flat_cutters if c.reach >= depth - 1e-9]
    if not able:
        return
    chain, window = void.shape.plan.segments, grid.window(void.shape.plan.box)
    inside = filled(chain, grid, window)
    found[window] |= inside & ~cleared(chain, min(able) / 2.0, grid, window)


def _ring(piece: Workpiece, shop: Shop, grid: Grid, window: Window, wood: np.ndarray) -> np.ndarray:
    """Cells just outside the outline that a cutter which runs round it takes."""
    able = [c.diameter for c in shop.flat_cutters if c.reach >= piece.thickness - 1e-9]
    able = able or [c.diameter for c in shop.flat_cutters]
    r, widest = min(able) / 2.0, max(able) / 2.0
    found = np.zeros(grid.shape, bool)
    for way in beside_neck(piece, widest, widest):
        chain = way or piece.skin.outline.segments
        for part, near in _beside(chain, grid, window, RING):
            s = near.away(grid.points(part))[0].reshape(found[part].shape)
            found[part] |= (s <= RING) & ~wood[part]
        for part, out, s in off_way(reversed_chain(chain), r, grid, window, r, tight=True):
            found[part] &= np.isfinite(out) | (s > RING)
    return found
