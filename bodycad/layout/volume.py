"""The body's own volume and balance, without the kernel: level sections summed over height.

Between the heights where anything begins, ends or changes its kind, the section area is smooth except
for square-root ends (round walls lying on their side, roundovers). With z = middle - half * cos(t)
those are smooth too, so each stretch is integrated over t by Gauss-Legendre of order `ORDER`, halved
until two answers agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Callable, Iterable, Mapping

import numpy as np

from bodycad.geometry.boolean import intersection
from bodycad.geometry.offset import offset
from bodycad.geometry.region import near_pairs
from bodycad.geometry.shapes import Bore, Prism, Shape
from bodycad.geometry.skin import Edge, Ledge, Roundover, Skin, Square
from bodycad.layout.body import Layout
from bodycad.layout.sections import critical_heights, even_polygon, level_section
from bodycad.layout.tool import tool_shapes

ORDER = 6
SAGITTA = 0.01
"""Chord error of the polygons, mm; their areas are those of the true sections."""
SPLIT = 2e-7
"""A stretch is halved until its volume settles to this share of the slab's."""
DEEPEST = 6

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(ORDER)
_TURN = (1.0 + _NODES) * math.pi / 2.0
_SOME = [0, 2, 3, 5]
_FEWER = np.zeros(ORDER)
_FEWER[_SOME] = np.linalg.solve(np.vander(-np.cos(_TURN[_SOME]), increasing=True).T, [2.0, 0.0, 2.0 / 3.0, 0.0])
"""Weights on four of the samples that are right for a cubic in z over -1..1."""
Level = Callable[[float], np.ndarray]


@dataclass(frozen=True)
class BodyFigures:
    """area: plan area of the outline, mm2. volume: wood left, mm3. mass: kg. centroid: of the wood, mm."""

    area: float
    volume: float
    mass: float
    centroid: tuple[float, float, float]


def body_figures(layout: Layout, tools: Mapping[str, Shape] | None = None) -> BodyFigures:
    """Area, volume, mass and centroid of the finished body, to better than 1e-6 of the slab's volume.

    `tools` by void id replaces the shapes that the layout's voids would take.
    """
    skin, shapes = layout.skin, list((tool_shapes(layout) if tools is None else tools).values())
    carves = [contour.carve for contour in skin.contours]
    view = _View(skin)
    sums = _slab(skin)
    for group in _groups(carves):
        sums = sums - _removed(group, view)
    for group in _groups(shapes):
        sums = sums - _removed(group, view, [c for c in carves if any(_overlap(c.box, s.box) for s in group)])
    volume = float(sums[0])
    centroid = tuple(float(v) for v in sums[1:] / volume)
    density = layout.blank.species.density(layout.blank.moisture)
    return BodyFigures(skin.outline.area, volume, density * volume * 1e-9, centroid)


def removed_volumes(layout: Layout) -> Mapping[str, float]:
    """By void id: the volume (mm3) that each void alone takes out of the plain slab, overlaps counted in each."""
    plain = Skin(layout.skin.outline, layout.thickness, Square(), Square())
    view = _View(plain)
    return {name: float(_removed([shape], view)[0]) for name, shape in tool_shapes(layout).items()}


def wood_removed(layout: Layout, tools: Mapping[str, Shape] | None = None) -> Mapping[str, float]:
    """By void id: the volume (mm3) that each void alone takes out of the shaped body; 0 for a miss.

    `tools` by void id replaces the shapes that the layout's voids would take.
    """
    view = _View(layout.skin)
    carves = [contour.carve for contour in layout.skin.contours]
    return {name: float(_removed([shape], view, [c for c in carves if _overlap(c.box, shape.box)])[0])
            for name, shape in (tool_shapes(layout) if tools is None else tools).items()}


def skin_volume(skin: Skin) -> float:
    """Volume (mm3) of the body before any void: slab, edge treatments and contours."""
    view = _View(skin)
    return float((_slab(skin) - sum(_removed(g, view) for g in _groups([c.carve for c in skin.contours])))[0])


def edged_volume(skin: Skin) -> float:
    """Volume (mm3) of the slab with its edge treatments, before contours and voids."""
    return float(_slab(skin)[0])


class _View:
    """The skin with the outline polygon that its level sections need, made once."""

    def __init__(self, skin: Skin) -> None:
        import shapely

        self.skin = skin
        self.outline = shapely.Polygon(even_polygon(skin.outline, SAGITTA))
        self.reach = max(skin.front.reach, skin.back.reach, 0.0)
        self.core = self.outline.buffer(-self.reach - 2.0 * SAGITTA)
        shapely.prepare(self.core)

    def local(self, box: tuple[float, ...]):
        """The outline near a plan box, or None where the box is clear of every edge treatment."""
        import shapely

        if self.core.contains(shapely.box(*box)):
            return None
        room = self.reach + 1.0
        return shapely.intersection(self.outline, shapely.box(box[0] - room, box[1] - room, box[2] + room, box[3] + room))


