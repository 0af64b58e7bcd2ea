"""Level sections summed over height: what solids take out of a skin, as volume and first moments.

Between the heights where anything begins, ends or changes its kind, the section area is smooth
except for square-root ends (round walls lying on their side, roundovers). With z = middle - half *
cos(t) those are smooth too, so each stretch is integrated over t by Gauss-Legendre of order
`ORDER`, halved until two answers agree.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any

import numpy as np

from bodycad.geometry.plane.polygon import even_polygon
from bodycad.geometry.plane.region import (
    areas,
    block,
    filled,
    grouped,
    grown,
    merged,
    near_pairs,
    prepared,
)
from bodycad.geometry.solids.shaping import Shaping
from bodycad.geometry.solids.skin import Shelf, Skin
from bodycad.geometry.solids.solid import Box3, Shape, Solid
from bodycad.geometry.solids.stretch import Run
from bodycad.words import Face

ORDER = 6
PLAIN, SETTLED = 20.0, 8.0
"""What settles is off by far less than two answers differ, unless there is a kink: so plain
polynomials may differ by this fraction of what is enough, halved stretches by that."""
SAGITTA = 0.01
"""Chord error of the polygons, mm; their areas are those of the true sections."""
DEEPEST = 10

NODES, WEIGHTS = np.polynomial.legendre.leggauss(ORDER)
TURN = (1.0 + NODES) * math.pi / 2.0


def _few(chosen: tuple[int, ...]) -> np.ndarray:
    """Weights on four of the samples, nil on the others, that are right for a cubic in z over
    -1..1."""
    some, weights = np.array(chosen), np.zeros(ORDER)
    powers = np.vander(-np.cos(TURN[some]), increasing=True).T
    weights[some] = np.linalg.solve(powers, [2.0, 0.0, 2.0 / 3.0, 0.0])
    return weights


FEWER = np.stack([_few((0, 2, 3, 5)), _few((0, 1, 4, 5)), _few((0, 1, 2, 5))])
"""Three rules of four samples: where a wall begins to cut the section the area has a kink, and one
rule alone may agree with all six samples by chance."""
Level = Callable[[float], np.ndarray]


@dataclass(frozen=True, eq=False)
class Bent:
    """What a ledge takes that follows a contour: the contour's carve, shifted into the body by the
    ledge's height, within the ledge's `band` in plan."""

    carve: Shaping
    band: Any

    @property
    def box(self) -> Box3:
        """Low and high corner of the carve, mm."""
        return self.carve.box

    @property
    def critical_heights(self) -> tuple[float, ...]:
        """Those of the carve."""
        return self.carve.critical_heights

    @property
    def full(self) -> tuple[float, float]:
        """None."""
        return self.carve.full


Cut = Solid | Bent
"""What may be taken from the slab."""


class Around:
    """The skin with the outline polygon that its level sections need, made once."""

    def __init__(self, skin: Skin) -> None:
        self.skin = skin
        self.plans: dict[Cut, Any] = {}
        self.bands: dict[tuple[int, float], Any] = {}
        self.outline = filled([even_polygon(skin.outline, SAGITTA)])
        self.reach = skin.reach
        self.core = prepared(grown(self.outline, -self.reach - 2.0 * SAGITTA))
        shaping: list[tuple[Cut, Face, float]] = [(c.carve, c.face, 0.0) for c in skin.contours]
        shaping += [
            (self._bent(shelf, shelf.carve), shelf.face, shelf.run.edge.drop)
            for shelf in skin.shelves
            if shelf.carve is not None
        ]
        found = [(shape, self._widest(shape, face, depth)) for shape, face, depth in shaping]
        self.carves = tuple(
            (shape, wide)
            for shape, wide in found
            if not (isinstance(shape, Bent) and wide.is_empty)
        )

    @property
    def shaping(self) -> list[Cut]:
        """What contours, and ledges that follow them, take off the slab."""
        return [shape for shape, _ in self.carves]

    def _bent(self, shelf: Shelf, carve: Shaping) -> Bent:
        """A shelf with a carve; its band runs on outside the outline along a stretch."""
        run = shelf.run
        band = (
            self.outline.difference(grown(self.outline, -run.edge.reach))
            if run.closed
            else self.band(run, run.edge.reach)
        )
        return Bent(carve, band)

    def wide(self, cut: Cut) -> Any:
        """Where a contour takes anything at all, of those in `carves`."""
        return next(wide for shape, wide in self.carves if shape is cut)

    def band(self, run: Run, width: float) -> Any:
        """The polygon of a run's band, made once."""
        key = id(run), width
        if key not in self.bands:
            profiles = run.bands(width, over=1.0)
            self.bands[key] = filled(even_polygon(p, SAGITTA) for p in profiles)
        return self.bands[key]

    def edged(self, outline: Any, z: float) -> Any:
        """A piece of the outline at height `z`, less what the edges take there."""
        inset = self.skin.edge_inset(z)
        found = grown(outline, -inset) if inset > 0.0 else outline
        for run, width in zip(*_widths(self.skin, z)):
            if width > 0.0:
                found = found.difference(self.band(run, width))
        return found

    def _widest(self, shape: Cut, face: Face, depth: float) -> Any:
        """Where a contour takes anything at all: its section at its own face, for nothing
        overhangs; of a ledge that follows it, its section at the ledge's floor."""
        depth += 1e-6
        z = self.skin.level(face) + (-depth if face is Face.FRONT else depth)
        return prepared(grown(merged(sections([shape], z)), 2.0 * SAGITTA))

    def plan(self, shape: Cut, z: float) -> Any:
        """The polygon of a shape that does not change about height `z`, made once."""
        if shape not in self.plans:
            (self.plans[shape],) = sections([shape], z)
        return self.plans[shape]

    def local(self, box: tuple[float, ...]) -> Any:
        """The outline near a plan box, or None where the box is clear of every edge treatment."""
        if self.core.contains(block(box)):
            return None
        room = self.reach + 1.0
        near = block((box[0] - room, box[1] - room, box[2] + room, box[3] + room))
        return self.outline.intersection(near)


