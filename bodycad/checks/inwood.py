"""The part of a void that lies in wood: without what overruns the body or runs on inside a void it meets."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.near import ball_bounds, of_the_cuts
from bodycad.geometry.boolean import intersection
from bodycad.geometry.build import circle
from bodycad.geometry.gap import Gap, contour_at_least, contour_gap, face_gap
from bodycad.geometry.inside import crossed
from bodycad.geometry.nearest import inside_gap
from bodycad.geometry.profile import Profile
from bodycad.geometry.segments import Segments
from bodycad.geometry.shapes import Bore, Prism
from bodycad.layout.body import Layout
from bodycad.layout.void import Void

FINE = 2e-3
"""Wood thinner than this (mm) is none."""
MEETS = 1e-9
RIM = np.arange(24) * math.pi / 12.0


def in_wood(void: Void, layout: Layout) -> tuple[Void, ...]:
    """The void as one or more voids that stand in wood; none when all of it lies in air.

    A prism open to the edge is cut by the outline. A slanted or level bore loses the ends whose whole
    section lies outside the outline, outside the faces or inside one void that it is declared to meet.
    """
    return of_the_cuts(layout, ("in wood", void), lambda: _in_wood(void, layout))


def _in_wood(void: Void, layout: Layout) -> tuple[Void, ...]:
    if isinstance(void.shape, Prism):
        if "edge" not in void.opens:
            return (void,)
        pieces = intersection(void.shape.profile, layout.skin.outline)
        return tuple(replace(void, shape=replace(void.shape, profile=piece.outer)) for piece in pieces)
    if void.shape.upright:
        return (void,)
    shape = _trimmed(void.shape, layout, layout.openings[void.id], "edge" in void.opens)
    return () if shape is None else (replace(void, shape=shape),)


def _trimmed(shape: Bore, layout: Layout, others: tuple[Void, ...], edge: bool) -> Bore | None:
    ring = shape.radius * (np.cos(RIM)[:, None] * shape.axes[0] + np.sin(RIM)[:, None] * shape.axes[1])
    rim = Rim(np.array(shape.start) + ring, shape.axes[2], shape.shoulder)
    free = [rim.past(rim.base[:, 2], rim.way[2]), rim.past(-layout.thickness - rim.base[:, 2], -rim.way[2])]
    if edge:
        free += rim.all_in(layout.skin.outline.segments, inside=False)
    for other in others:
        free += _whole_in(rim, other)
    start = _covered(0.0, free)
    end = shape.shoulder - _covered(0.0, [(shape.shoulder - b, shape.shoulder - a) for a, b in free])
    if start >= end:
        return None
    if end >= shape.shoulder:
        return replace(shape, start=_point(shape, start), length=shape.length - start)
    return replace(shape, start=_point(shape, start), length=max(end - start, FINE), tip_deg=180.0)


Span = tuple[float, float]
"""From where to where along a bore, mm; empty when the second is not the greater."""


@dataclass(frozen=True)
class Rim:
    """Lines along the side of a bore: from `base` (m, 3) along the unit `way` (3,), `length` mm."""

    base: np.ndarray
    way: np.ndarray
    length: float

    def past(self, room: np.ndarray, pace: float) -> Span:
        """Where `room` (m,) + `pace` t is not negative for any line."""
        room = room + MEETS
        if abs(pace) < 1e-12:
            return (0.0, self.length) if room.min() >= 0.0 else (0.0, -1.0)
        turn = -room / pace
        return (max(float(turn.max()), 0.0), self.length) if pace > 0.0 else (0.0, min(float(turn.min()), self.length))

    def all_in(self, chain: Segments, inside: bool = True) -> list[Span]:
        """Where every line is inside (or none is) a closed chain in plan."""
        here = chain.encloses(self.base[:, :2]) == inside
        turns = crossed(chain, self.base[:, :2], np.tile(self.way[:2], (len(here), 1)), 0.0, self.length)
        step = np.where(here, -1, 1)[:, None] * np.where(np.arange(turns.shape[1]) % 2, -1, 1)
        order = np.argsort(turns, axis=None)[:int(np.isfinite(turns).sum())]
        count = here.sum() + np.append(0, np.cumsum(step.ravel()[order]))
        marks = np.concatenate([[0.0], turns.ravel()[order], [self.length]])
        return [(float(marks[k]), float(marks[k + 1])) for k in np.flatnonzero(count == len(here))]


def _whole_in(rim: Rim, void: Void) -> list[Span]:
    """Where every line of a rim is inside a void; its open faces are no end of it."""
    shape = void.shape
    if isinstance(shape, Bore):
        return [_both(*_in_bore(rim, shape, bool(void.opens)))]
    ends, slope = [(0.0, rim.length)], np.array(shape.slope)
    if "back" not in void.opens:
        floor = shape.low + (rim.base[:, :2] - np.array(shape.slope_at)) @ slope
        ends.append(rim.past(rim.base[:, 2] - floor, rim.way[2] - rim.way[:2] @ slope))
    if "front" not in void.opens:
        ends.append(rim.past(shape.high - rim.base[:, 2], -rim.way[2]))
    return [_both(span, *ends) for span in rim.all_in(shape.profile.segments)]


def _in_bore(rim: Rim, shape: Bore, open_start: bool) -> list[Span]:
    local, way = (rim.base - np.array(shape.start)) @ shape.axes.T, shape.axes @ rim.way
    square, half = float(way[:2] @ way[:2]), local[:, :2] @ way[:2]
    spare = half * half - square * ((local[:, :2] ** 2).sum(axis=1) - (shape.radius + MEETS) ** 2)
    ends = [rim.past(shape.shoulder - local[:, 2], -way[2])] + ([] if open_start else [rim.past(local[:, 2], way[2])])
    if square < 1e-18:
        return [*ends, (0.0, rim.length) if spare.min() >= 0.0 and (local[:, :2] ** 2).sum(axis=1).max() <= (shape.radius + MEETS) ** 2 else (0.0, -1.0)]
    if spare.min() < 0.0:
        return [(0.0, -1.0)]
    root = np.sqrt(spare)
    return [*ends, (float(((-half - root) / square).max()), float(((-half + root) / square).min()))]


def _both(*spans: Span) -> Span:
    """What several spans have in common."""
    return max(a for a, _ in spans), min(b for _, b in spans)


def _covered(start: float, spans: list[Span]) -> float:
    """How far spans that follow on one another, but for FINE, reach from `start`."""
    for a, b in sorted(spans):
        if a <= start + FINE:
            start = max(start, b)
    return start


def _point(shape: Bore, along: float):
    return tuple(map(float, shape.at(np.array([along]))[0]))


def face_wood(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    """Least wood from the part of a void that lies in wood to the shaped front or back, and what that
    is: the face or a contour's id. Infinite where no part lies in wood."""
    return of_the_cuts(layout, ("face wood", void, face), lambda: _face_wood(void, layout, face))


