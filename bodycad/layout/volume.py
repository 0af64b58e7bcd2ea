"""The body's own volume and balance, without the kernel: level sections summed over height.

The slab and its edge treatments by exact offsets, less what contours and voids take (`levels`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.offset import offset
from bodycad.geometry.solids.shapes import Shape
from bodycad.geometry.solids.skin import Ledge, Roundover, Skin, Square
from bodycad.layout.layout import Layout
from bodycad.layout.levels import TURN, WEIGHTS, View, groups, removed
from bodycad.layout.tool import tool_shapes

SPLIT = 5e-7
"""Volumes settle to about this share of the slab's; each void alone to `FINE` of its own."""
FINE = 1e-8


@dataclass(frozen=True)
class BodyFigures:
    """area: plan area of the outline, mm2. volume: wood left, mm3. mass: kg. centroid: of the wood,
    mm."""

    area: float
    volume: float
    mass: float
    centroid: tuple[float, float, float]


def body_figures(layout: Layout, tools: Mapping[str, Shape] | None = None) -> BodyFigures:
    """Area, volume, mass and centroid of the finished body, to better than 1e-6 of the slab's
    volume.

    `tools` by void id replaces the shapes that the layout's voids would take.
    """
    skin, shapes = layout.skin, list((tool_shapes(layout) if tools is None else tools).values())
    sums, view = _slab(skin), View(skin)
    enough = SPLIT * skin.outline.area * skin.thickness
    for group in groups([contour.carve for contour in skin.contours]):
        sums = sums - removed(group, view, (), enough / 20.0)
    for group in groups(shapes):
        sums = sums - removed(group, view, view.carves, enough)
    volume = float(sums[0])
    centroid = tuple(float(v) for v in sums[1:] / volume)
    density = layout.blank.species.density(layout.blank.moisture)
    return BodyFigures(skin.outline.area, volume, density * volume * 1e-9, centroid)


def removed_volumes(layout: Layout) -> Mapping[str, float]:
    """By void id: the volume (mm3) that each void alone takes out of the plain slab, overlaps
    counted in each."""
    plain = Skin(layout.skin.outline, layout.thickness, Square(), Square())
    view = View(plain)
    return {
        name: float(removed([shape], view, (), FINE * shape.volume)[0])
        for name, shape in tool_shapes(layout).items()
    }


def wood_removed(layout: Layout, tools: Mapping[str, Shape] | None = None) -> Mapping[str, float]:
    """By void id: the volume (mm3) that each void alone takes out of the shaped body; 0 for a miss.

    `tools` by void id replaces the shapes that the layout's voids would take.
    """
    view = View(layout.skin)
    return {
        name: float(removed([shape], view, view.carves, FINE * shape.volume)[0])
        for name, shape in (tool_shapes(layout) if tools is None else tools).items()
    }


def skin_volume(skin: Skin) -> float:
    """Volume (mm3) of the body before any void: slab, edge treatments and contours."""
    view = View(skin)
    enough = SPLIT * skin.outline.area * skin.thickness / 20.0
    lost = sum(
        removed(group, view, (), enough)[0] for group in groups([c.carve for c in skin.contours])
    )
    return edged_volume(skin) - float(lost)


def edged_volume(skin: Skin) -> float:
    """Volume (mm3) of the slab with its edge treatments, before contours and voids."""
    return float(_slab(skin)[0])


def _slab(skin: Skin) -> np.ndarray:
    """Volume and first moments (4,) of the slab with its edge treatments, by exact offsets."""
    top, bottom = -skin.front.drop, -skin.thickness + skin.back.drop
    sums = _layer(skin, 0.0, bottom, top)
    for edge, face, inward in ((skin.front, 0.0, -1.0), (skin.back, -skin.thickness, 1.0)):
        if isinstance(edge, Ledge):
            sums = sums + _layer(skin, edge.reach, *sorted((face, face + inward * edge.drop)))
        elif isinstance(edge, Roundover):
            # Depth r(1 - sin a) and inset r(1 - cos a) for a from 0 to a quarter turn.
            for a, weight in zip(TURN / 2.0, WEIGHTS * math.pi / 4.0):
                z = face + inward * edge.radius * (1.0 - math.sin(a))
                thin = edge.radius * math.cos(a) * weight
                sums = sums + _layer(
                    skin, edge.radius * (1.0 - math.cos(a)), z - thin / 2.0, z + thin / 2.0
                )
    return sums


def _layer(skin: Skin, inset: float, low: float, high: float) -> np.ndarray:
    area = np.zeros(3)
    for piece in offset(skin.outline, -inset):
        area += piece.area * np.array([1.0, *piece.centroid])
    return np.array([*area, area[0] * (low + high) / 2.0]) * (high - low)