def around(skin: Skin) -> Around:
    """`Around` of a skin, worked out once for it; the plans of cuts are the caller's own."""
    if "around" not in skin.memo:
        skin.memo["around"] = Around(skin)
    own: Around = copy(skin.memo["around"])
    own.plans = {}
    return own


def removed(
    shapes: Sequence[Cut], around: Around, minus: Iterable[tuple[Cut, Any]], enough: float
) -> np.ndarray:
    """Volume and first moments (4,) of the wood that `shapes` together take, outside the carves of
    `minus`.

    A stretch is halved until its volume settles within `enough` mm3."""
    sums = np.zeros(4)
    for stretch in _stretches(shapes, list(minus), around):
        level = _level(stretch, around)
        if stretch.steady(around.skin):
            sums += _steady_sum(level, stretch.low, stretch.high)
        else:
            sums += integral(level, stretch.low, stretch.high, enough)
    return sums


@dataclass(frozen=True, eq=False)
class _Stretch:
    """Shapes that hang together between two heights, what is taken off, and any outline."""

    low: float
    high: float
    shapes: tuple[Cut, ...]
    minus: tuple[Cut, ...]
    outline: Any

    def steady(self, skin: Skin) -> bool:
        """Whether its level section is the same all the way up."""
        middle = (self.low + self.high) / 2.0
        return all(_whole(s, middle) for s in (*self.shapes, *self.minus)) and (
            self.outline is None
            or np.abs(_insets(skin, self.low + 1e-9) - _insets(skin, self.high - 1e-9)).max()
            < 1e-12
        )


