"""The body's own volume and balance, without the kernel: level sections summed over height.

The slab and its edge treatments by exact offsets, less what contours and voids take (`levels`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.offset import offset_regions
from bodycad.geometry.solids.edge import Edge, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape
from bodycad.geometry.solids.stretch import Run, within
from bodycad.layout.levels import TURN, WEIGHTS, Around, around, groups, integral, removed
from bodycad.layout.tool import tool_shapes
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

SPLIT, CUT = 5e-7, 1e-5
"""Volumes settle to this share of the slab's, or of what the cuts take where that is less; each
void alone to `FINE` of its own."""
FINE = 1e-7
SHAPED = 4.0
"""What contours take, and edges that meet, settles to this fraction of it."""
TOP, SHARED = 1e-9, 1e-6
"""How far (mm) under a face an edge is as wide as it reaches; and the share of what stretches take
there from which on they count as meeting."""
QUADRATIC = 1e-8
"""Areas that a quadratic misses by less than this share of them are one."""


@dataclass(frozen=True)
class BodyFigures:
    """area: plan area of the outline, mm2. volume: wood left, mm3. mass: kg, None where the
    material is not known. centroid: of the wood, in the piece's own frame, mm."""

    area: float
    volume: float
    mass: float | None
    centroid: tuple[float, float, float]


def body_figures(piece: Workpiece, tools: Mapping[str, Shape] | None = None) -> BodyFigures:
    """Area, volume, mass and centroid of a finished workpiece, to better than 1e-6 of the slab's
    volume.

    `tools` by void id replaces the shapes that the piece's voids would take."""
    skin, shapes = piece.skin, list((tool_shapes(piece) if tools is None else tools).values())
    sums, whole = _outside(skin), around(skin)
    enough = SPLIT * skin.outline.area * skin.thickness
    enough = min(enough, CUT * sum(shape.volume for shape in shapes))
    for group in groups(shapes):
        sums = sums - removed(group, whole, whole.carves, enough)
    volume = float(sums[0])
    x, y, z = map(float, sums[1:] / volume)
    stuff = piece.blank
    mass = None if stuff is None else stuff.species.density(stuff.moisture) * volume * 1e-9
    return BodyFigures(skin.outline.area, volume, mass, (x, y, z))


def removed_volumes(piece: Workpiece) -> Mapping[str, float]:
    """By void id: mm3 that each void alone takes out of the plain slab, overlaps in each."""
    plain = Skin(piece.skin.outline, piece.thickness, Square(), Square())
    return _each(tool_shapes(piece), around(plain))


def wood_removed(
    piece: Workpiece, tools: Mapping[str, Shape] | None = None, share: float = FINE
) -> Mapping[str, float]:
    """By void id: the volume (mm3) that each void alone takes out of the shaped piece; 0 for a
    miss. Each settles to about a `share` of its own.

    `tools` by void id replaces the shapes that the piece's voids would take."""
    return _each(tool_shapes(piece) if tools is None else tools, around(piece.skin), share)


def _each(tools: Mapping[str, Shape], whole: Around, share: float = FINE) -> Mapping[str, float]:
    """By void id: the volume (mm3) each of `tools` alone takes out of the piece round it."""
    return {
        name: float(removed([shape], whole, whole.carves, share * shape.volume)[0])
        for name, shape in tools.items()
    }


def skin_volume(skin: Skin) -> float:
    """Volume (mm3) of the body before any void: slab, edge treatments and contours."""
    return float(_outside(skin)[0])


def _outside(skin: Skin) -> np.ndarray:
    """Volume and first moments (4,) of the body before any void."""
    if "outside" not in skin.memo:
        sums, whole = _slab(skin), around(skin)
        enough = SPLIT * skin.outline.area * skin.thickness / SHAPED
        for group in groups(whole.shaping):
            sums = sums - removed(group, whole, (), enough)
        skin.memo["outside"] = sums
    found: np.ndarray = skin.memo["outside"]
    return found


def edged_volume(skin: Skin) -> float:
    """Volume (mm3) of the slab with its edges, before contours, their ledges and voids."""
    return float(_slab(skin)[0])


def _slab(skin: Skin) -> np.ndarray:
    """Volume and first moments (4,) of the slab with its edges, by exact offsets; what a ledge that
    follows a contour takes under it is not counted."""
    top, bottom = -skin.edge("front").drop, skin.edge("back").drop - skin.thickness
    sums = _layer(_inside(skin, 0.0), bottom, top)
    for face in SIDES:
        edge = skin.edge(face)
        sums = sums + _treated(skin, face, edge, lambda inset: _inside(skin, inset))
        sums = sums - _stretches(skin, face)
    return sums


