"""Plans and level sections of everything that leaves the wood: what a sheet draws and a volume sums.

Level sections are polygons whose area is that of the true section: the inner vertices of a flattened
arc are moved off the arc by about two thirds of the sagitta, so that sums over many sections do not drift.
"""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.plane.arcfit import fit_arcs
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.shapes import Bore, Prism, Shape
from bodycad.geometry.solids.tilted import floor_at

PLAN_TOLERANCE = 0.002
"""Largest deviation (mm) of the arcs in a tilted bore's plan from its true silhouette."""
FLAT = 0.02
"""An ellipse flatter than this (mm) is drawn as a straight end, on the safe side."""

Polygons = tuple[np.ndarray, ...]


def plan_of(shape: Shape) -> Profile:
    """The plan footprint of a shape, mm.

    A prism gives its profile, an upright bore its circle, a carve the rectangle round its sweep. A
    tilted bore gives its silhouette from above: ellipse ends fitted by arcs within
    `PLAN_TOLERANCE`, and the drill point where it shows."""
    if isinstance(shape, Prism):
        return shape.profile
    if isinstance(shape, Bore):
        return circle(shape.diameter, *shape.start[:2]) if shape.upright else _silhouette(shape)
    flat = (
        shape.axes[:, :2] @ shape.axes[0, :2],
        shape.axes[:, :2] @ np.array([-shape.axes[0, 1], shape.axes[0, 0]]),
    )
    u0, w0, u1, w1 = shape.section.box
    corners = np.array(
        [[u, v, w - shape.pivot] for u in (u0, u1) for v in shape.span for w in (w0, w1)]
    )
    (a0, a1), (b0, b1) = ((float((corners @ d).min()), float((corners @ d).max())) for d in flat)
    return profile([(a0, b0), (a1, b0), (a1, b1), (a0, b1)], "a contour's plan").moved(
        *shape.origin, shape.turn_deg
    )


def level_section(shape: Shape, z: float, sagitta: float = 0.005) -> Polygons:
    """The section of a shape at height `z` as polygons (m, 2) of the true area; empty where it
    misses.

    `sagitta` (mm) bounds how far the polygon's edges leave a curved boundary.
    """
    if isinstance(shape, Prism):
        return _prism_section(shape, z, sagitta)
    if isinstance(shape, Bore):
        return _bore_section(shape, z, sagitta)
    return _carve_section(shape, z, sagitta)


def critical_heights(shape: Shape) -> tuple[float, ...]:
    """Heights (mm) where the level section begins, ends or changes its kind, unsorted."""
    if isinstance(shape, Prism):
        return (*shape.floor_range, shape.high)
    if isinstance(shape, Bore):
        rise = shape.radius * math.sqrt(max(1.0 - shape.direction[2] ** 2, 0.0))
        start, shoulder = shape.start[2], shape.start[2] + shape.shoulder * shape.direction[2]
        return start - rise, start + rise, shoulder - rise, shoulder + rise, shape.end[2]
    marks = np.unique(shape.section.segments.boxes[:, [1, 3]].round(9))
    local = np.array([[0.0, v, w] for v in shape.span for w in marks])
    return tuple(np.unique(shape.world(local)[:, 2].round(9)).tolist())


def even_polygon(shape: Profile, sagitta: float) -> np.ndarray:
    """Vertices (m, 2) of a polygon with exactly the area of `shape`; joints of segments stay in
    place.

    The edges leave the arcs by at most `sagitta` mm.
    """
    s = shape.segments
    with np.errstate(divide="ignore", invalid="ignore"):
        step = 2.0 * np.arccos(np.clip(1.0 - sagitta / s.radius, -1.0, 1.0))
        count = np.where(s.arc, np.maximum(np.ceil(np.abs(s.sweep) / step), 3), 1).astype(int)
    index = np.repeat(np.arange(len(s)), count)
    place = np.arange(len(index)) - (np.cumsum(count) - count)[index]
    points = s.take(index).at(place / count[index])
    # Triangles about the centre: two with one vertex on the arc, n - 2 with both at the radius
    # `far`
    # (in radii): (n - 2) far^2 + 2 far = sweep / sin(sweep / n).
    n, turn = count[s.arc], np.abs(s.sweep[s.arc])
    far = (np.sqrt(1.0 + (n - 2) * turn / np.sin(turn / n)) - 1.0) / (n - 2)
    scale = np.ones(len(s))
    scale[s.arc] = far
    inner = place > 0
    centre = s.centre[index[inner]]
    points[inner] = centre + (points[inner] - centre) * scale[index[inner]][:, None]
    return points


