"""The part of a void that lies in wood: without what overruns the body or runs on inside a void it
meets."""

from __future__ import annotations

import math
from dataclasses import replace

from bodycad.checks.wood.near import ball_bounds, of_the_cuts
from bodycad.geometry.distance.gap import contour_at_least, face_gap, gap
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.distance.within import contour_gap_within
from bodycad.geometry.solids.air import Span
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece

THIN = 2e-3
"""Wood thinner than this (mm) is none."""


def in_wood(void: Void, piece: Workpiece) -> tuple[Void, ...]:
    """The void as one or more voids that stand in wood; none when all of it lies in air.

    A prism open to the edge is cut by the outline. A slanted or level bore loses the ends whose
    whole section lies outside the outline, outside the faces or inside one void that it is declared
    to meet."""
    return of_the_cuts(piece, ("in wood", void), lambda: _in_wood(void, piece))


def _in_wood(void: Void, piece: Workpiece) -> tuple[Void, ...]:
    if void.shape.hole is None or void.shape.upright:
        if "edge" not in void.opens:
            return (void,)
        return tuple(replace(void, shape=kept) for kept in void.shape.within(piece.skin.outline))
    shape = _trimmed(void.shape.hole, piece, piece.openings[void.id], "edge" in void.opens)
    return () if shape is None else (replace(void, shape=shape),)


def _trimmed(shape: Bore, piece: Workpiece, others: tuple[Void, ...], edge: bool) -> Bore | None:
    lines, outline = shape.lines, piece.skin.outline.segments
    free = [
        lines.past(lines.base[:, 2] - piece.skin.level("front"), lines.way[2]),
        lines.past(piece.skin.level("back") - lines.base[:, 2], -lines.way[2]),
    ]
    free += lines.all_in(outline, inside=False) if edge else []
    free += [span for other in others for span in other.air.spans(lines)]
    start = _covered(0.0, free)
    end = shape.shoulder - _covered(
        0.0, [(shape.shoulder - b, shape.shoulder - a) for a, b in free]
    )
    if start >= end:
        return None
    kept = shape.stretched(-start, 0.0)
    if end >= shape.shoulder:
        return kept
    return replace(kept, length=max(end - start, THIN), tip_deg=180.0)


def _covered(start: float, spans: list[Span]) -> float:
    """How far spans that follow on one another, but for THIN, reach from `start`."""
    for a, b in sorted(spans):
        if a <= start + THIN:
            start = max(start, b)
    return start


def face_wood(void: Void, piece: Workpiece, face: str) -> tuple[Gap, str]:
    """Least wood from the part of a void that lies in wood to the shaped front or back, and what
    that is: the face or a contour's id. Infinite where no part lies in wood."""
    return of_the_cuts(piece, ("face wood", void, face), lambda: _face_wood(void, piece, face))


def _face_wood(void: Void, piece: Workpiece, face: str) -> tuple[Gap, str]:
    best, what = Gap(math.inf, 0.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))), face
    bounds = ball_bounds(piece)[void.id]
    for shape in (one.shape for one in in_wood(void, piece)):
        found = face_gap(shape, piece.skin, face)
        if found.distance < best.distance:
            best, what = found, face
        for contour in piece.skin.contours:
            if contour.face == face and max(
                bounds[contour.id], 0.0
            ) < best.distance > contour_at_least(shape, contour.carve):
                reached: Gap | None = gap(shape, contour.carve)
                assert reached
                if "edge" in void.opens and not piece.skin.outline.contains(*reached.at[1][:2]):
                    # What the contour takes beside the body is no wood.
                    reached = contour_gap_within(shape, contour, piece.skin)
                if reached and reached.distance < best.distance:
                    best, what = reached, contour.id
    return best, what


def leads_out(void: Void, piece: Workpiece, face: str) -> bool:
    """Whether an upright void reaches `face` through a void it meets, so that no wood is left
    between: a neck screw's hole under the pocket, a pot's hole over its cavity."""
    return of_the_cuts(piece, ("leads out", void, face), lambda: _leads_out(void, piece, face))


def _leads_out(void: Void, piece: Workpiece, face: str) -> bool:
    if not void.shape.upright:
        return False
    for other in piece.openings[void.id]:
        if face not in other.opens or not other.shape.upright:
            continue
        reaches = (
            void.high >= other.low - THIN if face == "front" else void.low <= other.high + THIN
        )
        if reaches and _within(void, other):
            return True
    return False


def _within(void: Void, host: Void) -> bool:
    """Whether an upright void lies in plan within another, but for THIN."""
    x0, y0, _, x1, y1, _ = void.shape.box
    u0, v0, _, u1, v1, _ = host.shape.box
    if min(x0 - u0, y0 - v0, u1 - x1, v1 - y1) < -THIN:
        return False
    return inside_gap(void.shape.plan, host.shape.plan)[0] >= -THIN
