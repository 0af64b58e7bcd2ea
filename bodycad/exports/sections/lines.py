"""Which sections a report shows, picked from the layout's own cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from bodycad.exports.sections.slice import Point
from bodycad.layout.interface import Screw, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void

BEYOND = 16.0
"""How far a section runs on past what it is drawn for, mm."""


@dataclass(frozen=True)
class SectionLine:
    """A section's line in plan and its title."""

    one: Point
    two: Point
    title: str


def section_lines(layout: Layout) -> tuple[SectionLine, ...]:
    """The sections worth drawing: across each neck joint at its thinnest pair of bolts, along each
    row of string holes, along each back cavity, and the whole body on its centreline."""
    found = []
    for placed in layout.placed:
        own = layout.voids_of(placed.id)
        loaded = {s.hole for s in layout.stated(Screw) if s.loaded and s.part == placed.id}
        passed = {s.hole for s in layout.stated(StringHole) if s.part == placed.id}
        bolts = [v for v in own if v.id in loaded]
        holes = [v for v in own if v.id in passed]
        found += _bolts(layout, placed.id, bolts) + _row(placed.id, holes) + _cavities(layout, own)
    x0, _, x1, _ = layout.skin.outline.box
    found.append(SectionLine((x0 - 5.0, 0.0), (x1 + 5.0, 0.0), "whole body on the centreline"))
    return tuple(one for one in found if meets_wood(layout, one))


def _bolts(layout: Layout, part: str, bolts: list[Void]) -> list[SectionLine]:
    """The pair square to the centreline (within 3 mm) with the least wood between the faces."""
    starts = [v.shape.hole.start for v in bolts if v.shape.hole]
    spots = sorted({(round(x, 6), round(y, 6)) for x, y, _ in starts})
    skin = layout.skin
    square = (pair for pair in combinations(spots, 2) if abs(pair[0][0] - pair[1][0]) < 3.0)
    pairs = [p for p in square if skin.outline.segments.encloses(np.array(p)).all()]
    if not pairs:
        return []

    def wood(pair: tuple[Point, Point]) -> tuple[float, tuple[Point, Point]]:
        points = np.array(pair)
        return float((skin.height("front", points) - skin.height("back", points)).min()), pair

    one, two = min(pairs, key=wood)
    x0, y0, x1, y1 = max(
        (v.shape.plan.box for v in layout.voids_of(part) if v.shape.hole is None),
        key=lambda b: b[3] - b[1],
        default=(*one, *two),
    )
    beyond = max(BEYOND, (y1 - y0 - math.dist(one, two)) / 2.0 + BEYOND)
    return [_along(one, two, beyond, f"{part} across a pair of bolts")]


def _row(part: str, holes: list[Void]) -> list[SectionLine]:
    spots = [v.shape.hole.start[:2] for v in holes if v.shape.hole]
    if len(spots) < 2:
        return []
    one, two = max(combinations(spots, 2), key=lambda pair: math.dist(*pair))
    return [_along(one, two, BEYOND, f"{part} along the string holes")]


def _cavities(layout: Layout, own: tuple[Void, ...]) -> list[SectionLine]:
    """Along each pocket from the back that others open into: through the two farthest of the
    upright holes that meet it, else along the longer side of its box."""
    found = []
    for void in own:
        if void.face != "back" or void.operation != "POCKET" or void.shape.hole:
            continue
        x0, y0, x1, y1 = void.shape.plan.box
        shafts = [
            v.shape.hole.start[:2]
            for v in layout.voids
            if v.face == "front" and v.shape.hole and v.shape.upright and layout.meant(v, void)
        ]
        if len(shafts) >= 2:
            one, two = max(combinations(shafts, 2), key=lambda pair: math.dist(*pair))
        else:
            x, y = shafts[0] if shafts else void.shape.plan.centroid
            dx, dy = (1.0, 0.0) if x1 - x0 >= y1 - y0 else (0.0, 1.0)
            one, two = (x - dx, y - dy), (x + dx, y + dy)
        found.append(_through(one, two, (x0, y0, x1, y1), void.id))
    return found


def _along(one: Point, two: Point, beyond: float, title: str) -> SectionLine:
    """The line through two points, `beyond` mm longer at both ends, left to right or bottom to
    top."""
    (ax, ay), (bx, by) = sorted((one, two))
    reach = math.dist(one, two)
    ux, uy = (bx - ax) / reach * beyond, (by - ay) / reach * beyond
    return SectionLine((ax - ux, ay - uy), (bx + ux, by + uy), title)


def _through(
    one: Point, two: Point, box: tuple[float, float, float, float], title: str
) -> SectionLine:
    """The line through two points as far as the box goes, and BEYOND."""
    p, d = np.array(one), np.array(two) - np.array(one)
    d = d / math.hypot(*d)
    low, high = -math.inf, math.inf
    for k in (0, 1):
        if abs(d[k]) > 1e-9:
            a, b = sorted(((box[k] - p[k]) / d[k], (box[k + 2] - p[k]) / d[k]))
            low, high = max(low, a), min(high, b)
    (ax, ay), (bx, by) = (p + d * low).tolist(), (p + d * high).tolist()
    return _along((ax, ay), (bx, by), BEYOND, title)


def meets_wood(layout: Layout, one: SectionLine) -> bool:
    """Whether a section passes through the body at all."""
    t = np.linspace(0.0, 1.0, 101)[:, None]
    points = np.array(one.one) + t * (np.array(one.two) - np.array(one.one))
    return bool(layout.skin.outline.segments.encloses(points).any())