def _stretches(skin: Skin, face: Face) -> np.ndarray:
    """Volume and first moments (4,) of what the stretches of a face take: where two meet across a
    narrow place, what they take together."""
    runs, sums = skin.runs(face), np.zeros(4)

    def together(depth: float) -> np.ndarray:
        widths = ((run, run.edge.inset(depth)) for run in runs)
        bands = [band for run, width in widths if width > 0.0 for band in run.bands(width)]
        return _moments(within(skin.outline, bands))

    def each(run: Run) -> Callable[[float], np.ndarray]:
        return lambda inset: _moments(run.covered(skin.outline, inset))

    if len(runs) > 1:
        areas = sum(float(each(run)(run.edge.reach)[0]) for run in runs)
        if areas - together(TOP)[0] > SHARED * areas:
            return _by_levels(skin, face, [run.edge for run in runs], together)
    for run in runs:
        sums = sums + _treated(skin, face, run.edge, each(run))
    return sums


def _treated(skin: Skin, face: Face, edge: Edge, area: Callable[[float], np.ndarray]) -> np.ndarray:
    """Volume and first moments (4,) of level sections of `area` (its own and first moments at an
    inset) over the height of an edge."""
    slices = [(inset, depth, thick, area(inset)) for inset, depth, thick in _slices(edge)]
    if not _plain([(inset, float(own[0])) for inset, _, _, own in slices]):
        return _by_levels(skin, face, [edge], lambda depth: area(edge.inset(depth)))
    found = np.zeros(4)
    for _, depth, thick, own in slices:
        found += _about(own, _under(skin, face, depth), thick)
    return found


def _plain(areas: Sequence[tuple[float, float]]) -> bool:
    """Whether areas at insets are a quadratic of them, as they are until the outline drawn in meets
    itself or loses a piece; slices then are exact."""
    insets, sizes = np.array(sorted(dict(areas).items())).reshape(-1, 2).T
    if len(insets) < 4:
        return True
    share = (insets - insets[0]) / (insets[-1] - insets[0])
    off = sizes - np.polynomial.Polynomial.fit(share, sizes, 2)(share)
    return bool(np.abs(off).max() < QUADRATIC * sizes.max())


def _by_levels(
    skin: Skin, face: Face, edges: Sequence[Edge], area: Callable[[float], np.ndarray]
) -> np.ndarray:
    """Volume and first moments (4,) of level sections of `area` (at a depth under the face) over
    the height of edges, divided until it settles."""
    found, enough = np.zeros(4), SPLIT * skin.outline.area * skin.thickness / SHAPED
    heights = sorted({_under(skin, face, depth) for edge in edges for _, depth, _ in edge.rows})
    for low, high in zip(heights, heights[1:]):
        found += integral(lambda z: area(abs(z - skin.level(face))), low, high, enough)
    return found


def _under(skin: Skin, face: Face, depth: float) -> float:
    """The height (mm) of a depth under a face."""
    return skin.level(face) + (-depth if face is Face.FRONT else depth)


def _slices(edge: Edge) -> Iterator[tuple[float, float, float]]:
    """Inset, depth and thickness (mm) of slices that add up to an edge: of an arc or a slope by
    Gauss's rule, which is exact where the area is a polynomial of the inset."""
    chain = edge.chain
    for k, ((s0, d0, bulge), (s1, d1, _)) in enumerate(zip(edge.rows, edge.rows[1:])):
        if bulge:
            start, sweep, r = chain.start[k], chain.sweep[k], chain.radius[k]
            for share, weight in zip(TURN / math.pi, WEIGHTS / 2.0):
                a = start + share * sweep
                z = chain.centre[k, 1] + r * math.sin(a)
                thick = abs(r * math.cos(a) * sweep) * weight
                yield float(chain.centre[k, 0] + r * math.cos(a)), -float(z), float(thick)
        elif s0 == s1:
            yield s0, (d0 + d1) / 2.0, d1 - d0
        elif d0 != d1:
            for share, weight in zip(TURN / math.pi, WEIGHTS / 2.0):
                yield s0 + share * (s1 - s0), d0 + share * (d1 - d0), weight * (d1 - d0)


def _inside(skin: Skin, inset: float) -> np.ndarray:
    """Area and first moments (3,) of the outline drawn in by `inset`."""
    return _moments(offset_regions(skin.outline, -inset))


def _moments(regions: Iterable[Region]) -> np.ndarray:
    found = np.zeros(3)
    for region in regions:
        for piece, sign in ((region.outer, 1.0), *((hole, -1.0) for hole in region.holes)):
            found += sign * piece.area * np.array([1.0, *piece.centroid])
    return found


def _layer(area: np.ndarray, low: float, high: float) -> np.ndarray:
    return _about(area, (low + high) / 2.0, high - low)


def _about(area: np.ndarray, z: float, thick: float) -> np.ndarray:
    return np.array([*area, area[0] * z]) * thick