def _face_wood(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    best, what = Gap(math.inf, 0.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))), face
    bounds = ball_bounds(layout)[void.id]
    for shape in (piece.shape for piece in in_wood(void, layout)):
        found = face_gap(shape, layout.skin, face)
        if found.distance < best.distance:
            best, what = found, face
        for contour in layout.skin.contours:
            if contour.face == face and max(bounds[contour.id], 0.0) < best.distance > contour_at_least(shape, contour.carve):
                found = contour_gap(shape, contour.carve)
                if found.distance < best.distance:
                    best, what = found, contour.id
    return best, what


def leads_out(void: Void, layout: Layout, face: str) -> bool:
    """Whether an upright void reaches `face` through a void it meets, so that no wood is left between:
    a neck screw's hole under the pocket, a pot's hole over its cavity."""
    return of_the_cuts(layout, ("leads out", void, face), lambda: _leads_out(void, layout, face))


def _leads_out(void: Void, layout: Layout, face: str) -> bool:
    if isinstance(void.shape, Bore) and not void.shape.upright:
        return False
    for other in layout.openings[void.id]:
        if face not in other.opens:
            continue
        if isinstance(other.shape, Bore) and not other.shape.upright:
            continue
        reaches = void.high >= other.low - FINE if face == "front" else void.low <= other.high + FINE
        if reaches and _within(void, other):
            return True
    return False


def _within(void: Void, host: Void) -> bool:
    """Whether an upright void lies in plan within another, but for FINE."""
    x0, y0, _, x1, y1, _ = void.shape.box
    u0, v0, _, u1, v1, _ = host.shape.box
    if min(x0 - u0, y0 - v0, u1 - x1, v1 - y1) < -FINE:
        return False
    if not isinstance(void.shape, Bore):
        return inside_gap(void.shape.profile, _plan(host))[0] >= -FINE
    (x, y, _), radius = void.shape.start, void.shape.radius
    if isinstance(host.shape, Bore):
        return math.hypot(host.shape.start[0] - x, host.shape.start[1] - y) + radius <= host.shape.radius + FINE
    return float(host.shape.profile.signed_distance(np.array([[x, y]]))[0]) <= FINE - radius


def _plan(void: Void) -> Profile:
    shape = void.shape
    return shape.profile if isinstance(shape, Prism) else circle(shape.diameter, *shape.start[:2])