def _stretches(
    shapes: Sequence[Cut], minus: list[tuple[Cut, Any]], around: Around
) -> list[_Stretch]:
    """The shapes regrouped between each two heights that matter, as far up as nothing changes."""
    skin = around.skin
    boxes = np.array([s.box for s in shapes])
    all_over = block((*boxes[:, :2].min(axis=0), *boxes[:, 3:5].max(axis=0)))
    minus = [(carve, wide) for carve, wide in minus if wide.intersects(all_over)]
    low, high = max(float(boxes[:, 2].min()), -skin.thickness), min(float(boxes[:, 5].max()), 0.0)
    edges = {round(z, 9) for z in skin.edge_heights}  # as `breaks` are, to be found among them
    marks = {
        id(s): {round(z, 9) for z in s.critical_heights}
        for s in (*shapes, *(carve for carve, _ in minus))
    }
    inner = {z for z in edges.union(*marks.values()) if low < z < high}
    breaks = sorted({round(z, 9) for z in inner | {low, high}})
    done: list[_Stretch] = []
    open_: dict[tuple[int, ...], _Stretch] = {}
    for z0, z1 in zip(breaks, breaks[1:]):
        middle, now = (z0 + z1) / 2.0, {}
        for group in groups([s for s in shapes if s.box[2] < middle < s.box[5]]):
            box = np.array([s.box for s in group])
            plan = (*box[:, :2].min(axis=0), *box[:, 3:5].max(axis=0))
            off = tuple(
                c
                for c, wide in minus
                if c.box[2] < middle < c.box[5] and wide.intersects(block(plan))
            )
            key = tuple(id(s) for s in (*group, *off))
            last = open_.get(key)
            if (
                last is not None
                and not any(z0 in marks[k] for k in key)
                and not (last.outline is not None and z0 in edges)
            ):
                now[key] = _Stretch(last.low, z1, last.shapes, last.minus, last.outline)
            else:
                now[key] = _Stretch(z0, z1, tuple(group), off, around.local(plan))
                done += [last] if last is not None else []
        done += [stretch for key, stretch in open_.items() if key not in now]
        open_ = now
    return done + list(open_.values())


def _level(stretch: _Stretch, around: Around) -> Level:
    """The function z -> area and first moments (3,) of the wood taken at that height.

    What stays the same all the way up, and lies clear of the outline's edges and of `minus`, is
    summed once; of what changes, only what lies outside that is summed at each height."""
    middle = (stretch.low + stretch.high) / 2.0
    moving = [s for s in stretch.shapes if not _whole(s, middle)]
    still = merged([around.plan(s, middle) for s in stretch.shapes if _whole(s, middle)])
    wide = [around.wide(cut) for cut in stretch.minus]

    def clear(part: Any) -> bool:
        inside = stretch.outline is None or around.core.contains(part)
        return bool(inside) and not any(other.intersects(part) for other in wide)

    parts = areas(still)
    base = sum((_moments(p) for p in parts if clear(p)), np.zeros(3))
    bound = merged([p for p in parts if not clear(p)])
    boxes = np.array([s.box for s in moving]).reshape(-1, 6)
    near = block((*boxes[:, :2].min(axis=0), *boxes[:, 3:5].max(axis=0))) if moving else still
    beside = merged(areas(still.intersection(near)))

    def left(region: Any, z: float) -> np.ndarray:
        """What of a region is wood at a height."""
        if region.is_empty:
            return np.zeros(3)
        if stretch.outline is not None and not around.core.contains(region):
            region = region.intersection(around.edged(stretch.outline, z))
        for cut, its in zip(stretch.minus, wide):
            if its.intersects(region):
                for p in sections([cut], z):
                    region = region.difference(p)
        return _moments(region)

    def at(z: float) -> np.ndarray:
        found: np.ndarray = base + left(bound, z)
        if moving:
            found = found + left(merged(sections(moving, z)).difference(beside), z)
        return found

    return at


def _moments(region: Any) -> np.ndarray:
    """Area and first moments (3,)."""
    if region.is_empty:
        return np.zeros(3)
    area, centre = region.area, region.centroid
    return np.array([area, area * centre.x, area * centre.y])