def _removed(shapes: list[Shape], view: _View, minus: Iterable[Shape] = ()) -> np.ndarray:
    """Volume and first moments (4,) of the wood that `shapes` together take, outside `minus`."""
    enough = SPLIT * view.skin.outline.area * view.skin.thickness
    sums = np.zeros(4)
    for stretch in _stretches(shapes, list(minus), view):
        level = _level(stretch, view.skin)
        if stretch.steady(view.skin):
            sums += _steady_sum(level, stretch.low, stretch.high)
        else:
            sums += _integral(level, stretch.low, stretch.high, enough)
    return sums


@dataclass(frozen=True, eq=False)
class _Stretch:
    """Shapes that hang together between two heights, what is taken off them, and the outline if it matters."""

    low: float
    high: float
    shapes: tuple[Shape, ...]
    minus: tuple[Shape, ...]
    outline: object

    def steady(self, skin: Skin) -> bool:
        """Whether its level section is the same all the way up."""
        middle = (self.low + self.high) / 2.0
        return all(_steady(s, middle) for s in (*self.shapes, *self.minus)) and (
            self.outline is None or abs(_inset(skin, self.low + 1e-9) - _inset(skin, self.high - 1e-9)) < 1e-12)


def _stretches(shapes: list[Shape], minus: list[Shape], view: _View) -> list[_Stretch]:
    """The shapes regrouped between each two heights that matter, each group run as far up as nothing changes for it."""
    skin = view.skin
    low, high = max(min(s.box[2] for s in shapes), -skin.thickness), min(max(s.box[5] for s in shapes), 0.0)
    edges = {0.0, -skin.thickness, -skin.front.drop, -skin.thickness + skin.back.drop}
    marks = {id(s): {round(z, 9) for z in critical_heights(s)} for s in (*shapes, *minus)}
    inner = {z for z in edges.union(*marks.values()) if low < z < high}
    breaks = sorted({round(z, 9) for z in inner | {low, high}})
    done: list[_Stretch] = []
    open_: dict[tuple[int, ...], _Stretch] = {}
    for z0, z1 in zip(breaks, breaks[1:]):
        middle, now = (z0 + z1) / 2.0, {}
        for group in _groups([s for s in shapes if s.box[2] < middle < s.box[5]]):
            box = np.array([s.box for s in group])
            plan = (*box[:, :2].min(axis=0), *box[:, 3:5].max(axis=0))
            off = tuple(m for m in minus if m.box[2] < middle < m.box[5] and _overlap_plan(m.box, plan))
            key = tuple(id(s) for s in (*group, *off))
            last = open_.get(key)
            if last is not None and not any(z0 in marks[k] for k in key) and not (last.outline is not None and z0 in edges):
                now[key] = _Stretch(last.low, z1, last.shapes, last.minus, last.outline)
            else:
                now[key] = _Stretch(z0, z1, tuple(group), off, view.local(plan))
                done += [last] if last is not None else []
        done += [stretch for key, stretch in open_.items() if key not in now]
        open_ = now
    return done + list(open_.values())


def _overlap_plan(box: tuple[float, ...], plan: tuple[float, ...]) -> bool:
    return all(box[k] < plan[k + 2] and plan[k] < box[k + 3] for k in range(2))


def _steady(shape: Shape, z: float) -> bool:
    """Whether the level section does not change about height `z`."""
    if isinstance(shape, Prism):
        return z >= shape.floor_range[1]
    return isinstance(shape, Bore) and shape.upright and (z - shape.start[2]) * shape.direction[2] <= shape.shoulder


def _level(stretch: _Stretch, skin: Skin) -> Level:
    """The function z -> area and first moments (3,) of the wood taken at that height."""
    import shapely

    middle = (stretch.low + stretch.high) / 2.0

    def split(shapes: tuple[Shape, ...]) -> tuple[list, list[Shape]]:
        still = [s for s in shapes if _steady(s, middle)]
        return _polygons(still, middle), [s for s in shapes if s not in still]

    (fixed, moving), (fixed_off, moving_off) = split(stretch.shapes), split(stretch.minus)
    base = [shapely.union_all(fixed)] if len(fixed) > 1 else fixed

    def at(z: float) -> np.ndarray:
        taken = base + _polygons(moving, z)
        region = taken[0] if len(taken) == 1 else shapely.union_all(taken)
        if stretch.outline is not None:
            inset = _inset(skin, z)
            region = region.intersection(stretch.outline.buffer(-inset, quad_segs=32) if inset > 0.0 else stretch.outline)
        for p in fixed_off + _polygons(moving_off, z):
            region = region.difference(p)
        if region.is_empty:
            return np.zeros(3)
        area, centre = region.area, region.centroid
        return np.array([area, area * centre.x, area * centre.y])

    return at


