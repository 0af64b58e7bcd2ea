"""Sections of a heel, one along each neck screw toward the carve that comes nearest to it, with
what decides whether the screw holds: how far its flange lies inside the shaped back at its seat's
depth, the wood it clamps, the thread in the neck, and what is left to the fretboard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from bodycad.checks.rules.bolts import each
from bodycad.checks.rules.screw_figures import Screws
from bodycad.checks.rules.seated import Neck
from bodycad.exports.sections.drawing import Key, arrows, draw
from bodycad.exports.sections.lines import SectionLine, meets_wood
from bodycad.exports.sections.slice import Point, Slice
from bodycad.exports.svg import line, num, path, words
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.words import Face

FAR = 80.0
"""A carve farther than this (mm) from a screw, at the back, does not come near it."""
BEHIND, BEYOND, LONGEST = 30.0, 10.0, 78.0
"""How far a section runs on behind the screw and beyond the carve's border, and how far it runs
from the screw at the most, mm."""
SKIM = 1e-3
"""How far under the plain back a carve's border is taken: at the back itself it only touches, mm.
"""


@dataclass(frozen=True, eq=False)
class HeelLine:
    """The section along one neck screw: its line, the screw with its figures, how far along the
    line it stands, mm, and what it looks toward, a contour or the edge."""

    line: SectionLine
    neck: Neck
    screw: Screw
    figures: Screws
    along: float
    toward: str


def heel_lines(layout: Layout) -> tuple[HeelLine, ...]:
    """One section for each neck screw that stands in or near the body, all of one length, so that
    they stand at one scale."""
    rows = [(row, _ahead(layout, row[0], row[1])) for row in each(layout)]
    longest = max((far for _, (_, _, far) in rows), default=0.0)
    lines = (_line(*row, toward, way, longest) for row, (toward, way, _) in rows)
    return tuple(one for one in lines if meets_wood(layout, one.line))


def draw_heel(layout: Layout, one: HeelLine, alone: bool = False) -> tuple[str, tuple[Key, ...]]:
    """The section as SVG, and its letters."""
    ends, title = (one.line.one, one.line.two), one.line.title
    return draw(layout, *ends, title, alone, partial(_marks, one))


def _line(
    neck: Neck, screw: Screw, name: str, figures: Screws, toward: str, way: Point, ahead: float
) -> HeelLine:
    (x, y, _), (ax, ay) = screw.at, way
    one, two = (x - BEHIND * ax, y - BEHIND * ay), (x + ahead * ax, y + ahead * ay)
    line = SectionLine(one, two, f"{name}, toward {toward}")
    return HeelLine(line, neck, screw, figures, BEHIND, toward)


def _ahead(layout: Layout, neck: Neck, screw: Screw) -> tuple[str, Point, float]:
    """What a screw's section looks toward, which way, and how far it runs on, mm: beyond the
    carve's border and the body's side, but no farther than LONGEST."""
    spot = np.array([screw.at[:2]])
    toward, foot, far = _nearest(layout, spot)
    (x, y), (fx, fy) = spot[0].tolist(), foot
    way = neck.joint.ahead[:2] if abs(far) < 1e-6 else ((fx - x) / far, (fy - y) / far)
    beyond = max(far, _to_the_side(layout, (x, y), way)) + BEYOND
    return toward, way, min(beyond, LONGEST)


def _nearest(layout: Layout, spot: np.ndarray) -> tuple[str, Point, float]:
    """The contour of the back whose border comes nearest to a plan point, else the body's edge: its
    name, its nearest point and how far that is, mm, negative inside the contour."""
    skin, found = layout.skin, list[tuple[str, Point, float]]()
    for contour in skin.contours:
        if contour.face is Face.BACK:
            far, feet = contour.carve.level_distances(spot, SKIM - skin.thickness)
            found.append((contour.id, (float(feet[0][0]), float(feet[0][1])), float(far[0])))
    near = [row for row in found if abs(row[2]) < FAR]
    if near:
        return min(near, key=lambda row: row[2])
    reach, feet, _ = skin.outline.segments.nearest(spot)
    return layout.body.edge, (float(feet[0][0]), float(feet[0][1])), float(reach[0])


def _to_the_side(layout: Layout, spot: Point, way: Point) -> float:
    """How far it is from a point along `way` to where the body ends, mm."""
    s = np.arange(0.0, LONGEST, 0.5)
    points = np.array(spot) + s[:, None] * np.array(way)
    outside = ~layout.skin.outline.segments.encloses(points)
    return float(s[int(outside.argmax())]) if outside.any() else LONGEST


def _marks(one: HeelLine, part: Slice, size: float) -> Iterator[str]:
    """Flange and seat as lines, and the four figures."""
    figures, (_, _, z), half = one.figures, one.screw.at, one.screw.flange / 2.0
    at, floor = one.along, float(figures.mouths[0][2])
    tip, board = float(figures.tips[0][2]), float(figures.tips[0][2] + figures.to_board[0])
    flange = path(f"M{num(at - half)} {num(-z)}H{num(at + half)}", "flange", "flange on its seat")
    yield flange
    rim = _rim(part, at, z)
    if rim is not None:
        yield line((at + half, -z), (rim, -z), "dim")
        for s in (at + half, rim):
            yield line((s, -z - 0.4 * size), (s, -z + 0.4 * size), "dim")
        spare = rim - at - half
        told = f"land {spare:.1f}" if spare >= 0.0 else f"overhang {-spare:.1f}"
        spot = max(at + half + rim, 2.0 * (at + half)) / 2.0, -z - 0.45 * size
        yield words(*spot, told, size, "label", "middle" if spare >= 3.0 * size else "start")
    x = at - half - 0.8 * size
    for low, high, what in ((z, floor, "wood"), (floor, tip, "grip"), (tip, board, "tip")):
        yield from arrows(x, min(low, high), max(low, high), size)
        spot = x - 0.6 * size, -(low + high) / 2.0 + 0.35 * size
        yield words(*spot, f"{what} {high - low:.1f}", size, "label", "end")


def _rim(part: Slice, start: float, z: float) -> float | None:
    """Where the wood ends along the level of a seat, from its screw's axis on."""
    with np.errstate(invalid="ignore"):
        solid = (part.wood.low < z) & (part.wood.high > z)
    ahead = np.flatnonzero((part.s > start) & ~solid)
    return float(part.s[ahead[0]]) if len(ahead) else None