def _whole(cut: Cut, z: float) -> bool:
    """Whether the level section at height `z` is the whole plan, and so does not change there."""
    return cut.full[0] <= z <= cut.full[1]


def sections(cuts: Iterable[Cut], z: float) -> list[Any]:
    """The level sections of shapes at height `z` as polygons, chords within SAGITTA."""
    found: list[Any] = []
    for cut in cuts:
        solid = cut.carve if isinstance(cut, Bent) else cut
        made = [filled([p]) for p in solid.level_section(z, SAGITTA)]
        found += [p.intersection(cut.band) for p in made] if isinstance(cut, Bent) else made
    return found


def wood_at(whole: Around, shapes: Iterable[Shape], within: Any, z: float) -> Any:
    """The section of the finished wood at height `z`, as a polygon: of a piece of the outline what
    edges, contours and the shapes leave."""
    wood = whole.edged(within, z)
    carves = [c for c, wide in whole.carves if c.box[2] < z < c.box[5] and wide.intersects(within)]
    gone = sections([*carves, *(s for s in shapes if s.box[2] < z < s.box[5])], z)
    return wood.difference(merged(gone)) if gone else wood


def _steady_sum(level: Level, z0: float, z1: float) -> np.ndarray:
    area, x, y = level((z0 + z1) / 2.0) * (z1 - z0)
    return np.array([area, x, y, area * (z0 + z1) / 2.0])


def integral(level: Level, z0: float, z1: float, enough: float) -> np.ndarray:
    """The volume and first moments (4,) of `level`'s areas and their first moments over z0..z1, by
    z = middle - half * cos(t), t from 0 to pi; a stretch is halved until its volume settles within
    `enough` mm3."""
    half, middle = (z1 - z0) / 2.0, (z0 + z1) / 2.0

    def gauss(a: float, b: float) -> tuple[np.ndarray, np.ndarray]:
        t = (a + b) / 2.0 + (b - a) / 2.0 * NODES
        z = middle - half * np.cos(t)
        rows = np.array([level(v) for v in z])
        rows = np.column_stack([rows, rows[:, 0] * z])
        sums: np.ndarray = (WEIGHTS * np.sin(t) * (b - a) / 2.0 * half) @ rows
        return sums, rows[:, 0]

    def settle(a: float, b: float, whole: np.ndarray, depth: int) -> np.ndarray:
        centre = (a + b) / 2.0
        left, right = gauss(a, centre)[0], gauss(centre, b)[0]
        both: np.ndarray = left + right
        if depth > 0 and abs(both[0] - whole[0]) >= enough / SETTLED:
            both = settle(a, centre, left, depth - 1) + settle(centre, b, right, depth - 1)
        return both

    whole, areas = gauss(0.0, math.pi)
    # Where fewer of the samples already say the same as all of them, each in its own way, the area
    # is a plain polynomial here.
    if np.abs(whole[0] - half * (FEWER @ areas)).max() < enough / PLAIN:
        return whole
    return settle(0.0, math.pi, whole, DEEPEST)


def _widths(skin: Skin, z: float) -> tuple[list[Run], list[float]]:
    """The runs of both faces, and how far in each has cut at height `z`, mm."""
    front, back = skin.runs("front"), skin.runs("back")
    widths = [run.edge.inset(-z) for run in front]
    return [*front, *back], widths + [run.edge.inset(z + skin.thickness) for run in back]


def _insets(skin: Skin, z: float) -> np.ndarray:
    """How far in (mm) the outline is drawn at height `z`: all round, and along each run."""
    return np.array([skin.edge_inset(z), *_widths(skin, z)[1]])


def groups(shapes: Sequence[Cut]) -> list[list[Cut]]:
    """Shapes in groups whose boxes hang together."""
    if not shapes:
        return []
    boxes = np.array([shape.box for shape in shapes])[:, [0, 1, 3, 4, 2, 5]]
    return [[shapes[i] for i in own] for own in grouped(len(shapes), near_pairs(boxes, 1e-6))]