def _prism_section(shape: Prism, z: float, sagitta: float) -> Polygons:
    low, high = shape.floor_range
    if not low < z < shape.high:
        return ()
    if z >= high:
        return (even_polygon(shape.profile, sagitta),)
    points = even_polygon(shape.profile, sagitta)
    if _convex(points):
        rise = floor_at(shape, points) - z
        return (_clipped(points, rise),)
    return tuple(
        even_polygon(region.outer, sagitta)
        for region in intersection(shape.profile, _below_level(shape, z))
    )


def _convex(points: np.ndarray) -> bool:
    ahead = np.roll(points, -1, axis=0) - points
    onward = np.roll(ahead, -1, axis=0)
    return bool((ahead[:, 0] * onward[:, 1] - ahead[:, 1] * onward[:, 0]).min() >= -1e-12)


def _clipped(points: np.ndarray, rise: np.ndarray) -> np.ndarray:
    """The part of a convex polygon where the linear function with values `rise` at its vertices is
    negative."""
    after, next_rise = np.roll(points, -1, axis=0), np.roll(rise, -1)
    cross = (rise < 0.0) != (next_rise < 0.0)
    share = rise / np.where(cross, rise - next_rise, 1.0)
    rows = np.stack([points, points + share[:, None] * (after - points)], axis=1).reshape(-1, 2)
    return rows[np.stack([rise < 0.0, cross], axis=1).ravel()]


def _below_level(shape: Prism, z: float) -> Profile:
    """A rectangle over all of the prism's plan where its tilted floor lies below height `z`."""
    sx, sy = shape.slope
    steep = math.hypot(sx, sy)
    x0, y0, x1, y1 = shape.profile.box
    size = 4.0 * (math.hypot(x1 - x0, y1 - y0) + 1.0)
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    # Plan distance up the slope from the middle of the plan to the line where the floor is at z.
    ahead = (z - shape.floor(*middle)) / steep
    at = ahead - size / 2.0
    return rectangle(size, size).moved(
        middle[0] + at * sx / steep, middle[1] + at * sy / steep, math.degrees(math.atan2(sy, sx))
    )


def _bore_section(shape: Bore, z: float, sagitta: float) -> Polygons:
    dx, dy, dz = shape.direction
    level = math.hypot(dx, dy)
    rise = z - shape.start[2]
    if level < 1e-9:
        along = rise * dz
        if not 0.0 < along < shape.length:
            return ()
        taper = 1.0 if along <= shape.shoulder else (shape.length - along) / shape.tip
        return (even_polygon(circle(shape.diameter * taper, *shape.start[:2]), sagitta),)
    spans = _bore_spans(shape, level, dz, rise)
    if not spans:
        return ()
    p, q = _half_outline(spans, shape.radius, sagitta)
    across = np.concatenate([-q, q[::-1]])
    run = np.concatenate([p, p[::-1]])
    unit = np.array([dx, dy]) / level
    points = (
        np.array(shape.start[:2])
        + run[:, None] * unit
        + across[:, None] * np.array([-unit[1], unit[0]])
    )
    keep = np.hypot(*(np.roll(points, -1, axis=0) - points).T) > 1e-9
    return (points[keep],) if keep.sum() >= 3 else ()