def _polygons(shapes: list[Shape], z: float) -> list:
    import shapely

    return [shapely.Polygon(p) for shape in shapes for p in level_section(shape, z, SAGITTA)]


def _steady_sum(level: Level, z0: float, z1: float) -> np.ndarray:
    area, x, y = level((z0 + z1) / 2.0) * (z1 - z0)
    return np.array([area, x, y, area * (z0 + z1) / 2.0])


def _integral(level: Level, z0: float, z1: float, enough: float) -> np.ndarray:
    """The sums over z0..z1 by z = middle - half * cos(t), t from 0 to pi."""
    half, middle = (z1 - z0) / 2.0, (z0 + z1) / 2.0

    def gauss(a: float, b: float) -> tuple[np.ndarray, np.ndarray]:
        t = (a + b) / 2.0 + (b - a) / 2.0 * _NODES
        z = middle - half * np.cos(t)
        rows = np.array([level(v) for v in z])
        rows = np.column_stack([rows, rows[:, 0] * z])
        return (_WEIGHTS * np.sin(t) * (b - a) / 2.0 * half) @ rows, rows[:, 0]

    def settle(a: float, b: float, whole: np.ndarray, depth: int) -> np.ndarray:
        centre = (a + b) / 2.0
        left, right = gauss(a, centre)[0], gauss(centre, b)[0]
        if depth == 0 or abs(left[0] + right[0] - whole[0]) < enough:
            return left + right
        return settle(a, centre, left, depth - 1) + settle(centre, b, right, depth - 1)

    whole, areas = gauss(0.0, math.pi)
    # Where four of the six samples already say the same as all six, the area is a plain polynomial here.
    if abs(whole[0] - half * float(_FEWER @ areas)) < enough / 4.0:
        return whole
    return settle(0.0, math.pi, whole, DEEPEST)


def _inset(skin: Skin, z: float) -> float:
    """How far (mm) the outline is drawn in at height `z`."""
    return max(_edge_inset(skin.front, -z), _edge_inset(skin.back, z + skin.thickness))


def _edge_inset(edge: Edge, depth: float) -> float:
    if depth >= edge.drop:
        return 0.0
    if isinstance(edge, Roundover):
        return edge.radius - math.sqrt(max(edge.radius**2 - (edge.radius - depth) ** 2, 0.0))
    return edge.reach


def _slab(skin: Skin) -> np.ndarray:
    """Volume and first moments (4,) of the slab with its edge treatments, by exact offsets."""
    top, bottom = -skin.front.drop, -skin.thickness + skin.back.drop
    sums = _layer(skin, 0.0, bottom, top)
    for edge, face, inward in ((skin.front, 0.0, -1.0), (skin.back, -skin.thickness, 1.0)):
        if isinstance(edge, Ledge):
            sums = sums + _layer(skin, edge.reach, *sorted((face, face + inward * edge.drop)))
        elif isinstance(edge, Roundover):
            # Depth r(1 - sin a) and inset r(1 - cos a) for a from 0 to a quarter turn.
            for a, weight in zip(_TURN / 2.0, _WEIGHTS * math.pi / 4.0):
                z = face + inward * edge.radius * (1.0 - math.sin(a))
                thin = edge.radius * math.cos(a) * weight
                sums = sums + _layer(skin, edge.radius * (1.0 - math.cos(a)), z - thin / 2.0, z + thin / 2.0)
    return sums


def _layer(skin: Skin, inset: float, low: float, high: float) -> np.ndarray:
    area = np.zeros(3)
    for piece in offset(skin.outline, -inset):
        area += piece.area * np.array([1.0, *piece.centroid])
    return np.array([*area, area[0] * (low + high) / 2.0]) * (high - low)


def _groups(shapes: list[Shape]) -> list[list[Shape]]:
    """Shapes in groups whose boxes hang together."""
    if not shapes:
        return []
    root = list(range(len(shapes)))

    def find(i: int) -> int:
        while root[i] != i:
            i = root[i]
        return i

    for i, j in near_pairs(np.array([shape.box for shape in shapes])[:, [0, 1, 3, 4, 2, 5]], 1e-6):
        a, b = sorted((find(int(i)), find(int(j))))
        root[b] = a
    groups: dict[int, list[Shape]] = {}
    for i, shape in enumerate(shapes):
        groups.setdefault(find(i), []).append(shape)
    return list(groups.values())


def _overlap(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return all(one[k] < two[k + 3] and two[k] < one[k + 3] for k in range(3))