def _bore_spans(
    shape: Bore, level: float, dz: float, rise: float
) -> list[tuple[float, float, np.ndarray]]:
    """Stretches (p0, p1) of plan distance along a tilted bore and the square of its half width as a
    quadratic in p (constant first), for the cylinder and then the drill point."""
    r, off = shape.radius, rise * level
    depth = np.array([off * off, -2.0 * off * dz, dz * dz])
    pieces = [(0.0, shape.shoulder, np.array([r * r, 0.0, 0.0]) - depth)]
    if shape.tip > 0.0:
        k, left = r / shape.tip, shape.length - rise * dz
        pieces.append(
            (
                shape.shoulder,
                shape.length,
                k * k * np.array([left * left, -2.0 * left * level, level * level]) - depth,
            )
        )
    spans = []
    for along0, along1, square in pieces:
        p0, p1 = ((along - rise * dz) / level for along in (along0, along1))
        cuts = [p0, *sorted(t for t in _roots(square) if p0 < t < p1), p1]
        for a, b in zip(cuts, cuts[1:]):
            if b - a > 1e-9 and np.polynomial.polynomial.polyval((a + b) / 2.0, square) > 0.0:
                spans.append((a, b, square))
    return spans


def _roots(square: np.ndarray) -> list[float]:
    c, b, a = map(float, square)
    if abs(a) < 1e-14:
        return [-c / b] if abs(b) > 1e-14 else []
    inner = b * b - 4.0 * a * c
    if inner <= 0.0:
        return []
    big = -(b + math.copysign(math.sqrt(inner), b)) / 2.0
    return [big / a, c / big] if big else [0.0]


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def _half_outline(spans, radius: float, sagitta: float) -> tuple[np.ndarray, np.ndarray]:
    """Points p along and half widths q of a tilted section, with q scaled to the exact area."""
    runs, exact = [], 0.0
    for a, b, square in spans:
        step = 2.0 * math.acos(max(1.0 - sagitta / max(radius, (b - a) / 2.0), -1.0))
        count = max(math.ceil(math.pi / step), 4)
        turn = np.arange(count + 1) * math.pi / count
        p = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(turn)
        runs.append((p, _width(p, square)))
        turn = (1.0 + _NODES) * math.pi / 2.0
        fine = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(turn)
        exact += float(_WEIGHTS @ (_width(fine, square) * np.sin(turn))) * (b - a) * math.pi / 4.0
    p, q = np.concatenate([r[0] for r in runs]), np.concatenate([r[1] for r in runs])
    drawn = float(((q[1:] + q[:-1]) / 2.0 * np.diff(p)).sum())
    return p, q * (exact / drawn if drawn > 0.0 else 1.0)


def _width(p: np.ndarray, square: np.ndarray) -> np.ndarray:
    return np.sqrt(np.maximum(np.polynomial.polynomial.polyval(p, square), 0.0))


def _carve_section(shape: Carve, z: float, sagitta: float) -> Polygons:
    """Where the sweep is level, strips; where it climbs, the section itself stretched along the
    sweep."""
    tilt = math.radians(shape.tilt_deg)
    low, high = sorted(
        shape.pivot + (z - shape.pivot - v * math.sin(tilt)) / math.cos(tilt) for v in shape.span
    )
    if high - low < 1e-6:
        return _strips(shape, (low + high) / 2.0)
    u0, w0, u1, w1 = shape.section.box
    low, high = max(low, w0 - 1.0), min(high, w1 + 1.0)
    if high - low < 1e-9:
        return ()
    points = even_polygon(shape.section, sagitta)
    if _convex(points):
        kept = _clipped(points, points[:, 1] - high)
        kept = _clipped(kept, low - kept[:, 1]) if len(kept) else kept
        return (_climbed(shape, kept, z),) if len(kept) >= 3 else ()
    band = profile(
        [(u0 - 1.0, low), (u1 + 1.0, low), (u1 + 1.0, high), (u0 - 1.0, high)], "a level band"
    )
    return tuple(
        _climbed(shape, even_polygon(region.outer, sagitta), z)
        for region in intersection(shape.section, band)
    )


def _climbed(shape: Carve, section: np.ndarray, z: float) -> np.ndarray:
    """Plan points of section points (m, 2) u, w where their own lines of sweep pass height `z`."""
    tilt, (u, w) = math.radians(shape.tilt_deg), section.T
    v = (z - shape.pivot - (w - shape.pivot) * math.cos(tilt)) / math.sin(tilt)
    return shape.world(np.column_stack([u, v, w]))[:, :2]


def _strips(shape: Carve, w: float) -> Polygons:
    u, (v0, v1) = _crossings(shape.section, w), shape.span
    return tuple(
        shape.world(np.array([[u0, v0, w], [u1, v0, w], [u1, v1, w], [u0, v1, w]]))[:, :2]
        for u0, u1 in zip(u[::2], u[1::2])
        if u1 - u0 > 1e-12
    )


def _crossings(section: Profile, w: float) -> np.ndarray:
    """Where the level line at `w` crosses a section, in rising order, an even number of them.

    Exact on lines and arcs; by a fine polygon where the line passes so near a vertex that two
    segments both claim or both miss it.
    """
    s = section.segments
    rise = s.b[:, 1] - s.a[:, 1]
    on = ~s.arc & ((s.a[:, 1] > w) != (s.b[:, 1] > w))
    found = [s.a[on, 0] + (w - s.a[on, 1]) / rise[on] * (s.b[on, 0] - s.a[on, 0])]
    arcs = np.flatnonzero(s.arc & (np.abs(w - s.centre[:, 1]) < s.radius))
    up = w - s.centre[arcs, 1]
    half = np.sqrt(s.radius[arcs] ** 2 - up**2)
    for side in (half, -half):
        hit = s.spans(np.arctan2(up, side), arcs)
        found.append(s.centre[arcs[hit], 0] + side[hit])
    u = np.sort(np.concatenate(found))
    if len(u) % 2 or np.any(np.diff(u) < 1e-9):
        a = even_polygon(section, 1e-4)
        b = np.roll(a, -1, axis=0)
        cross = (a[:, 1] > w) != (b[:, 1] > w)
        t = (w - a[cross, 1]) / (b[cross, 1] - a[cross, 1])
        u = np.sort(a[cross, 0] + t * (b[cross, 0] - a[cross, 0]))
    return u


def _silhouette(shape: Bore) -> Profile:
    """The plan of a tilted bore, drawn along +x from its start and then turned into place."""
    dx, dy, dz = shape.direction
    level, r, a = math.hypot(dx, dy), shape.radius, shape.radius * abs(dz)
    far, tip = shape.shoulder * level, shape.tip * level
    rows = [(0.0, -r, 0.0)] if far > 1e-9 else []
    half = math.acos(a / tip) if tip > a else None
    if a < FLAT:
        rows += (
            [(far, -r, 0.0), (far + max(tip, a), 0.0, 0.0), (far, r, 0.0)]
            if half
            else [(far + a, -r, 0.0), (far + a, r, 0.0)]
        )
    elif half is None:
        rows += _ellipse(far, a, r, (-math.pi / 2.0, 0.0, math.pi / 2.0))
    else:
        rows += _ellipse(far, a, r, (-math.pi / 2.0, -half)) + [(far + tip, 0.0, 0.0)]
        rows += _ellipse(far, a, r, (half, math.pi / 2.0))
    if a < FLAT:
        rows += [(-a, r, 0.0), (-a, -r, 0.0)]
    else:
        rows += _ellipse(0.0, a, r, (math.pi / 2.0, math.pi, 1.5 * math.pi))
    return profile(rows, "a tilted bore's plan").moved(
        *shape.start[:2], math.degrees(math.atan2(dy, dx))
    )


def _ellipse(
    x: float, a: float, r: float, breaks: tuple[float, ...]
) -> list[tuple[float, float, float]]:
    """Arcs along the ellipse (x + a cos t, r sin t) over `breaks`; the last vertex starts a
    line."""
    rows = fit_arcs(
        lambda t: np.stack([x + a * np.cos(t), r * np.sin(t)], axis=1),
        lambda t: np.stack([-a * np.sin(t), r * np.cos(t)], axis=1),
        breaks,
        PLAN_TOLERANCE,
        "a tilted bore's end",
    )
    return [tuple(map(float, row)) for row in rows]
